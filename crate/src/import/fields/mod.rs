//! Cells to values: exact parsers, each tolerant of every spelling and of nothing else.
//!
//! - [`cell`]: trimming, folding, quoting
//! - [`number`]: decimal numbers with either mark, grouped, with a unit behind
//! - [`call`]: calls, what stands for them and what became of them
//! - [`place`] for locators, [`level`] for frequencies, powers, SNR and bands
//! - [`calendar`], [`months`], [`zone`], [`stamp`], [`written`]: dates and times of day

pub(crate) mod calendar;
pub(crate) mod call;
pub(crate) mod cell;
pub(crate) mod level;
pub(crate) mod months;
pub(crate) mod number;
pub(crate) mod place;
pub(crate) mod stamp;
mod written;
pub(crate) mod zone;
