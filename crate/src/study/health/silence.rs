//! Spans in which nobody reported the beacon, and what they may mean.
//!
//! Nobody can tell from reports alone whether a beacon was off, its antenna failed, or the bands were closed. What helps:
//! whether other days were silent at this time too, whether bands that were heard well stopped and came back together,
//! and whether listeners of the beacon went on hearing another sender of the same place.

use super::evidence::{Longest, around, gaps, is_long, together, within};
use super::habit::{Habit, habit};
use super::heard::{Heard, count_within};
use super::sends::SendCount;
use super::turn::Turn;
use super::watch::{Watch, seen};
use crate::model::{Band, CallId, RowSet};
use crate::order::LightSort;
use crate::study::subject::Subject;
use crate::time::{DAY_S, UtcTime};

/// Silences on all bands from this length on are looked at, hours.
const LEAST_HOURS: i64 = 1;
/// Silences on one band, hours.
const LEAST_HOURS_OF_BAND: i64 = 2;
/// So unlikely by the habit of other days, and a silence is unusual.
const UNUSUAL: f64 = 0.05;
/// The same on one band: more bands are looked at, so more would seem unusual by chance.
const UNUSUAL_ON_BAND: f64 = 0.01;
/// So many listeners that went on hearing another sender show that the way was open.
const LEAST_LISTENERS: usize = 3;
/// So many bands that stop and come back together point to the sender.
const LEAST_BANDS: usize = 2;

/// A span of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// End of the last slot that was heard.
    pub from: UtcTime,
    /// Start of the next slot that was heard.
    pub to: UtcTime,
}

impl Span {
    /// How long, hours.
    pub fn hours(&self) -> f64 {
        (self.to.unix_s() - self.from.unix_s()) as f64 / 3600.0
    }
}

/// What the evidence points to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Likely {
    /// The sender or its antenna: the way was open, or bands stopped and came back together.
    Sender,
    /// It is silent at this time on other days too: the bands close, or the beacon rests.
    Usual,
    /// Beacon off, antenna fault or band closed: nothing tells them apart.
    Unsure,
}

/// A span in which nobody reported the beacon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Silence {
    /// When. A silence that lasts to the end goes to the last report of another sender.
    pub span: Span,
    /// The band, else all.
    pub band: Option<Band>,
    /// It was not heard again.
    pub to_the_end: bool,
    /// Sends expected in it, where the cycle is known.
    pub missed: Option<usize>,
    /// Sends expected (0 where no cycle is known) and heard in the hours around it.
    pub around: SendCount,
    /// The same time on other days, if there are any.
    pub habit: Option<Habit>,
    /// Bands that were heard well and stopped and came back with it.
    pub together: usize,
    /// Listeners of the beacon that went on hearing another sender of its place.
    pub others: usize,
    /// How likely a silence as long as this is, by the habit of other days or by how much longer it is than the next longest
    /// one of this run, whichever is more; `None` below two other days.
    pub chance: Option<f64>,
    /// What this points to.
    pub likely: Likely,
}

impl Silence {
    /// Is it unlikely by the habit of other days?
    pub fn is_unusual(&self) -> bool {
        let limit = if self.band.is_some() { UNUSUAL_ON_BAND } else { UNUSUAL };
        self.chance.is_some_and(|chance| chance <= limit)
    }
}

/// All spans without reports.
#[derive(Clone, Debug, PartialEq)]
pub struct Silences {
    /// On all bands, in order of time.
    pub all_bands: Vec<Silence>,
    /// On one band while others were heard: only those that are unusual, or in which others were heard there.
    pub one_band: Vec<Silence>,
    /// Spans in which another call or run of the test had its turn.
    pub turns: Vec<Span>,
    /// A day and longer: taken as pauses of the test.
    pub pauses: Vec<Span>,
    slot_s: i64,
}

impl Silences {
    /// Slots in which the beacon is not expected: turns of others and pauses (from and before, in order).
    pub(super) fn off_turn(&self) -> Vec<(i64, i64)> {
        let slots = |span: &Span| (span.from.unix_s() / self.slot_s, span.to.unix_s() / self.slot_s);
        let mut off: Vec<(i64, i64)> = self.turns.iter().chain(&self.pauses).map(slots).collect();
        off.order_by_key(|span| span.0);
        off
    }
}

/// Finds the silences of one call of the beacon.
pub(super) fn silences(
    subject: &Subject<'_>,
    rows: &RowSet,
    call: CallId,
    heard: &Heard,
    turn: Option<&Turn>,
) -> Silences {
    let turn = turn.filter(|turn| turn.filled);
    let hour = heard.slots_an_hour();
    let day = DAY_S / heard.slot_s;
    let mut found = Silences {
        all_bands: Vec::new(),
        one_band: Vec::new(),
        turns: Vec::new(),
        pauses: Vec::new(),
        slot_s: heard.slot_s,
    };
    let span = |from: i64, to: i64| Span { from: heard.time(from), to: heard.time(to) };
    let mut watches: Vec<Watch> = Vec::new();
    for (from, to) in gaps(&heard.slots, LEAST_HOURS * hour) {
        if to - from >= day {
            found.pauses.push(span(from, to));
        } else {
            watches.push(Watch { from, to, band: None, is_end: false });
        }
    }
    let on_all: Vec<(i64, i64)> = watches.iter().map(|watch| (watch.from, watch.to)).collect();
    for (band, slots) in &heard.bands {
        for (from, to) in gaps(slots, LEAST_HOURS_OF_BAND * hour) {
            let watch = Watch { from, to, band: Some(*band), is_end: false };
            if to - from < day && !within(&on_all, (from, to)) && is_long(heard, turn, &watch) {
                watches.push(watch);
            }
        }
    }
    // a call that goes on in another run has not failed
    let end = (heard.last() + 1, last_slot(subject, heard, |sender| sender != call) + 1);
    if end.1 - end.0 >= hour && last_slot(subject, heard, |sender| sender == call) <= heard.last() {
        watches.push(Watch { from: end.0, to: end.1, band: None, is_end: true });
    }
    let seen = seen(subject, rows, call, heard, &watches);
    // turns of others first: days that lie in them say nothing of habits
    let is_turn = |at: usize| seen[at].throughout && !seen[at].outside;
    for (at, watch) in watches.iter().enumerate().take(on_all.len()) {
        if is_turn(at) {
            found.turns.push(span(watch.from, watch.to));
        }
    }
    let off = found.off_turn();
    let mut longest: Vec<Longest> = vec![Longest::of(heard, &heard.slots, None, &off)];
    if watches.iter().any(|watch| watch.band.is_some()) {
        let mut silent = [off.as_slice(), &on_all].concat();
        silent.order_by_key(|span| span.0);
        let of_bands = heard.bands.iter().map(|(band, slots)| Longest::of(heard, slots, Some(*band), &silent));
        longest.extend(of_bands);
    }
    for (at, (watch, seen)) in watches.iter().zip(&seen).enumerate() {
        let limits = (watch.from, watch.to);
        if is_turn(at) || !is_long(heard, turn, watch) {
            continue;
        }
        let others = if seen.throughout && seen.outside { seen.listeners } else { 0 };
        let expected = |band: Band, from: i64, to: i64| turn.map_or(0, |turn| turn.of_band(band, from, to).count());
        let mut silence = Silence {
            span: span(watch.from, watch.to),
            band: watch.band,
            to_the_end: watch.is_end,
            missed: turn.map(|_| 0),
            around: SendCount::default(),
            habit: if watch.is_end { None } else { habit(heard, turn, watch.band, limits, &off) },
            together: if watch.band.is_none() { together(heard, turn, limits) } else { 0 },
            others,
            chance: None,
            likely: Likely::Unsure,
        };
        let longest = longest.iter().find(|longest| longest.is_of(watch.band));
        let by_days = silence.habit.and_then(|habit| habit.chance);
        silence.chance = by_days.zip(longest).map(|(by_days, longest)| by_days.max(longest.chance(limits)));
        for (band, slots) in heard.bands.iter().filter(|(band, _)| watch.band.is_none_or(|wanted| wanted == *band)) {
            silence.missed = silence.missed.map(|missed| missed + expected(*band, watch.from, watch.to));
            for (from, to) in around(heard, limits) {
                silence.around.heard += count_within(slots, from, to);
                silence.around.expected += expected(*band, from, to);
            }
        }
        let usual = silence.habit.is_some_and(|habit| habit.is_usual());
        let open = others >= LEAST_LISTENERS;
        silence.likely = match (usual, open || silence.together >= LEAST_BANDS) {
            (true, _) => Likely::Usual,
            (_, true) => Likely::Sender,
            _ => Likely::Unsure,
        };
        if watch.band.is_some() {
            if !usual && (open || silence.is_unusual()) {
                found.one_band.push(silence);
            }
        } else if !watch.is_end || open {
            found.all_bands.push(silence);
        }
    }
    found
}

/// The last slot with a report of some senders, 0 without one.
fn last_slot(subject: &Subject<'_>, heard: &Heard, of: impl Fn(CallId) -> bool) -> i64 {
    let table = subject.table();
    let rows = (0..table.len()).filter(|&row| of(table.stations().call_of(table.tx(row))));
    rows.map(|row| table.time(row)).max().map_or(0, |time| time.unix_s().div_euclid(heard.slot_s))
}
