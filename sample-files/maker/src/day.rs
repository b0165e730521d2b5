//! Two days of sending and listening: who hears what, how strong.

use farheard::geography::Geodesic;
use farheard::time::UtcTime;

use crate::chance::Chance;
use crate::listener::Listener;
use crate::scenario::{BANDS, DAYS, Day, POWER_DBM, ROUNDS, SLOTS, Sender};
use crate::sky_path::{Sunlight, Way, noise_dbm};

/// SNR in dB at which half of all signals are decoded.
const FLOOR_DB: f64 = -28.8;
/// How soft the floor is, in dB.
const SOFTNESS_DB: f64 = 0.6;
/// Fading from one slot to the next, standard deviation in dB.
const FAST_FADING_DB: f64 = 2.5;
/// Share of slots in which no other signal sits on the same frequency.
const CLEAR_CHANNEL: f64 = 0.9;

/// One report.
#[derive(Clone, Debug)]
pub struct Heard {
    /// Start of the slot.
    pub time: UtcTime,
    /// Number of the day.
    pub day: usize,
    /// Number of the band.
    pub band: usize,
    /// Number of the listener.
    pub listener: usize,
    /// Reported frequency in Hz.
    pub freq_hz: f64,
    /// Reported SNR in whole dB.
    pub snr_db: i32,
    /// Reported drift in Hz per minute.
    pub drift_hz_min: i32,
    /// The truth: how much stronger the second day's antenna is than the first's, over just the ways this
    /// signal took, in dB.
    pub second_minus_first_db: f64,
}

/// Fading of one listener on one band over a day, a value per round, in dB.
fn fading(sender: &Sender, listener: u64, band: usize, day: Day) -> Vec<f64> {
    let key = [listener, band as u64, day.index as u64];
    let shared = Chance::of(&[10, key[0], key[1], key[2]]).chain(ROUNDS, 0.7);
    let own = Chance::of(&[11, key[0], key[1], key[2], sender.index]).chain(ROUNDS, 0.5);
    let all_listeners = Chance::of(&[12, key[1], key[2]]).chain(ROUNDS, 0.85);
    (0..ROUNDS).map(|round| 3.5 * shared[round] + 1.2 * own[round] + 1.5 * all_listeners[round]).collect()
}

/// One slot of a beacon.
#[derive(Clone, Copy, Debug)]
struct Slot<'a> {
    time: UtcTime,
    day: Day,
    band: usize,
    sunlight: &'a Sunlight,
    /// Luck of the highest frequencies, around 1.
    luck: f64,
}

impl Slot<'_> {
    fn mhz(&self) -> f64 {
        BANDS[self.band].mhz()
    }

    fn hour(&self) -> f64 {
        f64::from(self.time.second_of_day()) / 3600.0
    }
}

/// Everything that is heard of a beacon on both days, in order of time and then of listeners.
pub fn all_heard(sender: &Sender, listeners: &[Listener]) -> Vec<Heard> {
    let geodesic = Geodesic::wgs84();
    let Some(place) = sender.place() else { return Vec::new() };
    let ways: Vec<Vec<Way>> = listeners.iter().map(|listener| Way::all(&geodesic, place, listener.place)).collect();
    let mut heard = Vec::new();
    for day in DAYS {
        // highest frequencies wander from round to round, alike for all
        let wander = Chance::of(&[13, day.index as u64]).chain(ROUNDS, 0.9);
        let fades: Vec<Vec<Vec<f64>>> = listeners
            .iter()
            .map(|listener| (0..BANDS.len()).map(|band| fading(sender, listener.index, band, day)).collect())
            .collect();
        for round in 0..ROUNDS {
            let Some(sunlight) = day.slot(round, 0).map(Sunlight::until) else { continue };
            for slot in 0..SLOTS {
                let (Some(time), Some(band)) = (day.slot(round, slot), sender.band_in(round, slot)) else { continue };
                let slot = Slot { time, day, band, sunlight: &sunlight, luck: 1.0 + 0.05 * wander[round] };
                heard.extend(listeners.iter().enumerate().filter_map(|(at, listener)| {
                    if !listener.listens(band, slot.hour(), day.index) {
                        return None;
                    }
                    let signal = Signal::of(sender, &ways[at], &slot);
                    let report = report(sender, listener, signal, fades[at][band][round], &slot)?;
                    Some(Heard { listener: at, ..report })
                }));
            }
        }
    }
    heard
}

/// A signal as it comes in.
#[derive(Clone, Copy, Debug)]
struct Signal {
    /// Power at a receiving antenna of 0 dBi.
    dbm: f64,
    /// Angle of its strongest part.
    elevation_deg: f64,
    second_minus_first_db: f64,
}

impl Signal {
    fn of(sender: &Sender, ways: &[Way], slot: &Slot<'_>) -> Self {
        let mhz = slot.mhz();
        let mut sums = [0.0; 2];
        let (mut strongest, mut elevation_deg) = (0.0, 0.0);
        for way in ways {
            let loss_db = way.loss_db(slot.sunlight, slot.day, mhz, slot.luck);
            let parts = sender.antennas.map(|antenna| {
                let gain_dbi = antenna.gain_dbi(mhz, way.bearing_deg, way.elevation_deg);
                10_f64.powf((f64::from(POWER_DBM) + gain_dbi - loss_db) / 10.0)
            });
            sums = [sums[0] + parts[0], sums[1] + parts[1]];
            if parts[slot.day.index] > strongest {
                (strongest, elevation_deg) = (parts[slot.day.index], way.elevation_deg);
            }
        }
        Self {
            dbm: 10.0 * sums[slot.day.index].log10(),
            elevation_deg,
            second_minus_first_db: 10.0 * (sums[1] / sums[0]).log10(),
        }
    }
}

/// What a listener reports of a signal, if it decodes it. (The listener's number is left to the caller.)
fn report(sender: &Sender, listener: &Listener, signal: Signal, fade_db: f64, slot: &Slot<'_>) -> Option<Heard> {
    let (mhz, band, day) = (slot.mhz(), slot.band, slot.day);
    let mut chance = Chance::of(&[20, sender.index, listener.index, slot.time.unix_s().unsigned_abs()]);
    let received = signal.dbm + listener.gain_dbi - 5.0 * (-signal.elevation_deg / 7.0).exp();
    let noise = noise_dbm(listener.noise_db, mhz, slot.sunlight.elevation_deg(listener.place));
    let snr_db = received - noise + day.level_db + fade_db + FAST_FADING_DB * chance.normal();
    let decoded = 1.0 / (1.0 + (-(snr_db - FLOOR_DB) / SOFTNESS_DB).exp());
    if !chance.happens(CLEAR_CHANNEL * decoded) {
        return None;
    }
    let mut tuning = Chance::of(&[21, sender.index, day.index as u64, band as u64]);
    let sent_hz = BANDS[band].window_hz + tuning.between(15.0, 185.0).round();
    let jitter_hz = if chance.happens(0.2) { 1.0 } else { 0.0 };
    let drift_hz_min = if chance.happens(0.04) { -1 } else { 0 };
    #[expect(clippy::cast_possible_truncation, reason = "a few tens of dB")]
    let snr_db = snr_db.round() as i32;
    Some(Heard {
        time: slot.time,
        day: day.index,
        band,
        listener: 0,
        freq_hz: sent_hz + (listener.frequency_ppm * mhz).round() + jitter_hz,
        snr_db,
        drift_hz_min,
        second_minus_first_db: signal.second_minus_first_db,
    })
}
