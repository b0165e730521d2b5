//! The simulated earth: who listens where and when, which bands are open, how a signal fades, what is decoded.

use farheard::geography::{Geodesic, Locator, Position};
use farheard::sky::hop::HopPath;
use farheard::sky::sun::SunPlace;
use farheard::time::UtcTime;

use crate::random::Random;

/// Bands a beacon takes in turn: name and frequency in Hz.
pub(super) const BANDS: [(&str, f64); 8] = [
    ("80m", 3_570_100.0),
    ("40m", 7_040_100.0),
    ("30m", 10_140_200.0),
    ("20m", 14_097_100.0),
    ("17m", 18_106_100.0),
    ("15m", 21_096_100.0),
    ("12m", 24_926_100.0),
    ("10m", 28_126_100.0),
];
/// Mirror height of the simulated F layer, km.
const LAYER_KM: f64 = 300.0;
/// SNR over which half of the receptions decode, dB in 2500 Hz.
const FLOOR_DB: f64 = -28.5;

/// One simulated listener.
#[derive(Clone, Debug)]
pub(super) struct Listener {
    pub(super) call: String,
    pub(super) locator: Locator,
    path_km: f64,
    middle: Position,
    /// Noise over the average listener's, dB, and how it swings over the day.
    noise_db: f64,
    swing_db: f64,
    quietest_hour: f64,
    /// Its own decoder's floor beside the common one, dB.
    floor_db: f64,
    first_hour: usize,
    hours: usize,
    /// How its days differ from others', dB.
    own_days_db: Vec<f64>,
}

/// A place, a date, listeners, and how its days differ.
#[derive(Debug)]
pub(super) struct World {
    pub(super) home: Locator,
    pub(super) start: UtcTime,
    pub(super) bands: Vec<usize>,
    pub(super) listeners: Vec<Listener>,
    /// Per day and band: better or worse than the average day, dB.
    days_db: Vec<Vec<f64>>,
    muf_factor: f64,
}

/// 2031-01-01T00:00Z, in seconds since 1970: as good a year as any.
const FIRST_START_S: i64 = 1_924_992_000;

impl World {
    /// A world of so many days, with 15 to 74 listeners.
    pub(super) fn new(random: &mut Random, days: usize) -> Option<Self> {
        Self::with_listeners(random, days, None)
    }

    /// A world of so many days and listeners; `None` lets chance count the listeners.
    pub(super) fn with_listeners(random: &mut Random, days: usize, listeners: Option<usize>) -> Option<Self> {
        let geodesic = Geodesic::wgs84();
        let place = Position { lat_deg: random.between(-45.0, 60.0), lon_deg: random.between(-180.0, 180.0) };
        let home = Locator::of_position(place, 6);
        let start_s = FIRST_START_S + 86_400 * i64::try_from(random.below(365)).unwrap_or(0);
        let mut bands: Vec<usize> = (0..BANDS.len()).collect();
        for _ in 0..3 + random.below(2) {
            bands.remove(random.below(bands.len()));
        }
        let count = 15 + random.below(60);
        let count = listeners.unwrap_or(count);
        let listeners = (0..count).map(|at| listener(random, &geodesic, home, at, days)).collect();
        // days differ in common more than each band does on its own
        let days_db = (0..days)
            .map(|_| {
                let common = random.normal(2.0);
                BANDS.iter().map(|_| common + random.normal(1.5)).collect()
            })
            .collect();
        Some(Self {
            home,
            start: UtcTime::from_unix_s(start_s)?,
            bands,
            listeners,
            days_db,
            muf_factor: random.between(0.8, 1.3),
        })
    }

    /// Median SNR in dB of 1 W from an average antenna on a band, or `None` while the band is closed there.
    pub(super) fn median_db(&self, listener: &Listener, band: usize, time: UtcTime, sun: SunPlace) -> Option<f64> {
        let mhz = BANDS[band].1 / 1e6;
        let light = (sun.elevation_deg(listener.middle) + 6.0).to_radians().sin().max(0.0);
        let critical_mhz = self.muf_factor * (3.5 + 7.5 * light.sqrt());
        let hops = HopPath::of_least_hops(listener.path_km.max(50.0), LAYER_KM, 3.0)?;
        let muf_mhz = critical_mhz / hops.hop.incidence_deg.to_radians().cos().max(0.2);
        if mhz > muf_mhz * 1.15 {
            return None;
        }
        let over_muf = 20.0 * (mhz / muf_mhz - 0.85).max(0.0) / 0.3;
        let spread = 20.0 * (hops.total_slant_km() / 1000.0).max(0.2).log10();
        // absorption falls with the square of the frequency and rises with the sun and the slant through the D layer
        let slant = 1.0 / (hops.hop.elevation_deg.to_radians().sin().max(0.15));
        let absorbed = f64::from(hops.hops) * 250.0 * light * slant.min(4.0) / (mhz + 1.0).powi(2);
        let noise = listener.noise_db - 22.0 * (mhz / 10.0).log10()
            + listener.swing_db
                * ((f64::from(time.hour()) - listener.quietest_hour) / 24.0 * std::f64::consts::TAU).cos();
        Some(-16.0 - spread - absorbed - over_muf - 5.0 * f64::from(hops.hops - 1) - noise)
    }

    /// How a day differs from the average for a listener on a band, dB.
    pub(super) fn day_db(&self, day: usize, band: usize, listener: &Listener) -> f64 {
        self.days_db[day][band] + listener.own_days_db[day]
    }
}

impl Listener {
    /// Is it at the receiver in this UTC hour?
    pub(super) fn listens(&self, hour: u8) -> bool {
        (usize::from(hour) + 24 - self.first_hour) % 24 < self.hours
    }

    /// What a decoder reports of a signal: whole dB, or nothing below a floor that is soft and each listener's own.
    pub(super) fn reports(&self, snr_db: f64, random: &mut Random) -> Option<f64> {
        let over = snr_db - FLOOR_DB - self.floor_db;
        let decodes = 1.0 / (1.0 + (-over / 0.4).exp());
        (random.share() < decodes).then(|| (snr_db + random.normal(0.5)).round())
    }
}

fn listener(random: &mut Random, geodesic: &Geodesic, home: Locator, at: usize, days: usize) -> Listener {
    // many within a continent, some anywhere
    let distance =
        if random.share() < 0.7 { 150.0 + 3200.0 * random.share().powf(1.3) } else { random.between(3000.0, 19_500.0) };
    let place = geodesic.destination(home.centre(), random.between(0.0, 360.0), distance);
    let locator = Locator::of_position(place, if random.share() < 0.7 { 6 } else { 4 });
    let path = geodesic.path(home.centre(), locator.centre());
    let bearing_deg = path.bearing_deg.unwrap_or(0.0);
    Listener {
        call: format!("Q{}{}{}{}", at % 10, letter(at / 10), letter(at / 7 + 3), letter(at)),
        locator,
        path_km: path.distance_km,
        middle: geodesic.destination(home.centre(), bearing_deg, path.distance_km / 2.0),
        noise_db: random.normal(4.5),
        swing_db: random.between(0.0, 3.0),
        quietest_hour: random.between(0.0, 24.0),
        floor_db: random.normal(0.6),
        first_hour: random.below(24),
        hours: if random.share() < 0.6 { 24 } else { 6 + random.below(14) },
        own_days_db: (0..days).map(|_| random.normal(1.0)).collect(),
    }
}

fn letter(at: usize) -> char {
    char::from(b'A' + u8::try_from(at % 26).unwrap_or(0))
}

/// Fading of one path on one band: slow (it remembers about half an hour) and fast (each reception its own).
#[derive(Clone, Debug)]
pub(super) struct Fading {
    slow_db: f64,
    at: Option<i64>,
}

/// Standard deviations of slow and fast fading, dB; how long slow fading remembers, seconds.
const SLOW_DB: f64 = 3.5;
const FAST_DB: f64 = 2.3;
const MEMORY_S: f64 = 2_400.0;

impl Fading {
    /// Not begun yet.
    pub(super) fn new() -> Self {
        Self { slow_db: 0.0, at: None }
    }

    /// Level beside the median at an instant, slow part; instants must not go back.
    pub(super) fn slow_db(&mut self, time: UtcTime, random: &mut Random) -> f64 {
        let kept = self.at.map_or(0.0, |at| (-((time.unix_s() - at) as f64) / MEMORY_S).exp());
        self.slow_db = kept * self.slow_db + random.normal(SLOW_DB * (1.0 - kept * kept).sqrt());
        self.at = Some(time.unix_s());
        self.slow_db
    }

    /// The fast part of one reception.
    pub(super) fn fast_db(random: &mut Random) -> f64 {
        random.normal(FAST_DB)
    }
}
