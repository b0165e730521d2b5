//! How a simulated test is laid out in time, and the spots it yields.

use farheard::geography::Locator;
use farheard::model::{Band, Spot, SpotTable, TableBuilder};
use farheard::sky::sun::SunPlace;
use farheard::study::runs::{Rule, Run};
use farheard::time::UtcTime;

use super::world::{BANDS, Fading, World};
use crate::random::Random;

/// Seconds from one slot to the next, and slots in a day.
const SLOT_S: i64 = 120;
const SLOTS_A_DAY: usize = 720;
/// What the beacons send with, and the false power by which the alternating sender marks antenna B, dBm.
const POWER_DBM: f64 = 23.0;
const MARK_DBM: f64 = 20.0;

/// A layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Design {
    /// One sender, antennas in turn after each round of the bands.
    Alternating,
    /// Two senders in the same slots.
    TwoSenders,
    /// A one day, B the next, and a beacon that did not change.
    NextDayControl,
    /// A on the first and fourth day, B between.
    FourDays,
    /// A one day, B the next, nothing else.
    NextDay,
}

impl Design {
    /// All, in the order of the table.
    pub(crate) const ALL: [Self; 5] =
        [Self::Alternating, Self::TwoSenders, Self::NextDayControl, Self::FourDays, Self::NextDay];

    /// Name in the table.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Alternating => "alternating",
            Self::TwoSenders => "two senders",
            Self::NextDayControl => "next day with control",
            Self::FourDays => "several days each",
            Self::NextDay => "next day alone",
        }
    }

    pub(super) fn days(self) -> usize {
        match self {
            Self::Alternating | Self::TwoSenders => 1,
            Self::NextDay | Self::NextDayControl => 2,
            Self::FourDays => 4,
        }
    }
}

/// One simulated test: its spots, its runs, and the truth.
#[derive(Debug)]
pub(super) struct Trial {
    pub(super) table: SpotTable,
    pub(super) runs: [Run; 2],
    /// True difference B less A per band, dB.
    pub(super) truth_db: Vec<(Band, f64)>,
    pub(super) has_control: bool,
}

/// What is sent in a slot.
struct Send {
    call: &'static str,
    reported_dbm: f64,
    gain_db: f64,
}

pub(super) const STATION: &str = "Q7TST";
const SECOND: &str = "Q7TST/2";
pub(super) const CONTROL: &str = "Q9CTL";

impl Trial {
    /// Simulates a test; a quarter of the bands have antennas that are truly equal.
    pub(super) fn new(design: Design, random: &mut Random) -> Option<Self> {
        let world = World::new(&mut random.branch(), design.days())?;
        let differences: Vec<f64> =
            world.bands.iter().map(|_| if random.share() < 0.25 { 0.0 } else { random.between(-8.0, 8.0) }).collect();
        Some(Self::in_world(design, &world, &differences, random.branch()))
    }

    /// Simulates a test in a given world with given differences B less A, one for each of its bands, dB.
    pub(super) fn in_world(design: Design, world: &World, differences: &[f64], mut air: Random) -> Self {
        let mut fading = vec![vec![Fading::new(); BANDS.len()]; world.listeners.len()];
        let mut builder = TableBuilder::new();
        builder.begin_file("simulated");
        let mut line = 1;
        for slot in 0..SLOTS_A_DAY * design.days() {
            let seconds = SLOT_S * i64::try_from(slot).unwrap_or(i64::MAX / SLOT_S);
            let Some(time) = world.start.plus_s(seconds) else { break };
            let (day, round, turn) = position(slot, world.bands.len());
            let band = world.bands[turn];
            let sun = SunPlace::at(time);
            for send in sends(design, day, round, differences[turn]) {
                for (listener, fading) in world.listeners.iter().zip(&mut fading) {
                    if !listener.listens(time.hour()) {
                        continue;
                    }
                    let Some(median) = world.median_db(listener, band, time, sun) else { continue };
                    let slow = fading[band].slow_db(time, &mut air);
                    let snr = median + POWER_DBM - 30.0
                        + send.gain_db
                        + world.day_db(day, band, listener)
                        + slow
                        + Fading::fast_db(&mut air);
                    let Some(snr_db) = listener.reports(snr, &mut air) else { continue };
                    line += 1;
                    push(
                        &mut builder,
                        world,
                        send.call,
                        listener.call.as_str(),
                        listener.locator,
                        time,
                        band,
                        snr_db,
                        send.reported_dbm,
                        line,
                    );
                }
            }
        }
        let truth_db =
            world.bands.iter().zip(differences).map(|(&band, &db)| (Band::of_hz(BANDS[band].1), db)).collect();
        let has_control = design == Design::NextDayControl;
        Self { table: builder.freeze(), runs: runs(design, world.start), truth_db, has_control }
    }
}

/// Day, round of the bands and place in the round of a slot.
fn position(slot: usize, bands: usize) -> (usize, usize, usize) {
    (slot / SLOTS_A_DAY, slot / bands, slot % bands)
}

fn sends(design: Design, day: usize, round: usize, difference_db: f64) -> Vec<Send> {
    let send = |call, reported_dbm, gain_db| Send { call, reported_dbm, gain_db };
    let one = |is_b: bool| send(STATION, POWER_DBM, if is_b { difference_db } else { 0.0 });
    match design {
        Design::Alternating if round % 2 == 1 => vec![send(STATION, MARK_DBM, difference_db)],
        Design::Alternating => vec![one(false)],
        Design::TwoSenders => vec![one(false), send(SECOND, POWER_DBM, difference_db)],
        Design::NextDay => vec![one(day == 1)],
        Design::NextDayControl => vec![one(day == 1), send(CONTROL, POWER_DBM, 0.0)],
        Design::FourDays => vec![one(day == 1 || day == 2)],
    }
}

fn runs(design: Design, start: UtcTime) -> [Run; 2] {
    let days = |numbers: &[u32]| Some(numbers.iter().map(|n| start.day_number() + n).collect());
    let (a, b) = match design {
        Design::Alternating => (
            Rule { power_dbm: Some(POWER_DBM), ..Rule::default() },
            Rule { power_dbm: Some(MARK_DBM), ..Rule::default() },
        ),
        Design::TwoSenders => (
            Rule { call: Some(STATION.to_owned()), ..Rule::default() },
            Rule { call: Some(SECOND.to_owned()), ..Rule::default() },
        ),
        Design::NextDay | Design::NextDayControl => {
            (Rule { days: days(&[0]), ..Rule::default() }, Rule { days: days(&[1]), ..Rule::default() })
        }
        Design::FourDays => {
            (Rule { days: days(&[0, 3]), ..Rule::default() }, Rule { days: days(&[1, 2]), ..Rule::default() })
        }
    };
    let true_power_dbm = (design == Design::Alternating).then_some(POWER_DBM);
    let run = |name: &str, rule| Run { name: name.to_owned(), rule, true_power_dbm, feeder_loss_db: 0.0 };
    [run("A", a), run("B", b)]
}

#[expect(clippy::too_many_arguments, reason = "the fields of one row, used once")]
fn push(
    builder: &mut TableBuilder,
    world: &World,
    call: &str,
    listener: &str,
    locator: Locator,
    time: UtcTime,
    band: usize,
    snr_db: f64,
    power_dbm: f64,
    line: u32,
) {
    let spot = Spot {
        time,
        tx: builder.station(call, Some(world.home)),
        rx: builder.station(listener, Some(locator)),
        freq_hz: Some(BANDS[band].1),
        band: Band::of_hz(BANDS[band].1),
        snr_db: Some(snr_db),
        drift_hz_min: None,
        power_dbm: Some(power_dbm),
        line,
    };
    builder.push(spot);
}
