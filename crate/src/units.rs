//! Powers, levels and lengths: conversions between the units the trade uses.

/// Power in watts of a level in dBm: `10^((dBm - 30) / 10)`.
///
/// 23 dBm is 0.19953 W, which the trade calls 200 mW.
pub fn watts_from_dbm(power_dbm: f64) -> f64 {
    10_f64.powf((power_dbm - 30.0) / 10.0)
}

/// Level in dBm of a power in watts, or `None` for zero, negative or non-finite powers, which have no level.
pub fn dbm_from_watts(watts: f64) -> Option<f64> {
    (watts.is_finite() && watts > 0.0).then(|| 30.0 + 10.0 * watts.log10())
}

/// SNR in dB that the same path would have given at `reference_dbm` instead of `power_dbm`.
///
/// Valid as far as the stated power is true: it is what the operator typed in, not a measurement.
pub fn snr_at_power(snr_db: f64, power_dbm: f64, reference_dbm: f64) -> f64 {
    snr_db - power_dbm + reference_dbm
}

/// SNR in dB normalised to 1 W (30 dBm) at the transmitter.
pub fn snr_at_1w(snr_db: f64, power_dbm: f64) -> f64 {
    snr_at_power(snr_db, power_dbm, 30.0)
}

/// The number that a plain decimal text stands for: `-12`, `14.0971`, `.5`, `1e-3`; `None` for anything else.
///
/// Up to 19 digits with an exponent within 19 of zero it is the nearest f64, as the standard library gives it; beyond
/// that it may be off in the last place. The standard library's own reader would bring a table of 10 kB into the page.
pub fn plain_number(text: &str) -> Option<f64> {
    let (figures, exponent) = match text.split_once(['e', 'E']) {
        Some((figures, exponent)) => (figures, exponent.parse::<i32>().ok().filter(|e| e.abs() <= 400)?),
        None => (text, 0),
    };
    let (negative, digits) = match figures.as_bytes() {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] | rest => (false, rest),
    };
    let (mut mantissa, mut power, mut seen, mut behind) = (0_u64, exponent, 0, false);
    for &byte in digits {
        match byte {
            b'.' if !behind => behind = true,
            b'0'..=b'9' => {
                seen += 1;
                let longer = mantissa.checked_mul(10).and_then(|tens| tens.checked_add(u64::from(byte - b'0')));
                match longer {
                    Some(longer) => {
                        mantissa = longer;
                        power -= i32::from(behind);
                    }
                    // more digits than an f64 tells apart
                    None => power += i32::from(!behind),
                }
            }
            _ => return None,
        }
    }
    let value = times_power_of_ten(mantissa, power);
    (seen > 0 && value.is_finite()).then_some(if negative { -value } else { value })
}

/// A whole number times a power of ten: the nearest f64 for powers from -19 to 19, else good to the last place or two.
pub fn times_power_of_ten(mantissa: u64, power: i32) -> f64 {
    let tens = |n: u32| 10_u64.checked_pow(n);
    match (tens(power.unsigned_abs()), power < 0) {
        (Some(tens), false) => (u128::from(mantissa) * u128::from(tens)) as f64,
        (Some(tens), true) => {
            // as far to the left as it goes, so that the quotient has 64 digits or more
            let shift = u128::from(mantissa.max(1)).leading_zeros();
            let (above, tens) = (u128::from(mantissa) << shift, u128::from(tens));
            // the lowest bit stands for all that is cut off: it decides only ties
            let quotient = (above / tens) | u128::from(above % tens > 0);
            quotient as f64 / 2_f64.powi(shift.cast_signed())
        }
        (None, _) => mantissa as f64 * 10_f64.powi(power),
    }
}

/// Kilometres in one statute mile (exact, international mile of 1959).
pub const KM_PER_MILE: f64 = 1.609344;

/// Statute miles of a distance in kilometres.
pub fn miles_from_km(km: f64) -> f64 {
    km / KM_PER_MILE
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Against the standard library, which reads decimal text to the nearest f64.
        #[test]
        fn plain_numbers_are_those_of_the_standard_library(
            text in "[-+]?[0-9]{1,12}(\\.[0-9]{0,7})?([eE][-+]?[0-9])?",
        ) {
            prop_assert_eq!(plain_number(&text), text.parse().ok(), "{}", text);
        }

        #[test]
        fn long_ones_are_good_to_the_last_places(text in "[1-9][0-9]{0,30}(\\.[0-9]{0,30})?(e-?[0-9]{1,2})?") {
            let right: f64 = text.parse().unwrap();
            let read = plain_number(&text).unwrap();
            prop_assert!(((read - right) / right).abs() < 1e-14, "{text}: {read}, not {right}");
        }
    }

    #[test]
    fn what_is_no_plain_number_is_none() {
        for text in ["", "-", ".", "1.2.3", "1,5", "inf", "NaN", "0x10", " 1", "1e", "e5", "1e999", "--1", "\u{2212}1"]
        {
            assert_eq!(plain_number(text), None, "{text}");
        }
        for (text, value) in [(".5", 0.5), ("-3.", -3.0), ("1e-3", 0.001), ("0", 0.0), ("+30", 30.0)] {
            assert_eq!(plain_number(text), Some(value), "{text}");
        }
    }
}
