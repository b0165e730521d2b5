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

/// Kilometres in one statute mile (exact, international mile of 1959).
pub const KM_PER_MILE: f64 = 1.609344;

/// Statute miles of a distance in kilometres.
pub fn miles_from_km(km: f64) -> f64 {
    km / KM_PER_MILE
}
