//! How a table is to be read: a search over ways to cut it, headers and roles.
//!
//! Every way to cut rows that the text could mean is tried on its first rows. For each the header is looked for and
//! the columns are given roles; the reading that explains most of the rows as times, calls, locators, frequencies and
//! levels wins, the second best is kept. The winner's columns are then looked at over a larger sample (beginning,
//! middle and end of the file) and what concerns whole columns is decided; see [`super::rules`].

use super::cuts::cuts;
use super::lines::RowKind;
use super::rows::Cut;
use super::rules::{self, Rules};
use super::trial::Trial;
use crate::import::columns::roles::{Assignment, Candidate};
use crate::import::columns::vocabulary::Meaning;
use crate::import::fields::cell;
use crate::import::reading::RunnerUp;
use crate::import::wishes::Wishes;
use crate::import::words::{Delimiter, Role, Zone};
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
    /// Cells of the header; as many as per row where there is none or where it is wider.
    pub(crate) named: usize,
    /// Columns to the left of the header's first cell.
    pub(crate) unnamed: usize,
    /// Cells that most rows have.
    pub(crate) usual: usize,
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
#[derive(Clone, Debug)]
pub(crate) enum NoPlan {
    /// Nothing but blanks and comments.
    NoText,
    /// The columns of a spot are not there: the roles that are missing, and how the rows would be cut all the same,
    /// so that a person can say what the columns mean.
    NoRoles { missing: Vec<&'static str>, plan: Box<Plan> },
}

/// A way to cut at a delimiter that rates higher is not compared with aligned columns.
const SETTLED: f64 = 0.8;
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
    let assignment = best.assignments.first().cloned().unwrap_or_default();
    let missing = (!is_credible(&assignment, &best.columns, wishes)).then(|| missing_roles(&assignment));
    let body = best.body(from);
    let header = best.header_cells().zip(best.header).map(|(cells, at)| {
        (best.rows[at].row.line, cells.iter().map(|c| cell::text(cell::trim(c)).into_owned()).collect())
    });
    let skipped = best.rows[..best.header.unwrap_or(best.first).min(best.rows.len())]
        .iter()
        .filter(|r| r.row.kind != RowKind::Blank)
        .count() as u64;
    let mut rules = rules::decide(&best.columns, &assignment, wishes);
    if rules.length.is_none() {
        rules.length = best.length_by_locators(&assignment);
    }
    rules.flow = wishes.date.and_then(|_| best.flow(&assignment, rules.clock_digits));
    if rules.zone.zone == Zone::AssumedUtc && best.has_zone_column(&assignment) {
        rules.zone.zone = Zone::Unknown;
        rules.zone_column = true;
    }
    let why = best.why(&assignment);
    let runner_up = best.runner_up(&assignment, &trials, &rules);
    best.row_length = match (best.rows.get(best.first), best.rows.last()) {
        (Some(first), Some(last)) => (last.next.at - first.row.start) / (best.rows.len() - best.first),
        _ => 0,
    };
    let plan = Plan {
        cut: best.cut,
        delimiter: best.delimiter,
        header,
        body,
        width: best.width,
        named: best.header.map_or(best.width, |at| (best.unnamed + best.rows[at].cells.len()).min(best.width)),
        unnamed: best.unnamed,
        usual: best.usual,
        columns: best.columns,
        assignment,
        rules,
        skipped,
        score: best.score.clamp(0.0, 1.0),
        why,
        runner_up,
        surveyed,
        row_length: best.row_length,
    };
    match missing {
        Some(missing) => Err(NoPlan::NoRoles { missing, plan: Box::new(plan) }),
        None => Ok(plan),
    }
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

/// What a spot needs and an assignment does not have, in words.
fn missing_roles(assignment: &Assignment) -> Vec<&'static str> {
    let has = |role: Role| assignment.column(role).is_some();
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
