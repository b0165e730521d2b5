//! Sends expected and heard: by anyone, at least once.

use super::heard::Heard;
use super::turn::Turn;
use crate::model::Band;

/// Sends of one hour of the UTC day.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct HourSends {
    /// Sends expected in this hour of all days; 0 where the cycle is not known.
    pub expected: usize,
    /// Sends heard.
    pub heard: usize,
}

impl HourSends {
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
    pub hours: [HourSends; 24],
}

impl BandSends {
    /// Share heard of those expected.
    pub fn share(&self) -> Option<f64> {
        self.expected.filter(|&expected| expected > 0).map(|expected| self.heard as f64 / expected as f64)
    }
}

/// Counts sends by band. In the slots of `off` (from and before, in order) none is expected.
pub fn sends(heard: &Heard, turn: Option<&Turn>, off: &[(i64, i64)]) -> Vec<BandSends> {
    let turn = turn.filter(|turn| turn.filled);
    let is_off = |slot: i64| off.get(off.partition_point(|span| span.1 <= slot)).is_some_and(|span| span.0 <= slot);
    let mut list = Vec::new();
    for (band, slots) in &heard.bands {
        let known = turn.filter(|turn| turn.places(*band).is_some());
        let mut of_band = BandSends {
            band: *band,
            expected: known.map(|_| 0),
            heard: 0,
            beside: 0,
            hours: [HourSends::default(); 24],
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
            let expected = turn.of_band(*band, heard.first(), heard.last() + 1).filter(|&slot| !is_off(slot));
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
