//! Results in words and figures for people: the same in the page, the readout, a report and beside a picture.
//!
//! - [`number`]: figures with their signs, spaces and units
//! - [`angles`]: sun, hops and likely take-off angles
//! - [`mod@answer`]: the one sentence that answers, and the line on how strong its evidence is
//! - [`calendar`]: dates and spans
//! - [`cautions`]: what to mind in antenna work
//! - [`ground`]: what two runs share, and what is left out of their comparison
//! - [`mod@health`]: health of a beacon
//! - [`mod@places`]: countries and continents reached
//! - [`mod@power`]: transmitter power
//! - [`terms`]: names that every view uses
//! - [`verdict`]: a comparison in words; [`mod@headline`]: in one answer

pub mod angles;
pub mod answer;
pub mod calendar;
pub mod cautions;
pub mod ground;
pub mod headline;
pub mod health;
pub mod number;
pub mod places;
pub mod power;
pub mod terms;
pub mod verdict;

pub use answer::{Answer, answer};
pub use number::Length;
pub use places::places;
pub use power::power;
