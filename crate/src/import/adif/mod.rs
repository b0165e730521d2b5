//! ADIF, the Amateur Data Interchange Format (description: adif.org, version 3.1), in both flavours.
//!
//! Read are the fields that make a spot; all others are passed over. `SWL=Y` marks the report of a listener: CALL
//! transmitted, the logging station heard it. Other records are two-way contacts and hold two reports.
//!
//! Deviations from the description: a missing end of the header or of a record is forgiven, lengths that cannot
//! be right are put right, fields may stand in any order and letter case, and the header may be missing altogether
//! even where text stands before the first record. All of that is said in notes.
//!
//! - [`adi`]: the tagged flavour; [`adx`]: the XML flavour
//! - [`record`]: one record and how it becomes a spot

mod adi;
mod adx;
mod record;

use self::record::{Record, Survey, Writer};
use super::problem::{error, plain_error};
use super::reading::{Note, Reading};
use super::sniff;
use super::wishes::Wishes;
use super::words::{ErrorKind, Format, NoteKind, Report, Zone};
use crate::model::TableBuilder;

/// Reads tagged ADIF.
pub(crate) fn read_adi(text: &[u8], wishes: &Wishes, table: &mut TableBuilder, reading: &mut Reading) {
    let faults = read_records(text, wishes, table, reading, adi::read);
    let mut note = |kind: NoteKind, count: Option<u64>, text: String| reading.notes.push(Note { kind, count, text });
    if faults.no_eoh {
        let text = "The end of the header (EOH) is missing; the records were read all the same.".to_owned();
        note(NoteKind::AdifNoEoh, None, text);
    }
    if faults.no_last_eor {
        let text = "The last record has no end (EOR): the file may be cut. What the record holds was read.".to_owned();
        note(NoteKind::AdifNoLastEor, None, text);
    }
    if faults.no_eor > 0 {
        let n = faults.no_eor;
        let text = format!(
            "{n} records have no end (EOR); each was taken to end where its fields come again. The file may be damaged."
        );
        note(NoteKind::AdifNoEor, Some(n), text);
    }
    if faults.lengths > 0 {
        let n = faults.lengths;
        note(
            NoteKind::AdifLength,
            Some(n),
            format!("{n} values had a length that does not fit them and were put right."),
        );
    }
}

/// Reads ADIF as XML.
pub(crate) fn read_adx(text: &[u8], wishes: &Wishes, table: &mut TableBuilder, reading: &mut Reading) {
    let cut = read_records(text, wishes, table, reading, adx::read);
    if cut {
        let text = "The file ends in the middle of its last record. Export it again.".to_owned();
        reading.notes.push(Note { kind: NoteKind::AdifNoLastEor, count: None, text });
    }
    if reading.rows == 0 && !sniff::has_adx(text) {
        reading.format = None;
        reading.error = Some(plain_error(ErrorKind::Adx));
    }
}

/// Goes through the records twice: to see what they hold, and to read them.
fn read_records<F>(
    text: &[u8],
    wishes: &Wishes,
    table: &mut TableBuilder,
    reading: &mut Reading,
    go: impl Fn(&[u8], &mut dyn FnMut(&Record)) -> F,
) -> F {
    reading.format = Some(Format::Adif);
    let mut survey = Survey::default();
    let mut plain = String::new();
    go(text, &mut |record| survey.add(record, &mut plain));
    let report = survey.report(wishes.report);
    reading.file = Some(table.begin_file(&reading.name));
    reading.decisions.zone = Some(Zone::Stated);
    let mut writer = Writer::default();
    let result = go(text, &mut |record| writer.write(record, report, text, table));
    if survey.two_way > 0 {
        reading.notes.push(direction_note(&survey, report));
    }
    let account = writer.account;
    let rows = account.rows;
    if account.spots + account.duplicates == 0 {
        reading.error = Some(if rows == 0 {
            error(
                ErrorKind::NoRows,
                "The ADIF file has no records. Choose a longer time or another band in the export.",
            )
        } else if survey.with_own_call == 0 {
            error(
                ErrorKind::NoRoles,
                "No record says which station logged it: STATION_CALLSIGN (or OPERATOR) is needed. Export with that field.",
            )
        } else if survey.with_call == 0 {
            error(ErrorKind::NoRoles, "No record has a CALL, the station worked or heard.")
        } else if account.is_all(super::words::Reason::BadTime) {
            error(
                ErrorKind::NoUsableTime,
                "No record has a time that can be read: QSO_DATE as YYYYMMDD and TIME_ON as HHMM or HHMMSS are needed. Export \
                 with those fields.",
            )
        } else {
            error(
                ErrorKind::NoRows,
                format!("The file has {rows} records, but none of them is a spot: see the reasons below."),
            )
        });
    }
    reading.score = if rows == 0 { 0.0 } else { (account.spots + account.duplicates) as f64 / rows as f64 };
    reading.why.push("The text has the tags of ADIF.".to_owned());
    account.settle(reading);
    result
}

fn direction_note(survey: &Survey, report: Report) -> Note {
    let shown = match report {
        Report::Given => "Shown is how the logging station heard the other one (RST_SENT).",
        Report::Received => "Shown is how the other station heard the logging one (RST_RCVD).",
        Report::Both => "Both are shown, as two spots per contact.",
    };
    let n = survey.two_way;
    let text = format!(
        "{n} records are two-way contacts, which hold two reports each. {shown} Choose the other report, or both."
    );
    Note { kind: NoteKind::AdifDirection, count: Some(n), text }
}
