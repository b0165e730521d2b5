//! The ways to cut rows that a text could mean.

use super::aligned::Gutters;
use super::lines::end_of_line;
use super::plan::Place;
use super::rows::Cut;
use super::trial::{TRIAL_BYTES, TRIAL_ROWS};
use crate::import::fields::{call, cell};
use crate::import::wishes::Wishes;
use crate::import::words::Delimiter;

/// A delimiter that stands in fewer than one of so many lines is not tried.
const MOST_LINES_A_ROW: usize = 40;

/// The ways to cut rows that the text could mean, the likelier first.
pub(super) fn cuts(text: &[u8], from: Place, sep: Option<u8>, wishes: &Wishes) -> Vec<(Cut, Delimiter)> {
    let head = &text[from.at..text.len().min(from.at + TRIAL_BYTES)];
    let lines: Vec<&[u8]> =
        head.split(|&b| b == b'\n' || b == b'\r').filter(|line| !cell::is_blank(line)).take(TRIAL_ROWS).collect();
    let mut cuts = Vec::new();
    let mut by_char = |delimiter: u8| {
        let bars = lines
            .iter()
            .filter(|l| cell::trim(l).starts_with(&[delimiter]) && cell::trim(l).ends_with(&[delimiter]))
            .count();
        let rows = lines.iter().filter(|l| l.contains(&delimiter)).count();
        let outer = delimiter == b'|' && bars > 0 && bars * 10 >= rows * 9;
        cuts.push((Cut::Char { delimiter, outer }, Delimiter::Char(delimiter)));
    };
    match (wishes.delimiter, sep) {
        (Some(Delimiter::Char(delimiter)), _) | (None, Some(delimiter)) => {
            by_char(delimiter);
            return cuts;
        }
        (Some(Delimiter::Aligned), _) => {}
        (None, None) => {
            for delimiter in [b',', b';', b'\t', b'|', b'^', b'~'] {
                let with = lines.iter().filter(|l| memchr::memchr_iter(delimiter, l).count() >= 2).count();
                // in a quoted cell of many lines none of these need have it
                if with * MOST_LINES_A_ROW >= lines.len().max(1) {
                    by_char(delimiter);
                }
            }
        }
    }
    let texts: Vec<std::borrow::Cow<'_, str>> = lines.iter().map(|line| cell::text(line)).collect();
    let table = aligned_lines(&texts);
    for least in [2, 1] {
        if let Some(gutters) = Gutters::find(&table, least) {
            cuts.push((Cut::Gutters(gutters), Delimiter::Aligned));
        }
    }
    for least in [2, 1] {
        cuts.push((Cut::Runs(least), Delimiter::Aligned));
    }
    cuts
}

/// The lines of an aligned table: those with a call in them, and the line above the first of these.
fn aligned_lines<'a>(lines: &'a [std::borrow::Cow<'_, str>]) -> Vec<&'a str> {
    let is_row = |line: &str| {
        let calls = line.split_whitespace().filter(|word| call::is_call(word.to_ascii_uppercase().as_bytes())).count();
        calls >= 2 || calls == 1 && line.split_whitespace().count() >= 4
    };
    let Some(first) = lines.iter().position(|line| is_row(line)) else { return Vec::new() };
    let header = lines[..first].iter().rev().find(|line| line.contains(char::is_alphabetic));
    header.into_iter().chain(lines[first..].iter().filter(|line| is_row(line))).map(|line| &**line).collect()
}

/// What a `sep=` line names, and where the text goes on.
pub(crate) fn sep_line(text: &[u8]) -> Option<(u8, Place)> {
    let end = end_of_line(text, 0);
    let line = cell::trim(&text[..end.min(32)]);
    let line = line.strip_prefix(b"\"").and_then(|l| l.strip_suffix(b"\"")).unwrap_or(line);
    let (word, sign) = line.split_at_checked(4)?;
    if !word.eq_ignore_ascii_case(b"sep=") {
        return None;
    }
    // a tab at the end is trimmed away as a blank
    let delimiter = match sign {
        [] | b"\\t" => b'\t',
        [byte] if byte.is_ascii_punctuation() => *byte,
        _ => return None,
    };
    let length = if text[end..].starts_with(b"\r\n") { 2 } else { usize::from(end < text.len()) };
    Some((delimiter, Place { at: end + length, line: 2 }))
}
