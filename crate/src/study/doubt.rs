//! Doubtful spots: kept and counted, with the reason, so that a person can leave them out of every result.

use std::collections::BTreeSet;

use farheard_scan::{column, weaker};

use super::safe::floor_db;
use super::subject::Subject;
use crate::geography::{Geodesic, Locator};
use crate::model::{CallId, RowSet, StationId};
use crate::order::{LightSort, set};
use crate::time::WSPR_SLOT_S;

/// A slot of the mode, seconds.
const SLOT_LENGTH_S: u32 = 120;
const _: () = assert!(SLOT_LENGTH_S as i64 == WSPR_SLOT_S, "the same in another type");
/// A report within so much of the floor is near it, dB.
const NEAR_FLOOR_DB: f64 = 3.0;
/// Two places of one call this far apart beyond what their cells leave open are two places, km.
const JUMP_KM: f64 = 50.0;
/// If at least this share of spots starts on even minutes, slots are two minutes long.
const TWO_MINUTE_SHARE: f64 = 0.9;

/// Why a spot is doubtful.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Doubt {
    /// The same listener reported the same sender on the same band in the same slot more strongly.
    WeakerInSlot,
    /// The only report of its listener, near the decoding floor, and farther than all that were repeated.
    LoneFar,
    /// The tested station's own call stands at both ends.
    OwnCall,
    /// The listener reports from another place than it usually does.
    PlaceJumps,
    /// It starts on an odd minute or between minutes, while the others start on even minutes.
    OddMinute,
    /// The tested station says that it stands elsewhere than where distances and bearings are reckoned from.
    Moved,
}

impl Doubt {
    /// All reasons, in fixed order.
    pub const ALL: [Self; 6] =
        [Self::WeakerInSlot, Self::LoneFar, Self::OwnCall, Self::PlaceJumps, Self::OddMinute, Self::Moved];

    /// Its word in settings and in the readout.
    pub fn word(self) -> &'static str {
        match self {
            Self::WeakerInSlot => "weaker-in-slot",
            Self::LoneFar => "lone-far",
            Self::OwnCall => "own-call",
            Self::PlaceJumps => "place-jumps",
            Self::OddMinute => "odd-minute",
            Self::Moved => "moved",
        }
    }

    /// The reason of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|doubt| doubt.word() == word)
    }
}

/// The doubtful spots of a tested antenna.
#[derive(Clone, Debug)]
pub struct Doubts {
    /// Rows per reason, reasons without rows left out.
    pub by_reason: Vec<(Doubt, RowSet)>,
    /// Rows with any reason.
    pub any: RowSet,
}

impl Doubts {
    /// The rows of a reason, if it has any.
    pub fn rows(&self, doubt: Doubt) -> Option<&RowSet> {
        self.by_reason.iter().find(|(reason, _)| *reason == doubt).map(|(_, rows)| rows)
    }

    /// The reasons that have rows.
    pub fn reasons(&self) -> BTreeSet<Doubt> {
        set(self.by_reason.iter().map(|(doubt, _)| *doubt))
    }

    /// The rows of any of some reasons.
    pub fn rows_of_any(&self, reasons: &BTreeSet<Doubt>) -> RowSet {
        let own = reasons.iter().filter_map(|&doubt| self.rows(doubt));
        own.fold(RowSet::none(self.any.table_len()), |all, rows| all.or(rows))
    }

    /// Why a row is doubtful, if it is.
    pub fn of(&self, row: usize) -> impl Iterator<Item = Doubt> {
        self.by_reason.iter().filter(move |(_, rows)| rows.contains(row)).map(|(doubt, _)| *doubt)
    }
}

/// Finds the doubtful spots among all of the subject's rows; filters do not change them.
pub fn doubts(subject: &Subject<'_>) -> Doubts {
    let table = subject.table();
    let far = table.far_column(subject.side());
    let of_station = subject.spots_by_far_station();
    let mut of_call = vec![0; table.stations().calls()];
    for (call, spots) in table.stations().call_of_each().into_iter().zip(&of_station) {
        of_call[call as usize] += spots;
    }
    // a million rows are looked through only for those stations that are at fault
    let at_stations = |at_fault: &dyn Fn(StationId) -> bool| {
        let stations = (0..).map(StationId).zip(&of_station);
        let wanted: Vec<bool> = stations.map(|(station, &spots)| spots > 0 && at_fault(station)).collect();
        rows_holding(subject, far, &wanted)
    };
    let call = |station| table.stations().call_of(station);
    let mut result = Doubts { by_reason: Vec::new(), any: RowSet::none(table.len()) };
    for doubt in Doubt::ALL {
        let rows = match doubt {
            Doubt::WeakerInSlot => weaker_in_slot(subject),
            Doubt::LoneFar => lone_far(subject, &of_call),
            Doubt::OwnCall => at_stations(&|station| subject.calls().contains(&call(station))),
            Doubt::PlaceJumps => {
                let geodesic = Geodesic::wgs84();
                at_stations(&|station| {
                    let usual = table.place(call(station));
                    let here = table.stations().locator(station);
                    usual.zip(here).is_some_and(|(usual, here)| usual != here && far_apart(&geodesic, usual, here))
                })
            }
            Doubt::OddMinute => odd_minute(subject),
            Doubt::Moved => moved(subject),
        };
        if !rows.is_empty() {
            result.any = result.any.or(&rows);
            result.by_reason.push((doubt, rows));
        }
    }
    result
}

/// The rows with one of the wanted stations in a column.
fn rows_holding(subject: &Subject<'_>, stations: &[u32], wanted: &[bool]) -> RowSet {
    let none = RowSet::none(subject.table().len());
    if wanted.contains(&true) {
        none.of_bits(column::holding_of(stations, subject.rows().bits(), wanted))
    } else {
        none
    }
}

fn weaker_in_slot(subject: &Subject<'_>) -> RowSet {
    let table = subject.table();
    let place = |call: u32| subject.calls().iter().position(|own| own.0 == call);
    let near_place: Vec<u32> = table
        .stations()
        .call_of_each()
        .into_iter()
        .map(|call| place(call).and_then(|place| u32::try_from(place).ok()).unwrap_or(u32::MAX))
        .collect();
    let near = (table.near_column(subject.side()), &near_place[..], subject.calls().len());
    match weaker(&subject.columns(), near, subject.rows().bits(), SLOT_LENGTH_S, subject.far_calls().len()) {
        Some(words) => subject.rows().of_bits(words),
        None => weaker_in_any_order(subject),
    }
}

/// The same where times rise and fall, or there are very many kinds of spots.
fn weaker_in_any_order(subject: &Subject<'_>) -> RowSet {
    let table = subject.table();
    let key = |row: u32| {
        let row = row as usize;
        let near = table.stations().call_of(table.near(row, subject.side()));
        (table.time(row).unix_s().div_euclid(WSPR_SLOT_S), near, subject.far_call(row), table.band(row))
    };
    let level = |row: u32| table.snr_db(row as usize).unwrap_or(f64::NEG_INFINITY);
    // those of one kind in one slot stand together then, the strongest first, of equally strong ones the earliest
    let mut rows: Vec<u32> = subject.rows().iter().filter_map(|row| u32::try_from(row).ok()).collect();
    rows.order_by(|&a, &b| key(a).cmp(&key(b)).then(level(b).total_cmp(&level(a))).then(a.cmp(&b)));
    let mut weaker = RowSet::none(table.len());
    for pair in rows.windows(2) {
        if key(pair[0]) == key(pair[1]) {
            weaker.insert(pair[1] as usize);
        }
    }
    weaker
}

fn lone_far(subject: &Subject<'_>, spots: &[u32]) -> RowSet {
    let table = subject.table();
    let calls = || (0..).map(CallId).zip(spots);
    let distance = |call: CallId| subject.path(call).map(|far| far.path.distance_km);
    let repeated = calls().filter(|&(_, &spots)| spots > 1).filter_map(|(call, _)| distance(call));
    let farthest_repeated = repeated.fold(0.0, f64::max);
    let is_lone = |call: CallId| spots[call.index()] == 1 && distance(call).is_some_and(|km| km > farthest_repeated);
    if !calls().any(|(call, _)| is_lone(call)) {
        return RowSet::none(table.len());
    }
    let floor = floor_db(subject.rows().iter().filter_map(|row| table.snr_db(row)).collect());
    subject.rows().filtered(|row| {
        is_lone(subject.far_call(row))
            && table.snr_db(row).zip(floor).is_some_and(|(snr, floor)| snr <= floor + NEAR_FLOOR_DB)
    })
}

fn far_apart(geodesic: &Geodesic, a: Locator, b: Locator) -> bool {
    geodesic.path(a.centre(), b.centre()).distance_km > a.uncertainty_km() + b.uncertainty_km() + JUMP_KM
}

fn moved(subject: &Subject<'_>) -> RowSet {
    let table = subject.table();
    let (stations, geodesic) = (table.stations(), Geodesic::wgs84());
    let elsewhere = |station| {
        let here = stations.locator(station).filter(|_| subject.calls().contains(&stations.call_of(station)));
        subject.home().zip(here).is_some_and(|(home, here)| home != here && far_apart(&geodesic, home, here))
    };
    let wanted: Vec<bool> = (0..).map(StationId).take(stations.len()).map(elsewhere).collect();
    rows_holding(subject, table.near_column(subject.side()), &wanted)
}

fn odd_minute(subject: &Subject<'_>) -> RowSet {
    let table = subject.table();
    let odd = subject.rows().of_bits(column::off_step(table.time_column(), subject.rows().bits(), SLOT_LENGTH_S));
    let all = subject.rows().count();
    let on_slots = all - odd.count();
    if (on_slots as f64) < TWO_MINUTE_SHARE * all as f64 {
        return RowSet::none(table.len());
    }
    odd
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Band, Side, Spot, TableBuilder};
    use crate::time::UtcTime;

    /// Minute, listener, locator and level of each spot.
    fn found(spots: &[(i64, &str, &str, f64)]) -> Vec<(Doubt, Vec<usize>)> {
        let mut builder = TableBuilder::new();
        builder.begin_file("a.csv");
        for (line, (minute, rx, locator, snr)) in (2..).zip(spots) {
            let tx = builder.station("Q7TST", Locator::parse(if *minute == 98 { "FN31" } else { "JN99fl" }).ok());
            let rx = builder.station(rx, Locator::parse(locator).ok());
            let time = UtcTime::from_unix_s(1_935_100_800 + minute * 60).unwrap();
            let band = Band::from_name("20m").unwrap();
            builder.push(Spot {
                time,
                tx,
                rx,
                freq_hz: None,
                band,
                snr_db: Some(*snr),
                drift_hz_min: None,
                power_dbm: None,
                line,
            });
        }
        let table = builder.freeze();
        let subject = Subject::new(&table, &[table.stations().find_call("Q7TST").unwrap()], Side::Sends, None);
        let doubts = doubts(&subject);
        doubts.by_reason.iter().map(|(doubt, rows)| (*doubt, rows.iter().collect())).collect()
    }

    #[test]
    fn each_kind_is_found_and_plain_spots_are_not() {
        let mut spots: Vec<(i64, &str, &str, f64)> =
            (0..40).map(|at| (at * 2, "Q1AA", "JO10ab", -20.0 - (at % 9) as f64)).collect();
        assert_eq!(found(&spots), []);
        spots.push((4, "Q1AA", "JO10ab", -10.0)); // 40: stronger than row 2 in its slot
        spots.push((90, "Q2BB", "RE78jt", -28.0)); // 41: far, once, weak
        spots.push((92, "Q7TST", "JN99fl", -5.0)); // 42: own call
        spots.push((94, "Q1AA", "KP20le", -15.0)); // 43: elsewhere
        spots.push((96, "Q1AA", "JO10", -15.0)); // 44: same place, coarser
        spots.push((97, "Q1AA", "JO10ab", -15.0)); // 45: odd minute, and the slot of 44
        spots.push((98, "Q1AA", "JO10ab", -15.0)); // 46: sent from elsewhere
        assert_eq!(
            found(&spots),
            [
                (Doubt::WeakerInSlot, vec![2, 45]),
                (Doubt::LoneFar, vec![41]),
                (Doubt::OwnCall, vec![42]),
                (Doubt::PlaceJumps, vec![43]),
                (Doubt::OddMinute, vec![45]),
                (Doubt::Moved, vec![46]),
            ]
        );
    }

    /// Both ways of finding the weaker of several, on crowded slots of two calls and three bands.
    #[test]
    fn the_order_of_rows_does_not_matter() {
        let mut builder = TableBuilder::new();
        builder.begin_file("a.csv");
        let mut seed = 3_u64;
        let mut next = move |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % n
        };
        for line in 0..3000_u32 {
            let tx = builder.station(["Q7TST", "Q7TST/2"][usize::try_from(next(2)).unwrap()], None);
            let rx = builder.station(&format!("Q{}AA", next(7)), Locator::parse("JO10ab").ok());
            builder.push(Spot {
                time: UtcTime::from_unix_s(1_935_100_800 + i64::from(line / 30) * 60).unwrap(),
                tx,
                rx,
                freq_hz: None,
                band: Band::from_name(["20m", "30m", "40m"][usize::try_from(next(3)).unwrap()]).unwrap(),
                snr_db: (next(9) > 0).then(|| -f64::from(u32::try_from(next(12)).unwrap())),
                drift_hz_min: None,
                power_dbm: None,
                line,
            });
        }
        let table = builder.freeze();
        let calls: Vec<CallId> = ["Q7TST", "Q7TST/2"].map(|call| table.stations().find_call(call).unwrap()).to_vec();
        let subject = Subject::new(&table, &calls, Side::Sends, None);
        let weaker = weaker_in_slot(&subject);
        assert_eq!(weaker, weaker_in_any_order(&subject));
        assert!(weaker.count() > 500 && weaker.count() < table.len() / 2 + 1000, "{}", weaker.count());
    }
}
