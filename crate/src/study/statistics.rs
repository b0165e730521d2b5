//! Quantiles of small and large samples.

/// Quantile of a sample at `share` from 0 to 1, by linear interpolation between order statistics
/// (type 7 of R. J. Hyndman and Y. Fan, 'Sample Quantiles in Statistical Packages', The American Statistician 50 (1996), 361-365).
///
/// Values need no order; NaN must not be among them. `None` for an empty sample.
pub fn quantile(values: &mut [f64], share: f64) -> Option<f64> {
    let last = values.len().checked_sub(1)?;
    let place = share.clamp(0.0, 1.0) * last as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place within the sample")]
    let below = (place.floor() as usize).min(last);
    let (_, &mut low, above) = values.select_nth_unstable_by(below, f64::total_cmp);
    let high = above.iter().copied().min_by(f64::total_cmp).unwrap_or(low);
    Some(low + (place - below as f64) * (high - low))
}

/// The median: [`quantile`] at one half, such that values of opposite sign have exactly the opposite median.
pub fn median(values: &mut [f64]) -> Option<f64> {
    let last = values.len().checked_sub(1)?;
    let (_, &mut low, above) = values.select_nth_unstable_by(last / 2, f64::total_cmp);
    let next = above.iter().copied().min_by(f64::total_cmp).filter(|_| !last.is_multiple_of(2));
    Some(next.map_or(low, |high| f64::midpoint(low, high)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_edge_samples() {
        assert_eq!(quantile(&mut [], 0.5), None);
        assert_eq!(quantile(&mut [3.0], 0.9), Some(3.0));
        assert_eq!(median(&mut [4.0, 1.0]), Some(2.5));
        assert_eq!(quantile(&mut [1.0, 2.0, 3.0, 4.0, 5.0], 1.0), Some(5.0));
        assert_eq!(quantile(&mut [5.0, 5.0, 5.0], 0.3), Some(5.0));
    }
}
