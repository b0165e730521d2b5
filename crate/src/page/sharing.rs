//! A page to be shared, and what is otherwise in one that was.

use super::message::Patch;
use super::session::Session;
use super::settings;
use super::views::choice;
use super::views::frame::Words;
use crate::share::Leaving;
use crate::share::shared::{self, Sharing};
use crate::study::Subject;
use crate::study::compare::{Settings, floor_of};

/// Longest name of who shares, letters.
const MOST_LETTERS: usize = 80;

/// What is said where a shared page is given other files.
pub(super) const OTHER_FILES: &str = "This page shows what was shared with it; other files are not read in it.";

impl Session {
    /// Rows of the control beacon that pass the filters.
    pub(super) fn control_rows(&self) -> Vec<u32> {
        let Some(work) = &self.work else { return Vec::new() };
        let table = &work.loaded.table;
        let Some(call) = self.runs.control.as_ref().and_then(|call| table.stations().find_call(call)) else {
            return Vec::new();
        };
        let control = Subject::new(table, &[call], work.loaded.tested.side, None);
        self.state.filter.rows(&control).iter().filter_map(|row| u32::try_from(row).ok()).collect()
    }

    /// The control beacon as it leaves, with its spots.
    pub(super) fn control_that_leaves(&self, leaving: &Leaving<'_>) -> Option<(String, usize)> {
        let subject = leaving.subject();
        let names = subject.table().stations();
        let rows = self.control_rows();
        let work = self.work.as_ref()?;
        let control = work.loaded.table.stations().find_call(self.runs.control.as_ref()?)?;
        (!rows.is_empty()).then(|| (names.call(control).to_owned(), rows.len()))
    }

    /// How it is looked at, to be looked at likewise.
    pub(super) fn sharing(&self) -> Sharing {
        let Some(work) = &self.work else { return Sharing::default() };
        let (state, runs, table) = (&self.state, &self.runs, &work.loaded.table);
        let mut shown = state.clone();
        let listeners = shown.filter.listeners.take();
        Sharing {
            by: state.saving.by.clone(),
            view: settings::write(&shown, self.pictures.kind, Some(table), &super::runs::Runs::default()),
            listeners: listeners.into_iter().flatten().collect(),
            pinned: state.pinned.clone(),
            pair: runs.pair,
            control: runs.control.as_ref().and_then(|call| table.stations().find_call(call)),
            settings: Settings {
                layer: self.sky.layer,
                // spots of other stations tell it too, and these do not leave
                floor_db: runs.settings.floor_db.or_else(|| floor_of(table)),
                ..runs.settings
            },
            home_was_given: work.home.is_some(),
        }
    }

    /// What leaves, and the control beacon with it.
    pub(super) fn with_control<'a>(&self, leaving: Leaving<'a>) -> Leaving<'a> {
        leaving.with_control(self.control_rows())
    }

    /// Hands over this page with what leaves in it.
    pub(super) fn share_page(&mut self) {
        let Some(leaving) = self.leaving() else { return };
        let leaving = self.with_control(leaving);
        let (name, text) = (leaving.file_name("page", "html"), shared::work(&leaving, &self.sharing()).text());
        self.announce_saved(&name);
        self.out.push(Patch::Page { name, text });
    }

    /// Who shares it was typed.
    pub(super) fn say_by(&mut self, value: &str) {
        self.state.saving.by = value.trim().chars().take(MOST_LETTERS).collect();
    }

    /// Would this change what was sent with a shared page? Then it is not done, and said why.
    pub(super) fn is_kept_as_sent(&mut self, act: &str) -> bool {
        let of_runs = act.starts_with("run-")
            && !matches!(act, "run-a" | "run-b" | "run-exchange" | "run-control" | "run-small" | "run-days");
        let changes = of_runs
            || act.starts_with("wish-")
            || matches!(
                act,
                "station" | "home" | "role" | "accept-roles" | "use-aside" | "runner-up" | "unrecall" | "undo"
            );
        let refused = self.shared.is_some() && changes;
        if refused {
            self.say_shared("This page shows what was shared with it, and that stays as it was sent.");
        }
        refused
    }

    /// Says what a shared page does not do, and how to have it done.
    pub(super) fn say_shared(&mut self, head: &str) {
        let line = "Filter, compare and save as you like. For files of your own, begin with an empty page.".to_owned();
        self.announce(format!("{head} {line}"));
        let begin = choice("begin-own", "", "Begin with an empty page", false);
        self.notice = Some(Words { head: head.to_owned(), lines: vec![line], choices: vec![begin], ask: None });
    }

    /// A shared page becomes an empty one for files of a person's own.
    pub(super) fn begin_own(&mut self) {
        if self.shared.take().is_none() || self.is_busy() {
            return;
        }
        self.work = None;
        self.runs = super::runs::Runs::default();
        self.reset_view(&settings::Asked::default(), self.state.shade);
        self.pictures.forget();
        self.generation += 1;
        self.out.push(Patch::Focus { id: "open-files".to_owned() });
    }
}
