//! Student's t and the exact test of two counts.

use statrs::distribution::{Binomial, ContinuousCDF, DiscreteCDF, StudentsT};

/// Quantile of Student's t at `share` (0.975 for a two-sided 95 % interval) with `degrees` of freedom (1 and more).
/// Infinite where there are none.
pub fn t_quantile(share: f64, degrees: f64) -> f64 {
    if degrees < 1.0 || !degrees.is_finite() {
        return f64::INFINITY;
    }
    StudentsT::new(0.0, 1.0, degrees).map_or(f64::INFINITY, |t| t.inverse_cdf(share))
}

/// Two-sided probability of a difference from zero at least so many standard errors large. 1 without degrees of freedom.
pub fn t_two_sided(statistic: f64, degrees: f64) -> f64 {
    if degrees < 1.0 || !statistic.is_finite() {
        return 1.0;
    }
    StudentsT::new(0.0, 1.0, degrees).map_or(1.0, |t| (2.0 * t.cdf(-statistic.abs())).min(1.0))
}

/// Exact two-sided test of two counts of discordant pairs: twice the smaller binomial tail at one half, at most 1.
/// (Q. `McNemar`, Psychometrika 12 (1947), 153-157, in its exact binomial form.)
pub fn mcnemar_exact(only_a: u64, only_b: u64) -> f64 {
    let n = only_a + only_b;
    if n == 0 {
        return 1.0;
    }
    Binomial::new(0.5, n).map_or(1.0, |binomial| (2.0 * binomial.cdf(only_a.min(only_b))).min(1.0))
}
