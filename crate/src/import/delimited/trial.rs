//! One way to read a table, tried on its first rows: header, width, roles, and how much it explains.

use std::collections::BTreeMap;

use super::header::{header_words, is_data, is_data_cell, is_unit_row};
use super::lines::{RowKind, end_of_line};
use super::plan::{Place, in_words};
use super::rows::Cut;
use super::rules::Rules;
use super::sample::{SampleRow, sample, usual_width};
use super::times::Flow;
use crate::geography::Geodesic;
use crate::import::columns::evidence::{Dependence, Evidence, Scratch};
use crate::import::columns::roles::{self, Assignment, Candidate, Links};
use crate::import::columns::vocabulary::{self, LengthUnit};
use crate::import::fields::stamp::{self, ClockPart, Want};
use crate::import::fields::zone::{self, ZoneMark};
use crate::import::fields::{cell, number, place};
use crate::import::reading::RunnerUp;
use crate::import::wishes::{HeaderWish, Wishes};
use crate::import::words::{DecimalMark, Delimiter, Role};
use crate::order::LightSort;

/// One way to read the table, tried on its first rows.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    pub(super) cut: Cut,
    pub(super) delimiter: Delimiter,
    pub(super) header: Option<usize>,
    pub(super) rows: Vec<SampleRow>,
    /// First row of the body in `rows`.
    pub(super) first: usize,
    pub(super) width: usize,
    /// Columns to the left of the header's first: names or numbers of rows, which some programs write under no header.
    pub(super) unnamed: usize,
    /// Cells that most rows have.
    pub(super) usual: usize,
    pub(super) columns: Vec<Candidate>,
    pub(super) assignments: Vec<Assignment>,
    pub(super) score: f64,
    pub(super) row_length: usize,
}

/// Rows of the beginning that every way to cut is tried on.
pub(super) const TRIAL_ROWS: usize = 100;
/// Bytes of the beginning that they may take.
pub(super) const TRIAL_BYTES: usize = 256 * 1024;
/// Points by which one place of the header must fit better than another.
const CLEARLY: f64 = 3.0;
/// Header lines are looked for in so many rows.
const HEADER_ROWS: usize = 60;

impl Trial {
    /// Cuts the first rows, finds the header and gives roles. `None` if there is no row at all.
    pub(super) fn new(text: &[u8], from: Place, cut: Cut, delimiter: Delimiter, wishes: &Wishes) -> Option<Self> {
        let width = usual_width(text, from, &cut);
        let mut trial = Self {
            rows: sample(text, from, &cut, width, TRIAL_ROWS, TRIAL_BYTES),
            cut,
            delimiter,
            header: None,
            first: 0,
            width,
            unnamed: 0,
            usual: width,
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
        trial.place_header(wishes);
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
                best.map(|(at, _)| at)
                    .or_else(|| self.header_below_particulars(until))
                    .or_else(|| self.header_in_unknown_words(first_data))
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

    /// A full header a few lines below the first that looked like data: above it stand particulars such as
    /// `Station,Q1ABC,JO22ob`.
    fn header_below_particulars(&self, first_data: usize) -> Option<usize> {
        let rows = self.rows.iter().enumerate().skip(first_data).take(8);
        let (at, _) =
            rows.filter(|(_, row)| row.row.kind == RowKind::Cells).find(|(_, row)| header_words(&row.cells) >= 4)?;
        let data = self.rows[first_data..at].iter().filter(|row| row.cells.len() == self.rows[at].cells.len()).count();
        (data == 0).then_some(at)
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
        let header_or = header.unwrap_or(self.width);
        self.usual = usual.filter(|&(_, count)| count * 2 > rows).map_or(header_or, |(usual, _)| usual);
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

    /// Moves a header that is one cell shorter than the rows to the right, where it fits better there.
    fn place_header(&mut self, wishes: &Wishes) {
        let is_short = self.header.is_some_and(|at| self.rows[at].cells.len() + 1 == self.width);
        if !is_short {
            return;
        }
        let points = |trial: &Self| trial.assignments.first().map_or(0.0, |assignment| assignment.points);
        let mut moved = Self { unnamed: 1, ..self.clone() };
        moved.look(wishes, &[]);
        if points(&moved) > points(self) + CLEARLY {
            *self = moved;
        }
    }

    /// The header's cells, each where its column is.
    pub(super) fn header_cells(&self) -> Option<Vec<Vec<u8>>> {
        let cells = &self.rows.get(self.header?)?.cells;
        Some([vec![Vec::new(); self.unnamed], cells.clone()].concat())
    }

    /// Reads headers, counts evidence over the body rows and `more` rows, and searches for the roles.
    fn look(&mut self, wishes: &Wishes, more: &[SampleRow]) {
        let mut scratch = Scratch::default();
        let header = self.header_cells();
        let units = self.header.and_then(|at| {
            self.rows.get(at + 1..self.first)?.iter().find(|row| row.row.kind == RowKind::Cells).map(|row| &row.cells)
        });
        let text = |cells: Option<&Vec<Vec<u8>>>, at: usize| {
            cells.and_then(|cells| cells.get(at)).map(|c| cell::text(cell::trim(c)).into_owned()).unwrap_or_default()
        };
        let mut columns: Vec<Candidate> = (0..self.width)
            .map(|at| Candidate {
                header: vocabulary::read(&text(header.as_ref(), at), &text(units, at)),
                evidence: Evidence::default(),
                wish: wishes.roles.as_ref().and_then(|roles| roles.get(at).copied().flatten()),
            })
            .collect();
        let rows = || {
            self.body_rows()
                .chain(more)
                .filter(|row| row.cells.len() <= self.width + 1 && 2 * row.cells.len() >= self.width)
        };
        // most cells stand there again and again: each is judged once
        for (at, column) in columns.iter_mut().enumerate() {
            let mut places: BTreeMap<&[u8], usize> = BTreeMap::new();
            let mut cells: Vec<(&[u8], u32)> = Vec::new();
            for cell in rows().filter_map(|row| row.cells.get(at)) {
                let place = *places.entry(cell).or_insert(cells.len());
                match cells.get_mut(place) {
                    Some((_, count)) => *count += 1,
                    None => cells.push((cell, 1)),
                }
            }
            for (cell, count) in cells {
                column.evidence.add(cell, count, &mut scratch);
            }
        }
        let calls: Vec<usize> = (0..columns.len())
            .filter(|&at| columns[at].evidence.calls * 2 > columns[at].evidence.filled)
            .take(4)
            .collect();
        let others: Vec<usize> = (0..columns.len())
            .filter(|&at| {
                let evidence = &columns[at].evidence;
                evidence.locators * 2 > evidence.filled
                    || !calls.contains(&at) && evidence.numbers.mode_levels * 2 > evidence.filled
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
        let time = fit(Role::Time).max(f64::midpoint(fit(Role::Date), fit(Role::TimeOfDay)));
        let sum = 3.0 * (time + fit(Role::Tx) + fit(Role::Rx))
            + fit(Role::TxLoc)
            + fit(Role::RxLoc)
            + fit(Role::Freq).max(fit(Role::Band))
            + fit(Role::Snr)
            + 0.5 * fit(Role::Power)
            + 0.25 * fit(Role::Drift);
        // rows that have not the usual number of cells, and lines swallowed by quotes, are not explained
        let is_row = |r: &&SampleRow| r.row.kind == RowKind::Cells;
        let rows = self.rows.iter().filter(is_row).count().saturating_sub(usize::from(self.header.is_some()));
        // nor are lines above the header, which another way to cut may read as rows
        let above = self.rows.iter().take(self.header.unwrap_or(0)).filter(is_row).count();
        let regular = self.body_rows().filter(|r| r.cells.len() == self.width).count();
        let shape =
            if rows == 0 { 1.0 } else { 0.75 + (0.25 * regular as f64 - 0.1 * above as f64).max(0.0) / rows as f64 };
        let plain = if matches!(self.delimiter, Delimiter::Char(_)) { 0.02 } else { 0.0 };
        sum / 13.75 * shape + plain
    }

    /// Looks at more rows: further down, in the middle and at the end. Gives how many were looked at.
    pub(super) fn survey(&mut self, text: &[u8], from: Place, wishes: &Wishes) -> u32 {
        let mut more = Vec::new();
        let read = self.rows.last().map_or(from, |row| row.next);
        more.extend(sample(text, read, &self.cut, self.width, 800, 1 << 20));
        let next = more.last().map_or(read, |row| row.next).at;
        let left = text.len().saturating_sub(next);
        if left > 0 {
            // line numbers do not matter here
            let begin = |at: usize| {
                let end = end_of_line(text, at);
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
    pub(super) fn length_by_locators(&self, assignment: &Assignment) -> Option<LengthUnit> {
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
        ratios.order_by(f64::total_cmp);
        let median = *ratios.get(ratios.len() / 2)?;
        LengthUnit::ALL.into_iter().find(|unit| (median * unit.km() - 1.0).abs() < 0.05)
    }

    /// Is there a column of zones or offsets from UTC, which no role is for, and is any of them not UTC?
    pub(super) fn has_zone_column(&self, assignment: &Assignment) -> bool {
        let zone = |cell: &Vec<u8>| {
            let text = str::from_utf8(cell::trim(cell)).unwrap_or_default();
            // a bare number with a sign is anything
            let is_told = text.contains(':') || text.starts_with(char::is_alphabetic);
            zone::read(text).filter(|zone| is_told && matches!(zone, ZoneMark::Utc | ZoneMark::Offset(_)))
        };
        (0..self.width).filter(|&column| assignment.role(column) == Role::Ignore).any(|column| {
            let cells =
                || self.body_rows().filter_map(|row| row.cells.get(column)).filter(|cell| !cell::is_blank(cell));
            cells().all(|cell| zone(cell).is_some()) && cells().any(|cell| zone(cell) != Some(ZoneMark::Utc))
        })
    }

    /// How the rows follow each other by their times of day, where they have no dates.
    pub(super) fn flow(&self, assignment: &Assignment, digits: u8) -> Option<Flow> {
        let (None, None, Some(column)) =
            (assignment.column(Role::Time), assignment.column(Role::Date), assignment.column(Role::TimeOfDay))
        else {
            return None;
        };
        let mut plain = String::new();
        Some(Flow::of(self.body_rows().filter_map(|row| {
            match stamp::read(row.cells.get(column)?, Want::Clock, digits, &mut plain)?.clock {
                ClockPart::At(second) => Some(second),
                _ => None,
            }
        })))
    }

    /// Where the body begins.
    pub(super) fn body(&self, from: Place) -> Place {
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

    pub(super) fn why(&self, assignment: &Assignment) -> Vec<String> {
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

    pub(super) fn runner_up(&self, chosen: &Assignment, others: &[Self], rules: &Rules) -> Option<RunnerUp> {
        let mut all: Vec<RunnerUp> = Vec::new();
        if let Some(other) = self.assignments.iter().skip(1).find(|a| a.has_calls() && a.tells_time()) {
            let changed: Vec<String> = (0..self.width)
                .filter(|&at| other.role(at) != chosen.role(at))
                .take(4)
                .map(|at| format!("column {} as {}", at + 1, in_words(other.role(at))))
                .collect();
            let less = (chosen.points - other.points).max(0.0) / 40.0;
            let roles = (0..self.width).map(|at| Some(other.role(at))).collect();
            let wishes = Wishes { roles: Some(roles), ..Wishes::default() };
            all.push(RunnerUp { text: changed.join(", "), wishes, score: (self.score - less).clamp(0.0, 1.0) });
        }
        if let Some(other) = others.first().filter(|other| other.score > 0.3) {
            all.push(RunnerUp {
                text: format!("cells separated by {}", other.cut_in_words()),
                wishes: Wishes { delimiter: Some(other.delimiter), ..Wishes::default() },
                score: other.score.min(1.0),
            });
        }
        all.extend(rules.other_order(self.score.clamp(0.0, 1.0)));
        all.into_iter().max_by(|a, b| a.score.total_cmp(&b.score))
    }
}

/// Do the cells beyond the header's last hold anything?
fn is_data_beyond(trial: &Trial, header: usize) -> bool {
    let filled = trial.body_rows().filter(|r| r.cells.iter().skip(header).any(|c| !cell::is_blank(c))).count();
    filled * 2 > trial.body_rows().count()
}
