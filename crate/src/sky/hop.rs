//! The triangle of a hop: up to a layer, thrown back as by a mirror, down to the ground.
//!
//! Formulas: Recommendation ITU-R P.533, the elevation angle (its equation 13 in P.533-14) and the slant
//! range (its equation 19), over a spherical earth; equation numbers from memory. The heights are up to the
//! caller: 110 km is P.533's for the E layer; the F2 layer's changes with hour, season and place, and the
//! mirror stands higher than the layer truly bends the ray. So an angle from here is likely, not measured.

/// Radius of the spherical earth of P.533, in km.
pub const EARTH_RADIUS_KM: f64 = 6371.0;
/// Height of the mirror for E modes in P.533, in km.
pub const E_HEIGHT_KM: f64 = 110.0;
/// Speed of light in km per millisecond.
const LIGHT_KM_PER_MS: f64 = 299.792458;
/// Slack, in hops, for a path that is a whole number of longest hops but for rounding.
const ROUNDING: f64 = 1e-9;

/// One hop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hop {
    /// Take-off and arrival angle over the horizon in degrees, up to 90. Below 0 the earth is in the way.
    pub elevation_deg: f64,
    /// Length of the ray, up and down, in km.
    pub slant_km: f64,
    /// Angle between ray and vertical at the layer, in degrees, 0 to 90.
    pub incidence_deg: f64,
}

impl Hop {
    /// The hop that spans `ground_km` along the ground by way of a mirror at `height_km`.
    ///
    /// Straight up and down for 0 km. `None` for a span that is negative or beyond half the earth's
    /// circumference, or a height that is not positive.
    pub fn over(ground_km: f64, height_km: f64) -> Option<Self> {
        let psi = ground_km / (2.0 * EARTH_RADIUS_KM);
        if !((0.0..=std::f64::consts::FRAC_PI_2).contains(&psi) && height_km.is_finite() && height_km > 0.0) {
            return None;
        }
        let ratio = EARTH_RADIUS_KM / (EARTH_RADIUS_KM + height_km);
        let (sin_psi, cos_psi) = psi.sin_cos();
        // atan(cot psi - ratio / sin psi), written so that psi = 0 gives 90 degrees
        let elevation = (cos_psi - ratio).atan2(sin_psi);
        // 2 R sin psi / cos(elevation + psi) is the same length but has no value at psi = 0
        let across = (EARTH_RADIUS_KM + height_km) * sin_psi;
        let up = (EARTH_RADIUS_KM + height_km) * cos_psi - EARTH_RADIUS_KM;
        Some(Self {
            elevation_deg: elevation.to_degrees(),
            slant_km: 2.0 * across.hypot(up),
            incidence_deg: (ratio * elevation.cos()).asin().to_degrees(),
        })
    }

    /// Is the ray clear of the ground, its elevation 0 or more?
    pub fn clears_ground(self) -> bool {
        self.elevation_deg >= 0.0
    }

    /// Time under way in milliseconds, at the speed of light in vacuum.
    pub fn delay_ms(self) -> f64 {
        self.slant_km / LIGHT_KM_PER_MS
    }
}

/// Ground span in km of the hop that leaves at `elevation_deg` (0 to 90) by way of a mirror at `height_km`:
/// with the lowest usable angle, the longest hop there is. `None` outside these ranges.
pub fn hop_span_km(elevation_deg: f64, height_km: f64) -> Option<f64> {
    if !((0.0..=90.0).contains(&elevation_deg) && height_km.is_finite() && height_km > 0.0) {
        return None;
    }
    let elevation = elevation_deg.to_radians();
    let at_layer = (EARTH_RADIUS_KM * elevation.cos() / (EARTH_RADIUS_KM + height_km)).acos();
    Some(2.0 * EARTH_RADIUS_KM * (at_layer - elevation))
}

/// Height in km of the lowest mirror by way of which a hop that leaves along the horizon spans `ground_km`.
/// `None` for a span that is negative or reaches half the earth's circumference, which no height does.
pub fn least_height_km(ground_km: f64) -> Option<f64> {
    let psi = ground_km / (2.0 * EARTH_RADIUS_KM);
    (0.0..std::f64::consts::FRAC_PI_2).contains(&psi).then(|| EARTH_RADIUS_KM / psi.cos() - EARTH_RADIUS_KM)
}

/// A path made of equal hops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HopPath {
    /// How many, from 1.
    pub hops: u32,
    /// Ground span of each in km.
    pub hop_km: f64,
    /// Each of them.
    pub hop: Hop,
}

impl HopPath {
    /// The path of least equal hops that leave at `min_elevation_deg` (0 up to 90) or more.
    ///
    /// `None` for a negative or endless path, a height that is not positive, or a lowest angle at or
    /// beyond 90 degrees, where no hop leads anywhere.
    pub fn of_least_hops(path_km: f64, height_km: f64, min_elevation_deg: f64) -> Option<Self> {
        let longest_km = hop_span_km(min_elevation_deg, height_km)?;
        if !(path_km.is_finite() && path_km >= 0.0 && longest_km > 1e-6) {
            return None;
        }
        let least = (path_km / longest_km - ROUNDING).ceil().max(1.0);
        if least > f64::from(u32::MAX) {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from 1, within u32"
        )]
        let hops = least as u32;
        Self::of_hops(path_km, height_km, hops)
    }

    /// The path of so many equal hops, or `None` where [`Hop::over`] knows none or `hops` is 0.
    pub fn of_hops(path_km: f64, height_km: f64, hops: u32) -> Option<Self> {
        if hops == 0 {
            return None;
        }
        let hop_km = path_km / f64::from(hops);
        Hop::over(hop_km, height_km).map(|hop| Self { hops, hop_km, hop })
    }

    /// Length of the ray in km over all hops.
    pub fn total_slant_km(self) -> f64 {
        f64::from(self.hops) * self.hop.slant_km
    }

    /// Where along the ground the layer is met, as fractions of the path.
    pub fn reflections(self) -> impl Iterator<Item = f64> {
        let hops = f64::from(self.hops);
        (0..self.hops).map(move |hop| (f64::from(hop) + 0.5) / hops)
    }

    /// Where the ground is met between the ends, as fractions of the path; empty for one hop.
    pub fn bounces(self) -> impl Iterator<Item = f64> {
        let hops = f64::from(self.hops);
        (1..self.hops).map(move |hop| f64::from(hop) / hops)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn straight_up_is_a_hop_too() {
        let hop = Hop::over(0.0, 300.0).unwrap();
        assert!(
            (hop.elevation_deg - 90.0).abs() < 1e-9
                && (hop.slant_km - 600.0).abs() < 1e-9
                && hop.incidence_deg.abs() < 1e-9
        );
        assert_eq!(hop_span_km(90.0, 300.0).map(|km| km < 1e-6), Some(true));
    }

    #[test]
    fn span_and_angle_undo_each_other() {
        for height_km in [90.0, 110.0, 250.0, 450.0] {
            for elevation_deg in [0.0, 0.5, 3.0, 12.0, 40.0, 85.0] {
                let span_km = hop_span_km(elevation_deg, height_km).unwrap();
                let hop = Hop::over(span_km, height_km).unwrap();
                assert!((hop.elevation_deg - elevation_deg).abs() < 1e-9, "{height_km} {elevation_deg}");
            }
        }
    }

    #[test]
    fn a_whole_number_of_longest_hops_needs_no_further_one() {
        let longest_km = hop_span_km(3.0, 300.0).unwrap();
        assert_eq!(HopPath::of_least_hops(3.0 * longest_km, 300.0, 3.0).unwrap().hops, 3);
        assert_eq!(HopPath::of_least_hops(3.0 * longest_km + 0.1, 300.0, 3.0).unwrap().hops, 4);
    }

    #[test]
    fn what_is_no_path_has_no_hops() {
        assert_eq!(Hop::over(-1.0, 300.0), None);
        assert_eq!(Hop::over(f64::NAN, 300.0), None);
        assert_eq!(Hop::over(1000.0, 0.0), None);
        assert_eq!(HopPath::of_least_hops(1000.0, 300.0, 90.0), None);
        assert_eq!(HopPath::of_least_hops(f64::INFINITY, 300.0, 3.0), None);
        assert_eq!(HopPath::of_hops(1000.0, 300.0, 0), None);
    }
}
