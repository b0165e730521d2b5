//! Bytes to spots.
//!
//! - [`words`]: the words for roles, reasons, notes, units and encodings
//! - [`wishes`]: what the person corrected
//! - [`reading`]: the account of how a file was read

pub mod reading;
pub mod wishes;
pub mod words;

pub use reading::{Column, Decisions, FileError, Note, PreviewRow, Reading, RunnerUp, SetAside};
pub use wishes::{HeaderWish, Wishes};
pub use words::{
    Container, DateOrder, DecimalMark, Delimiter, Encoding, ErrorKind, Format, FreqUnit, NoteKind, PowerUnit, Reason,
    Report, Role, Zone,
};

use crate::model::TableBuilder;

/// Reads one dropped file (by its content; the name is only a hint), adds its spots to the table,
/// and tells how it was read. An archive gives one reading per table in it, or one with an error.
pub fn read(name: &str, bytes: &[u8], _wishes: &Wishes, _table: &mut TableBuilder) -> Vec<Reading> {
    let kind = if bytes.is_empty() { ErrorKind::Empty } else { ErrorKind::NoRoles };
    let text = "No columns of spots are recognised in this file.".to_owned();
    vec![Reading { name: name.to_owned(), error: Some(FileError { kind, text }), ..Reading::default() }]
}
