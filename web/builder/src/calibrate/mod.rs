//! Calibration: simulated antenna tests with a known answer, and how often compare gets it right.
//! The same seed gives the same table everywhere ([`crate::random`]).
//!
//! - [`world`]: the simulated earth: listeners, openings, fading, noise, decoding floor
//! - [`design`]: how a test is laid out, and the spots it yields
//! - [`score`]: estimates against the truth, added up per design
//!
//! The model is our own and simple on purpose; it is not used anywhere else. What is checked is whether
//! the stated intervals hold the truth as often as they say, under conditions that bend simple averages.

mod design;
mod score;
mod world;

use std::fmt::Write;

use design::Design;
use score::Score;

use crate::options::{CalibrateOptions, Form};
use crate::terminal::say;

/// What to simulate.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plan {
    /// Least number of band results per design.
    pub(crate) trials: usize,
    /// Seed of everything.
    pub(crate) seed: u64,
}

/// Simulates and prints the table, or the JSON.
pub(crate) fn report(options: &CalibrateOptions) {
    let plan = Plan { trials: options.trials, seed: options.seed };
    let scores = run(plan);
    let text = match options.form {
        Form::Json => json(plan, &scores),
        Form::Text => table(&scores),
    };
    say(text.trim_end());
}

/// Runs all designs and gives their scores, in fixed order.
pub(crate) fn run(plan: Plan) -> Vec<Score> {
    Design::ALL.iter().map(|&design| score::of_design(design, plan)).collect()
}

/// The scores as a table for people.
pub(crate) fn table(scores: &[Score]) -> String {
    let mut out = String::from(
        "design                    results  coverage   bias  typical  half   wrong verdict  wrong  not     plain mean      plain pairs\n\
         \x20                                    95 %     dB   error    width  on equal       sign   enough  bias  error     bias  error\n",
    );
    for score in scores {
        let naive = |naive: &score::Errors| format!("{:>5.2} {:>6.2}", naive.bias(), naive.typical());
        let line = writeln!(
            out,
            "{:<25} {:>7}  {:>6.1} %  {:>5.2}  {:>6.2}  {:>6.2}  {:>6} of {:<4} {:>6.1} % {:>6.1} %  {}   {}",
            score.design.name(),
            score.results,
            100.0 * score.coverage(),
            score.errors.bias(),
            score.errors.typical(),
            score.half_width(),
            score.claimed_on_equal,
            score.equal,
            100.0 * score.share(score.wrong_sign),
            100.0 * score.share(score.not_enough),
            naive(&score.plain_mean),
            naive(&score.plain_pairs),
        );
        debug_assert!(line.is_ok());
    }
    out += "Bias is towards the stronger antenna: below zero, a real difference is understated.\n";
    out
}

/// The scores as JSON.
pub(crate) fn json(plan: Plan, scores: &[Score]) -> String {
    let designs: Vec<_> = scores.iter().map(Score::json).collect();
    let document = serde_json::json!({ "seed": plan.seed, "trials": plan.trials, "designs": designs });
    format!("{document:#}\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table's goals, loosened by what a short run scatters (three standard errors of a share at 80 results).
    #[test]
    fn a_short_calibration_holds_its_goals() {
        for score in run(Plan { trials: 80, seed: 20310427 }) {
            let name = score.design.name();
            assert!(score.results >= 80, "{name}: {} results", score.results);
            let least = match score.design {
                Design::Alternating | Design::TwoSenders | Design::NextDayControl => 0.86,
                Design::FourDays | Design::NextDay => 0.82,
            };
            assert!(score.coverage() >= least, "{name}: coverage {}", score.coverage());
            let claimed = score.claimed_on_equal as f64 / score.equal.max(1) as f64;
            assert!(claimed <= 0.2, "{name}: claimed a difference on {claimed} of equal antennas");
            assert!(score.share(score.wrong_sign) <= 0.06, "{name}: wrong sign {}", score.wrong_sign);
            if matches!(score.design, Design::Alternating | Design::TwoSenders) {
                assert!(score.errors.bias().abs() <= 0.35, "{name}: bias {}", score.errors.bias());
                assert!(score.errors.typical() <= 0.9, "{name}: typical error {}", score.errors.typical());
                assert!(score.plain_mean.bias() < score.errors.bias() - 0.5, "{name}: the plain mean understates");
            }
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_table() {
        let plan = Plan { trials: 6, seed: 7 };
        assert_eq!(table(&run(plan)), table(&run(plan)));
        assert_ne!(table(&run(plan)), table(&run(Plan { seed: 8, ..plan })));
    }
}
