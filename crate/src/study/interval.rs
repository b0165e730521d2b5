//! How sure a mean difference is: pairs of one listener and pairs of one hour are not independent.

use super::distribution::{t_quantile, t_two_sided};
use crate::order::{LightSort, Sums};

/// One value with the two groups it belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grouped {
    /// The difference, dB.
    pub value: f64,
    /// Number of its listener.
    pub listener: u32,
    /// Number of its one-hour block.
    pub block: i64,
}

/// A mean with its clustered standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The mean, dB.
    pub mean_db: f64,
    /// Its standard error, dB.
    pub error_db: f64,
    /// Degrees of freedom: the fewer of listeners and blocks, less one.
    pub degrees: f64,
    /// Values.
    pub values: usize,
    /// Different listeners.
    pub listeners: usize,
    /// Different blocks.
    pub blocks: usize,
}

impl Estimate {
    /// Half-width of the 95 % interval, dB; infinite where there is no degree of freedom.
    pub fn half_width_db(&self) -> f64 {
        t_quantile(0.975, self.degrees) * self.error_db
    }

    /// Two-sided probability of so large a mean if there were no difference.
    pub fn probability(&self) -> f64 {
        if self.error_db > 0.0 { t_two_sided(self.mean_db / self.error_db, self.degrees) } else { 1.0 }
    }
}

/// Mean and two-way clustered standard error: V = V(listener) + V(block) - V(both), never below the larger of the first two,
/// each with the small-sample factor k/(k - 1) (A. C. Cameron, J. B. Gelbach, D. L. Miller, 'Robust Inference With
/// Multiway Clustering', Journal of Business & Economic Statistics 29 (2011), 238-249). `None` for no values.
pub fn clustered(values: &[Grouped]) -> Option<Estimate> {
    if values.is_empty() {
        return None;
    }
    let n = values.len() as f64;
    let mean = values.iter().map(|grouped| grouped.value).sum::<f64>() / n;
    let (by_listener, listeners) = cluster_variance(values, mean, |grouped| (grouped.listener, 0));
    let (by_block, blocks) = cluster_variance(values, mean, |grouped| (0, grouped.block));
    let (by_both, _) = cluster_variance(values, mean, |grouped| (grouped.listener, grouped.block));
    let variance = (by_listener + by_block - by_both).max(by_listener).max(by_block);
    Some(Estimate {
        mean_db: mean,
        error_db: variance.sqrt(),
        degrees: listeners.min(blocks) as f64 - 1.0,
        values: values.len(),
        listeners,
        blocks,
    })
}

/// Variance of the mean when values of one group move together, and the number of groups.
fn cluster_variance(values: &[Grouped], mean: f64, group: impl Fn(&Grouped) -> (u32, i64)) -> (f64, usize) {
    let mut sums = Sums::default();
    for grouped in values {
        let (listener, block) = group(grouped);
        sums.add([i64::from(listener), block, 0], grouped.value - mean);
    }
    let k = sums.len();
    let squares: f64 = sums.iter().map(|(_, sum, _)| sum * sum).sum();
    let small_sample = if k > 1 { k as f64 / (k as f64 - 1.0) } else { 1.0 };
    (small_sample * squares / (values.len() as f64).powi(2), k)
}

/// A result that is one of several looked at together.
pub trait OneOfMany {
    /// Two-sided probability of so large a difference by chance; `None` where nothing was tested.
    fn tested(&self) -> Option<f64>;
    /// It holds together with the others.
    fn mark(&mut self);
}

/// Marks those that hold when all that were tested are looked at together.
pub fn mark_holding<'a, T: OneOfMany + 'a>(results: impl Iterator<Item = &'a mut T>) {
    let tested = results.filter_map(|one| Some((one.tested()?, one)));
    let (probabilities, tested): (Vec<f64>, Vec<&mut T>) = tested.unzip();
    for (one, holds) in tested.into_iter().zip(holm(&probabilities)) {
        if holds {
            one.mark();
        }
    }
}

/// Which of several results hold when looked at together: Holm's step-down correction at 5 %
/// (S. Holm, 'A Simple Sequentially Rejective Multiple Test Procedure', Scandinavian Journal of Statistics 6 (1979), 65-70).
pub fn holm(probabilities: &[f64]) -> Vec<bool> {
    let mut order: Vec<usize> = (0..probabilities.len()).collect();
    order.order_by(|&a, &b| probabilities[a].total_cmp(&probabilities[b]));
    let mut holds = vec![false; probabilities.len()];
    for (step, &at) in order.iter().enumerate() {
        if probabilities[at] > 0.05 / (probabilities.len() - step) as f64 {
            break;
        }
        holds[at] = true;
    }
    holds
}
