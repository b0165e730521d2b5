//! Customary dial frequencies of the WSPR mode: a report's audio frequency is its frequency less the dial's.
//!
//! The send window is 1400 to 1600 Hz above the dial. These are habits, not limits
//! (common practice, no source; the 60 m figure from memory and one of several in use).

use crate::model::Band;

/// Band and dial frequency in Hz, upper sideband.
const DIALS: [(&str, f64); 17] = [
    ("2190m", 136_000.0),
    ("630m", 474_200.0),
    ("160m", 1_836_600.0),
    ("80m", 3_568_600.0),
    ("60m", 5_287_200.0),
    ("40m", 7_038_600.0),
    ("30m", 10_138_700.0),
    ("20m", 14_095_600.0),
    ("17m", 18_104_600.0),
    ("15m", 21_094_600.0),
    ("12m", 24_924_600.0),
    ("10m", 28_124_600.0),
    ("6m", 50_293_000.0),
    ("4m", 70_091_000.0),
    ("2m", 144_489_000.0),
    ("70cm", 432_300_000.0),
    ("23cm", 1_296_500_000.0),
];

/// Customary dial frequency of a band, Hz.
pub fn dial_hz(band: Band) -> Option<f64> {
    DIALS.iter().find(|(name, _)| *name == band.name()).map(|&(_, hz)| hz)
}

/// Audio frequency in Hz of a report on a band, if the band has a customary dial frequency.
pub fn audio_hz(band: Band, freq_hz: f64) -> Option<f64> {
    dial_hz(band).map(|dial| freq_hz - dial)
}
