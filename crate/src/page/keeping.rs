//! The work as a whole: kept from one visit to the next, saved as a file, opened again, and put together with another.
//!
//! What is kept and what is saved is the same [`WorkFile`]; the browser's store has the files themselves only once.

use std::mem;
use std::sync::Arc;

use super::feeding::Feeding;
use super::files::{SourceFile, Work};
use super::message::{Keeping, Origin, Patch};
use super::runs::{Card, MOST_RUNS, Runs};
use super::session::Session;
use super::settings;
use super::task::Purpose;
use super::views::choice;
use super::views::frame::{Question, Way, Words};
use crate::import::{MOST_BYTES, SoFar};
use crate::share::work_file::{self, KeptFile, KeptRun, Refusal, WorkFile};
use crate::words::number::counted;

/// What to do where the browser keeps nothing.
const TAKE: &str = "take a work file before you close it";
/// The most that files of a work file may be when it is saved: text for the browser is held several times over.
const MOST_SAVED_BYTES: usize = 200_000_000;

impl Card {
    fn kept(&self) -> KeptRun {
        let Feeding { line, length_m, mhz, swr } = self.feeding;
        let words = [&self.antenna, &self.height, &self.direction, &self.notes].map(String::clone);
        KeptRun { run: self.run.clone(), words, line, feeder: [length_m, mhz, swr] }
    }

    fn of_kept(kept: &KeptRun) -> Self {
        let [antenna, height, direction, notes] = kept.words.clone();
        let [length_m, mhz, swr] = kept.feeder;
        let feeding = Feeding { line: kept.line, length_m, mhz, swr };
        Self { run: kept.run.clone(), antenna, height, direction, notes, feeding }
    }
}

impl Runs {
    /// Takes over the runs of a work file.
    pub(super) fn take_kept(&mut self, kept: &WorkFile) {
        let cards: Vec<Card> = kept.runs.iter().take(MOST_RUNS).map(Card::of_kept).collect();
        if !cards.is_empty() && cards != self.cards {
            self.cards = cards;
        }
        self.why = kept.why;
        self.pair = kept.pair;
        self.control.clone_from(&kept.control);
        self.settings = kept.settings;
    }
}

impl Session {
    /// What is loaded, as a work file.
    pub(super) fn work_file(&self) -> Option<WorkFile> {
        let work = self.work.as_ref().filter(|work| work.partial.is_none())?;
        let (state, runs, table) = (&self.state, &self.runs, &work.loaded.table);
        let named =
            |calls: &[crate::model::CallId]| calls.iter().map(|&call| work.loaded.call(call).to_owned()).collect();
        let listeners: Vec<_> = state.filter.listeners.iter().flatten().copied().collect();
        Some(WorkFile {
            sample: work.sample,
            shared_by: self.shared.clone(),
            tested: Some(work.wanted()),
            home: work.home,
            runs: runs.cards.iter().map(Card::kept).collect(),
            why: runs.why,
            pair: runs.pair,
            control: runs.control.clone(),
            settings: crate::study::compare::Settings { layer: self.sky.layer, ..runs.settings },
            view: settings::write(state, self.pictures.kind, Some(table), &Runs::default()),
            listeners: named(&listeners),
            pinned: named(&state.pinned),
            read: SoFar::of(&work.readings),
            span: work.loaded.all.tally.span,
            files: work.files.iter().map(SourceFile::kept).collect(),
        })
    }

    /// Tells the page what is to be kept, and brought back on a restart, if that is something else than before.
    pub(super) fn tell_work(&mut self) {
        if self.work.as_ref().is_some_and(|work| work.partial.is_some()) {
            return;
        }
        let work = self.work.as_ref().filter(|work| !work.sample && self.shared.is_none());
        let files = work.iter().flat_map(|work| &work.files);
        let waiting = self.arrived.iter().flat_map(super::files::Arrived::files);
        let files: Vec<usize> = files.chain(waiting).map(|file| file.arrival).collect();
        let text =
            if work.is_some() { self.work_file().map_or_else(String::new, |kept| kept.head()) } else { String::new() };
        if (&files, &text) == (&self.sent_work.0, &self.sent_work.1) {
            return;
        }
        self.sent_work = (files.clone(), text.clone());
        let own = self.runs.is_changed()
            || work.is_some_and(|work| work.home.is_some() || work.files.iter().any(SourceFile::is_corrected));
        self.out.push(Patch::Work { files, text, fresh: mem::take(&mut self.fresh), own });
    }

    /// The number of the file that came last.
    pub(super) fn arrived_last(&self) -> usize {
        self.arrivals.saturating_sub(1)
    }

    /// Name and bytes of a file of the work, or of one that waits for a decision, by its number.
    pub fn file(&self, number: usize) -> Option<(&str, &[u8])> {
        let work = self.work.iter().flat_map(|work| &work.files);
        let waiting = self.arrived.iter().flat_map(super::files::Arrived::files);
        let file = work.chain(waiting).find(|file| file.arrival == number)?;
        Some((&file.name, &file.bytes))
    }

    /// Saves the work file.
    pub(super) fn save_work(&mut self) {
        let Some(kept) = self.work_file() else { return };
        if kept.files.iter().map(|file| file.bytes.len()).sum::<usize>() > MOST_SAVED_BYTES {
            let line = "Keep the files themselves; runs and filters stand in the address of this page.".to_owned();
            return self.say("More than 200\u{a0}MB are too much for a work file.".to_owned(), vec![line]);
        }
        let mark = if kept.sample { "SAMPLE-" } else { "" };
        let call = kept.tested.as_ref().map_or("", |(call, _)| call).replace('/', "-");
        let name = format!("{mark}work-{call}.json.gz");
        self.announce(format!("Work file {name} taken."));
        self.out.push(Patch::WorkFile { name, text: kept.text() });
    }

    /// Files came in, some of which are work files. Says whether that was so.
    pub(super) fn take_work_files(&mut self, files: &[SourceFile], origin: Origin) -> bool {
        let is_one = |file: &&SourceFile| work_file::is_one(&file.bytes);
        if !files.iter().any(|file| is_one(&file)) {
            return false;
        }
        let mut whole: Option<WorkFile> = None;
        for file in files.iter().filter(is_one) {
            match WorkFile::read(&file.bytes, MOST_BYTES) {
                Ok(kept) => whole = Some(whole.map_or_else(|| kept.clone(), |whole| whole.merged(&kept))),
                Err(refusal) => {
                    let (head, line) = refused(&file.name, refusal);
                    self.say(head, vec![line]);
                    return true;
                }
            }
        }
        let Some(mut whole) = whole else { return true };
        // tables that came with it belong to it
        whole.files.extend(files.iter().filter(|file| !is_one(file)).map(SourceFile::kept));
        self.open_work(whole, origin);
        true
    }

    /// Reads the files of a work file.
    fn open_work(&mut self, kept: WorkFile, origin: Origin) {
        let files = self.arriving(&kept);
        self.begin(files, Purpose::Opened(Box::new(kept), origin));
    }

    /// The files of a work file as files that came in.
    fn arriving(&mut self, kept: &WorkFile) -> Vec<SourceFile> {
        let first = self.arrivals;
        self.arrivals += kept.files.len();
        let files = kept.files.iter().zip(first..);
        files.map(|(file, arrival)| SourceFile::of_kept(file, arrival)).collect()
    }

    /// The same files came again, with what was told of the work they belong to; further ones waited for a decision.
    pub(super) fn bring_back(&mut self, text: &str, mut files: Vec<SourceFile>) {
        let Ok(kept) = WorkFile::read(text.as_bytes(), MOST_BYTES) else {
            return self.begin(files, Purpose::Fresh(Origin::Again));
        };
        self.incoming = files.split_off(kept.files.len().min(files.len()));
        for (file, kept) in files.iter_mut().zip(&kept.files) {
            file.name.clone_from(&kept.name);
            file.wishes = kept.wishes.clone();
        }
        self.begin(files, Purpose::Opened(Box::new(kept), Origin::Again));
    }

    /// The files of a work file were read.
    pub(super) fn show_opened(
        &mut self,
        files: Vec<SourceFile>,
        read: super::files::Read,
        kept: WorkFile,
        origin: Origin,
    ) {
        let tested = kept.tested.as_ref().map(|(call, side)| (call.as_str(), *side));
        let work = match Work::of(files, read, tested, kept.home, kept.sample) {
            Ok(work) => work,
            Err(unread) => return self.say_unread(unread),
        };
        let loaded = self.work.as_ref().filter(|loaded| !loaded.sample && origin == Origin::Person);
        if let Some(question) = loaded.map(|loaded| ask(loaded, &work, self.runs.name(0))) {
            self.announce(format!("{}: {}", question.name, question.lines.join(", ")));
            let first = question.choices.first().map_or("leave", |way| way.value);
            self.out.push(Patch::Focus { id: format!("second-{first}") });
            self.arrived = Some(super::files::Arrived::of_work_file(question, work, kept));
            return;
        }
        let notice = self.notice.take().filter(|_| origin == Origin::Again);
        self.show_kept(work, &kept, origin);
        self.notice = self.notice.take().or(notice);
        // what waited for a decision when the core stopped is asked about again
        let waiting = mem::take(&mut self.incoming);
        if !waiting.is_empty() {
            self.begin(waiting, Purpose::Fresh(Origin::Person));
        }
    }

    /// Shows the work of a work file.
    pub(super) fn show_kept(&mut self, work: Work, kept: &WorkFile, origin: Origin) {
        if origin == Origin::Shared {
            self.shared = Some(kept.shared_by.clone().unwrap_or_default());
        }
        // an address that asks for something else was typed, or is a bookmark
        let as_asked = origin != Origin::Person && self.asked.as_ref().is_some_and(|asked| asked.differs(&kept.view));
        if !as_asked {
            self.asked = Some(settings::Asked::read(&kept.view));
        }
        self.show_work(work, None);
        self.fresh = origin != Origin::Again;
        let Some(work) = &self.work else { return };
        let find = |call: &String| work.loaded.table.stations().find_call(call);
        if !as_asked && !kept.listeners.is_empty() {
            self.state.filter.listeners = Some(crate::order::set(kept.listeners.iter().filter_map(find)));
        }
        self.state.pinned = kept.pinned.iter().filter_map(find).collect();
        self.sky.layer = kept.settings.layer;
        self.runs.take_kept(kept);
        self.show_results();
        self.say_read_otherwise(kept);
    }

    /// Says so if the files give something else than when the work file was written.
    fn say_read_otherwise(&mut self, kept: &WorkFile) {
        let Some(work) = &self.work else { return };
        let now = SoFar::of(&work.readings);
        if now == kept.read || kept.read == SoFar::default() {
            return;
        }
        let spots = |n: u64| counted(usize::try_from(n).unwrap_or(usize::MAX), "spot", "spots");
        let head = format!("The files give {} now; they gave {}.", spots(now.spots), spots(kept.read.spots));
        let line = "They were read by another version of this page then, or the work file was changed by hand.";
        self.say(head, vec![line.to_owned()]);
    }

    /// Puts a work file that waits for a decision together with what is loaded.
    pub(super) fn merge(&mut self, kept: &WorkFile) {
        if let Some(own) = self.work_file() {
            self.open_work(own.merged(kept), Origin::Again);
        }
    }

    /// The browser kept the work, or could not: said once. Or what it kept before cannot be read.
    pub(super) fn take_kept(&mut self, why: &str) {
        if why == "damaged" {
            let head = "Work that this browser kept cannot be read any more.".to_owned();
            let line = "Its store was damaged, or changed by another page. Open the files again, or a work file; \
                        what is left in the store stays until you forget it (at the foot of this page).";
            self.say(head, vec![line.to_owned()]);
            return;
        }
        let before = mem::replace(&mut self.not_kept, why.to_owned());
        if before.is_empty() && !why.is_empty() {
            let large = why == "large";
            let (head, advice) = match why {
                "large" => ("Your files are too large to be kept in this browser.", "up to 200\u{a0}MB are kept"),
                "full" => ("This browser has no room left to keep your work.", TAKE),
                _ => ("This browser does not let the page keep your work.", TAKE),
            };
            let line = format!("Everything goes on as before, in this page only: {advice}.");
            self.announce(format!("{head} {line}"));
            let take = choice("save", "work", "Take a work file", false);
            let choices = if large { Vec::new() } else { vec![take] };
            self.notice = Some(Words { head: head.to_owned(), lines: vec![line], choices, ask: None });
        }
    }

    /// The work is to be kept in this browser, or not any more, or all that is kept forgotten.
    pub(super) fn keep_work(&mut self, value: &str) {
        let ask = |head: &str, line: &str, value: &'static str, label: &'static str| Words {
            head: head.to_owned(),
            lines: vec![line.to_owned()],
            choices: vec![choice("keep", value, label, false)],
            ask: None,
        };
        match value {
            "ask" if self.hosted => self.keep_work("yes"),
            "ask" => {
                self.notice = Some(ask(
                    "Keep your work in this browser?",
                    "A page opened from a disk shares its store with every other page opened from a disk in this \
                     browser: such a page could read your spots and notes.",
                    "yes",
                    "Keep it all the same",
                ));
                self.out.push(Patch::Focus { id: "notice-keep".to_owned() });
            }
            "yes" => {
                self.keeping = Keeping::Always;
                self.notice = None;
                self.keep();
            }
            "forget" => {
                self.notice = Some(ask(
                    "Forget everything that this browser keeps of this page?",
                    "Runs, names, notes, corrections and files of all works go from its store. What is open stays until \
                     you close it; files on your disk stay.",
                    "forget-all",
                    "Forget everything",
                ));
                self.out.push(Patch::Focus { id: "notice-keep".to_owned() });
            }
            "forget-all" => {
                self.keeping = Keeping::NotYet;
                self.memory = super::memory::Memory::default();
                self.notice = None;
                self.out.push(Patch::Keep { text: None });
                self.announce("Everything is forgotten.".to_owned());
            }
            _ => {}
        }
    }
}

impl SourceFile {
    fn kept(&self) -> KeptFile {
        KeptFile { name: self.name.clone(), bytes: Arc::clone(&self.bytes), wishes: self.wishes.clone() }
    }

    fn of_kept(kept: &KeptFile, arrival: usize) -> Self {
        let (name, bytes, wishes) = (kept.name.clone(), Arc::clone(&kept.bytes), kept.wishes.clone());
        Self { name, bytes, wishes, header: None, arrival }
    }

    fn is_corrected(&self) -> bool {
        self.wishes != crate::import::Wishes::default()
    }
}

/// Why a work file is not opened, and what to do.
fn refused(name: &str, refusal: Refusal) -> (String, String) {
    let (what, advice) = refusal.words();
    (format!("{name} is {what}."), format!("{advice} What is loaded stays as it is."))
}

/// The question about a work file that came while others are loaded.
fn ask(loaded: &Work, new: &Work, first: &str) -> Question {
    let tally = &new.loaded.all.tally;
    let mut lines = vec![format!("work file, {}", counted(tally.spots, "spot", "spots")), new.loaded.name().to_owned()];
    lines.push(counted(new.files.len(), "file", "files"));
    let open = Way {
        value: "replace",
        label: "Open it".to_owned(),
        what: format!("{} makes room for it.", loaded.loaded.name()),
        fact: "Its own runs, names, notes, corrections and filters are shown.".to_owned(),
    };
    let merge = Way {
        value: "merge",
        label: format!("Put together with {first}"),
        what: "Files and runs of both, in one work.".to_owned(),
        fact: "Files that are in both are read once; spots that are in both count once.".to_owned(),
    };
    Question { name: "A work file".to_owned(), lines, choices: vec![open, merge] }
}
