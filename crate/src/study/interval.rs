//! How sure a mean difference is: pairs of one listener and pairs of one hour are not independent.

use super::distribution::{t_quantile, t_two_sided};
use crate::order::{LightSort, distinct_numbers};

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
        if self.degrees < 1.0 { f64::INFINITY } else { t_quantile(0.975, self.degrees) * self.error_db }
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
    let of_listener: Vec<i64> = values.iter().map(|grouped| i64::from(grouped.listener)).collect();
    let of_block: Vec<i64> = values.iter().map(|grouped| grouped.block).collect();
    let (of_listener, listeners) = numbered(&of_listener);
    let (of_block, blocks) = numbered(&of_block);
    let both = |(&listener, &block)| i64::try_from(listener * blocks + block).unwrap_or(i64::MAX);
    let of_both: Vec<i64> = of_listener.iter().zip(&of_block).map(both).collect();
    let (of_both, pairs) = numbered(&of_both);
    let by_listener = cluster_variance(values, mean, &of_listener, listeners);
    let by_block = cluster_variance(values, mean, &of_block, blocks);
    let by_both = cluster_variance(values, mean, &of_both, pairs);
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

/// The groups numbered from 0 in order of their keys, and how many there are.
fn numbered(keys: &[i64]) -> (Vec<usize>, usize) {
    if keys.is_sorted() {
        let mut number = 0;
        let mut last = keys.first();
        let numbers = keys.iter().map(|key| {
            number += usize::from(last.replace(key) != Some(key));
            number
        });
        let numbers: Vec<usize> = numbers.collect();
        return (numbers, if keys.is_empty() { 0 } else { number + 1 });
    }
    let groups = distinct_numbers(keys.iter().copied());
    let mut number = 0;
    let numbers = keys.iter().map(|key| {
        // values of one group often follow each other
        if groups.get(number) != Some(key) {
            number = groups.partition_point(|group| group < key);
        }
        number
    });
    (numbers.collect(), groups.len())
}

/// Variance of the mean when values of one of the groups move together.
fn cluster_variance(values: &[Grouped], mean: f64, group_of: &[usize], groups: usize) -> f64 {
    let mut sums = vec![0.0; groups];
    for (grouped, &group) in values.iter().zip(group_of) {
        sums[group] += grouped.value - mean;
    }
    let k = groups as f64;
    let squares: f64 = sums.iter().map(|sum: &f64| sum * sum).sum();
    let small_sample = if groups > 1 { k / (k - 1.0) } else { 1.0 };
    small_sample * squares / (values.len() as f64).powi(2)
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
