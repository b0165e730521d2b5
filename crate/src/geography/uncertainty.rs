//! How far off a distance and a bearing between two locators may be.

use super::sphere::MEAN_RADIUS_KM;
use super::{Geodesic, Locator};

/// What the size of the two cells leaves open about the path between their centres: `1240 km +- 90`.
///
/// Both are bounds, not standard deviations: the farthest corner of each cell is reckoned with.
/// They know nothing of a wrong or outdated locator.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathUncertainty {
    /// The distance may be off by this many km either way.
    pub distance_km: f64,
    /// The bearing may be off by this many degrees either way;
    /// `None` if it may be anything: the cells touch (or nearly), or are that near to opposite each other.
    pub bearing_deg: Option<f64>,
}

impl PathUncertainty {
    /// Of the path between the centres of two cells.
    ///
    /// The distance error is the sum `s` of both cells' farthest corners. Seen from one end at distance `d`,
    /// everything within `s` of the other lies within the angle `asin(sin(s/R) / sin(d/R))` of the middle
    /// (sine rule of the spherical triangle whose side just touches the circle; `asin(s/d)` when near).
    /// A home within a few cells of a pole turns its own north by more than that.
    pub fn between(from: Locator, to: Locator) -> Self {
        let distance_km = Geodesic::wgs84().path(from.centre(), to.centre()).distance_km;
        Self::of(distance_km, from.uncertainty_km() + to.uncertainty_km())
    }

    /// Of a path of `distance_km` whose ends together may be off by `ends_km`.
    pub fn of(distance_km: f64, ends_km: f64) -> Self {
        let (path, ends) = (distance_km / MEAN_RADIUS_KM, ends_km / MEAN_RADIUS_KM);
        let known = ends < path && ends < std::f64::consts::PI - path;
        Self { distance_km: ends_km, bearing_deg: known.then(|| (ends.sin() / path.sin()).asin().to_degrees()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn between(from: &str, to: &str) -> PathUncertainty {
        PathUncertainty::between(Locator::parse(from).unwrap(), Locator::parse(to).unwrap())
    }

    #[test]
    fn four_characters_at_both_ends_of_a_long_path() {
        // farthest corners 90.4 km at 50.5 N (geographiclib, tests/published/cellsize.csv); 1000 km is 5.2 degrees an end
        let one_end = PathUncertainty::of(1000.0, 90.443);
        assert!((one_end.bearing_deg.unwrap() - 5.2).abs() < 0.03, "{one_end:?}");
        let both = between("JO30", "IO80");
        assert!((both.distance_km - 2.0 * 90.443).abs() < 0.01, "{both:?}");
    }

    #[test]
    fn the_same_cell_its_neighbour_and_the_opposite_one_have_no_bearing() {
        for (from, to) in [("JO22", "JO22"), ("JO22", "JO32"), ("JO22", "JO22aa"), ("JN00", "AE09")] {
            assert_eq!(between(from, to).bearing_deg, None, "{from} {to}");
        }
    }

    #[test]
    fn finer_locators_tell_more() {
        let errors = [("JO22", "IO91"), ("JO22id", "IO91"), ("JO22id", "IO91wm"), ("JO22id55", "IO91wm00")]
            .map(|(from, to)| between(from, to));
        for pair in errors.windows(2) {
            assert!(pair[0].distance_km > pair[1].distance_km);
            assert!(pair[0].bearing_deg > pair[1].bearing_deg);
        }
    }
}
