//! Estimates against the truth, added up over many simulated tests of one design.

use farheard::model::{RowSet, Side};
use farheard::study::Subject;
use farheard::study::compare::{self, Part, Settings, Verdict, compare};
use farheard::study::runs::{assign, calls_of, of_control};

use super::Plan;
use super::design::{CONTROL, Design, STATION, Trial};
use crate::random::Random;

/// Errors of one way to estimate, each towards the stronger antenna positive.
#[derive(Clone, Debug, Default)]
pub(crate) struct Errors {
    towards_stronger: f64,
    unequal: usize,
    squares: f64,
    all: usize,
}

impl Errors {
    fn add(&mut self, estimate_db: f64, truth_db: f64) {
        let error = estimate_db - truth_db;
        if truth_db != 0.0 {
            self.towards_stronger += error * truth_db.signum();
            self.unequal += 1;
        }
        self.squares += error * error;
        self.all += 1;
    }

    /// Mean error in dB; negative where real differences are understated.
    pub(crate) fn bias(&self) -> f64 {
        self.towards_stronger / self.unequal.max(1) as f64
    }

    /// Root of the mean square error, dB.
    pub(crate) fn typical(&self) -> f64 {
        (self.squares / self.all.max(1) as f64).sqrt()
    }
}

/// The score of one design.
#[derive(Clone, Debug)]
pub(crate) struct Score {
    pub(crate) design: Design,
    /// Band results with enough pairs, listeners and hours for an interval.
    pub(crate) results: usize,
    /// Band results with less than that; they say 'not enough' and are not counted further.
    pub(crate) too_few: usize,
    covered: usize,
    pub(crate) errors: Errors,
    half_widths: f64,
    /// Results on truly equal antennas, and how many of them claim a difference.
    pub(crate) equal: usize,
    pub(crate) claimed_on_equal: usize,
    /// Results that claim the weaker antenna to be the stronger.
    pub(crate) wrong_sign: usize,
    pub(crate) not_enough: usize,
    pub(crate) plain_mean: Errors,
    pub(crate) plain_pairs: Errors,
}

impl Score {
    fn new(design: Design) -> Self {
        Self {
            design,
            results: 0,
            too_few: 0,
            covered: 0,
            errors: Errors::default(),
            half_widths: 0.0,
            equal: 0,
            claimed_on_equal: 0,
            wrong_sign: 0,
            not_enough: 0,
            plain_mean: Errors::default(),
            plain_pairs: Errors::default(),
        }
    }

    /// Share of the 95 % intervals that hold the truth.
    pub(crate) fn coverage(&self) -> f64 {
        self.share(self.covered)
    }

    /// Mean half-width of the intervals, dB.
    pub(crate) fn half_width(&self) -> f64 {
        self.half_widths / self.results.max(1) as f64
    }

    /// A count as a share of all results.
    pub(crate) fn share(&self, count: usize) -> f64 {
        count as f64 / self.results.max(1) as f64
    }

    fn add(&mut self, part: &Part, truth_db: f64) {
        let interval = part.low_db.zip(part.high_db).filter(|_| compare::enough(part));
        let (Some((low, high)), Some(estimate)) = (interval, part.difference_db) else {
            self.too_few += 1;
            return;
        };
        self.results += 1;
        self.covered += usize::from(low <= truth_db && truth_db <= high);
        self.errors.add(estimate, truth_db);
        self.half_widths += (high - low) / 2.0;
        let claims = match part.verdict {
            Verdict::BStronger => 1.0,
            Verdict::AStronger => -1.0,
            Verdict::NoDifference | Verdict::NotEnough => 0.0,
        };
        if truth_db == 0.0 {
            self.equal += 1;
            self.claimed_on_equal += usize::from(claims != 0.0);
        }
        self.wrong_sign += usize::from(claims * truth_db < 0.0);
        self.not_enough += usize::from(part.verdict == Verdict::NotEnough);
        if let Some(plain) = part.plain_difference_db {
            self.plain_mean.add(plain, truth_db);
        }
        if let Some(pairs) = part.all_pairs_db {
            self.plain_pairs.add(pairs, truth_db);
        }
    }

    /// The score as JSON.
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::json!({
            "design": self.design.name(),
            "results": self.results,
            "too_few": self.too_few,
            "coverage": self.coverage(),
            "bias_db": self.errors.bias(),
            "rmse_db": self.errors.typical(),
            "half_width_db": self.half_width(),
            "equal": self.equal,
            "claimed_on_equal": self.claimed_on_equal,
            "wrong_sign": self.share(self.wrong_sign),
            "not_enough": self.share(self.not_enough),
            "plain_mean_bias_db": self.plain_mean.bias(),
            "plain_mean_rmse_db": self.plain_mean.typical(),
            "plain_pairs_bias_db": self.plain_pairs.bias(),
            "plain_pairs_rmse_db": self.plain_pairs.typical(),
        })
    }
}

/// Simulates tests of a design until there are enough band results.
pub(super) fn of_design(design: Design, plan: Plan) -> Score {
    let mut random = Random::new(plan.seed ^ (design as u64 + 1).wrapping_mul(0xA24B_AED4_963E_E407));
    let mut score = Score::new(design);
    // a world in which hardly anything is heard gives no result; such worlds are rare, so this ends
    for _ in 0..plan.trials.saturating_mul(4).max(4) {
        if score.results >= plan.trials {
            break;
        }
        if let Some(trial) = Trial::new(design, &mut random.branch()) {
            judge(&trial, &mut score);
        }
    }
    score
}

fn judge(trial: &Trial, score: &mut Score) {
    let table = &trial.table;
    let station = table.stations().find_call(STATION);
    let calls = calls_of(table, &trial.runs, station);
    let subject = Subject::new(table, &calls, Side::Sends, None);
    let rows = assign(table, subject.rows(), Side::Sends, &trial.runs, station);
    let control = table.stations().find_call(CONTROL).filter(|_| trial.has_control);
    let control = control.map(|call| Subject::new(table, &[call], Side::Sends, None));
    let own = |at: usize| -> RowSet {
        control.as_ref().map_or_else(
            || RowSet::none(table.len()),
            |control| of_control(table, control.rows(), Side::Sends, &trial.runs[at], &rows[at]),
        )
    };
    let own = [own(0), own(1)];
    let side = |at: usize| compare::Side { run: &trial.runs[at], rows: &rows[at] };
    let control = control.as_ref().map(|control| (control, &own[0], &own[1]));
    let Some(comparison) = compare(&subject, side(0), side(1), control, Settings::default()) else { return };
    for (band, part) in &comparison.bands {
        if let Some((_, truth)) = trial.truth_db.iter().find(|(of, _)| of == band) {
            score.add(part, *truth);
        }
    }
}

#[cfg(test)]
mod tests {

    use super::super::world::World;
    use super::*;
    use farheard::study::runs::Run;

    const SEEDS: u64 = 100;
    const LISTENERS: usize = 40;

    /// A day of alternating antennas at 40 listeners, B above A by so much on every band.
    fn alternating(seed: u64, difference_db: f64) -> Trial {
        let mut random = Random::new(seed);
        let world = World::with_listeners(&mut random.branch(), 1, Some(LISTENERS)).unwrap();
        let differences = vec![difference_db; world.bands.len()];
        Trial::in_world(Design::Alternating, &world, &differences, random.branch())
    }

    /// The verdict over all bands when rows are dealt to A and B.
    fn verdict(trial: &Trial, runs: &[Run; 2], is_a: impl Fn(usize) -> bool) -> Verdict {
        let table = &trial.table;
        let station = table.stations().find_call(STATION).unwrap();
        let subject = Subject::new(table, &[station], Side::Sends, None);
        let (a, b) = (subject.rows().filtered(&is_a), subject.rows().filtered(|row| !is_a(row)));
        let side = |run, rows| compare::Side { run, rows };
        let found = compare(&subject, side(&runs[0], &a), side(&runs[1], &b), None, Settings::default()).unwrap();
        found.all.verdict
    }

    /// One antenna alone, each of its sends given to A or to B by chance: a difference is claimed as seldom as
    /// 95 % intervals allow.
    #[test]
    fn an_antenna_does_not_beat_itself() {
        let claimed = (0..SEEDS)
            .filter(|&seed| {
                let trial = alternating(seed, 0.0);
                let run = Run { true_power_dbm: trial.runs[0].true_power_dbm, ..Run::default() };
                let mut chance = Random::new(!seed);
                let slots: Vec<bool> = (0..720).map(|_| chance.share() < 0.5).collect();
                let slot = |row: usize| trial.table.time(row).second_of_day() as usize / 120;
                let found = verdict(&trial, &[run.clone(), run], |row| slots[slot(row)]);
                matches!(found, Verdict::AStronger | Verdict::BStronger)
            })
            .count();
        assert!(claimed <= 6, "a difference is claimed in {claimed} of {SEEDS}");
    }

    #[test]
    fn three_decibels_are_found_in_a_day() {
        let found = (0..SEEDS)
            .filter(|&seed| {
                let trial = alternating(seed, 3.0);
                let is_a = |row| trial.runs[0].rule.fits(&trial.table, row, Side::Sends);
                verdict(&trial, &trial.runs, is_a) == Verdict::BStronger
            })
            .count();
        assert!(found >= 90, "3 dB is found in {found} of {SEEDS}");
    }
}
