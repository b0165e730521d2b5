//! A slope that a few wild points do not bend.

use crate::study::statistics::median;

/// Median of the slopes between each two points of different x (P. K. Sen, 'Estimates of the Regression Coefficient Based on
/// Kendall's Tau', Journal of the American Statistical Association 63 (1968), 1379-1389; H. Theil, 1950, where all x differ).
/// `None` where no two do. Takes time with the square of the number of points.
pub fn theil_sen(points: &[(f64, f64)]) -> Option<f64> {
    let mut slopes = Vec::with_capacity(points.len() * points.len() / 2);
    for (at, (x, y)) in points.iter().enumerate() {
        let others = points[at + 1..].iter().filter(|other| (other.0 - x).abs() > 0.0);
        slopes.extend(others.map(|other| (other.1 - y) / (other.0 - x)));
    }
    median(&mut slopes)
}
