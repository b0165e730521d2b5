//! Tables as text: delimited, barred or aligned.
//!
//! First a plan is made from a sample of the rows, then all rows are read with it. What the rows as a whole say
//! against the plan (dates that allow only the other order, units, digits of clocks) makes a second reading; a header
//! with other columns in the middle begins a table of its own.
//!
//! - [`rows`]: text to rows of cells, with [`lines`] and [`cells`]
//! - [`aligned`]: columns that stand under each other
//! - [`plan`]: the search for how a table is to be read: [`cuts`] to try, a [`trial`] of each on a [`sample`], its [`header`]
//! - [`rules`]: what is decided for whole columns
//! - [`parts`]: what other workers read of them
//! - [`pass`]: one pass over all rows; [`times`]: the time of a row; [`values`]: its frequency, level and power

pub(crate) mod aligned;
pub(crate) mod cells;
mod cuts;
mod header;
pub(crate) mod lines;
pub(crate) mod parts;
pub(crate) mod pass;
pub(crate) mod plan;
pub(crate) mod rows;
pub(crate) mod rules;
mod sample;
pub(crate) mod times;
mod trial;
mod values;

use std::mem;

use farheard_scan::stretch::Back;

use self::cells::Cells;
use self::lines::RowKind;
use self::parts::Share;
pub(crate) use self::pass::is_header_otherwise;
use self::pass::{Pass, Resting};
use self::plan::{NoPlan, Place, Plan};
use self::rows::Rows;
use super::account::Account;
use super::columns::decide::{self, Basis};
use super::fields::cell;
use super::problem::{error, plain_error};
use super::reading::{Column, Note, PreviewRow, Reading, SoFar};
use super::wishes::Wishes;
use super::words::{ErrorKind, Format, NoteKind, PowerUnit, Reason, Role, Zone};
use crate::model::{Mark, TableBuilder};

/// Tables in one file, one after the other with headers of their own; more are read as rows of the last.
const MOST_TABLES: usize = 64;
/// Rows and cells of the preview.
const PREVIEW_ROWS: usize = 12;
const PREVIEW_CELLS: usize = 64;
const PREVIEW_CHARS: usize = 80;

/// Reads a decoded text into the table. `cut` says that the file is known to end too early.
pub(crate) fn read(text: &[u8], cut: bool, wishes: &Wishes, table: &mut TableBuilder, reading: &mut Reading) {
    let mut steps = Steps::begin(text, wishes, reading);
    while !steps.go_on(text, cut, wishes, table, reading, usize::MAX) {}
}

/// A text being read in steps, so that a large one can be left between any two rows.
#[derive(Debug)]
pub(crate) struct Steps {
    sep: Option<u8>,
    /// Where the table in hand begins, and which it is.
    from: Place,
    number: usize,
    account: Account,
    /// The table in hand; nothing once all is read.
    now: Option<Now>,
}

/// A table that is being read.
#[derive(Debug)]
struct Now {
    plan: Plan,
    mark: Option<Mark>,
    pass: Resting,
    /// Were its rows read once already, with a worse plan?
    again: bool,
}

impl Now {
    fn new(plan: Plan, wishes: &Wishes) -> Self {
        Self { pass: Resting::before(&plan, wishes), plan, mark: None, again: false }
    }
}

impl Steps {
    /// Makes the plan for the first table, without reading its rows.
    pub(crate) fn begin(text: &[u8], wishes: &Wishes, reading: &mut Reading) -> Self {
        reading.format = Some(Format::Delimited);
        let (sep, from) = match cuts::sep_line(text) {
            Some((delimiter, from)) => (Some(delimiter), from),
            None => (None, Place { at: 0, line: 1 }),
        };
        if sep.is_some() {
            let text = "The first line names the delimiter and is neither header nor row.".to_owned();
            reading.notes.push(Note { kind: NoteKind::SepLine, count: None, text });
        }
        let mut steps = Self { sep, from, number: 0, account: Account::default(), now: None };
        match plan::plan(text, from, sep, wishes) {
            Err(reason) => refuse(text, reason, reading),
            Ok(plan) => {
                describe(text, &plan, reading);
                match missing_times(&plan, wishes) {
                    Some(kind) => reading.error = Some(plain_error(kind)),
                    None => steps.now = Some(Now::new(plan, wishes)),
                }
            }
        }
        steps
    }

    /// Reads on for about so many bytes. Is all of it read, and said in the reading?
    pub(crate) fn go_on(
        &mut self,
        text: &[u8],
        cut: bool,
        wishes: &Wishes,
        table: &mut TableBuilder,
        reading: &mut Reading,
        bytes: usize,
    ) -> bool {
        let Some(mut now) = self.now.take() else { return true };
        if reading.file.is_none() {
            reading.file = Some(table.begin_file(&reading.name));
        }
        let mark = *now.mark.get_or_insert_with(|| {
            // rows are about as long as the first ones
            table.reserve((text.len() - now.plan.body.at) / now.plan.row_length.max(8) + 16);
            table.mark()
        });
        let (pass, ended) = now.pass.go_on(text, &now.plan, cut, wishes, table, bytes);
        if !ended {
            self.now = Some(Now { pass, ..now });
            return false;
        }
        let pass = pass.finish();
        // if the rows as a whole speak against the plan, once more with a better one
        if !now.again && reconsider(&mut now.plan, &pass, wishes) {
            table.return_to(mark);
            self.now = Some(Now { pass: Resting::before(&now.plan, wishes), again: true, ..now });
            return false;
        }
        if self.number == 0 {
            conclude(&now.plan, &pass, reading);
        }
        let next = pass.next_table;
        self.account.join(pass.account);
        if self.begin_next(text, next, wishes) {
            return false;
        }
        if reading.error.is_none() {
            reading.error = fault(&self.account);
        }
        mem::take(&mut self.account).settle(reading);
        true
    }

    /// Goes over to a table that follows with a header of its own, if there is one.
    fn begin_next(&mut self, text: &[u8], next: Option<Place>, wishes: &Wishes) -> bool {
        let Some(place) = next.filter(|place| self.number + 1 < MOST_TABLES && place.at > self.from.at) else {
            return false;
        };
        self.from = place;
        self.account.repeated_headers += 1;
        self.number += 1;
        self.now = plan::plan(text, place, self.sep, wishes).ok().map(|plan| Now::new(plan, wishes));
        self.now.is_some()
    }

    /// Cuts a part for another worker out of what is left of the table in hand: head and text of at most `most` bytes, `own`
    /// bytes behind the part before. None before the first rows were read, and where too little is left.
    pub(crate) fn share(&mut self, text: &[u8], own: usize, most: usize) -> Option<Share> {
        self.now.as_mut().and_then(|now| now.pass.share(text, &now.plan, own, most))
    }

    /// What another worker read of a part that begins at `from`; nothing if it could not.
    pub(crate) fn take(&mut self, from: usize, stretch: Option<Back>) {
        if let Some(now) = &mut self.now {
            now.pass.parts.take(from, stretch);
        }
    }

    /// The part before whose return nothing is to be read.
    pub(crate) fn waits(&self) -> Option<usize> {
        self.now.as_ref().and_then(|now| now.pass.parts.waits(now.pass.next.at))
    }

    /// How far it is read, in bytes of the text.
    pub(crate) fn at(&self) -> Option<usize> {
        self.now.as_ref().map(|now| now.pass.next.at)
    }

    /// Rows, spots, rows set aside and repeats so far.
    pub(crate) fn so_far(&self) -> SoFar {
        let pass = self.now.as_ref().map(|now| now.pass.pass.account.so_far()).unwrap_or_default();
        pass.plus(self.account.so_far())
    }
}

/// Changes the plan where all rows together say something else than the sample did. Was anything changed?
fn reconsider(plan: &mut Plan, pass: &Pass, wishes: &Wishes) -> bool {
    let mut changed = false;
    let doubts = &pass.doubts;
    let twelve = [Role::Time, Role::TimeOfDay]
        .iter()
        .filter_map(|&role| plan.assignment.column(role))
        .any(|column| plan.columns[column].evidence.times.twelve_hours > 0);
    let order = decide::date_order(&doubts.order, twelve, wishes.date_order);
    if doubts.order.total() > 0 && order != plan.rules.order {
        changed |= order.order != plan.rules.order.order
            || (order.basis == Basis::Mixed) != (plan.rules.order.basis == Basis::Mixed);
        plan.rules.order = order;
    }
    if doubts.long_clocks > 0 && plan.rules.clock_digits == 4 {
        plan.rules.clock_digits = 6;
        changed = true;
    }
    // assumed dBm from a sample of small whole numbers; the rest of the file has hundreds or decimals
    if plan.rules.power.basis == Basis::Assumed
        && plan.rules.power.unit == PowerUnit::Dbm
        && doubts.power_others * 10 > doubts.power_levels
        && doubts.power_others > u64::from(plan.surveyed)
    {
        plan.rules.power.unit = PowerUnit::W;
        changed = true;
    }
    changed
}

/// Is there no way to tell when a row was?
fn missing_times(plan: &Plan, wishes: &Wishes) -> Option<ErrorKind> {
    let has = |role: Role| plan.assignment.column(role).is_some();
    let rows = plan.surveyed > 0;
    match (has(Role::Time), has(Role::Date), has(Role::TimeOfDay)) {
        _ if !rows => None,
        (false, false, true) if wishes.date.is_none() => Some(ErrorKind::NoDate),
        (false, true, false) => Some(ErrorKind::NoUsableTime),
        _ => None,
    }
}

fn refuse(text: &[u8], reason: NoPlan, reading: &mut Reading) {
    reading.error = Some(match reason {
        NoPlan::NoText => plain_error(ErrorKind::Empty),
        NoPlan::NoRoles { missing, plan } => {
            describe(text, &plan, reading);
            let lacks = if missing.is_empty() {
                "it has names and times, as many lists have, but nothing that only spots have".to_owned()
            } else {
                format!("no column holds {}", missing.join(" and none "))
            };
            error(
                ErrorKind::NoRoles,
                format!(
                    "No table of spots was found: {lacks}. If there is one, choose it; otherwise this is another file."
                ),
            )
        }
    });
}

/// Writes into the reading what is known before the rows are read.
fn describe(text: &[u8], plan: &Plan, reading: &mut Reading) {
    reading.delimiter = Some(plan.delimiter);
    reading.header_line = plan.header.as_ref().map(|(line, _)| *line);
    reading.columns = (0..plan.width)
        .map(|at| {
            let role = plan.assignment.role(at);
            let header = plan.header.as_ref().and_then(|(_, cells)| cells.get(at)).cloned().unwrap_or_default();
            Column { role, header, unit: unit_of(plan, role, at), filled: 0, fitting: 0 }
        })
        .collect();
    reading.decisions = plan.rules.decisions(&plan.assignment);
    reading.preview = preview(text, plan);
    reading.score = plan.score;
    reading.why.clone_from(&plan.why);
    reading.runner_up.clone_from(&plan.runner_up);
    if plan.header.is_none() {
        let text =
            "There is no header line: the first row is data, and the columns are told by their cells.".to_owned();
        reading.notes.push(Note { kind: NoteKind::NoHeader, count: None, text });
    }
}

fn unit_of(plan: &Plan, role: Role, at: usize) -> Option<String> {
    let rules = &plan.rules;
    let own = |with: u32| with > 0 && plan.columns[at].evidence.numbers.bare == 0;
    let numbers = &plan.columns[at].evidence.numbers;
    match role {
        Role::Freq if own(numbers.with_freq_unit) || rules.freq.basis == Basis::Mixed => {
            Some("in each cell".to_owned())
        }
        Role::Freq => Some(rules.freq.unit.as_str().to_owned()),
        Role::Power if own(numbers.with_power_unit) => Some("in each cell".to_owned()),
        Role::Power => Some(rules.power.unit.as_str().to_owned()),
        Role::Snr => Some("dB".to_owned()),
        Role::Drift => Some("Hz/min".to_owned()),
        Role::Distance => rules.length.map(|length| length.name().to_owned()),
        Role::Azimuth => Some("°".to_owned()),
        _ => None,
    }
}

/// The header and the first rows as they stand.
fn preview(text: &[u8], plan: &Plan) -> Vec<PreviewRow> {
    let cut_to = |cells: &mut dyn Iterator<Item = &[u8]>| -> Vec<String> {
        cells
            .take(PREVIEW_CELLS)
            .map(|c| cell::text(&c[..c.len().min(4 * PREVIEW_CHARS)]).chars().take(PREVIEW_CHARS).collect())
            .collect()
    };
    let mut preview = Vec::new();
    if let Some((line, cells)) = &plan.header {
        preview.push(PreviewRow { line: *line, cells: cut_to(&mut cells.iter().map(String::as_bytes)) });
    }
    let mut rows = Rows::new(text, plan.body.at, plan.body.line, &plan.cut, plan.width);
    let mut cells = Cells::default();
    while preview.len() < PREVIEW_ROWS {
        let Some(row) = rows.next(&mut cells) else { break };
        if row.kind == RowKind::Cells {
            preview.push(PreviewRow { line: row.line, cells: cut_to(&mut cells.iter(text)) });
        }
    }
    preview
}

/// Writes into the reading what the rows as a whole have shown.
fn conclude(plan: &Plan, pass: &Pass, reading: &mut Reading) {
    for (at, column) in reading.columns.iter_mut().enumerate() {
        column.filled = pass.filled.get(at).copied().unwrap_or(0);
        let fitting = pass.fitting.get(at).copied().unwrap_or(0);
        column.fitting = match column.role {
            // of rows that are used these always fit
            Role::Time | Role::Date | Role::TimeOfDay | Role::Tx | Role::Rx => {
                fitting + pass.account.spots + pass.account.duplicates
            }
            Role::Ignore | Role::Distance | Role::Azimuth => column.filled,
            _ => fitting,
        }
        .min(column.filled);
    }
    reading.decisions = plan.rules.decisions(&plan.assignment);
    let read = pass.account.spots + pass.account.duplicates;
    if plan.rules.zone.zone == Zone::AssumedUtc && read > 0 {
        let text = "Times name no zone and are taken as UTC, the custom of the trade.".to_owned();
        reading.notes.push(Note { kind: NoteKind::UtcAssumed, count: None, text });
    }
    reading.notes.extend(plan.rules.notes(&plan.assignment, &plan.columns));
}

/// Why there are no spots, if there are none.
fn fault(account: &Account) -> Option<super::reading::FileError> {
    if account.spots + account.duplicates > 0 {
        return None;
    }
    let rows = account.rows;
    Some(if rows == 0 {
        plain_error(ErrorKind::NoRows)
    } else if account.is_all(Reason::BadTime) {
        plain_error(ErrorKind::NoUsableTime)
    } else if account.is_all(Reason::DateAmbiguous) {
        plain_error(ErrorKind::DateOrderMixed)
    } else {
        error(
            ErrorKind::NoRows,
            format!("The file has {rows} rows, but none of them is a spot: see the rows set aside for the reasons."),
        )
    })
}
