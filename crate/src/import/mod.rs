//! Bytes to spots.
//!
//! A dropped file is unpacked, decoded, and given to the first of the formats that knows it. A table is then *searched*
//! for the reading that explains most of it; nothing is decided by a file's name or by a known layout. Reading never
//! fails: it gives the spots, the rows set aside with their reasons, and notes on everything that was assumed.
//!
//! - [`words`]: the words for roles, reasons, notes, units and encodings
//! - [`wishes`]: what the person corrected
//! - [`reading`]: the account of how a file was read
//! - [`job`]: a file read in steps; [`sieve`]: one too large to be held
//! - `unpack`: gzip and zip; `text`: encodings; `sniff`: kinds of files
//! - `delimited`: tables as text; `columns`: which column is what; `fields`: cells to values
//! - `adif`: records with named fields
//! - `aside`: rows that were set aside, as a file again
//! - `stations`, `account`, `problem`: what all formats share
//!
//! To add a format, add an entry to `FORMATS` with a test for its bytes and a reader.

mod account;
mod adif;
mod aside;
mod code_page;
mod columns;
mod delimited;
mod fields;
pub mod job;
#[cfg(test)]
mod made;
mod problem;
pub mod reading;
pub mod sieve;
mod sniff;
mod stations;
mod text;
mod unpack;
pub mod wishes;
pub mod words;

pub use aside::{aside_cells, aside_file};
pub use code_page::{CODE_PAGES, CodePage};
pub use job::{Job, read_ahead};
pub use reading::{Column, Decisions, FileError, Note, PreviewRow, Reading, RunnerUp, SetAside, SoFar};
pub use sieve::{Sieve, Sieved, Wanted};
pub(crate) use unpack::MOST_BYTES;
pub use unpack::gzip::Unpacked;
pub use wishes::{HeaderWish, Wishes};
pub use words::{
    Container, DateOrder, DecimalMark, Delimiter, Encoding, ErrorKind, Format, FreqUnit, NoteKind, PowerUnit, Reason,
    Report, Role, Zone,
};

use std::borrow::Cow;

use crate::model::TableBuilder;
use delimited::aligned;
use unpack::{archive, gzip};

/// A kind of text.
struct TextFormat {
    /// Is a decoded text of this kind?
    knows: fn(&[u8]) -> bool,
    /// Reads it.
    read: fn(&Text<'_>, &mut TableBuilder, &mut Reading),
    /// Is it a table, which can be read in steps?
    table: bool,
}

/// A decoded text on its way to a reader.
struct Text<'a> {
    bytes: &'a [u8],
    /// Is the file known to end too early?
    cut: bool,
    wishes: &'a Wishes,
}

/// The kinds of text, the surest first; the last knows everything.
const FORMATS: &[TextFormat] = &[
    TextFormat { knows: sniff::is_html, read: |_, _, reading| refuse(ErrorKind::Html, reading), table: false },
    TextFormat {
        knows: sniff::is_xml_workbook,
        read: |_, _, reading| refuse(ErrorKind::Workbook, reading),
        table: false,
    },
    TextFormat { knows: sniff::is_json, read: |_, _, reading| refuse_json(reading), table: false },
    TextFormat {
        knows: sniff::is_xml,
        read: |text, table, reading| adif::read_adx(text.bytes, text.wishes, table, reading),
        table: false,
    },
    TextFormat {
        knows: sniff::is_adif,
        read: |text, table, reading| adif::read_adi(text.bytes, text.wishes, table, reading),
        table: false,
    },
    TextFormat {
        knows: |_| true,
        read: |text, table, reading| delimited::read(text.bytes, text.cut, text.wishes, table, reading),
        table: true,
    },
];

/// Reads one dropped file (by its content; the name is only a hint), adds its spots to the table,
/// and tells how it was read. An archive gives one reading per table in it, or one with an error.
pub fn read(name: &str, bytes: &[u8], wishes: &Wishes, table: &mut TableBuilder) -> Vec<Reading> {
    read_within(name, bytes, wishes, MOST_BYTES, table)
}

/// The account of a file that could not be opened; `why` is the reason the system gives.
pub fn unreadable(name: &str, why: &str) -> Reading {
    let advice = problem::plain_error(ErrorKind::Unreadable);
    let text = format!("{} ({why})", advice.text);
    Reading { name: name.to_owned(), error: Some(FileError { text, ..advice }), ..Reading::default() }
}

/// What is inside a gzip file, at most so many bytes of it; `None` of anything else.
pub fn unpack_gzip(bytes: &[u8], most: usize) -> Option<Unpacked> {
    gzip::is_gzip(bytes).then(|| gzip::unpack(bytes, most))
}

/// Does a file begin as gzip does?
pub fn begins_as_gzip(bytes: &[u8]) -> bool {
    gzip::is_gzip(bytes)
}

/// [`read`] with a limit for what is unpacked, in bytes.
fn read_within(name: &str, bytes: &[u8], wishes: &Wishes, most: usize, table: &mut TableBuilder) -> Vec<Reading> {
    if archive::is_zip(bytes) {
        read_archive(name, bytes, wishes, most, table)
    } else {
        vec![read_one(name, bytes, wishes, most, table)]
    }
}

fn refuse_json(reading: &mut Reading) {
    let text = "This is JSON, names and values for programs, and no table. Export the spots as CSV or ADIF.";
    reading.error = Some(problem::error(ErrorKind::NoRoles, text));
}

fn refuse(kind: ErrorKind, reading: &mut Reading) {
    reading.error = Some(problem::plain_error(kind));
}

/// Reads a file that is no archive: plain, or packed with gzip.
fn read_one(name: &str, bytes: &[u8], wishes: &Wishes, most: usize, table: &mut TableBuilder) -> Reading {
    let mut reading = Reading { name: name.to_owned(), ..Reading::default() };
    if let Some((bytes, cut)) = unpacked(bytes, most, &mut reading)
        && let Some(text) = text_of(&bytes, wishes, &mut reading)
        && let Some(format) = format_of(&text)
    {
        (format.read)(&Text { bytes: &text, cut, wishes }, table, &mut reading);
    }
    reading
}

/// The kind of a text.
fn format_of(text: &[u8]) -> Option<&'static TextFormat> {
    FORMATS.iter().find(|format| (format.knows)(text))
}

/// The bytes of a file that is no archive, out of gzip if they are in it, and whether they are known to end too early.
/// `None` if there is nothing to read, which the reading then says. What is borrowed is all of the bytes.
fn unpacked<'a>(bytes: &'a [u8], most: usize, reading: &mut Reading) -> Option<(Cow<'a, [u8]>, bool)> {
    if !gzip::is_gzip(bytes) {
        if bytes.len() > MOST_BYTES {
            refuse(ErrorKind::TooLarge, reading);
            return None;
        }
        return Some((Cow::Borrowed(bytes), false));
    }
    reading.container = Some(Container::Gzip);
    let unpacked = gzip::unpack(bytes, most);
    if unpacked.too_large {
        refuse(ErrorKind::TooLarge, reading);
        return None;
    }
    let mut note = |kind: NoteKind, text: &str| reading.notes.push(Note { kind, count: None, text: text.to_owned() });
    if unpacked.cut {
        note(
            NoteKind::GzipCut,
            "The packed file ends too early or is broken inside: what comes before that was read, the rest is missing. \
             Download it again.",
        );
    }
    if unpacked.bad_checksum {
        note(
            NoteKind::GzipChecksum,
            "The check sum of the packed file is wrong: some of its data may be damaged. Download it again to be sure.",
        );
    }
    let again = match &unpacked.bytes {
        bytes if archive::is_zip(bytes) => Some(ErrorKind::NoTableInZip),
        bytes if gzip::is_gzip(bytes) => Some(ErrorKind::Binary),
        _ => None,
    };
    if let Some(kind) = again {
        let text = "The gzip file holds a packed file again. Unpack it once and open the file inside.";
        reading.error = Some(problem::error(kind, text));
        return None;
    }
    Some((Cow::Owned(unpacked.bytes), unpacked.cut))
}

/// Decodes unpacked bytes; `None` if they are no text, which the reading then says.
/// What is borrowed is the end of the bytes.
fn text_of<'a>(bytes: &'a [u8], wishes: &Wishes, reading: &mut Reading) -> Option<Cow<'a, [u8]>> {
    let mut refused = |kind| {
        refuse(kind, reading);
        None
    };
    if sniff::is_old_workbook(bytes) {
        return refused(ErrorKind::Workbook);
    }
    if sniff::is_binary(bytes) {
        return refused(ErrorKind::Binary);
    }
    let decoded = text::decode(bytes, wishes.encoding);
    if fields::cell::is_blank(&decoded.text[..decoded.text.len().min(1 << 16)]) && fields::cell::is_blank(&decoded.text)
    {
        return refused(ErrorKind::Empty);
    }
    if sniff::is_garbage(&decoded.text) {
        return refused(ErrorKind::Binary);
    }
    reading.encoding = Some(decoded.encoding);
    if decoded.assumed || decoded.replaced {
        let more = if decoded.replaced { "; some bytes fit no character and are shown as \u{FFFD}" } else { "" };
        let text = format!(
            "The letters are read as {}{more}. If names or headers look wrong, choose another encoding.",
            decoded.encoding.as_str()
        );
        reading.notes.push(Note { kind: NoteKind::EncodingAssumed, count: None, text });
    }
    if decoded.nuls > 0 {
        let text = format!("{} NUL characters, which stand for nothing, were taken out.", decoded.nuls);
        reading.notes.push(Note { kind: NoteKind::NulRemoved, count: Some(decoded.nuls), text });
    }
    if let Some(unquoted) = aligned::without_line_quotes(&decoded.text) {
        let text =
            "Every line stood in quotes as a whole, which would make one cell of it; they were taken away.".to_owned();
        reading.notes.push(Note { kind: NoteKind::BadQuote, count: None, text });
        return Some(Cow::Owned(unquoted));
    }
    Some(
        aligned::without_drawn_bars(&decoded.text)
            .or_else(|| aligned::without_fixed_blanks(&decoded.text))
            .map_or(decoded.text, Cow::Owned),
    )
}

/// Reads an archive: one reading per table in it, or one with an error.
fn read_archive(name: &str, bytes: &[u8], wishes: &Wishes, most: usize, table: &mut TableBuilder) -> Vec<Reading> {
    let contents = archive::unpack(bytes, most);
    let refused = |error: FileError, container| {
        vec![Reading { name: name.to_owned(), container, error: Some(error), ..Reading::default() }]
    };
    let container = Some(Container::Zip);
    match contents.fault {
        None => {}
        Some(archive::Fault::Workbook) => return refused(problem::plain_error(ErrorKind::Workbook), None),
        Some(archive::Fault::TooLarge) => return refused(problem::plain_error(ErrorKind::TooLarge), container),
        Some(archive::Fault::Damaged) => {
            let text = "The archive is damaged or cut, so that what it holds cannot be listed. Download it again.";
            return refused(problem::error(ErrorKind::NoTableInZip, text), container);
        }
    }
    let mut left_out: Vec<String> =
        contents.left_out.iter().map(|member| format!("{} ({})", member.name, member.why)).collect();
    let mut readings = Vec::new();
    for member in contents.members {
        let own_name = format!("{name}/{}", member.name);
        if archive::is_zip(&member.bytes) {
            left_out.push(format!("{} (an archive or workbook of its own)", member.name));
            continue;
        }
        let mut reading = read_one(&own_name, &member.bytes, wishes, most, table);
        let why = match reading.error.as_ref().map(|error| error.kind) {
            Some(ErrorKind::NoRoles) => "no table of spots",
            Some(ErrorKind::Binary) => "no text",
            Some(ErrorKind::Empty) => "empty",
            Some(ErrorKind::Html) => "a web page",
            Some(ErrorKind::Workbook) => "a workbook",
            Some(ErrorKind::Adx) => "XML of another kind",
            _ => {
                reading.container = container;
                readings.push(reading);
                continue;
            }
        };
        left_out.push(format!("{} ({why})", member.name));
    }
    let names = left_out.join(", ");
    match readings.first_mut() {
        Some(first) if !left_out.is_empty() => {
            let text = format!("Left out of the archive: {names}.");
            first.notes.push(Note { kind: NoteKind::ZipMembersLeftOut, count: Some(left_out.len() as u64), text });
            readings
        }
        Some(_) => readings,
        None if contents.encrypted => refused(problem::plain_error(ErrorKind::ZipEncrypted), container),
        None => {
            let text = if names.is_empty() {
                "The archive is empty.".to_owned()
            } else {
                format!("The archive holds no table of spots, only: {names}.")
            };
            refused(problem::error(ErrorKind::NoTableInZip, text), container)
        }
    }
}
