//! How one file was read: the account given to the person and to the readout's JSON.

use std::borrow::Cow;

use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};

use super::wishes::Wishes;
use super::words::{
    Container, DateOrder, DecimalMark, Delimiter, Encoding, ErrorKind, Format, FreqUnit, NoteKind, PowerUnit, Reason,
    Role, Zone,
};
use crate::model::FileId;

/// How one file, or one table of an archive, was read.
///
/// Law: `rows == spots + duplicates + set_aside.len()`, also for files that give nothing.
///
/// Serialises as an entry of the readout's `files`.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// Name of the file; for a member of an archive `archive/member`.
    pub name: String,
    /// Its number in the table, or `None` if it gave no spot and was not entered.
    pub file: Option<FileId>,
    /// What it was packed in.
    pub container: Option<Container>,
    /// What kind of text it is.
    pub format: Option<Format>,
    /// How its bytes became characters.
    pub encoding: Option<Encoding>,
    /// What separates its cells; `None` for ADIF.
    pub delimiter: Option<Delimiter>,
    /// Its columns from the left; empty for ADIF.
    pub columns: Vec<Column>,
    /// Physical line of the header, or `None` without one.
    pub header_line: Option<u32>,
    /// Lines that look like rows of the table (ADIF: records).
    pub rows: u64,
    /// Spots added to the table.
    pub spots: u64,
    /// Rows that repeat a spot exactly.
    pub duplicates: u64,
    /// Rows that are no spot, by line.
    pub set_aside: Vec<SetAside>,
    /// What a person should know.
    pub notes: Vec<Note>,
    /// Why the file gives no spots.
    pub error: Option<FileError>,
    /// The header and the first rows as they stand in the file.
    pub preview: Vec<PreviewRow>,
    /// What was decided for whole columns, to show and to correct.
    pub decisions: Decisions,
    /// How well the chosen reading explains the file, 0 to 1: the mean share of rows in which time, both calls,
    /// both locators, frequency and level make sense.
    pub score: f64,
    /// What speaks for the chosen reading, one sentence each.
    pub why: Vec<String>,
    /// The second-best reading, if another one made any sense.
    pub runner_up: Option<RunnerUp>,
}

/// One column of a table.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Column {
    /// What it is taken for.
    pub role: Role,
    /// Its word in the header, trimmed; empty without header.
    pub header: String,
    /// Its unit as understood, such as `MHz` or `dBm`; `None` where units do not apply.
    pub unit: Option<String>,
    /// Rows in which it is not empty.
    pub filled: u64,
    /// Of these, cells that make sense for the role.
    pub fitting: u64,
}

/// A row that is no spot.
#[derive(Clone, Debug, PartialEq)]
pub struct SetAside {
    /// Physical line in the unpacked file, from 1 (where the row begins).
    pub line: u32,
    /// Why.
    pub reason: Reason,
    /// For people: what was expected, what was found, what to do.
    /// The first thousands of rows quote what was found, the rest share one sentence per reason.
    pub text: Cow<'static, str>,
    /// The column at fault, counted from 0, where it is one.
    pub column: Option<u16>,
    /// Physical lines that the row takes.
    pub lines: u16,
    /// The row as it stands in the file (decoded, without its line end); kept for the first thousands of rows only.
    pub raw: Option<Box<str>>,
}

/// Something a person should know about how a file was read.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Note {
    /// What it is about.
    pub kind: NoteKind,
    /// How many cells, rows or lines it concerns, where that is a number.
    pub count: Option<u64>,
    /// For people.
    pub text: String,
}

/// Why a file gives no spots.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FileError {
    /// What it is about.
    pub kind: ErrorKind,
    /// For people: what was expected, what was found, what to do.
    pub text: String,
}

/// A row as it stands in the file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PreviewRow {
    /// Physical line, from 1.
    pub line: u32,
    /// Its cells, unquoted but otherwise untouched, cut to a bounded length.
    pub cells: Vec<String>,
}

/// What was decided once for the whole file; `None` where the question does not arise.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Decisions {
    /// Order of day, month and year.
    pub date_order: Option<DateOrder>,
    /// Zone of the times.
    pub zone: Option<Zone>,
    /// Unit of frequencies without a unit of their own.
    pub freq_unit: Option<FreqUnit>,
    /// Unit of powers without a unit of their own.
    pub power_unit: Option<PowerUnit>,
    /// Mark before decimals.
    pub decimal_mark: Option<DecimalMark>,
}

/// Another way to read the file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunnerUp {
    /// What it would have been, in words.
    pub text: String,
    /// Corrections that bring it about.
    pub wishes: Wishes,
    /// How well it explains the file, as [`Reading::score`].
    pub score: f64,
}

impl Reading {
    /// Role per column, from the left.
    pub fn roles(&self) -> impl Iterator<Item = Role> {
        self.columns.iter().map(|column| column.role)
    }

    /// The first note of a kind.
    pub fn note(&self, kind: NoteKind) -> Option<&Note> {
        self.notes.iter().find(|note| note.kind == kind)
    }
}

/// What a reading that goes on has brought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SoFar {
    /// Rows read: the sum of the others.
    pub rows: u64,
    /// Spots added.
    pub spots: u64,
    /// Rows that repeat a spot exactly.
    pub duplicates: u64,
    /// Rows that are no spot.
    pub set_aside: u64,
}

impl SoFar {
    /// What readings that are complete have brought together.
    pub fn of(readings: &[Reading]) -> Self {
        let of_one = |reading: &Reading| Self {
            rows: reading.rows,
            spots: reading.spots,
            duplicates: reading.duplicates,
            set_aside: reading.set_aside.len() as u64,
        };
        readings.iter().map(of_one).fold(Self::default(), Self::plus)
    }

    /// Both together.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            rows: self.rows + other.rows,
            spots: self.spots + other.spots,
            duplicates: self.duplicates + other.duplicates,
            set_aside: self.set_aside + other.set_aside,
        }
    }
}

impl Serialize for SetAside {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut entry = serializer.serialize_struct("SetAside", 3)?;
        entry.serialize_field("line", &self.line)?;
        entry.serialize_field("reason", &self.reason)?;
        entry.serialize_field("text", &self.text)?;
        entry.end()
    }
}

impl Serialize for Reading {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let roles: Vec<Role> = self.roles().collect();
        let mut entry = serializer.serialize_struct("Reading", 12)?;
        entry.serialize_field("name", &self.name)?;
        entry.serialize_field("container", &self.container)?;
        entry.serialize_field("format", &self.format)?;
        entry.serialize_field("encoding", &self.encoding)?;
        entry.serialize_field("delimiter", &self.delimiter)?;
        entry.serialize_field("roles", &roles)?;
        entry.serialize_field("rows", &self.rows)?;
        entry.serialize_field("spots", &self.spots)?;
        entry.serialize_field("duplicates", &self.duplicates)?;
        entry.serialize_field("set_aside", &self.set_aside)?;
        entry.serialize_field("notes", &self.notes)?;
        entry.serialize_field("error", &self.error)?;
        entry.end()
    }
}
