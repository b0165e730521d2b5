//! Columns that stand under each other, separated by blanks.
//!
//! A gutter is a run of character places that is blank in (nearly) every line; what lies between two gutters is a
//! column. Places are counted in characters, so that letters beyond ASCII do not shift the rest of their line.

/// A column: character places from `from` up to `to`, with the gutter behind it up to the next column's `from`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Column {
    from: usize,
    to: usize,
}

/// Where lines are cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Gutters {
    columns: Vec<Column>,
}

/// Lines longer than this are no aligned table.
const LONGEST_LINE: usize = 2_000;

impl Gutters {
    /// Finds the gutters of at least `least` blanks in a table's lines, of which the first may be the header.
    /// `None` if there are fewer than three columns.
    pub(crate) fn find(lines: &[&str], least: usize) -> Option<Self> {
        let longest = lines.iter().map(|line| line.chars().count()).max().filter(|&n| n <= LONGEST_LINE)?;
        let mut inked = vec![0_usize; longest];
        for line in lines {
            for (at, c) in line.chars().enumerate() {
                inked[at] += usize::from(!c.is_whitespace());
            }
        }
        // a value too wide for its column may stand in a gutter, in one line of fifty
        let most = lines.len() / 50;
        let mut columns: Vec<Column> = Vec::new();
        let mut at = 0;
        while at < longest {
            if inked[at] <= most {
                at += 1;
                continue;
            }
            let from = at;
            while at < longest && inked[at] > most {
                at += 1;
            }
            match columns.last_mut() {
                Some(last) if from - last.to < least => last.to = at,
                _ => columns.push(Column { from, to: at }),
            }
        }
        let header = lines.first()?;
        join_where_header_is_blank(&mut columns, header);
        (columns.len() >= 3).then_some(Self { columns })
    }

    /// How many columns there are.
    pub(crate) fn len(&self) -> usize {
        self.columns.len()
    }

    /// Cuts one line (bytes `start` to `end` of the text).
    pub(crate) fn split(&self, text: &[u8], start: usize, end: usize, mut push: impl FnMut(usize, usize)) {
        let line = &text[start..end];
        // byte place of a character place
        let place: Box<dyn Fn(usize) -> usize> = if line.is_ascii() {
            Box::new(|at: usize| at.min(line.len()))
        } else {
            let starts: Vec<usize> = (0..line.len()).filter(|&at| line[at] & 0xC0 != 0x80).collect();
            let length = line.len();
            Box::new(move |at: usize| starts.get(at).copied().unwrap_or(length))
        };
        let is_blank = |at: usize| line.get(at).is_none_or(|b| matches!(b, b' ' | b'\t'));
        let mut from = 0;
        for (n, column) in self.columns.iter().enumerate() {
            let Some(next) = self.columns.get(n + 1) else {
                push(start + from.min(line.len()), end);
                return;
            };
            let (gutter, next) = (place(column.to), place(next.from));
            let mut cut = next;
            if !(gutter..next).all(is_blank) {
                // a value stands in the gutter: cut at the blank nearest to it
                cut = (0..24)
                    .flat_map(|n| [next + n, gutter.saturating_sub(n)])
                    .find(|&at| at > from && is_blank(at))
                    .unwrap_or(next)
                    .min(line.len());
            }
            push(start + from.min(line.len()), start + cut.max(from).min(line.len()));
            from = cut.max(from);
        }
    }
}

/// Where the header has no word above a column, the column belongs to the one left of it: `time UTC` above
/// `2024-04-03 12:00`.
fn join_where_header_is_blank(columns: &mut Vec<Column>, header: &str) {
    let inked: Vec<bool> = header.chars().map(|c| !c.is_whitespace()).collect();
    let worded = |column: &Column| (column.from..column.to).any(|at| inked.get(at) == Some(&true));
    if !columns.iter().any(worded) {
        return;
    }
    let mut joined: Vec<Column> = Vec::new();
    for column in columns.iter() {
        match joined.last_mut() {
            Some(last) if !worded(column) && column.from - last.to <= 1 => last.to = column.to,
            _ => joined.push(*column),
        }
    }
    *columns = joined;
}

/// Tables drawn with the bars of Unicode's box drawing block: the same text with plain bars, or `None` if few lines
/// have such bars.
pub(crate) fn without_drawn_bars(text: &[u8]) -> Option<Vec<u8>> {
    const BARS: [&[u8]; 3] = ["\u{2502}".as_bytes(), "\u{2503}".as_bytes(), "\u{2551}".as_bytes()];
    let head = &text[..text.len().min(16 * 1024)];
    let is_bar = |at: usize, text: &[u8]| text.get(at..at + 3).is_some_and(|c| BARS.contains(&c));
    let lines = head.split(|&b| b == b'\n' || b == b'\r').filter(|line| !line.is_empty());
    let (mut barred, mut all) = (0, 0);
    for line in lines {
        all += 1;
        barred += usize::from(memchr::memchr_iter(0xE2, line).filter(|&at| is_bar(at, line)).count() >= 2);
    }
    if barred * 3 < all || barred == 0 {
        return None;
    }
    let mut plain = Vec::with_capacity(text.len());
    let mut at = 0;
    while at < text.len() {
        if is_bar(at, text) {
            plain.push(b'|');
            at += 3;
        } else {
            plain.push(text[at]);
            at += 1;
        }
    }
    Some(plain)
}

/// Lines that stand in quotes as a whole, which makes one cell of each: the same text without those quotes, or `None` if
/// the first lines are otherwise.
pub(crate) fn without_line_quotes(text: &[u8]) -> Option<Vec<u8>> {
    // what stands in the quotes of a line, if all further ones are doubled
    let inside = |line: &[u8]| -> Option<usize> {
        let inner = line.trim_ascii_end().strip_prefix(b"\"")?.strip_suffix(b"\"")?;
        let mut quotes = memchr::memchr_iter(b'"', inner);
        while let Some(first) = quotes.next() {
            quotes.next().filter(|&second| second == first + 1)?;
        }
        let cells = inner.iter().filter(|byte| matches!(byte, b',' | b';' | b'\t' | b'|')).count();
        (cells >= 2).then_some(inner.len())
    };
    let mut lines = text.split(|&byte| byte == b'\n').filter(|line| !line.trim_ascii().is_empty()).take(20).peekable();
    lines.peek()?;
    if !lines.all(|line| inside(line).is_some()) {
        return None;
    }
    let mut plain = Vec::with_capacity(text.len());
    for line in text.split_inclusive(|&byte| byte == b'\n') {
        match inside(line) {
            None => plain.extend_from_slice(line),
            Some(length) => {
                let mut inner = line[1..=length].iter();
                while let Some(&byte) = inner.next() {
                    plain.push(byte);
                    // of two quotes one
                    if byte == b'"' {
                        inner.next();
                    }
                }
                plain.extend_from_slice(&line[length + 2..]);
            }
        }
    }
    Some(plain)
}

/// A table whose columns stand under each other by no-break blanks: the same text with plain ones, or `None` if there
/// are no runs of them.
pub(crate) fn without_fixed_blanks(text: &[u8]) -> Option<Vec<u8>> {
    const BLANK: &[u8] = "\u{a0}".as_bytes();
    memchr::memmem::find(&text[..text.len().min(16 * 1024)], "\u{a0}\u{a0}".as_bytes())?;
    let mut plain = Vec::with_capacity(text.len());
    let mut rest = text;
    while let Some(&byte) = rest.first() {
        let fixed = rest.starts_with(BLANK);
        plain.push(if fixed { b' ' } else { byte });
        rest = &rest[if fixed { BLANK.len() } else { 1 }..];
    }
    Some(plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(table: &str, least: usize) -> Vec<Vec<String>> {
        let lines: Vec<&str> = table.lines().collect();
        let gutters = Gutters::find(&lines, least).unwrap();
        lines
            .iter()
            .map(|line| {
                let mut cells = Vec::new();
                gutters.split(line.as_bytes(), 0, line.len(), |from, to| {
                    cells.push(line.get(from..to).unwrap().trim().to_owned());
                });
                cells
            })
            .collect()
    }

    #[test]
    fn quotes_around_whole_lines() {
        let text = "\"time,tx,rx\"\r\n\"1,Q1ABC,\"\"a, b\"\"\"\r\n";
        assert_eq!(without_line_quotes(text.as_bytes()).unwrap(), b"time,tx,rx\r\n1,Q1ABC,\"a, b\"\r\n");
        for text in ["", "\n", "\"a\",\"b\",\"c\"\n", "\"a,b,c\n\"", "\"a,b,c\"\nd\n", "\"a \" b,c,d\"\n"] {
            assert_eq!(without_line_quotes(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn an_empty_cell_stays_empty() {
        let table = "Date        UTC    Tx     Loc-R      MHz\n\
                     2024-04-03  12:00  Q3LMN  HP94ad  10.14\n\
                     2024-04-03  12:02  Q1DX            7.04\n";
        assert_eq!(cells(table, 1)[2], ["2024-04-03", "12:02", "Q1DX", "", "7.04"]);
        assert_eq!(cells(table, 2)[2], ["2024-04-03", "12:02", "Q1DX", "", "7.04"]);
    }

    #[test]
    fn one_header_word_over_date_and_time() {
        let table = "time UTC         Émetteur Loc\n\
                     2024-04-03 12:00 Q3LMN    HP94ad\n\
                     2024-04-03 12:02 Q1DX     JO22ob\n";
        assert_eq!(cells(table, 1)[0], ["time UTC", "Émetteur", "Loc"]);
        assert_eq!(cells(table, 1)[2], ["2024-04-03 12:02", "Q1DX", "JO22ob"]);
    }
}
