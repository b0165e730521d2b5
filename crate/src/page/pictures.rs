//! Which figure is drawn how large, and where its marks lie afterwards.

use std::collections::BTreeSet;

use super::compared::Contrast;
use super::loaded::Loaded;
use super::message::Picture;
use super::per_picture::PerPicture;
use super::planned::Planned;
use super::play::night_shown;
use super::runs::Runs;
use super::sky::{Sky, angles_input, hours_large_input};
use super::state::{Shade, State};
use super::watch::{Watch, health_input};
use crate::draw::{Antenna, Palette, Surface, Theme};
use crate::figure::bearings::{self, BearingsInput};
use crate::figure::disc::{self, DiscInput, Extent, Haste, Scene, ViewKind, Views, Zoom};
use crate::figure::hours::{self, Counted, HoursInput, Key};
use crate::figure::timeline::{self, TimelineInput, TimelineScene};
use crate::figure::{BarScene, Frame, Size, angles, health, hours_large};
use crate::geography::Locator;
use crate::geography::coastline::{DiscLand, land};
use crate::model::CallId;
use crate::study::Subject;

/// A disc narrower than this is drawn as on a phone, CSS pixels.
const PHONE_PX: f64 = 480.0;

/// The room a canvas has, CSS pixels, and device pixels per CSS pixel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Device pixels per CSS pixel.
    pub ratio: f64,
}

/// What pictures are drawn from.
#[derive(Clone, Copy)]
pub(super) struct Scenery<'a> {
    pub(super) state: &'a State,
    pub(super) loaded: &'a Loaded,
    pub(super) runs: &'a Runs,
    pub(super) contrast: Option<&'a Contrast>,
    pub(super) planned: &'a Planned,
    pub(super) sky: &'a Sky,
    pub(super) watch: &'a Watch,
}

/// The pictures of the page.
#[derive(Debug, Default)]
pub(super) struct Pictures {
    rooms: PerPicture<Room>,
    dirty: BTreeSet<Picture>,
    /// The view asked for; else the one the disc opens on.
    pub(super) kind: Option<ViewKind>,
    pub(super) zoom: Zoom,
    pub(super) haste: Haste,
    pub(super) scene: Option<Scene>,
    pub(super) bars: PerPicture<BarScene>,
    /// Listeners of the bars, where each is a mark of some.
    pub(super) listeners: PerPicture<Vec<Vec<CallId>>>,
    pub(super) strip: Option<TimelineScene>,
    /// The bar under the pointer or the keyboard's mark.
    pub(super) at: PerPicture<usize>,
    /// Land about a home as far as an extent in km: worked out once for both.
    land: Option<(Locator, f64, DiscLand)>,
}

/// View and zoom, to come back to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kept(Option<ViewKind>, Zoom);

impl Pictures {
    /// View and zoom as they are.
    pub(super) fn keep(&self) -> Kept {
        Kept(self.kind, self.zoom)
    }

    /// Goes back to a view and zoom.
    pub(super) fn bring_back(&mut self, kept: Kept) {
        self.forget();
        (self.kind, self.zoom) = (kept.0, kept.1);
    }

    /// A canvas has a new size; without size it is gone.
    pub(super) fn resize(&mut self, picture: Picture, room: Room) {
        if room.width < 1.0 || room.height < 1.0 {
            self.rooms.remove(picture);
        } else {
            self.rooms.insert(picture, room);
            self.dirty.insert(picture);
        }
    }

    /// The room of a canvas, if it is there.
    pub(super) fn room(&self, picture: Picture) -> Option<Room> {
        self.rooms.get(picture).copied()
    }

    /// A picture must be drawn again.
    pub(super) fn touch(&mut self, picture: Picture) {
        self.dirty.insert(picture);
    }

    /// All pictures must be drawn again.
    pub(super) fn touch_all(&mut self) {
        self.dirty.extend(Picture::ALL);
    }

    /// All pictures that show which listener is pinned must be drawn again.
    pub(super) fn touch_pins(&mut self) {
        self.dirty.extend([Picture::Disc, Picture::ByListener, Picture::DiscA, Picture::DiscB, Picture::Difference]);
    }

    /// The pictures to draw now.
    pub(super) fn take_dirty(&mut self) -> BTreeSet<Picture> {
        std::mem::take(&mut self.dirty)
    }

    /// The pictures to draw now that are watched while a handle is dragged; the others are left for later.
    pub(super) fn take_watched(&mut self) -> BTreeSet<Picture> {
        let watched = [Picture::Disc, Picture::Timeline, Picture::RunTime];
        crate::order::set(watched.into_iter().filter(|picture| self.dirty.remove(picture)))
    }

    /// The bars of a picture as last drawn.
    pub(super) fn bars(&self, picture: Picture) -> Option<&BarScene> {
        match picture {
            Picture::Timeline => self.strip.as_ref().map(|strip| &strip.bars),
            other => self.bars.get(other),
        }
    }

    /// What the bar under the pointer or the keyboard's mark says.
    pub(super) fn pointed(&self, picture: Picture) -> &str {
        let at = self.at.get(picture).copied();
        let bar = at.and_then(|at| self.bars(picture)?.bars.get(at));
        bar.map_or("", |bar| bar.label.as_str())
    }

    /// Forgets what lay where, as other spots are loaded.
    pub(super) fn forget(&mut self) {
        self.kind = None;
        self.zoom = Zoom::default();
        self.scene = None;
        self.bars.clear();
        self.listeners.clear();
        self.strip = None;
        self.at.clear();
        self.touch_all();
    }

    /// The most listeners that one mark of the Disc stands for, if any stands for several.
    pub(super) fn most_gathered(&self) -> Option<usize> {
        let marks = self.scene.iter().flat_map(|scene| &scene.marks);
        marks.map(|mark| mark.listeners.len()).max().filter(|&most| most > 1)
    }

    /// The view that is shown.
    pub(super) fn shown_kind(&self, views: &Views) -> ViewKind {
        self.kind.unwrap_or(views.opens_on)
    }

    /// Draws a picture as its canvas wants it.
    pub(super) fn draw(&mut self, picture: Picture, scenery: Scenery<'_>, surface: &mut dyn Surface) {
        let Some(room) = self.room(picture) else { return };
        let frame = frame(picture, room, scenery.state);
        self.draw_in(picture, &frame, scenery, surface);
    }

    /// Draws a picture in a frame.
    fn draw_in(&mut self, picture: Picture, frame: &Frame, scenery: Scenery<'_>, surface: &mut dyn Surface) {
        let Scenery { state, loaded, .. } = scenery;
        match picture {
            Picture::Disc => {
                let subject = loaded.subject();
                self.find_land(&subject, self.extent(state, loaded));
                let input = self.main_disc(state, loaded, &subject);
                self.scene = Some(disc::draw(&input, frame, surface));
            }
            Picture::Bearings => {
                let scene = bearings::draw(&self.bearings_input(state, loaded), frame, surface);
                self.bars.insert(picture, scene);
            }
            Picture::Hours => {
                let scene = hours::draw(&hours_input(loaded), frame, surface);
                self.bars.insert(picture, scene);
            }
            Picture::Timeline => {
                self.strip = timeline_input(loaded).map(|input| timeline::draw(&input, frame, surface));
            }
            Picture::RunTime => {
                let scene =
                    run_time_input(loaded, scenery.runs).map(|input| timeline::draw(&input, frame, surface).bars);
                self.bars.insert(picture, scene.unwrap_or_default());
            }
            Picture::Angles => {
                let scene = angles_input(scenery.sky, scenery.runs, |input| angles::draw(input, frame, surface));
                self.bars.insert(picture, scene.unwrap_or_default());
            }
            Picture::Health => {
                let scene = health_input(scenery.watch, loaded, |input| health::draw(input, frame, surface));
                self.bars.insert(picture, scene.unwrap_or_default());
            }
            Picture::HoursLarge => {
                let input = hours_large_input(scenery.sky, state, loaded);
                let scene = input.map(|input| hours_large::draw(&input, frame, surface));
                self.bars.insert(picture, scene.unwrap_or_default());
            }
            other => {
                if let Some(scene) = self.draw_pair(other, frame, scenery, surface) {
                    self.bars.insert(other, scene);
                }
            }
        }
    }

    /// A picture as an SVG document, for a page that cannot let the core draw.
    pub(super) fn svg(&mut self, picture: Picture, scenery: Scenery<'_>) -> Option<String> {
        let room = self.room(picture)?;
        let frame = frame(picture, room, scenery.state);
        let summary = self.summary(picture, scenery.state, scenery.loaded);
        let draw = |surface: &mut dyn Surface| self.draw_in(picture, &frame, scenery, surface);
        Some(crate::figure::to_svg(&frame, "Farheard", &summary, draw))
    }

    /// A picture in one sentence.
    pub(super) fn summary(&self, picture: Picture, state: &State, loaded: &Loaded) -> String {
        match picture {
            Picture::Disc => {
                let subject = loaded.subject();
                disc::summary(&self.main_disc(state, loaded, &subject))
            }
            Picture::Bearings => bearings::summary(&self.bearings_input(state, loaded)),
            Picture::Hours => hours::summary(&hours_input(loaded)),
            Picture::Timeline => timeline_input(loaded).map_or_else(String::new, |input| timeline::summary(&input)),
            // their views ask for theirs with what they show
            _ => String::new(),
        }
    }

    /// Makes sure that there is land for a home and an extent.
    pub(super) fn find_land(&mut self, subject: &Subject<'_>, extent: Extent) {
        let Some(home) = subject.home() else { return };
        let here = self
            .land
            .as_ref()
            .is_some_and(|(known, rim_km, _)| *known == home && rim_km.to_bits() == extent.rim_km.to_bits());
        if !here {
            self.land = Some((home, extent.rim_km, land(home.centre(), extent.rim_km)));
        }
    }

    /// The land that was worked out last.
    pub(super) fn land_of(&self) -> Option<&DiscLand> {
        self.land.as_ref().map(|(_, _, land)| land)
    }

    fn main_disc<'a>(&'a self, state: &State, loaded: &'a Loaded, subject: &'a Subject<'a>) -> DiscInput<'a> {
        DiscInput {
            subject,
            land: self.land_of(),
            listeners: &loaded.shown.listeners,
            sectors: &loaded.shown.sectors,
            bands: loaded.every_band(),
            night: night_shown(state, loaded),
            extent: self.extent(state, loaded),
            zoom: self.zoom,
            antenna: Antenna::A,
            length: state.length,
            pinned: state.pinned.first().copied(),
            focused: state.focused.first().copied(),
            haste: self.haste,
        }
    }

    fn bearings_input<'a>(&self, state: &State, loaded: &'a Loaded) -> BearingsInput<'a> {
        BearingsInput {
            sectors: &loaded.shown.sectors,
            extent_km: self.extent(state, loaded).rim_km,
            antenna: Antenna::A,
            length: state.length,
        }
    }

    fn extent(&self, state: &State, loaded: &Loaded) -> Extent {
        let views = views(state, loaded);
        views.extent(self.shown_kind(&views))
    }
}

/// The two views of what is loaded, whatever the filters.
pub(super) fn views(state: &State, loaded: &Loaded) -> Views {
    loaded.views(state.length)
}

pub(super) fn hours_input(loaded: &Loaded) -> HoursInput<'_> {
    HoursInput {
        hours: &loaded.figures().hours,
        bands: loaded.every_band(),
        limits: hours::limits(&loaded.all_figures().hours, Counted::Spots),
        counted: Counted::Spots,
        key: Key::Outside,
    }
}

fn timeline_input(loaded: &Loaded) -> Option<TimelineInput<'_>> {
    let all = loaded.all.timeline.as_ref()?;
    let filtered = loaded.shown.tally.spots < loaded.all.tally.spots;
    Some(TimelineInput {
        all,
        shown: loaded.shown.timeline.as_ref().filter(|_| filtered),
        handles: None,
        antenna: Antenna::A,
    })
}

/// The open run's spots in all spots.
fn run_time_input<'a>(loaded: &'a Loaded, runs: &'a Runs) -> Option<TimelineInput<'a>> {
    let at = runs.open?;
    let antenna = if at == runs.pair.1 && runs.cards.len() > 1 { Antenna::B } else { Antenna::A };
    let shown = runs.facts.get(at)?.timeline.as_ref();
    Some(TimelineInput { all: loaded.all.timeline.as_ref()?, shown, handles: None, antenna })
}

/// The open run over time, in one sentence.
pub(super) fn run_time_summary(loaded: &Loaded, runs: &Runs) -> String {
    run_time_input(loaded, runs).map_or_else(String::new, |input| timeline::summary(&input))
}

/// The theme that is seen.
pub(super) fn theme(state: &State) -> Theme {
    let surroundings = state.surroundings;
    if surroundings.paper {
        return Theme::Print;
    }
    if surroundings.forced {
        // forced colours are plain and strong, as in Sun; a dark background needs the dark theme's light lines
        return if surroundings.dark { Theme::Dark } else { Theme::Sun };
    }
    match state.shade {
        Shade::Sun => Theme::Sun,
        Shade::Dark => Theme::Dark,
        Shade::Auto if surroundings.dark => Theme::Dark,
        Shade::Light | Shade::Auto => Theme::Light,
    }
}

/// The colours that are seen.
pub(super) fn palette(state: &State) -> Palette {
    Palette::of(theme(state))
}

fn frame(picture: Picture, room: Room, state: &State) -> Frame {
    // the rows of intervals stand beside those of a table, however many there are
    let crowded = room.width < PHONE_PX && room.height > room.width * 0.8 && picture != Picture::Intervals;
    let size = if state.surroundings.narrow || crowded { Size::Phone } else { Size::Full };
    Frame::new(room.width, room.height, theme(state), size)
}

/// Height of the hours figure in CSS pixels.
pub(super) fn hours_height(state: &State, loaded: &Loaded) -> f64 {
    let frame =
        Frame::new(392.0, 100.0, theme(state), if state.surroundings.narrow { Size::Phone } else { Size::Full });
    hours::height(loaded.every_band().len(), Key::Outside, frame.text_px)
}

/// Least counts of the five tints of the hours.
pub(super) fn hour_limits(loaded: &Loaded) -> [usize; 5] {
    hours::limits(&loaded.all_figures().hours, Counted::Spots)
}
