//! The comparison that a request asks for.

use super::Readout;
use crate::model::RowSet;
use crate::study::Subject;
use crate::study::compare::{Comparison, Settings, Side, compare};
use crate::study::runs::Run;

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
    let settings = Settings::default();
    let control = control(readout);
    let rows = control
        .as_ref()
        .map(|control| (of_control(readout, control, of_a.run), of_control(readout, control, of_b.run)));
    let control = control.as_ref().zip(rows.as_ref()).map(|(control, (rows_a, rows_b))| (control, rows_a, rows_b));
    let comparison = compare(&subject, of_a, of_b, control, settings)?;
    Some(Contrast { a, b, comparison, settings })
}

/// The control beacon, if it was named and is in the files.
fn control(readout: &Readout) -> Option<Subject<'_>> {
    let call = readout.table.stations().find_call(readout.request.control.as_ref()?)?;
    Some(Subject::new(&readout.table, &[call], readout.side, None))
}

/// The control's spots in the period of a run: the run's rule without call, power and frequency.
fn of_control(readout: &Readout, control: &Subject<'_>, run: &Run) -> RowSet {
    let rule = run.rule.of_control();
    readout.request.filter.rows(control).filtered(|row| rule.fits(&readout.table, row, readout.side))
}
