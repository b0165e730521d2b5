//! What a person did, step by step: to take it back, and to do it again.
//!
//! A step is found by holding how things stand after an event against how they stood before it.
//! So whatever a control does can be taken back, and no control need know of it.
//! A step is a change of filters, view, pins, runs, station or place, and of how files are read.
//! Other files begin a new history: what stood there before named rows and stations of the former ones.

use super::files::Change;
use super::runs::Runs;
use super::session::Session;
use super::state::View;
use super::task::Purpose;
use crate::figure::disc::{ViewKind, Zoom};
use crate::geography::Locator;
use crate::import::Wishes;
use crate::model::{CallId, Side};
use crate::study::Filter;
use crate::words::number::{count, counted};

use super::parts::Part;

/// So many steps can be taken back.
const MOST_STEPS: usize = 100;
/// What goes on while a hand moves a handle is one step.
const CONTINUOUS: [&str; 5] = ["from-min", "to-min", "run-from-min", "run-to-min", "run-drawn"];

/// How things stood.
#[derive(Clone, Debug)]
pub(super) struct Moment {
    /// Numbers of arrival of the files.
    files: Vec<usize>,
    /// How each of them was wished to be read.
    wishes: Vec<Wishes>,
    change: Option<Change>,
    station: (String, Side),
    home: Option<Locator>,
    /// The runs without their rows.
    runs: Runs,
    filter: Filter,
    view: View,
    pinned: Vec<CallId>,
    kind: Option<ViewKind>,
}

impl Moment {
    /// What was done between this and a later moment, in words; nothing if that is no step.
    fn step_to(&self, later: &Self) -> Option<&'static str> {
        let (before, after) = (&self.runs, &later.runs);
        Some(if self.wishes != later.wishes {
            "correction of the reading"
        } else if self.station != later.station {
            "choice of station"
        } else if self.home != later.home {
            "place of the antenna"
        } else if let Some(word) = before.step_to(after) {
            word
        } else if self.filter != later.filter {
            let mut parts = Part::ALL.into_iter().filter(|part| part.differs(&self.filter, &later.filter));
            match (parts.next(), parts.next()) {
                (Some(part), None) => part.step(),
                _ => "filters",
            }
        } else if self.view != later.view {
            "change of view"
        } else if self.pinned != later.pinned {
            if later.pinned.is_empty() { "taking a pin away" } else { "pin" }
        } else if self.kind != later.kind {
            "reach shown"
        } else {
            return None;
        })
    }
}

/// The steps.
#[derive(Debug, Default)]
pub(super) struct History {
    /// How things stood before the first step and after each, with what the step was.
    moments: Vec<(Moment, &'static str)>,
    /// The one that is shown.
    at: usize,
    /// The number of the first: they are counted on over all files, and the browser's history names them.
    first: usize,
    /// The act before.
    act: String,
    /// How the number came about that was not told to the page yet.
    pub(super) way: Way,
}

/// How the page came to the step it shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Way {
    /// It stayed there, or the browser's history led there.
    #[default]
    Here,
    /// It is a new one.
    New,
    /// By a key or button.
    Moved,
}

impl Way {
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Here => "here",
            Self::New => "new",
            Self::Moved => "moved",
        }
    }
}

impl History {
    /// Number of the step that is shown, and of the first that can be gone back to.
    pub(super) fn numbers(&self) -> (usize, usize) {
        (self.first + self.at, self.first)
    }

    /// What would be undone and redone, in words; nothing where there is nothing.
    fn words(&self) -> (&'static str, &'static str) {
        let step = |at: usize| self.moments.get(at).map_or("", |(_, word)| *word);
        (if self.at > 0 { step(self.at) } else { "" }, step(self.at + 1))
    }

    /// Is the last step one of runs, or of the reading, and nothing done since? Then its own button means the same.
    pub(super) fn ends_with(&self, is: impl Fn(&Moment, &Moment) -> bool) -> bool {
        let before = self.at.checked_sub(1).and_then(|before| self.moments.get(before));
        before.zip(self.moments.get(self.at)).is_some_and(|((before, _), (now, _))| is(before, now))
    }

    /// Takes in how things stand.
    /// Was it a step?
    fn take(&mut self, now: Moment, continued: bool) -> bool {
        let same_files = self.moments.get(self.at).is_some_and(|(then, _)| then.files == now.files);
        if !same_files {
            self.first += self.moments.len();
            self.way = if self.moments.is_empty() { Way::Here } else { Way::Moved };
            self.moments = vec![(now, "")];
            self.at = 0;
            return false;
        }
        let Some((then, _)) = self.moments.get_mut(self.at) else { return false };
        let Some(word) = then.step_to(&now) else {
            *then = now;
            return false;
        };
        self.moments.truncate(self.at + 1);
        if continued && self.at > 0 {
            if let Some((then, _)) = self.moments.last_mut() {
                *then = now;
            }
            return true;
        }
        self.moments.push((now, word));
        if self.moments.len() > MOST_STEPS + 1 {
            self.moments.remove(0);
            self.first += 1;
        }
        self.at = self.moments.len() - 1;
        self.way = Way::New;
        true
    }
}

/// Was the last step a correction of the reading?
pub(super) fn is_correction(before: &Moment, now: &Moment) -> bool {
    before.wishes != now.wishes
}

/// Was the last step one of runs that their own button takes back?
pub(super) fn is_of_runs(before: &Moment, now: &Moment) -> bool {
    before.runs.undoable().is_none() && now.runs.undoable().is_some()
}

impl Session {
    /// How things stand, while files are loaded as a whole.
    fn moment(&self) -> Option<Moment> {
        let work = self.work.as_ref().filter(|work| work.partial.is_none())?;
        let state = &self.state;
        Some(Moment {
            files: work.files.iter().map(|file| file.arrival).collect(),
            wishes: work.files.iter().map(|file| file.wishes.clone()).collect(),
            change: self.change.clone(),
            station: work.wanted(),
            home: work.home,
            runs: self.runs.without_rows(),
            filter: state.filter.clone(),
            view: state.view,
            pinned: state.pinned.clone(),
            kind: self.pictures.kind,
        })
    }

    /// Remembers a step, if the last event was one. What moves by itself is one step once it stands still.
    pub(super) fn record(&mut self, act: &str) {
        let continued = self.history.act == act && CONTINUOUS.contains(&act);
        let stepped = !self.state.play.on && self.moment().is_some_and(|now| self.history.take(now, continued));
        // a handle that was held without being moved goes on with nothing
        let act = if stepped || continued || !CONTINUOUS.contains(&act) { act } else { "" };
        act.clone_into(&mut self.history.act);
        self.state.steps = self.history.words();
    }

    /// One step back or on again. `value` says whether a button was pressed, whose place may be gone afterwards.
    pub(super) fn step(&mut self, on: bool, value: &str) {
        let (undo, redo) = self.history.words();
        let number = self.history.first + self.history.at;
        match (on, if on { redo } else { undo }) {
            (false, "") => self.announce("Nothing to undo.".to_owned()),
            (true, "") => self.announce("Nothing to redo.".to_owned()),
            (_, _) => {
                self.go_to(if on { number + 1 } else { number - 1 });
                self.history.way = Way::Moved;
            }
        }
        if value == "more-" {
            self.close_menu();
        } else if !value.is_empty() {
            let (undo, redo) = self.history.words();
            let id = if redo.is_empty() || (!on && !undo.is_empty()) { "undo-step" } else { "redo-step" };
            self.out.push(super::message::Patch::Focus { id: format!("{value}{id}") });
        }
    }

    /// Goes to the step of a number, or to the nearest that there is.
    pub(super) fn go_to(&mut self, number: usize) {
        // a part of a file that is still being read has no steps
        if self.moment().is_none() {
            return;
        }
        let history = &self.history;
        let to = number.saturating_sub(history.first).min(history.moments.len().saturating_sub(1));
        let (steps, word) = if to < history.at {
            (history.at - to, history.moments.get(history.at))
        } else {
            (to - history.at, history.moments.get(to))
        };
        let (Some((_, word)), Some((moment, _))) = (word, history.moments.get(to)) else { return };
        if steps == 0 {
            return;
        }
        let done = if to < history.at { "Undone" } else { "Redone" };
        let said = if steps == 1 {
            format!("{done}: {word}.")
        } else {
            format!("{done}: {}.", counted(steps, "step", "steps"))
        };
        let moment = moment.clone();
        let Some(work) = &self.work else { return };
        let as_wished = work.files.iter().zip(&moment.wishes).all(|(file, wishes)| file.wishes == *wishes);
        if as_wished {
            self.put_back(&moment, false, &said);
            self.history.at = to;
            return;
        }
        if self.is_busy() {
            return;
        }
        let Some(work) = &self.work else { return };
        let mut files = work.files.clone();
        for (file, wishes) in files.iter_mut().zip(&moment.wishes) {
            file.wishes.clone_from(wishes);
        }
        self.begin(files, Purpose::Restore(Box::new(Restored { moment, number, said })));
    }

    /// Files were read again as they were read at another step.
    pub(super) fn show_restored(&mut self, restored: &Restored) {
        let Restored { moment, number, said } = restored;
        self.put_back(moment, true, said);
        // something may have been done meanwhile, so that this is a new step
        let to = number.checked_sub(self.history.first);
        let there = to.and_then(|to| self.history.moments.get(to));
        if let (Some(to), Some((known, _))) = (to, there)
            && known.step_to(moment).is_none()
        {
            self.history.at = to;
        }
        if self.history.way == Way::Here {
            self.history.way = Way::Moved;
        }
    }

    /// Brings back how things stood; `read` says whether the files were just read anew for it.
    fn put_back(&mut self, moment: &Moment, read: bool, said: &str) {
        let other = self.moment().is_none_or(|now| now.station != moment.station || now.home != moment.home);
        if other {
            self.test(&moment.station.0, moment.station.1, moment.home);
        }
        let differs = self.state.filter != moment.filter || self.runs.step_to(&moment.runs).is_some();
        self.runs.bring_back(&moment.runs);
        self.change.clone_from(&moment.change);
        self.state.filter.clone_from(&moment.filter);
        self.state.pinned.clone_from(&moment.pinned);
        self.state.focused.clear();
        if self.state.view != moment.view {
            self.state.view = moment.view;
            self.state.menu = None;
        }
        self.home_typed.clear();
        self.home_wrong.clear();
        self.time_wrong.clear();
        let mut said = said.to_owned();
        if let Some(work) = self.work.as_mut().filter(|_| read || other || differs) {
            let before = work.loaded.all.tally.spots;
            self.generation += 1;
            self.state.spots_sorting.page = 0;
            self.state.listeners_sorting.page = 0;
            self.runs.fit(&mut work.loaded, &moment.filter);
            work.loaded.apply(&moment.filter);
            let (shown, all) = (work.loaded.shown.tally.spots, work.loaded.all.tally.spots);
            said = format!("{said} {} of {}.", count(shown), counted(all, "spot", "spots"));
            if read || before != all {
                self.pictures.forget();
            }
        }
        if self.pictures.kind != moment.kind {
            self.pictures.zoom = Zoom::default();
        }
        self.pictures.kind = moment.kind;
        self.pictures.at.clear();
        self.pictures.touch_all();
        self.announce(said);
    }
}

/// A step to go to once the files are read as they were read then.
#[derive(Debug)]
pub(super) struct Restored {
    moment: Moment,
    number: usize,
    said: String,
}
