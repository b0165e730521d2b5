//! Two antennas compared: how far B is above A, in dB, on which band, where, and how sure that is.
//!
//! The steps are those of [`super::pairs`] (same listener, same band), [`super::safe`] (far enough above the floor),
//! [`super::interval`] (how sure) and [`super::days`] (where runs lie on different days).
//! Exchanging A and B flips every sign; the order of rows and files changes nothing, not even the last digit:
//! whatever is summed is first put in order of call, band and time.
//!
//! - `material`: reports and pairs, and the result for any part of them
//! - `splits`: the parts: bands, sectors, distances, hours of the day, sun, hops, angles
//! - `by_listener`: the difference at each listener
//! - `ground`: what both have in common, and what is left out on either side

mod by_listener;
mod ground;
mod material;
mod splits;

use serde::Serialize;

use super::days::{by_day, few_enough};
use super::pairs::{Report, Timing, pairs, reports, timing};
use super::runs::Run;
use super::safe::{floor_db, safe};
use super::subject::Subject;
use crate::model::{Band, CallId, RowSet, SpotTable};
use crate::order::{LightSort, distinct_numbers};
use crate::sky::SunState;
use crate::study::angles::{HopClass, Layer};
use material::Material;

pub use by_listener::ListenerDifference;
pub use ground::{Shared, SharedGround};

/// Below these nothing is claimed.
pub const LEAST_PAIRS: usize = 20;
/// See [`LEAST_PAIRS`].
pub const LEAST_LISTENERS: usize = 5;
/// See [`LEAST_PAIRS`].
pub const LEAST_BLOCKS: usize = 3;

/// The decoding floor that all spots of a table show, dB in 2500 Hz; `None` without any level.
pub fn floor_of(table: &SpotTable) -> Option<f64> {
    floor_db((0..table.len()).filter_map(|row| table.snr_db(row)).collect())
}

/// What a person may change about the verdict.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// A difference within plus or minus this is too small to matter, dB.
    pub too_small_db: f64,
    /// Assumed standard deviation between two days, dB; used only where the data cannot tell it.
    pub day_to_day_db: f64,
    /// The layer that hops and angles are reckoned with: an assumption too.
    pub layer: Layer,
    /// The decoding floor, dB, where spots that tell it are not at hand, as in a page that was shared; else it is found.
    pub floor_db: Option<f64>,
}

impl Default for Settings {
    fn default() -> Self {
        Self { too_small_db: 1.5, day_to_day_db: 4.0, layer: Layer::default(), floor_db: None }
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
    /// What the control itself changed by from A's period to B's, mean over the safe pairs it was taken off, dB.
    pub control_db: Option<f64>,
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
    /// Per three hours of the UTC day (the first of them), all bands.
    pub hours: Vec<(u8, Part)>,
    /// Per state of the sun over the middle of the path, from day to night, all bands.
    pub suns: Vec<(SunState, Part)>,
    /// Per class of hops, from near to far, all bands.
    pub hops: Vec<(HopClass, Part)>,
    /// Per class of likely take-off angle (edges in degrees), all bands.
    pub angles: Vec<((f64, f64), Part)>,
    /// Per listener with safe pairs, in order of call, all bands.
    pub listeners: Vec<ListenerDifference>,
    /// What both have in common.
    pub ground: SharedGround,
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
    Some(gather(subject, a, b, control, settings)?.comparison(subject))
}

/// The first half of [`compare`]: cleans the reports of both runs and pairs them.
///
/// `None` if neither run has a report with a level.
pub fn gather(
    subject: &Subject<'_>,
    a: Side<'_>,
    b: Side<'_>,
    control: Option<(&Subject<'_>, &RowSet, &RowSet)>,
    settings: Settings,
) -> Option<Gathered> {
    let table = subject.table();
    let ranks = ranks(table);
    let (reports_a, left_a) = reports(subject, a.rows, a.run, &ranks);
    let (reports_b, left_b) = reports(subject, b.rows, b.run, &ranks);
    let floor_db = settings.floor_db.or_else(|| floor_of(table))?;
    let timing = timing(&reports_a, &reports_b);
    let mut days = (1, 1);
    let (mut all_pairs, control) = match (timing, control) {
        (Timing::Interleaved, _) => (pairs(&reports_a, &reports_b, timing, &ranks), None),
        (Timing::SeparateDays, control) => {
            let differences = control.map(|(control, rows_a, rows_b)| {
                let own = |rows| reports(control, rows, &Run::default(), &ranks).0;
                material::control_differences(&own(rows_a), &own(rows_b), floor_db, &ranks)
            });
            let own_pairs = differences.as_ref().map(|_| pairs(&reports_a, &reports_b, timing, &ranks));
            // a control that no listener of both runs heard in both tells nothing
            let told = differences.zip(own_pairs).filter(|(control, pairs)| material::reaches(control, pairs));
            if let Some((of_control, pairs)) = told {
                (pairs, Some(of_control))
            } else {
                let (days_a, days_b) = few_enough(by_day(&reports_a, &a.run.rule), by_day(&reports_b, &b.run.rule));
                days = (days_a.len(), days_b.len());
                (material::pairs_of_days(&days_a, &days_b, &ranks), None)
            }
        }
    };
    material::put_in_order(&mut all_pairs, &ranks);
    let safe = safe(&all_pairs.iter().collect::<Vec<_>>(), floor_db);
    let hour = |report: &Report| report.time.unix_s() / 3600;
    let material = Material {
        hours: distinct_numbers(reports_a.iter().chain(&reports_b).map(hour)).len() as f64,
        a: reports_a,
        b: reports_b,
        pairs: all_pairs,
        ranks,
        control,
        timing,
        days,
        floor_db,
        safe,
        settings,
    };
    if material.a.is_empty() && material.b.is_empty() {
        return None;
    }
    Some(Gathered { material, left_out: (left_a, left_b) })
}

/// Reports and pairs of two runs, from which all results are reckoned.
#[expect(missing_debug_implementations, reason = "hundreds of thousands of pairs tell nobody anything")]
pub struct Gathered {
    material: Material,
    left_out: (usize, usize),
}

impl Gathered {
    /// The second half of [`compare`]: the result over everything and over each part.
    pub fn comparison(self, subject: &Subject<'_>) -> Comparison {
        let Self { material, left_out } = self;
        Comparison {
            design: match (material.timing, &material.control) {
                (Timing::Interleaved, _) => Design::Interleaved,
                (Timing::SeparateDays, None) => Design::SeparateDays,
                (Timing::SeparateDays, Some(_)) => Design::SeparateDaysControl,
            },
            floor_db: material.floor_db,
            days: material.days,
            left_out,
            all: material.all(),
            bands: splits::per_band(&material),
            sectors: splits::per_sector(subject, &material),
            distances: splits::per_distance(subject, &material),
            hours: splits::per_hours(&material),
            suns: splits::per_sun(subject, &material),
            hops: splits::per_hops(subject, &material),
            angles: splits::per_angle(subject, &material),
            listeners: by_listener::by_listener(subject, &material),
            ground: ground::shared_ground(&material),
        }
    }

    /// The result over all bands alone: safe pairs, estimate, interval and verdict.
    pub fn over_all(&self) -> Part {
        self.material.part(&self.material.whole())
    }
}

/// The place of every call in the alphabet, by its number: numbers follow the order of rows, the alphabet does not.
fn ranks(table: &SpotTable) -> Vec<u32> {
    let stations = table.stations();
    let mut calls: Vec<CallId> = (0..).map(CallId).take(stations.calls()).collect();
    calls.order_by(|&a, &b| stations.call(a).cmp(stations.call(b)));
    let mut ranks = vec![0; calls.len()];
    for (rank, call) in (0..).zip(calls) {
        ranks[call.index()] = rank;
    }
    ranks
}

/// Are there pairs, listeners and hours enough for a claim?
pub fn enough(part: &Part) -> bool {
    part.pairs_used >= LEAST_PAIRS && part.listeners >= LEAST_LISTENERS && part.blocks >= LEAST_BLOCKS
}
