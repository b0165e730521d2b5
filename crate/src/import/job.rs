//! A file read in steps, so that a large one shows how far it is, can be given up, and leaves time for other things.

use std::borrow::Cow;
use std::sync::Arc;

use farheard_scan::stretch::{Back, Errand};

use super::delimited::{Steps, parts};
use super::reading::{Reading, SoFar};
use super::unpack::{self, archive};
use super::wishes::Wishes;
use super::{Text, format_of, read_archive, text_of, unpacked};
use crate::model::TableBuilder;

/// A file being read. [`super::read`] does the same in one go.
///
/// Tables as text, which alone can have millions of rows, are read piece by piece; unpacking, the search for the
/// right reading, archives and ADIF are one step each.
#[derive(Debug)]
pub struct Job {
    name: String,
    bytes: Arc<Vec<u8>>,
    wishes: Wishes,
    stage: Stage,
}

#[derive(Debug)]
enum Stage {
    /// Nothing was done.
    Waiting,
    /// A table is being read.
    Table(Box<Table>),
    /// All was read.
    Done(Vec<Reading>),
}

#[derive(Debug)]
struct Table {
    /// The file's own bytes, or what was unpacked or decoded from them; the text begins at `from`.
    text: Arc<Vec<u8>>,
    from: usize,
    cut: bool,
    steps: Steps,
    reading: Reading,
}

/// Reads the plain rows of a part, of head and text as [`Job::share`] gave them: in another worker, which needs to know
/// nothing else. Nothing if it is no part.
pub fn read_ahead(errand: &[u8]) -> Vec<u8> {
    Errand::read(errand).map(|errand| parts::read_ahead(errand).bytes()).unwrap_or_default()
}

impl Job {
    /// A file to be read, with the corrections that a person made.
    pub fn new(name: &str, bytes: Arc<Vec<u8>>, wishes: Wishes) -> Self {
        Self { name: name.to_owned(), bytes, wishes, stage: Stage::Waiting }
    }

    /// Goes on: the first step makes the plan and adds nothing to the table, each further one reads about so many
    /// bytes. Is the file read?
    pub fn step(&mut self, bytes: usize, table: &mut TableBuilder) -> bool {
        match &mut self.stage {
            Stage::Done(_) => return true,
            Stage::Waiting => self.stage = self.begin(table),
            Stage::Table(now) => {
                let Table { text, from, cut, steps, reading } = &mut **now;
                let text = text.get(*from..).unwrap_or_default();
                if steps.go_on(text, *cut, &self.wishes, table, reading, bytes) {
                    self.stage = Stage::Done(vec![std::mem::take(reading)]);
                }
            }
        }
        matches!(self.stage, Stage::Done(_))
    }

    fn begin(&self, table: &mut TableBuilder) -> Stage {
        if archive::is_zip(&self.bytes) {
            return Stage::Done(read_archive(&self.name, &self.bytes, &self.wishes, unpack::MOST_BYTES, table));
        }
        let mut reading = Reading { name: self.name.clone(), ..Reading::default() };
        let Some((bytes, cut)) = unpacked(&self.bytes, unpack::MOST_BYTES, &mut reading) else {
            return Stage::Done(vec![reading]);
        };
        let bytes = match bytes {
            Cow::Borrowed(_) => Arc::clone(&self.bytes),
            Cow::Owned(bytes) => Arc::new(bytes),
        };
        let (text, from) = match text_of(&bytes, &self.wishes, &mut reading) {
            None => return Stage::Done(vec![reading]),
            // what is not changed is the file without its mark
            Some(Cow::Borrowed(text)) => {
                let from = bytes.len() - text.len();
                (Arc::clone(&bytes), from)
            }
            Some(Cow::Owned(text)) => (Arc::new(text), 0),
        };
        drop(bytes);
        let decoded = text.get(from..).unwrap_or_default();
        let Some(format) = format_of(decoded) else {
            return Stage::Done(vec![reading]);
        };
        if !format.table {
            (format.read)(&Text { bytes: decoded, cut, wishes: &self.wishes }, table, &mut reading);
            return Stage::Done(vec![reading]);
        }
        let steps = Steps::begin(decoded, &self.wishes, &mut reading);
        Stage::Table(Box::new(Table { text, from, cut, steps, reading }))
    }

    /// Cuts a part for another worker out of what is left of a table: where it begins, and what [`read_ahead`] takes, as head
    /// and text of at most `most` bytes; it begins `own` bytes behind the part before. None before the first rows
    /// were read, and where too little is left.
    pub fn share(&mut self, own: usize, most: usize) -> Option<(usize, Vec<u8>, &[u8])> {
        let Stage::Table(now) = &mut self.stage else { return None };
        let Table { text, from, steps, .. } = &mut **now;
        let text = text.get(*from..)?;
        let share = steps.share(text, own, most)?;
        Some((share.place.start, share.head, text.get(share.place)?))
    }

    /// What [`read_ahead`] gave of the part that begins at `from`; nothing if it could not be read.
    pub fn take(&mut self, from: usize, bytes: Vec<u8>) {
        if let Stage::Table(table) = &mut self.stage {
            table.steps.take(from, Back::of_bytes(bytes));
        }
    }

    /// The part before whose return nothing is to be read.
    pub fn waits(&self) -> Option<usize> {
        match &self.stage {
            Stage::Table(table) => table.steps.waits(),
            _ => None,
        }
    }

    /// Bytes read and bytes in all, of the text as unpacked.
    pub fn progress(&self) -> (usize, usize) {
        match &self.stage {
            Stage::Waiting => (0, self.bytes.len()),
            Stage::Table(table) => {
                let all = table.text.len() - table.from;
                (table.steps.at().unwrap_or(all).min(all), all)
            }
            Stage::Done(_) => (self.bytes.len(), self.bytes.len()),
        }
    }

    /// What the table that is being read has brought so far.
    pub fn so_far(&self) -> SoFar {
        match &self.stage {
            Stage::Table(table) => table.steps.so_far(),
            _ => SoFar::default(),
        }
    }

    /// The line of the header, once the plan is made.
    pub(crate) fn header_line(&self) -> Option<u32> {
        match &self.stage {
            Stage::Table(table) => table.reading.header_line,
            _ => None,
        }
    }

    /// The words of the header that was found, as one text to tell files of one kind by.
    /// `None` before the first step, and for files without a header.
    pub fn header(&self) -> Option<String> {
        let reading = match &self.stage {
            Stage::Table(table) => &table.reading,
            Stage::Done(readings) => match readings.as_slice() {
                [one] => one,
                _ => return None,
            },
            Stage::Waiting => return None,
        };
        reading.header_line?;
        Some(reading.columns.iter().map(|column| column.header.as_str()).collect::<Vec<_>>().join("\u{1f}"))
    }

    /// How the file was read, one account per table in it; empty until all is read.
    pub fn into_readings(self) -> Vec<Reading> {
        match self.stage {
            Stage::Done(readings) => readings,
            _ => Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::import;

    fn table(rows: usize) -> Vec<u8> {
        let mut text = String::from("utc,sender,listener,listener locator,MHz,SNR\n");
        for row in 0..rows {
            let (hour, minute) = (row / 30 % 24, row % 30 * 2);
            let (listener, snr) = (row % 9, row % 30);
            let row = format!("2031-01-16 {hour:02}:{minute:02},Q7TST,Q{listener}AA,JO10,14.0971,-{snr}\n");
            text += &row;
        }
        text += "no time,Q7TST,Q1AA,JO10,14.0971,-3\n";
        text.into_bytes()
    }

    #[test]
    fn steps_of_any_size_give_what_one_go_gives() {
        let bytes = Arc::new(table(500));
        let mut whole = TableBuilder::new();
        let right = import::read("a.csv", &bytes, &Wishes::default(), &mut whole);
        let whole = whole.freeze();
        for size in [1, 7, 100, 5_000, usize::MAX] {
            let mut builder = TableBuilder::new();
            let mut job = Job::new("a.csv", Arc::clone(&bytes), Wishes::default());
            let mut steps = 0;
            let mut before = (0, 0);
            while !job.step(size, &mut builder) {
                steps += 1;
                let (done, all) = job.progress();
                assert!(done >= before.0 && done <= all, "progress goes on: {done} of {all}");
                let so_far = job.so_far();
                assert_eq!(so_far.rows, so_far.spots + so_far.duplicates + so_far.set_aside);
                before = (done, all);
            }
            assert!(size > 100 || steps > 100, "{steps} steps of {size} bytes");
            let readings = job.into_readings();
            assert_eq!(
                (readings[0].rows, readings[0].spots, readings[0].duplicates, readings[0].set_aside.clone()),
                (right[0].rows, right[0].spots, right[0].duplicates, right[0].set_aside.clone()),
            );
            assert_eq!(readings[0].notes, right[0].notes);
            assert_eq!(readings[0].columns, right[0].columns);
            let stepped = builder.freeze();
            assert_eq!(stepped.len(), whole.len());
            assert!(
                (0..whole.len()).all(|row| stepped.time(row) == whole.time(row) && stepped.rx(row) == whole.rx(row))
            );
        }
    }

    #[test]
    fn the_first_step_knows_the_header_and_adds_nothing() {
        let mut builder = TableBuilder::new();
        let mut job = Job::new("a.csv", Arc::new(table(10)), Wishes::default());
        assert!(!job.step(1, &mut builder));
        assert!(builder.is_empty());
        assert_eq!(job.header().unwrap(), "utc\u{1f}sender\u{1f}listener\u{1f}listener locator\u{1f}MHz\u{1f}SNR");
    }

    #[test]
    fn what_is_no_table_ends_at_once() {
        let mut builder = TableBuilder::new();
        let mut job = Job::new("a.csv", Arc::new(b"<!doctype html><p>x".to_vec()), Wishes::default());
        assert!(job.step(1, &mut builder));
        assert!(job.into_readings()[0].error.is_some());
    }
}
