//! The regions of the page, and the markup of each.

use super::files::SourceFile;
use super::session::{OrderKey, Session};
use super::state::{Menu, View};
use super::views::answer::Answer;
use super::views::beside::{self, Beside, Ground};
use super::views::compare::{Compare, NeedTwo};
use super::views::frame::{Bar, Empty, Foot, Kept, Kind, More, Notice, Thumb};
use super::views::health::{self, HealthView};
use super::views::left::Left;
use super::views::markup;
use super::views::middle::{Card, CardSheet, Disc, FilterSheet, Filters};
use super::views::plan::{self, Plan};
use super::views::reading::{Around, Reading};
use super::views::right::{Right, Strip};
use super::views::runs::Editor;
use super::views::save::SavePanel;
use super::views::sky::{self, SkyView};
use super::views::spots::{self, Spots};
use crate::import::Reading as FileReading;
use crate::words::ground::design;
use crate::words::headline::headline;
use crate::words::power::taken_as_sent;

/// An element of the page whose content the core writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Region {
    Bar,
    Notice,
    Answer,
    Left,
    Middle,
    Right,
    Foot,
    Thumb,
    Sheet,
    /// A part of the right column that is brought up to date by itself while a handle is dragged.
    Time,
    /// A part of the middle, likewise.
    Filters,
}

impl Region {
    /// How many there are.
    pub(super) const COUNT: usize = Self::Filters as usize + 1;
    /// All that are not part of another.
    pub(super) const ALL: &'static [Self] = &[
        Self::Bar,
        Self::Notice,
        Self::Answer,
        Self::Left,
        Self::Middle,
        Self::Right,
        Self::Foot,
        Self::Thumb,
        Self::Sheet,
    ];
    /// What changes when a mark is pointed at.
    pub(super) const POINTED: &'static [Self] = &[Self::Middle, Self::Right, Self::Sheet];

    /// Id of the element.
    pub(super) fn id(self) -> &'static str {
        match self {
            Self::Bar => "bar",
            Self::Notice => "notice",
            Self::Answer => "answer",
            Self::Left => "left",
            Self::Middle => "middle",
            Self::Right => "right",
            Self::Foot => "foot",
            Self::Thumb => "thumb",
            Self::Sheet => "sheet",
            Self::Time => "time",
            Self::Filters => "filters",
        }
    }
}

/// In place of the health of a beacon, where the tested antenna receives.
const NO_SENDER: &str = "<section class=\"blk guide\"><h2>Time and health</h2><p>This antenna receives. How often a sender was on, \
    and whether it drifted, can be looked at for each station that sends: choose one under Station.</p>\
    <p><button type=\"button\" class=\"btn\" id=\"health-close\" data-act=\"view\" data-value=\"disc\">Close</button></p></section>";

impl Session {
    /// What is watched while a handle is dragged or bands are chosen.
    pub(super) fn watched(&self, dragged: bool) -> &'static [Region] {
        // the strip of a run stands in the middle, and so do the bands of the Disc
        let on_disc = self.state.view == View::Disc && self.runs.open.is_none();
        if on_disc && dragged { &[Region::Filters, Region::Time] } else { &[Region::Middle, Region::Time] }
    }

    /// The markup of a region as things stand.
    pub(super) fn markup(&mut self, region: Region) -> String {
        match region {
            Region::Bar => markup(&Bar::new(&self.state, self.work.is_none(), self.shared.is_some())),
            Region::Notice => markup(&Notice { kind: self.notice_kind() }),
            Region::Answer => self.answer().map_or_else(String::new, |mut answer| {
                answer.shared = match self.shared.as_deref() {
                    None => String::new(),
                    Some("") => "Shared".to_owned(),
                    Some(by) => format!("Shared by {by}"),
                };
                markup(&answer)
            }),
            Region::Left => {
                self.reckon();
                self.work.as_ref().map_or_else(String::new, |work| {
                    let contrast = self.compared.contrast().filter(|_| self.state.view == View::Compare);
                    let ground = contrast.map(|contrast| Ground::new(&work.loaded, &self.runs, contrast));
                    markup(&Left::new(
                        &self.state,
                        &work.loaded,
                        &self.runs,
                        &work.readings,
                        work.partial,
                        &self.home_wrong,
                        ground,
                    ))
                })
            }
            // the Spots view has the panel for saving under its own button
            Region::Middle if self.state.view == View::Spots => self.editor() + &self.middle(),
            Region::Middle => self.save_markup() + &self.editor() + &self.middle(),
            Region::Right => self.right(),
            Region::Foot => markup(&Foot::new(&self.state, self.kept(), self.work.is_some())),
            Region::Thumb => {
                if self.work.is_some() {
                    markup(&Thumb::new(&self.state))
                } else {
                    String::new()
                }
            }
            Region::Sheet => self.sheet(),
            Region::Time => {
                self.work.as_ref().filter(|_| self.state.view == View::Disc).map_or_else(String::new, |work| {
                    markup(&Strip::new(&self.state, &work.loaded, &self.pictures, &self.time_wrong))
                })
            }
            Region::Filters => self
                .work
                .as_ref()
                .map_or_else(String::new, |work| markup(&Filters::new(&self.state, &work.loaded, &self.pictures))),
        }
    }

    /// Brings up to date what Compare and Plan show, while they are shown.
    pub(super) fn reckon(&mut self) {
        self.give_up_outdated();
        let basis = self.basis();
        let Some(work) = &self.work else { return };
        if self.state.view == View::Compare {
            self.compared.compare(basis, &self.runs, &work.loaded, &self.state.filter);
        }
        if matches!(self.state.view, View::Compare | View::Plan) {
            self.planned.update(basis, &self.runs, &work.loaded);
        }
        if self.state.view == View::Health {
            self.watch.update(basis, &self.runs, &work.loaded);
        }
        if self.state.view == View::Sky {
            self.sky.update(basis, &self.runs, &work.loaded, &self.state);
        }
    }

    fn answer(&mut self) -> Option<Answer> {
        self.reckon();
        let work = self.work.as_ref()?;
        let (state, loaded) = (&self.state, &work.loaded);
        let head = match (state.view, self.compared.contrast()) {
            (View::Compare, Some(contrast)) => {
                let (a, b) = contrast.pair;
                let found = &contrast.comparison;
                let mut head = headline(self.runs.name(a), self.runs.name(b), found, self.runs.settings);
                if let Some(apart_db) = beside::doubtful_powers(&self.runs, contrast.pair) {
                    let taken = taken_as_sent(apart_db);
                    let caution = format!(" {taken}: see Correction if they only mark the antennas.");
                    head.evidence += &caution;
                }
                Some((head, design(found.design)))
            }
            (View::Sky, _) => Some((sky::headline(loaded, &self.runs, &self.sky), "angles, hours, places")),
            (View::Health, _) => Some((health::headline(&self.watch, loaded), "health of the beacon")),
            (View::Plan, _) => Some((plan::headline(&self.runs, &self.planned), "the next test")),
            _ => None,
        };
        Some(match head {
            Some((head, how)) => Answer::of_headline(state, loaded, work.sample, head, how),
            None => Answer::new(state, loaded, work.sample, work.partial.is_some()),
        })
    }

    fn editor(&self) -> String {
        let editor = self.work.as_ref().and_then(|work| Editor::new(&self.state, &work.loaded, &self.runs));
        editor.map_or_else(String::new, |editor| markup(&editor))
    }

    fn compare_middle(&mut self) -> String {
        self.reckon();
        let Some(work) = &self.work else { return String::new() };
        match self.compared.contrast() {
            Some(contrast) => markup(&Compare::new(&self.state, &work.loaded, &self.runs, contrast, &self.pictures)),
            None => markup(&NeedTwo::new(&self.state, &work.loaded, &self.runs, &self.pictures)),
        }
    }

    fn right(&mut self) -> String {
        self.reckon();
        let Some(work) = &self.work else { return String::new() };
        match (self.state.view, self.compared.contrast()) {
            (View::Disc, _) => markup(&Right::new(&self.state, &work.loaded, &self.pictures, &self.time_wrong)),
            (View::Compare, Some(contrast)) => {
                let (state, loaded, runs) = (&self.state, &work.loaded, &self.runs);
                markup(&Beside::new(state, loaded, runs, contrast, &self.planned, &self.pictures))
            }
            _ => String::new(),
        }
    }

    /// Where the work is kept.
    fn kept(&self) -> Kept {
        let work = self.work.as_ref().is_some_and(|work| !work.sample);
        Kept::new(self.keeping, work, &self.not_kept, self.shared.is_some())
    }

    /// The panel for saving, while it is open.
    fn save_markup(&self) -> String {
        let save = if self.state.menu == Some(Menu::Save) { self.save_panel() } else { None };
        save.map_or_else(String::new, |save| markup(&SavePanel { save }))
    }

    fn notice_kind(&self) -> Kind {
        if let Some(arrived) = &self.arrived {
            return Kind::Arrived(arrived.question.clone());
        }
        if let Some(notice) = &self.notice {
            return Kind::Words(notice.clone());
        }
        self.tour_words().map_or(Kind::None, Kind::Tour)
    }

    fn middle(&mut self) -> String {
        if self.unread.as_ref().is_some_and(|unread| unread.by_hand) {
            return self.reading().map_or_else(String::new, |reading| markup(&reading));
        }
        if self.work.is_none() {
            return markup(&Empty);
        }
        match self.state.view {
            View::Disc => self.work.as_ref().map_or_else(String::new, |work| {
                let typed = self.home_typed.as_str();
                let typed = (typed, self.home_wrong.as_str());
                markup(&Disc::new(&self.state, &work.loaded, &self.pictures, self.sky.layer, typed))
            }),
            View::Compare => self.compare_middle(),
            View::Plan => self.work.as_ref().map_or_else(String::new, |work| {
                markup(&Plan::new(&self.state, &work.loaded, &self.runs, &self.planned))
            }),
            View::Sky => self.work.as_ref().map_or_else(String::new, |work| {
                markup(&SkyView::new(&self.state, &work.loaded, &self.runs, &self.sky, &self.pictures))
            }),
            View::Health => {
                let view = self
                    .work
                    .as_ref()
                    .and_then(|work| HealthView::new(&self.state, &work.loaded, &self.watch, &self.pictures));
                view.map_or_else(|| NO_SENDER.to_owned(), |view| markup(&view))
            }
            View::Spots => self.spots().map_or_else(String::new, |mut table| {
                table.save = self.save_markup();
                markup(&table)
            }),
            View::Reading => self.reading().map_or_else(String::new, |reading| markup(&reading)),
        }
    }

    /// The table of the Spots view.
    pub(super) fn spots(&mut self) -> Option<Spots> {
        let work = self.work.as_ref()?;
        let key = self.order_key();
        if self.order.as_ref().is_none_or(|(made_for, _)| *made_for != key) {
            self.order = Some((key, spots::order(&self.state, &work.loaded)));
        }
        let order = self.order.as_ref().map_or(&[][..], |(_, order)| order);
        Some(Spots::new(&self.state, &work.loaded, &self.pictures, order))
    }

    /// What the order of the rows shown depends on.
    pub(super) fn order_key(&self) -> OrderKey {
        let sorting = spots::sorting(&self.state);
        (self.generation, self.state.rows, sorting.column, sorting.order)
    }

    /// The readings of the files that are to be corrected, which of them is shown, and its file.
    pub(super) fn reading_shown(&self) -> Option<(&[FileReading], usize, &SourceFile)> {
        let (readings, file_of, files) = match (&self.unread, &self.work) {
            (Some(unread), _) if unread.by_hand => (&unread.readings, &unread.file_of, &unread.files),
            (_, Some(work)) => (&work.readings, &work.file_of, &work.files),
            (_, None) => return None,
        };
        let at = self.state.file.min(readings.len().saturating_sub(1));
        Some((readings, at, files.get(*file_of.get(at)?)?))
    }

    fn reading(&self) -> Option<Reading> {
        let (readings, at, source) = self.reading_shown()?;
        let by_hand = self.unread.as_ref().is_some_and(|unread| unread.by_hand);
        let change = self.change.as_ref().filter(|(reading, ..)| *reading == at && !by_hand);
        let around = Around {
            state: &self.state,
            loaded: self.work.as_ref().filter(|_| !by_hand).map(|work| &work.loaded),
            source,
            change: change.map(|(_, text, _)| text.clone()),
            memory: &self.memory,
            keeping: self.keeping,
        };
        Reading::new(readings, at, around)
    }

    /// What slides up on a phone.
    fn sheet(&self) -> String {
        let Some(work) = self.work.as_ref().filter(|_| self.state.surroundings.narrow) else { return String::new() };
        match self.state.menu {
            Some(Menu::More) => markup(&More::new(&self.state, true, self.kept())),
            Some(menu) if menu == Menu::Filters || menu.is_filter() => {
                let filters = Filters::new(&self.state, &work.loaded, &self.pictures);
                markup(&FilterSheet { filters })
            }
            _ if self.state.view == View::Disc => Card::new(&self.state, &work.loaded, self.sky.layer)
                .map_or_else(String::new, |card| markup(&CardSheet { card })),
            _ => String::new(),
        }
    }
}
