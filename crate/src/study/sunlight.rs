//! Where the sun stood for each spot: over the tested station, over the listener, over the middle of the path between
//! and wherever it is likely to have met the layer.
//!
//! Elevations come from [`crate::sky::sun`] (within 0.01 degrees, airless) at the time of the spot, which is the start of its
//! slot: in the two minutes of a slot the sun moves by half a degree at most. Places are the centres of locator cells:
//! one of four characters leaves up to 1.1 degrees of the sun open.

use super::angles::{Layer, PathAngle};
use super::subject::Subject;
use crate::geography::sphere::Direction;
use crate::geography::{Geodesic, Position};
use crate::model::{Band, CallId, RowSet};
use crate::sky::{HopPath, SunPlace, SunState, Suns};
use crate::time::{DAY_S, UtcTime};

/// How a path lay to the sun: both ends and wherever it is likely to have met the layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PathLight {
    /// Everywhere in daylight.
    Day,
    /// Either end, or both, in twilight: along the grey line.
    GreyLine,
    /// Neither end in twilight, and day at one place, night or twilight at another.
    Mixed,
    /// Everywhere at night.
    Night,
}

impl PathLight {
    /// All, from day to night.
    pub const ALL: [Self; 4] = [Self::Day, Self::GreyLine, Self::Mixed, Self::Night];

    /// Place in tables with one entry per state, in the order of [`Self::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }
}

/// The sun over one spot: elevations of its centre over the horizon in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpotSun {
    /// At the tested station.
    pub home_deg: f64,
    /// At the listener.
    pub far_deg: f64,
    /// Over the middle of the path; `None` where the listener stands exactly opposite.
    pub midpoint_deg: Option<f64>,
    /// How the path lay to it.
    pub light: PathLight,
}

/// Plumb lines along the path to one listener.
#[derive(Clone, Debug)]
struct Along {
    far: Direction,
    midpoint: Option<Direction>,
    /// Where the layer is met, from the tested station on.
    reflections: Vec<Direction>,
}

/// The sun over the paths of a set of spots: its place is worked out once a slot, the places along a path once a listener.
#[derive(Clone, Debug)]
pub struct PathSuns<'s, 't> {
    subject: &'s Subject<'t>,
    suns: Suns,
    home: Option<Direction>,
    along: Vec<Option<Along>>,
}

impl<'s, 't> PathSuns<'s, 't> {
    /// For these rows; hops are the least that a layer allows.
    pub fn new(subject: &'s Subject<'t>, rows: &RowSet, layer: Layer) -> Self {
        let table = subject.table();
        let home = subject.home_position();
        let geodesic = Geodesic::wgs84();
        let mut wanted = vec![false; table.stations().calls()];
        for row in rows.iter() {
            wanted[subject.far_call(row).index()] = true;
        }
        let along = (0..).map(CallId).zip(wanted).map(|(call, wanted)| {
            let far = subject.path(call).filter(|_| wanted)?;
            let at = |share: f64| part_way(&geodesic, subject, call, share).map(Position::direction);
            let km = far.path.distance_km;
            let hops = PathAngle::of(km, layer).and_then(|angle| HopPath::of_hops(km, layer.height_km(), angle.hops));
            let reflections = hops.into_iter().flat_map(HopPath::reflections).filter_map(at).collect();
            Some(Along { far: far.locator.centre().direction(), midpoint: at(0.5), reflections })
        });
        Self {
            subject,
            suns: Suns::of(rows.iter().map(|row| table.time(row).unix_s()).collect()),
            home: home.map(Position::direction),
            along: along.collect(),
        }
    }

    fn of(&self, row: usize) -> Option<(SunPlace, Direction, &Along)> {
        let along = self.along.get(self.subject.far_call(row).index())?.as_ref()?;
        Some((self.suns.at(self.subject.table().time(row)), self.home?, along))
    }

    /// The sun over a spot; `None` where the place of either end is not known.
    pub fn spot(&self, row: usize) -> Option<SpotSun> {
        let (sun, home, along) = self.of(row)?;
        Some(SpotSun {
            home_deg: sun.elevation_over_deg(home),
            far_deg: sun.elevation_over_deg(along.far),
            midpoint_deg: along.midpoint.map(|at| sun.elevation_over_deg(at)),
            light: light(sun, home, along),
        })
    }

    /// Elevations of the sun over the places where a spot is likely to have met the layer, from the tested station on.
    pub fn reflections_deg(&self, row: usize) -> Vec<f64> {
        let found = self.of(row);
        found.map_or_else(Vec::new, |(sun, _, along)| {
            along.reflections.iter().map(|&at| sun.elevation_over_deg(at)).collect()
        })
    }
}

/// The place that is a share of the way from the tested station to a call; `None` where either place is not known or
/// they lie exactly opposite each other.
pub(super) fn part_way(geodesic: &Geodesic, subject: &Subject<'_>, call: CallId, share: f64) -> Option<Position> {
    let home = subject.home_position()?;
    let path = subject.path(call)?.path;
    if path.distance_km == 0.0 {
        return Some(home);
    }
    Some(geodesic.destination(home, path.bearing_deg?, path.distance_km * share))
}

fn light(sun: SunPlace, home: Direction, along: &Along) -> PathLight {
    let (home, far) = (sun.state_over(home), sun.state_over(along.far));
    if home == SunState::Twilight || far == SunState::Twilight {
        return PathLight::GreyLine;
    }
    let alike = home == far && along.reflections.iter().all(|&at| sun.state_over(at) == home);
    match home {
        SunState::Day if alike => PathLight::Day,
        SunState::Night if alike => PathLight::Night,
        _ => PathLight::Mixed,
    }
}

/// Spots by the sun: each array in the order of [`SunState::ALL`] or [`PathLight::ALL`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LightCounts {
    /// By the sun at the tested station.
    pub home: [usize; 3],
    /// By the sun at the listener.
    pub far: [usize; 3],
    /// By the sun over the middle of the path.
    pub midpoint: [usize; 3],
    /// By how the whole path lay to it.
    pub path: [usize; 4],
}

/// Spots by the sun.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sunlight {
    /// Over all bands.
    pub all: LightCounts,
    /// Per band that occurs, in order of wavelength.
    pub bands: Vec<(Band, LightCounts)>,
    /// Spots without a known place at either end: in no count.
    pub without_place: usize,
}

/// Counts spots by where the sun stood.
pub fn sunlight(subject: &Subject<'_>, rows: &RowSet, layer: Layer) -> Sunlight {
    let suns = PathSuns::new(subject, rows, layer);
    let mut of_band = [LightCounts::default(); Band::COUNT];
    let mut present = [false; Band::COUNT];
    let mut found = Sunlight::default();
    for row in rows.iter() {
        let band = subject.table().band(row).index();
        present[band] = true;
        let Some((sun, home, along)) = suns.of(row) else {
            found.without_place += 1;
            continue;
        };
        let midpoint = along.midpoint.map(|at| sun.state_over(at).index());
        let path = light(sun, home, along).index();
        let (home, far) = (sun.state_over(home).index(), sun.state_over(along.far).index());
        for counts in [&mut of_band[band], &mut found.all] {
            counts.home[home] += 1;
            counts.far[far] += 1;
            counts.path[path] += 1;
            if let Some(at) = midpoint {
                counts.midpoint[at] += 1;
            }
        }
    }
    let bands = Band::all().filter(|band| present[band.index()]);
    found.bands = bands.map(|band| (band, of_band[band.index()])).collect();
    found
}

/// A stretch of a day with one state of the sun: minutes since it began, from and to (excluded).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// The state.
    pub state: SunState,
    /// First minute.
    pub from_min: u32,
    /// Minute after the last.
    pub to_min: u32,
}

/// The sun over one place through 24 hours.
#[derive(Clone, Debug, PartialEq)]
pub struct SunDay {
    /// Stretches in order, from the first minute to the last: one only in polar day and night.
    pub stretches: Vec<Stretch>,
    /// Its highest elevation in degrees, below 0 where it does not rise.
    pub highest_deg: f64,
    /// The minute in which it stands there (the first of equals).
    pub highest_min: u32,
}

/// Minutes of a day.
const DAY_MIN: u32 = 1440;

/// The sun over a place through the UTC day of an instant, to the minute.
pub fn sun_day(place: Position, day: UtcTime) -> SunDay {
    let upright = place.direction();
    let start = day.unix_s().div_euclid(DAY_S) * DAY_S;
    let mut found = SunDay { stretches: Vec::new(), highest_deg: f64::NEG_INFINITY, highest_min: 0 };
    for minute in 0..DAY_MIN {
        let Some(time) = UtcTime::from_unix_s(start + i64::from(minute) * 60) else { break };
        let sun = SunPlace::at(time);
        let elevation_deg = sun.elevation_over_deg(upright);
        let state = SunState::of_elevation(elevation_deg);
        match found.stretches.last_mut().filter(|last| last.state == state) {
            Some(last) => last.to_min = minute + 1,
            None => found.stretches.push(Stretch { state, from_min: minute, to_min: minute + 1 }),
        }
        if elevation_deg > found.highest_deg {
            (found.highest_deg, found.highest_min) = (elevation_deg, minute);
        }
    }
    found
}

impl SunDay {
    /// The state in the middle of each hour.
    pub fn by_hour(&self) -> [SunState; 24] {
        let mut hours = [SunState::Night; 24];
        for (state, middle) in hours.iter_mut().zip((30..DAY_MIN).step_by(60)) {
            let holds = |stretch: &&Stretch| stretch.from_min <= middle && middle < stretch.to_min;
            *state = self.stretches.iter().find(holds).map_or(SunState::Night, |stretch| stretch.state);
        }
        hours
    }
}
