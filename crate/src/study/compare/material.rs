//! Reports and pairs of two runs, and the result for any part of them.

use super::ground::Shared;
use super::{LEAST_BLOCKS, LEAST_LISTENERS, LEAST_PAIRS, Part, Settings, Verdict, enough};
use crate::model::{Band, CallId};
use crate::order::{LightSort, Sums, distinct, distinct_numbers};
use crate::study::days::several_days;
use crate::study::distribution::mcnemar_exact;
use crate::study::interval::{Estimate, Grouped, clustered};
use crate::study::pairs::{Pair, Report, Timing, by_listener, pairs};
use crate::study::safe::{Safe, safe};
use crate::study::statistics::median;
use crate::time::UtcTime;

/// The control's own mean difference per listener, band and block, dB.
pub(super) type ControlDifferences = Sums;

/// The group of a pair among the control's differences.
fn control_key(pair: &Pair, timing: Timing) -> [i64; 3] {
    [i64::from(pair.listener.0), pair.band.order(), pair.block(timing)]
}

/// Everything that the parts are cut from.
pub(super) struct Material {
    pub a: Vec<Report>,
    pub b: Vec<Report>,
    pub pairs: Vec<Pair>,
    /// Place of every call in the alphabet.
    pub ranks: Vec<u32>,
    pub control: Option<ControlDifferences>,
    pub timing: Timing,
    pub days: (usize, usize),
    pub floor_db: f64,
    /// The safe ones among all pairs.
    pub safe: Safe,
    pub settings: Settings,
    /// Hours with a spot of either.
    pub hours: f64,
}

/// Where a report or a pair belongs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Belongs {
    pub listener: CallId,
    pub band: Band,
    /// UTC hour of the day, 0 to 23.
    pub hour: i64,
    /// When A and when B was heard; a report's own time twice.
    pub times: [UtcTime; 2],
}

/// Puts pairs in order of call, band and time, so that sums over them do not hang on the order of rows.
pub(super) fn put_in_order(pairs: &mut [Pair], ranks: &[u32]) {
    let key = |pair: &Pair| {
        let (a, b) = (pair.time_a.unix_s(), pair.time_b.unix_s());
        (ranks[pair.listener.index()], pair.band, a + b, a.min(b))
    };
    // as they are unless several days were paired
    if !pairs.is_sorted_by_key(key) {
        pairs.order_by_key(key);
    }
}

/// The pairs of every A day with every B day.
pub(super) fn pairs_of_days(days_a: &[Vec<Report>], days_b: &[Vec<Report>], ranks: &[u32]) -> Vec<Pair> {
    let in_order = |days: &[Vec<Report>]| -> Vec<_> { days.iter().map(|day| by_listener(day, ranks)).collect() };
    let (days_a, days_b) = (in_order(days_a), in_order(days_b));
    let mut all = Vec::new();
    for (i, day_a) in days_a.iter().enumerate() {
        for (j, day_b) in days_b.iter().enumerate() {
            let of_days = pairs(day_a, day_b, Timing::SeparateDays, ranks);
            all.extend(of_days.into_iter().map(|pair| Pair { days: (i, j), ..pair }));
        }
    }
    all
}

/// Is there a pair that the control says anything of?
pub(super) fn reaches(control: &ControlDifferences, pairs: &[Pair]) -> bool {
    pairs.iter().any(|pair| control.mean(control_key(pair, Timing::SeparateDays)).is_some())
}

/// The control's own mean difference per listener, band and hour of the day, from its safe pairs.
pub(super) fn control_differences(a: &[Report], b: &[Report], floor_db: f64, ranks: &[u32]) -> ControlDifferences {
    let mut all = pairs(a, b, Timing::SeparateDays, ranks);
    put_in_order(&mut all, ranks);
    let mut sums = Sums::default();
    for band in distinct(all.iter().map(|pair| pair.band)) {
        let of_band: Vec<&Pair> = all.iter().filter(|pair| pair.band == band).collect();
        for at in safe(&of_band, floor_db).chosen {
            let pair = of_band[at];
            sums.add(control_key(pair, Timing::SeparateDays), pair.difference_db);
        }
    }
    sums
}

/// The pairs and reports of one part.
#[derive(Clone, Default)]
pub(super) struct Cut<'m> {
    pairs: Vec<&'m Pair>,
    a: Vec<&'m Report>,
    b: Vec<&'m Report>,
}

impl Cut<'_> {
    /// The band of its first report; `None` where there is none of either run.
    pub(super) fn band(&self) -> Option<Band> {
        self.a.first().or(self.b.first()).map(|report| report.band)
    }
}

/// An estimate with its 95 % interval.
#[derive(Clone, Copy, Debug)]
pub(super) struct Interval {
    pub mean_db: f64,
    /// Infinite where it cannot be told.
    pub half_width_db: f64,
    /// What the pairs alone would make it.
    pub of_pairs_db: f64,
    /// Two-sided probability of so large a difference by chance; 1 where it cannot be told.
    pub probability: f64,
}

impl Interval {
    /// Lower and upper end, dB; `None` where they cannot be told.
    pub(super) fn ends(&self) -> Option<(f64, f64)> {
        self.half_width_db.is_finite().then_some((self.mean_db - self.half_width_db, self.mean_db + self.half_width_db))
    }
}

impl Material {
    /// Pairs and reports cut into so many parts by the number that `part_of` gives, in one pass;
    /// what it gives no number below that is in none.
    ///
    /// Not generic: it is compiled once, not once for every kind of part.
    pub(super) fn cuts(&self, parts: usize, part_of: &dyn Fn(Belongs) -> Option<usize>) -> Vec<Cut<'_>> {
        let mut cuts = vec![Cut::default(); parts];
        for pair in &self.pairs {
            if let Some(cut) = part_of(self.place_of_pair(pair)).and_then(|part| cuts.get_mut(part)) {
                cut.pairs.push(pair);
            }
        }
        for report in &self.a {
            if let Some(cut) = part_of(place_of(report)).and_then(|part| cuts.get_mut(part)) {
                cut.a.push(report);
            }
        }
        for report in &self.b {
            if let Some(cut) = part_of(place_of(report)).and_then(|part| cuts.get_mut(part)) {
                cut.b.push(report);
            }
        }
        cuts
    }

    /// All pairs and reports.
    pub(super) fn whole(&self) -> Cut<'_> {
        Cut { pairs: self.pairs.iter().collect(), a: self.a.iter().collect(), b: self.b.iter().collect() }
    }

    /// The result over everything.
    pub(super) fn all(&self) -> Part {
        self.part_of(&self.whole(), &self.safe)
    }

    /// The result for a part.
    pub(super) fn part(&self, cut: &Cut<'_>) -> Part {
        self.part_of(cut, &safe(&cut.pairs, self.floor_db))
    }

    fn part_of(&self, cut: &Cut<'_>, chosen: &Safe) -> Part {
        let own = &cut.pairs;
        let used = || chosen.chosen.iter().map(|&at| own[at]);
        let values: Vec<Grouped> = used().filter_map(|pair| Some(self.grouped(&self.without_control(pair)?))).collect();
        let (only_a, only_b) = only(cut);
        let mut part = Part {
            pairs: own.len(),
            pairs_used: values.len(),
            listeners: 0,
            blocks: 0,
            margin_db: chosen.margin_db,
            difference_db: None,
            median_db: None,
            low_db: None,
            high_db: None,
            pairs_half_width_db: None,
            control_db: self.control.as_ref().and_then(|_| self.taken_off(cut, chosen)),
            probability: 1.0,
            verdict: Verdict::NotEnough,
            holds_together: false,
            only_a,
            only_b,
            only_probability: mcnemar_exact(only_a as u64, only_b as u64),
            all_pairs_db: mean(own.iter().map(|pair| pair.difference_db)),
            plain_difference_db: plain_difference(cut),
            more_hours: None,
        };
        if let Some(estimate) = clustered(&values) {
            part.median_db = median(&mut values.iter().map(|grouped| grouped.value).collect::<Vec<_>>());
            self.conclude(&mut part, estimate, &mut used());
        }
        part
    }

    /// A pair as a value with its groups.
    pub(super) fn grouped(&self, pair: &Pair) -> Grouped {
        Grouped {
            value: pair.difference_db,
            listener: self.ranks[pair.listener.index()],
            block: pair.block(self.timing),
        }
    }

    fn place_of_pair(&self, pair: &Pair) -> Belongs {
        let hour = pair.block(self.timing).rem_euclid(24);
        Belongs { listener: pair.listener, band: pair.band, hour, times: [pair.time_a, pair.time_b] }
    }

    /// The pair with the control's own difference at the same listener and hour taken off;
    /// `None` where there is a control but not for this pair.
    pub(super) fn without_control(&self, pair: &Pair) -> Option<Pair> {
        let Some(control) = &self.control else { return Some(*pair) };
        let own = control.mean(control_key(pair, self.timing))?;
        Some(Pair { difference_db: pair.difference_db - own, ..*pair })
    }

    /// Mean of what the control takes off the chosen pairs, dB.
    fn taken_off(&self, cut: &Cut<'_>, chosen: &Safe) -> Option<f64> {
        let pairs = chosen.chosen.iter().map(|&at| cut.pairs[at]);
        mean(pairs.filter_map(|pair| Some(pair.difference_db - self.without_control(pair)?.difference_db)))
    }

    /// Fills in estimate, interval and verdict.
    fn conclude(&self, part: &mut Part, estimate: Estimate, used: &mut dyn Iterator<Item = &Pair>) {
        part.listeners = estimate.listeners;
        part.blocks = estimate.blocks;
        let interval = self.interval(estimate, used);
        part.difference_db = Some(interval.mean_db);
        let Some((low, high)) = interval.ends() else { return };
        part.low_db = Some(low);
        part.high_db = Some(high);
        part.pairs_half_width_db = Some(interval.of_pairs_db);
        part.probability = interval.probability;
        let small = self.settings.too_small_db;
        part.verdict = match () {
            () if !enough(part) => Verdict::NotEnough,
            () if low > 0.0 => Verdict::BStronger,
            () if high < 0.0 => Verdict::AStronger,
            () if -small <= low && high <= small => Verdict::NoDifference,
            () => Verdict::NotEnough,
        };
        if part.verdict == Verdict::NotEnough {
            part.more_hours = self.more_hours(part, &interval);
        }
    }

    /// The interval about an estimate from pairs, and the probability that matches it, allowances included.
    pub(super) fn interval(&self, estimate: Estimate, used: &mut dyn Iterator<Item = &Pair>) -> Interval {
        let of_pairs_db = estimate.half_width_db();
        let (mean_db, half_width_db) = self.widened(estimate.mean_db, of_pairs_db, used);
        let mut probability = 1.0;
        if half_width_db.is_finite() {
            let widening = if of_pairs_db > 0.0 { half_width_db / of_pairs_db } else { 1.0 };
            let error_db = estimate.error_db * widening;
            probability = Estimate { mean_db, error_db, ..estimate }.probability();
        }
        Interval { mean_db, half_width_db, of_pairs_db, probability }
    }

    /// Mean and half-width of the interval with what days alone may change, dB.
    fn widened(&self, mean_db: f64, of_pairs: f64, used: &mut dyn Iterator<Item = &Pair>) -> (f64, f64) {
        if self.timing == Timing::Interleaved || self.control.is_some() {
            return (mean_db, of_pairs);
        }
        match several_days(&used.collect::<Vec<_>>(), self.settings.day_to_day_db) {
            Some(days) => (days.mean_db, days.half_width_db.max(of_pairs)),
            None => (mean_db, of_pairs.hypot(1.96 * self.settings.day_to_day_db)),
        }
    }

    /// How many more hours of the same test would settle it: the half-width shrinks with the root of time.
    /// `None` where the days or listeners, not the pairs, are what is lacking.
    fn more_hours(&self, part: &Part, interval: &Interval) -> Option<f64> {
        let Interval { mean_db, half_width_db, of_pairs_db, .. } = *interval;
        if half_width_db > of_pairs_db * 1.01 || part.pairs_used == 0 || part.listeners < LEAST_LISTENERS {
            return None;
        }
        let wanted = mean_db.abs().max(self.settings.too_small_db - mean_db.abs());
        let by_width = (half_width_db / wanted).powi(2);
        let by_pairs = LEAST_PAIRS as f64 / part.pairs_used as f64;
        let by_blocks = LEAST_BLOCKS as f64 / part.blocks.max(1) as f64;
        Some(self.hours * (by_width.max(by_pairs).max(by_blocks) - 1.0).max(0.0))
    }
}

/// Listeners that reported one antenna only.
fn only(cut: &Cut<'_>) -> (usize, usize) {
    // reports of one listener follow each other
    let heard = |reports: &[&Report]| {
        let of_each = reports.chunk_by(|a, b| a.listener == b.listener).filter_map(|own| own.first());
        distinct_numbers(of_each.map(|report| i64::from(report.listener.0)))
    };
    let shared = Shared::of(&heard(&cut.a), &heard(&cut.b));
    (shared.only_a, shared.only_b)
}

/// Mean of all B reports less mean of all A reports, dB.
fn plain_difference(cut: &Cut<'_>) -> Option<f64> {
    let level = |reports: &[&Report]| mean(reports.iter().map(|report| report.level_db));
    Some(level(&cut.b)? - level(&cut.a)?)
}

fn place_of(report: &Report) -> Belongs {
    let hour = i64::from(report.time.second_of_day() / 3600);
    Belongs { listener: report.listener, band: report.band, hour, times: [report.time; 2] }
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, n) = values.fold((0.0, 0.0), |(sum, n), value| (sum + value, n + 1.0));
    (n > 0.0).then(|| sum / n)
}
