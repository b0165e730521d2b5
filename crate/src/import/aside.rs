//! Rows that were set aside, as a file again, and cell by cell.

use std::borrow::Cow;

use super::delimited::cells::Cells;
use super::delimited::lines::RowKind;
use super::delimited::rows::{Cut, Rows};
use super::fields::cell;
use super::reading::{Reading, SetAside};
use super::unpack::{self, archive, gzip};
use super::words::{Delimiter, Encoding, Format};

/// The rows that were set aside with their header: bytes as they stand in the file (unpacked), and behind each row
/// the delimiter and the reason. `bytes` is the file as it was given to [`super::read`].
///
/// Records of ADIF stand one to a line, decoded, with the reason behind the record.
pub fn aside_file(bytes: &[u8], reading: &Reading) -> Vec<u8> {
    if reading.format == Some(Format::Adif) {
        return adif_aside(reading);
    }
    let text = unpacked(bytes, reading);
    let unit = match reading.encoding {
        Some(Encoding::Utf16Le) => Unit::Little,
        Some(Encoding::Utf16Be) => Unit::Big,
        _ => Unit::Byte,
    };
    let lines = lines(&text, unit);
    let parted = match reading.delimiter {
        Some(Delimiter::Char(byte)) => char::from(byte).to_string(),
        _ => "  ".to_owned(),
    };
    let mut file = Vec::new();
    let mut copy = |line: u32, count: u16, more: &str| {
        let first = (line as usize).saturating_sub(1);
        let last = first + usize::from(count.max(1)) - 1;
        let (Some(begin), Some(end)) = (lines.get(first), lines.get(last.min(lines.len().saturating_sub(1)))) else {
            return;
        };
        file.extend_from_slice(text.get(begin.start..end.end).unwrap_or_default());
        unit.write(&parted, &mut file);
        unit.write(more, &mut file);
        match text.get(end.end..end.next) {
            Some(line_end) if !line_end.is_empty() => file.extend_from_slice(line_end),
            _ => unit.write("\n", &mut file),
        }
    };
    if let Some(line) = reading.header_line {
        copy(line, 1, "reason");
    }
    for row in &reading.set_aside {
        copy(row.line, row.lines, row.reason.as_str());
    }
    file
}

fn adif_aside(reading: &Reading) -> Vec<u8> {
    let mut file = String::new();
    for row in &reading.set_aside {
        let raw =
            row.raw.as_deref().map_or_else(|| format!("(record at line {} of the file)", row.line), str::to_owned);
        file += raw.trim();
        file.push(' ');
        file += row.reason.as_str();
        file.push('\n');
    }
    file.into_bytes()
}

/// The text of the reading as bytes, out of what it was packed in.
fn unpacked<'a>(bytes: &'a [u8], reading: &Reading) -> Cow<'a, [u8]> {
    if archive::is_zip(bytes) {
        let members = archive::unpack(bytes, unpack::MOST_BYTES).members;
        let member = members.into_iter().find(|member| reading.name.ends_with(&format!("/{}", member.name)));
        let inner = member.map(|member| member.bytes).unwrap_or_default();
        return if gzip::is_gzip(&inner) {
            Cow::Owned(gzip::unpack(&inner, unpack::MOST_BYTES).bytes)
        } else {
            Cow::Owned(inner)
        };
    }
    if gzip::is_gzip(bytes) {
        return Cow::Owned(gzip::unpack(bytes, unpack::MOST_BYTES).bytes);
    }
    Cow::Borrowed(bytes)
}

/// How many bytes make a letter of the line ends and delimiters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Unit {
    Byte,
    Little,
    Big,
}

impl Unit {
    fn write(self, ascii: &str, file: &mut Vec<u8>) {
        for byte in ascii.bytes() {
            match self {
                Self::Byte => file.push(byte),
                Self::Little => file.extend_from_slice(&[byte, 0]),
                Self::Big => file.extend_from_slice(&[0, byte]),
            }
        }
    }
}

/// Where a physical line stands.
#[derive(Clone, Copy, Debug)]
struct Line {
    start: usize,
    /// Before its line end.
    end: usize,
    /// Behind its line end.
    next: usize,
}

/// All physical lines; CR, LF and CR LF end one.
fn lines(text: &[u8], unit: Unit) -> Vec<Line> {
    const CR: u16 = 13;
    const LF: u16 = 10;
    let width = if unit == Unit::Byte { 1 } else { 2 };
    let letter = |at: usize| -> Option<u16> {
        match unit {
            Unit::Byte => text.get(at).map(|&byte| u16::from(byte)),
            Unit::Little => Some(u16::from_le_bytes([*text.get(at)?, *text.get(at + 1)?])),
            Unit::Big => Some(u16::from_be_bytes([*text.get(at)?, *text.get(at + 1)?])),
        }
    };
    let mut lines = Vec::new();
    let (mut start, mut at) = (0, 0);
    while let Some(found) = letter(at) {
        let next = match found {
            CR if letter(at + width) == Some(LF) => at + 2 * width,
            CR | LF => at + width,
            _ => {
                at += width;
                continue;
            }
        };
        lines.push(Line { start, end: at, next });
        (start, at) = (next, next);
    }
    if start < text.len() {
        lines.push(Line { start, end: text.len(), next: text.len() });
    }
    lines
}

/// The cells of a row that was set aside, as far as its text was kept; aligned rows and records are one cell.
pub fn aside_cells(reading: &Reading, row: &SetAside) -> Option<Vec<String>> {
    let raw = row.raw.as_deref()?;
    let Some(Delimiter::Char(delimiter)) = reading.delimiter else { return Some(vec![raw.to_owned()]) };
    let outer = delimiter == b'|' && raw.trim_start().starts_with('|');
    let cut = Cut::Char { delimiter, outer };
    let mut cells = Cells::default();
    let found = Rows::new(raw.as_bytes(), 0, 1, &cut, reading.columns.len()).next(&mut cells);
    if found.is_none_or(|row| row.kind != RowKind::Cells) {
        return Some(vec![raw.to_owned()]);
    }
    Some(cells.iter(raw.as_bytes()).map(|bytes| cell::text(cell::trim(bytes)).into_owned()).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::import::{self, Wishes};
    use crate::model::TableBuilder;

    const HEAD: &str = "utc;sender;listener;locator;MHz;Größe";
    const GOOD: &str = "2031-01-16 12:00;Q7TST;Q1AA;JO10;14,0971;ä";
    const BAD: &str = "yesterday;Q7TST;Q1AA;\"JO\r\n10\";14,0971;ö";
    const NOBODY: &str = "2031-01-16 12:02;Q7TST;;JO10;14,0971;ü";

    fn saved(bytes: &[u8]) -> Vec<u8> {
        let readings = import::read("a.csv", bytes, &Wishes::default(), &mut TableBuilder::new());
        assert_eq!(readings[0].set_aside.len(), 2, "{:?}", readings[0]);
        aside_file(bytes, &readings[0])
    }

    #[test]
    fn rows_are_the_files_own_bytes_with_one_cell_more() {
        let text = [HEAD, GOOD, BAD, GOOD, NOBODY, ""].join("\r\n");
        let right = format!("{HEAD};reason\r\n{BAD};bad-time\r\n{NOBODY};no-rx\r\n");
        assert_eq!(saved(text.as_bytes()), right.as_bytes());
        let marked = [b"\xEF\xBB\xBF", text.as_bytes()].concat();
        assert_eq!(saved(&marked), [b"\xEF\xBB\xBF", right.as_bytes()].concat());
        let latin = |text: &str| -> Vec<u8> { text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect() };
        assert_eq!(saved(&latin(&text)), latin(&right));
        let wide = |text: &str| -> Vec<u8> { text.encode_utf16().flat_map(u16::to_le_bytes).collect() };
        assert_eq!(saved(&wide(&text)), wide(&right));
        let no_end = [HEAD, GOOD, BAD, NOBODY].join("\n").replace("\r\n", "\n");
        let last = String::from_utf8(saved(no_end.as_bytes())).unwrap();
        assert!(last.ends_with(";no-rx\n"), "{last}");
    }

    #[test]
    fn cells_of_a_row_are_told_apart() {
        let text = [HEAD, GOOD, BAD, ""].join("\r\n");
        let readings = import::read("a.csv", text.as_bytes(), &Wishes::default(), &mut TableBuilder::new());
        let row = &readings[0].set_aside[0];
        assert_eq!((row.column, row.lines), (Some(0), 2));
        assert_eq!(aside_cells(&readings[0], row).unwrap()[0], "yesterday");
        assert_eq!(aside_cells(&readings[0], row).unwrap().len(), 6);
    }
}
