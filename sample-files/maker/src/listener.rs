//! The listeners: made-up calls, spread over the land much as people who listen are: dense in Europe and North
//! America, thin elsewhere, a few near the far side of the earth.

use std::collections::BTreeSet;

use farheard::geography::{Geodesic, Locator, Position};

use crate::chance::Chance;
use crate::scenario::{BANDS, TESTED};

/// A region: middle in degrees north and east, half its height and width, and how many listen there.
type Region = (f64, f64, f64, f64, usize);

/// Regions, nearest first. Boxes are kept small and on land.
const REGIONS: [Region; 61] = [
    (40.4, -3.9, 0.8, 1.2, 3),
    (37.6, -5.2, 0.4, 0.8, 2),
    (41.7, 0.6, 0.4, 0.8, 2),
    (40.2, -7.9, 0.6, 0.4, 2),
    (43.9, 0.8, 0.8, 1.0, 2),
    (47.4, 0.6, 1.0, 1.5, 4),
    (48.8, 2.6, 0.5, 0.8, 3),
    (45.3, 4.6, 0.8, 0.6, 2),
    (51.6, -1.2, 0.6, 1.2, 7),
    (53.3, -1.6, 0.7, 0.8, 4),
    (56.1, -3.7, 0.4, 0.6, 2),
    (53.2, -7.6, 0.6, 0.8, 2),
    (50.8, 4.6, 0.3, 0.8, 3),
    (52.2, 5.5, 0.4, 0.6, 5),
    (52.6, 9.3, 0.7, 1.3, 5),
    (50.6, 9.0, 0.7, 1.4, 5),
    (48.6, 10.4, 0.6, 1.6, 6),
    (51.3, 12.8, 0.6, 0.9, 3),
    (47.1, 8.2, 0.3, 0.6, 3),
    (45.2, 9.9, 0.4, 1.4, 4),
    (43.2, 12.2, 0.5, 0.5, 1),
    (47.8, 14.6, 0.4, 1.2, 3),
    (49.7, 15.4, 0.4, 1.2, 2),
    (52.1, 19.2, 0.9, 1.8, 3),
    (56.1, 9.4, 0.5, 0.4, 2),
    (58.8, 14.8, 0.8, 0.8, 2),
    (60.6, 10.2, 0.5, 0.8, 2),
    (61.8, 25.4, 0.8, 1.6, 2),
    (47.1, 19.4, 0.3, 0.8, 1),
    (45.9, 24.8, 0.5, 1.0, 1),
    (42.6, 25.2, 0.3, 0.8, 1),
    (38.3, 22.6, 0.3, 0.4, 1),
    (55.7, 38.2, 0.6, 1.4, 1),
    (39.6, 32.6, 0.5, 1.0, 1),
    (64.1, -20.8, 0.1, 0.4, 1),
    (28.3, -16.55, 0.05, 0.08, 2),
    (32.2, -6.4, 0.5, 0.6, 1),
    (31.9, 35.0, 0.3, 0.1, 1),
    (-26.2, 28.2, 0.6, 0.8, 2),
    (-1.1, 36.9, 0.3, 0.3, 1),
    (-21.15, 55.5, 0.08, 0.1, 1),
    (45.4, -73.2, 0.4, 0.8, 2),
    (43.8, -79.9, 0.3, 0.6, 2),
    (42.6, -72.4, 0.7, 0.9, 5),
    (40.4, -76.2, 0.6, 1.2, 5),
    (35.8, -79.8, 0.8, 1.4, 3),
    (29.4, -82.0, 0.6, 0.3, 2),
    (40.6, -84.6, 1.0, 2.2, 4),
    (44.2, -91.8, 1.0, 2.0, 2),
    (32.2, -97.2, 0.8, 1.2, 2),
    (39.6, -105.0, 0.5, 0.5, 1),
    (37.6, -121.6, 0.5, 0.3, 2),
    (47.6, -122.0, 0.3, 0.2, 2),
    (18.3, -66.4, 0.1, 0.3, 1),
    (-22.6, -46.6, 0.6, 1.0, 2),
    (-34.4, -59.4, 0.5, 0.8, 1),
    (21.4, -158.0, 0.1, 0.1, 1),
    (35.8, 139.3, 0.3, 0.3, 3),
    (-31.8, 116.4, 0.3, 0.3, 1),
    (-36.4, 144.8, 0.8, 1.2, 4),
    (-40.2, 175.6, 0.6, 0.3, 5),
];

/// How a listener spends the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hours {
    /// Day and night.
    Always,
    /// From 7 to 22 h local solar time.
    Waking,
    /// From 16 to 1 h local solar time.
    Evening,
}

impl Hours {
    fn hold(self, local_hour: f64) -> bool {
        match self {
            Self::Always => true,
            Self::Waking => (7.0..22.0).contains(&local_hour),
            Self::Evening => !(1.0..16.0).contains(&local_hour),
        }
    }
}

/// Which bands a listener receives at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Watch {
    /// All it has, each all the time.
    Every,
    /// One of them each hour, after a plan that is the same every day.
    ByTheHour,
}

/// A listener.
#[derive(Clone, Debug)]
pub struct Listener {
    /// Number, from 0.
    pub index: u64,
    /// Made-up call.
    pub call: String,
    /// Locator it reports.
    pub locator: Locator,
    /// Where it truly stands.
    pub place: Position,
    /// Distance from the tested beacon in km.
    pub distance_km: f64,
    /// Man-made noise, the constant of the formula in [`crate::sky_path::noise_dbm`], in dB.
    pub noise_db: f64,
    /// Receiving antenna in dBi, at middling angles.
    pub gain_dbi: f64,
    /// Numbers of the bands it listens on.
    pub bands: Vec<usize>,
    /// Its hours.
    pub hours: Hours,
    /// One band or all at once.
    pub watch: Watch,
    /// Error of its receiver's frequency, in parts per million.
    pub frequency_ppm: f64,
}

impl Listener {
    /// All of them, in the order of the regions.
    pub fn all() -> Vec<Self> {
        let mut calls = BTreeSet::new();
        let mut all = Vec::new();
        let geodesic = Geodesic::wgs84();
        let beacon = TESTED.place();
        for (north, east, half_height, half_width, count) in REGIONS {
            for _ in 0..count {
                let index = all.len() as u64;
                let mut chance = Chance::of(&[1, index]);
                let place = Position {
                    lat_deg: north + half_height * chance.between(-1.0, 1.0),
                    lon_deg: east + half_width * chance.between(-1.0, 1.0),
                };
                let locator = Locator::of_position(place, if chance.happens(0.3) { 4 } else { 6 });
                all.push(Self {
                    index,
                    call: new_call(&mut chance, &mut calls),
                    locator,
                    place,
                    distance_km: beacon.map_or(0.0, |from| geodesic.path(from, place).distance_km),
                    noise_db: [53.6, 67.2, 67.2, 72.5, 72.5, 72.5, 76.8][chance.below(7)] + 2.0 * chance.normal(),
                    gain_dbi: -3.0 + 3.0 * chance.normal(),
                    bands: own_bands(&mut chance),
                    hours: [Hours::Always, Hours::Always, Hours::Waking, Hours::Evening, Hours::Evening]
                        [chance.below(5)],
                    watch: if chance.happens(0.2) { Watch::Every } else { Watch::ByTheHour },
                    frequency_ppm: 0.6 * chance.normal(),
                });
            }
        }
        all
    }

    /// Is it listening on a band, at a UTC hour (with fraction) of a day?
    pub fn listens(&self, band: usize, utc_hour: f64, day: usize) -> bool {
        let local_hour = (utc_hour + self.place.lon_deg / 15.0).rem_euclid(24.0);
        if !self.hours.hold(local_hour) || !self.bands.contains(&band) || self.is_away(utc_hour, day) {
            return false;
        }
        if self.watch == Watch::Every {
            return true;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an hour of the day")]
        let plan_hour = utc_hour as u64;
        let mut plan = Chance::of(&[2, self.index, plan_hour]);
        self.bands[plan.below(self.bands.len())] == band
    }

    /// Some are off for some hours of a day, and a few for all of it.
    fn is_away(&self, utc_hour: f64, day: usize) -> bool {
        let mut chance = Chance::of(&[3, self.index, day as u64]);
        if chance.happens(0.05) {
            return true;
        }
        let off = chance.happens(0.4);
        let (from, length) = (chance.between(0.0, 24.0), chance.between(1.0, 8.0));
        off && (utc_hour - from).rem_euclid(24.0) < length
    }
}

/// One to all bands; the middle ones are the most liked.
fn own_bands(chance: &mut Chance) -> Vec<usize> {
    let liking = [0.6, 0.7, 0.65, 0.8, 0.55, 0.55, 0.55];
    let keen = chance.between(0.35, 1.1);
    let mut bands: Vec<usize> = (0..BANDS.len()).filter(|&band| chance.happens(keen * liking[band])).collect();
    if bands.is_empty() {
        bands.push(1 + chance.below(3));
    }
    bands
}

/// A call that begins with Q, which is never issued, and that nobody else has.
fn new_call(chance: &mut Chance, taken: &mut BTreeSet<String>) -> String {
    const LETTERS: [char; 20] =
        ['A', 'B', 'C', 'D', 'F', 'G', 'H', 'J', 'K', 'L', 'M', 'N', 'P', 'R', 'S', 'T', 'V', 'W', 'X', 'Z'];
    loop {
        let mut call = format!("Q{}", chance.below(10));
        let letters = if chance.happens(0.25) { 2 } else { 3 };
        call.extend((0..letters).map(|_| LETTERS[chance.below(LETTERS.len())]));
        if chance.happens(0.04) {
            call.push_str("/P");
        }
        if taken.insert(call.clone()) {
            return call;
        }
    }
}
