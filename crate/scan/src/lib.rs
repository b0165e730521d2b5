//! Scans over the columns of a spot table: which rows pass, and what they count up to.
//!
//! Every filter that a person moves goes over all rows, a million of them at most. These few loops are a package of
//! their own because the page compiles everything else for size: here speed counts (`profile.page.package` of the
//! workspace). They know columns of plain numbers only, and nothing of what the numbers mean; nothing here is generic,
//! for what is generic is compiled where it is used. Nor is a loop inlined where it is called: there it would be compiled
//! for size again.
//!
//! - [`Rows`]: sets of rows as bits
//! - [`pass`]: the rows that pass
//! - [`Cube`]: what stands in them, by far call and group and by time, so that times and groups are chosen without another
//!   scan
//! - [`levels`]: how strong they are
//! - [`Levels`]: levels, counted
//! - [`tallied`] and others of [`mod@column`]: what stands in one column
//! - [`mod@sixteen`]: bytes of a text, sixteen at a time
//! - [`weaker`]: the weaker of several rows of one kind

pub mod cell;
pub mod column;
mod cube;
mod levelled;
mod levels;
pub mod memo;
mod passing;
pub mod plain;
mod rows;
pub mod sift;
pub mod sixteen;
pub mod spots;
pub mod stretch;
mod weaker;

pub use column::tallied;
pub use cube::{Cell, Counted, Cube, Grid};
pub use levelled::{Levelled, Places, levels};
pub use levels::Levels;
pub use passing::{Wanted, pass};
pub use rows::Rows;
pub use weaker::weaker;

/// The columns of a table, one entry a row each.
#[derive(Clone, Copy, Debug)]
pub struct Columns<'a> {
    /// Seconds since 1970.
    pub time_s: &'a [u32],
    /// Number of the call at the far end, from 0 on without gaps.
    pub far: &'a [u32],
    /// Number of the group a row belongs to.
    pub group: &'a [u8],
    /// Level as reported, NaN where there is none.
    pub level: &'a [f32],
    /// Power as reported, NaN where there is none.
    pub power: &'a [f32],
}
