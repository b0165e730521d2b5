//! Rows copied from a text to be looked at.

use super::cells::Cells;
use super::lines::RowKind;
use super::plan::Place;
use super::rows::{Cut, Row, Rows};
use super::trial::TRIAL_BYTES;
use crate::import::fields::cell;

/// A row of the sample, with its cells copied.
#[derive(Clone, Debug)]
pub(super) struct SampleRow {
    pub(super) row: Row,
    /// Where the next row begins.
    pub(super) next: Place,
    pub(super) cells: Vec<Vec<u8>>,
}

/// Cells per row, guessed from the delimiters of the first lines: for doubtful quotes before anything is known.
pub(super) fn usual_width(text: &[u8], from: Place, cut: &Cut) -> usize {
    let delimiter = match cut {
        Cut::Char { delimiter, .. } => *delimiter,
        Cut::Gutters(gutters) => return gutters.len(),
        Cut::Runs(_) => return 0,
    };
    let head = &text[from.at..text.len().min(from.at + TRIAL_BYTES)];
    let mut counts: Vec<(usize, usize)> = Vec::new();
    for line in head.split(|&b| b == b'\n' || b == b'\r').filter(|l| !l.is_empty() && !l.contains(&b'"')).take(50) {
        let cells = memchr::memchr_iter(delimiter, line).count() + 1;
        match counts.iter_mut().find(|(length, _)| *length == cells) {
            Some((_, count)) => *count += 1,
            None => counts.push((cells, 1)),
        }
    }
    counts
        .into_iter()
        .filter(|&(cells, _)| cells >= 3)
        .max_by_key(|&(cells, count)| (count, cells))
        .map_or(0, |(cells, _)| cells)
}

/// Longest beginning of a cell that the sample keeps: nothing that matters is longer.
const SAMPLE_CELL: usize = 256;

/// The next rows from a place on, at most so many and from so many bytes.
pub(super) fn sample(text: &[u8], from: Place, cut: &Cut, width: usize, most: usize, bytes: usize) -> Vec<SampleRow> {
    let mut rows = Rows::new(text, from.at, from.line, cut, width);
    let mut cells = Cells::default();
    let mut sampled: Vec<SampleRow> = Vec::new();
    while sampled.len() < most && rows.place() < from.at.saturating_add(bytes) {
        let Some(row) = rows.next(&mut cells) else { break };
        let copied = match row.kind {
            RowKind::Cells => cells.iter(text).map(|c| c[..c.len().min(SAMPLE_CELL)].to_vec()).collect(),
            // a header may be written as a comment
            RowKind::Comment => {
                let line = cell::trim(&text[row.start..row.end]);
                let signs =
                    line.iter().take_while(|b| matches!(b, b'#' | b'/' | b'%' | b'!' | b';' | b' ' | b'\t')).count();
                let body = &line[signs..];
                let mut inner = Rows::new(body, 0, 1, cut, width);
                let mut cells = Cells::default();
                match inner.next(&mut cells) {
                    Some(_) => cells.iter(body).map(|c| c[..c.len().min(SAMPLE_CELL)].to_vec()).collect(),
                    None => Vec::new(),
                }
            }
            RowKind::Blank | RowKind::Rule => Vec::new(),
        };
        sampled.push(SampleRow { row, next: Place { at: rows.place(), line: rows.line() }, cells: copied });
    }
    sampled
}
