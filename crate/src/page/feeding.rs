//! The feeder of a run, as far as a person describes it to have its loss reckoned.

use crate::model::Band;
use crate::study::feeder::{Line, total_loss_db};

/// Kind, length and mismatch of a feeder.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Feeding {
    /// Kind of line.
    pub(super) line: Option<Line>,
    /// Length, m.
    pub(super) length_m: Option<f64>,
    /// Frequency for which the loss is taken over, MHz; the middle of the busiest band where it is not said.
    pub(super) mhz: Option<f64>,
    /// Standing wave ratio at the antenna's end; 1 where it is not said.
    pub(super) swr: Option<f64>,
}

/// A loss and its two parts, dB.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Loss {
    pub(super) matched_db: f64,
    pub(super) total_db: f64,
}

impl Feeding {
    /// The loss at a frequency; `None` until kind and length are said.
    pub(super) fn loss(&self, mhz: f64) -> Option<Loss> {
        let matched_db = self.line?.matched_loss_db(mhz, self.length_m?)?;
        Some(Loss { matched_db, total_db: total_loss_db(matched_db, self.swr.unwrap_or(1.0))? })
    }

    /// The frequency for which the loss is taken over, MHz.
    pub(super) fn taken_mhz(&self, busiest: Option<Band>) -> f64 {
        self.mhz.or_else(|| middle_mhz(busiest?)).unwrap_or(14.1)
    }
}

/// The middle of a band, MHz, to a hundredth.
pub(super) fn middle_mhz(band: Band) -> Option<f64> {
    let (low, high) = band.edges_hz()?;
    Some(((low + high) / 2e4).round() / 100.0)
}
