//! The comparison that a request asks for.

use super::Readout;
use crate::model::RowSet;
use crate::study::Subject;
use crate::study::compare::{Comparison, Settings, Side, compare};
use crate::study::runs::of_control;

/// Two runs compared, with their names.
pub(super) struct Contrast<'a> {
    pub(super) a: &'a str,
    pub(super) b: &'a str,
    pub(super) comparison: Comparison,
    pub(super) settings: Settings,
}

/// The comparison, if one was asked for and there is anything to compare.
pub(super) fn contrast(readout: &Readout) -> Option<Contrast<'_>> {
    let (a, b) = readout.request.compare.as_ref()?;
    let side = |name: &str| {
        let at = readout.request.runs.iter().position(|run| run.name == name)?;
        Some(Side { run: &readout.request.runs[at], rows: &readout.run_rows[at] })
    };
    let (of_a, of_b) = (side(a)?, side(b)?);
    let subject = readout.subject();
    let settings = readout.request.settings;
    let control = control(readout);
    let rows = control.as_ref().map(|control| (rows_of(readout, control, &of_a), rows_of(readout, control, &of_b)));
    let control = control.as_ref().zip(rows.as_ref()).map(|(control, (rows_a, rows_b))| (control, rows_a, rows_b));
    let comparison = compare(&subject, of_a, of_b, control, settings)?;
    Some(Contrast { a, b, comparison, settings })
}

/// The control beacon, if it was named and is in the files.
fn control(readout: &Readout) -> Option<Subject<'_>> {
    let call = readout.table.stations().find_call(readout.request.control.as_ref()?)?;
    if readout.calls.contains(&call) {
        return None;
    }
    Some(Subject::new(&readout.table, &[call], readout.side, None))
}

/// The control's spots in the period of a run.
fn rows_of(readout: &Readout, control: &Subject<'_>, of: &Side<'_>) -> RowSet {
    of_control(&readout.table, &readout.request.filter.rows(control), readout.side, of.run, of.rows)
}
