//! Spots as ADIF 3, the Amateur Data Interchange Format (description: adif.org, version 3.1), its tagged flavour.
//!
//! Each spot is what a listener logs (`SWL` is `Y`), never a contact: `CALL` sent, `STATION_CALLSIGN` heard it,
//! `RST_SENT` is the level in decibels that the listener gave, `RX_PWR` the power of the sending station in watts.
//! `TX_PWR` is not written: it is the power of the logging station, which only listened.
//! A field without value is left out. All text is ASCII, so that lengths in bytes and in characters are the same.
//!
//! The spot table does not say by which mode a spot came; beacons that are reported in slots of two minutes send WSPR,
//! the mode's name in the description's enumeration, so every record says that.

use super::csv::{number, single};
use super::privacy::{Leaving, Source};
use crate::model::Band;
use crate::units::watts_from_dbm;

/// Version of the description that names and enumerations follow.
const ADIF_VERSION: &str = "3.1.7";
/// Digits of a power that count: a ten-thousandth of a decibel needs five.
const DIGITS: i32 = 7;

/// The spots in their order, one record a line, below a header.
pub fn spots(leaving: &Leaving<'_>) -> Vec<u8> {
    let subject = leaving.subject();
    let table = subject.table();
    let stations = table.stations();
    let sample = leaving.source() == Source::Sample;
    let mut out = String::from(if sample { "SAMPLE, made up. " } else { "" });
    out.push_str("Spots as logged by their listeners.\n");
    field(&mut out, "ADIF_VER", ADIF_VERSION);
    field(&mut out, "PROGRAMID", "FARHEARD");
    field(&mut out, "PROGRAMVERSION", env!("CARGO_PKG_VERSION"));
    out.push_str("<EOH>\n");
    for row in leaving.rows() {
        let place = |out: &mut String, station, name: &'static str, extension: &'static str| {
            let Some(locator) = stations.locator(station) else { return };
            let whole = locator.to_string();
            // up to eight characters, the others in a field of their own (ADIF 3.1.4)
            field(out, name, locator.shortened(8).to_string().as_str());
            field(out, extension, whole.get(8..).unwrap_or_default());
        };
        let (tx, rx) = (table.tx(row), table.rx(row));
        let iso = table.time(row).iso();
        let digits: String = iso.chars().filter(char::is_ascii_digit).collect();
        field(&mut out, "CALL", stations.call(stations.call_of(tx)));
        field(&mut out, "STATION_CALLSIGN", stations.call(stations.call_of(rx)));
        field(&mut out, "QSO_DATE", digits.get(..8).unwrap_or_default());
        field(&mut out, "TIME_ON", digits.get(8..).unwrap_or_default());
        let band = table.band(row);
        if band != Band::OTHER && band != Band::UNKNOWN {
            field(&mut out, "BAND", band.name());
        }
        field(&mut out, "FREQ", &table.freq_hz(row).map_or_else(String::new, megahertz));
        field(&mut out, "MODE", "WSPR");
        place(&mut out, tx, "GRIDSQUARE", "GRIDSQUARE_EXT");
        place(&mut out, rx, "MY_GRIDSQUARE", "MY_GRIDSQUARE_EXT");
        let level = single(table.snr_db(row));
        // reports of 11 and more need a sign, else they could be readability and strength
        let sign = if level.starts_with(|first: char| first.is_ascii_digit()) { "+" } else { "" };
        field(&mut out, "RST_SENT", &[sign, &level].concat());
        field(&mut out, "RX_PWR", &table.power_dbm(row).map_or_else(String::new, watts));
        field(&mut out, "SWL", "Y");
        field(&mut out, "APP_FARHEARD_SNR", &level);
        field(&mut out, "APP_FARHEARD_DRIFT", &single(table.drift_hz_min(row)));
        if sample {
            field(&mut out, "COMMENT", "SAMPLE, made up");
        }
        out.push_str("<EOR>\n");
    }
    out.into_bytes()
}

/// A data specifier with its value and a blank; nothing where there is no value.
fn field(out: &mut String, name: &str, value: &str) {
    let ascii: String = value.chars().map(|c| if c.is_ascii_graphic() || c == ' ' { c } else { '?' }).collect();
    if !ascii.is_empty() {
        out.extend(["<", name, ":", &ascii.len().to_string(), ">", &ascii, " "]);
    }
}

/// To the thousandth of a hertz.
fn megahertz(hz: f64) -> String {
    super::table::number(hz / 1e6, 9)
}

/// Watts from dBm, with digits enough to give the same dBm again.
fn watts(dbm: f64) -> String {
    let watts = watts_from_dbm(dbm);
    #[expect(clippy::cast_possible_truncation, reason = "a power of ten of a power that a radio can have")]
    let decimals = (DIGITS - watts.log10().ceil() as i32).clamp(0, 20);
    let scale = 10_f64.powi(decimals);
    number(Some((watts * scale).round() / scale))
}
