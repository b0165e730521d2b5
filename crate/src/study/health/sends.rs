//! Sends expected and heard: by anyone, at least once.

use super::heard::Heard;
use super::turn::Turn;
use crate::model::Band;
use crate::time::UtcTime;

/// At most so many steps in the course of a run.
const MOST_STEPS: i64 = 96;

/// Sends expected and heard in some time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SendCount {
    /// Sends expected; 0 where the cycle is not known.
    pub expected: usize,
    /// Sends heard.
    pub heard: usize,
}

impl SendCount {
    /// Share heard of those expected.
    pub fn share(self) -> Option<f64> {
        (self.expected > 0).then(|| self.heard as f64 / self.expected as f64)
    }
}

/// Sends of one band.
#[derive(Clone, Debug, PartialEq)]
pub struct BandSends {
    /// The band.
    pub band: Band,
    /// Sends expected from the first to the last send heard on any band; `None` where no cycle is known.
    pub expected: Option<usize>,
    /// Sends heard by anyone (of those expected, where that is known).
    pub heard: usize,
    /// Sends heard in slots in which none was expected: wrong clocks, mostly.
    pub beside: usize,
    /// By hour of the UTC day.
    pub hours: [SendCount; 24],
}

impl BandSends {
    /// Share heard of those expected.
    pub fn share(&self) -> Option<f64> {
        self.expected.filter(|&expected| expected > 0).map(|expected| self.heard as f64 / expected as f64)
    }
}

/// Sends of all bands in equal steps of time over the whole run.
#[derive(Clone, Debug, PartialEq)]
pub struct SendCourse {
    /// Start of the first step: a whole hour.
    pub start: UtcTime,
    /// Length of a step in seconds: a whole number of hours.
    pub step_s: i64,
    /// Sends of each step.
    pub steps: Vec<SendCount>,
}

/// Is a slot in one of some spans (from and before, in order)?
fn within(spans: &[(i64, i64)], slot: i64) -> bool {
    spans.get(spans.partition_point(|span| span.1 <= slot)).is_some_and(|span| span.0 <= slot)
}

/// Counts sends in the course of the run. In the slots of `off` none is expected.
pub(super) fn course(heard: &Heard, turn: Option<&Turn>, off: &[(i64, i64)]) -> SendCourse {
    let turn = turn.filter(|turn| turn.filled);
    let stretches = heard.stretches();
    let (first, last) = (heard.first() * heard.slot_s, heard.last() * heard.slot_s);
    let step_s = 3600 * ((last - first) / 3600 / MOST_STEPS + 1);
    let start = first.div_euclid(3600) * 3600;
    let step = |slot: i64| usize::try_from((slot * heard.slot_s - start) / step_s).unwrap_or(0);
    let mut steps = vec![SendCount::default(); step(heard.last()) + 1];
    for (band, slots) in &heard.bands {
        let known = turn.filter(|turn| turn.places(*band).is_some());
        // beside the cycle, or on a band without one, none can be said to be heard of those expected
        let counts = |slot: i64| turn.is_none() || known.is_some_and(|turn| turn.holds(*band, slot));
        for &slot in slots.iter().filter(|slot| counts(**slot)) {
            steps[step(slot)].heard += 1;
        }
        let expected = known.into_iter().flat_map(|turn| turn.in_stretches(*band, &stretches));
        for slot in expected.filter(|&slot| !within(off, slot)) {
            steps[step(slot)].expected += 1;
        }
    }
    SendCourse { start: UtcTime::from_unix_s(start).unwrap_or_else(|| heard.time(heard.first())), step_s, steps }
}

/// Counts sends by band. In the slots of `off` (from and before, in order) none is expected.
pub(super) fn sends(heard: &Heard, turn: Option<&Turn>, off: &[(i64, i64)]) -> Vec<BandSends> {
    let turn = turn.filter(|turn| turn.filled);
    let stretches = heard.stretches();
    let mut list = Vec::new();
    for (band, slots) in &heard.bands {
        let known = turn.filter(|turn| turn.places(*band).is_some());
        let mut of_band = BandSends {
            band: *band,
            expected: known.map(|_| 0),
            heard: 0,
            beside: 0,
            hours: [SendCount::default(); 24],
        };
        for &slot in slots {
            if known.is_some_and(|turn| !turn.holds(*band, slot)) {
                of_band.beside += 1;
            } else {
                of_band.heard += 1;
                of_band.hours[heard.hour(slot)].heard += 1;
            }
        }
        if let Some(turn) = known {
            let expected = turn.in_stretches(*band, &stretches).filter(|&slot| !within(off, slot));
            let mut count = 0;
            for slot in expected {
                count += 1;
                of_band.hours[heard.hour(slot)].expected += 1;
            }
            of_band.expected = Some(count);
        }
        list.push(of_band);
    }
    list
}
