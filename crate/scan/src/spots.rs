//! The columns of a spot table while they grow, and finding repeats while doing so.

/// One row; numbers that are none are NaN.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Seconds since 1970.
    pub time_s: u32,
    /// Number of the station that sent.
    pub tx: u32,
    /// Number of the station that heard it.
    pub rx: u32,
    /// Frequency.
    pub freq_hz: f64,
    /// Group.
    pub band: u8,
    /// Level.
    pub snr_db: f32,
    /// Drift.
    pub drift_hz_min: f32,
    /// Power.
    pub power_dbm: f32,
}

/// One column per field, in the order in which rows were added.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs, reason = "the fields are those of a spot")]
pub struct Spots {
    pub time_s: Vec<u32>,
    pub tx: Vec<u32>,
    pub rx: Vec<u32>,
    pub freq_hz: Vec<f64>,
    pub band: Vec<u8>,
    pub snr_db: Vec<f32>,
    pub drift_hz_min: Vec<f32>,
    pub power_dbm: Vec<f32>,
}

impl Spots {
    /// How many rows.
    pub fn len(&self) -> usize {
        self.time_s.len()
    }

    /// Is there none?
    pub fn is_empty(&self) -> bool {
        self.time_s.is_empty()
    }

    /// How many bytes of memory the columns hold, used or not.
    pub fn bytes(&self) -> usize {
        4 * (self.time_s.capacity() + self.tx.capacity() + self.rx.capacity() + self.snr_db.capacity())
            + 4 * (self.drift_hz_min.capacity() + self.power_dbm.capacity())
            + 8 * self.freq_hz.capacity()
            + self.band.capacity()
    }

    /// Makes room for so many further rows.
    pub fn reserve(&mut self, rows: usize) {
        self.time_s.reserve(rows);
        self.tx.reserve(rows);
        self.rx.reserve(rows);
        self.freq_hz.reserve(rows);
        self.band.reserve(rows);
        self.snr_db.reserve(rows);
        self.drift_hz_min.reserve(rows);
        self.power_dbm.reserve(rows);
    }

    /// Takes out all rows from one on.
    pub fn truncate(&mut self, rows: usize) {
        self.time_s.truncate(rows);
        self.tx.truncate(rows);
        self.rx.truncate(rows);
        self.freq_hz.truncate(rows);
        self.band.truncate(rows);
        self.snr_db.truncate(rows);
        self.drift_hz_min.truncate(rows);
        self.power_dbm.truncate(rows);
    }

    /// A row, if there is one.
    #[inline]
    pub fn spot(&self, row: usize) -> Option<Spot> {
        Some(Spot {
            time_s: *self.time_s.get(row)?,
            tx: *self.tx.get(row)?,
            rx: *self.rx.get(row)?,
            freq_hz: *self.freq_hz.get(row)?,
            band: *self.band.get(row)?,
            snr_db: *self.snr_db.get(row)?,
            drift_hz_min: *self.drift_hz_min.get(row)?,
            power_dbm: *self.power_dbm.get(row)?,
        })
    }

    #[inline]
    fn push(&mut self, spot: &Spot) {
        self.time_s.push(spot.time_s);
        self.tx.push(spot.tx);
        self.rx.push(spot.rx);
        self.freq_hz.push(spot.freq_hz);
        self.band.push(spot.band);
        self.snr_db.push(spot.snr_db);
        self.drift_hz_min.push(spot.drift_hz_min);
        self.power_dbm.push(spot.power_dbm);
    }
}

/// How the times of the rows follow each other. Files are nearly always sorted by time, and then a row can only repeat
/// one of the same time: the few rows to compare with stay in the processor's nearest memory.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum TimeRun {
    /// All rows have one time.
    #[default]
    Level,
    /// Never falling.
    Rising,
    /// Never rising.
    Falling,
    /// Both ways.
    Mixed,
}

/// A place in the table of rows that holds none.
const FREE: u32 = u32::MAX;

/// The rows that a new one could repeat: those of the last time while times run one way, else all.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    run: TimeRun,
    /// Numbers of rows, each at the place its hash names or the next free one behind; a power of two of them.
    places: Vec<u32>,
    rows: usize,
}

/// A row's fields as they are compared and hashed.
#[inline]
fn key(spot: &Spot) -> [u64; 4] {
    let pair = |high: u32, low: u32| u64::from(high) << 32 | u64::from(low);
    [
        pair(spot.time_s, spot.tx),
        pair(spot.rx, spot.power_dbm.to_bits()),
        spot.freq_hz.to_bits(),
        pair(spot.snr_db.to_bits(), spot.drift_hz_min.to_bits()),
    ]
}

#[inline]
fn same(one: &Spot, other: &Spot) -> bool {
    let differ = key(one).iter().zip(&key(other)).fold(0, |differ, (a, b)| differ | (a ^ b));
    differ | u64::from(one.band ^ other.band) == 0
}

#[inline]
fn hash(spot: &Spot) -> usize {
    let [a, b, c, d] = key(spot);
    let hash = hash_of_words([a, b, c ^ u64::from(spot.band), d]);
    #[expect(clippy::cast_possible_truncation, reason = "the low bits are what is wanted")]
    let low = hash as usize;
    low
}

/// A hash of words that is the same on every machine and in every run: multiply and rotate, quick, and good enough
/// where equality is checked afterwards.
#[inline]
pub fn hash_of_words<const N: usize>(words: [u64; N]) -> u64 {
    // the golden ratio in 64 bits, as multiplicative hashing customarily takes
    let mixed = |hash: u64, word: u64| (hash.rotate_left(23) ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    let hash = words.into_iter().fold(0, mixed);
    hash ^ (hash >> 32)
}

impl Seen {
    /// Adds a row to the columns, unless the same row is there already. Numbers that are none must all be one NaN, and
    /// no number minus zero.
    #[inline]
    pub fn add(&mut self, spots: &mut Spots, spot: &Spot) -> bool {
        if let Some(&last) = spots.time_s.last()
            && last != spot.time_s
        {
            self.next_time(spots, last, spot.time_s);
        }
        // at least a quarter of the places are free
        if 3 * self.places.len() < 4 * (self.rows + 1) {
            self.make_room(spots, 2 * (self.rows + 1));
        }
        let mask = self.places.len() - 1;
        let mut at = hash(spot) & mask;
        loop {
            let row = self.places[at & mask];
            if row == FREE {
                break;
            }
            if spots.spot(row as usize).is_some_and(|other| same(&other, spot)) {
                return false;
            }
            at += 1;
        }
        self.places[at & mask] = u32::try_from(spots.len()).unwrap_or(FREE);
        self.rows += 1;
        spots.push(spot);
        true
    }

    /// How many of these rows, which would come next, must be added one by one; those behind them can repeat none that is
    /// there. All of them, unless times run one way.
    pub(crate) fn singly(&self, spots: &Spots, times: impl ExactSizeIterator<Item = u32> + Clone) -> usize {
        let rows = times.len();
        let Some(&last) = spots.time_s.last() else { return rows };
        let next = times.clone().find(|&time| time != last);
        let run = match (self.run, next) {
            (TimeRun::Level | TimeRun::Rising, Some(next)) if next > last => TimeRun::Rising,
            (TimeRun::Level | TimeRun::Falling, Some(next)) if next < last => TimeRun::Falling,
            _ => return rows,
        };
        let runs = |a: u32, b: u32| if run == TimeRun::Rising { a <= b } else { a >= b };
        let (mut before, mut one_way, mut same) = (last, true, 0);
        for time in times {
            one_way &= runs(before, time);
            same += usize::from(time == last);
            before = time;
        }
        if one_way { same } else { rows }
    }

    /// Goes on after rows were appended from one on, all of other times than those before, that repeat none, their times
    /// running the same way.
    pub(crate) fn after_append(&mut self, spots: &Spots, from: usize) {
        let (Some(before), Some(&last)) = (from.checked_sub(1), spots.time_s.last()) else { return };
        self.run = if last > spots.time_s[before] { TimeRun::Rising } else { TimeRun::Falling };
        self.rows = spots.time_s[from..].iter().rev().take_while(|&&time| time == last).count();
        self.fill(spots, spots.len() - self.rows, self.rows);
    }

    /// Goes on after rows were taken out of the columns.
    pub fn after_truncation(&mut self, spots: &Spots) {
        self.see_all(spots);
    }

    /// Prepares for a row of another time than the last one's.
    fn next_time(&mut self, spots: &Spots, last: u32, time: u32) {
        let way = if time > last { TimeRun::Rising } else { TimeRun::Falling };
        if self.run == TimeRun::Level || self.run == way {
            self.run = way;
            // clearing costs as much as there is room: give up room that one crowded time needed
            if self.places.len() > 2048 && self.places.len() > 32 * self.rows {
                self.places = Vec::new();
            } else {
                self.places.fill(FREE);
            }
            self.rows = 0;
        } else if self.run != TimeRun::Mixed {
            self.see_all(spots);
        }
    }

    /// Compares with all rows from now on.
    fn see_all(&mut self, spots: &Spots) {
        self.run = TimeRun::Mixed;
        self.rows = spots.len();
        self.fill(spots, 0, spots.time_s.capacity().max(spots.len()));
    }

    fn make_room(&mut self, spots: &Spots, rows: usize) {
        let from = if self.run == TimeRun::Mixed { 0 } else { spots.len() - self.rows };
        self.fill(spots, from, rows);
    }

    /// Enters the rows from one on, with room for so many.
    fn fill(&mut self, spots: &Spots, from: usize, rows: usize) {
        let room = (rows.max(8) / 3 * 4 + 4).next_power_of_two();
        self.places = vec![FREE; room];
        for row in from..spots.len() {
            let Some(spot) = spots.spot(row) else { return };
            let mut at = hash(&spot);
            while self.places[at & (room - 1)] != FREE {
                at += 1;
            }
            self.places[at & (room - 1)] = u32::try_from(row).unwrap_or(FREE);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(time_s: u32, snr_db: f32) -> Spot {
        Spot { time_s, tx: 1, rx: 2, freq_hz: f64::NAN, band: 3, snr_db, drift_hz_min: f32::NAN, power_dbm: 23.0 }
    }

    /// Against a plain search of all rows, in rising, falling and mixed times, with rows taken out in between.
    #[test]
    fn repeats_are_found_in_any_order_of_times() {
        let mut seed = 5_u64;
        let mut next = move |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % n
        };
        for way in 0..4 {
            let (mut spots, mut seen, mut plain): (Spots, Seen, Vec<Spot>) = Default::default();
            for step in 0..3000_u32 {
                let time = match way {
                    0 => step / 200,
                    1 => 1000 - step / 200,
                    2 => u32::try_from(next(20)).unwrap(),
                    _ => 7,
                };
                let one = spot(time, f32::from(u8::try_from(next(150)).unwrap()));
                let new = !plain.contains(&one) && !plain.iter().any(|other| same(other, &one));
                assert_eq!(seen.add(&mut spots, &one), new, "{way} {step}");
                if new {
                    plain.push(one);
                }
                if next(500) == 0 {
                    let rows = spots.len() / 2;
                    spots.truncate(rows);
                    plain.truncate(rows);
                    seen.after_truncation(&spots);
                }
            }
            assert_eq!(spots.len(), plain.len());
            assert!(plain.iter().enumerate().all(|(row, one)| same(&spots.spot(row).unwrap(), one)));
        }
    }
}
