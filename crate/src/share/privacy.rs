//! What may leave: hidden things are taken out here, before anything that writes a file sees the spots.
//!
//! A [`Leaving`] is all that the writers of files get. What is hidden is not in it: calls have other names in its table,
//! locators are shorter, and distances and bearings are reckoned anew from these, since a distance to the tenth of a
//! kilometre from several places would tell the place that was shortened away. Texts of a person's own (names of files
//! and runs, notes) that hold a hidden call or locator are left out as well.

use std::borrow::Cow;
use std::sync::Arc;

use crate::geography::Locator;
use crate::model::{CallId, RowSet, SpotTable, StationId};
use crate::study::Subject;
use crate::study::runs::{Run, same_file};
use crate::study::subject::SubjectParts;
use crate::time::UtcTime;

/// Characters of a shortened locator: a field of 2 by 1 degrees.
pub const SHORT: usize = 4;

/// Where the spots come from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Source {
    /// Files of the person's own.
    #[default]
    Files,
    /// The made-up sample: every row says so, whatever is cut or sorted later.
    Sample,
}

/// What is kept back. By default nothing is.
#[expect(clippy::struct_excessive_bools, reason = "each can be kept back without the others")]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Privacy {
    /// Locators get no more than 4 characters, at both ends.
    pub short_locators: bool,
    /// Calls at the far end are numbered: `LISTENER1`, or `STATION1` where the tested antenna hears.
    pub number_calls: bool,
    /// The tested call becomes `TESTED1`, and so do its forms with strokes at either end.
    pub hide_tested: bool,
    /// Names of files and runs and everything written about these are left out.
    pub no_notes: bool,
}

/// A run with its spots and what a person wrote of it.
#[derive(Clone, Debug, Default)]
pub struct RunNotes {
    /// Name, rule, power and loss.
    pub run: Run,
    /// Antenna, height, direction and notes, as typed.
    pub words: [String; 4],
    /// Its rows.
    pub rows: Option<RowSet>,
    /// Powers reported of it in dBm, most frequent first.
    pub powers: Vec<f64>,
    /// Where it stood.
    pub place: Option<Locator>,
}

/// What leaves: the spots that are shown, without what is kept back.
#[derive(Clone, Debug)]
pub struct Leaving<'a> {
    table: Cow<'a, SpotTable>,
    parts: Arc<SubjectParts>,
    rows: Vec<u32>,
    /// Rows of the control beacon, which only a shared page has.
    control: Vec<u32>,
    source: Source,
    runs: Vec<RunNotes>,
    /// Are calls at the far end numbers?
    numbered: bool,
}

/// What exactly leaves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Leaves {
    /// Spots.
    pub spots: usize,
    /// First and last spot.
    pub span: Option<(UtcTime, UtcTime)>,
    /// Calls at the tested end, as they are written.
    pub tested: Vec<String>,
    /// Calls at the far end.
    pub far: usize,
    /// Are these numbers in place of calls?
    pub numbered: bool,
    /// Different places of calls by the length of their locators: with 2, 4, 6, 8 and 10 characters.
    pub locators: [usize; 5],
    /// Names of files.
    pub files: Vec<String>,
    /// Names of runs.
    pub runs: Vec<String>,
    /// Words that a person wrote about runs: antenna, height, direction, notes.
    pub notes: usize,
}

/// In place of a call or file that a run's rule names and no spot has.
const NOBODY: &str = "NONE";

impl Privacy {
    /// Nothing that names a person, no file and no note leaves.
    pub const ALL: Self = Self { short_locators: true, number_calls: true, hide_tested: true, no_notes: true };

    /// What leaves of these rows, in their order.
    pub fn apply<'a>(
        self,
        subject: &Subject<'a>,
        rows: Vec<u32>,
        source: Source,
        mut runs: Vec<RunNotes>,
    ) -> Leaving<'a> {
        let original = subject.table();
        if self == Self::default() {
            let (table, parts) = (Cow::Borrowed(original), subject.parts());
            return Leaving { table, parts, rows, control: Vec::new(), source, runs, numbered: false };
        }
        let names = self.names(subject);
        let hidden = self.hidden(subject, &names);
        let free = |text: &String| {
            let text = text.to_ascii_uppercase();
            !self.no_notes && !hidden.iter().any(|hidden| text.contains(hidden))
        };
        for (at, told) in runs.iter_mut().enumerate() {
            if !free(&told.run.name) {
                // A, B and on: there are fewer runs than letters
                told.run.name = char::from(b'A' + u8::try_from(at).unwrap_or(25).min(25)).to_string();
            }
            for words in told.words.iter_mut().filter(|words| !free(words)) {
                words.clear();
            }
            let rule = &mut told.run.rule;
            if let Some(call) = rule.call.take() {
                let known = original.stations().find_call(&call).map(|call| names[call.index()].clone());
                // of a call without spots nothing need be told but that this run has none
                rule.call = Some(known.unwrap_or_else(|| NOBODY.to_owned()));
            }
            if self.short_locators {
                rule.locator = rule.locator.map(|cell| cell.shortened(SHORT));
            }
            if let Some(file) = rule.file.take() {
                let at = original.files().iter().position(|name| same_file(name, &file));
                rule.file = Some(at.map_or_else(
                    || NOBODY.to_owned(),
                    |at| if free(&original.files()[at]) { file } else { numbered_file(at) },
                ));
            }
        }
        let chars = if self.short_locators { SHORT } else { usize::MAX };
        for told in &mut runs {
            told.place = told.place.map(|place| place.shortened(chars));
        }
        let files = original.files().iter().map(|name| if free(name) { name.clone() } else { String::new() }).collect();
        let table = original.renamed(|call| names[call.index()].clone(), chars, files);
        let home = subject.home().map(|home| home.shortened(chars));
        let parts = Subject::new(&table, subject.calls(), subject.side(), home).parts();
        let (table, control) = (Cow::Owned(table), Vec::new());
        Leaving { table, parts, rows, control, source, runs, numbered: self.number_calls }
    }

    /// The name that each call leaves under.
    fn names(self, subject: &Subject<'_>) -> Vec<String> {
        let table = subject.table();
        let stations = table.stations();
        let all = || (0..).map(CallId).take(stations.calls());
        let own: Vec<&str> = subject.calls().iter().map(|&call| base(stations.call(call))).collect();
        let is_own = |call: CallId| own.contains(&base(stations.call(call)));
        let hides = |call: CallId| if is_own(call) { self.hide_tested } else { self.number_calls };
        let far = match subject.side() {
            crate::model::Side::Sends => "LISTENER",
            crate::model::Side::Hears => "STATION",
        };
        let mut names: Vec<String> = all().map(|call| stations.call(call).to_owned()).collect();
        let mut named = vec![false; names.len()];
        let mut numbers = [0_usize; 3];
        let mut name = |call: CallId, kind: usize| {
            if hides(call) && !std::mem::replace(&mut named[call.index()], true) {
                let (kind, word) = if is_own(call) { (0, "TESTED") } else { (kind, [far, "OTHER"][kind - 1]) };
                loop {
                    numbers[kind] += 1;
                    let name = format!("{word}{}", numbers[kind]);
                    // a call that is written as it is may look the same
                    if stations.find_call(&name).is_none_or(hides) {
                        names[call.index()] = name;
                        break;
                    }
                }
            }
        };
        for &call in subject.calls() {
            name(call, 2);
        }
        // numbered as they come among all spots, so that files of one work agree whatever is filtered
        for row in subject.rows().iter() {
            name(subject.far_call(row), 1);
        }
        for call in all() {
            name(call, 2);
        }
        names
    }

    /// What no text may hold.
    fn hidden(self, subject: &Subject<'_>, names: &[String]) -> Vec<String> {
        let stations = subject.table().stations();
        let calls = (0..).map(CallId).zip(names).map(|(call, name)| (stations.call(call), name));
        let mut hidden: Vec<String> =
            calls.filter(|(call, name)| call != name).map(|(call, _)| base(call).to_owned()).collect();
        if self.short_locators {
            let places = (0..).map(StationId).take(stations.len()).filter_map(|id| stations.locator(id));
            let long = places.chain(subject.home()).filter(|locator| locator.len() > SHORT);
            hidden.extend(long.map(|locator| locator.shortened(6).to_string().to_ascii_uppercase()));
        }
        hidden
    }
}

/// Stands for a name that is kept back.
fn numbered_file(at: usize) -> String {
    format!("file {}.csv", at + 1)
}

/// The longest part of a call: what all its forms have in common.
fn base(call: &str) -> &str {
    call.split(['/', '-']).max_by_key(|part| part.len()).unwrap_or(call)
}

impl Leaving<'_> {
    /// The tested antenna.
    pub fn subject(&self) -> Subject<'_> {
        Subject::from_parts(&self.table, Arc::clone(&self.parts))
    }

    /// A call as it leaves.
    pub fn call(&self, call: CallId) -> &str {
        self.table.stations().call(call)
    }

    /// The rows that leave, in order.
    pub fn rows(&self) -> impl Iterator<Item = usize> {
        self.rows.iter().map(|&row| row as usize)
    }

    /// The same with rows of the control beacon, for a page to be shared.
    #[must_use]
    pub fn with_control(mut self, rows: Vec<u32>) -> Self {
        self.control = rows;
        self
    }

    /// Rows of the control beacon.
    pub fn control_rows(&self) -> impl Iterator<Item = usize> {
        self.control.iter().map(|&row| row as usize)
    }

    /// A file's name, or a number where that is kept back.
    pub fn file_as_leaves(&self, at: usize) -> String {
        self.table.files().get(at).filter(|name| !name.is_empty()).cloned().unwrap_or_else(|| numbered_file(at))
    }

    /// The same as a set.
    pub fn row_set(&self) -> RowSet {
        let mut set = RowSet::none(self.table.len());
        for row in self.rows() {
            set.insert(row);
        }
        set
    }

    /// Are they made up?
    pub fn source(&self) -> Source {
        self.source
    }

    /// Runs, with the words about them that may leave.
    pub fn runs(&self) -> &[RunNotes] {
        &self.runs
    }

    /// `SAMPLE-spots-Q7TST.csv`: the name of a file of these, without the call where that is hidden.
    pub fn file_name(&self, what: &str, ending: &str) -> String {
        let mark = if self.source == Source::Sample { "SAMPLE-" } else { "" };
        let call = self.parts.calls().first().map_or("", |&call| self.table.stations().call(call));
        format!("{mark}{what}-{}.{ending}", call.replace('/', "-"))
    }

    /// What exactly leaves.
    pub fn leaves(&self) -> Leaves {
        let subject = self.subject();
        let (table, stations) = (&*self.table, self.table.stations());
        let mut leaves = Leaves { spots: self.rows.len(), numbered: self.numbered, ..Leaves::default() };
        let mut seen_files = vec![false; table.files().len()];
        let mut seen_far = vec![false; stations.calls()];
        let mut seen_near = vec![false; stations.calls()];
        let mut seen_at = vec![false; stations.len()];
        for row in self.rows() {
            let (near, far) = (table.near(row, subject.side()), subject.far_station(row));
            let time = table.time(row);
            leaves.span = Some(leaves.span.map_or((time, time), |(first, last)| (first.min(time), last.max(time))));
            seen_files[table.file(row).index()] = true;
            seen_near[stations.call_of(near).index()] = true;
            seen_far[stations.call_of(far).index()] = true;
            for station in [near, far] {
                seen_at[station.index()] = true;
            }
        }
        for id in (0..).map(StationId).take(stations.len()).filter(|id| seen_at[id.index()]) {
            let length = stations.locator(id).map_or(0, Locator::len);
            leaves.locators.iter_mut().skip((length / 2).wrapping_sub(1)).take(1).for_each(|n| *n += 1);
        }
        let calls = (0..).map(CallId).take(stations.calls());
        leaves.tested = calls.filter(|c| seen_near[c.index()]).map(|call| stations.call(call).to_owned()).collect();
        leaves.far = seen_far.iter().filter(|&&seen| seen).count();
        let files = table.files().iter().zip(&seen_files).filter(|(name, seen)| **seen && !name.is_empty());
        leaves.files = files.map(|(name, _)| name.clone()).collect();
        leaves.runs = self.runs.iter().map(|told| told.run.name.clone()).collect();
        leaves.notes = self.runs.iter().flat_map(|told| &told.words).filter(|words| !words.is_empty()).count();
        leaves
    }
}
