//! Files of the session: taking them in, asking what should become of them, correcting how they are read.

use std::mem;
use std::sync::Arc;

use super::history::{Restored, is_correction};
use super::loaded::Loaded;
use super::message::{Keeping, Origin, Patch};
use super::runs::Runs;
use super::saving::Saving;
use super::session::Session;
use super::settings::Asked;
use super::sharing::OTHER_FILES;
use super::state::{Shade, State, View};
use super::task::{Purpose, Seen};
use super::unread::Unread;
use super::views::answer::Answer;
use super::views::frame::{Question, Way, Words};
use crate::geography::Locator;
use crate::import::{self, Reading, SoFar, Wishes};
use crate::model::{Side, TableBuilder};
use crate::share::work_file::WorkFile;
use crate::study::propose::{self, Mark};
use crate::words::calendar;
use crate::words::number::{count, counted};

/// Up to so many bytes in all, files that come second are read together with the first to tell what adding gives.
const JOINT_BYTES: usize = 20_000_000;

/// A file as it came, and how a person wants it read.
#[derive(Clone, Debug)]
pub(super) struct SourceFile {
    pub(super) name: String,
    /// Shared, as a corrected reading begins with the same bytes.
    pub(super) bytes: Arc<Vec<u8>>,
    pub(super) wishes: Wishes,
    /// Its headings as it was first read, to remember corrections by.
    pub(super) header: Option<String>,
    /// Its number among all files since the page opened.
    pub(super) arrival: usize,
}

/// Files that are loaded, how they were read, and their results.
#[derive(Debug)]
pub(super) struct Work {
    pub(super) files: Vec<SourceFile>,
    pub(super) readings: Vec<Reading>,
    /// For each reading the place of its file.
    pub(super) file_of: Vec<usize>,
    pub(super) loaded: Loaded,
    pub(super) sample: bool,
    pub(super) home: Option<Locator>,
    /// Is it the first part of a file that is still being read?
    pub(super) partial: Option<SoFar>,
}

/// What the last correction of a file did: number of its reading, in words, and how the file was wished before.
pub(super) type Change = (usize, String, Wishes);

/// Files that came while others are loaded, and wait for a decision.
#[derive(Debug)]
pub(super) struct Arrived {
    pub(super) question: Question,
    alone: Work,
    /// What a work file says besides.
    kept: Option<WorkFile>,
}

impl Arrived {
    pub(super) fn of_work_file(question: Question, alone: Work, kept: WorkFile) -> Self {
        Self { question, alone, kept: Some(kept) }
    }

    pub(super) fn files(&self) -> &[SourceFile] {
        &self.alone.files
    }
}

/// What was read from some files.
pub(super) struct Read {
    pub(super) readings: Vec<Reading>,
    /// For each reading the place of its file.
    pub(super) file_of: Vec<usize>,
    pub(super) table: crate::model::SpotTable,
}

fn read(files: &[SourceFile]) -> Read {
    let mut builder = TableBuilder::new();
    let (mut readings, mut file_of) = (Vec::new(), Vec::new());
    for (at, file) in files.iter().enumerate() {
        for reading in import::read(&file.name, &file.bytes, &file.wishes, &mut builder) {
            readings.push(reading);
            file_of.push(at);
        }
    }
    Read { readings, file_of, table: builder.freeze() }
}

impl Work {
    /// What was read, with its results; the readings alone come back where they give no spot.
    pub(super) fn of(
        files: Vec<SourceFile>,
        read: Read,
        wanted: Option<(&str, Side)>,
        home: Option<Locator>,
        sample: bool,
    ) -> Result<Self, Unread> {
        let Read { readings, file_of, table } = read;
        match Loaded::with_runs(table, wanted, home) {
            Some(loaded) => Ok(Self { files, readings, file_of, loaded, sample, home, partial: None }),
            None => Err(Unread { files, readings, file_of, by_hand: false }),
        }
    }

    /// The station and side that are tested, to ask for them again.
    pub(super) fn wanted(&self) -> (String, Side) {
        (self.loaded.name().to_owned(), self.loaded.tested.side)
    }

    fn bytes(&self) -> usize {
        self.files.iter().map(|file| file.bytes.len()).sum()
    }
}

impl Session {
    /// A file came in whole.
    pub(super) fn take_file(&mut self, name: String, bytes: Vec<u8>) {
        self.incoming.push(SourceFile {
            name,
            bytes: Arc::new(bytes),
            wishes: Wishes::default(),
            header: None,
            arrival: self.arrivals,
        });
        self.arrivals += 1;
    }

    /// All files of one drop, choice or paste are here.
    /// `work` is the work that they belong to, if they came before.
    pub(super) fn files_done(&mut self, origin: Origin, work: &str) {
        let mut files = mem::take(&mut self.incoming);
        if files.is_empty() {
            return;
        }
        // others came before, and what to do with them is not answered yet: the question is then about all of them
        if origin == Origin::Person
            && let Some(Arrived { alone, kept: None, .. }) = &self.arrived
        {
            let mut all = alone.files.clone();
            all.append(&mut files);
            files = all;
        }
        if self.shared.is_some() && origin != Origin::Again {
            self.say_shared(OTHER_FILES);
            return;
        }
        self.leave_by_hand();
        if !work.is_empty() {
            self.bring_back(work, files);
        } else if !self.take_work_files(&files, origin) {
            self.begin(files, Purpose::Fresh(origin));
        }
    }

    /// Files that came in were read. `seen` is how a part of them was looked at until now.
    pub(super) fn show_fresh(&mut self, files: Vec<SourceFile>, read: Read, origin: Origin, seen: Option<Seen>) {
        let sample = origin == Origin::Sample;
        match Work::of(files, read, None, None, sample) {
            Err(unread) => self.say_unread(unread),
            Ok(work) => {
                let by_hand = self.unread.take().is_some_and(|unread| unread.by_hand);
                if by_hand {
                    self.remember(&work.files);
                }
                // the sample makes room without a question; nothing is ever added to it
                let question = self.work.as_ref().filter(|loaded| !loaded.sample && origin != Origin::Again);
                if let Some(question) = question.map(|loaded| ask(&self.state, loaded, &work, &self.runs)) {
                    self.announce(format!("{}: {}", question.name, question.lines.join(", ")));
                    let first = question.choices.first().map_or("leave", |way| way.value);
                    self.out.push(Patch::Focus { id: format!("second-{first}") });
                    self.arrived = Some(Arrived { question, alone: work, kept: None });
                } else {
                    // after a restart the words about it stay
                    let notice = self.notice.take().filter(|_| origin == Origin::Again);
                    self.show_work(work, seen);
                    self.notice = self.notice.take().or(notice);
                    // who was saying what the columns are may go on with that
                    if by_hand {
                        self.state.view = View::Reading;
                    }
                }
            }
        }
    }

    /// Shows other work: from scratch, or as a part of it was seen.
    pub(super) fn show_work(&mut self, work: Work, seen: Option<Seen>) {
        self.fresh = true;
        let asked = self.asked.take().unwrap_or_default();
        let shade = self.state.shade;
        self.reset_view(&asked, shade);
        self.state.filter = asked.filter(&work.loaded.table);
        self.say_partly_unread(&work.readings);
        self.runs = Runs::proposed(&work.loaded, work.sample);
        self.runs.take_asked(&asked.runs, &work.loaded);
        self.work = Some(work);
        self.offer_tour();
        self.pictures.forget();
        self.pictures.kind = asked.kind;
        // rows and stations of the part have the same numbers in the whole
        if let Some(seen) = seen {
            self.state = seen.state;
            self.pictures.bring_back(seen.pictures);
        }
        self.show_results();
    }

    pub(super) fn reset_view(&mut self, asked: &Asked, shade: Shade) {
        let state = mem::take(&mut self.state);
        self.state = State {
            view: asked.view,
            length: state.length,
            clock: state.clock,
            surroundings: state.surroundings,
            saving: Saving { sends: state.saving.sends, by: state.saving.by, ..Saving::default() },
            shade,
            ..State::default()
        };
        self.notice = None;
        self.change = None;
        self.arrived = None;
        self.home_typed.clear();
        self.home_wrong.clear();
        self.time_wrong.clear();
    }

    /// Results changed for what is loaded: filters are applied anew and the answer is said.
    pub(super) fn show_results(&mut self) {
        self.generation += 1;
        let Some(work) = &mut self.work else { return };
        self.runs.fit(&mut work.loaded, &self.state.filter);
        work.loaded.apply(&self.state.filter);
        let answer = Answer::new(&self.state, &work.loaded, work.sample, work.partial.is_some()).whole();
        self.announce(answer);
        self.pictures.touch_all();
    }

    pub(super) fn is_sample(&self) -> bool {
        self.work.as_ref().is_some_and(|work| work.sample)
    }

    fn say_partly_unread(&mut self, readings: &[Reading]) {
        let failed: Vec<&Reading> = readings.iter().filter(|reading| reading.error.is_some()).collect();
        if failed.is_empty() {
            return;
        }
        let head = format!("{} of {} not read.", count(failed.len()), counted(readings.len(), "file", "files"));
        let lines = failed.into_iter().map(|reading| error_words(reading, true)).collect();
        self.notice = Some(Words { head, lines, choices: Vec::new(), ask: None });
    }

    /// The answer to the question about a second file.
    pub(super) fn decide_second(&mut self, value: &str) {
        if self.is_busy() {
            return;
        }
        match (value, &self.work, &self.arrived) {
            ("add", Some(work), Some(arrived)) => {
                let files = work.files.iter().chain(&arrived.alone.files).cloned().collect();
                self.begin(files, Purpose::Add);
            }
            ("compare", Some(work), Some(arrived)) => {
                let mut files = work.files.clone();
                let old = files.len();
                // two files of one name would be one run
                for file in &arrived.alone.files {
                    let mut file = file.clone();
                    let name = file.name.clone();
                    for n in 2.. {
                        if !files.iter().any(|other| other.name == file.name) {
                            break;
                        }
                        file.name = numbered(&name, n);
                    }
                    files.push(file);
                }
                self.begin(files, Purpose::Compare { old });
            }
            ("merge", Some(_), Some(_)) => {
                if let Some(Arrived { kept: Some(kept), .. }) = self.arrived.take() {
                    self.merge(&kept);
                }
            }
            ("replace", ..) => match self.arrived.take() {
                Some(Arrived { alone, kept: Some(kept), .. }) => self.show_kept(alone, &kept, Origin::Person),
                Some(Arrived { alone, .. }) => self.show_work(alone, None),
                None => {}
            },
            _ => self.arrived = None,
        }
        self.out.push(Patch::Focus { id: "open-files".to_owned() });
    }

    /// What was loaded and what came second were read as one.
    pub(super) fn show_joint(&mut self, files: Vec<SourceFile>, read: Read) {
        self.arrived = None;
        let Some(work) = &self.work else { return };
        let (call, side) = work.wanted();
        match Work::of(files, read, Some((&call, side)), work.home, false) {
            Ok(joint) => {
                self.say_partly_unread(&joint.readings);
                if self.runs.why == Some(Mark::File) {
                    self.runs.renew(&joint.loaded, false);
                }
                self.work = Some(joint);
                self.pictures.forget();
                self.show_results();
            }
            // what gave spots before gives them again; only memory could fail, and that ends the core
            Err(unread) => self.say_unread(unread),
        }
    }

    /// What was loaded, its first `old` files, and what came second were read to be compared: the new ones are a run
    /// of their own.
    pub(super) fn show_compared(&mut self, files: Vec<SourceFile>, read: Read, old: usize) {
        let arrived = self.arrived.take();
        let Some(work) = &self.work else { return };
        let (call, side) = work.wanted();
        let new_call = arrived.map_or_else(|| call.clone(), |arrived| arrived.alone.loaded.name().to_owned());
        match Work::of(files, read, Some((&call, side)), work.home, false) {
            Ok(joint) => {
                self.say_partly_unread(&joint.readings);
                let named = |new: bool| -> Vec<String> {
                    let readings = joint.readings.iter().zip(&joint.file_of);
                    let of = readings.filter(|&(reading, &at)| (at >= old) == new && reading.spots > 0);
                    of.map(|(reading, _)| reading.name.clone()).collect()
                };
                self.runs.add_files(&named(false), &named(true), &call, &new_call);
                self.work = Some(joint);
                self.pictures.forget();
                self.show_results();
                self.act("view", "compare", false);
            }
            Err(unread) => self.say_unread(unread),
        }
    }

    /// Reads a file again as corrected, and says what that changed.
    pub(super) fn correct(&mut self, reading: usize, change: impl FnOnce(&mut Wishes, &Reading)) {
        if self.is_busy() {
            return;
        }
        let by_hand = self.unread.as_ref().filter(|unread| unread.by_hand);
        let (files, file_of, readings) = match (by_hand, &self.work) {
            (Some(unread), _) => (&unread.files, &unread.file_of, &unread.readings),
            (None, Some(work)) => (&work.files, &work.file_of, &work.readings),
            (None, None) => return,
        };
        let (Some(&at), Some(old)) = (file_of.get(reading), readings.get(reading)) else { return };
        let mut files = files.clone();
        let Some(file) = files.get_mut(at) else { return };
        let before = file.wishes.clone();
        change(&mut file.wishes, old);
        if file.wishes != before {
            let purpose = match by_hand {
                Some(_) => Purpose::Fresh(Origin::Person),
                None => Purpose::Correct { reading, before: Some(before) },
            };
            self.begin(files, purpose);
        }
    }

    /// Takes the last correction back.
    pub(super) fn undo_correction(&mut self) {
        if self.is_busy() {
            return;
        }
        if self.history.ends_with(is_correction) {
            self.step(false, "");
            return;
        }
        let Some((reading, _, before)) = self.change.take() else { return };
        let Some(work) = &self.work else { return };
        let mut files = work.files.clone();
        let Some(file) = work.file_of.get(reading).and_then(|&at| files.get_mut(at)) else { return };
        file.wishes = before;
        self.begin(files, Purpose::Correct { reading, before: None });
    }

    /// A file was read again as corrected.
    pub(super) fn show_corrected(
        &mut self,
        files: Vec<SourceFile>,
        read: Read,
        reading: usize,
        before: Option<Wishes>,
    ) {
        let Some(work) = &self.work else { return };
        let (call, side) = work.wanted();
        let (home, sample) = (work.home, work.sample);
        let old = work.readings.get(reading).map(sum_words).unwrap_or_default();
        match Work::of(files, read, Some((&call, side)), home, sample) {
            Ok(corrected) => {
                let new = corrected.readings.get(reading).map(sum_words).unwrap_or_default();
                self.change = before.map(|before| (reading, format!("Before: {old}. Now: {new}."), before));
                let file = corrected.file_of.get(reading).and_then(|&at| corrected.files.get(at));
                self.remember(file.map_or(&[], std::slice::from_ref));
                self.runs.renew(&corrected.loaded, sample);
                self.work = Some(corrected);
                self.pictures.forget();
                self.state.pinned.clear();
                self.state.focused.clear();
                self.show_results();
            }
            Err(Unread { readings, .. }) => {
                let why = readings.iter().map(|reading| error_words(reading, false)).collect::<Vec<_>>().join(" ");
                self.notice = Some(Words {
                    head: "Read that way no spot is left; the reading stays as it was.".to_owned(),
                    lines: vec![why],
                    choices: Vec::new(),
                    ask: None,
                });
            }
        }
    }

    /// Files were read again to go to another step.
    pub(super) fn show_reread(&mut self, files: Vec<SourceFile>, read: Read, restored: &Restored) {
        let Some(work) = &self.work else { return };
        let (call, side) = work.wanted();
        // what gave spots then gives them again; only memory could fail, and that ends the core
        if let Ok(work) = Work::of(files, read, Some((&call, side)), work.home, work.sample) {
            self.remember(&work.files);
            self.work = Some(work);
            self.show_restored(restored);
        }
    }

    /// Remembers how files are read, by their headings.
    fn remember(&mut self, files: &[SourceFile]) {
        for file in files {
            if let Some(header) = &file.header {
                self.memory.remember(header, &file.wishes);
            }
        }
        self.keep();
    }

    /// Hands over what is to be kept for the next visit, if anything may be.
    pub(super) fn keep(&mut self) {
        if self.keeping == Keeping::Always {
            self.out.push(Patch::Keep { text: Some(self.memory.text()) });
        }
    }

    /// Says that files were read as their like were corrected before.
    pub(super) fn say_recalled(&mut self, names: &[String]) {
        let head = match names {
            [one] => format!("{one} was read as you corrected a file with the same headings before."),
            many => format!(
                "{} were read as you corrected files with the same headings before.",
                counted(many.len(), "file", "files")
            ),
        };
        self.announce(head.clone());
        let choices = vec![super::views::choice("unrecall", "", "Read as if new", false)];
        self.notice = Some(Words { head, lines: Vec::new(), choices, ask: None });
    }

    /// Reads all files as if nothing had been corrected.
    pub(super) fn unrecall(&mut self) {
        if self.is_busy() {
            return;
        }
        let Some(work) = &self.work else { return };
        let mut files = work.files.clone();
        for file in &mut files {
            file.wishes = Wishes::default();
            if let Some(header) = &file.header {
                self.memory.remember(header, &Wishes::default());
            }
        }
        self.notice = None;
        self.keep();
        self.begin(files, Purpose::Correct { reading: 0, before: None });
    }

    /// Tests another station or side, or from another home.
    pub(super) fn test(&mut self, call: &str, side: Side, home: Option<Locator>) {
        if self.work.as_ref().is_some_and(|work| work.partial.is_some()) && self.is_busy() {
            return;
        }
        let Some(work) = self.work.take() else { return };
        let Work { files, readings, file_of, loaded, sample, partial, .. } = work;
        let other = loaded.name() != call || loaded.tested.side != side;
        let Some(loaded) = loaded.with(call, side, home) else { return };
        if other {
            self.runs = Runs::proposed(&loaded, sample);
        }
        self.work = Some(Work { files, readings, file_of, loaded, sample, home, partial });
        self.state.pinned.clear();
        self.state.focused.clear();
        self.state.filter.listeners = None;
        self.pictures.forget();
        self.show_results();
    }
}

/// `5 231 used, 9 set aside, 4 repeated`.
fn sum_words(reading: &Reading) -> String {
    let figure = |n: u64| count(usize::try_from(n).unwrap_or(usize::MAX));
    let error = reading.error.as_ref().map_or_else(String::new, |error| format!(" ({})", error.text));
    format!(
        "{} used, {} set aside, {} repeated{error}",
        figure(reading.spots),
        count(reading.set_aside.len()),
        figure(reading.duplicates)
    )
}

pub(super) fn error_words(reading: &Reading, named: bool) -> String {
    let text = reading.error.as_ref().map_or("It holds no spot.", |error| error.text.as_str());
    if named { format!("{}: {text}", reading.name) } else { text.to_owned() }
}

/// `reports (2).csv`.
fn numbered(name: &str, n: usize) -> String {
    match name.rsplit_once('.') {
        Some((stem, ending)) => format!("{stem} ({n}).{ending}"),
        None => format!("{name} ({n})"),
    }
}

/// The question about files that came while others are loaded.
fn ask(state: &State, loaded: &Work, new: &Work, runs: &Runs) -> Question {
    let (old_name, new_name) = (loaded.loaded.name(), new.loaded.name());
    let tally = &new.loaded.all.tally;
    let name = match new.files.as_slice() {
        _ if new.sample => "The sample".to_owned(),
        [one] => one.name.clone(),
        many => counted(many.len(), "file", "files"),
    };
    let place = new.loaded.subject().home().map_or_else(String::new, |home| format!(" from {home}"));
    let mut lines = vec![format!("read, {}", counted(tally.spots, "spot", "spots")), format!("{new_name}{place}")];
    if let Some((first, last)) = tally.span {
        let clock = &state.clock;
        lines.push(calendar::days(clock.day_of(first), clock.day_of(last)));
    }
    let replace = Way {
        value: "replace",
        label: "Replace".to_owned(),
        what: format!("{old_name} makes room, its filters with it."),
        fact: "Nothing is kept of it in this page; its file stays where you have it.".to_owned(),
    };
    if new.sample {
        let replace = Way { label: "Show the sample".to_owned(), ..replace };
        return Question { name, lines, choices: vec![replace] };
    }
    let add = Way {
        value: "add",
        label: format!("Add to {old_name}"),
        what: add_words(loaded, new),
        fact: if old_name == new_name {
            "The same station in both.".to_owned()
        } else {
            format!("The new file tests {new_name}: only its spots of {old_name} will count.")
        },
    };
    let (other_test, fact) = another_test(loaded, new);
    let compare = Way {
        value: "compare",
        label: format!("Compare with {}", runs.name(0)),
        what: format!("{} stays A; this becomes B, named after the file.", runs.name(0)),
        fact,
    };
    // the likeliest first
    let choices = match (old_name == new_name, other_test) {
        (_, true) => vec![compare, add, replace],
        (true, false) => vec![add, compare, replace],
        (false, false) => vec![replace, compare, add],
    };
    Question { name, lines, choices }
}

/// Is the new file most likely another antenna of the same station, and what speaks for or against it?
fn another_test(loaded: &Work, new: &Work) -> (bool, String) {
    if propose::base(loaded.loaded.name()) != propose::base(new.loaded.name()) {
        return (false, "Another station: site and antenna cannot be told apart then.".to_owned());
    }
    let (old_span, new_span) = (loaded.loaded.all.tally.span, new.loaded.all.tally.span);
    let apart = old_span.zip(new_span).is_some_and(|(old, new)| old.1 < new.0 || new.1 < old.0);
    let power = |work: &Work| work.loaded.powers.first().map(|&(dbm, _)| dbm);
    if apart {
        (true, "Suggested: another time, so most likely another antenna.".to_owned())
    } else if power(loaded) != power(new) {
        (true, "Suggested: another power at the same time, so most likely another antenna.".to_owned())
    } else if loaded.loaded.name() != new.loaded.name() {
        (true, "Suggested: the same call with another ending.".to_owned())
    } else {
        (false, "Both go on at the same time.".to_owned())
    }
}

fn add_words(loaded: &Work, new: &Work) -> String {
    if loaded.bytes() + new.bytes() > JOINT_BYTES {
        return "Both are read as one run.".to_owned();
    }
    let files: Vec<SourceFile> = loaded.files.iter().chain(&new.files).cloned().collect();
    let (call, side) = loaded.wanted();
    let both = read(&files);
    let repeated = |readings: &[Reading]| readings.iter().map(|reading| reading.duplicates).sum::<u64>();
    let here = repeated(&both.readings).saturating_sub(repeated(&loaded.readings) + repeated(&new.readings));
    let Some(joint) = Loaded::new(both.table, Some((&call, side)), loaded.home) else { return String::new() };
    let days = joint
        .all
        .tally
        .span
        .map_or_else(String::new, |(first, last)| format!(" over {}", calendar::duration(first, last)));
    let repeats = match here {
        0 => "none of its rows is here already".to_owned(),
        1 => "one of its rows is here already and counts once".to_owned(),
        n => format!("{} of its rows are here already and count once", count(usize::try_from(n).unwrap_or(usize::MAX))),
    };
    format!("One run of {}{days}; {repeats}.", counted(joint.all.tally.spots, "spot", "spots"))
}
