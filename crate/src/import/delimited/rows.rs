//! Text to rows of cells.
//!
//! Quoting follows RFC 4180, and like the csv crate this never fails. Where we leave the RFC, and why:
//!
//! - CR, LF and CR LF all end a line, also mixed in one file; physical lines are counted inside quotes too.
//! - A quote opens a quoted cell only at the beginning of the cell (blanks before it allowed): an inch mark inside is text.
//! - A quote that is never closed, or whose closing would swallow whole rows, is text, and counted.
//! - A lone quote inside a quoted cell is text as long as a closing one follows; if the row then has not the expected
//!   number of cells, its quotes are taken as text instead.
//! - Lines that begin with a comment sign, rule lines and blank lines are told apart from rows.

use farheard_scan::sixteen::{SIXTEEN, Sixteen};

use super::aligned::Gutters;
use super::cells::Cells;
use super::lines::{RowKind, count_lines, end_of_line, kind_of_line, line_end, split_runs};

/// How rows are cut into cells.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Cut {
    /// At a character, with quoting.
    Char {
        delimiter: u8,
        /// Do bars stand at both ends of the rows, so that the outermost cells are none?
        outer: bool,
    },
    /// At places that are blank in all rows.
    Gutters(Gutters),
    /// At runs of so many blanks or more.
    Runs(usize),
}

/// Where a row stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Row {
    pub(crate) kind: RowKind,
    /// Physical line on which it begins, from 1.
    pub(crate) line: u32,
    /// Its bytes, without the line end.
    pub(crate) start: usize,
    pub(crate) end: usize,
    /// Is there a line end behind it?
    pub(crate) ended: bool,
    /// Is a quote in it that was taken as text?
    pub(crate) bad_quote: bool,
}

/// Reads rows one after the other.
#[derive(Debug)]
pub(crate) struct Rows<'a> {
    text: &'a [u8],
    at: usize,
    line: u32,
    cut: &'a Cut,
    /// Expected cells per row, for doubtful quotes; 0 if not known.
    width: usize,
    /// Behind this place there is no quote any more, as far as that was found out.
    last_quote: usize,
    /// A quote was looked for that closes one from here on: there is none before the second place.
    unclosed: (usize, usize),
}

impl<'a> Rows<'a> {
    /// Rows from a place on, which is the beginning of physical line `line`.
    pub(crate) fn new(text: &'a [u8], at: usize, line: u32, cut: &'a Cut, width: usize) -> Self {
        Self { text, at, line, cut, width, last_quote: usize::MAX, unclosed: (usize::MAX, 0) }
    }

    /// Where the next row begins.
    pub(crate) fn place(&self) -> usize {
        self.at
    }

    /// Goes to another place, which is the beginning of physical line `line`.
    pub(crate) fn go_to(&mut self, at: usize, line: u32) {
        (self.at, self.line) = (at, line);
    }

    /// The physical line on which the next row begins.
    pub(crate) fn line(&self) -> u32 {
        self.line
    }

    /// The next row; its cells are left in `cells`.
    #[inline]
    pub(crate) fn next(&mut self, cells: &mut Cells) -> Option<Row> {
        if self.at >= self.text.len() {
            return None;
        }
        cells.clear();
        let (start, line) = (self.at, self.line);
        let mut row = Row { kind: RowKind::Cells, line, start, end: start, ended: false, bad_quote: false };
        // nearly all rows begin with a letter or digit and are rows of cells
        let first = self.text[start];
        let kind = if first.is_ascii_alphanumeric() { RowKind::Cells } else { self.kind(start) };
        row.kind = kind;
        match (kind, self.cut) {
            (RowKind::Cells, &Cut::Char { delimiter, outer }) => {
                if !self.split_plain(delimiter, cells) {
                    row.bad_quote = self.split(delimiter, cells);
                }
                if outer {
                    cells.drop_outer(self.text);
                }
            }
            (RowKind::Cells, cut) => {
                let end = end_of_line(self.text, start);
                match cut {
                    Cut::Gutters(gutters) => gutters.split(self.text, start, end, |from, to| cells.push(from, to)),
                    Cut::Runs(least) => split_runs(self.text, start, end, *least, |from, to| cells.push(from, to)),
                    Cut::Char { .. } => {}
                }
                self.at = end;
            }
            _ => self.at = end_of_line(self.text, start),
        }
        row.end = self.at;
        let length = line_end(self.text, self.at);
        row.ended = length > 0;
        self.at += length;
        self.line = self.line.saturating_add(u32::from(length > 0));
        Some(row)
    }

    fn kind(&self, start: usize) -> RowKind {
        let delimiter = match self.cut {
            Cut::Char { delimiter, .. } => *delimiter,
            _ => b' ',
        };
        kind_of_line(&self.text[start..end_of_line(self.text, start)], delimiter)
    }

    /// Splits the row at `self.at` if no cell of it begins with a quote, sixteen bytes at a time; otherwise nothing is done.
    #[inline]
    fn split_plain(&mut self, delimiter: u8, cells: &mut Cells) -> bool {
        let text = self.text;
        let (mut from, mut at) = (self.at, self.at);
        while let Some(bytes) = Sixteen::at(text, at) {
            let mut found = bytes.end_cells(delimiter);
            while found != 0 {
                let place = at + found.trailing_zeros() as usize;
                found &= found - 1;
                let byte = text[place];
                if byte == delimiter {
                    cells.push(from, place);
                    from = place + 1;
                } else if matches!(byte, b'\n' | b'\r') {
                    cells.push(from, place);
                    self.at = place;
                    return true;
                } else if byte == b'"' && text[from..place].iter().all(|&b| b == b' ') {
                    cells.clear();
                    return false;
                }
            }
            at += SIXTEEN;
        }
        for place in at..text.len() {
            let byte = text[place];
            if byte == delimiter {
                cells.push(from, place);
                from = place + 1;
            } else if matches!(byte, b'\n' | b'\r') {
                cells.push(from, place);
                self.at = place;
                return true;
            } else if byte == b'"' && text[from..place].iter().all(|&b| b == b' ') {
                cells.clear();
                return false;
            }
        }
        cells.push(from, text.len());
        self.at = text.len();
        true
    }

    /// Splits the row at `self.at`, moves there where it ends, and tells whether a quote was taken as text.
    fn split(&mut self, delimiter: u8, cells: &mut Cells) -> bool {
        let (start, line) = (self.at, self.line);
        let quoting = self.split_cells(delimiter, cells, true);
        if !(quoting.irregular && self.width > 0 && cells.len() != self.width) {
            return quoting.as_text;
        }
        // the lone quotes may be text: is the row then as wide as it should be?
        let (end, end_line, total) = (self.at, self.line, cells.len());
        (self.at, self.line) = (start, line);
        cells.clear();
        self.split_cells(delimiter, cells, false);
        if cells.len() == self.width {
            return true;
        }
        if cells.len() > total && self.at == end {
            // neither fits: keep the reading with quotes
            (self.at, self.line) = (start, line);
            cells.clear();
            self.split_cells(delimiter, cells, true);
            (self.at, self.line) = (end, end_line);
        }
        true
    }

    /// `tolerant` quotes may hold lone quotes; otherwise such a quote is text.
    fn split_cells(&mut self, delimiter: u8, cells: &mut Cells, tolerant: bool) -> Quoting {
        let text = self.text;
        let mut quoting = Quoting::default();
        let mut at = self.at;
        loop {
            let from = at;
            if self.last_quote >= at {
                let mut quote = at;
                while text.get(quote) == Some(&b' ') && delimiter != b' ' {
                    quote += 1;
                }
                if text.get(quote) == Some(&b'"') {
                    match self.quoted(quote, delimiter, tolerant) {
                        Some(quoted) => {
                            let raw = &text[quote + 1..quoted.close];
                            if quoted.escaped {
                                cells.push_unescaped(raw);
                            } else {
                                cells.push(quote + 1, quoted.close);
                            }
                            quoting.irregular |= quoted.irregular;
                            self.line = self.line.saturating_add(if quoted.broken { count_lines(raw) } else { 0 });
                            at = quoted.end;
                            if text.get(at) == Some(&delimiter) {
                                at += 1;
                                continue;
                            }
                            break;
                        }
                        None => quoting.as_text = true,
                    }
                }
            }
            let end = memchr::memchr3(delimiter, b'\n', b'\r', &text[from..]).map_or(text.len(), |n| from + n);
            cells.push(from, end);
            at = end;
            if text.get(end) == Some(&delimiter) {
                at += 1;
            } else {
                break;
            }
        }
        self.at = at;
        quoting
    }

    /// The quoted cell whose quote stands at `quote`, or `None` if that quote is text.
    fn quoted(&mut self, quote: usize, delimiter: u8, tolerant: bool) -> Option<Quoted> {
        let text = self.text;
        let mut found = Quoted { close: 0, end: 0, escaped: false, irregular: false, broken: false };
        // where counting of delimiters behind a line break has come to
        let mut checked = quote + 1;
        let mut at = quote + 1;
        // what was looked through once for an earlier quote closes none; only the quotes right behind it pair otherwise
        let (from, to) = self.unclosed;
        let known = tolerant && from <= quote && quote < to;
        let own = text[quote..].iter().position(|&byte| byte != b'"').map_or(text.len(), |length| quote + length);
        while at <= self.last_quote {
            if known && at >= own {
                return None;
            }
            if let Some(next) = memchr::memchr(b'"', &text[at..]) {
                at += next;
            } else {
                self.last_quote = at - 1;
                break;
            }
            if self.swallows_rows(&mut checked, at, delimiter, &mut found.broken) {
                self.unclosed = (quote, checked);
                return None;
            }
            if text.get(at + 1) == Some(&b'"') {
                found.escaped = true;
                at += 2;
                continue;
            }
            let mut behind = at + 1;
            while matches!(text.get(behind), Some(b' ' | b'\t')) && text[behind] != delimiter {
                behind += 1;
            }
            if behind == text.len() || text[behind] == delimiter || line_end(text, behind) > 0 {
                found.close = at;
                found.end = behind;
                return Some(found);
            }
            if !tolerant {
                return None;
            }
            found.irregular = true;
            found.escaped = true;
            at += 1;
        }
        self.unclosed = (quote, text.len());
        None
    }

    /// Between `checked` and `to` inside quotes: does a line break come with as many delimiters behind it as a row has?
    fn swallows_rows(&self, checked: &mut usize, to: usize, delimiter: u8, broken: &mut bool) -> bool {
        let piece = &self.text[*checked..to];
        if !*broken {
            match memchr::memchr2(b'\n', b'\r', piece) {
                None => {
                    *checked = to;
                    return false;
                }
                Some(first) => {
                    *broken = true;
                    *checked += first + 1;
                }
            }
        }
        // counted line by line; the last line is counted again as it grows, which is bounded by its length
        let most = if self.width >= 3 { self.width - 1 } else { 8 };
        let mut line_start = *checked;
        loop {
            let end = end_of_line(&self.text[..to], line_start);
            if memchr::memchr_iter(delimiter, &self.text[line_start..end]).count() >= most {
                *checked = line_start;
                return true;
            }
            if end >= to {
                break;
            }
            line_start = end + 1;
        }
        *checked = line_start;
        false
    }
}

/// What was remarkable about the quotes of a row.
#[derive(Clone, Copy, Debug, Default)]
struct Quoting {
    irregular: bool,
    as_text: bool,
}

/// A quoted cell.
#[derive(Clone, Copy, Debug)]
struct Quoted {
    /// Place of the closing quote.
    close: usize,
    /// Place of the delimiter, line end or end of text behind it.
    end: usize,
    /// Are there doubled or lone quotes inside?
    escaped: bool,
    /// Are there lone quotes inside?
    irregular: bool,
    /// Is there a line break inside?
    broken: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(text: &str, delimiter: u8, width: usize) -> Vec<(u32, RowKind, Vec<String>)> {
        let cut = Cut::Char { delimiter, outer: false };
        let mut rows = Rows::new(text.as_bytes(), 0, 1, &cut, width);
        let mut cells = Cells::default();
        let mut all = Vec::new();
        while let Some(row) = rows.next(&mut cells) {
            let texts = cells.iter(text.as_bytes()).map(|c| String::from_utf8_lossy(c).into_owned()).collect();
            all.push((row.line, row.kind, texts));
        }
        all
    }

    fn cells_of(text: &str) -> Vec<Vec<String>> {
        split(text, b',', 3).into_iter().map(|(_, _, cells)| cells).collect()
    }

    #[test]
    fn quoting_only_at_the_beginning_of_a_cell() {
        assert_eq!(cells_of("a,6\" dish,c\n"), [["a", "6\" dish", "c"]]);
        assert_eq!(cells_of("a,\"b, c\",d\n"), [["a", "b, c", "d"]]);
        assert_eq!(cells_of("a,\"b \"\"c\"\"\",d\n"), [["a", "b \"c\"", "d"]]);
        assert_eq!(cells_of("a, \"b, c\" ,d"), [["a", "b, c", "d"]]);
        assert_eq!(cells_of("a,the \"big\" loop,d"), [["a", "the \"big\" loop", "d"]]);
        assert_eq!(cells_of("a,\"big\" loop,d\n"), [["a", "\"big\" loop", "d"]]);
        assert_eq!(cells_of("a,\"say \"hi\" bye\",d\n"), [["a", "say \"hi\" bye", "d"]]);
    }

    #[test]
    fn quotes_that_are_never_closed_are_text() {
        assert_eq!(cells_of("a,b,\"c\nd,e,f\ng,h,i\n"), [["a", "b", "\"c"], ["d", "e", "f"], ["g", "h", "i"]]);
        assert_eq!(cells_of("a,b,\"c\nd,e,\"f\"\ng,h,i\n"), [["a", "b", "\"c"], ["d", "e", "f"], ["g", "h", "i"]]);
    }

    #[test]
    fn lines_are_counted_inside_quotes_and_for_every_line_end() {
        let rows = split("a,b,c\r\n1,\"x\ny\r\nz\",3\r4,5,6\n\n7,8,9", b',', 3);
        let lines: Vec<u32> = rows.iter().map(|r| r.0).collect();
        assert_eq!(lines, [1, 2, 5, 6, 7]);
        assert_eq!(rows[1].2, ["1", "x\ny\r\nz", "3"]);
        assert_eq!(rows[3].1, RowKind::Blank);
    }

    #[test]
    fn comments_rules_and_blank_rows() {
        use RowKind::{Blank, Cells, Comment, Rule};
        let kinds: Vec<RowKind> =
            split("# a \"b\n########,Q1ABC,x\n#NAME?,Q1ABC,x\n,,,\n---+---\n--,--,--\n\"\n// x\n", b',', 3)
                .iter()
                .map(|r| r.1)
                .collect();
        assert_eq!(kinds, [Comment, Cells, Cells, Blank, Rule, Rule, Blank, Comment]);
    }

    /// Well-formed text gives the cells that the csv crate gives.
    #[test]
    fn as_the_csv_crate_splits() {
        let mut seed = 3_u64;
        let mut next = move |n: u64| {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 33) % n
        };
        for _ in 0..500 {
            let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
            for _ in 0..=next(6) {
                // the first cell keeps the line from being blank, a rule or a comment
                let mut cells = vec!["x".to_owned()];
                for _ in 0..next(6) {
                    let signs = ['a', '"', ',', '\n', '\r', ' ', 'é', ';'];
                    // no cell ends with a blank: behind quotes blanks are no part of the cell here
                    let text: String = (0..next(5)).map(|_| signs[usize::try_from(next(8)).unwrap()]).collect();
                    cells.push(format!("{text}."));
                }
                writer.write_record(&cells).unwrap();
            }
            let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
            let right: Vec<Vec<String>> =
                reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect();
            // a width beyond any row, so that no quoted line break is doubted
            let ours: Vec<Vec<String>> = split(&text, b',', 1000).into_iter().map(|r| r.2).collect();
            assert_eq!(ours, right, "{text:?}");
        }
    }
}
