//! Every result against a plain recount of the same rows, written without the core's own scans.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    reason = "a test may stop at the first surprise"
)]

use std::collections::{BTreeMap, BTreeSet};

use farheard::geography::{Continent, Country, Geodesic, Locator, place_of};
use farheard::model::{Band, RowSet, Side, Spot, SpotTable, TableBuilder, Tested};
use farheard::study::{
    Filter, Places, Subject, Tally, bands, bearings, hours, listeners, medians, places, places_by_band, reach, tested,
    timeline,
};
use farheard::time::UtcTime;

/// A plain test of one row.
type Keeps = Box<dyn Fn(&Row) -> bool>;

/// One invented row, kept as plain values for the recount.
#[derive(Clone, Debug)]
struct Row {
    minute: i64,
    tx: &'static str,
    rx: String,
    locator: Option<&'static str>,
    freq_hz: f64,
    snr_db: Option<f64>,
}

const PLACES: [&str; 9] = ["JN99fl", "JO10", "IO91wm", "FN31pr", "RE78jt", "KP20le", "BL11bh", "JN98", "QF22lm"];

/// A fixed sequence of numbers below `below` (splitmix64).
fn numbers(seed: u64) -> impl FnMut(u64) -> u64 {
    let mut state = seed;
    move |below| {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % below
    }
}

fn invented(seed: u64, len: usize) -> Vec<Row> {
    let mut next = numbers(seed);
    (0..len)
        .map(|at| {
            let who = next(9) as usize;
            Row {
                minute: i64::try_from(at).unwrap() * 2 + next(3) as i64 * 1440,
                tx: if next(12) == 0 { "Q9CTL" } else { "Q7TST" },
                rx: format!("Q{who}AB"),
                locator: (who != 7).then_some(PLACES[who]),
                freq_hz: [3_570_100.0, 7_040_100.0, 14_097_100.0, 13_553_900.0][next(4) as usize],
                snr_db: (next(10) != 0).then(|| next(30) as f64 - 29.0),
            }
        })
        .collect()
}

fn table(rows: &[Row]) -> SpotTable {
    let mut builder = TableBuilder::new();
    builder.begin_file("invented.csv");
    for (at, row) in rows.iter().enumerate() {
        let spot = Spot {
            time: UtcTime::from_unix_s(1_935_100_800 + row.minute * 60).unwrap(),
            tx: builder.station(row.tx, Some(Locator::parse(PLACES[0]).unwrap())),
            rx: builder.station(&row.rx, row.locator.map(|text| Locator::parse(text).unwrap())),
            freq_hz: Some(row.freq_hz),
            band: Band::of_hz(row.freq_hz),
            snr_db: row.snr_db,
            drift_hz_min: Some(at as f64), // keeps every row its own spot
            power_dbm: Some(23.0),
            line: u32::try_from(at).unwrap() + 2,
        };
        builder.push(spot);
    }
    builder.freeze()
}

fn of_station<'a>(table: &'a SpotTable, call: &str) -> Subject<'a> {
    Subject::new(table, &[table.stations().find_call(call).unwrap()], Side::Sends, None)
}

fn km(locator: &str) -> f64 {
    let place = |text: &str| Locator::parse(text).unwrap().centre();
    Geodesic::wgs84().path(place(PLACES[0]), place(locator)).distance_km
}

#[test]
fn counts_equal_a_plain_recount() {
    let rows = invented(1, 900);
    let table = table(&rows);
    let subject = of_station(&table, "Q7TST");
    let tally = Tally::of(&subject, subject.rows());
    let own: Vec<&Row> = rows.iter().filter(|row| row.tx == "Q7TST").collect();
    assert_eq!(tally.spots, own.len());
    assert_eq!(tally.far.len(), own.iter().map(|row| &row.rx).collect::<BTreeSet<_>>().len());
    let medians = medians(&subject, subject.rows());
    for result in bands(&subject, &tally) {
        let on_band: Vec<&&Row> = own.iter().filter(|row| Band::of_hz(row.freq_hz) == result.band).collect();
        assert_eq!(result.spots, on_band.len(), "{:?}", result.band);
        assert_eq!(result.listeners, on_band.iter().map(|row| &row.rx).collect::<BTreeSet<_>>().len());
        let far = on_band.iter().filter_map(|row| row.locator).map(km).fold(0.0, f64::max);
        assert!((result.farthest.unwrap().km - far).abs() < 1e-9);
        let mut levels: Vec<f64> = on_band.iter().filter_map(|row| row.snr_db).collect();
        levels.sort_by(f64::total_cmp);
        let middle = f64::midpoint(levels[(levels.len() - 1) / 2], levels[levels.len() / 2]);
        assert_eq!(medians.band(result.band).snr_db, Some(middle));
        assert_eq!(medians.band(result.band).snr_1w_db, Some(middle + 7.0));
    }
    for hours in hours(&tally) {
        for hour in 0..24_usize {
            let there = own.iter().filter(|row| {
                Band::of_hz(row.freq_hz) == hours.band
                    && row.minute.rem_euclid(1440) / 60 == i64::try_from(hour).unwrap()
            });
            assert_eq!(hours.spots[hour], there.clone().count());
            assert_eq!(hours.listeners[hour], there.map(|row| &row.rx).collect::<BTreeSet<_>>().len());
        }
    }
}

#[test]
fn a_listener_without_a_place_counts_but_has_no_distance() {
    let rows = invented(2, 400);
    let table = table(&rows);
    let subject = of_station(&table, "Q7TST");
    let tally = Tally::of(&subject, subject.rows());
    let reach = reach(&subject, &tally);
    assert_eq!(reach.placed, tally.far.len() - 1);
    assert_eq!(reach.classes.iter().map(|class| class.listeners).sum::<usize>(), reach.placed);
    let all = listeners(&subject, &tally);
    assert_eq!(all.iter().map(|listener| listener.spots).sum::<usize>(), tally.spots);
    assert!(all.last().unwrap().far.is_none());
    let distances: Vec<f64> = all.iter().filter_map(|listener| Some(listener.far?.path.distance_km)).collect();
    assert!(distances.is_sorted_by(|a, b| a >= b));
    assert!((reach.farthest.unwrap().km - distances[0]).abs() < 1e-9);
    // the listener in the home cell has a distance of zero and no bearing: in a class, in no sector
    let sectors = bearings(&subject, &tally);
    assert_eq!(sectors.iter().map(|sector| sector.listeners).sum::<usize>(), reach.placed - 1);
    let north_east = &sectors[2];
    assert!((north_east.from_deg - 33.75).abs() < 1e-12);
}

/// Places far inland, at borders and coasts, and at sea: what [`places`] counts apart.
const MANY_PLACES: [&str; 12] =
    ["JN99fl", "JO20", "JO20eu", "IO91", "FN31pr", "RE78jt", "KG30", "JN61fv", "GJ34wt", "IJ00", "AA00aa", "JN45"];

#[test]
fn countries_equal_a_plain_recount() {
    let mut next = numbers(7);
    let mut rows = invented(7, 900);
    for row in &mut rows {
        // each listener keeps to one place; some have none
        let who = next(40) as usize;
        row.rx = format!("Q{who}CD");
        row.locator = (who % 9 != 5).then_some(MANY_PLACES[who % 12]);
    }
    let table = table(&rows);
    let subject = of_station(&table, "Q7TST");
    let tally = Tally::of(&subject, subject.rows());
    let own: Vec<&Row> = rows.iter().filter(|row| row.tx == "Q7TST").collect();
    let by_band = places_by_band(&subject, &tally);
    assert_eq!(by_band.iter().map(|(band, _)| *band).collect::<Vec<_>>(), tally.bands);
    let mut cases = vec![(own.clone(), places(&subject, &tally))];
    for (band, found) in by_band {
        cases.push((own.iter().copied().filter(|row| Band::of_hz(row.freq_hz) == band).collect(), found));
    }
    for (rows, found) in cases {
        let listeners: BTreeMap<&str, Option<&str>> = rows.iter().map(|row| (row.rx.as_str(), row.locator)).collect();
        let (mut countries, mut continents) = (BTreeMap::new(), BTreeMap::new());
        let (mut unsure, mut at_sea, mut unplaced) = (0, 0, 0);
        for locator in listeners.values() {
            let Some(locator) = locator else {
                unplaced += 1;
                continue;
            };
            let place = place_of(Locator::parse(locator).unwrap());
            let Some(country) = place.country else {
                at_sea += 1;
                continue;
            };
            let sure = place.neighbours.is_empty();
            unsure += usize::from(!sure);
            let counts: &mut (usize, usize) = countries.entry(country.name()).or_default();
            *if sure { &mut counts.0 } else { &mut counts.1 } += 1;
            if let Some(continent) = place.continent {
                let counts: &mut (usize, usize) = continents.entry(continent.name()).or_default();
                *if place.continent_sure { &mut counts.0 } else { &mut counts.1 } += 1;
            }
        }
        assert_eq!((found.listeners, found.unsure), (listeners.len(), unsure));
        assert_eq!((found.at_sea, found.unplaced), (at_sea, unplaced));
        assert!(unsure > 0 && at_sea > 0 && unplaced > 0, "each case was met");
        assert_eq!(found.countries_sure(), countries.values().filter(|counts| counts.0 > 0).count());
        assert_eq!(found.continents_sure(), continents.values().filter(|counts| counts.0 > 0).count());
        let named: BTreeMap<_, _> = found
            .countries
            .iter()
            .map(|reached| (Country::name(reached.place), (reached.sure, reached.perhaps)))
            .collect();
        assert_eq!(named, countries);
        assert!(found.countries.is_sorted_by_key(|reached| (std::cmp::Reverse(reached.sure), reached.place.name())));
        let named: BTreeMap<_, _> = found
            .continents
            .iter()
            .map(|reached| (Continent::name(reached.place), (reached.sure, reached.perhaps)))
            .collect();
        assert_eq!(named, continents);
    }
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let rows = invented(3, 500);
    let mut turned = rows.clone();
    turned.reverse();
    let (one, two) = (table(&rows), table(&turned));
    let (a, b) = (of_station(&one, "Q7TST"), of_station(&two, "Q7TST"));
    let (ta, tb) = (Tally::of(&a, a.rows()), Tally::of(&b, b.rows()));
    // numbers of calls differ between the tables, so calls are compared by name
    let named = |table: &SpotTable, subject: &Subject<'_>, tally: &Tally| {
        let call = |id| table.stations().call(id).to_owned();
        let reach = reach(subject, tally);
        let list: Vec<_> = listeners(subject, tally)
            .into_iter()
            .map(|l| (call(l.call), l.far, l.spots, l.main_band, l.bands.clone(), l.first, l.last))
            .collect();
        let bands: Vec<_> = bands(subject, tally)
            .into_iter()
            .map(|b| (b.band, b.spots, b.listeners, b.farthest.map(|f| call(f.call)), b.median_km, b.p90_km))
            .collect();
        let reach = (
            reach.farthest.map(|f| call(f.call)),
            reach.farthest_repeated.map(|f| call(f.call)),
            reach.median_km,
            reach.classes,
        );
        (
            list,
            bands,
            reach,
            hours(tally),
            bearings(subject, tally),
            medians(subject, subject.rows()),
            places_by_band(subject, tally),
            timeline(subject, subject.rows(), 96),
        )
    };
    assert_eq!(named(&one, &a, &ta), named(&two, &b, &tb));
}

#[test]
fn filters_keep_what_a_plain_test_keeps() {
    let rows = invented(4, 700);
    let table = table(&rows);
    let subject = of_station(&table, "Q7TST");
    let noon = UtcTime::from_unix_s(1_935_100_800 + 12 * 3600).unwrap();
    let twenty = Band::from_name("20m").unwrap();
    let cases: BTreeMap<&str, (Filter, Keeps)> = BTreeMap::from([
        (
            "band",
            (
                Filter { bands: Some(BTreeSet::from([twenty])), ..Filter::default() },
                Box::new(move |row: &Row| Band::of_hz(row.freq_hz) == twenty) as Keeps,
            ),
        ),
        ("from", (Filter { from: Some(noon), ..Filter::default() }, Box::new(|row: &Row| row.minute >= 720))),
        ("to", (Filter { to: Some(noon), ..Filter::default() }, Box::new(|row: &Row| row.minute < 720))),
        (
            "far",
            (
                Filter { min_km: Some(5000.0), ..Filter::default() },
                Box::new(|row: &Row| row.locator.is_some_and(|at| km(at) >= 5000.0)),
            ),
        ),
        (
            "near",
            (
                Filter { max_km: Some(1000.0), ..Filter::default() },
                Box::new(|row: &Row| row.locator.is_some_and(|at| km(at) <= 1000.0)),
            ),
        ),
        (
            "strong",
            (
                Filter { min_snr_db: Some(-10.0), ..Filter::default() },
                Box::new(|row: &Row| row.snr_db.is_some_and(|snr| snr >= -10.0)),
            ),
        ),
    ]);
    for (name, (filter, keeps)) in cases {
        let kept = filter.rows(&subject);
        for (at, row) in rows.iter().enumerate() {
            assert_eq!(kept.contains(at), row.tx == "Q7TST" && keeps(row), "{name}, row {at}");
        }
        assert!(kept.count() > 0 && kept.count() < subject.rows().count(), "{name} tells something");
    }
}

#[test]
fn the_tested_station_is_the_call_that_hardly_changes() {
    let table = table(&invented(5, 300));
    let guess = tested::guess(&table, None).unwrap();
    assert_eq!(table.stations().call(guess.tested.call), "Q7TST");
    assert_eq!(guess.tested.side, Side::Sends);
    assert_eq!(guess.spots, table.rows_of(guess.tested).count());
    // one listener, many senders: the antenna hears
    let mut builder = TableBuilder::new();
    builder.begin_file("heard.csv");
    for minute in 0..30_u32 {
        let tx = builder.station(&format!("Q{}CD", minute % 7), None);
        let rx = builder.station("Q5RX", None);
        let time = UtcTime::from_unix_s(1_935_100_800 + i64::from(minute) * 120).unwrap();
        builder.push(Spot {
            time,
            tx,
            rx,
            freq_hz: None,
            band: Band::UNKNOWN,
            snr_db: None,
            drift_hz_min: None,
            power_dbm: None,
            line: minute + 1,
        });
    }
    let heard = builder.freeze();
    let guess = tested::guess(&heard, None).unwrap();
    assert_eq!((heard.stations().call(guess.tested.call), guess.tested.side), ("Q5RX", Side::Hears));
}

#[test]
fn nothing_from_nothing() {
    let empty = TableBuilder::new().freeze();
    assert!(tested::guess(&empty, None).is_none());
    let rows = invented(6, 50);
    let table = table(&rows);
    let subject = of_station(&table, "Q7TST");
    let none = RowSet::none(table.len());
    let tally = Tally::of(&subject, &none);
    assert_eq!((tally.spots, tally.far.len(), tally.span), (0, 0, None));
    assert!(reach(&subject, &tally).farthest.is_none());
    assert!(bands(&subject, &tally).is_empty());
    assert!(tally.round_the_clock().is_empty());
    assert_eq!(places(&subject, &tally), Places::default());
    assert_eq!(timeline(&subject, &none, 24).unwrap().spots.iter().sum::<usize>(), 0);
    let absent = Subject::new(&table, &[], Side::Hears, None);
    assert!(absent.rows().is_empty() && absent.home().is_none());
    assert_eq!(
        table.rows_of(Tested { call: table.stations().find_call("Q9CTL").unwrap(), side: Side::Hears }).count(),
        0
    );
}
