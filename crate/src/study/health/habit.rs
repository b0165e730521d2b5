//! What other days say about a span: was it heard at this time of the day?

use super::heard::{Heard, count_within};
use super::sends::SendCount;
use super::turn::Turn;
use crate::model::Band;
use crate::time::DAY_S;

/// Once an hour is silent, the next one is too in at least so many cases: silent hours come in a row. An assumption.
const GOES_ON: f64 = 0.6;
/// So many days before and after tell the habit.
const MOST_DAYS: i64 = 15;
/// Fewer other days than this give no chance.
const LEAST_DAYS: usize = 2;

/// The same time of day on other days of the run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habit {
    /// Other days on which the beacon ran through the whole of this time.
    pub days: usize,
    /// Those on which nobody heard it in all this time either.
    pub silent_days: usize,
    /// Share of the hours of this time in which it was not heard, over those days.
    pub silent_share: f64,
    /// Sends expected (0 where no cycle is known) and heard in this time on those days.
    pub sends: SendCount,
    /// How likely a silence as long as this is by that habit, for a span that begins at this time; `None` below two days.
    ///
    /// The hour that is silent least often is so with (silent days + 1) / (days + 2) (Laplace's rule of succession); each
    /// further hour goes on with its own share of silent days or 0.6, whichever is more.
    pub chance: Option<f64>,
}

impl Habit {
    /// Is silence usual at this time?
    pub fn is_usual(&self) -> bool {
        self.days >= LEAST_DAYS && self.silent_share >= 0.5
    }
}

/// Looks at the slots from `from` on and before `to`, on one band or on all, on other days of the run; days that lie in
/// `off` to a part do not count. `None` if there is no other day.
pub(super) fn habit(
    heard: &Heard,
    turn: Option<&Turn>,
    band: Option<Band>,
    (from, to): (i64, i64),
    off: &[(i64, i64)],
) -> Option<Habit> {
    let bands = || heard.bands.iter().filter(move |(other, _)| band.is_none_or(|band| band == *other));
    let slots = band.and_then(|_| bands().next()).map_or(&heard.slots, |(_, slots)| slots);
    let day = DAY_S / heard.slot_s;
    let hours = ((to - from - 1) / heard.slots_an_hour() + 1).max(1);
    let mut silent_hours = vec![0_usize; usize::try_from(hours).unwrap_or(1)];
    let mut habit = Habit { days: 0, silent_days: 0, silent_share: 0.0, sends: SendCount::default(), chance: None };
    let run_days = (heard.last() - heard.first()) / day + 1;
    for shift in (-run_days.min(MOST_DAYS)..=run_days.min(MOST_DAYS)).filter(|&days| days != 0).map(|days| days * day) {
        let (begin, end) = (from + shift, to + shift);
        let runs = heard.first() <= begin && end <= heard.last() + 1;
        if !runs || off.iter().any(|span| span.0 < end && begin < span.1) {
            continue;
        }
        habit.days += 1;
        habit.silent_days += usize::from(count_within(slots, begin, end) == 0);
        for (hour, silent) in (0..).zip(&mut silent_hours) {
            let part = |hour: i64| begin + hour * (to - from) / hours;
            *silent += usize::from(count_within(slots, part(hour), part(hour + 1)) == 0);
        }
        for (band, slots) in bands() {
            habit.sends.heard += count_within(slots, begin, end);
            habit.sends.expected += turn.map_or(0, |turn| turn.of_band(*band, begin, end).count());
        }
    }
    if habit.days == 0 {
        return None;
    }
    habit.silent_share = silent_hours.iter().sum::<usize>() as f64 / (habit.days * silent_hours.len()) as f64;
    if habit.days >= LEAST_DAYS {
        let days = habit.days as f64;
        let fewest = silent_hours.iter().copied().min().unwrap_or(0) as f64;
        let goes_on = |&silent: &usize| (silent as f64 / days).max(GOES_ON);
        let all: f64 = silent_hours.iter().map(goes_on).product();
        habit.chance = Some((fewest + 1.0) / (days + 2.0) * all / (fewest / days).max(GOES_ON));
    }
    Some(habit)
}
