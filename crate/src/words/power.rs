//! Transmitter power in words.

use super::number::{NO_BREAK, decimals};
use crate::model::Side;
use crate::order::LightSort;
use crate::units::{dbm_from_watts, plain_number, watts_from_dbm};

/// A power in dBm as watts or milliwatts with two figures: 23 dBm is `200 mW`, 37 dBm `5 W`, 60 dBm `1 000 W`.
///
/// Two figures are what the usual steps of 3 and 4 dBm mean (23 for 200 mW; common practice, no source).
pub fn power(power_dbm: f64) -> String {
    let watts = watts_from_dbm(power_dbm);
    let (value, unit) = if watts < 0.95 { (watts * 1000.0, "mW") } else { (watts, "W") };
    // the place of the second figure
    let step = 10_f64.powf(value.abs().log10().floor() - 1.0);
    let rounded = if step.is_finite() && step > 0.0 { (value / step).round() * step } else { value };
    let is_whole = (rounded - rounded.round()).abs() < 1e-9;
    let places = if rounded >= 9.95 || is_whole {
        0
    } else if rounded >= 0.995 {
        1
    } else {
        2
    };
    format!("{}{NO_BREAK}{unit}", decimals(rounded, places))
}

/// `200 mW`, `200 mW and 5 W`, `100 mW to 5 W`; nothing where no report names a power.
pub fn powers(levels: &[f64]) -> Option<String> {
    let mut levels = levels.to_vec();
    levels.order_by(f64::total_cmp);
    Some(match levels.as_slice() {
        [] => return None,
        [one] => power(*one),
        [low, high] => format!("{} and {}", power(*low), power(*high)),
        [low, .., high] => format!("{} to {}", power(*low), power(*high)),
    })
}

/// With what power and from where: `200 mW from JN99fl`; or where it hears.
pub fn sent(side: Side, power: Option<String>, place: Option<String>) -> String {
    match (side, power, place) {
        (Side::Sends, Some(power), Some(place)) => format!("{power} from {place}"),
        (Side::Sends, Some(power), None) => format!("{power}, place unknown"),
        (Side::Sends, None, Some(place)) => format!("sends from {place}"),
        (Side::Sends, None, None) => "sends, place unknown".to_owned(),
        (Side::Hears, _, Some(place)) => format!("hears at {place}"),
        (Side::Hears, _, None) => "hears, place unknown".to_owned(),
    }
}

/// What to mind where the reported powers of two runs differ by so much, dB, and nobody said what was sent.
pub fn taken_as_sent(apart_db: f64) -> String {
    format!("Their reported powers, {}{NO_BREAK}dB apart, are taken as sent", decimals(apart_db, 1))
}

/// Reads a power with its unit, such as `200 mW`, `5 W` or `23 dBm`, as dBm. `quoted` is what the error begins with.
///
/// # Errors
/// Says how a power is written: without a unit it might be watts or dBm.
pub fn parse(text: &str, quoted: &str) -> Result<f64, String> {
    let close: String = text.chars().filter(|letter| !letter.is_whitespace()).collect();
    let close = close.replace(',', ".").replace('\u{2212}', "-").to_ascii_lowercase();
    let of = |unit: &str| close.strip_suffix(unit).and_then(plain_number);
    let dbm = match (of("dbm"), of("mw"), of("w")) {
        (Some(dbm), ..) => Some(dbm),
        (_, Some(milliwatts), _) => dbm_from_watts(milliwatts / 1000.0),
        (.., Some(watts)) => dbm_from_watts(watts),
        _ => None,
    };
    dbm.filter(|dbm| (-60.0..=90.0).contains(dbm)).ok_or_else(|| {
        format!("{quoted}: write a power with its unit, such as 200{NO_BREAK}mW, 5{NO_BREAK}W or 23{NO_BREAK}dBm.")
    })
}

#[cfg(test)]
mod tests {
    use super::{parse, power};

    /// 200 mW is 23.01 dBm, 5 W is 36.99 dBm (ITU-R V.574, decibel over 1 mW).
    #[test]
    fn typed_powers_need_their_unit() {
        let read = |text| parse(text, "it").map(|dbm| (dbm * 100.0).round() / 100.0);
        assert_eq!(read("200 mW"), Ok(23.01));
        assert_eq!(read("0,2w"), Ok(23.01));
        assert_eq!(read("5 W"), Ok(36.99));
        assert_eq!(read("23 dBm"), Ok(23.0));
        for wrong in ["200", "", "strong", "0 W", "-1 mW", "NaN W", "1e40 W"] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn usual_steps() {
        let plain = |dbm| power(dbm).replace('\u{a0}', " ");
        assert_eq!(plain(23.0), "200 mW");
        assert_eq!(plain(37.0), "5 W");
        assert_eq!(plain(30.0), "1 W");
        assert_eq!(plain(33.0), "2 W");
        assert_eq!(plain(27.0), "500 mW");
        assert_eq!(plain(0.0), "1 mW");
        assert_eq!(plain(3.0), "2 mW");
        assert_eq!(plain(60.0), "1\u{202f}000 W");
        assert_eq!(plain(-10.0), "0.10 mW");
    }
}
