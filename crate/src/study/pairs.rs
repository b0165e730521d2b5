//! Pairs: one spot of antenna A and one of antenna B, of the same listener on the same band.
//!
//! Only what one listener reported of both is compared, since listeners differ far more than antennas do.

use super::runs::Run;
use super::subject::Subject;
use crate::model::{Band, CallId, RowSet};
use crate::order::{LightSort, by_small_number, distinct_numbers};
use crate::time::{DAY_S, UtcTime, WSPR_SLOT_S};

/// Spots of runs that alternate may be at most this many spacings between sends apart.
const SPACINGS_APART: f64 = 1.5;
/// And never longer than this apart, seconds.
const MOST_APART_S: i64 = 1_800;
/// Spots of different days are paired within so much of the same time of day, seconds.
const SAME_TIME_S: i64 = 900;
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
/// In order of listener (by `ranks`, its place by number of call), band and time.
/// Beside them, how many weaker ones were left out.
pub fn reports(subject: &Subject<'_>, rows: &RowSet, run: &Run, ranks: &[u32]) -> (Vec<Report>, usize) {
    let table = subject.table();
    let mut reports: Vec<Report> = rows
        .iter()
        .filter_map(|row| {
            let (snr_db, level_db) = (table.snr_db(row)?, run.level_db(table, row)?);
            let (listener, band, time) = (subject.far_call(row), table.band(row), table.time(row));
            Some(Report { listener, band, time, snr_db, level_db })
        })
        .collect();
    // files are mostly in order of time
    if !reports.is_sorted_by_key(|report| report.time) {
        reports.order_by_key(|report| report.time);
    }
    let mut reports = by_listener(&reports, ranks);
    let all = reports.len();
    let slot = |report: &Report| (report.listener, report.band, report.time.unix_s().div_euclid(WSPR_SLOT_S));
    // the strongest of a slot stays, among equals the same one whatever the order of rows
    reports.dedup_by(|later, kept| {
        let same = slot(later) == slot(kept);
        let order = later.level_db.total_cmp(&kept.level_db).then(later.snr_db.total_cmp(&kept.snr_db));
        if same && order.then(kept.time.cmp(&later.time)).is_gt() {
            *kept = *later;
        }
        same
    });
    let left_out = all - reports.len();
    (reports, left_out)
}

/// Reports that stand in order of time, in order of listener (by its rank), band and time.
pub fn by_listener(reports: &[Report], ranks: &[u32]) -> Vec<Report> {
    let reports = by_small_number(reports, Band::COUNT, |report| report.band.index());
    by_small_number(&reports, ranks.len(), |report| ranks[report.listener.index()] as usize)
}

/// Do two runs take turns, or lie apart in time?
pub fn timing(a: &[Report], b: &[Report]) -> Timing {
    let hours =
        |reports: &[Report]| distinct_numbers(reports.iter().map(|report| report.time.unix_s().div_euclid(3600)));
    let (hours_a, hours_b) = (hours(a), hours(b));
    let fewer = hours_a.len().min(hours_b.len());
    let both = hours_a.iter().filter(|hour| hours_b.binary_search(hour).is_ok()).count();
    if fewer > 0 && both as f64 >= TAKE_TURNS_SHARE * fewer as f64 { Timing::Interleaved } else { Timing::SeparateDays }
}

/// Pairs of all listeners and bands, in order of listener, band and time. Both runs' reports stand in the order that
/// [`reports`] gives them.
///
/// Candidates of a listener and band are taken in order of time apart, the earlier first among equals,
/// while both spots are free: each spot is in one pair at most, and exchanging A and B gives the same pairs.
/// Where antennas take turns for hours without a gap each spot is so paired with the one behind it, and a band that opens
/// or closes by 3 dB an hour adds half a dB (over a day that evens out). Leaving out a spot in the middle of such a row,
/// or all of the first ones for half of the listeners, would end that, but was tried with `calibrate` and held the truth
/// less often: 92.8 and 94.8 % instead of 95.8 %.
pub fn pairs(a: &[Report], b: &[Report], timing: Timing, ranks: &[u32]) -> Vec<Pair> {
    let spacing = match timing {
        Timing::Interleaved => spacings(a, b),
        Timing::SeparateDays => Vec::new(),
    };
    let mut all = Vec::new();
    let key = |report: &Report| (ranks[report.listener.index()], report.band);
    for reports_a in a.chunk_by(|x, y| key(x) == key(y)) {
        let Some(first) = reports_a.first() else { continue };
        let wanted = key(first);
        let from = b.partition_point(|report| key(report) < wanted);
        let to = b.partition_point(|report| key(report) <= wanted);
        let most_s = match timing {
            Timing::Interleaved => {
                let of_band = spacing.iter().filter(|(band, _)| *band == wanted.1).map(|&(_, apart)| apart);
                of_band.max().unwrap_or(MOST_APART_S)
            }
            Timing::SeparateDays => SAME_TIME_S,
        };
        match_up(reports_a, &b[from..to], timing, most_s, &mut all);
    }
    all
}

/// Per band and run, how far apart two spots of runs that take turns may be, seconds.
fn spacings(a: &[Report], b: &[Report]) -> Vec<(Band, i64)> {
    let spacings = [send_spacing(a), send_spacing(b)].concat();
    #[expect(clippy::cast_possible_truncation, reason = "at most half an hour")]
    let apart = |spacing: i64| ((spacing as f64 * SPACINGS_APART) as i64).min(MOST_APART_S);
    spacings.into_iter().map(|(band, spacing)| (band, apart(spacing))).collect()
}

/// Median time between successive sends that anyone heard, per band, seconds.
fn send_spacing(reports: &[Report]) -> Vec<(Band, i64)> {
    let of_bands = by_small_number(reports, Band::COUNT, |report| report.band.index());
    of_bands
        .chunk_by(|x, y| x.band == y.band)
        .filter_map(|of_band| {
            let sends = distinct_numbers(of_band.iter().map(|report| report.time.unix_s().div_euclid(WSPR_SLOT_S)));
            let mut gaps: Vec<i64> = sends.windows(2).map(|pair| pair[1] - pair[0]).collect();
            gaps.order_by(i64::cmp);
            Some((of_band.first()?.band, gaps.get(gaps.len() / 2)? * WSPR_SLOT_S))
        })
        .collect()
}

/// Seconds by which B's time of day lies after A's, from -half a day up to half a day.
fn time_of_day_shift(a: UtcTime, b: UtcTime) -> i64 {
    (b.unix_s() - a.unix_s() + DAY_S / 2).rem_euclid(DAY_S) - DAY_S / 2
}

/// Two reports that may become a pair.
#[derive(Clone, Copy)]
struct Candidate {
    apart_s: usize,
    /// Which comes first among those as far apart, by the sum of both times, then by the first of them.
    order: (i64, i64),
    i: usize,
    j: usize,
}

fn match_up(a: &[Report], b: &[Report], timing: Timing, most_s: i64, all: &mut Vec<Pair>) {
    let apart = |x: &Report, y: &Report| match timing {
        Timing::Interleaved => (y.time.unix_s() - x.time.unix_s()).abs(),
        Timing::SeparateDays => time_of_day_shift(x.time, y.time).abs(),
    };
    // in order of time, or of the time of day, only near ones need be looked at
    let place = |report: &Report| match timing {
        Timing::Interleaved => report.time.unix_s(),
        Timing::SeparateDays => i64::from(report.time.second_of_day()),
    };
    let mut places: Vec<(i64, usize)> = b.iter().enumerate().map(|(j, y)| (place(y), j)).collect();
    if timing == Timing::SeparateDays {
        // around midnight too
        for at in 0..places.len() {
            let (place, j) = places[at];
            places.extend([(place - DAY_S, j), (place + DAY_S, j)]);
        }
        places.order_by_key(|&place| place);
    }
    let mut candidates = Vec::new();
    for (i, x) in a.iter().enumerate() {
        let from = places.partition_point(|&(at, _)| at < place(x) - most_s);
        for &(_, j) in places[from..].iter().take_while(|&&(at, _)| at <= place(x) + most_s) {
            let y = &b[j];
            let order = (x.time.unix_s() + y.time.unix_s(), x.time.min(y.time).unix_s());
            candidates.push(Candidate { apart_s: usize::try_from(apart(x, y)).unwrap_or(0), order, i, j });
        }
    }
    let mut candidates = by_small_number(&candidates, usize::try_from(most_s).unwrap_or(0) + 1, |one| one.apart_s);
    for alike in candidates.chunk_by_mut(|a, b| a.apart_s == b.apart_s) {
        // as they are where antennas take turns in one rhythm
        if !alike.is_sorted_by_key(|one| one.order) {
            alike.order_by_key(|one| one.order);
        }
    }
    let (mut free_a, mut free_b) = (vec![true; a.len()], vec![true; b.len()]);
    let start = all.len();
    for Candidate { i, j, .. } in candidates {
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
    all[start..].order_by_key(|pair| pair.time_a.unix_s() + pair.time_b.unix_s());
}
