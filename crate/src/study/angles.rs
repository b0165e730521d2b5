//! Likely take-off angles: which angle would fit the distance, had a spot come by the least number of equal hops
//! off a layer of an assumed height.
//!
//! The height is the caller's choice and changes with hour, season and place, so every figure has a range beside it:
//! the same paths over all heights of the layer. No spot says at which angle it left; and where nobody listens,
//! no angle is counted.
//!
//! - [`Layer`]: an assumed height, and from where to where it may lie
//! - [`PathAngle`]: hops, angle and length of one path
//! - [`angles`]: spots and listeners by angle, per band and over all
//! - [`long_way_round`]: the other way about the earth, a remark only

use super::subject::Subject;
use super::tally::{FarTally, Tally};
use crate::geography::Path;
use crate::geography::sphere::MEAN_RADIUS_KM;
use crate::model::Band;
use crate::order::LightSort;
use crate::sky::HopPath;
use crate::sky::hop::{E_HEIGHT_KM, least_height_km};

/// Edges of the classes of angle in degrees: narrow where angles are low and a few degrees are hundreds of km.
pub const ANGLE_EDGES_DEG: [f64; 10] = [0.0, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0, 90.0];
/// How many classes of angle there are.
pub const ANGLE_CLASSES: usize = ANGLE_EDGES_DEG.len() - 1;
/// A single hop that leaves at this angle or steeper, in degrees, counts as near-vertical (common practice, no source).
pub const NEAR_VERTICAL_DEG: f64 = 60.0;
/// Height of the F2 layer's mirror unless another is chosen, in km (common practice, no source).
pub const F2_HEIGHT_KM: f64 = 300.0;
/// From where to where the F2 layer's mirror may lie, in km (common practice, no source).
const F2_RANGE_KM: (f64, f64) = (230.0, 380.0);
/// The same of the E layer (common practice, no source).
const E_RANGE_KM: (f64, f64) = (95.0, 125.0);
/// Mirrors below this count as the E layer, in km.
const F2_FROM_KM: f64 = 180.0;
/// Heights that a layer may be given, in km.
const HEIGHTS_KM: std::ops::RangeInclusive<f64> = 60.0..=1000.0;
/// Step between the heights at which counts are taken for their range, in km.
const STEP_KM: f64 = 10.0;

/// An assumed height of the mirror, with the range in which it may lie.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(clippy::struct_field_names, reason = "units stand in names")]
pub struct Layer {
    height_km: f64,
    low_km: f64,
    high_km: f64,
}

impl Default for Layer {
    fn default() -> Self {
        Self { height_km: F2_HEIGHT_KM, low_km: F2_RANGE_KM.0, high_km: F2_RANGE_KM.1 }
    }
}

impl Layer {
    /// A mirror at a height in km, 60 to 1000: below 180 km the E layer with a range from 95 to 125 km, else the F2 layer
    /// from 230 to 380 km; the range always holds the height itself. `None` for other heights.
    pub fn at(height_km: f64) -> Option<Self> {
        let (low_km, high_km) = if height_km < F2_FROM_KM { E_RANGE_KM } else { F2_RANGE_KM };
        let known = HEIGHTS_KM.contains(&height_km);
        known.then(|| Self { height_km, low_km: low_km.min(height_km), high_km: high_km.max(height_km) })
    }

    /// The E layer at the height that Recommendation ITU-R P.533 gives it.
    pub fn e() -> Self {
        Self { height_km: E_HEIGHT_KM, low_km: E_RANGE_KM.0, high_km: E_RANGE_KM.1 }
    }

    /// The height assumed, in km.
    pub fn height_km(self) -> f64 {
        self.height_km
    }

    /// Lowest and highest that it may be, in km.
    pub fn range_km(self) -> (f64, f64) {
        (self.low_km, self.high_km)
    }

    /// The height itself first, then heights through its range in steps of 10 km at most, ends included.
    fn heights(self) -> impl Iterator<Item = f64> {
        let steps = ((self.high_km - self.low_km) / STEP_KM).ceil().max(1.0);
        let width = self.high_km - self.low_km;
        let through = (0_u32..).map(f64::from).take_while(move |&step| step <= steps);
        std::iter::once(self.height_km).chain(through.map(move |step| self.low_km + width * step / steps))
    }
}

/// How a path is likely to have been covered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HopClass {
    /// One hop at [`NEAR_VERTICAL_DEG`] or steeper.
    NearVertical,
    /// One hop.
    OneHop,
    /// Two hops.
    TwoHops,
    /// Three hops or more.
    MoreHops,
}

impl HopClass {
    /// All, from near to far.
    pub const ALL: [Self; 4] = [Self::NearVertical, Self::OneHop, Self::TwoHops, Self::MoreHops];

    /// Place in tables with one entry per class, in the order of [`Self::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }
}

/// The least equal hops over a path, at an assumed height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathAngle {
    /// How many hops, from 1.
    pub hops: u32,
    /// Fewest and most hops over the range of the layer: fewest with a high one.
    pub hops_range: (u32, u32),
    /// Take-off angle over the horizon in degrees, 0 to 90.
    pub elevation_deg: f64,
    /// Lowest and highest angle over the range of the layer, the number of hops changing with it.
    pub range_deg: (f64, f64),
    /// Length of the ray in km over all hops.
    pub slant_km: f64,
    /// Near-vertical, one hop, two, or more.
    pub class: HopClass,
}

impl PathAngle {
    /// The least equal hops over a distance in km; any angle over the horizon counts as usable. Formulas: [`crate::sky::hop`].
    ///
    /// `None` for distances that are negative or endless.
    pub fn of(distance_km: f64, layer: Layer) -> Option<Self> {
        let path = least_hops(distance_km, layer.height_km)?;
        let elevation_deg = path.hop.elevation_deg.max(0.0);
        let most = least_hops(distance_km, layer.low_km)?.hops;
        let fewest = least_hops(distance_km, layer.high_km)?.hops;
        Some(Self {
            hops: path.hops,
            hops_range: (fewest, most),
            elevation_deg,
            range_deg: angle_range(distance_km, layer, fewest, most)?,
            slant_km: path.total_slant_km(),
            class: match path.hops {
                1 if elevation_deg >= NEAR_VERTICAL_DEG => HopClass::NearVertical,
                1 => HopClass::OneHop,
                2 => HopClass::TwoHops,
                _ => HopClass::MoreHops,
            },
        })
    }
}

fn least_hops(distance_km: f64, height_km: f64) -> Option<HopPath> {
    HopPath::of_least_hops(distance_km, height_km, 0.0)
}

/// Lowest and highest angle over all heights of a layer.
///
/// For one number of hops the angle grows with the height, from the horizon at the height that makes so few hops possible;
/// there one hop more would still leave at its steepest.
fn angle_range(distance_km: f64, layer: Layer, fewest: u32, most: u32) -> Option<(f64, f64)> {
    let angle = |hops: u32, height_km| Some(HopPath::of_hops(distance_km, height_km, hops)?.hop.elevation_deg.max(0.0));
    let low_deg = if fewest == most { angle(most, layer.low_km)? } else { 0.0 };
    let mut high_deg = angle(fewest, layer.high_km)?;
    for hops in fewest + 1..=most {
        // from this height on one hop fewer does
        let fewer_from_km = least_height_km(distance_km / f64::from(hops - 1))?;
        high_deg = high_deg.max(angle(hops, fewer_from_km.clamp(layer.low_km, layer.high_km))?);
    }
    Some((low_deg, high_deg))
}

/// The class of an angle in degrees, by its place among [`ANGLE_EDGES_DEG`]; the lower edge is included, and 90 is in the last.
/// `None` for what is no angle over the horizon.
pub fn angle_class(elevation_deg: f64) -> Option<usize> {
    let above = ANGLE_EDGES_DEG.iter().take(ANGLE_CLASSES).rposition(|&edge| edge <= elevation_deg)?;
    (elevation_deg <= 90.0).then_some(above)
}

/// Spots and listeners of one class of angle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct AngleCount {
    /// Spots, with the layer at the assumed height.
    pub spots: usize,
    /// Listeners, likewise.
    pub listeners: usize,
    /// Fewest and most spots over the range of the layer.
    pub spots_range: (usize, usize),
    /// Fewest and most listeners, likewise.
    pub listeners_range: (usize, usize),
}

/// Spots and listeners of one class of hops.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct HopCount {
    /// Spots.
    pub spots: usize,
    /// Listeners.
    pub listeners: usize,
}

/// Spots and listeners by likely take-off angle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AngleCounts {
    /// Per class of angle, from the horizon up.
    pub classes: [AngleCount; ANGLE_CLASSES],
    /// Per class of hops, in the order of [`HopClass::ALL`].
    pub hops: [HopCount; HopClass::ALL.len()],
    /// Spots of listeners whose place is known.
    pub spots: usize,
    /// Listeners whose place is known.
    pub listeners: usize,
    /// Half of the spots lie below this angle, degrees.
    pub half_under_deg: Option<f64>,
    /// The least and the greatest it would be over the range of the layer.
    pub half_under_range_deg: Option<(f64, f64)>,
}

/// The angles of a set of spots.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Angles {
    /// The layer assumed.
    pub layer: Layer,
    /// Over all bands.
    pub all: AngleCounts,
    /// Per band, in order of wavelength.
    pub bands: Vec<(Band, AngleCounts)>,
    /// Listeners without a known place: in no class.
    pub without_place: usize,
}

/// One listener's angle at each height looked at, the assumed one first.
struct FarAngles<'t> {
    far: &'t FarTally,
    angles_deg: Vec<f64>,
    class: HopClass,
}

/// Spots and listeners by angle, each listener at its own place.
pub fn angles(subject: &Subject<'_>, tally: &Tally, layer: Layer) -> Angles {
    let heights: Vec<f64> = layer.heights().collect();
    let placed: Vec<FarAngles<'_>> = tally
        .far
        .iter()
        .filter_map(|far| {
            let distance_km = subject.path(far.call)?.path.distance_km;
            let angle = |&height| least_hops(distance_km, height).map(|path| path.hop.elevation_deg.max(0.0));
            let angles_deg: Vec<f64> = heights.iter().filter_map(angle).collect();
            Some(FarAngles { far, angles_deg, class: PathAngle::of(distance_km, layer)?.class })
        })
        .collect();
    let of_band = |at: usize| move |far: &FarTally| far.bands[at].spots as usize;
    Angles {
        layer,
        all: count(&placed, heights.len(), &|far| far.spots()),
        bands: tally
            .bands
            .iter()
            .enumerate()
            .map(|(at, &band)| (band, count(&placed, heights.len(), &of_band(at))))
            .collect(),
        without_place: tally.far.len() - placed.len(),
    }
}

/// The counts of listeners with their number of spots; those without spots do not count.
fn count(placed: &[FarAngles<'_>], heights: usize, spots_of: &dyn Fn(&FarTally) -> usize) -> AngleCounts {
    let mut counts = AngleCounts::default();
    for one in placed {
        let spots = spots_of(one.far);
        if spots > 0 {
            counts.spots += spots;
            counts.listeners += 1;
            let hops = &mut counts.hops[one.class.index()];
            hops.spots += spots;
            hops.listeners += 1;
        }
    }
    for height in 0..heights {
        let mut found = [(0, 0); ANGLE_CLASSES];
        let mut weighted = Vec::with_capacity(placed.len());
        for one in placed {
            let (spots, Some(&angle)) = (spots_of(one.far), one.angles_deg.get(height)) else { continue };
            weighted.push((angle, spots));
            if let Some(class) = angle_class(angle).filter(|_| spots > 0) {
                found[class].0 += spots;
                found[class].1 += 1;
            }
        }
        let half = half_under(weighted, counts.spots);
        if height == 0 {
            counts.half_under_deg = half;
        }
        counts.half_under_range_deg = half.map(|half| {
            let (low, high) = counts.half_under_range_deg.unwrap_or((half, half));
            (low.min(half), high.max(half))
        });
        for (class, (spots, listeners)) in counts.classes.iter_mut().zip(found) {
            if height == 0 {
                *class = AngleCount {
                    spots,
                    listeners,
                    spots_range: (spots, spots),
                    listeners_range: (listeners, listeners),
                };
            }
            let widen = |range: &mut (usize, usize), n: usize| *range = (range.0.min(n), range.1.max(n));
            widen(&mut class.spots_range, spots);
            widen(&mut class.listeners_range, listeners);
        }
    }
    counts
}

/// The median of angles that each stand for so many of `spots` spots: the middle between both where two are in the middle.
fn half_under(mut weighted: Vec<(f64, usize)>, spots: usize) -> Option<f64> {
    weighted.order_by(|a, b| a.0.total_cmp(&b.0));
    let at = |place: usize| {
        let mut before = 0;
        let holds = |&&(_, spots): &&(f64, usize)| {
            before += spots;
            place < before
        };
        weighted.iter().find(holds).map(|&(angle, _)| angle)
    };
    Some(f64::midpoint(at(spots.checked_sub(1)? / 2)?, at(spots / 2)?))
}

/// The other way about the earth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LongWay {
    /// Its length in km.
    pub distance_km: f64,
    /// Its bearing at the tested station in degrees.
    pub bearing_deg: f64,
}

/// The long way round: what is left of a great circle of the mean sphere (within 40 km of the ellipsoid's own),
/// in the opposite direction. `None` where no bearing is defined.
///
/// Nothing in a report tells by which way it came: a remark, never counted.
pub fn long_way_round(path: &Path) -> Option<LongWay> {
    let bearing_deg = (path.bearing_deg? + 180.0).rem_euclid(360.0);
    Some(LongWay { distance_km: std::f64::consts::TAU * MEAN_RADIUS_KM - path.distance_km, bearing_deg })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_of_angle_hold_all_angles_once() {
        assert_eq!(angle_class(0.0), Some(0));
        assert_eq!(angle_class(5.0), Some(1));
        assert_eq!(angle_class(59.999), Some(7));
        assert_eq!(angle_class(NEAR_VERTICAL_DEG), Some(8));
        assert_eq!(angle_class(90.0), Some(8));
        assert_eq!((angle_class(-0.1), angle_class(90.1), angle_class(f64::NAN)), (None, None, None));
    }

    #[test]
    fn a_layer_holds_its_height() {
        assert_eq!(Layer::at(300.0), Some(Layer::default()));
        assert_eq!(Layer::at(110.0), Some(Layer::e()));
        assert_eq!(Layer::at(400.0).unwrap().range_km(), (230.0, 400.0));
        assert_eq!((Layer::at(0.0), Layer::at(f64::NAN), Layer::at(f64::INFINITY)), (None, None, None));
        let heights: Vec<f64> = Layer::default().heights().collect();
        assert_eq!((heights[0], heights[1], heights[16], heights.len()), (300.0, 230.0, 380.0, 17));
    }

    #[test]
    fn the_range_of_angles_is_that_of_all_heights_between() {
        for distance_km in [0.0, 90.0, 700.0, 3300.0, 3500.0, 3836.0, 4200.0, 7100.0, 15_000.0, 20_003.0] {
            for layer in [Layer::default(), Layer::e(), Layer::at(400.0).unwrap()] {
                let of = PathAngle::of(distance_km, layer).unwrap();
                let (low, high) = layer.range_km();
                let heights = (0..=2000).map(|step| low + (high - low) * f64::from(step) / 2000.0);
                let angles =
                    heights.map(|height| PathAngle::of(distance_km, Layer::at(height).unwrap()).unwrap().elevation_deg);
                let (least, most) =
                    angles.fold((90.0, 0.0), |(least, most), angle| (angle.min(least), angle.max(most)));
                // a step of a fifth of a km moves no angle of these by more, but for the jump where a hop is saved
                assert!(
                    of.range_deg.0 <= least && least - of.range_deg.0 < 0.3,
                    "{distance_km} {layer:?}: {of:?} {least}"
                );
                assert!(
                    of.range_deg.1 >= most - 1e-9 && of.range_deg.1 - most < 0.3,
                    "{distance_km} {layer:?}: {of:?} {most}"
                );
                assert!(of.hops_range.0 <= of.hops && of.hops <= of.hops_range.1);
            }
        }
        assert_eq!(PathAngle::of(-1.0, Layer::default()), None);
        assert_eq!(PathAngle::of(f64::NAN, Layer::default()), None);
    }
}
