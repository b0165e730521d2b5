//! When each band was open: per UTC hour how much was heard and from how far away on, per UTC day the first and the last.
//!
//! All days are put together by hour, as [`mod@super::hours`] does. An hour without spots is called closed, which means
//! no more than that nobody reported.

use super::angles::{Layer, NEAR_VERTICAL_DEG};
use super::statistics::median;
use super::subject::Subject;
use super::tally::Tally;
use crate::model::{Band, RowSet};
use crate::order::distinct_numbers;
use crate::sky::hop::hop_span_km;
use crate::time::{UtcTime, WSPR_SLOT_S};

/// Listeners nearer than this may have heard the wave along the ground, whatever the sky does, in km (common practice,
/// no source).
pub const GROUND_WAVE_KM: f64 = 100.0;

/// How near listeners are to count as within the near ring, in km: there the wave comes along the ground, or down again
/// steeply ([`NEAR_VERTICAL_DEG`] or more, by way of the layer), and no skip zone lies before them.
pub fn near_ring_km(layer: Layer) -> f64 {
    hop_span_km(NEAR_VERTICAL_DEG, layer.height_km()).unwrap_or(0.0).max(GROUND_WAVE_KM)
}

/// What was heard from near and far in one hour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Nearest {
    /// Distance in km of the nearest listener beyond the near ring; `None` where there is none, as on a closed band.
    pub beyond_ring_km: Option<f64>,
    /// Listeners within reach of the ground wave ([`GROUND_WAVE_KM`]).
    pub ground: usize,
    /// Listeners beyond that, yet within the near ring.
    pub steep: usize,
    /// Listeners beyond the ground wave's reach and nearer than [`Self::beyond_ring_km`] that heard another band in this
    /// hour (of any day): awake, but deaf to this band.
    pub deaf: usize,
}

impl Nearest {
    /// Out to which distance, in km, nobody heard it but by the ground wave: the skip zone.
    /// `None` on a closed band, and where steep waves came back from the sky.
    pub fn skip_zone_km(self) -> Option<f64> {
        self.beyond_ring_km.filter(|_| self.steep == 0)
    }
}

/// What was heard of a band on one UTC day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DayHeard {
    /// First spot.
    pub first: UtcTime,
    /// Last spot.
    pub last: UtcTime,
    /// Spots.
    pub spots: usize,
}

/// One band over the hours of the UTC day.
#[derive(Clone, Debug, PartialEq)]
pub struct BandOpenings {
    /// The band.
    pub band: Band,
    /// Spots in each hour.
    pub spots: [usize; 24],
    /// Far stations in each hour.
    pub listeners: [usize; 24],
    /// Different slots of two minutes in which anyone heard it, in each hour of all days together.
    pub slots_heard: [usize; 24],
    /// Median over spots of the SNR normalised to 1 W, dB, in each hour.
    pub median_snr_1w_db: [Option<f64>; 24],
    /// From how far away on it was heard, in each hour.
    pub nearest: [Nearest; 24],
    /// Per UTC day with spots, in order.
    pub days: Vec<DayHeard>,
}

/// The openings of every band that occurs, in order of wavelength.
pub fn openings(subject: &Subject<'_>, rows: &RowSet, tally: &Tally, layer: Layer) -> Vec<BandOpenings> {
    let mut gathered = gather(subject, rows);
    let distances: Vec<Option<f64>> =
        tally.far.iter().map(|far| Some(subject.path(far.call)?.path.distance_km)).collect();
    let ring_km = near_ring_km(layer);
    let counts = super::hours(tally);
    let with_place = tally.bands.iter().zip(counts).enumerate();
    with_place
        .map(|(place, (&band, counts))| {
            let own = &mut gathered[band.index()];
            let mut slots_heard = [0; 24];
            for &slot in &distinct_numbers(own.slots.drain(..)) {
                let hour = (slot * WSPR_SLOT_S / 3600).rem_euclid(24);
                slots_heard[usize::try_from(hour).unwrap_or(0)] += 1;
            }
            let mut median_snr_1w_db = [None; 24];
            for (of_hour, levels) in median_snr_1w_db.iter_mut().zip(&mut own.levels) {
                *of_hour = median(levels);
            }
            let mut nearest = [Nearest::default(); 24];
            for (hour, of_hour) in nearest.iter_mut().enumerate() {
                *of_hour = nearest_in(tally, &distances, place, hour, ring_km);
            }
            BandOpenings {
                band,
                spots: counts.spots,
                listeners: counts.listeners,
                slots_heard,
                median_snr_1w_db,
                nearest,
                days: std::mem::take(&mut own.days).into_iter().flatten().collect(),
            }
        })
        .collect()
}

/// What one scan over the rows gathers for a band.
#[derive(Clone, Debug, Default)]
struct Gathered {
    slots: Vec<i64>,
    levels: [Vec<f64>; 24],
    /// Per day since the first of all.
    days: Vec<Option<DayHeard>>,
}

fn gather(subject: &Subject<'_>, rows: &RowSet) -> Vec<Gathered> {
    let table = subject.table();
    let mut gathered = vec![Gathered::default(); Band::COUNT];
    let first_day = rows.iter().map(|row| table.time(row).day_number()).min().unwrap_or(0);
    for row in rows.iter() {
        let time = table.time(row);
        let own = &mut gathered[table.band(row).index()];
        own.slots.push(time.unix_s().div_euclid(WSPR_SLOT_S));
        own.levels[usize::from(time.hour())].extend(table.snr_1w_db(row));
        let day = (time.day_number() - first_day) as usize;
        if own.days.len() <= day {
            own.days.resize(day + 1, None);
        }
        let heard = own.days[day].get_or_insert(DayHeard { first: time, last: time, spots: 0 });
        heard.first = heard.first.min(time);
        heard.last = heard.last.max(time);
        heard.spots += 1;
    }
    gathered
}

/// What was heard from near and far on the band at a place of the tally, in one hour.
fn nearest_in(tally: &Tally, distances: &[Option<f64>], band: usize, hour: usize, ring_km: f64) -> Nearest {
    let mut found = Nearest::default();
    let heard_in = |hours: u32| hours >> hour & 1 == 1;
    let placed = || tally.far.iter().zip(distances).filter_map(|(far, km)| Some((far, (*km)?)));
    for (_, km) in placed().filter(|(far, _)| heard_in(far.bands[band].hours)) {
        if km < GROUND_WAVE_KM {
            found.ground += 1;
        } else if km < ring_km {
            found.steep += 1;
        } else {
            found.beyond_ring_km = Some(found.beyond_ring_km.map_or(km, |least| least.min(km)));
        }
    }
    if let Some(least) = found.beyond_ring_km {
        let between = placed().filter(|&(_, km)| GROUND_WAVE_KM <= km && km < least);
        let awake = between.filter(|(far, _)| far.bands.iter().any(|heard| heard_in(heard.hours)));
        found.deaf = awake.filter(|(far, _)| !heard_in(far.bands[band].hours)).count();
    }
    found
}
