//! The invented test: place, days, bands, senders. Every name, call and number here is made up.

use farheard::geography::{Locator, Position};
use farheard::time::UtcTime;

use crate::antenna::Antenna;

/// One band of the beacon.
#[derive(Clone, Copy, Debug)]
pub struct HopBand {
    /// ADIF name.
    pub name: &'static str,
    /// Lowest frequency of the window where such beacons are usual, in Hz (common practice); it is 200 Hz wide.
    pub window_hz: f64,
}

impl HopBand {
    /// Frequency in MHz, near enough for losses and noise.
    pub fn mhz(self) -> f64 {
        self.window_hz / 1e6
    }
}

/// The beacon's bands in the order it takes them; the eighth slot of each round is silent.
pub const BANDS: [HopBand; 7] = [
    HopBand { name: "80m", window_hz: 3_570_000.0 },
    HopBand { name: "40m", window_hz: 7_040_000.0 },
    HopBand { name: "30m", window_hz: 10_140_100.0 },
    HopBand { name: "20m", window_hz: 14_097_000.0 },
    HopBand { name: "17m", window_hz: 18_106_000.0 },
    HopBand { name: "15m", window_hz: 21_096_000.0 },
    HopBand { name: "10m", window_hz: 28_126_000.0 },
];

/// Slots in a round: seven bands and a silence.
pub const SLOTS: usize = 8;
/// Length of a slot in seconds.
pub const SLOT_S: i64 = 120;
/// Rounds in a day of 24 hours.
pub const ROUNDS: usize = 90;
/// Reported power in dBm: 200 mW.
pub const POWER_DBM: i32 = 23;

/// One day of the test.
#[derive(Clone, Copy, Debug)]
pub struct Day {
    /// Number, from 0.
    pub index: usize,
    /// Year, month, day (UTC).
    pub date: (i32, u32, u32),
    /// Share of the usual highest frequencies that this day's ionosphere carries.
    pub muf_share: f64,
    /// Absorption by day against the usual.
    pub absorption: f64,
    /// Change of all levels in dB.
    pub level_db: f64,
}

/// Saturday with the doublet, Monday with the vertical; on Sunday, by daylight, the antenna was changed.
/// Monday was the poorer day: this is what makes two days so hard to compare without a control.
pub const DAYS: [Day; 2] = [
    Day { index: 0, date: (2031, 10, 11), muf_share: 1.0, absorption: 1.0, level_db: 0.0 },
    Day { index: 1, date: (2031, 10, 13), muf_share: 0.94, absorption: 1.2, level_db: -1.5 },
];

impl Day {
    /// Start of a slot of a round.
    pub fn slot(self, round: usize, slot: usize) -> Option<UtcTime> {
        let (year, month, day) = self.date;
        let slots = i64::try_from(round * SLOTS + slot).ok()?;
        UtcTime::from_calendar(year, month, day, 0, 0, 0)?.plus_s(slots * SLOT_S)
    }
}

/// A beacon.
#[derive(Clone, Copy, Debug)]
pub struct Sender {
    /// Number, from 0, for its own chance.
    pub index: u64,
    /// Its made-up call.
    pub call: &'static str,
    /// The locator it sends.
    pub locator: &'static str,
    /// A longer locator of where it truly stands.
    pub stands: &'static str,
    /// Its antenna on each day.
    pub antennas: [Antenna; 2],
    /// How many slots later in the round it begins than the tested beacon.
    pub slots_later: usize,
    /// It sends in one of so many rounds.
    pub one_round_in: usize,
}

impl Sender {
    /// Where it stands.
    pub fn place(&self) -> Option<Position> {
        Locator::parse(self.stands).ok().map(Locator::centre)
    }

    /// The band it sends on in a slot of a round.
    pub fn band_in(&self, round: usize, slot: usize) -> Option<usize> {
        if !round.is_multiple_of(self.one_round_in) {
            return None;
        }
        let turn = (slot + SLOTS - self.slots_later) % SLOTS;
        (turn < BANDS.len()).then_some(turn)
    }
}

/// The tested beacon, in a shepherd's hut on a high plain.
pub const TESTED: Sender = Sender {
    index: 0,
    call: "Q6HUT",
    locator: "IN71",
    stands: "IN71ml",
    antennas: [Antenna::LowDoublet, Antenna::ShortVertical],
    slots_later: 0,
    one_round_in: 1,
};

/// A beacon in a mill down the valley, whose antenna stayed as it was.
pub const CONTROL: Sender = Sender {
    index: 1,
    call: "Q4MIL",
    locator: "IN71",
    stands: "IN71ol",
    antennas: [Antenna::Unchanged, Antenna::Unchanged],
    slots_later: 4,
    one_round_in: 2,
};
