//! The sends that anyone heard: each slot and band once, however many listeners reported it.

use crate::model::Band;
use crate::order::distinct_numbers;
use crate::study::subject::Subject;
use crate::time::{DAY_S, UtcTime, WSPR_SLOT_S};

/// Lengths of slots that are tried, seconds: two minutes, five minutes (slow variants of the mode), one minute.
const SLOTS_S: [i64; 3] = [WSPR_SLOT_S, 300, 60];
/// A length holds if at least this share of the reports begins with such a slot.
const HOLDS: f64 = 0.9;

/// The sends of one call that were heard.
#[derive(Clone, Debug)]
pub struct Heard {
    /// Length of a slot, seconds.
    pub slot_s: i64,
    /// Slots, as numbers since 1970, in which it was heard on any band, each once, in order.
    pub slots: Vec<i64>,
    /// The same per band, in order of wavelength.
    pub bands: Vec<(Band, Vec<i64>)>,
    /// Reports of each of these sends, beside [`Heard::bands`].
    pub(super) reports: Vec<Vec<u32>>,
    /// Which calls ever heard it.
    pub listeners: Vec<bool>,
    begins: UtcTime,
}

impl Heard {
    /// Collects the sends from rows in order of time; `None` without rows.
    pub(super) fn of(subject: &Subject<'_>, in_order: &[u32]) -> Option<Self> {
        let table = subject.table();
        // exports may give the start with some seconds more
        let minute = |row: &u32| table.time(*row as usize).unix_s().div_euclid(60) * 60;
        let on = |slot_s: i64| in_order.iter().filter(|row| minute(row) % slot_s == 0).count();
        let slot_s = SLOTS_S.into_iter().find(|&slot_s| on(slot_s) as f64 >= HOLDS * in_order.len() as f64);
        let slot_s = slot_s.unwrap_or(WSPR_SLOT_S);
        let mut of_band: Vec<Vec<i64>> = vec![Vec::new(); Band::COUNT];
        let mut reports: Vec<Vec<u32>> = vec![Vec::new(); Band::COUNT];
        let mut listeners = vec![false; table.stations().calls()];
        for row in in_order {
            let slot = minute(row).div_euclid(slot_s);
            let band = table.band(*row as usize).index();
            if of_band[band].last() != Some(&slot) {
                of_band[band].push(slot);
                reports[band].push(0);
            }
            if let Some(count) = reports[band].last_mut() {
                *count += 1;
            }
            listeners[subject.far_call(*row as usize).index()] = true;
        }
        let bands: Vec<(Band, Vec<i64>)> = Band::all().zip(of_band).filter(|(_, slots)| !slots.is_empty()).collect();
        reports.retain(|reports| !reports.is_empty());
        let slots = distinct_numbers(bands.iter().flat_map(|(_, slots)| slots.iter().copied()));
        let begins = table.time(*in_order.first()? as usize);
        Some(Self { slot_s, slots, bands, reports, listeners, begins })
    }

    /// The first slot in which it was heard.
    pub fn first(&self) -> i64 {
        self.slots.first().copied().unwrap_or(0)
    }

    /// The last slot in which it was heard.
    pub fn last(&self) -> i64 {
        self.slots.last().copied().unwrap_or(0)
    }

    /// Stretches of the run without a pause of a day (from and before): a file may hold tests that lie years apart.
    pub fn stretches(&self) -> Vec<(i64, i64)> {
        let day = DAY_S / self.slot_s;
        let stretches = self.slots.chunk_by(|a, b| b - a <= day);
        stretches.filter_map(|stretch| Some((*stretch.first()?, stretch.last()? + 1))).collect()
    }

    /// When a slot begins.
    pub fn time(&self, slot: i64) -> UtcTime {
        UtcTime::from_unix_s(slot * self.slot_s).unwrap_or(self.begins)
    }

    /// How many slots an hour has.
    pub fn slots_an_hour(&self) -> i64 {
        3600 / self.slot_s
    }

    /// UTC hour in which a slot begins.
    pub fn hour(&self, slot: i64) -> usize {
        usize::from(self.time(slot).hour())
    }
}

/// How many of some slots in order lie from `from` on and before `to`.
pub fn count_within(slots: &[i64], from: i64, to: i64) -> usize {
    let before = |limit: i64| slots.partition_point(|&slot| slot < limit);
    before(to).saturating_sub(before(from))
}
