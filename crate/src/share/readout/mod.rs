//! The readout of the command line: files in, one JSON document or one page of text out.
//!
//! - [`Request`]: what was asked
//! - [`Readout`]: everything read and computed; [`Readout::json`] and [`Readout::text`] write it
//! - `json`: the document that other programs rely on, key by key
//! - `text`: the same for people
//! - `contrast`: two runs compared, as asked
//! - `health`: was the beacon on all the time, for both

mod contrast;
mod health;
mod json;
mod text;

use super::work_file::{self, WorkFile};
use crate::geography::Locator;
use crate::import::{self, Note, NoteKind, Reading, Wishes};
use crate::model::{CallId, RowSet, Side, SpotTable, TableBuilder, Tested};
use crate::study::compare::Settings;
use crate::study::doubt::Doubt;
use crate::study::runs::{self, Run};
use crate::study::{self, Filter, Subject, Tally, tested};
use crate::words::number::count;

/// One file handed in.
#[derive(Clone, Debug)]
pub struct Input {
    /// Its name, a hint only.
    pub name: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// A file that could not be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// Its name.
    pub name: String,
    /// Why, in the system's words.
    pub why: String,
}

/// What was asked for.
#[derive(Clone, Debug, Default)]
pub struct Request {
    /// The tested station, else the one that fits best.
    pub station: Option<String>,
    /// Its side, else the one that fits best.
    pub side: Option<Side>,
    /// Which of its spots count.
    pub filter: Filter,
    /// Also list every spot in the JSON.
    pub list: bool,
    /// Runs with their rules.
    pub runs: Vec<Run>,
    /// Names of two runs to compare: how far the second is above the first.
    pub compare: Option<(String, String)>,
    /// Call of a beacon whose antenna did not change.
    pub control: Option<String>,
    /// Where the tested station stands, if its spots do not say.
    pub home: Option<Locator>,
    /// What a verdict assumes.
    pub settings: Settings,
}

impl Request {
    /// What a work file says and nobody asked for otherwise: station, place and assumptions, and runs with the two
    /// compared and the control.
    fn take_work(&mut self, work: WorkFile) {
        self.home = self.home.or(work.home);
        self.settings = work.settings;
        if self.station.is_none()
            && let Some((call, side)) = work.tested
        {
            self.station = Some(call);
            self.side = self.side.or(Some(side));
        }
        if self.runs.is_empty() {
            let name = |at: usize| work.runs.get(at).map(|kept| kept.run.name.clone());
            self.compare = self.compare.take().or_else(|| name(work.pair.0).zip(name(work.pair.1)));
            self.control = self.control.take().or(work.control);
            self.runs = work.runs.into_iter().map(|kept| kept.run).collect();
        }
    }
}

/// Why the tested station is the one it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Choice {
    /// Asked for, and there.
    Asked,
    /// Asked for, but no spot has it on that side.
    Absent(String),
    /// Found: its spots out of all.
    Found { spots: usize, of: usize },
    /// There are no spots at all.
    None,
}

/// Files read and the tested station settled, ready to be written.
#[derive(Debug)]
pub struct Readout {
    readings: Vec<Reading>,
    table: SpotTable,
    calls: Vec<CallId>,
    side: Side,
    choice: Choice,
    request: Request,
    run_rows: Vec<RowSet>,
}

impl Readout {
    /// Reads the files and settles whose antenna is tested.
    pub fn of(inputs: &[Input], request: Request) -> Self {
        Self::of_opened(inputs.iter().map(Ok), request)
    }

    /// The same where some files could not be opened: they stand in their place among the files, with the reason.
    pub fn of_opened<'i>(
        inputs: impl IntoIterator<Item = Result<&'i Input, &'i Unreadable>>,
        mut request: Request,
    ) -> Self {
        let mut builder = TableBuilder::new();
        let mut readings = Vec::new();
        for input in inputs {
            match input {
                Ok(input) if work_file::is_one(&input.bytes) => {
                    match WorkFile::read(&input.bytes, import::MOST_BYTES) {
                        Ok(work) => {
                            for file in &work.files {
                                readings.extend(import::read(&file.name, &file.bytes, &file.wishes, &mut builder));
                            }
                            request.take_work(work);
                        }
                        Err(refusal) => {
                            let (what, advice) = refusal.words();
                            readings.push(import::unreadable(&input.name, &format!("{what}. {advice}")));
                        }
                    }
                }
                Ok(input) => readings.extend(import::read(&input.name, &input.bytes, &Wishes::default(), &mut builder)),
                Err(file) => readings.push(import::unreadable(&file.name, &file.why)),
            }
        }
        let table = builder.freeze();
        let (mut calls, side, choice) = settle(&table, &request);
        let station = calls.first().copied();
        let mut run_rows = Vec::new();
        if !request.runs.is_empty() {
            calls = runs::calls_of(&table, &request.runs, station);
            let subject = Subject::new(&table, &calls, side, request.home);
            let rows = request.filter.rows(&subject);
            run_rows = runs::assign(&table, &rows, side, &request.runs, station);
        }
        // nothing was assumed where runs name their calls
        let is_found = matches!(choice, Choice::Found { .. });
        let choice = if is_found && calls.first().copied() != station { Choice::Asked } else { choice };
        let mut readout = Self { readings, table, calls, side, choice, request, run_rows };
        readout.note_station();
        readout.note_doubts();
        readout
    }

    /// Says once, with the first file that has spots, how the tested station was settled over all files.
    fn note_station(&mut self) {
        let kind = match self.choice {
            Choice::Asked | Choice::None => return,
            Choice::Absent(_) => NoteKind::StationAbsent,
            Choice::Found { .. } => NoteKind::StationAssumed,
        };
        let count = match self.choice {
            Choice::Found { spots, .. } => u64::try_from(spots).ok(),
            _ => None,
        };
        if let Some(text) = text::station_choice(self) {
            self.note(kind, count, text);
        }
    }

    /// Says what results over all files hang on: a station that moved, a control that was not heard.
    fn note_doubts(&mut self) {
        let subject = self.subject();
        let moved = subject.doubts().rows(Doubt::Moved).map_or(0, RowSet::count);
        let home = subject.home().map_or_else(String::new, |home| home.to_string());
        if moved > 0 {
            let text = format!(
                "{} of {} spots name another place of the tested station than {home}, which distances and bearings of all are \
                 reckoned from. Choose the spots of one place by time, or by runs.",
                count(moved),
                count(subject.rows().count())
            );
            self.note(NoteKind::StationMoved, u64::try_from(moved).ok(), text);
        }
        let absent = self
            .request
            .control
            .as_ref()
            .filter(|call| self.table.stations().find_call(call).is_none_or(|call| self.calls.contains(&call)));
        if let Some(call) = absent {
            let text =
                format!("{call} cannot be the control: no spot of it was read, or it is the tested station itself.");
            self.note(NoteKind::ControlAbsent, None, text);
        }
    }

    fn note(&mut self, kind: NoteKind, count: Option<u64>, text: String) {
        if let Some(reading) = self.readings.iter_mut().find(|reading| reading.spots > 0) {
            reading.notes.push(Note { kind, count, text });
        }
    }

    /// Did any file give spots?
    pub fn has_spots(&self) -> bool {
        self.readings.iter().any(|reading| reading.spots > 0)
    }

    /// The JSON document, ending in a line break.
    pub fn json(&self) -> String {
        json::write(self)
    }

    /// The text for people, ending in a line break.
    pub fn text(&self) -> String {
        text::write(self)
    }

    fn subject(&self) -> Subject<'_> {
        Subject::new(&self.table, &self.calls, self.side, self.request.home)
    }

    /// Name of the run a row belongs to.
    fn run_of(&self, row: usize) -> Option<&str> {
        let at = self.run_rows.iter().position(|rows| rows.contains(row))?;
        self.request.runs.get(at).map(|run| run.name.as_str())
    }
}

/// Whose antenna, on which side, and why.
fn settle(table: &SpotTable, request: &Request) -> (Vec<CallId>, Side, Choice) {
    if let Some(asked) = &request.station {
        let Some(call) = table.stations().find_call(asked) else {
            return (
                Vec::new(),
                request.side.unwrap_or(Side::Sends),
                Choice::Absent(asked.trim().to_ascii_uppercase()),
            );
        };
        let on = |side| table.rows_of(Tested { call, side }).count();
        let side = request.side.unwrap_or(if on(Side::Sends) >= on(Side::Hears) { Side::Sends } else { Side::Hears });
        let choice = if on(side) > 0 { Choice::Asked } else { Choice::Absent(asked.trim().to_ascii_uppercase()) };
        return (vec![call], side, choice);
    }
    let control = request.control.as_ref().and_then(|call| table.stations().find_call(call));
    let guess = match request.side {
        Some(side) => tested::guess_on(table, side, control),
        None => tested::guess(table, control),
    };
    match guess {
        Some(guess) => (vec![guess.tested.call], guess.tested.side, Choice::Found { spots: guess.spots, of: guess.of }),
        None => (Vec::new(), request.side.unwrap_or(Side::Sends), Choice::None),
    }
}

/// All results of the chosen rows, computed once for either form.
struct Results {
    tally: Tally,
    reach: study::Reach,
    bands: Vec<study::BandResult>,
    sectors: Vec<study::Sector>,
    medians: study::Medians,
    hours: Vec<study::BandHours>,
    places: study::Places,
}

impl Results {
    fn of(subject: &Subject<'_>, filter: &Filter) -> Self {
        let rows = filter.rows(subject);
        let tally = Tally::of(subject, &rows);
        Self {
            reach: study::reach(subject, &tally),
            bands: study::bands(subject, &tally),
            sectors: study::bearings(subject, &tally),
            medians: study::medians(subject, &rows),
            hours: study::hours(&tally),
            places: study::places(subject, &tally),
            tally,
        }
    }
}
