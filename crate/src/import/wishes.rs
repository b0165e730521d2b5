//! What the person corrected in the reading of a file.

use serde::{Deserialize, Serialize};

use super::words::{DateOrder, DecimalMark, Delimiter, Encoding, FreqUnit, PowerUnit, Reason, Report, Role};

/// Corrections by the person; whatever is left open is decided by the content. `Wishes::default()` decides nothing.
///
/// A wish is obeyed even where the content speaks against it: what then cannot be read is set aside or counted as ever.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Wishes {
    /// Role per column from the left; `None` within leaves that column to the content.
    pub roles: Option<Vec<Option<Role>>>,
    /// What separates cells.
    pub delimiter: Option<Delimiter>,
    /// Where the header is.
    pub header: Option<HeaderWish>,
    /// How bytes become characters.
    pub encoding: Option<Encoding>,
    /// Order of day, month and year.
    pub date_order: Option<DateOrder>,
    /// Offset of the file's times from UTC in seconds, east positive, for times without a zone of their own.
    pub utc_offset_s: Option<i32>,
    /// Unit of frequencies that have none of their own.
    pub freq_unit: Option<FreqUnit>,
    /// Unit of powers that have none of their own.
    pub power_unit: Option<PowerUnit>,
    /// Mark before decimals.
    pub decimal_mark: Option<DecimalMark>,
    /// The UTC date of the first row of a file that has times of day only, as year, month, day.
    /// Where the time of day steps back over midnight the next day begins.
    pub date: Option<(i32, u32, u32)>,
    /// Rows set aside for these reasons ([`Reason::CutLine`], [`Reason::TooManyColumns`]) are read as they stand,
    /// as far as time and both calls are there.
    pub use_set_aside: Option<Vec<Reason>>,
    /// Which report of a two-way contact is shown.
    pub report: Option<Report>,
}

/// Where a person says the header line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HeaderWish {
    /// There is none: the first row is data.
    Absent,
    /// On this physical line, from 1.
    Line(u32),
}
