//! Pairs: one spot of antenna A and one of antenna B, of the same listener on the same band.
//!
//! Only what one listener reported of both is compared, since listeners differ far more than antennas do.

use std::collections::BTreeMap;

use super::runs::Run;
use super::subject::Subject;
use crate::model::{Band, CallId, RowSet};
use crate::time::{DAY_S, UtcTime};

/// Spots of runs that alternate may be at most this many spacings between sends apart.
const SPACINGS_APART: f64 = 1.5;
/// And never longer than this apart, seconds.
const MOST_APART_S: i64 = 1_800;
/// Spots of different days are paired within so much of the same time of day, seconds.
const SAME_TIME_S: i64 = 900;
/// A slot of the mode, seconds.
const SLOT_S: i64 = 120;
/// Runs take turns if of the fewer hours at least this share holds spots of both.
const TAKE_TURNS_SHARE: f64 = 0.25;

/// How the two runs lie in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Timing {
    /// They alternate or go on at the same time.
    Interleaved,
    /// They lie on different days or at different hours.
    SeparateDays,
}

/// One cleaned spot that can be paired.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Report {
    /// Far call.
    pub listener: CallId,
    /// Band.
    pub band: Band,
    /// Start of the slot.
    pub time: UtcTime,
    /// SNR as reported, dB.
    pub snr_db: f64,
    /// SNR normalised to 1 W at the antenna, dB.
    pub level_db: f64,
}

/// One pair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Far call.
    pub listener: CallId,
    /// Band.
    pub band: Band,
    /// When A was heard.
    pub time_a: UtcTime,
    /// When B was heard.
    pub time_b: UtcTime,
    /// SNR of A as reported, dB.
    pub snr_a_db: f64,
    /// SNR of B as reported, dB.
    pub snr_b_db: f64,
    /// Normalised difference B less A, dB.
    pub difference_db: f64,
    /// Day of A and day of B, each counted from 0 within its run, where runs have several days.
    pub days: (usize, usize),
}

impl Pair {
    /// Difference B less A as reported, dB.
    pub fn reported_difference_db(&self) -> f64 {
        self.snr_b_db - self.snr_a_db
    }

    /// Mean of both as reported, dB: what selection goes by, since it says nothing about the difference.
    pub fn mean_db(&self) -> f64 {
        f64::midpoint(self.snr_a_db, self.snr_b_db)
    }

    /// The one-hour block the pair belongs to.
    ///
    /// Interleaved: hours since 1970 of the middle between both. Separate days: the hour of the day, 0 to 23.
    pub fn block(&self, timing: Timing) -> i64 {
        match timing {
            Timing::Interleaved => (self.time_a.unix_s() + self.time_b.unix_s()).div_euclid(2 * 3600),
            Timing::SeparateDays => {
                let of_day = i64::from(self.time_a.second_of_day());
                let shift = time_of_day_shift(self.time_a, self.time_b);
                (2 * of_day + shift).rem_euclid(2 * DAY_S) / 7200
            }
        }
    }
}

/// The reports of a run that carry a level: the same listener twice in one slot on one band counts with the stronger.
/// Beside them, how many weaker ones were left out.
pub fn reports(subject: &Subject<'_>, rows: &RowSet, run: &Run) -> (Vec<Report>, usize) {
    let table = subject.table();
    let mut strongest: BTreeMap<(CallId, Band, i64), Report> = BTreeMap::new();
    let mut left_out = 0;
    for row in rows.iter() {
        let (Some(snr_db), Some(level_db)) = (table.snr_db(row), run.level_db(table, row)) else { continue };
        let (listener, band, time) = (subject.far_call(row), table.band(row), table.time(row));
        let report = Report { listener, band, time, snr_db, level_db };
        strongest
            .entry((listener, band, time.unix_s().div_euclid(SLOT_S)))
            .and_modify(|kept| {
                left_out += 1;
                // among equals the same one whatever the order of rows
                let stronger = report.level_db.total_cmp(&kept.level_db).then(report.snr_db.total_cmp(&kept.snr_db));
                if stronger.then(kept.time.cmp(&report.time)).is_gt() {
                    *kept = report;
                }
            })
            .or_insert(report);
    }
    (strongest.into_values().collect(), left_out)
}

/// Do two runs take turns, or lie apart in time?
pub fn timing(a: &[Report], b: &[Report]) -> Timing {
    let hours = |reports: &[Report]| -> std::collections::BTreeSet<i64> {
        reports.iter().map(|report| report.time.unix_s().div_euclid(3600)).collect()
    };
    let (hours_a, hours_b) = (hours(a), hours(b));
    let fewer = hours_a.len().min(hours_b.len());
    let both = hours_a.intersection(&hours_b).count();
    if fewer > 0 && both as f64 >= TAKE_TURNS_SHARE * fewer as f64 { Timing::Interleaved } else { Timing::SeparateDays }
}

/// Pairs of all listeners and bands, in order of listener, band and time.
///
/// Candidates of a listener and band are taken in order of time apart, the earlier first among equals,
/// while both spots are free: each spot is in one pair at most, and exchanging A and B gives the same pairs.
pub fn pairs(a: &[Report], b: &[Report], timing: Timing) -> Vec<Pair> {
    let (by_listener_a, by_listener_b) = (grouped(a), grouped(b));
    let spacing = match timing {
        Timing::Interleaved => spacings(a, b),
        Timing::SeparateDays => BTreeMap::new(),
    };
    let mut all = Vec::new();
    for (key, reports_a) in &by_listener_a {
        let Some(reports_b) = by_listener_b.get(key) else { continue };
        let most_s = match timing {
            Timing::Interleaved => spacing.get(&key.1).copied().unwrap_or(MOST_APART_S),
            Timing::SeparateDays => SAME_TIME_S,
        };
        match_up(reports_a, reports_b, timing, most_s, &mut all);
    }
    all
}

fn grouped(reports: &[Report]) -> BTreeMap<(CallId, Band), Vec<Report>> {
    let mut groups: BTreeMap<(CallId, Band), Vec<Report>> = BTreeMap::new();
    for report in reports {
        groups.entry((report.listener, report.band)).or_default().push(*report);
    }
    for group in groups.values_mut() {
        group.sort_by_key(|report| report.time);
    }
    groups
}

/// Per band, how far apart two spots of runs that take turns may be, seconds.
fn spacings(a: &[Report], b: &[Report]) -> BTreeMap<Band, i64> {
    let (of_a, of_b) = (send_spacing(a), send_spacing(b));
    let mut most = BTreeMap::new();
    for (band, spacing) in of_a.iter().chain(&of_b) {
        #[expect(clippy::cast_possible_truncation, reason = "at most half an hour")]
        let apart = ((*spacing as f64 * SPACINGS_APART) as i64).min(MOST_APART_S);
        let kept = most.entry(*band).or_insert(apart);
        *kept = apart.max(*kept);
    }
    most
}

/// Median time between successive sends that anyone heard, per band, seconds.
fn send_spacing(reports: &[Report]) -> BTreeMap<Band, i64> {
    let mut sends: BTreeMap<Band, std::collections::BTreeSet<i64>> = BTreeMap::new();
    for report in reports {
        sends.entry(report.band).or_default().insert(report.time.unix_s().div_euclid(SLOT_S));
    }
    sends
        .into_iter()
        .filter_map(|(band, slots)| {
            let slots: Vec<i64> = slots.into_iter().collect();
            let mut gaps: Vec<i64> = slots.windows(2).map(|pair| pair[1] - pair[0]).collect();
            gaps.sort_unstable();
            gaps.get(gaps.len() / 2).map(|slots| (band, slots * SLOT_S))
        })
        .collect()
}

/// Seconds by which B's time of day lies after A's, from -half a day up to half a day.
fn time_of_day_shift(a: UtcTime, b: UtcTime) -> i64 {
    (b.unix_s() - a.unix_s() + DAY_S / 2).rem_euclid(DAY_S) - DAY_S / 2
}

fn match_up(a: &[Report], b: &[Report], timing: Timing, most_s: i64, all: &mut Vec<Pair>) {
    let apart = |x: &Report, y: &Report| match timing {
        Timing::Interleaved => (y.time.unix_s() - x.time.unix_s()).abs(),
        Timing::SeparateDays => time_of_day_shift(x.time, y.time).abs(),
    };
    let mut candidates = Vec::new();
    for (i, x) in a.iter().enumerate() {
        // in time order, so that runs that take turns need look at near ones only
        let from = match timing {
            Timing::Interleaved => b.partition_point(|y| y.time.unix_s() < x.time.unix_s() - most_s),
            Timing::SeparateDays => 0,
        };
        for (j, y) in b.iter().enumerate().skip(from) {
            if timing == Timing::Interleaved && y.time.unix_s() > x.time.unix_s() + most_s {
                break;
            }
            let seconds = apart(x, y);
            if seconds <= most_s {
                candidates.push((seconds, x.time.unix_s() + y.time.unix_s(), x.time.min(y.time), i, j));
            }
        }
    }
    candidates.sort_unstable_by_key(|&(seconds, sum, first, _, _)| (seconds, sum, first));
    let (mut free_a, mut free_b) = (vec![true; a.len()], vec![true; b.len()]);
    let start = all.len();
    for (_, _, _, i, j) in candidates {
        if free_a[i] && free_b[j] {
            free_a[i] = false;
            free_b[j] = false;
            let (x, y) = (&a[i], &b[j]);
            all.push(Pair {
                listener: x.listener,
                band: x.band,
                time_a: x.time,
                time_b: y.time,
                snr_a_db: x.snr_db,
                snr_b_db: y.snr_db,
                difference_db: y.level_db - x.level_db,
                days: (0, 0),
            });
        }
    }
    all[start..].sort_by_key(|pair| pair.time_a.unix_s() + pair.time_b.unix_s());
}
