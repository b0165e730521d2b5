//! Safe pairs: those far enough above the decoding floor that being heard at all did not choose them.
//!
//! Reports exist only above the floor, so a plain difference of what was heard understates a real one.
//! For equally noisy A and B, difference and mean of a pair are independent, so choosing pairs by their mean
//! does not bend the difference, while choosing by 'both were heard' does.

use super::pairs::Pair;
use super::statistics::quantile;

/// Least and greatest margin over the floor, dB.
const LEAST_MARGIN_DB: f64 = 4.0;
const MOST_MARGIN_DB: f64 = 14.0;
/// Rounds in which margin and choice settle; six suffice in practice.
const ROUNDS: usize = 12;

/// The decoding floor: 1st percentile of the SNR as reported, over all spots of the mode. `None` without any.
pub fn floor_db(mut reported: Vec<f64>) -> Option<f64> {
    quantile(&mut reported, 0.01)
}

/// The chosen pairs and the margin that chose them.
#[derive(Clone, Debug, PartialEq)]
pub struct Safe {
    /// Margin over the floor, dB.
    pub margin_db: f64,
    /// Which of the pairs are safe, by number.
    pub chosen: Vec<usize>,
}

/// Chooses pairs whose mean lies at least a margin above the floor: margin = SD of the reported differences
/// plus half the estimate, between 4 and 14 dB, found in rounds that start from all pairs.
pub fn safe(pairs: &[&Pair], floor_db: f64) -> Safe {
    // all rounds go over the same few numbers
    let values: Vec<Value> = pairs
        .iter()
        .map(|pair| Value { mean_db: pair.mean_db(), difference_db: pair.reported_difference_db() })
        .collect();
    let mut margin_db = LEAST_MARGIN_DB;
    let mut least_db = f64::NEG_INFINITY;
    let mut chosen = values.len();
    for _ in 0..ROUNDS {
        let Some((mean, sd)) = mean_and_sd(&values, least_db, chosen) else { break };
        margin_db = (sd + mean.abs() / 2.0).clamp(LEAST_MARGIN_DB, MOST_MARGIN_DB);
        least_db = floor_db + margin_db;
        let next = values.iter().filter(|value| value.mean_db >= least_db).count();
        // as many at another limit are the same ones
        if next == chosen {
            break;
        }
        chosen = next;
    }
    let safe = |at: &usize| values[*at].mean_db >= floor_db + margin_db;
    Safe { margin_db, chosen: (0..values.len()).filter(safe).collect() }
}

/// What a pair is chosen by, and what the margin is reckoned from.
struct Value {
    mean_db: f64,
    difference_db: f64,
}

/// Mean and standard deviation (n - 1) of the differences of the `n` values whose mean is `least_db` or more; `None` below
/// two.
fn mean_and_sd(values: &[Value], least_db: f64, n: usize) -> Option<(f64, f64)> {
    if n < 2 {
        return None;
    }
    let (mut sum, mut squares) = (0.0, 0.0);
    for value in values {
        if value.mean_db >= least_db {
            sum += value.difference_db;
        }
    }
    let mean = sum / n as f64;
    for value in values {
        if value.mean_db >= least_db {
            squares += (value.difference_db - mean).powi(2);
        }
    }
    Some((mean, (squares / (n as f64 - 1.0)).sqrt()))
}
