//! Physical lines: where they end, how many there are, and what kind a line is.

use crate::import::fields::cell::trim;

/// What a physical line (or several, if quoted) is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum RowKind {
    /// A row of cells.
    Cells,
    /// Only blanks and delimiters.
    Blank,
    /// Begins with a comment sign.
    Comment,
    /// Only signs that draw a line.
    Rule,
}

/// Length of the line end at a place, or 0.
pub(super) fn line_end(text: &[u8], at: usize) -> usize {
    match text.get(at..) {
        Some([b'\r', b'\n', ..]) => 2,
        Some([b'\r' | b'\n', ..]) => 1,
        _ => 0,
    }
}

/// Where the line that holds `at` ends: the place of its line end or of the end of the text.
pub(crate) fn end_of_line(text: &[u8], at: usize) -> usize {
    memchr::memchr2(b'\n', b'\r', &text[at..]).map_or(text.len(), |n| at + n)
}

/// How many line ends there are.
pub(crate) fn count_lines(text: &[u8]) -> u32 {
    let lone = memchr::memchr_iter(b'\r', text).filter(|&at| text.get(at + 1) != Some(&b'\n')).count();
    u32::try_from(memchr::memchr_iter(b'\n', text).count() + lone).unwrap_or(u32::MAX)
}

/// What a line is that begins with a sign or blank.
pub(super) fn kind_of_line(line: &[u8], delimiter: u8) -> RowKind {
    if is_comment(line, delimiter) {
        return RowKind::Comment;
    }
    let mut signs = 0;
    let mut blank = true;
    for c in String::from_utf8_lossy(&line[..line.len().min(4096)]).chars() {
        match c {
            '-' | '=' | '+' | '_' | '~' | '\u{2500}'..='\u{257F}' | '\u{2010}'..='\u{2015}' => {
                signs += 1;
                blank = false;
            }
            '|' | ':' | '*' if delimiter != b':' && delimiter != b'*' => blank &= c == '|' && delimiter == b'|',
            c if c == char::from(delimiter) || c.is_whitespace() => {}
            '\u{200B}'..='\u{200F}' | '\u{FEFF}' | '"' if c != '"' || line.len() < 3 => {}
            _ => return RowKind::Cells,
        }
    }
    if blank {
        RowKind::Blank
    } else if signs >= 3 {
        RowKind::Rule
    } else {
        RowKind::Cells
    }
}

/// Does a line begin with a comment sign? A cell full of `#` or a spreadsheet's error sign is none.
fn is_comment(line: &[u8], delimiter: u8) -> bool {
    let line = trim(line);
    let starts = |sign: &[u8]| line.starts_with(sign) && sign[0] != delimiter;
    if starts(b"#") {
        let cell = line.split(|&b| b == delimiter).next().unwrap_or_default();
        let cell = trim(cell);
        let hashes = cell.iter().all(|&b| b == b'#');
        let error = matches!(cell, b"#N/A" | b"#NV") || cell.ends_with(b"!") || cell.ends_with(b"?");
        return !(cell.len() < line.len() && (hashes || error && !cell.contains(&b' ')));
    }
    starts(b"//") || starts(b"%") || starts(b"!") || starts(b"-- ") || starts(b";") || starts(b"REM ")
}

/// Cuts a line at runs of `least` blanks or more (tabs count as such a run).
pub(super) fn split_runs(text: &[u8], start: usize, end: usize, least: usize, mut push: impl FnMut(usize, usize)) {
    let is_blank = |at: usize| matches!(text[at], b' ' | b'\t');
    let mut at = start;
    while at < end && is_blank(at) {
        at += 1;
    }
    let mut from = at;
    while at < end {
        if is_blank(at) {
            let run = (at..end).take_while(|&i| is_blank(i)).count();
            if run >= least || text[at..at + run].contains(&b'\t') || at + run == end {
                push(from, at);
                from = at + run;
            }
            at += run;
        } else {
            at += 1;
        }
    }
    if from < end {
        push(from, end);
    }
}
