//! What a filter leaves, taken from sums or found by a scan of its rows: the same, whatever filters came before.

#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use std::collections::BTreeSet;

use farheard::geography::Locator;
use farheard::model::{Band, Side, Spot, SpotTable, TableBuilder};
use farheard::study::sums::Sums;
use farheard::study::{Filter, Strengths, Subject, Tally, medians, timeline};
use farheard::time::UtcTime;
use proptest::prelude::*;

const START_S: i64 = 1_935_100_800;
const MHZ: [f64; 4] = [3.5701, 7.0401, 14.0971, 13.5539];
const PLACES: [&str; 5] = ["JO10", "IO91wm", "FN31pr", "RE78jt", "QF22lm"];

/// Rows of two senders: minute, sender, listener, band, level, power.
type Row = (i64, bool, usize, usize, Option<i8>, Option<u8>);

fn rows() -> impl Strategy<Value = Vec<Row>> {
    let level = prop::option::weighted(0.9, -30_i8..20);
    let row = |minutes: i64| {
        (0..minutes, prop::bool::weighted(0.9), 0..9_usize, 0..4_usize, level.clone(), prop::option::of(20_u8..24))
    };
    prop_oneof![
        prop::collection::vec(row(300), 1..60),
        prop::collection::vec(row(6000), 500..3000),
        prop::collection::vec(row(400_000), 1000..2000),
    ]
}

fn filters() -> impl Strategy<Value = Vec<Filter>> {
    let instant = || prop::option::of(-100_i64..7000).prop_map(|minute| UtcTime::from_unix_s(START_S + 60 * minute?));
    let bands = prop::option::of(prop::collection::btree_set(0..4_usize, 0..4));
    let filter = (
        bands,
        instant(),
        instant(),
        prop::option::weighted(0.3, -25_i8..10),
        prop::option::weighted(0.2, 100_u16..9000),
    );
    let filter = filter.prop_map(|(bands, from, to, least, km)| Filter {
        bands: bands.map(|bands: BTreeSet<usize>| bands.into_iter().map(|at| Band::of_hz(MHZ[at] * 1e6)).collect()),
        from,
        to,
        min_snr_db: least.map(f64::from),
        min_km: km.map(f64::from),
        ..Filter::default()
    });
    prop::collection::vec(filter, 1..6)
}

fn table(rows: &[Row]) -> SpotTable {
    let mut builder = TableBuilder::new();
    builder.begin_file("invented.csv");
    for (line, &(minute, tested, listener, band, level, power)) in (2..).zip(rows) {
        let locator = PLACES.get(listener).map(|text| Locator::parse(text).unwrap());
        let spot = Spot {
            time: UtcTime::from_unix_s(START_S + minute * 60).unwrap(),
            tx: builder.station(if tested { "Q7TST" } else { "Q9CTL" }, Locator::parse("JN99fl").ok()),
            rx: builder.station(&format!("Q{listener}AB"), locator),
            freq_hz: Some(MHZ[band] * 1e6),
            band: Band::of_hz(MHZ[band] * 1e6),
            snr_db: level.map(f64::from),
            drift_hz_min: None,
            power_dbm: power.map(|dbm| f64::from(dbm) + 0.5),
            line,
        };
        builder.push(spot);
    }
    builder.freeze()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn what_a_filter_leaves_is_what_its_rows_count(rows in rows(), filters in filters()) {
        let table = table(&rows);
        if let Some(call) = table.stations().find_call("Q7TST") {
            let subject = Subject::new(&table, &[call], Side::Sends, None);
            for held in &filters {
                let sums = Sums::of(&subject, held, 40);
                for filter in filters.iter().filter(|filter| sums.hold(filter)) {
                    let (passed, left) = sums.left(&subject, filter);
                    let rows = filter.rows(&subject);
                    prop_assert_eq!(&passed, &rows);
                    prop_assert_eq!(&left.tally, &Tally::of(&subject, &rows));
                    prop_assert_eq!(&left.timeline, &timeline(&subject, &rows, 40));
                    let wider = Strengths::of(&subject, &filter.without_bands().rows(&subject));
                    let (taken, found) = (wider.medians(filter.bands.as_ref()), medians(&subject, &rows));
                    prop_assert_eq!(&taken.sector_snr_1w_db, &found.sector_snr_1w_db);
                    for &band in subject.bands() {
                        prop_assert_eq!(taken.band(band), found.band(band));
                    }
                }
            }
        }
    }
}
