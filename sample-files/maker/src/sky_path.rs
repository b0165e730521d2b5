//! How a signal travels in the invented world: up to three ways over the short path and, for far listeners, the
//! long one, each by equal hops off a mirror 300 km up.
//!
//! The forms are those of the trade's textbooks and of Rec. ITU-R P.533 and P.372 (all from memory), with rounded
//! constants: plausible, not a forecast.

use farheard::geography::{Geodesic, Position};
use farheard::sky::{HopPath, SunPlace};
use farheard::time::UtcTime;

use crate::scenario::Day;

/// Height of the mirror in km.
const MIRROR_KM: f64 = 300.0;
/// Lowest useful take-off angle in degrees.
const LOWEST_DEG: f64 = 3.0;
/// From here on the long way round counts too, in km.
const LONG_WAY_FROM_KM: f64 = 12_000.0;
/// From here on signals no longer come down at every hop, in km.
const CHORDS_FROM_KM: f64 = 8000.0;
/// Share of a hop's losses that is left where they do not.
const CHORD_SHARE: f64 = 0.3;
/// Loss at each bounce off the ground in dB.
const BOUNCE_DB: f64 = 2.0;
/// All other losses in dB: polarisation, ground near the antennas, whatever.
const OTHER_DB: f64 = 15.0;
/// Around the earth, in km.
const AROUND_KM: f64 = 40_030.0;
/// Radius of the earth in km.
const EARTH_KM: f64 = 6371.0;
/// Hours for which past sunlight is counted.
const MEMORY_H: i64 = 12;
/// Hours after which the upper layer has kept 37 % of it.
const DECAY_H: f64 = 3.5;

/// The sun now and in the hours before.
#[derive(Clone, Debug)]
pub struct Sunlight(Vec<SunPlace>);

impl Sunlight {
    /// Sun places of the hours up to an instant.
    pub fn until(time: UtcTime) -> Self {
        Self((0..=MEMORY_H).filter_map(|hours| time.plus_s(-3600 * hours)).map(SunPlace::at).collect())
    }

    /// Elevation now, in degrees.
    pub fn elevation_deg(&self, place: Position) -> f64 {
        self.0.first().map_or(0.0, |sun| sun.elevation_deg(place))
    }

    /// Highest frequency in MHz that the upper layer sends straight back down.
    fn critical_mhz(&self, place: Position) -> f64 {
        let (mut light, mut weights) = (0.0, 0.0);
        for (hours, sun) in self.0.iter().enumerate() {
            let weight = (-(hours as f64) / DECAY_H).exp();
            light += weight * sun.elevation_deg(place).to_radians().sin().max(0.0);
            weights += weight;
        }
        let tropics = 1.0 + 0.35 * (-(place.lat_deg / 24.0).powi(2)).exp();
        (13.0 + 165.0 * tropics * light / weights).sqrt()
    }

    /// Strength of the absorbing layer, 0 at night to 1 under an overhead sun (the form of CCIR report 252).
    fn absorbing(&self, place: Position) -> f64 {
        let zenith_deg = 90.0 - self.elevation_deg(place);
        (0.881 * zenith_deg).min(90.0).to_radians().cos().powf(1.3)
    }
}

/// One way a signal can take.
#[derive(Clone, Debug)]
pub struct Way {
    /// Bearing at the sender, degrees.
    pub bearing_deg: f64,
    /// Take-off angle, degrees.
    pub elevation_deg: f64,
    path_km: f64,
    slant_km: f64,
    /// Secant of the angle at the mirror, and at the absorbing layer.
    at_mirror: f64,
    at_absorber: f64,
    reflections: Vec<Position>,
}

impl Way {
    /// All ways between two places.
    pub fn all(geodesic: &Geodesic, from: Position, to: Position) -> Vec<Self> {
        let short = geodesic.path(from, to);
        let mut ways = Vec::new();
        let mut legs = vec![(short.distance_km, short.bearing_deg.unwrap_or(0.0))];
        if short.distance_km > LONG_WAY_FROM_KM {
            legs.push((AROUND_KM - short.distance_km, short.bearing_deg.unwrap_or(0.0) + 180.0));
        }
        for (path_km, bearing_deg) in legs {
            let Some(least) = HopPath::of_least_hops(path_km, MIRROR_KM, LOWEST_DEG) else { continue };
            for hops in least.hops..least.hops + 3 {
                let Some(path) = HopPath::of_hops(path_km, MIRROR_KM, hops) else { continue };
                let elevation = path.hop.elevation_deg.to_radians();
                let absorber = (EARTH_KM * elevation.cos() / (EARTH_KM + 100.0)).asin();
                ways.push(Self {
                    bearing_deg,
                    elevation_deg: path.hop.elevation_deg,
                    path_km,
                    slant_km: path.total_slant_km(),
                    at_mirror: 1.0 / path.hop.incidence_deg.to_radians().cos(),
                    at_absorber: 1.0 / absorber.cos(),
                    reflections: path
                        .reflections()
                        .map(|share| geodesic.destination(from, bearing_deg, share * path_km))
                        .collect(),
                });
            }
        }
        ways
    }

    /// Loss in dB between two antennas of 0 dBi.
    pub fn loss_db(&self, sunlight: &Sunlight, day: Day, mhz: f64, muf_luck: f64) -> f64 {
        let spread = 32.45 + 20.0 * mhz.log10() + 20.0 * self.slant_km.log10();
        let angle = self.path_km / EARTH_KM;
        let gathered = (10.0 * (angle / angle.sin().abs()).log10()).clamp(0.0, 12.0);
        let (mut absorbed, mut bounced, mut highest) = (0.0, -BOUNCE_DB, f64::INFINITY);
        let last = self.reflections.len() - 1;
        for (hop, &place) in self.reflections.iter().enumerate() {
            // far signals slip along a tilted layer between their first and last hop
            let share = if self.path_km > CHORDS_FROM_KM && hop > 0 && hop < last { CHORD_SHARE } else { 1.0 };
            bounced += share * BOUNCE_DB;
            absorbed += share * day.absorption * 550.0 * sunlight.absorbing(place) * self.at_absorber
                / ((mhz + 1.2).powf(1.98) + 10.2);
            highest = f64::min(highest, sunlight.critical_mhz(place) * self.at_mirror);
        }
        highest *= day.muf_share * muf_luck;
        let above = (mhz / highest - 1.0).max(0.0);
        let beyond = (200.0 * above * above).min(90.0);
        spread - gathered + absorbed + beyond + bounced + OTHER_DB
    }
}

/// Noise power in dBm in 2500 Hz: man-made (the constant is the listener's own), from the galaxy, and from
/// thunderstorms far off, which the night carries.
pub fn noise_dbm(man_made_db: f64, mhz: f64, sun_elevation_deg: f64) -> f64 {
    let dark = 1.0 / (1.0 + (sun_elevation_deg / 6.0).exp());
    let parts =
        [man_made_db - 27.7 * mhz.log10(), 52.0 - 23.0 * mhz.log10(), 86.0 - 48.0 * mhz.log10() - 22.0 * (1.0 - dark)];
    let total: f64 = parts.iter().map(|part| 10_f64.powf(part / 10.0)).sum();
    10.0 * total.log10() - 174.0 + 10.0 * 2500_f64.log10()
}
