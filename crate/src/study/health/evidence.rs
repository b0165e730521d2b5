//! What speaks for a silence that is more than chance or a closing band.

use super::habit::habit;
use super::heard::{Heard, count_within};
use super::turn::Turn;
use super::watch::Watch;
use crate::model::Band;
use crate::time::DAY_S;

/// A silence is longer than chance makes it if by chance one like it would come in fewer runs than one of so many.
const ONE_RUN_OF: f64 = 20.0;
/// No send is surer to be heard than this: losses come in a row.
const SUREST: f64 = 0.8;
/// How far around a silence that pace is taken from, hours.
const AROUND_HOURS: i64 = 3;
/// Bands that stop together: each heard in at least this share of its sends in the hour before and in the hour after.
const HEARD_WELL: f64 = 0.6;
/// In its last and first sends it has at least this share of the reports of the hours before and after: a band that
/// closes loses its listeners one by one.
const LISTENERS_STAY: f64 = 0.5;
/// So many sends at least, on each side.
const LEAST_SENDS: usize = 3;
/// Lengths of silences are taken to fall off as the square, so that one twice as long as all others is there by chance in
/// one of four cases: silences of bands that open and close have no usual length. An assumption.
const FALLS_OFF: i32 = 2;

/// Gaps of at least so many slots between slots in order: the first silent one, and the next heard one.
pub(super) fn gaps(slots: &[i64], least: i64) -> impl Iterator<Item = (i64, i64)> {
    slots.windows(2).map(|pair| (pair[0] + 1, pair[1])).filter(move |gap| gap.1 - gap.0 >= least)
}

/// The hours around a span, as far as the run goes.
pub(super) fn around(heard: &Heard, (from, to): (i64, i64)) -> [(i64, i64); 2] {
    let far = AROUND_HOURS * heard.slots_an_hour();
    [((from - far).max(heard.first()), from), (to, (to + far).min(heard.last() + 1))]
}

/// Is it longer than chance makes it, at the share of sends heard in the hours around it (or at their pace, where it is not
/// known how many were sent)? Each send heard in the run might begin such a silence.
pub(super) fn is_long(heard: &Heard, turn: Option<&Turn>, watch: &Watch) -> bool {
    let limits = (watch.from, watch.to);
    let (mut begun, mut lost) = (0, 0.0);
    let (mut heard_there, mut expected, mut missed, mut length) = (0, 0, 0, 0);
    for (band, slots) in heard.bands.iter().filter(|(band, _)| watch.band.is_none_or(|wanted| wanted == *band)) {
        begun += slots.len();
        missed += turn.map_or(0, |turn| turn.of_band(*band, watch.from, watch.to).count());
        for (from, to) in around(heard, limits) {
            heard_there += count_within(slots, from, to);
            expected += turn.map_or(0, |turn| turn.of_band(*band, from, to).count());
        }
    }
    for (from, to) in around(heard, limits) {
        length += (to - from).max(0);
    }
    if expected > 0 {
        let share = (heard_there as f64 / expected as f64).min(SUREST);
        lost = -(1.0 - share).ln() * missed as f64;
    } else if length > 0 {
        lost = heard_there as f64 / length as f64 * (watch.to - watch.from) as f64;
    }
    lost >= (ONE_RUN_OF * begun as f64).ln()
}

/// How many bands were heard well and stopped and came back with a silence; 0 if one that was heard well did not.
pub(super) fn together(heard: &Heard, turn: Option<&Turn>, (from, to): (i64, i64)) -> usize {
    let hour = heard.slots_an_hour();
    let mut bands = 0;
    let [before, after] = around(heard, (from, to));
    for ((band, slots), reports) in heard.bands.iter().zip(&heard.reports) {
        // an hour, longer where a band has fewer sends in it
        let in_hour =
            turn.map_or(hour, |turn| i64::try_from(turn.of_band(*band, from - hour, from).count()).unwrap_or(hour));
        let window = hour * (5 / in_hour.max(1)).max(1);
        let well = |begin: i64, end: i64| {
            let count = count_within(slots, begin, end);
            let expected = turn.map_or(0, |turn| turn.of_band(*band, begin, end).count());
            count >= LEAST_SENDS && count as f64 >= HEARD_WELL * expected as f64
        };
        if !well(from - window, from) || !well(to, to + window) {
            continue;
        }
        // its last three sends
        let near = 3 * window / in_hour.clamp(1, 5) + 1;
        let pace = |(begin, end): (i64, i64)| {
            let first = slots.partition_point(|&slot| slot < begin);
            let reports = reports.iter().skip(first).take(count_within(slots, begin, end)).sum::<u32>();
            f64::from(reports) / (end - begin).max(1) as f64
        };
        let stays = |end: (i64, i64), long: (i64, i64)| pace(end) >= LISTENERS_STAY * pace(long);
        if !stays((from - near, from), before) || !stays((to, to + near), after) {
            return 0;
        }
        bands += 1;
    }
    bands
}

/// The two longest silences of a band, or of all, that other days do not show too: their lengths and beginnings, slots.
#[derive(Clone, Copy, Debug)]
pub(super) struct Longest {
    band: Option<Band>,
    two: [(i64, i64); 2],
}

impl Longest {
    /// Looks at all gaps of some slots; those in `off`, and those of a day and more, do not count.
    pub(super) fn of(heard: &Heard, slots: &[i64], band: Option<Band>, off: &[(i64, i64)]) -> Self {
        let mut two = [(1, i64::MIN); 2];
        for gap in gaps(slots, 1) {
            let length = gap.1 - gap.0;
            if length <= two[1].0 || length * heard.slot_s >= DAY_S || within(off, gap) {
                continue;
            }
            let usual = || habit(heard, None, band, gap, off).is_some_and(|habit| habit.is_usual());
            if length < heard.slots_an_hour() || !usual() {
                two = if length > two[0].0 { [(length, gap.0), two[0]] } else { [two[0], (length, gap.0)] };
            }
        }
        Self { band, two }
    }

    /// Is it that of a band, or of all?
    pub(super) fn is_of(&self, band: Option<Band>) -> bool {
        self.band == band
    }

    /// How likely a silence is so much longer than all others.
    pub(super) fn chance(&self, (from, to): (i64, i64)) -> f64 {
        let [first, second] = self.two;
        let other = if first.1 == from { second } else { first };
        (other.0 as f64 / (to - from).max(1) as f64).min(1.0).powi(FALLS_OFF)
    }
}

/// Does more than half of a span lie in one of others (in order)?
pub(super) fn within(others: &[(i64, i64)], (from, to): (i64, i64)) -> bool {
    let first = others.partition_point(|other| other.1 <= from);
    let inside = others[first..].iter().take_while(|other| other.0 < to);
    2 * inside.map(|other| other.1.min(to) - other.0.max(from)).sum::<i64>() > to - from
}
