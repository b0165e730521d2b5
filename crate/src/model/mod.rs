//! The spot table: one column per field, built once, then only read.
//!
//! - [`band`]: amateur bands after the ADIF enumeration
//! - [`station`]: calls and stations (call with locator), interned
//! - [`table`]: the columns
//! - [`builder`]: how a table is filled; the only place that finds repeats
//! - [`rows`]: sets of rows, for filters
//! - `renamed`: the same spots under other names

pub mod band;
pub mod builder;
mod renamed;
pub mod rows;
pub mod station;
pub mod table;

pub use band::Band;
pub(crate) use builder::single;
pub use builder::{Added, Mark, Spot, TableBuilder};
pub use rows::RowSet;
pub use station::{CallId, StationId, Stations};
pub use table::{FileId, Side, SpotTable, Tested};
