//! Archives: files too large to be held, cut down while they stream in to the rows that are wanted.
//!
//! What comes out is a file of our own form with those rows, to be read like any other. Lines that cannot be of a
//! wanted station are passed over without being cut into cells; the others are read block by block, each behind the
//! beginning of the archive, so that all are read as the beginning was: a few rows alone might be taken for
//! something else. So memory holds a block and what is kept, however large the archive is.

use std::collections::BTreeSet;
use std::sync::Arc;

use farheard_scan::sift::{Needles, Sifted, line_end};

use super::delimited::is_header_otherwise;
use super::delimited::lines::count_lines;
use super::job::Job;
use super::problem::{error, plain_error};
use super::reading::FileError;
use super::unpack::archive;
use super::unpack::gzip::is_gzip;
use super::unpack::stream::Stream;
use super::wishes::Wishes;
use super::words::{Encoding, ErrorKind};
use super::{read, text};
use crate::model::{Band, SpotTable, TableBuilder};
use crate::time::UtcTime;

/// Which rows stay: those that meet all wishes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    /// Calls, in capitals, one of which stands at either end; empty for any.
    pub calls: Vec<String>,
    /// Bands; empty for any.
    pub bands: Vec<Band>,
    /// Not before.
    pub from: Option<UtcTime>,
    /// Before.
    pub to: Option<UtcTime>,
}

impl Wanted {
    /// Is every row wanted?
    pub fn is_all(&self) -> bool {
        *self == Self::default()
    }

    /// The rows of a table that are wanted.
    fn rows(&self, table: &SpotTable) -> impl Iterator<Item = usize> {
        let stations = table.stations();
        let calls = self.calls.iter().filter_map(|call| stations.find_call(call));
        let own: BTreeSet<_> = calls.collect();
        (0..table.len()).filter(move |&row| {
            let time = table.time(row);
            let is_own = |station| own.contains(&stations.call_of(station));
            (self.calls.is_empty() || is_own(table.tx(row)) || is_own(table.rx(row)))
                && (self.bands.is_empty() || self.bands.contains(&table.band(row)))
                && self.from.is_none_or(|from| time >= from)
                && self.to.is_none_or(|to| time < to)
        })
    }
}

/// Is a file of so many bytes, packed with gzip or not, too large to be held? Text is several times as long unpacked.
pub fn is_archive(bytes: u64, packed: bool) -> bool {
    bytes > if packed { 100_000_000 } else { 1_000_000_000 }
}

/// So much of the text tells how it is to be read.
const BEGINNING: usize = 2 << 20;
/// Rows from the beginning that each block is read behind.
const CONTEXT: usize = 1 << 20;
/// So many bytes of lines are read at once.
const BLOCK: usize = 8 << 20;
/// A line, or a row with line breaks in quotes, is no longer than this.
const LONGEST_ROW: usize = 1 << 20;
/// At most so much may be kept, in bytes.
const MOST_KEPT: usize = 200_000_000;

/// An archive coming in.
#[derive(Debug)]
pub struct Sieve {
    wanted: Wanted,
    needles: Needles,
    /// Did anything come in?
    began: bool,
    /// What unpacks it, if it is packed.
    packed: Option<Box<Stream>>,
    /// Text that came in and was not looked through yet.
    text: Vec<u8>,
    /// How long a context is.
    context_bytes: usize,
    /// The header in force, with what stands before it, and rows behind it; nothing before the beginning came in.
    context: Option<Context>,
    /// Lines that may be wanted, to be read together.
    block: Vec<u8>,
    /// Is the last of them part of a row that goes on?
    open_quote: bool,
    kept: Vec<u8>,
    lines: u64,
    rows_kept: u64,
    unreadable: u64,
    fault: Option<FileError>,
}

/// What a block is read behind.
#[derive(Debug)]
struct Context {
    text: Vec<u8>,
    /// How much of it is header, or stands before it.
    head: usize,
    /// Are its rows still to be looked at?
    fresh: bool,
}

/// What is left of an archive.
#[derive(Debug)]
pub struct Sieved {
    /// A file with the rows that stayed.
    pub bytes: Vec<u8>,
    /// Lines of the archive.
    pub lines: u64,
    /// Rows that stayed.
    pub kept: u64,
    /// Rows that could not be read; where stations are wanted, those that name one.
    pub unreadable: u64,
    /// Did the packed archive end too early, or break?
    pub cut: bool,
    /// Was a check sum wrong?
    pub bad_checksum: bool,
}

impl Sieve {
    /// Before the first byte.
    pub fn new(wanted: Wanted) -> Self {
        Self {
            needles: Needles::new(wanted.calls.iter().cloned()),
            wanted,
            began: false,
            packed: None,
            text: Vec::new(),
            context_bytes: CONTEXT,
            context: None,
            block: Vec::new(),
            open_quote: false,
            kept: Vec::new(),
            lines: 0,
            rows_kept: 0,
            unreadable: 0,
            fault: None,
        }
    }

    /// Takes the next piece.
    ///
    /// # Errors
    /// If it is no table of spots that can be cut down, or too much would stay; nothing more is taken then.
    pub fn push(&mut self, piece: &[u8]) -> Result<(), FileError> {
        // packed pieces grow when they are unpacked
        for part in piece.chunks(1 << 20) {
            if !std::mem::replace(&mut self.began, true) {
                self.packed = is_gzip(part).then(|| Box::new(Stream::new()));
            }
            match &mut self.packed {
                Some(stream) => stream.push(part, &mut self.text),
                None => self.text.extend_from_slice(part),
            }
            if self.context.is_some() || self.text.len() >= BEGINNING {
                self.go_on(false);
            }
            if let Some(fault) = &self.fault {
                return Err(fault.clone());
            }
        }
        Ok(())
    }

    /// There are no more pieces.
    ///
    /// # Errors
    /// As [`Sieve::push`] has them.
    pub fn finish(mut self) -> Result<Sieved, FileError> {
        let mut packed = self.packed.take();
        if let Some(stream) = &mut packed {
            stream.end();
        }
        self.go_on(true);
        self.settle();
        if let Some(fault) = self.fault {
            return Err(fault);
        }
        let (cut, bad_checksum) = packed.map_or((false, false), |stream| (stream.cut, stream.bad_checksum));
        let Self { kept: bytes, lines, rows_kept: kept, unreadable, .. } = self;
        Ok(Sieved { bytes, lines, kept, unreadable, cut, bad_checksum })
    }

    /// Looks through the lines that came in whole; at the end of the file through the last one too.
    fn go_on(&mut self, end: bool) {
        let text = std::mem::take(&mut self.text);
        let mut at = 0;
        if self.context.is_none() {
            match head_of(&text) {
                Ok(head) => at = self.begin_table(&text, head),
                Err(fault) => {
                    self.fault = Some(fault);
                    return;
                }
            }
        }
        while self.fault.is_none() && at < text.len() {
            let next = match line_end(&text, at) {
                Some(next) => next,
                None if end || text.len() - at > LONGEST_ROW => text.len(),
                None => break,
            };
            self.line(&text[at..next]);
            at = next;
        }
        self.text = text.get(at..).unwrap_or_default().to_vec();
    }

    #[inline]
    fn line(&mut self, line: &[u8]) {
        self.lines += 1;
        let sifted = self.needles.sift(line);
        if sifted == Sifted::Wordy && !self.open_quote && is_header_otherwise(trimmed(line)) {
            self.new_head(line);
            return;
        }
        let wanted = match sifted {
            _ if self.open_quote || self.wanted.calls.is_empty() => true,
            Sifted::Other => false,
            Sifted::Holding => true,
            Sifted::Wordy => self.needles.are_in(line),
        };
        if !wanted {
            return;
        }
        // a row goes on behind a line break in quotes
        let quotes = memchr::memchr_iter(b'"', line).count();
        self.open_quote ^= quotes % 2 == 1;
        self.block.extend_from_slice(line);
        if !line.ends_with(b"\n") {
            self.block.push(b'\n');
        }
        if self.block.len() >= BLOCK && !self.open_quote || self.block.len() >= BLOCK + LONGEST_ROW {
            self.open_quote = false;
            self.settle();
        }
    }

    /// Takes over a header and the rows behind it; gives where they end.
    fn begin_table(&mut self, text: &[u8], head: usize) -> usize {
        let most = &text[..text.len().min(head + self.context_bytes)];
        let end = memchr::memrchr(b'\n', most).map_or(most.len(), |at| at + 1).max(head);
        self.lines += u64::from(count_lines(&text[..end])) + u64::from(!text[..end].ends_with(b"\n") && end > 0);
        self.context = Some(Context { text: text[..end].to_vec(), head, fresh: true });
        end
    }

    /// Another header begins a table of its own; the same one again is passed over.
    fn new_head(&mut self, line: &[u8]) {
        let same = |context: &Context| trimmed(&context.text[..context.head]).ends_with(trimmed(line));
        if self.context.as_ref().is_some_and(same) {
            return;
        }
        self.settle();
        let text = [trimmed(line), b"\n"].concat();
        self.context = Some(Context { head: text.len(), text, fresh: true });
    }

    /// Reads the lines of the block, and keeps the rows that are wanted.
    fn settle(&mut self) {
        let block = std::mem::take(&mut self.block);
        let Some(context) = &mut self.context else { return };
        let fresh = std::mem::take(&mut context.fresh);
        if block.is_empty() && !fresh || self.fault.is_some() {
            return;
        }
        let looked_at = count_lines(&context.text[..if fresh { context.head } else { context.text.len() }]);
        let mut table = TableBuilder::new();
        let bytes = [&context.text[..], &block].concat();
        let readings = read("", &bytes, &Wishes::default(), &mut table);
        let table = table.freeze();
        for row in self.wanted.rows(&table).filter(|&row| table.line(row) > looked_at) {
            self.rows_kept += 1;
            write_row(&mut self.kept, &table, row);
        }
        for aside in readings.iter().flat_map(|reading| &reading.set_aside).filter(|aside| aside.line > looked_at) {
            let named = |raw: &str| self.needles.are_in(raw.as_bytes());
            self.unreadable += u64::from(self.wanted.calls.is_empty() || aside.raw.as_deref().is_some_and(named));
        }
        // a table without rows at the beginning has a context of a header alone: the first block serves
        if context.text.len() == context.head {
            let end = line_end(&block, block.len().min(self.context_bytes)).unwrap_or(block.len());
            context.text.extend_from_slice(&block[..end]);
        }
        if self.kept.len() > MOST_KEPT {
            let text = "More than 200 MB of the archive are of what was asked for. Ask for fewer stations or bands, or a \
                        shorter time.";
            self.fault = Some(error(ErrorKind::TooLarge, text));
        }
    }
}

/// The head of what is kept.
const HEAD: &str =
    "time UTC,sender,sender locator,listener,listener locator,frequency Hz,band,SNR dB,drift Hz/min,power dBm\n";

/// A row as our own reader gives it back: the shortest digits that are the number again, nothing for none.
fn write_row(out: &mut Vec<u8>, table: &SpotTable, row: usize) {
    let stations = table.stations();
    let call = |station| stations.call(stations.call_of(station));
    let locator = |station| stations.locator(station).map_or_else(String::new, |locator| locator.to_string());
    let number = |value: Option<f64>| value.map_or_else(String::new, |value| (value + 0.0).to_string());
    #[expect(clippy::cast_possible_truncation, reason = "the table keeps it in that precision")]
    let single = |value: Option<f64>| value.map_or_else(String::new, |value| (value as f32 + 0.0).to_string());
    let (tx, rx, band) = (table.tx(row), table.rx(row), table.band(row));
    if out.is_empty() {
        out.extend_from_slice(HEAD.as_bytes());
    }
    let cells: [&str; 10] = [
        &table.time(row).iso(),
        call(tx),
        &locator(tx),
        call(rx),
        &locator(rx),
        &number(table.freq_hz(row)),
        if band == Band::UNKNOWN { "" } else { band.name() },
        &single(table.snr_db(row)),
        &single(table.drift_hz_min(row)),
        &number(table.power_dbm(row)),
    ];
    for (place, cell) in cells.into_iter().enumerate() {
        out.extend_from_slice(if place > 0 { b"," } else { b"" });
        out.extend_from_slice(cell.as_bytes());
    }
    out.push(b'\n');
}

/// A line without its line end.
fn trimmed(line: &[u8]) -> &[u8] {
    let line = line.strip_suffix(b"\n").unwrap_or(line);
    line.strip_suffix(b"\r").unwrap_or(line)
}

/// Can an archive that begins like this, packed or not, be cut down?
///
/// # Errors
/// Why not.
pub fn check(beginning: &[u8]) -> Result<(), FileError> {
    let mut text = Vec::new();
    if is_gzip(beginning) {
        Stream::new().push(beginning, &mut text);
    } else {
        text.extend_from_slice(beginning);
    }
    head_of(&text).map(drop)
}

/// Where the header of a table ends, from its beginning; 0 for a table without one.
fn head_of(text: &[u8]) -> Result<usize, FileError> {
    let end = memchr::memrchr(b'\n', &text[..text.len().min(BEGINNING)]).map_or(text.len(), |at| at + 1);
    let beginning = &text[..end];
    let refused = |advice: &str| Err(error(ErrorKind::TooLarge, advice));
    if archive::is_zip(beginning) {
        return refused(
            "The zip archive is too large to be unpacked here. Unpack it, and open the file that is in it.",
        );
    }
    if text.is_empty() {
        return Err(plain_error(ErrorKind::Empty));
    }
    if text.len() >= BEGINNING && !beginning.ends_with(b"\n") {
        return refused("The archive has no line end in its first 2 MB, so it cannot be cut down line by line.");
    }
    if matches!(text::encoding_of(beginning), Encoding::Utf16Le | Encoding::Utf16Be) {
        return refused(
            "The archive is in letters of 16 bits (UTF-16), which can only be read whole. Save it as UTF-8.",
        );
    }
    let mut job = Job::new("", Arc::new(beginning.to_vec()), Wishes::default());
    let mut table = TableBuilder::new();
    // the second step shows whether there was a plan
    if job.step(1, &mut table) || job.step(1, &mut table) && table.is_empty() {
        let fault = job.into_readings().into_iter().find_map(|reading| reading.error);
        return Err(fault.unwrap_or_else(|| plain_error(ErrorKind::TooLarge)));
    }
    let lines = job.header_line().unwrap_or(0) as usize;
    let ends = memchr::memchr_iter(b'\n', beginning);
    Ok(if lines == 0 { 0 } else { ends.take(lines).last().map_or(0, |at| at + 1) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::import::made::{gzipped, random, table_with_odd_cells};
    use crate::model::SpotTable;

    fn sieved(bytes: &[u8], wanted: &Wanted, size: usize) -> Sieved {
        // most rows of these small archives are to stand behind the context
        let mut sieve = Sieve { context_bytes: 8000, ..Sieve::new(wanted.clone()) };
        for piece in bytes.chunks(size) {
            sieve.push(piece).unwrap();
        }
        sieve.finish().unwrap()
    }

    /// Rows as they are, without their lines.
    fn rows(table: &SpotTable, keep: impl Fn(usize) -> bool) -> Vec<String> {
        let station =
            |id| (table.stations().call(table.stations().call_of(id)).to_owned(), table.stations().locator(id));
        let row = |row: usize| {
            format!(
                "{:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?}",
                table.time(row),
                station(table.tx(row)),
                station(table.rx(row)),
                table.freq_hz(row),
                table.band(row),
                table.snr_db(row),
                table.drift_hz_min(row),
                table.power_dbm(row)
            )
        };
        (0..table.len()).filter(|&row| keep(row)).map(row).collect()
    }

    fn table_of(bytes: &[u8]) -> SpotTable {
        let mut table = TableBuilder::new();
        read("a.csv", bytes, &Wishes::default(), &mut table);
        table.freeze()
    }

    /// What is kept and read is what is read and kept.
    #[test]
    fn sieving_and_reading_is_reading_and_choosing() {
        let mut next = random();
        for round in 0..24 {
            let text = table_with_odd_cells(&mut next, round);
            let whole = table_of(text.as_bytes());
            let minute = |minute| UtcTime::from_calendar(2031, 1, 1, 0, minute, 0);
            for wanted in [
                Wanted { calls: vec!["Q3AB".to_owned()], ..Wanted::default() },
                Wanted { calls: vec!["Q1AA".to_owned(), "Q8AE".to_owned()], from: minute(10), ..Wanted::default() },
                Wanted { bands: Band::from_name("40m").into_iter().collect(), to: minute(40), ..Wanted::default() },
            ] {
                let chosen: BTreeSet<usize> = wanted.rows(&whole).collect();
                let right = rows(&whole, |row| chosen.contains(&row));
                for size in [usize::MAX, 77] {
                    let sieved = sieved(text.as_bytes(), &wanted, size.min(text.len()));
                    let table = table_of(&sieved.bytes);
                    assert_eq!(rows(&table, |_| true), right, "{wanted:?} of {text}");
                }
            }
        }
    }

    #[test]
    fn headers_of_other_tables_come_along_and_packed_archives_are_unpacked() {
        let text = "time,sender,listener,MHz,SNR\n2031-01-16 12:00,Q7TST,Q1AA,14.0971,-20\n\
                    2031-01-16 12:00,Q9ZZ,Q1AA,14.0971,-20\ntime,sender,listener,MHz,SNR\n\
                    2031-01-16 12:02,q7tst,Q1AB,14.0971,-21\n\
                    listener,SNR,sender,time,MHz,listener locator\nQ1AC,-22,Q7TST,2031-01-16 12:04,14.0971,JO10\n\
                    Q1AC,-22,Q7TSTA,2031-01-16 12:04,14.0971,JO10\nQ1AD,-9,Q7TST,no time,14.0971,JO10";
        let wanted = Wanted { calls: vec!["Q7TST".to_owned()], ..Wanted::default() };
        for bytes in [text.as_bytes().to_vec(), gzipped(text.as_bytes())] {
            let sieved = sieved(&bytes, &wanted, 11);
            let kept = String::from_utf8(sieved.bytes.clone()).unwrap();
            assert_eq!(kept.lines().count(), 4, "a header and three spots: {kept}");
            assert_eq!((sieved.lines, sieved.kept, sieved.unreadable, sieved.cut), (9, 3, 1, false));
            assert_eq!(table_of(&sieved.bytes).len(), 3);
        }
    }

    #[test]
    fn what_cannot_be_cut_down_is_refused_with_a_reason() {
        let refused = |bytes: &[u8]| {
            let mut sieve = Sieve::new(Wanted::default());
            let pushed = sieve.push(bytes);
            pushed.and_then(|()| sieve.finish().map(drop)).unwrap_err()
        };
        assert!(refused(b"PK\x03\x04abc").text.contains("zip"));
        assert!(refused(&vec![b'x'; 3 << 20]).text.contains("no line end"));
        assert!(refused(b"t\0i\0m\0e\0,\0a\0,\0b\0c\0d\0e\0f\0\n\0").text.contains("UTF-16"));
        assert_eq!(refused(b"name,price\na,1\nb,2\n").kind, ErrorKind::NoRoles);
        assert_eq!(refused(b"").kind, ErrorKind::Empty);
    }
}
