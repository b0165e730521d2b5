//! What the person corrected in the reading of a file.

use serde::{Deserialize, Serialize};

use super::words::{DateOrder, DecimalMark, Delimiter, Encoding, FreqUnit, PowerUnit, Reason, Report, Role};
use crate::time::UtcTime;

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
    /// Rows set aside for these reasons ([`Reason::CutLine`], [`Reason::TooManyColumns`], [`Reason::TooFewColumns`]) are read as they stand,
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

/// Corrections as words and values, to be kept as text: each word stands for one field.
impl Wishes {
    /// What was corrected, each as a word with its value.
    pub fn words(&self) -> Vec<(&'static str, String)> {
        let Self { roles, use_set_aside, .. } = self;
        let mut all = Vec::new();
        let mut add = |word: &'static str, value: Option<String>| all.extend(value.map(|value| (word, value)));
        let list = |words: Vec<&str>| words.join(",");
        add(
            "roles",
            roles.as_ref().map(|roles| list(roles.iter().map(|role| role.map_or("", Role::as_str)).collect())),
        );
        add("delimiter", self.delimiter.map(|it| it.as_str().to_owned()));
        add(
            "header",
            self.header.map(|it| if let HeaderWish::Line(line) = it { line.to_string() } else { String::new() }),
        );
        add("encoding", self.encoding.map(|it| it.as_str().to_owned()));
        add("dates", self.date_order.map(|it| it.as_str().to_owned()));
        add("offset", self.utc_offset_s.map(|seconds| seconds.to_string()));
        add("frequency", self.freq_unit.map(|it| it.as_str().to_owned()));
        add("power", self.power_unit.map(|it| it.as_str().to_owned()));
        add("decimal", self.decimal_mark.map(|it| it.as_str().to_owned()));
        add("date", self.date.map(|(year, month, day)| format!("{year}-{month:02}-{day:02}")));
        add("aside", use_set_aside.as_ref().map(|reasons| list(reasons.iter().map(|it| it.as_str()).collect())));
        add("report", self.report.map(|it| it.as_str().to_owned()));
        all
    }

    /// Takes in one word with its value; `None` if either is none of those that [`Wishes::words`] gives.
    pub fn take(&mut self, word: &str, value: &str) -> Option<()> {
        match word {
            "roles" => {
                let role = |word: &str| if word.is_empty() { Some(None) } else { Role::from_word(word).map(Some) };
                self.roles = Some(value.split(',').map(role).collect::<Option<_>>()?);
            }
            "delimiter" => self.delimiter = Some(Delimiter::from_word(value)?),
            "header" if value.is_empty() => self.header = Some(HeaderWish::Absent),
            "header" => self.header = Some(HeaderWish::Line(value.parse().ok()?)),
            "encoding" => self.encoding = Some(Encoding::from_word(value)?),
            "dates" => self.date_order = Some(DateOrder::from_word(value)?),
            "offset" => self.utc_offset_s = Some(value.parse().ok()?),
            "frequency" => self.freq_unit = Some(FreqUnit::from_word(value)?),
            "power" => self.power_unit = Some(PowerUnit::from_word(value)?),
            "decimal" => self.decimal_mark = Some(DecimalMark::from_word(value)?),
            "date" => self.date = Some(UtcTime::parse_iso(value).filter(|_| value.len() == 10)?.date()),
            "aside" => self.use_set_aside = Some(value.split(',').map(Reason::from_word).collect::<Option<_>>()?),
            "report" => self.report = Some(Report::from_word(value)?),
            _ => return None,
        }
        Some(())
    }
}
