//! How a table is to be read: a search over ways to cut it, headers and roles.
//!
//! Every way to cut rows that the text could mean is tried on its first rows. For each the header is looked for and
//! the columns are given roles; the reading that explains most of the rows as times, calls, locators, frequencies and
//! levels wins, the second best is kept. The winner's columns are then looked at over a larger sample (beginning,
//! middle and end of the file) and what concerns whole columns is decided; see [`super::rules`].

use super::aligned::Gutters;
use super::rows::{Cells, Cut, Row, RowKind, Rows};
use super::rules::{self, Rules};
use crate::geography::Geodesic;
use crate::import::columns::evidence::{Dependence, Evidence, Scratch};
use crate::import::columns::roles::{self, Assignment, Candidate, Links};
use crate::import::columns::vocabulary::{self, Header, LengthUnit, Meaning};
use crate::import::fields::call::{self, CallCell};
use crate::import::fields::place::{self, PlaceCell};
use crate::import::fields::stamp::{self, Want};
use crate::import::fields::{cell, number};
use crate::import::reading::RunnerUp;
use crate::import::wishes::{HeaderWish, Wishes};
use crate::import::words::{DecimalMark, Delimiter, Role};
use crate::order::LightSort;

/// How to read a table from one header on.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub(crate) cut: Cut,
    pub(crate) delimiter: Delimiter,
    /// Line of the header, and its cells.
    pub(crate) header: Option<(u32, Vec<String>)>,
    /// Place and physical line of the first row.
    pub(crate) body: Place,
    /// Cells per row.
    pub(crate) width: usize,
    pub(crate) columns: Vec<Candidate>,
    pub(crate) assignment: Assignment,
    pub(crate) rules: Rules,
    /// Lines before the header that are neither blank nor the `sep=` line.
    pub(crate) skipped: u64,
    pub(crate) score: f64,
    pub(crate) why: Vec<String>,
    pub(crate) runner_up: Option<RunnerUp>,
    /// Rows that were looked at.
    pub(crate) surveyed: u32,
    /// Mean length of a row in bytes.
    pub(crate) row_length: usize,
}

/// A place in the text and its physical line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) at: usize,
    pub(crate) line: u32,
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum NoPlan {
    /// Nothing but blanks and comments.
    NoText,
    /// The columns of a spot are not there; the roles that are missing.
    NoRoles { missing: Vec<&'static str> },
}

/// A row of the sample, with its cells copied.
#[derive(Clone, Debug)]
struct SampleRow {
    row: Row,
    /// Where the next row begins.
    next: Place,
    cells: Vec<Vec<u8>>,
}

/// One way to read the table, tried on its first rows.
#[derive(Clone, Debug)]
struct Trial {
    cut: Cut,
    delimiter: Delimiter,
    header: Option<usize>,
    rows: Vec<SampleRow>,
    /// First row of the body in `rows`.
    first: usize,
    width: usize,
    columns: Vec<Candidate>,
    assignments: Vec<Assignment>,
    score: f64,
    row_length: usize,
}

/// A way to cut at a delimiter that rates higher is not compared with aligned columns.
const SETTLED: f64 = 0.8;
/// Rows of the beginning that every way to cut is tried on.
const TRIAL_ROWS: usize = 100;
/// Bytes of the beginning that they may take.
const TRIAL_BYTES: usize = 256 * 1024;
/// Header lines are looked for in so many rows.
const HEADER_ROWS: usize = 60;

/// What a `sep=` line names, and where the text goes on.
pub(crate) fn sep_line(text: &[u8]) -> Option<(u8, Place)> {
    let end = super::rows::end_of_line(text, 0);
    let line = cell::trim(&text[..end.min(32)]);
    let line = line.strip_prefix(b"\"").and_then(|l| l.strip_suffix(b"\"")).unwrap_or(line);
    let (word, sign) = line.split_at_checked(4)?;
    if !word.eq_ignore_ascii_case(b"sep=") {
        return None;
    }
    // a tab at the end is trimmed away as a blank
    let delimiter = match sign {
        [] => b'\t',
        b"\\t" => b'\t',
        [byte] if byte.is_ascii_punctuation() => *byte,
        _ => return None,
    };
    let length = if text[end..].starts_with(b"\r\n") { 2 } else { usize::from(end < text.len()) };
    Some((delimiter, Place { at: end + length, line: 2 }))
}

/// Makes a plan for the text from a place on.
pub(crate) fn plan(text: &[u8], from: Place, sep: Option<u8>, wishes: &Wishes) -> Result<Plan, NoPlan> {
    let mut trials: Vec<Trial> = Vec::new();
    for (cut, delimiter) in cuts(text, from, sep, wishes) {
        // where a delimiter explains nearly everything, columns under each other need not be looked for
        let settled = delimiter == Delimiter::Aligned && trials.iter().any(|trial| trial.score > SETTLED);
        if !settled {
            trials.extend(Trial::new(text, from, cut, delimiter, wishes));
        }
    }
    // stable: on equal scores the earlier cut wins
    trials.order_by(|a, b| b.score.total_cmp(&a.score));
    if trials.is_empty() {
        return Err(NoPlan::NoText);
    }
    let mut best = trials.remove(0);
    let surveyed = best.survey(text, from, wishes);
    let Some(assignment) = best.assignments.first().cloned().filter(|a| is_credible(a, &best.columns, wishes)) else {
        return Err(NoPlan::NoRoles { missing: missing_roles(&best) });
    };
    let body = best.body(from);
    let header = best.header.map(|at| {
        let row = &best.rows[at];
        (row.row.line, row.cells.iter().map(|c| cell::text(cell::trim(c)).into_owned()).collect())
    });
    let skipped = best.rows[..best.header.unwrap_or(best.first).min(best.rows.len())]
        .iter()
        .filter(|r| r.row.kind != RowKind::Blank)
        .count() as u64;
    let mut rules = rules::decide(&best.columns, &assignment, wishes);
    if rules.length.is_none() {
        rules.length = best.length_by_locators(&assignment);
    }
    let why = best.why(&assignment);
    let runner_up = best.runner_up(&assignment, &trials, &rules);
    best.row_length = match (best.rows.get(best.first), best.rows.last()) {
        (Some(first), Some(last)) => (last.next.at - first.row.start) / (best.rows.len() - best.first),
        _ => 0,
    };
    Ok(Plan {
        cut: best.cut,
        delimiter: best.delimiter,
        header,
        body,
        width: best.width,
        columns: best.columns,
        assignment,
        rules,
        skipped,
        score: best.score.clamp(0.0, 1.0),
        why,
        runner_up,
        surveyed,
        row_length: best.row_length,
    })
}

/// The ways to cut rows that the text could mean, the likelier first.
fn cuts(text: &[u8], from: Place, sep: Option<u8>, wishes: &Wishes) -> Vec<(Cut, Delimiter)> {
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
                if with > 0 && with * 5 >= lines.len() {
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

impl Trial {
    /// Cuts the first rows, finds the header and gives roles. `None` if there is no row at all.
    fn new(text: &[u8], from: Place, cut: Cut, delimiter: Delimiter, wishes: &Wishes) -> Option<Self> {
        let width = usual_width(text, from, &cut);
        let mut trial = Self {
            rows: sample(text, from, &cut, width, TRIAL_ROWS, TRIAL_BYTES),
            cut,
            delimiter,
            header: None,
            first: 0,
            width,
            columns: Vec::new(),
            assignments: Vec::new(),
            score: 0.0,
            row_length: 0,
        };
        if !trial.rows.iter().any(|r| matches!(r.row.kind, RowKind::Cells | RowKind::Comment)) {
            return None;
        }
        trial.find_header(wishes);
        trial.set_width();
        trial.look(wishes, &[]);
        trial.score = trial.rate();
        Some(trial)
    }

    fn find_header(&mut self, wishes: &Wishes) {
        let data = |row: &SampleRow| row.row.kind == RowKind::Cells && is_data(&row.cells);
        let first_data = self.rows.iter().position(data);
        let until = first_data.unwrap_or(self.rows.len()).min(HEADER_ROWS);
        self.header = match wishes.header {
            Some(HeaderWish::Absent) => None,
            Some(HeaderWish::Line(line)) => self.rows.iter().position(|r| r.row.line == line),
            None => {
                let mut best: Option<(usize, usize)> = None;
                for (at, row) in self.rows[..until].iter().enumerate() {
                    let words = header_words(&row.cells);
                    if words >= 2 && best.is_none_or(|(_, most)| words > most) {
                        best = Some((at, words));
                    }
                }
                best.map(|(at, _)| at).or_else(|| self.header_in_unknown_words(first_data))
            }
        };
        let mut first = match self.header {
            Some(at) => at + 1,
            None => first_data.unwrap_or(0),
        };
        // a row of units belongs to the header
        while self.header.is_some()
            && self.rows.get(first).is_some_and(|r| matches!(r.row.kind, RowKind::Blank | RowKind::Rule))
        {
            first += 1;
        }
        if self.header.is_some() && self.rows.get(first).is_some_and(|row| is_unit_row(&row.cells)) {
            first += 1;
        }
        self.first = first;
    }

    /// The line right above the first data row, if it has as many cells and none of them is data.
    fn header_in_unknown_words(&self, first_data: Option<usize>) -> Option<usize> {
        let first_data = first_data?;
        let at = self.rows[..first_data].iter().rposition(|r| r.row.kind == RowKind::Cells)?;
        let cells = &self.rows[at].cells;
        let filled = cells.iter().filter(|c| !cell::is_blank(c)).count();
        let worded = cells.iter().filter(|c| !is_data_cell(c) && !cell::is_blank(c)).count();
        (cells.len() == self.rows[first_data].cells.len() && filled >= 3 && worded == filled).then_some(at)
    }

    fn body_rows(&self) -> impl Iterator<Item = &SampleRow> {
        let header = self.header.map(|at| &self.rows[at].cells);
        self.rows[self.first.min(self.rows.len())..]
            .iter()
            .filter(move |r| r.row.kind == RowKind::Cells && Some(&r.cells) != header)
    }

    /// Cells per row: as the header has, or as most rows have where it has fewer.
    fn set_width(&mut self) {
        let mut counts: Vec<(usize, usize)> = Vec::new();
        let mut rows = 0;
        for row in self.body_rows() {
            rows += 1;
            match counts.iter_mut().find(|(length, _)| *length == row.cells.len()) {
                Some((_, count)) => *count += 1,
                None => counts.push((row.cells.len(), 1)),
            }
        }
        let usual = counts.iter().copied().max_by_key(|&(length, count)| (count, length));
        let header = self.header.map(|at| self.rows[at].cells.len());
        self.width = match (header, usual) {
            (Some(header), Some((usual, count)))
                if usual > header && count * 2 > rows && is_data_beyond(self, header) =>
            {
                usual
            }
            (Some(header), _) => header,
            (None, Some((usual, _))) => usual,
            (None, None) => self.width,
        };
    }

    /// Reads headers, counts evidence over the body rows and `more` rows, and searches for the roles.
    fn look(&mut self, wishes: &Wishes, more: &[SampleRow]) {
        let mut scratch = Scratch::default();
        let header = self.header.map(|at| &self.rows[at].cells);
        let units = self.header.and_then(|at| {
            self.rows.get(at + 1..self.first)?.iter().find(|row| row.row.kind == RowKind::Cells).map(|row| &row.cells)
        });
        let text = |cells: Option<&Vec<Vec<u8>>>, at: usize| {
            cells.and_then(|cells| cells.get(at)).map(|c| cell::text(cell::trim(c)).into_owned()).unwrap_or_default()
        };
        let mut columns: Vec<Candidate> = (0..self.width)
            .map(|at| Candidate {
                header: vocabulary::read(&text(header, at), &text(units, at)),
                evidence: Evidence::default(),
                wish: wishes.roles.as_ref().and_then(|roles| roles.get(at).copied().flatten()),
            })
            .collect();
        let rows = || {
            self.body_rows()
                .chain(more)
                .filter(|row| row.cells.len() <= self.width + 1 && 2 * row.cells.len() >= self.width)
        };
        for row in rows() {
            for (column, cell) in columns.iter_mut().zip(&row.cells) {
                column.evidence.add(cell, &mut scratch);
            }
        }
        let calls: Vec<usize> = (0..columns.len())
            .filter(|&at| columns[at].evidence.calls * 2 > columns[at].evidence.filled)
            .take(4)
            .collect();
        let others: Vec<usize> = (0..columns.len())
            .filter(|&at| {
                let evidence = &columns[at].evidence;
                !calls.contains(&at)
                    && (evidence.locators * 2 > evidence.filled || evidence.numbers.mode_levels * 2 > evidence.filled)
                    || evidence.locators * 2 > evidence.filled
            })
            .take(8)
            .collect();
        let mut dependences: Vec<(usize, usize, Dependence)> = Vec::new();
        for &call in &calls {
            for &other in others.iter().filter(|&&other| other != call) {
                let mut dependence = Dependence::default();
                for row in rows() {
                    if let (Some(first), Some(second)) = (row.cells.get(call), row.cells.get(other)) {
                        dependence.add(first, second);
                    }
                }
                dependences.push((call, other, dependence));
            }
        }
        let assignments = roles::assign(&columns, &Links::new(&dependences), self.header.is_some());
        self.columns = columns;
        self.assignments = assignments;
    }

    /// Share of the text that the best assignment explains, 0 to 1 and a little for plain delimiters.
    fn rate(&self) -> f64 {
        let Some(assignment) = self.assignments.first() else { return 0.0 };
        let fit = |role: Role| {
            assignment.column(role).map_or(0.0, |column| {
                let evidence = &self.columns[column].evidence;
                if evidence.filled == 0 { 0.5 } else { roles::content(role, evidence) }
            })
        };
        let time = fit(Role::Time).max((fit(Role::Date) + fit(Role::TimeOfDay)) / 2.0);
        let sum = 3.0 * (time + fit(Role::Tx) + fit(Role::Rx))
            + fit(Role::TxLoc)
            + fit(Role::RxLoc)
            + fit(Role::Freq).max(fit(Role::Band))
            + fit(Role::Snr)
            + 0.5 * fit(Role::Power)
            + 0.25 * fit(Role::Drift);
        // rows that have not the usual number of cells, and lines swallowed by quotes, are not explained
        let rows =
            self.rows.iter().filter(|r| r.row.kind == RowKind::Cells).count() - usize::from(self.header.is_some());
        let regular = self.body_rows().filter(|r| r.cells.len() == self.width).count();
        let shape = if rows == 0 { 1.0 } else { 0.75 + 0.25 * regular as f64 / rows as f64 };
        let plain = if matches!(self.delimiter, Delimiter::Char(_)) { 0.02 } else { 0.0 };
        sum / 13.75 * shape + plain
    }

    /// Looks at more rows: further down, in the middle and at the end. Gives how many were looked at.
    fn survey(&mut self, text: &[u8], from: Place, wishes: &Wishes) -> u32 {
        let mut more = Vec::new();
        let read = self.rows.last().map_or(from, |row| row.next);
        more.extend(sample(text, read, &self.cut, self.width, 800, 1 << 20));
        let next = more.last().map_or(read, |row| row.next).at;
        let left = text.len().saturating_sub(next);
        if left > 0 {
            // line numbers do not matter here
            let begin = |at: usize| {
                let end = super::rows::end_of_line(text, at);
                Place { at: (end + 1).min(text.len()), line: 0 }
            };
            more.extend(sample(text, begin(next + left / 2), &self.cut, self.width, 250, 1 << 19));
            let tail = left.min(250 * 100);
            more.extend(sample(text, begin(text.len() - tail), &self.cut, self.width, 250, 1 << 19));
        }
        let header = self.header.map(|at| self.rows[at].cells.clone());
        more.retain(|row| row.row.kind == RowKind::Cells && Some(&row.cells) != header.as_ref());
        if !more.is_empty() {
            self.look(wishes, &more);
            self.score = self.rate();
        }
        u32::try_from(self.body_rows().count() + more.len()).unwrap_or(u32::MAX)
    }

    /// The unit in which the file's own distances agree with those between the locators.
    fn length_by_locators(&self, assignment: &Assignment) -> Option<LengthUnit> {
        let columns =
            [assignment.column(Role::Distance)?, assignment.column(Role::TxLoc)?, assignment.column(Role::RxLoc)?];
        let geodesic = Geodesic::wgs84();
        let mut plain = String::new();
        let mut ratios: Vec<f64> = Vec::new();
        for row in self.body_rows().take(40) {
            let [Some(distance), Some(tx), Some(rx)] = columns.map(|column| row.cells.get(column)) else { continue };
            let Some((number, _)) = number::read_any(cell::trim(distance), DecimalMark::Point, &mut plain) else {
                continue;
            };
            let (Some(tx), Some(rx)) = (place::read(tx).locator(), place::read(rx).locator()) else { continue };
            let km = geodesic.path(tx.centre(), rx.centre()).distance_km;
            // near stations say little: the locators are too coarse
            if km > 500.0 {
                ratios.push(number.value() / km);
            }
        }
        ratios.sort_by(f64::total_cmp);
        let median = *ratios.get(ratios.len() / 2)?;
        LengthUnit::ALL.into_iter().find(|unit| (median * unit.km() - 1.0).abs() < 0.05)
    }

    /// Where the body begins.
    fn body(&self, from: Place) -> Place {
        match self.first.checked_sub(1).and_then(|before| self.rows.get(before)) {
            Some(row) => row.next,
            None => from,
        }
    }

    fn cut_in_words(&self) -> String {
        match (self.delimiter, &self.cut) {
            (Delimiter::Char(b','), _) => "commas".to_owned(),
            (Delimiter::Char(b';'), _) => "semicolons".to_owned(),
            (Delimiter::Char(b'\t'), _) => "tabs".to_owned(),
            (Delimiter::Char(b'|'), _) => "bars".to_owned(),
            (Delimiter::Char(other), _) => format!("the character {}", cell::quoted(&[other])),
            (Delimiter::Aligned, Cut::Gutters(_)) => "blanks, as columns stand under each other".to_owned(),
            (Delimiter::Aligned, _) => "blanks".to_owned(),
        }
    }

    fn why(&self, assignment: &Assignment) -> Vec<String> {
        let rows = self.body_rows().count();
        let regular = self.body_rows().filter(|r| r.cells.len() == self.width).count();
        let mut why = vec![format!(
            "Cells are separated by {}: {regular} of the first {rows} rows then have {} cells.",
            self.cut_in_words(),
            self.width
        )];
        match self.header {
            Some(at) => why.push(format!("Line {} is the header.", self.rows[at].row.line)),
            None => why.push("No line looks like a header.".to_owned()),
        }
        for &role in Role::ALL {
            if let Some(column) = assignment.column(role) {
                let evidence = &self.columns[column].evidence;
                let said =
                    if self.columns[column].header.meaning.is_none() { "by its cells" } else { "by header and cells" };
                let fit = (100.0 * roles::content(role, evidence)).round();
                why.push(format!(
                    "Column {} is {}, {said} ({fit} % of them speak for it).",
                    column + 1,
                    in_words(role)
                ));
            }
        }
        why
    }

    fn runner_up(&self, chosen: &Assignment, others: &[Self], rules: &Rules) -> Option<RunnerUp> {
        let mut all: Vec<RunnerUp> = Vec::new();
        if let Some(other) = self.assignments.iter().skip(1).find(|a| a.has_calls()) {
            let changed: Vec<String> = (0..self.width)
                .filter(|&at| other.role(at) != chosen.role(at))
                .take(4)
                .map(|at| format!("column {} as {}", at + 1, in_words(other.role(at))))
                .collect();
            let less = (chosen.points - other.points).max(0.0) / 40.0;
            all.push(RunnerUp { text: changed.join(", "), score: (self.score - less).max(0.0) });
        }
        if let Some(other) = others.first().filter(|other| other.score > 0.3) {
            all.push(RunnerUp {
                text: format!("cells separated by {}", other.cut_in_words()),
                score: other.score.min(1.0),
            });
        }
        all.extend(rules.other_order(self.score));
        all.into_iter().max_by(|a, b| a.score.total_cmp(&b.score))
    }
}

/// Do the cells beyond the header's last hold anything?
fn is_data_beyond(trial: &Trial, header: usize) -> bool {
    let filled = trial.body_rows().filter(|r| r.cells.iter().skip(header).any(|c| !cell::is_blank(c))).count();
    filled * 2 > trial.body_rows().count()
}

/// A role as sentences name it.
pub(crate) fn in_words(role: Role) -> &'static str {
    match role {
        Role::Time => "the time",
        Role::Date => "the date",
        Role::TimeOfDay => "the time of day",
        Role::Tx => "the transmitting station",
        Role::Rx => "the hearing station",
        Role::TxLoc => "the transmitter's locator",
        Role::RxLoc => "the listener's locator",
        Role::Freq => "the frequency",
        Role::Band => "the band",
        Role::Snr => "the SNR",
        Role::Drift => "the drift",
        Role::Power => "the power",
        Role::Distance => "the distance",
        Role::Azimuth => "the azimuth",
        Role::Ignore => "nothing of a spot",
    }
}

/// Cells per row, guessed from the delimiters of the first lines: for doubtful quotes before anything is known.
fn usual_width(text: &[u8], from: Place, cut: &Cut) -> usize {
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
fn sample(text: &[u8], from: Place, cut: &Cut, width: usize, most: usize, bytes: usize) -> Vec<SampleRow> {
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

/// Is a cell a call, a locator, a time or a number?
fn is_data_cell(cell: &[u8]) -> bool {
    let cell = cell::trim(cell);
    if cell.is_empty() || cell.len() > 80 {
        return false;
    }
    let (mut upper, mut plain) = (String::new(), String::new());
    call::read(cell, &mut upper, &mut plain).is_call()
        || matches!(place::read(cell), PlaceCell::Whole(_))
        || number::read_any(cell, DecimalMark::Point, &mut plain).is_some()
        || stamp::read(cell, Want::Whole, 4, &mut plain).is_some()
}

/// Is a row data: a call, and another call, locator, time or number beside it?
fn is_data(cells: &[Vec<u8>]) -> bool {
    let (mut upper, mut plain) = (String::new(), String::new());
    let mut calls = 0;
    let mut others = 0;
    for cell in cells.iter().take(64) {
        match call::read(cell, &mut upper, &mut plain) {
            CallCell::Call if call::is_call(upper.as_bytes()) => calls += 1,
            CallCell::Bracketed | CallCell::Unresolved => calls += 1,
            _ => others += usize::from(is_data_cell(cell)),
        }
    }
    calls >= 2 || calls >= 1 && others >= 1
}

/// How many cells of a row are header words (none of them may be data).
pub(crate) fn header_words(cells: &[Vec<u8>]) -> usize {
    let filled: Vec<&Vec<u8>> = cells.iter().take(256).filter(|cell| !cell::is_blank(cell)).collect();
    let is_word = |cell: &[u8]| {
        let header: Header = vocabulary::read(&cell::text(cell), "");
        !header.meaning.is_none() && header.meaning != Meaning::OTHER
    };
    // data is the commoner and quicker to tell; `dB 2` is a number by its end and a word all the same
    if filled.iter().any(|cell| is_data_cell(cell) && !is_word(cell)) {
        return 0;
    }
    let words = filled.iter().filter(|cell| cell.len() <= 60 && is_word(cell)).count();
    let filled = filled.len();
    // a title or remark holds a word of the trade, too
    if words * 3 >= filled { words } else { 0 }
}

/// Is a row one of units below the header: `UTC`, `MHz`, `dB`, `dBm`, blanks, dashes?
fn is_unit_row(cells: &[Vec<u8>]) -> bool {
    let mut units = 0;
    for cell in cells {
        let text = cell::fold(&cell::text(cell::trim(cell)));
        match text.trim_matches(['(', ')', '[', ']']) {
            "" | "-" | "--" => {}
            "utc"
            | "gmt"
            | "hz"
            | "khz"
            | "mhz"
            | "ghz"
            | "db"
            | "dbm"
            | "dbw"
            | "w"
            | "mw"
            | "kw"
            | "watt"
            | "watts"
            | "km"
            | "mi"
            | "miles"
            | "deg"
            | "degrees"
            | "°"
            | "hz/min"
            | "hz/minute"
            | "call"
            | "locator"
            | "grid"
            | "text"
            | "hh:mm"
            | "yyyy-mm-dd"
            | "yyyy-mm-dd hh:mm"
            | "yyyy-mm-dd hh:mm:ss"
            | "dd.mm.yyyy"
            | "dd/mm/yyyy"
            | "mm/dd/yyyy"
            | "m"
            | "s" => units += 1,
            _ => return false,
        }
    }
    units >= 2
}

/// Is the assignment a table of spots, and not one of something else with two columns that look like calls?
fn is_credible(assignment: &Assignment, columns: &[Candidate], wishes: &Wishes) -> bool {
    if !assignment.has_calls() || !assignment.has_some_time() {
        return false;
    }
    let said = |role: Role, meaning: Meaning| {
        assignment.column(role).is_some_and(|column| columns[column].header.meaning.has(meaning))
    };
    let calls = Meaning::TX.with(Meaning::RX).with(Meaning::CALL);
    wishes.roles.is_some()
        || said(Role::Tx, calls)
        || said(Role::Rx, calls)
        || [Role::TxLoc, Role::RxLoc, Role::Freq, Role::Snr].iter().any(|&role| assignment.column(role).is_some())
}

/// What a spot needs and the best trial does not have, in words.
fn missing_roles(trial: &Trial) -> Vec<&'static str> {
    let has = |role: Role| trial.assignments.first().is_some_and(|a| a.column(role).is_some());
    let mut missing = Vec::new();
    if !(has(Role::Time) || has(Role::Date) || has(Role::TimeOfDay)) {
        missing.push("a time");
    }
    if !has(Role::Tx) {
        missing.push("the call of the transmitting station");
    }
    if !has(Role::Rx) {
        missing.push("the call of the station that heard it");
    }
    missing
}
