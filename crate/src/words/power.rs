//! Transmitter power in words.

use super::number::{NO_BREAK, decimals};
use crate::units::watts_from_dbm;

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

#[cfg(test)]
mod tests {
    use super::power;

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
