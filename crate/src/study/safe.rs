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
    let mut chosen: Vec<usize> = (0..pairs.len()).collect();
    let mut margin_db = LEAST_MARGIN_DB;
    for _ in 0..ROUNDS {
        let differences: Vec<f64> = chosen.iter().map(|&at| pairs[at].reported_difference_db()).collect();
        let Some((mean, sd)) = mean_and_sd(&differences) else { break };
        margin_db = (sd + mean.abs() / 2.0).clamp(LEAST_MARGIN_DB, MOST_MARGIN_DB);
        let next: Vec<usize> = (0..pairs.len()).filter(|&at| pairs[at].mean_db() >= floor_db + margin_db).collect();
        if next == chosen {
            break;
        }
        chosen = next;
    }
    chosen.retain(|&at| pairs[at].mean_db() >= floor_db + margin_db);
    Safe { margin_db, chosen }
}

/// Mean and standard deviation (n - 1); `None` below two values.
fn mean_and_sd(values: &[f64]) -> Option<(f64, f64)> {
    if values.len() < 2 {
        return None;
    }
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    Some((mean, (squares / (n - 1.0)).sqrt()))
}
