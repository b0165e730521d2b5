//! How a file was read: the sum, every column, what was set aside, notes; and the fields to correct it.

use std::collections::BTreeSet;

use askama::Template;

use super::choice;
use super::left::figure;
use crate::import::{
    Column, DateOrder, DecimalMark, Delimiter, Encoding, ErrorKind, Format, FreqUnit, NoteKind, PowerUnit,
    Reading as FileReading, Reason, Report, Role, SetAside, Wishes, Zone, aside_cells,
};
use crate::model::RowSet;
use crate::page::files::SourceFile;
use crate::page::loaded::Loaded;
use crate::page::memory::Memory;
use crate::page::menus::{Choice, doubt_words};
use crate::page::message::Keeping;
use crate::page::state::State;
use crate::study::doubt::{Doubt, Doubts};
use crate::words::number::{NO_BREAK, count, counted, decimals};
use crate::words::terms::rows_read;

/// Rows of the file that are shown.
const ROWS: usize = 12;
/// Rows shown per reason.
const ASIDE_ROWS: usize = 6;
/// Lines offered as the header.
const HEADER_LINES: u32 = 12;

#[derive(Debug)]
struct Fact {
    act: &'static str,
    word: &'static str,
    value: String,
    options: Vec<Choice>,
}

#[derive(Debug)]
struct ColumnView {
    at: usize,
    number: usize,
    header: String,
    class: &'static str,
    fit: String,
    roles: Vec<Choice>,
}

#[derive(Debug)]
struct CellView {
    class: &'static str,
    words: String,
}

#[derive(Debug)]
struct RowView {
    line: String,
    cells: Vec<CellView>,
}

/// Rows set aside for one reason.
#[derive(Debug)]
struct Group {
    reason: &'static str,
    count: String,
    why: String,
    rows: Vec<AsideRow>,
    more: String,
    /// What would bring them in.
    ways: Vec<Choice>,
}

#[derive(Debug)]
struct AsideRow {
    line: String,
    cells: Vec<AsideCell>,
}

#[derive(Debug)]
struct AsideCell {
    words: String,
    class: &'static str,
    /// How many columns it takes.
    span: usize,
}

/// Doubtful spots of one reason.
#[derive(Debug)]
struct DoubtLine {
    word: &'static str,
    reason: &'static str,
    count: String,
    out: bool,
}

/// All doubtful spots.
#[derive(Debug)]
struct Doubtful {
    lines: Vec<DoubtLine>,
    count: String,
    all_out: bool,
}

fn doubtful(doubts: &Doubts, without: &BTreeSet<Doubt>) -> Doubtful {
    let line = |(doubt, rows): &(Doubt, RowSet)| DoubtLine {
        word: doubt.word(),
        reason: doubt_words(*doubt),
        count: count(rows.count()),
        out: without.contains(doubt),
    };
    Doubtful {
        lines: doubts.by_reason.iter().map(line).collect(),
        count: counted(doubts.any.count(), "doubtful spot", "doubtful spots"),
        all_out: !doubts.by_reason.is_empty() && doubts.reasons().is_subset(without),
    }
}

#[derive(Debug, Template)]
#[template(path = "reading.html")]
pub(in crate::page) struct Reading {
    name: String,
    files: Vec<Choice>,
    error: Option<String>,
    /// Does every row have what a spot needs, if the columns are what they seem?
    acceptable: bool,
    any_rows: bool,
    equation: String,
    rows: String,
    used: String,
    aside: String,
    repeated: String,
    facts: Vec<Fact>,
    columns: Vec<ColumnView>,
    preview: Vec<RowView>,
    change: Option<String>,
    groups: Vec<Group>,
    save_label: String,
    /// Nothing where there are no spots to doubt.
    doubts: Option<Doubtful>,
    notes: Vec<String>,
    why: Vec<String>,
    score: String,
    runner_up: String,
    remembered: String,
    keeping: Vec<Choice>,
}

/// What the panel shows besides the reading itself.
#[derive(Debug)]
pub(in crate::page) struct Around<'a> {
    pub(in crate::page) state: &'a State,
    /// Nothing where the file gave no spot.
    pub(in crate::page) loaded: Option<&'a Loaded>,
    pub(in crate::page) source: &'a SourceFile,
    /// What the last correction did.
    pub(in crate::page) change: Option<String>,
    pub(in crate::page) memory: &'a Memory,
    pub(in crate::page) keeping: Keeping,
}

impl Reading {
    /// `at` is the file shown.
    pub(in crate::page) fn new(readings: &[FileReading], at: usize, around: Around<'_>) -> Option<Self> {
        let reading = readings.get(at)?;
        let Around { state, loaded, source, change, memory, keeping } = around;
        let wishes = &source.wishes;
        let subject = loaded.map(Loaded::subject);
        let without = &state.filter.without;
        let aside = reading.set_aside.len() as u64;
        let (rows, used, repeated) = (figure(reading.rows), figure(reading.spots), figure(reading.duplicates));
        Some(Self {
            name: reading.name.clone(),
            files: readings
                .iter()
                .enumerate()
                .map(|(index, reading)| choice("file", index.to_string(), reading.name.as_str(), index == at))
                .collect(),
            error: reading.error.as_ref().map(|error| error.text.clone()),
            acceptable: reading.error.as_ref().is_some_and(|error| error.kind == ErrorKind::NoRoles)
                && reading.columns.iter().any(|column| column.role == Role::Tx)
                && reading.columns.iter().any(|column| column.role == Role::Rx),
            any_rows: reading.rows > 0,
            equation: rows_read(reading.rows, reading.spots, aside, reading.duplicates),
            rows,
            used,
            aside: figure(aside),
            repeated,
            facts: facts(reading, wishes),
            columns: reading
                .columns
                .iter()
                .enumerate()
                .map(|(at, column)| column_view(at, column, wishes, reading))
                .collect(),
            preview: preview(reading),
            change,
            groups: groups(reading),
            save_label: if aside == 1 {
                "Save the row with its reason".to_owned()
            } else {
                format!("Save the {} rows with reasons", figure(aside))
            },
            doubts: subject.as_ref().map(|subject| doubtful(subject.doubts(), without)),
            notes: reading.notes.iter().map(|note| note.text.clone()).collect(),
            why: reading.why.clone(),
            score: decimals(100.0 * reading.score, 0),
            runner_up: reading.runner_up.as_ref().map_or_else(String::new, |other| {
                format!("{} ({}{NO_BREAK}of 100)", other.text, decimals(100.0 * other.score, 0))
            }),
            remembered: remembered(source, memory, keeping),
            keeping: if *wishes == Wishes::default() && memory.is_empty() {
                Vec::new()
            } else {
                match keeping {
                    Keeping::Never => Vec::new(),
                    Keeping::NotYet => vec![choice("keep-corrections", "yes", "Remember in this browser", false)],
                    Keeping::Always => vec![choice("keep-corrections", "no", "Forget all corrections", false)],
                }
            },
        })
    }
}

/// Whether the corrections of this file hold for others of its kind.
fn remembered(source: &SourceFile, memory: &Memory, keeping: Keeping) -> String {
    let known = source.header.as_deref().is_some_and(|header| memory.recall(header).is_some());
    if !known {
        return String::new();
    }
    match keeping {
        Keeping::Always => "Remembered in this browser for files with these headings.".to_owned(),
        Keeping::Never => {
            "Remembered for files with these headings until this page is closed: this browser keeps nothing.".to_owned()
        }
        Keeping::NotYet => "Remembered for files with these headings until this page is closed. \
                            What a page from disk keeps, other pages from disk can read."
            .to_owned(),
    }
}

/// What a column can mean, in words.
pub(in crate::page) fn role_words(role: Role) -> &'static str {
    match role {
        Role::Time => "Time",
        Role::Date => "Date",
        Role::TimeOfDay => "Time of day",
        Role::Tx => "Sender",
        Role::Rx => "Listener",
        Role::TxLoc => "Sender's locator",
        Role::RxLoc => "Listener's locator",
        Role::Freq => "Frequency",
        Role::Band => "Band",
        Role::Snr => "SNR",
        Role::Drift => "Drift",
        Role::Power => "Power",
        Role::Distance => "Distance",
        Role::Azimuth => "Bearing",
        Role::Ignore => "Left out",
    }
}

/// Why rows were set aside, in words.
fn reason_words(reason: Reason) -> &'static str {
    match reason {
        Reason::BadTime => "No time that can be read",
        Reason::DateAmbiguous => "A date that can be read two ways",
        Reason::ZoneAmbiguous => "A time zone that can mean several",
        Reason::NoTx => "No sender",
        Reason::NoRx => "No listener",
        Reason::NotACall => "Not a call",
        Reason::CallDamaged => "A call turned into something else",
        Reason::CallUnresolved => "A call never resolved",
        Reason::TooManyColumns => "More cells than columns",
        Reason::TooFewColumns => "Fewer cells than columns",
        Reason::CutLine => "A line that ends early",
        Reason::NotASpot => "Not a row of the table",
    }
}

fn is_figure(role: Role) -> bool {
    matches!(role, Role::Freq | Role::Snr | Role::Drift | Role::Power | Role::Distance | Role::Azimuth)
}

fn column_view(at: usize, column: &Column, wishes: &Wishes, reading: &FileReading) -> ColumnView {
    let wished = wishes.roles.as_ref().and_then(|roles| roles.get(at).copied().flatten());
    let roles = Role::ALL
        .iter()
        .map(|&role| {
            let unit = column.unit.as_deref().filter(|_| role == column.role);
            let label =
                unit.map_or_else(|| role_words(role).to_owned(), |unit| format!("{}, {unit}", role_words(role)));
            choice("role", role.as_str(), label, role == column.role)
        })
        .collect();
    let missing = column.filled - column.fitting.min(column.filled);
    let fit = if reading.rows == 0 {
        String::new()
    } else if column.role == Role::Ignore {
        "not used".to_owned()
    } else if column.filled == 0 {
        "empty".to_owned()
    } else if missing == 0 {
        "fits all".to_owned()
    } else if missing == 1 {
        "1 does not fit".to_owned()
    } else {
        format!("{} do not fit", figure(missing))
    };
    ColumnView {
        at,
        number: at + 1,
        header: column.header.clone(),
        class: match (is_figure(column.role), wished.is_some()) {
            (true, true) => "r hot",
            (true, false) => "r",
            (false, true) => "hot",
            (false, false) => "",
        },
        fit,
        roles,
    }
}

fn preview(reading: &FileReading) -> Vec<RowView> {
    let rows = reading.preview.iter().filter(|row| reading.header_line != Some(row.line)).take(ROWS);
    rows.map(|row| RowView {
        line: count(row.line as usize),
        cells: row
            .cells
            .iter()
            .enumerate()
            .map(|(at, cell)| CellView {
                class: if reading.columns.get(at).is_some_and(|column| is_figure(column.role)) { "r" } else { "" },
                words: cell.clone(),
            })
            .collect(),
    })
    .collect()
}

fn groups(reading: &FileReading) -> Vec<Group> {
    let mut groups = Vec::new();
    for &reason in Reason::ALL {
        let rows: Vec<_> = reading.set_aside.iter().filter(|row| row.reason == reason).collect();
        let Some(first) = rows.first() else { continue };
        let beyond: Vec<String> =
            rows.iter().skip(ASIDE_ROWS).take(ASIDE_ROWS).map(|row| count(row.line as usize)).collect();
        let more = match rows.len().saturating_sub(ASIDE_ROWS) {
            0 => String::new(),
            n if n <= beyond.len() => format!("and on lines {}", beyond.join(", ")),
            n => format!("and {} more, on lines {} …", count(n), beyond.join(", ")),
        };
        groups.push(Group {
            reason: reason_words(reason),
            count: counted(rows.len(), "row", "rows"),
            why: first.text.clone().into_owned(),
            rows: rows.iter().take(ASIDE_ROWS).map(|row| aside_row(reading, row)).collect(),
            more,
            ways: ways_in(reason, reading),
        });
    }
    groups
}

/// A row in the file's own words, the cell at fault marked.
fn aside_row(reading: &FileReading, row: &SetAside) -> AsideRow {
    let line = count(row.line as usize);
    let width = reading.columns.len().max(1);
    let Some(words) = aside_cells(reading, row) else {
        return AsideRow { line, cells: vec![AsideCell { words: row.text.to_string(), class: "soft", span: width }] };
    };
    if words.len() == 1 && width > 1 {
        let words = words.concat();
        return AsideRow { line, cells: vec![AsideCell { words, class: "", span: width }] };
    }
    let mut cells: Vec<AsideCell> = words
        .into_iter()
        .enumerate()
        .map(|(at, words)| {
            let wrong = row.column.map(usize::from) == Some(at);
            let right = reading.columns.get(at).is_some_and(|column| is_figure(column.role));
            AsideCell {
                words: if wrong && words.is_empty() { "empty".to_owned() } else { short(&words) },
                class: match (wrong, right) {
                    (true, true) => "r wrong",
                    (true, false) => "wrong",
                    (false, true) => "r",
                    (false, false) => "",
                },
                span: 1,
            }
        })
        .collect();
    if cells.len() < width {
        let missing = width - cells.len();
        cells.push(AsideCell { words: "ends here".to_owned(), class: "wrong", span: missing });
    }
    AsideRow { line, cells }
}

/// The beginning of a cell that would not fit a table.
fn short(words: &str) -> String {
    const MOST: usize = 60;
    if words.chars().nth(MOST).is_none() {
        return words.to_owned();
    }
    words.chars().take(MOST).chain(['…']).collect()
}

/// Corrections that would bring rows of a reason in, where that can be.
fn ways_in(reason: Reason, reading: &FileReading) -> Vec<Choice> {
    if reading.format != Some(Format::Delimited) {
        return Vec::new();
    }
    match reason {
        Reason::CutLine | Reason::TooManyColumns | Reason::TooFewColumns => {
            vec![choice("use-aside", reason.as_str(), "Use them all the same", false)]
        }
        Reason::DateAmbiguous => vec![
            choice("wish-dates", DateOrder::DayFirst.as_str(), "Read the day first", false),
            choice("wish-dates", DateOrder::MonthFirst.as_str(), "Read the month first", false),
        ],
        Reason::ZoneAmbiguous => vec![choice("wish-zone", "0", "Take them as UTC", false)],
        _ => Vec::new(),
    }
}

fn delimiter_words(delimiter: Delimiter) -> String {
    match delimiter {
        Delimiter::Aligned => "blanks".to_owned(),
        Delimiter::Char(b',') => "comma".to_owned(),
        Delimiter::Char(b';') => "semicolon".to_owned(),
        Delimiter::Char(b'\t') => "tab".to_owned(),
        Delimiter::Char(b'|') => "bar".to_owned(),
        other @ Delimiter::Char(_) => other.as_str().to_owned(),
    }
}

/// Options of one decision: what holds now stands among them even if it is none of the usual ones.
fn options(act: &'static str, usual: &[(&str, &str)], now: &str, now_label: &str) -> Vec<Choice> {
    let mut options: Vec<Choice> =
        usual.iter().map(|&(value, label)| choice(act, value, label, value == now)).collect();
    if let Some(current) = options.iter_mut().find(|option| option.on) {
        now_label.clone_into(&mut current.label);
    } else {
        options.insert(0, choice(act, now, now_label, true));
    }
    options
}

fn facts(reading: &FileReading, wishes: &Wishes) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut push = |act, word, value: String, options| facts.push(Fact { act, word, value, options });
    if let Some(container) = reading.container {
        push("", "Packed as", container.as_str().to_owned(), Vec::new());
    }
    if let Some(delimiter) = reading.delimiter {
        let usual = [
            Delimiter::Char(b','),
            Delimiter::Char(b';'),
            Delimiter::Char(b'\t'),
            Delimiter::Char(b'|'),
            Delimiter::Aligned,
        ];
        let usual = usual.map(|one| (one.as_str(), delimiter_words(one)));
        let usual: Vec<(&str, &str)> = usual.iter().map(|(value, label)| (*value, label.as_str())).collect();
        let now = delimiter_words(delimiter);
        push(
            "wish-delimiter",
            "Between columns",
            now.clone(),
            options("wish-delimiter", &usual, delimiter.as_str(), &now),
        );
    } else if let Some(format) = reading.format {
        push("", "Format", format.as_str().to_ascii_uppercase(), Vec::new());
    }
    if reading.format == Some(Format::Delimited) {
        let now = reading.header_line.map_or("none".to_owned(), |line| line.to_string());
        let label = |line: &str| if line == "none" { "none".to_owned() } else { format!("line{NO_BREAK}{line}") };
        let lines: Vec<String> =
            std::iter::once("none".to_owned()).chain((1..=HEADER_LINES).map(|line| line.to_string())).collect();
        let labels: Vec<String> = lines.iter().map(|line| label(line)).collect();
        let usual: Vec<(&str, &str)> =
            lines.iter().map(String::as_str).zip(labels.iter().map(String::as_str)).collect();
        push("wish-header", "Headings", label(&now), options("wish-header", &usual, &now, &label(&now)));
    }
    if reading.note(NoteKind::AdifDirection).is_some() {
        let usual = [
            (Report::Given.as_str(), "given, how it heard others"),
            (Report::Received.as_str(), "received, how others heard it"),
            (Report::Both.as_str(), "both, as two spots"),
        ];
        let now = wishes.report.unwrap_or(Report::Given);
        let label = usual.iter().find(|(word, _)| *word == now.as_str()).map_or("", |(_, label)| label);
        push("wish-report", "Report", label.to_owned(), options("wish-report", &usual, now.as_str(), label));
    }
    let decisions = &reading.decisions;
    if let Some(mark) = decisions.decimal_mark {
        let label = |mark| if mark == DecimalMark::Point { "point" } else { "comma" };
        let usual = [(DecimalMark::Point.as_str(), "point"), (DecimalMark::Comma.as_str(), "comma")];
        push(
            "wish-decimal",
            "Decimal mark",
            label(mark).to_owned(),
            options("wish-decimal", &usual, mark.as_str(), label(mark)),
        );
    }
    if let Some(encoding) = reading.encoding {
        let usual = [
            ("utf-8", "UTF-8"),
            ("windows-1252", "windows-1252"),
            ("windows-1250", "windows-1250"),
            ("windows-1251", "windows-1251"),
            ("utf-16le", "UTF-16LE"),
            ("utf-16be", "UTF-16BE"),
        ];
        let now = encoding.as_str();
        let label = match encoding {
            Encoding::Legacy(_) => now.to_owned(),
            _ => now.to_ascii_uppercase().replace("-BOM", " with mark"),
        };
        push("wish-encoding", "Letters", label.clone(), options("wish-encoding", &usual, now, &label));
    }
    if let Some(order) = decisions.date_order {
        let words = |order| match order {
            DateOrder::DayFirst => "day first",
            DateOrder::MonthFirst => "month first",
            DateOrder::YearFirst => "year first",
        };
        let usual: Vec<(&str, &str)> = DateOrder::ALL.iter().map(|&order| (order.as_str(), words(order))).collect();
        push(
            "wish-dates",
            "Dates",
            words(order).to_owned(),
            options("wish-dates", &usual, order.as_str(), words(order)),
        );
    }
    if let Some(unit) = decisions.freq_unit {
        let usual: Vec<(&str, &str)> = FreqUnit::ALL.iter().map(|unit| (unit.as_str(), unit.as_str())).collect();
        push(
            "wish-frequency",
            "Frequency in",
            unit.as_str().to_owned(),
            options("wish-frequency", &usual, unit.as_str(), unit.as_str()),
        );
    }
    if let Some(unit) = decisions.power_unit {
        let usual: Vec<(&str, &str)> = PowerUnit::ALL.iter().map(|unit| (unit.as_str(), unit.as_str())).collect();
        push(
            "wish-power",
            "Power in",
            unit.as_str().to_owned(),
            options("wish-power", &usual, unit.as_str(), unit.as_str()),
        );
    }
    if let Some(zone) = decisions.zone {
        facts.push(zone_fact(zone, wishes));
    }
    facts
}

/// Offsets in use on the earth, in minutes from UTC (whole and some half hours; common practice, no source).
const OFFSETS_MIN: [i32; 34] = [
    -720, -660, -600, -570, -540, -480, -420, -360, -300, -240, -210, -180, -120, -60, 0, 60, 120, 180, 210, 240, 270,
    300, 330, 345, 360, 390, 420, 480, 540, 570, 600, 660, 720, 780,
];

fn zone_fact(zone: Zone, wishes: &Wishes) -> Fact {
    let now = match (zone, wishes.utc_offset_s) {
        (_, Some(seconds)) => offset_words(seconds / 60),
        (Zone::Stated, None) => "UTC, stated".to_owned(),
        (Zone::AssumedUtc, None) => "UTC, assumed".to_owned(),
        (Zone::Unknown, None) => "unknown".to_owned(),
        (Zone::Chosen, None) => "chosen".to_owned(),
    };
    let mut options = vec![choice(
        "wish-zone",
        "",
        if wishes.utc_offset_s.is_some() { "as the file says" } else { &now },
        wishes.utc_offset_s.is_none(),
    )];
    options.extend(OFFSETS_MIN.map(|minutes| {
        let on = wishes.utc_offset_s == Some(minutes * 60);
        choice("wish-zone", minutes.to_string(), offset_words(minutes), on)
    }));
    Fact { act: "wish-zone", word: "Zone", value: now, options }
}

fn offset_words(minutes: i32) -> String {
    if minutes == 0 {
        return "UTC".to_owned();
    }
    let sign = if minutes < 0 { '\u{2212}' } else { '+' };
    format!("UTC{sign}{:02}:{:02}", minutes.abs() / 60, minutes.abs() % 60)
}
