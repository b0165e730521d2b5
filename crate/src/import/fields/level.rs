//! Frequencies, powers, levels and bands as they stand in cells.

use super::cell::{self, fold};
use super::number::{self, Decimal};
use crate::import::words::{DecimalMark, FreqUnit, PowerUnit};
use crate::model::Band;
use crate::units::dbm_from_watts;

/// A frequency in Hz from a number and its unit; `None` for zero, negative and impossible ones.
pub(crate) fn frequency_hz(number: Decimal, unit: FreqUnit) -> Option<f64> {
    let hz = number.scaled(power_of_ten(unit));
    // a spreadsheet's 1.41E+07 has lost the kilohertz
    let exact = !number.scientific || number.significant >= 5;
    (exact && hz > 0.0 && hz <= HIGHEST_HZ).then_some(hz)
}

/// The power of ten of a unit in hertz.
pub(crate) fn power_of_ten(unit: FreqUnit) -> i32 {
    match unit {
        FreqUnit::Hz => 0,
        FreqUnit::KHz => 3,
        FreqUnit::MHz => 6,
        FreqUnit::GHz => 9,
    }
}

/// Upper edge of the last ADIF band.
const HIGHEST_HZ: f64 = 7.5e12;

/// A word behind a number that is no unit of its kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct NoUnit;

/// The unit behind a frequency, or `None` where there is nothing.
pub(crate) fn frequency_unit(word: &str) -> Result<Option<FreqUnit>, NoUnit> {
    Ok(match fold(word.trim().trim_end_matches('.')).as_str() {
        "" => None,
        "hz" | "hertz" | "c/s" | "гц" => Some(FreqUnit::Hz),
        "khz" | "kilohertz" | "kc" | "кгц" => Some(FreqUnit::KHz),
        "mhz" | "megahertz" | "mc" | "мгц" => Some(FreqUnit::MHz),
        "ghz" | "gigahertz" | "ггц" => Some(FreqUnit::GHz),
        _ => return Err(NoUnit),
    })
}

/// The band of a frequency.
///
/// ADIF's 8m band (40 to 45 MHz) holds the range 40.66 to 40.70 MHz that No. 5.150 of the ITU Radio Regulations
/// (from memory) gives to industrial, scientific and medical use; almost nowhere is it an amateur band, and beacons
/// there are experiments on that range. It counts as a frequency in no band.
pub(crate) fn band_of(freq_hz: f64) -> Band {
    if (40_660_000.0..=40_700_000.0).contains(&freq_hz) { Band::OTHER } else { Band::of_hz(freq_hz) }
}

/// Edges in Hz between which every frequency is in the band, or `None` for bands that have a gap or none.
pub(crate) fn edges_of(band: Band) -> Option<(f64, f64)> {
    band.edges_hz().filter(|&(low, high)| !(low..=high).contains(&40_680_000.0))
}

/// Powers outside this range in dBm are no transmitter's: a picowatt to a megawatt.
const POWER_DBM: std::ops::RangeInclusive<f64> = -90.0..=90.0;

/// A level in dBm from a number and its unit; `None` where there is none (zero watts) or it is impossible.
pub(crate) fn power_dbm(number: Decimal, unit: PowerUnit) -> Option<f64> {
    let dbm = match unit {
        PowerUnit::Dbm => number.value(),
        PowerUnit::Dbw => number.value() + 30.0,
        PowerUnit::W => dbm_from_watts(number.value())?,
        PowerUnit::MW => dbm_from_watts(number.scaled(-3))?,
        PowerUnit::KW => dbm_from_watts(number.scaled(3))?,
    };
    POWER_DBM.contains(&dbm).then_some(dbm)
}

/// The unit behind a power, or `None` where there is nothing.
/// `MW` in capitals is none: read as megawatts it would be wrong, read as milliwatts it would be a guess.
pub(crate) fn power_unit(word: &str) -> Result<Option<PowerUnit>, NoUnit> {
    let word = word.trim().trim_end_matches('.');
    Ok(match word {
        "" => None,
        "mW" | "mw" | "мВт" | "мвт" => Some(PowerUnit::MW),
        _ => match fold(word).as_str() {
            "dbm" | "dbmw" | "дбм" => Some(PowerUnit::Dbm),
            "dbw" | "дбвт" => Some(PowerUnit::Dbw),
            "w" | "watt" | "watts" | "wat" | "vatios" | "vatio" | "вт" => Some(PowerUnit::W),
            "kw" | "kilowatt" | "kilowatts" | "квт" => Some(PowerUnit::KW),
            "milliwatt" | "milliwatts" => Some(PowerUnit::MW),
            _ => return Err(NoUnit),
        },
    })
}

/// Levels beyond this many dB either way are no SNR.
const MOST_DB: f64 = 99.0;

/// An SNR in dB, with or without `dB` behind. `None` for what is none: 599, inf, words.
pub(crate) fn snr_db(cell: &[u8], mark: DecimalMark, plain: &mut String) -> Option<f64> {
    let (number, unit) = number::read_any(cell::trim(cell), mark, plain)?;
    let db = number.value();
    let unit = unit.trim();
    ((unit.is_empty() || unit.eq_ignore_ascii_case("db") || fold(unit) == "дб") && db.abs() <= MOST_DB).then_some(db)
}

/// A signal report in decibels, where reports of readability, strength and tone stand in the same field.
///
/// `599` and `57` are RST and RS; decibels have a sign or are below 11 (`+05`, `-12`, `07`, `0`).
pub(crate) fn report_db(cell: &[u8], mark: DecimalMark, plain: &mut String) -> Option<f64> {
    let cell = cell::trim(cell);
    let signed = !cell.first().is_some_and(u8::is_ascii_digit);
    snr_db(cell, mark, plain).filter(|&db| signed || db < 11.0)
}

/// What stands in a cell for a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum BandCell {
    /// A band by its wavelength or frequency with unit.
    Band(Band),
    /// A bare number: metres or megahertz, as the column decides.
    Bare(f64),
    /// Nothing, or something else.
    None,
}

/// Reads a band in any spelling: `20m`, `20 M`, `20 metres`, `20-m-Band`, `70 CM`, `14 MHz`.
pub(crate) fn band(cell: &[u8], plain: &mut String) -> BandCell {
    let cell = cell::trim(cell);
    if cell.is_empty() || cell.len() > 40 {
        return BandCell::None;
    }
    cell::write_plain(cell, plain);
    let folded = fold(plain.trim());
    let folded = folded.strip_prefix("band").map_or(folded.as_str(), str::trim_start);
    if folded == "submm" {
        return Band::from_name("submm").map_or(BandCell::None, BandCell::Band);
    }
    let Some((number, unit)) = number::read(folded.as_bytes(), DecimalMark::Point) else { return BandCell::None };
    let value = number.value();
    let unit = unit.trim_matches(|c: char| !c.is_alphanumeric());
    let unit = ["band", "bands", "banda", "bande", "baand", "pasmo", "pasmo"]
        .iter()
        .find_map(|word| unit.strip_suffix(word))
        .unwrap_or(unit)
        .trim_matches(|c: char| !c.is_alphanumeric());
    let named = |unit: &str| Band::from_name(&format!("{value}{unit}")).map_or(BandCell::None, BandCell::Band);
    match unit {
        "" if plain.trim().bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b',') => BandCell::Bare(value),
        "m" | "mt" | "mts" | "mtr" | "mtrs" | "meter" | "meters" | "metre" | "metres" | "metros" | "metri"
        | "metro" | "metry" | "metrow" | "metru" | "metria" | "м" => named("m"),
        "cm" | "centimeter" | "centimeters" | "centimetre" | "centimetres" | "zentimeter" => named("cm"),
        "mm" | "millimeter" | "millimetres" => named("mm"),
        "mhz" => band_of_mhz(value).map_or(BandCell::None, BandCell::Band),
        "khz" => band_of_mhz(value / 1e3).map_or(BandCell::None, BandCell::Band),
        "ghz" => band_of_mhz(value * 1e3).map_or(BandCell::None, BandCell::Band),
        _ => BandCell::None,
    }
}

/// The band that people call by this many metres.
pub(crate) fn band_of_metres(metres: f64) -> Option<Band> {
    // no band is named by a longer number
    (1.0..=2200.0).contains(&metres).then(|| Band::from_name(&format!("{metres}m")))?
}

/// The band that people call by this many megahertz: the frequency itself, or the whole megahertz of its lower edge.
pub(crate) fn band_of_mhz(mhz: f64) -> Option<Band> {
    let band = band_of(mhz * 1e6);
    if band.edges_hz().is_some() {
        return Some(band);
    }
    Band::all()
        .find(|band| band.edges_hz().is_some_and(|(low, _)| mhz >= 1.0 && (low / 1e6).floor().total_cmp(&mhz).is_eq()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(text: &str) -> (Decimal, &str) {
        number::read(text.as_bytes(), DecimalMark::Point).unwrap()
    }

    #[test]
    fn powers_with_their_units() {
        // the levels are 10 log10 of the milliwatts, from the definition of the dBm
        for (text, right) in [
            ("5W", Some(36.9897)),
            ("200 mW", Some(23.0103)),
            ("37 dBm", Some(37.0)),
            ("0.5 W", Some(26.9897)),
            ("1kW", Some(60.0)),
            ("-3 dBm", Some(-3.0)),
            ("0 dBm", Some(0.0)),
            ("0 dBW", Some(30.0)),
            ("0 W", None),
            ("-5 W", None),
        ] {
            let (number, unit) = number(text);
            let dbm = power_dbm(number, power_unit(unit).unwrap().unwrap());
            assert!(
                match (dbm, right) {
                    (Some(a), Some(b)) => (a - b).abs() < 1e-4,
                    (a, b) => a.is_none() && b.is_none(),
                },
                "{text}: {dbm:?}"
            );
        }
        assert_eq!(power_unit("MW"), Err(NoUnit));
        assert_eq!(power_unit("QRP"), Err(NoUnit));
        assert_eq!(power_unit(""), Ok(None));
    }

    #[test]
    fn frequencies() {
        assert_eq!(frequency_hz(number("14.097151").0, FreqUnit::MHz), Some(14_097_151.0));
        assert_eq!(frequency_hz(number("137.4").0, FreqUnit::KHz), Some(137_400.0));
        assert_eq!(frequency_hz(number("1.41E+07").0, FreqUnit::Hz), None);
        assert_eq!(frequency_hz(number("1.4097151E+07").0, FreqUnit::Hz), Some(14_097_151.0));
        assert_eq!(frequency_hz(number("0").0, FreqUnit::Hz), None);
        assert_eq!(band_of(40_680_000.0), Band::OTHER);
        assert_eq!(band_of(40_200_000.0).name(), "8m");
    }

    #[test]
    fn levels_and_reports() {
        let mut plain = String::new();
        for (text, snr, report) in [
            ("+5", Some(5.0), Some(5.0)),
            ("-12 dB", Some(-12.0), Some(-12.0)),
            ("−21", Some(-21.0), Some(-21.0)),
            ("07", Some(7.0), Some(7.0)),
            ("-12.5", Some(-12.5), Some(-12.5)),
            ("599", None, None),
            ("57", Some(57.0), None),
            ("+00", Some(0.0), Some(0.0)),
            ("inf", None, None),
            ("NaN", None, None),
            ("n/a", None, None),
            ("", None, None),
        ] {
            assert_eq!(snr_db(text.as_bytes(), DecimalMark::Point, &mut plain), snr, "{text}");
            assert_eq!(report_db(text.as_bytes(), DecimalMark::Point, &mut plain), report, "{text}");
        }
    }

    #[test]
    fn bands_in_many_spellings() {
        let mut plain = String::new();
        for (text, name) in [
            ("20m", "20m"),
            ("20 M", "20m"),
            ("20 metres", "20m"),
            ("20 Meter", "20m"),
            ("70cm", "70cm"),
            ("70 CM", "70cm"),
            ("20-m-Band", "20m"),
            ("1.25m", "1.25m"),
            ("2200 m", "2190m"),
            ("14 MHz", "20m"),
            ("10 MHz", "30m"),
            ("band 40m", "40m"),
            ("20\u{a0}m", "20m"),
        ] {
            let found = band(text.as_bytes(), &mut plain);
            assert!(matches!(found, BandCell::Band(b) if b.name() == name), "{text}: {found:?}");
        }
        assert_eq!(band(b"20", &mut plain), BandCell::Bare(20.0));
        for none in ["", "21m", "beans", "14.097100x", "-20m"] {
            assert_eq!(band(none.as_bytes(), &mut plain), BandCell::None, "{none}");
        }
        assert_eq!(band_of_mhz(18.0).unwrap().name(), "17m");
        assert_eq!(band_of_metres(1.25).unwrap().name(), "1.25m");
    }
}
