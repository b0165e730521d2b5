//! The session: what is loaded and how it is shown, and what each event does to it.

use std::fmt;

use super::archive::Archive;
use super::compared::Compared;
use super::files::{Arrived, Change, Work};
use super::history::{History, Way};
use super::memory::Memory;
use super::message::{Boot, Event, Keeping, Patch, Picture};
use super::pictures::{Pictures, Room, Scenery};
use super::planned::Planned;
use super::reckoned::Basis;
use super::regions::Region;
use super::runs::Runs;
use super::settings::{self, Asked};
use super::sky::Sky;
use super::state::{Order, Rows, State};
use super::task::{Former, Task};
use super::tour::Tour;
use super::unread::Unread;
use super::views::frame::Words;
use super::watch::Watch;
use super::zone::Clock;
use crate::draw::Surface;
use crate::figure::disc::Haste;
use crate::order::LightSort;
use crate::words::calendar::{DateOrder, set_date_order};

/// The whole page but for its canvases: events in, patches out. Knows no browser.
#[derive(Default)]
#[expect(clippy::struct_excessive_bools, reason = "each is a fact on its own")]
pub struct Session {
    pub(super) state: State,
    pub(super) work: Option<Work>,
    pub(super) arrived: Option<Arrived>,
    pub(super) incoming: Vec<super::files::SourceFile>,
    /// Files that are being read.
    pub(super) task: Option<Task>,
    /// What was shown before a partial picture.
    pub(super) former: Option<Former>,
    /// Does the page ask for step after step?
    pub(super) stepwise: bool,
    /// Files that gave no spot, while something may help them.
    pub(super) unread: Option<Unread>,
    pub(super) memory: Memory,
    pub(super) keeping: Keeping,
    /// Does the page come from a web host, whose store is its own?
    pub(super) hosted: bool,
    /// Why the browser did not keep the work; empty where it did.
    pub(super) not_kept: String,
    /// Who shared this page, where it is one that was shared; empty if they did not say.
    pub(super) shared: Option<String>,
    /// Did another work take the place of the former one?
    pub(super) fresh: bool,
    /// Files and text of the work as the page was told.
    pub(super) sent_work: (Vec<usize>, String),
    /// Files that came since the page opened.
    pub(super) arrivals: usize,
    pub(super) pictures: Pictures,
    pub(super) runs: Runs,
    pub(super) compared: Compared,
    pub(super) planned: Planned,
    pub(super) sky: Sky,
    pub(super) watch: Watch,
    pub(super) archive: Archive,
    pub(super) notice: Option<Words>,
    /// What was typed as home, and why it would not do.
    pub(super) home_typed: String,
    pub(super) home_wrong: String,
    pub(super) time_wrong: String,
    /// What the last correction of a file did, and how the file was corrected before it.
    pub(super) change: Option<Change>,
    /// What was done, step by step.
    pub(super) history: History,
    pub(super) tour: Tour,
    /// Settings that wait for the first file.
    pub(super) asked: Option<Asked>,
    pub(super) out: Vec<Patch>,
    /// What each region shows, so that only changes are sent.
    pub(super) sent: [Option<String>; Region::COUNT],
    pub(super) order: Option<(OrderKey, Vec<u32>)>,
    /// Counts up whenever other rows are shown.
    pub(super) generation: u64,
    /// Are only the pictures brought up to date that are watched while a handle is dragged?
    passing: bool,
    /// What the last passing event did.
    passed: String,
    sent_settings: (String, usize),
    sent_title: String,
    sent_theme: &'static str,
    sent_state: &'static str,
}

/// The one passing event that is a click, not the move of a handle.
const CHOSEN: &str = "band";

/// What an order of rows was made for.
pub(super) type OrderKey = (u64, Rows, super::state::Column, Order);

impl fmt::Debug for Session {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Session").field("view", &self.state.view).finish_non_exhaustive()
    }
}

impl Session {
    /// A session with nothing loaded.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in an event and says what the page must do.
    /// Pictures to draw are asked for with [`Session::take_pictures`] afterwards.
    pub fn handle(&mut self, event: Event) -> Vec<Patch> {
        let mut regions: &[Region] = Region::ALL;
        self.passing = false;
        if std::mem::take(&mut self.pictures.haste) != Haste::None {
            self.pictures.touch(Picture::Disc);
        }
        let mut done = String::new();
        match event {
            Event::Boot(boot) => self.boot(boot),
            Event::File { name, bytes } => {
                self.take_file(name, bytes);
                regions = &[];
            }
            Event::FilesDone { origin, work } => self.files_done(origin, &work),
            Event::Kept { why } => self.take_kept(&why),
            Event::Cancelled => self.give_up(),
            Event::ReadOn { bytes } => {
                let pictured = self.generation;
                self.read_on(bytes);
                // as long as it only reads on, nothing looks otherwise
                if self.task.is_some() && self.generation == pictured {
                    regions = &[];
                }
            }
            Event::Unreadable { name, why } => {
                let line = format!("The browser says: {why}. Perhaps it was moved or changed since; choose it again.");
                self.say(format!("{name} could not be read."), vec![line]);
            }
            Event::OddDrop { what } => {
                let head = if what == "folder" { "That folder holds no file." } else { "That was no file." };
                let line = "Drop files with rows of spots here, a folder of them, or rows copied from a table.";
                self.say(head.to_owned(), vec![line.to_owned()]);
            }
            Event::Settings { text } => self.take_settings(&text),
            Event::Step { to } => {
                self.go_to(to);
                self.history.way = Way::Here;
                // the browser's entry may say something else by now
                self.sent_settings.1 = usize::MAX;
            }
            Event::NewVersion => {
                let line = "Nothing is changed until you agree; open files are then closed.".to_owned();
                let agree = super::views::choice("new-version", "", "Use it now", false);
                let head = "A new version of this page is ready.".to_owned();
                self.notice = Some(Words { head, lines: vec![line], choices: vec![agree], ask: None });
            }
            Event::Act { act, value, shift, passing } => {
                self.act(&act, &value, shift);
                done = act;
                if passing {
                    self.passing = true;
                    let dragged = done != CHOSEN;
                    // what is chosen by a click stays as it is drawn
                    self.pictures.haste = if dragged { Haste::Marks } else { Haste::None };
                    self.passed.clone_from(&done);
                    regions = self.watched(dragged);
                    // what passes is not read out
                    self.out.retain(|patch| !matches!(patch, Patch::Announce { .. }));
                }
            }
            Event::Settled => {
                if !self.passed.is_empty() {
                    self.announce_count();
                }
                // to the history it is the handle that did it
                done = std::mem::take(&mut self.passed);
            }
            Event::Pointer(pointer) => {
                if pointer.passing {
                    self.passing = true;
                    self.pictures.haste = Haste::Ground;
                }
                regions = self.pointer(pointer);
            }
            Event::Key { picture, key } => regions = self.key(picture, &key),
            Event::Size { picture, width, height, ratio } => {
                self.pictures.resize(picture, Room { width, height, ratio });
                regions = &[];
            }
            Event::Paper => {
                for picture in Picture::ALL {
                    let drawn = self.svg(picture);
                    self.out.extend(drawn);
                }
                regions = &[];
            }
            Event::Surroundings(surroundings) => {
                self.state.surroundings = surroundings;
                self.pictures.touch_all();
            }
        }
        // what changes a part only is no step
        if regions.len() == Region::ALL.len() {
            self.record(&done);
        }
        self.refresh(regions);
        // what is to be focused must be there first
        self.out.order_by_key(|patch| matches!(patch, Patch::Focus { .. }));
        std::mem::take(&mut self.out)
    }

    fn boot(&mut self, boot: Boot) {
        crate::words::number::set_decimal_mark(if boot.decimal_comma { ',' } else { '.' });
        set_date_order(DateOrder::of(&boot.date_begins_with));
        self.state.clock = Clock::new(boot.zone_changes);
        self.state.surroundings = boot.surroundings;
        let asked = Asked::read(&boot.settings);
        self.state.shade = asked.shade;
        self.state.length = asked.length;
        if asked.local {
            self.state.clock.show_local();
        }
        self.asked = Some(asked);
        self.stepwise = boot.stepwise;
        self.state.saving.sends = boot.sends;
        self.hosted = boot.hosted;
        self.memory = Memory::from_text(&boot.kept);
        self.keeping = boot.keeping;
        if let Some(name) = boot.stopped_at {
            self.say_restarted(&name);
        }
    }

    /// The core failed and was started again, while it was reading a file or (with an empty name) otherwise.
    fn say_restarted(&mut self, name: &str) {
        let (head, line) = if name.is_empty() {
            let line = "Everything is as it was; if it happens again, please report what you did.";
            ("The core of this page stopped and was started again.".to_owned(), line)
        } else {
            let line = "Everything else is as it was. Try a part of that file's rows, or save it again as plain CSV.";
            (format!("The core of this page stopped while reading {name}, and was started again."), line)
        };
        self.say(head, vec![line.to_owned()]);
    }

    /// Settings came in through the address.
    fn take_settings(&mut self, text: &str) {
        let asked = Asked::read(text);
        self.state.shade = asked.shade;
        self.state.length = asked.length;
        if asked.local {
            self.state.clock.show_local();
        } else {
            self.state.clock.show_utc();
        }
        if let Some(work) = &self.work {
            self.state.view = asked.view;
            self.state.filter = asked.filter(&work.loaded.table);
            self.pictures.kind = asked.kind;
            self.filter_changed();
        } else {
            self.asked = Some(asked);
        }
        self.pictures.touch_all();
    }

    /// Words in the strip under the bar, also said aloud.
    pub(super) fn say(&mut self, head: String, lines: Vec<String>) {
        self.announce(format!("{head} {}", lines.join(" ")));
        self.notice = Some(Words { head, lines, choices: Vec::new(), ask: None });
    }

    /// The pictures that must be drawn now, each with the room of its canvas.
    pub fn take_pictures(&mut self) -> Vec<(Picture, Room)> {
        let dirty = if self.passing { self.pictures.take_watched() } else { self.pictures.take_dirty() };
        if self.work.is_none() {
            return Vec::new();
        }
        dirty.into_iter().filter_map(|picture| Some((picture, self.pictures.room(picture)?))).collect()
    }

    /// Draws a picture on a surface of its room's size, and remembers where its marks lie.
    pub fn draw(&mut self, picture: Picture, surface: &mut dyn Surface) {
        self.pictured(|pictures, scenery| pictures.draw(picture, scenery, surface));
    }

    /// Does something with the pictures and all that they show; `None` with nothing loaded.
    fn pictured<T>(&mut self, with: impl FnOnce(&mut Pictures, Scenery<'_>) -> T) -> Option<T> {
        // while a handle is dragged only filters change, and what is shown besides the watched pictures stays as it was
        if !self.passing {
            self.give_up_outdated();
        }
        let scenery = Scenery {
            state: &self.state,
            loaded: &self.work.as_ref()?.loaded,
            runs: &self.runs,
            contrast: self.compared.contrast(),
            planned: &self.planned,
            sky: &self.sky,
            watch: &self.watch,
        };
        Some(with(&mut self.pictures, scenery))
    }

    /// Which rows and runs there are now.
    pub(super) fn basis(&self) -> Basis {
        Basis::of(self.generation, &self.runs)
    }

    /// Gives up what was reckoned for other rows or runs.
    pub(super) fn give_up_outdated(&mut self) {
        let basis = self.basis();
        self.compared.give_up_unless(basis);
        self.planned.foreseen.give_up_unless(basis);
        self.sky.seen.give_up_unless(basis);
        self.watch.found.give_up_unless(basis);
    }

    /// Every region as it is now, and what else the page must do.
    pub(super) fn whole_page(&mut self) -> Vec<Patch> {
        self.refresh(Region::ALL);
        std::mem::take(&mut self.out)
    }

    /// What the page shows differently once the pictures are drawn: the legend tells of marks that stand for several.
    /// Of what passes it shows nothing.
    pub fn after_drawing(&mut self) -> Vec<Patch> {
        if self.passing {
            return Vec::new();
        }
        self.refresh(&[Region::Middle]);
        std::mem::take(&mut self.out)
    }

    /// A picture as an SVG document of its room's size, for canvases that the core cannot reach.
    pub fn svg(&mut self, picture: Picture) -> Option<Patch> {
        let text = self.pictured(|pictures, scenery| pictures.svg(picture, scenery))??;
        Some(Patch::Svg { picture, text })
    }

    /// Other rows pass the filters now.
    pub(super) fn filter_changed(&mut self) {
        self.generation += 1;
        self.state.spots_sorting.page = 0;
        self.state.listeners_sorting.page = 0;
        self.time_wrong.clear();
        self.pictures.at.clear();
        self.state.focused.clear();
        if let Some(work) = &mut self.work {
            work.loaded.apply(&self.state.filter);
        }
        self.announce_count();
        self.pictures.touch_all();
    }

    /// Says how many spots are shown.
    fn announce_count(&mut self) {
        let Some(work) = &self.work else { return };
        let (shown, all) = (work.loaded.shown.tally.spots, work.loaded.all.tally.spots);
        let all = crate::words::number::counted(all, "spot", "spots");
        self.announce(format!("{} of {all}", crate::words::number::count(shown)));
    }

    pub(super) fn announce(&mut self, text: String) {
        if !text.is_empty() {
            self.out.push(Patch::Announce { text });
        }
    }

    /// Brings regions up to date, and title, theme and settings with them.
    fn refresh(&mut self, regions: &[Region]) {
        for &region in regions {
            // one holds the other: neither shows any more what was sent as the whole of it
            match region {
                Region::Time => self.sent[Region::Right as usize] = None,
                Region::Right => self.sent[Region::Time as usize] = None,
                Region::Filters => self.sent[Region::Middle as usize] = None,
                Region::Middle => self.sent[Region::Filters as usize] = None,
                _ => {}
            }
            let html = self.markup(region);
            let sent = &mut self.sent[region as usize];
            if sent.as_ref() != Some(&html) {
                *sent = Some(html.clone());
                self.out.push(Patch::Html { region: region.id(), html });
            }
        }
        if regions.is_empty() {
            return;
        }
        // what passes is kept once it rests
        if !self.passing && !self.state.play.on {
            self.tell_work();
        }
        let title = self.work.as_ref().map_or("Farheard".to_owned(), |work| {
            let sample = if work.sample { "SAMPLE, " } else { "" };
            format!("{sample}{} \u{2013} Farheard", work.loaded.name())
        });
        if title != self.sent_title {
            self.sent_title.clone_from(&title);
            self.out.push(Patch::Title { text: title });
        }
        let theme = match super::pictures::theme(&self.state) {
            crate::draw::Theme::Dark => "dark",
            crate::draw::Theme::Sun => "sun",
            crate::draw::Theme::Light | crate::draw::Theme::Print => "light",
        };
        if theme != self.sent_theme {
            self.sent_theme = theme;
            self.out.push(Patch::Theme { name: theme });
        }
        let state = self.work.as_ref().map_or("empty", |_| self.state.view.word());
        if state != self.sent_state {
            self.sent_state = state;
            self.out.push(Patch::State { name: state });
        }
        // before the first file the settings of the address wait for it
        // while time goes by by itself the address stands still: browsers take only so many changes of it
        if (self.asked.is_none() || self.work.is_some()) && !self.state.play.on && !self.passing {
            let table = self.work.as_ref().map(|work| &work.loaded.table);
            let text = settings::write(&self.state, self.pictures.kind, table, &self.runs);
            let (step, first) = self.history.numbers();
            if self.sent_settings.0 != text || self.sent_settings.1 != step {
                self.sent_settings = (text.clone(), step);
                let way = std::mem::take(&mut self.history.way).word();
                self.out.push(Patch::Settings { text, step, first, way });
            }
        }
    }
}
