//! Laws that a comparison of two antennas must keep whatever the spots are: exchanging A and B, shuffling rows and files,
//! shifting one side's levels.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::float_cmp,
    reason = "a test may stop at the first surprise; laws that hold exactly are compared exactly"
)]

use farheard::geography::{Geodesic, Locator};
use farheard::model::{Band, RowSet, Side as End, Spot, SpotTable, TableBuilder};
use farheard::study::Subject;
use farheard::study::compare::{self, Comparison, Design, ListenerDifference, Part, Settings, Shared, Verdict};
use farheard::study::runs::{Rule, Run, assign, of_control};
use farheard::time::UtcTime;
use farheard::units::watts_from_dbm;

/// A sequence of numbers from 0 up to 1: G. L. Steele, D. Lea and C. H. Flood,
/// 'Fast splittable pseudorandom number generators', OOPSLA (2014), figure 16.
struct Chance(u64);

impl Chance {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn below(&mut self, n: usize) -> usize {
        (self.share() * n as f64) as usize
    }

    /// Roughly normal: the sum of twelve shares less six.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }

    fn shuffle<T>(&mut self, items: &mut [T]) {
        for at in (1..items.len()).rev() {
            items.swap(at, self.below(at + 1));
        }
    }
}

/// One row of an invented test.
#[derive(Clone, Debug)]
struct Row {
    time_s: i64,
    tx: &'static str,
    listener: usize,
    band: &'static str,
    snr_db: f64,
    power_dbm: f64,
}

const START_S: i64 = 1_935_100_800;
const BANDS: [&str; 3] = ["40m", "30m", "20m"];
const DIFFERENCES_DB: [f64; 3] = [3.0, -2.0, 0.4];
const STATION: &str = "Q7TST";
const CONTROL: &str = "Q9CTL";

/// How an invented test is laid out.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Layout {
    /// Antennas in turn, told apart by reported power.
    Turns,
    /// So many days, A and B in turn.
    Days(u32),
    /// Two days with a control beacon.
    Control,
}

const LAYOUTS: [Layout; 4] = [Layout::Turns, Layout::Days(2), Layout::Days(4), Layout::Control];

impl Layout {
    fn days(self) -> u32 {
        match self {
            Self::Turns => 1,
            Self::Days(days) => days,
            Self::Control => 2,
        }
    }

    fn design(self) -> Design {
        match self {
            Self::Turns => Design::Interleaved,
            Self::Days(_) => Design::SeparateDays,
            Self::Control => Design::SeparateDaysControl,
        }
    }

    fn runs(self) -> [Run; 2] {
        let first = UtcTime::from_unix_s(START_S).unwrap().day_number();
        let days = |odd: u32| Some((0..self.days()).filter(|day| day % 2 == odd).map(|day| first + day).collect());
        let rule = |odd: u32| match self {
            Self::Turns => Rule { power_dbm: Some([23.0, 20.0][odd as usize]), ..Rule::default() },
            Self::Days(_) | Self::Control => Rule { days: days(odd), ..Rule::default() },
        };
        let run = |name: &str, odd| Run { name: name.to_owned(), rule: rule(odd), ..Run::default() };
        [run("A", 0), run("B", 1)]
    }
}

/// The rows of an invented test in order of time: fading per listener, a floor, listeners that come and go.
fn invented(layout: Layout, seed: u64) -> Vec<Row> {
    let mut chance = Chance(seed);
    let levels: Vec<f64> = (0..14).map(|_| -24.0 + 14.0 * chance.share()).collect();
    let mut slow = vec![0.0; levels.len()];
    let mut rows = Vec::new();
    for slot in 0..i64::from(layout.days()) * 720 {
        let turn = slot / 3;
        let band = (slot % 3) as usize;
        let day = slot / 720;
        let is_b = match layout {
            Layout::Turns => turn % 2 == 1,
            Layout::Days(_) | Layout::Control => day % 2 == 1,
        };
        // day by day all paths are better or worse
        let of_day = [0.0, 1.7, -0.8, 0.9][day as usize % 4] * f64::from(u8::from(layout != Layout::Turns));
        for (listener, level) in levels.iter().enumerate() {
            slow[listener] = 0.97 * slow[listener] + 0.6 * chance.normal();
            let mut hear = |tx, gain: f64, power_dbm| {
                let snr_db = (level + slow[listener] + gain + of_day + 2.0 * chance.normal()).round();
                let awake = !(slot as usize / 30 + listener).is_multiple_of(5);
                if snr_db >= -29.0 && awake && chance.share() < 0.9 {
                    let time_s = START_S + slot * 120;
                    rows.push(Row { time_s, tx, listener, band: BANDS[band], snr_db, power_dbm });
                }
            };
            let power_dbm = if is_b && layout == Layout::Turns { 20.0 } else { 23.0 };
            hear(STATION, if is_b { DIFFERENCES_DB[band] } else { 0.0 }, power_dbm);
            if layout == Layout::Control {
                hear(CONTROL, 1.0, 23.0);
            }
        }
    }
    rows
}

fn listener_call(listener: usize) -> String {
    // numbers of calls follow first appearance: let the alphabet run another way
    format!("Q{}{}X", 9 - listener % 10, char::from(b'Z' - listener as u8))
}

/// The rows as a table of two files, half of them in each.
fn table(rows: &[Row]) -> SpotTable {
    let geodesic = Geodesic::wgs84();
    let home = Locator::parse("JN99fl").unwrap();
    let mut builder = TableBuilder::new();
    builder.begin_file("first.csv");
    for (line, row) in (2..).zip(rows) {
        if line as usize == 2 + rows.len() / 2 {
            builder.begin_file("second.csv");
        }
        let place =
            geodesic.destination(home.centre(), 25.0 * row.listener as f64, 180.0 + 260.0 * row.listener as f64);
        let tx = builder.station(row.tx, Some(home));
        let rx = builder.station(&listener_call(row.listener), Some(Locator::of_position(place, 6)));
        builder.push(Spot {
            time: UtcTime::from_unix_s(row.time_s).unwrap(),
            tx,
            rx,
            freq_hz: None,
            band: Band::from_name(row.band).unwrap(),
            snr_db: Some(row.snr_db),
            drift_hz_min: None,
            power_dbm: Some(row.power_dbm),
            line,
        });
    }
    builder.freeze()
}

/// The comparison of two runs of a table, with its control if there is one.
fn compared(table: &SpotTable, [a, b]: [&Run; 2]) -> Comparison {
    let station = table.stations().find_call(STATION);
    let subject = Subject::new(table, &[station.unwrap()], End::Sends, None);
    let runs = [a.clone(), b.clone()];
    let rows = assign(table, subject.rows(), End::Sends, &runs, station);
    let control = table.stations().find_call(CONTROL).map(|call| Subject::new(table, &[call], End::Sends, None));
    let own = |at: usize| -> RowSet {
        control.as_ref().map_or_else(
            || RowSet::none(table.len()),
            |control| of_control(table, control.rows(), End::Sends, &runs[at], &rows[at]),
        )
    };
    let own = [own(0), own(1)];
    let control = control.as_ref().map(|control| (control, &own[0], &own[1]));
    let side = |at: usize| compare::Side { run: &runs[at], rows: &rows[at] };
    compare::compare(&subject, side(0), side(1), control, Settings::default()).unwrap()
}

/// A comparison with its listeners by call, not by number, which follows the order of rows.
fn named(table: &SpotTable, comparison: &Comparison) -> (Comparison, Vec<String>) {
    let of = |one: &ListenerDifference| {
        let fields = (one.bearing_deg, one.distance_km, one.bands, one.pairs, one.blocks, one.difference_db);
        let call = table.stations().call(one.call);
        format!("{call} {fields:?} {:?}", (one.low_db, one.high_db, one.probability, one.holds_together))
    };
    let listeners = comparison.listeners.iter().map(of).collect();
    (Comparison { listeners: Vec::new(), ..comparison.clone() }, listeners)
}

fn exchanged(part: &Part) -> Part {
    let flip = |db: Option<f64>| db.map(|db| 0.0 - db);
    Part {
        difference_db: flip(part.difference_db),
        median_db: flip(part.median_db),
        control_db: flip(part.control_db),
        low_db: flip(part.high_db),
        high_db: flip(part.low_db),
        verdict: match part.verdict {
            Verdict::AStronger => Verdict::BStronger,
            Verdict::BStronger => Verdict::AStronger,
            other => other,
        },
        only_a: part.only_b,
        only_b: part.only_a,
        all_pairs_db: flip(part.all_pairs_db),
        plain_difference_db: flip(part.plain_difference_db),
        ..part.clone()
    }
}

fn exchanged_shared(shared: Shared) -> Shared {
    Shared { both: shared.both, only_a: shared.only_b, only_b: shared.only_a }
}

/// What the comparison of B with A must be, given that of A with B.
fn exchanged_comparison(comparison: &Comparison) -> Comparison {
    fn parts<K: Clone>(parts: &[(K, Part)]) -> Vec<(K, Part)> {
        parts.iter().map(|(key, part)| (key.clone(), exchanged(part))).collect()
    }
    let mut other = comparison.clone();
    other.days = (comparison.days.1, comparison.days.0);
    other.left_out = (comparison.left_out.1, comparison.left_out.0);
    other.all = exchanged(&comparison.all);
    other.bands = parts(&comparison.bands);
    other.sectors = parts(&comparison.sectors);
    other.distances = parts(&comparison.distances);
    other.hours = parts(&comparison.hours);
    other.suns = parts(&comparison.suns);
    other.hops = parts(&comparison.hops);
    other.angles = parts(&comparison.angles);
    for one in &mut other.listeners {
        one.difference_db = 0.0 - one.difference_db;
        (one.low_db, one.high_db) = (one.high_db.map(|db| 0.0 - db), one.low_db.map(|db| 0.0 - db));
    }
    let ground = &mut other.ground;
    for shared in
        [&mut ground.hours, &mut ground.hours_of_day, &mut ground.bands, &mut ground.listeners, &mut ground.pairs]
    {
        *shared = exchanged_shared(*shared);
    }
    other
}

#[test]
fn exchanging_the_antennas_flips_every_sign_and_nothing_else() {
    for layout in LAYOUTS {
        for seed in [1, 2] {
            let table = table(&invented(layout, seed));
            let [a, b] = layout.runs();
            let (there, back) = (compared(&table, [&a, &b]), compared(&table, [&b, &a]));
            assert_eq!(there.design, layout.design());
            assert!(there.all.pairs_used > 100 && there.all.difference_db.is_some(), "{layout:?} tells something");
            assert_eq!(exchanged_comparison(&there), back, "{layout:?}, seed {seed}");
        }
    }
}

/// Not only nearly: the same digits, since sums are taken in one order whatever the order of rows.
#[test]
fn the_order_of_rows_and_files_changes_nothing() {
    for layout in LAYOUTS {
        let mut rows = invented(layout, 5);
        let [a, b] = layout.runs();
        let first = table(&rows);
        let expected = named(&first, &compared(&first, [&a, &b]));
        assert!(expected.1.len() > 5 && expected.1.is_sorted());
        for seed in 0..4 {
            Chance(seed).shuffle(&mut rows);
            let shuffled = table(&rows);
            assert_eq!(named(&shuffled, &compared(&shuffled, [&a, &b])), expected, "{layout:?}, order {seed}");
        }
        rows.sort_by_key(|row| row.time_s);
        let half = rows.len() / 2;
        rows.rotate_left(half);
        let other_file_first = table(&rows);
        let found = compared(&other_file_first, [&a, &b]);
        assert_eq!(named(&other_file_first, &found), expected, "{layout:?}, second file first");
    }
}

/// B sent with another true power than reported: the levels of B move, the floor test, which goes by what was reported,
/// does not, and so the same pairs are used.
#[test]
fn power_and_feeder_loss_of_one_antenna_move_the_estimate_by_as_much() {
    for layout in LAYOUTS {
        let table = table(&invented(layout, 8));
        let [a, b] = layout.runs();
        let plain = compared(&table, [&a, &b]);
        let lossy = Run { feeder_loss_db: 1.75, ..b.clone() };
        let shifted = compared(&table, [&a, &lossy]);
        for ((_, plain), (_, shifted)) in plain.bands.iter().zip(&shifted.bands) {
            let moved = |of: fn(&Part) -> Option<f64>| of(shifted).unwrap() - of(plain).unwrap();
            for by in [moved(|part| part.difference_db), moved(|part| part.median_db), moved(|part| part.low_db)] {
                assert!((by - 1.75).abs() < 1e-9, "{layout:?}: {by}");
            }
            assert_eq!((plain.pairs, plain.pairs_used), (shifted.pairs, shifted.pairs_used));
        }
        // twice the power is 3.01 dB less of what the antenna itself did
        let reported_dbm = if layout == Layout::Turns { 20.0 } else { 23.0 };
        let twice = Run { true_power_dbm: Some(reported_dbm + 10.0 * 2.0_f64.log10()), ..b.clone() };
        assert!((watts_from_dbm(twice.true_power_dbm.unwrap()) / watts_from_dbm(reported_dbm) - 2.0).abs() < 1e-9);
        let stronger = compared(&table, [&a, &twice]);
        let by = stronger.all.difference_db.unwrap() - plain.all.difference_db.unwrap();
        assert!((by + 10.0 * 2.0_f64.log10()).abs() < 1e-9, "{layout:?}: {by}");
    }
}

/// All receivers a few dB more or less sensitive, their reports and the floor alike: no difference changes.
#[test]
fn more_sensitive_receivers_change_no_difference() {
    for layout in LAYOUTS {
        let rows = invented(layout, 13);
        let shifted: Vec<Row> = rows.iter().map(|row| Row { snr_db: row.snr_db + 7.0, ..row.clone() }).collect();
        let [a, b] = layout.runs();
        let (here, there) = (table(&rows), table(&shifted));
        let (here, there) = (compared(&here, [&a, &b]), compared(&there, [&a, &b]));
        assert!((there.floor_db - here.floor_db - 7.0).abs() < 1e-9);
        for ((_, here), (_, there)) in here.bands.iter().zip(&there.bands) {
            assert_eq!((here.pairs_used, here.verdict), (there.pairs_used, there.verdict), "{layout:?}");
            let by = there.difference_db.unwrap() - here.difference_db.unwrap();
            assert!(by.abs() < 1e-9, "{layout:?}: {by}");
        }
    }
}

#[test]
fn what_is_shared_and_left_out_adds_up() {
    for layout in LAYOUTS {
        let rows = invented(layout, 21);
        let table = table(&rows);
        let [a, b] = layout.runs();
        let found = compared(&table, [&a, &b]);
        let ground = found.ground;
        assert_eq!(ground.pairs.both, found.all.pairs);
        assert_eq!(
            (ground.safe, ground.near_floor),
            (found.all.pairs_used, found.all.pairs - ground.safe - ground.without_control)
        );
        assert_eq!((ground.listeners.only_a, ground.listeners.only_b), (found.all.only_a, found.all.only_b));
        assert_eq!(ground.bands.all(), 3);
        if layout == Layout::Turns {
            let of = |dbm: f64| rows.iter().filter(|row| row.power_dbm == dbm).count();
            assert_eq!(ground.pairs.both + ground.pairs.only_a, of(23.0));
            assert_eq!(ground.pairs.both + ground.pairs.only_b, of(20.0));
        } else {
            assert_eq!(ground.hours.both, 0);
            assert!(ground.hours_of_day.both >= 20);
        }
        // every safe pair is one listener's
        assert_eq!(found.listeners.iter().map(|one| one.pairs).sum::<usize>(), found.all.pairs_used);
        // the hours of the day part all pairs
        assert_eq!(found.hours.iter().map(|(_, part)| part.pairs).sum::<usize>(), found.all.pairs);
        assert_eq!(found.hours.len(), 8);
        let weighted: f64 = found.listeners.iter().map(|one| one.difference_db * one.pairs as f64).sum();
        if layout != Layout::Days(4) {
            assert!((weighted / found.all.pairs_used as f64 - found.all.difference_db.unwrap()).abs() < 1e-9);
        }
    }
}
