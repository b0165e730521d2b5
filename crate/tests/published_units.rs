//! Powers, bands and slots against published values.
//! Where each table comes from and how far it is to be trusted: `tests/published/SOURCES.md`.

#![allow(clippy::panic, clippy::unwrap_used, clippy::float_cmp, reason = "a test stops at the first wrong value")]

mod published;

use farheard::model::Band;
use farheard::time::{DAY_S, WSPR_SLOT_S, sends_per_band};
use farheard::units::{dbm_from_watts, snr_at_1w, snr_at_power, watts_from_dbm};
use published::{close, rows};

#[test]
fn power_of_a_level() {
    // W = 10^((dBm - 30) / 10), the definition of dBm
    for row in rows("power.csv") {
        let (dbm, watts) = (row.number("dbm"), row.number("watts"));
        close(watts_from_dbm(dbm) / watts, 1.0, 1e-9, &row);
        close(dbm_from_watts(watts).unwrap(), dbm, 1e-8, &row);
        // the level against 1 W, as the normalised SNR uses it
        close(snr_at_1w(0.0, dbm), row.number("db_below_1w"), 1e-9, &row);
        if !row.text("nominal_w").is_empty() {
            close(dbm_from_watts(row.number("nominal_w")).unwrap(), row.number("nominal_exact_dbm"), 1e-6, &row);
        }
    }
    for no_power in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(dbm_from_watts(no_power), None);
    }
}

#[test]
fn the_trade_calls_23_dbm_200_mw() {
    // common practice, no source
    assert!((watts_from_dbm(23.0) - 0.200).abs() < 0.0005);
}

#[test]
fn snr_at_another_power() {
    for row in rows("power_norm.csv") {
        let (snr_db, power_dbm, ref_dbm) = (row.number("snr_db"), row.number("power_dbm"), row.number("ref_dbm"));
        close(snr_at_power(snr_db, power_dbm, ref_dbm), row.number("snr_at_ref_db"), 1e-9, &row);
    }
}

/// Exactly that many Hz of a decimal text in MHz, by moving the point: no rounding by multiplication.
fn hz(mhz: &str) -> f64 {
    let (whole, part) = mhz.split_once('.').unwrap_or((mhz, ""));
    assert!(part.len() <= 6, "edges are whole Hz");
    format!("{whole}{part:0<6}").parse().unwrap()
}

#[test]
fn every_band_of_adif_to_the_hertz() {
    // Band enumeration of ADIF 3.1.7; its edges belong to the band
    let mut bands = 0;
    for row in rows("bands.csv") {
        bands += 1;
        let (low_hz, high_hz) = (hz(row.text("lower_mhz")), hz(row.text("upper_mhz")));
        let band = Band::from_name(row.text("band")).unwrap_or_else(|| panic!("{row}"));
        assert_eq!(band.name(), row.text("band"), "{row}");
        assert_eq!(band.edges_hz(), Some((low_hz, high_hz)), "{row}");
        for inside in [low_hz, low_hz + 1.0, f64::midpoint(low_hz, high_hz), high_hz - 1.0, high_hz] {
            assert_eq!(Band::of_hz(inside), band, "{row}: {inside} Hz");
        }
        assert_ne!(Band::of_hz(low_hz - 1.0), band, "{row}");
        assert_ne!(Band::of_hz(high_hz + 1.0), band, "{row}");
        if !row.text("alias").is_empty() {
            assert_eq!(Band::from_name(row.text("alias")), Some(band), "{row}");
        }
        assert_eq!(Band::from_name(&row.text("band").to_uppercase()), Some(band), "{row}");
    }
    assert_eq!(bands, 33);
}

#[test]
fn a_day_of_two_minute_slots() {
    // common practice, no source: slots of 2 minutes make 720 a day,
    // and 24 hours over 5 bands in turn are 144 sends a band
    assert_eq!(DAY_S / WSPR_SLOT_S, 720);
    assert_eq!(sends_per_band(DAY_S, 5), 144);
    assert_eq!(sends_per_band(DAY_S, 7), 102, "whole sends only: 720 over 7 bands leaves some over");
    assert_eq!(sends_per_band(WSPR_SLOT_S - 1, 1), 0);
    assert_eq!(sends_per_band(DAY_S, 0), 0);
    assert_eq!(sends_per_band(-DAY_S, 5), 0);
}
