//! What a plan decides for whole columns, and the sentences that say so.

use super::times::Flow;
use crate::import::columns::decide::{self, Basis, FreqDecision, OrderDecision, PowerDecision, ZoneDecision};
use crate::import::columns::evidence::{Evidence, TimeEvidence, share};
use crate::import::columns::roles::{Assignment, Candidate};
use crate::import::columns::vocabulary::{Header, LengthUnit, Meaning};
use crate::import::fields::stamp::Form;
use crate::import::reading::{Decisions, Note, RunnerUp};
use crate::import::wishes::Wishes;
use crate::import::words::{DateOrder, DecimalMark, NoteKind, Role, Zone};

/// Decisions for the columns of one table.
#[derive(Clone, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each is decided for another column")]
pub(crate) struct Rules {
    pub(crate) order: OrderDecision,
    pub(crate) zone: ZoneDecision,
    /// Digits of bare times of day before leading zeros were lost: 4 or 6.
    pub(crate) clock_digits: u8,
    /// Do times of day go to twelve, with AM or PM behind them?
    pub(crate) twelve_hours: bool,
    /// How times of day follow each other, in a table without dates whose first one the person gave.
    pub(crate) flow: Option<Flow>,
    /// Has each row a zone in a column of its own?
    pub(crate) zone_column: bool,
    pub(crate) freq: FreqDecision,
    /// Do (nearly) all frequencies lie in amateur bands, so that one that does not is suspicious in a shifted row?
    pub(crate) freq_in_band: bool,
    pub(crate) power: PowerDecision,
    pub(crate) power_mark: DecimalMark,
    pub(crate) snr_mark: DecimalMark,
    pub(crate) drift_mark: DecimalMark,
    /// Are levels reports of readability and strength unless they have a sign?
    pub(crate) reports: bool,
    /// Do bare numbers in the band column mean megahertz?
    pub(crate) band_in_mhz: bool,
    /// Unit of the distance column: as header or cells say, else as its distances agree with the locators.
    pub(crate) length: Option<LengthUnit>,
    mark: DecimalMark,
    forms: Vec<Form>,
}

/// Decides everything from the evidence.
pub(crate) fn decide(columns: &[Candidate], assignment: &Assignment, wishes: &Wishes) -> Rules {
    let column = |role: Role| assignment.column(role).map(|at| &columns[at]);
    let nothing = Evidence::default();
    let none = Header::default();
    let evidence = |role: Role| column(role).map_or(&nothing, |c| &c.evidence);
    let header = |role: Role| column(role).map_or(&none, |c| &c.header);
    let mark = wishes.decimal_mark.unwrap_or_else(|| decide::mark_of_file(columns.iter().map(|c| &c.evidence)));
    let mark_of = |role: Role| decide::decimal_mark(&evidence(role).numbers, wishes.decimal_mark, mark);
    let dated = if column(Role::Time).is_some() { Role::Time } else { Role::Date };
    let clocked = if column(Role::Time).is_some() { Role::Time } else { Role::TimeOfDay };
    let dates = &evidence(dated).times;
    let clocks = &evidence(clocked).times;
    let order = decide::date_order(&dates.order, dates.twelve_hours + clocks.twelve_hours > 0, wishes.date_order);
    let times: &[&TimeEvidence] = if dated == clocked { &[dates] } else { &[dates, clocks] };
    let zone = decide::zone(&[header(dated), header(clocked)], times, wishes.utc_offset_s);
    let freq = decide::frequency(
        &evidence(Role::Freq).numbers,
        header(Role::Freq).freq_unit,
        wishes.freq_unit,
        wishes.decimal_mark,
        mark,
    );
    let band = evidence(Role::Band);
    let snr = header(Role::Snr).meaning;
    let mut forms: Vec<Form> = Vec::new();
    for form in ALL_FORMS {
        if times.iter().any(|t| t.forms[form as usize] > 0) {
            forms.push(form);
        }
    }
    Rules {
        order,
        zone,
        clock_digits: if clocks.clock_digits > 4 { 6 } else { 4 },
        twelve_hours: 2 * (dates.twelve_hours + clocks.twelve_hours) > dates.whole + clocks.clocks,
        flow: None,
        zone_column: false,
        freq_in_band: share(freq.in_band, freq.of) > 0.9,
        freq,
        power: decide::power(&evidence(Role::Power).numbers, header(Role::Power).power_unit, wishes.power_unit),
        power_mark: mark_of(Role::Power),
        snr_mark: mark_of(Role::Snr),
        drift_mark: mark_of(Role::Drift),
        reports: snr.has(Meaning::REPORT),
        band_in_mhz: band.band_mhz > band.band_metres,
        length: header(Role::Distance).length_unit.or_else(|| {
            let with = evidence(Role::Distance).numbers.with_length;
            LengthUnit::ALL.into_iter().filter(|&unit| with[unit as usize] > 0).max_by_key(|&unit| with[unit as usize])
        }),
        mark,
        forms,
    }
}

const ALL_FORMS: [Form; Form::COUNT] = [
    Form::YearFirst,
    Form::Numbers,
    Form::MonthName,
    Form::Compact,
    Form::Clock,
    Form::CompactClock,
    Form::EpochS,
    Form::EpochMs,
    Form::EpochUs,
    Form::EpochNs,
    Form::Serial,
    Form::JulianDay,
    Form::Minutes,
    Form::Rounded,
    Form::Hashes,
];

/// Are the levels of a column such as if their minus signs were left out? Reports of the RST system have none.
fn has_lost_signs(column: &Candidate) -> bool {
    let numbers = &column.evidence.numbers;
    let is_report = column.header.meaning.has(Meaning::REPORT);
    !is_report && numbers.negative == 0 && numbers.count >= 20 && numbers.sum > 8.0 * f64::from(numbers.count)
}

/// An order in words, with its fixed word.
fn order_in_words(order: DateOrder) -> &'static str {
    match order {
        DateOrder::DayFirst => "day first (day-first, as 31/12/2024)",
        DateOrder::MonthFirst => "month first (month-first, as 12/31/2024)",
        DateOrder::YearFirst => "year first (year-first, as 24/12/31)",
    }
}

impl Rules {
    /// What the page shows and lets correct.
    pub(crate) fn decisions(&self, assignment: &Assignment) -> Decisions {
        let has = |role: Role| assignment.column(role).is_some();
        Decisions {
            date_order: (self.order.basis != Basis::Moot).then_some(self.order.order),
            zone: Some(self.zone.zone),
            freq_unit: has(Role::Freq).then_some(self.freq.unit),
            power_unit: has(Role::Power).then_some(self.power.unit),
            decimal_mark: Some(self.mark),
        }
    }

    /// The other order of open dates, as a runner-up.
    pub(crate) fn other_order(&self, score: f64) -> Option<RunnerUp> {
        let other = match self.order.order {
            DateOrder::DayFirst => DateOrder::MonthFirst,
            DateOrder::MonthFirst | DateOrder::YearFirst => DateOrder::DayFirst,
        };
        (self.order.basis == Basis::Assumed).then(|| RunnerUp {
            text: format!("dates read {}", order_in_words(other)),
            wishes: Wishes { date_order: Some(other), ..Wishes::default() },
            score: (score - 0.005).max(0.0),
        })
    }

    /// Notes on what was decided.
    pub(crate) fn notes(&self, assignment: &Assignment, columns: &[Candidate]) -> Vec<Note> {
        let mut notes = Vec::new();
        let mut note = |kind: NoteKind, count: Option<u64>, text: String| notes.push(Note { kind, count, text });
        if are_sides_assumed(assignment, columns) {
            let name = |role: Role| assignment.column(role).map_or_else(String::new, |at| format!("column {}", at + 1));
            note(
                NoteKind::RolesAssumed,
                None,
                format!(
                    "The file does not say which station transmitted. {} is taken as the transmitting station and {} as the \
                     one that heard it; swap them if it is the other way round.",
                    capital(&name(Role::Tx)),
                    name(Role::Rx)
                ),
            );
        }
        if let Some(column) = assignment.column(Role::Snr).filter(|&at| has_lost_signs(&columns[at])) {
            note(
                NoteKind::SnrUnsigned,
                None,
                format!(
                    "No SNR in column {} is below 0 dB, which is rare where signals are weak: perhaps the file leaves out the \
                     minus signs. They are read as they stand.",
                    column + 1
                ),
            );
        }
        match self.order.basis {
            Basis::Decided | Basis::Wished => note(
                NoteKind::DateOrder,
                None,
                format!("Dates are read {}: the column as a whole allows only this.", order_in_words(self.order.order)),
            ),
            Basis::Assumed => note(
                NoteKind::DateOrderAssumed,
                None,
                format!(
                    "Dates are read {}. That is an assumption: no date of the file decides it. Choose another order if they are wrong.",
                    order_in_words(self.order.order)
                ),
            ),
            Basis::Mixed => note(
                NoteKind::DateOrderMixed,
                None,
                "Some dates can only be read day first and others only month first. Dates that can be read both ways are set \
                 aside; choose one order to read them."
                    .to_owned(),
            ),
            _ => {}
        }
        self.time_notes(&mut note);
        self.unit_notes(assignment, &mut note);
        notes
    }

    fn time_notes(&self, note: &mut impl FnMut(NoteKind, Option<u64>, String)) {
        if let Some(flow) = self.flow {
            let text = match flow {
                Flow::Rising => "The rows have no dates: days are counted on from the date given, by the times of day.",
                Flow::Falling => {
                    "The rows have no dates and the newest come first: days are counted back from the date given."
                }
                Flow::Mixed => {
                    "The rows have no dates and are in no order of time: all are taken as of the date given."
                }
            };
            note(NoteKind::TimeForm, None, text.to_owned());
        }
        let mut families: Vec<&str> = Vec::new();
        for form in &self.forms {
            let text = match form {
                Form::EpochS => "Times are seconds since 1970 (epoch-s).",
                Form::EpochMs => "Times are milliseconds since 1970 (epoch-ms).",
                Form::EpochUs => "Times are microseconds since 1970 (epoch-us).",
                Form::EpochNs => "Times are nanoseconds since 1970 (epoch-ns).",
                Form::Serial => {
                    "Times are spreadsheet day numbers (spreadsheet-serial), counted from 30 December 1899 (the 1900 system); \
                     a workbook of the 1904 system would be four years later."
                }
                Form::JulianDay => "Times are Julian days, whole ones or without their first 2400000.5.",
                _ => "",
            };
            if !text.is_empty() {
                note(NoteKind::TimeForm, None, text.to_owned());
            }
            let family = match form {
                Form::YearFirst => "year, month, day",
                Form::Numbers => "dates as numbers",
                Form::MonthName => "month names",
                Form::EpochS | Form::EpochMs | Form::EpochUs | Form::EpochNs => "counts since 1970",
                Form::Serial => "spreadsheet day numbers",
                Form::JulianDay => "Julian days",
                _ => continue,
            };
            if !families.contains(&family) {
                families.push(family);
            }
        }
        if families.len() > 1 {
            note(NoteKind::TimeForm, None, format!("Times are in different forms (mixed): {}.", families.join(", ")));
        }
        if self.zone.zone == Zone::Unknown && self.zone_column {
            let text = "A column of its own gives the zone of each time, which is not read. They are shown as written and are \
                        not UTC: say how far the zone is from UTC, or export with times in UTC.";
            note(NoteKind::TimeZoneUnknown, None, text.to_owned());
        } else if self.zone.zone == Zone::Unknown {
            note(
                NoteKind::TimeZoneUnknown,
                None,
                "The file says that its times are local, but not of which zone. They are shown as written and are not UTC: \
                 say how far the zone is from UTC."
                    .to_owned(),
            );
        }
    }

    fn unit_notes(&self, assignment: &Assignment, note: &mut impl FnMut(NoteKind, Option<u64>, String)) {
        let freq = self.freq;
        if assignment.column(Role::Freq).is_some() && freq.of > 0 {
            let unit = freq.unit.as_str();
            let bands = format!("{} of {} then lie in amateur bands", freq.in_band, freq.of);
            match freq.basis {
                Basis::Decided => {
                    note(NoteKind::FrequencyUnit, None, format!("Frequencies are read as {unit}: {bands}."));
                }
                Basis::Assumed => note(
                    NoteKind::FrequencyUnit,
                    None,
                    format!(
                        "Frequencies are assumed to be in {unit} by their size: {bands}. Choose another unit if that is wrong."
                    ),
                ),
                Basis::Overruled => note(
                    NoteKind::FrequencyUnit,
                    None,
                    format!(
                        "Frequencies are read as {unit} although the header says otherwise: {bands}, and hardly any as the header has it."
                    ),
                ),
                Basis::Stated if freq.in_band * 2 < freq.of => note(
                    NoteKind::FrequencyUnit,
                    None,
                    format!(
                        "Frequencies are read as {unit}, as the header has it, but only {bands}. Choose another unit if that is wrong."
                    ),
                ),
                Basis::Mixed => note(
                    NoteKind::FrequencyUnitsMixed,
                    None,
                    "Frequencies are in several units. Each is read in the unit in which it lies in an amateur band."
                        .to_owned(),
                ),
                _ => {}
            }
        }
        if assignment.column(Role::Power).is_some() && self.power.basis == Basis::Assumed {
            note(
                NoteKind::PowerUnitAssumed,
                None,
                format!(
                    "Powers are taken as {} by their pattern, since the file names no unit. Choose another unit if that is wrong.",
                    self.power.unit.as_str()
                ),
            );
        }
        if let (Some(length), Some(_)) = (self.length, assignment.column(Role::Distance))
            && length != LengthUnit::Km
        {
            note(
                NoteKind::DistanceColumnUnit,
                None,
                format!(
                    "The file's own distances are in {}. They are not used: distances are worked out from the locators, in km.",
                    length.name()
                ),
            );
        }
    }
}

/// Is it not in the file which station transmitted?
fn are_sides_assumed(assignment: &Assignment, columns: &[Candidate]) -> bool {
    let sides = Meaning::TX.with(Meaning::RX);
    let told = |role: Role| {
        let column = assignment.column(role).and_then(|at| columns.get(at));
        column.is_some_and(|c| c.header.meaning.has(sides) || c.wish.is_some())
    };
    assignment.has_calls() && !told(Role::Tx) && !told(Role::Rx)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_ascii_uppercase().to_string() + letters.as_str())
}
