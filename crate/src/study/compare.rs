//! Two antennas compared: how far B is above A, in dB, on which band, where, and how sure that is.
//!
//! The steps are those of [`super::pairs`] (same listener, same band), [`super::safe`] (far enough above the floor),
//! [`super::interval`] (how sure) and [`super::days`] (where runs lie on different days).
//! Exchanging A and B flips every sign; the order of rows and files changes nothing.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::bearings::{WIDTH_DEG, sector_of};
use super::days::{by_day, several_days};
use super::distribution::mcnemar_exact;
use super::interval::{Estimate, Grouped, clustered, holm};
use super::pairs::{Pair, Report, Timing, pairs, reports, timing};
use super::reach::CLASS_EDGES_KM;
use super::runs::Run;
use super::safe::{floor_db, safe};
use super::statistics::median;
use super::subject::Subject;
use crate::model::{Band, CallId, RowSet};

/// Below these nothing is claimed.
pub const LEAST_PAIRS: usize = 20;
/// See [`LEAST_PAIRS`].
pub const LEAST_LISTENERS: usize = 5;
/// See [`LEAST_PAIRS`].
pub const LEAST_BLOCKS: usize = 3;

/// What a person may change about the verdict.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// A difference within plus or minus this is too small to matter, dB.
    pub too_small_db: f64,
    /// Assumed standard deviation between two days, dB; used only where the data cannot tell it.
    pub day_to_day_db: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self { too_small_db: 1.5, day_to_day_db: 4.0 }
    }
}

/// How the test was laid out, as far as the data show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Design {
    /// Antennas take turns, or two senders at once.
    Interleaved,
    /// Different days, nothing to tell days apart from antennas but several of them.
    SeparateDays,
    /// Different days with a beacon whose antenna did not change.
    SeparateDaysControl,
}

/// What can be said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The interval lies above zero.
    BStronger,
    /// The interval lies below zero.
    AStronger,
    /// The interval lies within what is too small to matter.
    NoDifference,
    /// None of these, or too few pairs, listeners or hours.
    NotEnough,
}

/// A run with its spots.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// The run.
    pub run: &'a Run,
    /// Its rows.
    pub rows: &'a RowSet,
}

/// The result for one part of the spots: a band, a sector, or all.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// All pairs.
    pub pairs: usize,
    /// Safe pairs, which alone are used.
    pub pairs_used: usize,
    /// Listeners among the safe pairs.
    pub listeners: usize,
    /// One-hour blocks among the safe pairs.
    pub blocks: usize,
    /// Margin over the floor that chose them, dB.
    pub margin_db: f64,
    /// How far B is above A, dB.
    pub difference_db: Option<f64>,
    /// Median of the same, dB, beside the mean.
    pub median_db: Option<f64>,
    /// Lower end of the 95 % interval, dB.
    pub low_db: Option<f64>,
    /// Upper end, dB.
    pub high_db: Option<f64>,
    /// Half-width of the interval from pairs alone, before any allowance for days, dB.
    pub pairs_half_width_db: Option<f64>,
    /// Two-sided probability of so large a difference by chance.
    pub probability: f64,
    /// What can be said.
    pub verdict: Verdict,
    /// Does it hold when all parts of its kind are looked at together?
    pub holds_together: bool,
    /// Listeners that reported A only.
    pub only_a: usize,
    /// Listeners that reported B only.
    pub only_b: usize,
    /// Exact `McNemar` test of these two counts.
    pub only_probability: f64,
    /// Mean difference over all pairs, safe or not, dB: shown because it understates a real difference.
    pub all_pairs_db: Option<f64>,
    /// Mean of all B spots less mean of all A spots, normalised, dB: shown because people would reckon so, and misled.
    pub plain_difference_db: Option<f64>,
    /// Further hours of the same test after which it could be told, where that can be foreseen.
    pub more_hours: Option<f64>,
}

/// The whole comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// How the test was laid out.
    pub design: Design,
    /// Decoding floor, dB in 2500 Hz.
    pub floor_db: f64,
    /// Days of A and of B, where they count.
    pub days: (usize, usize),
    /// Weaker reports left out where a listener reported one slot twice, A and B.
    pub left_out: (usize, usize),
    /// Over all bands.
    pub all: Part,
    /// Per band, in order of wavelength.
    pub bands: Vec<(Band, Part)>,
    /// Per sector of bearing (lower edge in degrees), all bands.
    pub sectors: Vec<(f64, Part)>,
    /// Per distance class (edges in km), all bands.
    pub distances: Vec<((f64, f64), Part)>,
}

/// Everything that the parts are cut from.
struct Material {
    a: Vec<Report>,
    b: Vec<Report>,
    pairs: Vec<Pair>,
    control: Option<BTreeMap<(CallId, Band, i64), f64>>,
    timing: Timing,
    days: (usize, usize),
    floor_db: f64,
    settings: Settings,
    hours: f64,
}

/// Compares two runs. `control` names a beacon whose antenna did not change, with its own rows in either period.
///
/// `None` if neither run has a report with a level.
pub fn compare(
    subject: &Subject<'_>,
    a: Side<'_>,
    b: Side<'_>,
    control: Option<(&Subject<'_>, &RowSet, &RowSet)>,
    settings: Settings,
) -> Option<Comparison> {
    let (reports_a, left_a) = reports(subject, a.rows, a.run);
    let (reports_b, left_b) = reports(subject, b.rows, b.run);
    let table = subject.table();
    let floor_db = floor_db((0..table.len()).filter_map(|row| table.snr_db(row)).collect())?;
    let timing = timing(&reports_a, &reports_b);
    let mut days = (1, 1);
    let (all_pairs, control) = match (timing, control) {
        (Timing::Interleaved, _) => (pairs(&reports_a, &reports_b, timing), None),
        (Timing::SeparateDays, Some((control, rows_a, rows_b))) => {
            let own = |rows| reports(control, rows, &Run::default()).0;
            let differences = control_differences(&own(rows_a), &own(rows_b), floor_db);
            (pairs(&reports_a, &reports_b, timing), Some(differences))
        }
        (Timing::SeparateDays, None) => {
            let (days_a, days_b) = (by_day(&reports_a, &a.run.rule), by_day(&reports_b, &b.run.rule));
            days = (days_a.len(), days_b.len());
            (pairs_of_days(&days_a, &days_b), None)
        }
    };
    let hours = |reports: &[Report]| reports.iter().map(|report| report.time.unix_s() / 3600).collect::<BTreeSet<_>>();
    let material = Material {
        hours: hours(&reports_a).union(&hours(&reports_b)).count() as f64,
        a: reports_a,
        b: reports_b,
        pairs: all_pairs,
        control,
        timing,
        days,
        floor_db,
        settings,
    };
    if material.a.is_empty() && material.b.is_empty() {
        return None;
    }
    Some(Comparison {
        design: match (timing, &material.control) {
            (Timing::Interleaved, _) => Design::Interleaved,
            (Timing::SeparateDays, None) => Design::SeparateDays,
            (Timing::SeparateDays, Some(_)) => Design::SeparateDaysControl,
        },
        floor_db,
        days: material.days,
        left_out: (left_a, left_b),
        all: material.part(|_, _| true),
        bands: per_band(&material),
        sectors: per_sector(subject, &material),
        distances: per_distance(subject, &material),
    })
}

fn pairs_of_days(days_a: &[Vec<Report>], days_b: &[Vec<Report>]) -> Vec<Pair> {
    let mut all = Vec::new();
    for (i, day_a) in days_a.iter().enumerate() {
        for (j, day_b) in days_b.iter().enumerate() {
            all.extend(pairs(day_a, day_b, Timing::SeparateDays).into_iter().map(|pair| Pair { days: (i, j), ..pair }));
        }
    }
    all
}

/// The control's own mean difference per listener, band and hour of the day, from its safe pairs.
fn control_differences(a: &[Report], b: &[Report], floor_db: f64) -> BTreeMap<(CallId, Band, i64), f64> {
    let all = pairs(a, b, Timing::SeparateDays);
    let bands: BTreeSet<Band> = all.iter().map(|pair| pair.band).collect();
    let mut sums: BTreeMap<(CallId, Band, i64), (f64, f64)> = BTreeMap::new();
    for band in bands {
        let of_band: Vec<&Pair> = all.iter().filter(|pair| pair.band == band).collect();
        for at in safe(&of_band, floor_db).chosen {
            let pair = of_band[at];
            let (sum, n) = sums.entry((pair.listener, band, pair.block(Timing::SeparateDays))).or_default();
            *sum += pair.difference_db;
            *n += 1.0;
        }
    }
    sums.into_iter().map(|(key, (sum, n))| (key, sum / n)).collect()
}

fn per_band(material: &Material) -> Vec<(Band, Part)> {
    let bands: BTreeSet<Band> = material.a.iter().chain(&material.b).map(|report| report.band).collect();
    together(bands.into_iter().map(|band| (band, material.part(|_, at| at == band))).collect())
}

fn per_sector(subject: &Subject<'_>, material: &Material) -> Vec<(f64, Part)> {
    let sector = |call| subject.path(call).and_then(|far| far.path.bearing_deg).map(sector_of);
    let part = |at: usize| (at as f64 * WIDTH_DEG - WIDTH_DEG / 2.0, material.part(|call, _| sector(call) == Some(at)));
    together((0..16).map(part).collect())
}

fn per_distance(subject: &Subject<'_>, material: &Material) -> Vec<((f64, f64), Part)> {
    let within = |call, from, to| {
        subject.path(call).is_some_and(|far| from <= far.path.distance_km && far.path.distance_km < to)
    };
    let part = |edge: &[f64]| ((edge[0], edge[1]), material.part(|call, _| within(call, edge[0], edge[1])));
    together(CLASS_EDGES_KM.windows(2).map(part).collect())
}

/// Marks which parts hold when all of them are looked at together.
fn together<K>(mut parts: Vec<(K, Part)>) -> Vec<(K, Part)> {
    let tested: Vec<usize> = (0..parts.len()).filter(|&at| parts[at].1.difference_db.is_some()).collect();
    let probabilities: Vec<f64> = tested.iter().map(|&at| parts[at].1.probability).collect();
    for (at, holds) in tested.into_iter().zip(holm(&probabilities)) {
        parts[at].1.holds_together = holds;
    }
    parts
}

impl Material {
    /// The result for the reports and pairs of the listeners and bands that `belongs` keeps.
    fn part(&self, belongs: impl Fn(CallId, Band) -> bool) -> Part {
        let own: Vec<&Pair> = self.pairs.iter().filter(|pair| belongs(pair.listener, pair.band)).collect();
        let chosen = safe(&own, self.floor_db);
        let used: Vec<Pair> = chosen.chosen.iter().filter_map(|&at| self.without_control(own[at])).collect();
        let values: Vec<Grouped> = used
            .iter()
            .map(|pair| Grouped {
                value: pair.difference_db,
                listener: pair.listener.0,
                block: pair.block(self.timing),
            })
            .collect();
        let (only_a, only_b) = self.only(&belongs);
        let mut part = Part {
            pairs: own.len(),
            pairs_used: used.len(),
            listeners: 0,
            blocks: 0,
            margin_db: chosen.margin_db,
            difference_db: None,
            median_db: None,
            low_db: None,
            high_db: None,
            pairs_half_width_db: None,
            probability: 1.0,
            verdict: Verdict::NotEnough,
            holds_together: false,
            only_a,
            only_b,
            only_probability: mcnemar_exact(only_a as u64, only_b as u64),
            all_pairs_db: mean(own.iter().map(|pair| pair.difference_db)),
            plain_difference_db: self.plain_difference(&belongs),
            more_hours: None,
        };
        if let Some(estimate) = clustered(&values) {
            part.median_db = median(&mut values.iter().map(|grouped| grouped.value).collect::<Vec<_>>());
            self.conclude(&mut part, estimate, &used);
        }
        part
    }

    /// The pair with the control's own difference at the same listener and hour taken off;
    /// `None` where there is a control but not for this pair.
    fn without_control(&self, pair: &Pair) -> Option<Pair> {
        let Some(control) = &self.control else { return Some(*pair) };
        let own = control.get(&(pair.listener, pair.band, pair.block(self.timing)))?;
        Some(Pair { difference_db: pair.difference_db - own, ..*pair })
    }

    /// Fills in estimate, interval and verdict.
    fn conclude(&self, part: &mut Part, estimate: Estimate, used: &[Pair]) {
        part.listeners = estimate.listeners;
        part.blocks = estimate.blocks;
        let of_pairs = estimate.half_width_db();
        let mut mean_db = estimate.mean_db;
        let mut half_width = of_pairs;
        if self.timing == Timing::SeparateDays && self.control.is_none() {
            let allowance = 1.96 * self.settings.day_to_day_db;
            match several_days(&used.iter().collect::<Vec<_>>(), self.settings.day_to_day_db) {
                Some(days) => {
                    mean_db = days.mean_db;
                    half_width = days.half_width_db.max(of_pairs);
                }
                None => half_width = of_pairs.hypot(allowance),
            }
        }
        part.difference_db = Some(mean_db);
        if !half_width.is_finite() {
            return;
        }
        let (low, high) = (mean_db - half_width, mean_db + half_width);
        part.low_db = Some(low);
        part.high_db = Some(high);
        part.pairs_half_width_db = Some(of_pairs);
        // the probability that matches the interval shown, allowances included
        let widened = if of_pairs > 0.0 { half_width / of_pairs } else { 1.0 };
        part.probability = Estimate { mean_db, error_db: estimate.error_db * widened, ..estimate }.probability();
        let small = self.settings.too_small_db;
        part.verdict = match () {
            () if !enough(part) => Verdict::NotEnough,
            () if low > 0.0 => Verdict::BStronger,
            () if high < 0.0 => Verdict::AStronger,
            () if -small <= low && high <= small => Verdict::NoDifference,
            () => Verdict::NotEnough,
        };
        if part.verdict == Verdict::NotEnough {
            part.more_hours = self.more_hours(part, mean_db, half_width, of_pairs);
        }
    }

    /// How many more hours of the same test would settle it: the half-width shrinks with the root of time.
    /// `None` where the days, not the pairs, are what is lacking.
    fn more_hours(&self, part: &Part, mean_db: f64, half_width: f64, of_pairs: f64) -> Option<f64> {
        if half_width > of_pairs * 1.01 || part.pairs_used == 0 {
            return None;
        }
        let wanted = mean_db.abs().max(self.settings.too_small_db - mean_db.abs());
        let by_width = (half_width / wanted).powi(2);
        let by_pairs = LEAST_PAIRS as f64 / part.pairs_used as f64;
        let by_blocks = LEAST_BLOCKS as f64 / part.blocks.max(1) as f64;
        Some(self.hours * (by_width.max(by_pairs).max(by_blocks) - 1.0).max(0.0))
    }

    /// Listeners that reported one antenna only.
    fn only(&self, belongs: &impl Fn(CallId, Band) -> bool) -> (usize, usize) {
        let heard = |reports: &[Report]| -> BTreeSet<CallId> {
            reports
                .iter()
                .filter(|report| belongs(report.listener, report.band))
                .map(|report| report.listener)
                .collect()
        };
        let (a, b) = (heard(&self.a), heard(&self.b));
        (a.difference(&b).count(), b.difference(&a).count())
    }

    fn plain_difference(&self, belongs: &impl Fn(CallId, Band) -> bool) -> Option<f64> {
        let level = |reports: &[Report]| {
            mean(reports.iter().filter(|report| belongs(report.listener, report.band)).map(|report| report.level_db))
        };
        Some(level(&self.b)? - level(&self.a)?)
    }
}

/// Are there pairs, listeners and hours enough for a claim?
pub fn enough(part: &Part) -> bool {
    part.pairs_used >= LEAST_PAIRS && part.listeners >= LEAST_LISTENERS && part.blocks >= LEAST_BLOCKS
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, n) = values.fold((0.0, 0.0), |(sum, n), value| (sum + value, n + 1.0));
    (n > 0.0).then(|| sum / n)
}
