//! Pointer and keys over the pictures: marks and bars under the pointer, walking, pinning, zooming.

use super::message::{Gesture, Picture, Pointer};
use super::regions::Region;
use super::session::Session;
use crate::figure::disc::{self, Step, ViewKind};
use crate::model::CallId;
use crate::order::set;

/// How far beside a mark a mouse still means it, pixels.
const MOUSE_SLACK: f64 = 4.0;
/// How far beside a mark a finger still means it, pixels.
const FINGER_SLACK: f64 = 14.0;

impl Session {
    /// The pointer did something over a picture; says which regions may show something else now.
    pub(super) fn pointer(&mut self, pointer: Pointer) -> &'static [Region] {
        match (pointer.picture, pointer.gesture) {
            (Picture::Disc, Gesture::Over) => self.over_disc(pointer),
            (Picture::Disc, Gesture::Press) => self.press_disc(pointer),
            (Picture::Disc, Gesture::Drag) => {
                if let Some(scene) = &self.pictures.scene {
                    self.pictures.zoom = self.pictures.zoom.moved(scene, pointer.dx, pointer.dy);
                    self.pictures.touch(Picture::Disc);
                }
                // what goes with the picture follows when it is drawn
                &[]
            }
            (Picture::Disc, Gesture::Zoom) => {
                if let Some(scene) = &self.pictures.scene {
                    self.pictures.zoom = self.pictures.zoom.about(scene, pointer.x, pointer.y, pointer.by);
                    self.pictures.touch(Picture::Disc);
                    // another zoom gathers others: a card must not tell of a mark that is no more
                    if self.state.focused.len() > 1 {
                        self.state.focused.clear();
                        return Region::POINTED;
                    }
                }
                &[]
            }
            // a card stays while the pointer goes over to it
            (Picture::Disc, Gesture::Leave) => &[],
            (picture, Gesture::Over) => {
                let at = self.pictures.bars(picture).and_then(|bars| bars.hit(pointer.x, pointer.y));
                self.point_at(picture, at)
            }
            (picture, Gesture::Leave) => self.point_at(picture, None),
            (picture, Gesture::Press) => {
                let at = self.pictures.bars(picture).and_then(|bars| bars.hit(pointer.x, pointer.y));
                if let Some(at) = at {
                    self.choose_bar(picture, at);
                }
                Region::ALL
            }
            _ => &[],
        }
    }

    fn mark_under(&self, pointer: Pointer) -> Option<Vec<CallId>> {
        let slack = if pointer.touch { FINGER_SLACK } else { MOUSE_SLACK };
        let scene = self.pictures.scene.as_ref()?;
        let mark = disc::hit(scene, pointer.x, pointer.y, slack)?;
        scene.marks.get(mark).map(|mark| mark.listeners.clone())
    }

    fn over_disc(&mut self, pointer: Pointer) -> &'static [Region] {
        // over open sea the last card stays, so that it can be read and reached
        let Some(calls) = self.mark_under(pointer) else { return &[] };
        if self.state.focused == calls {
            return &[];
        }
        self.state.focused = calls;
        self.pictures.touch(Picture::Disc);
        Region::POINTED
    }

    fn press_disc(&mut self, pointer: Pointer) -> &'static [Region] {
        let calls = self.mark_under(pointer).unwrap_or_default();
        self.pin(calls);
        Region::ALL
    }

    /// Pins listeners in every view, or takes the pin away if they are pinned.
    pub(super) fn pin(&mut self, calls: Vec<CallId>) {
        self.state.focused.clear();
        self.state.pinned = if self.state.pinned == calls { Vec::new() } else { calls };
        self.pictures.touch_pins();
    }

    fn point_at(&mut self, picture: Picture, at: Option<usize>) -> &'static [Region] {
        if self.pictures.at.get(picture).copied() == at {
            return &[];
        }
        match at {
            Some(at) => self.pictures.at.insert(picture, at),
            None => self.pictures.at.remove(picture),
        };
        Region::POINTED
    }

    /// A key was pressed on a picture.
    pub(super) fn key(&mut self, picture: Picture, key: &str) -> &'static [Region] {
        if picture == Picture::Disc { self.key_disc(key) } else { self.key_bars(picture, key) }
    }

    fn key_disc(&mut self, key: &str) -> &'static [Region] {
        let walk = match key {
            "ArrowUp" => Some(Step::Outward),
            "ArrowDown" => Some(Step::Inward),
            "ArrowRight" => Some(Step::Clockwise),
            "ArrowLeft" => Some(Step::Counterclockwise),
            "Home" => Some(Step::First),
            "End" => Some(Step::Last),
            _ => None,
        };
        if let Some(walk) = walk {
            let from = self.state.focused.first().or(self.state.pinned.first()).copied();
            let to = self.pictures.scene.as_ref().and_then(|scene| disc::step(scene, from, walk));
            if let Some(call) = to {
                self.state.focused = vec![call];
                self.pictures.touch(Picture::Disc);
                self.announce_listener(call);
            }
            return Region::POINTED;
        }
        match key {
            "Enter" | " " => {
                let calls = std::mem::take(&mut self.state.focused);
                if !calls.is_empty() {
                    self.announce("Pinned.".to_owned());
                    self.state.pinned = calls;
                }
                self.pictures.touch_pins();
            }
            "Escape" => self.escape(),
            "+" | "=" => self.zoom("in"),
            "-" => self.zoom("out"),
            "0" => self.zoom("reset"),
            "v" => {
                let Some(work) = &self.work else { return &[] };
                let views = super::pictures::views(&self.state, &work.loaded);
                let other = match self.pictures.shown_kind(&views) {
                    ViewKind::WholeReach => ViewKind::NearView,
                    ViewKind::NearView => ViewKind::WholeReach,
                };
                self.show_extent(other);
                self.announce(
                    match other {
                        ViewKind::WholeReach => "Whole reach",
                        ViewKind::NearView => "Near view",
                    }
                    .to_owned(),
                );
            }
            _ => return &[],
        }
        Region::ALL
    }

    fn announce_listener(&mut self, call: CallId) {
        let Some(work) = &self.work else { return };
        let Some(listener) = super::words::listener(&work.loaded, call) else { return };
        let text = format!(
            "{}, {}, {}",
            work.loaded.call(call),
            super::words::place(&self.state, listener),
            crate::words::number::counted(listener.spots, "spot", "spots")
        );
        self.announce(text);
    }

    fn key_bars(&mut self, picture: Picture, key: &str) -> &'static [Region] {
        let Some(bars) = self.pictures.bars(picture) else { return &[] };
        let last = bars.bars.len().saturating_sub(1);
        let now = self.pictures.at.get(picture).copied();
        // the hours are rows of 24 cells; the others are one row
        let row = if matches!(picture, Picture::Hours | Picture::HoursLarge) { 24 } else { last + 1 };
        let to = match (key, now) {
            ("ArrowRight", Some(at)) => Some((at + 1).min(last)),
            ("ArrowLeft", Some(at)) => Some(at.saturating_sub(1)),
            ("ArrowDown", Some(at)) if at + row <= last => Some(at + row),
            ("ArrowUp", Some(at)) if at >= row => Some(at - row),
            ("ArrowRight" | "ArrowLeft" | "ArrowDown" | "ArrowUp", at) => Some(at.unwrap_or(0)),
            ("Home", _) => Some(0),
            ("End", _) => Some(last),
            _ => None,
        };
        if let Some(to) = to {
            self.point_at(picture, Some(to));
            let label = self.pictures.pointed(picture).to_owned();
            self.announce(label);
            return Region::POINTED;
        }
        match (key, now) {
            ("Enter" | " ", Some(at)) => self.choose_bar(picture, at),
            ("Escape", Some(_)) if self.state.menu.is_none() => {
                self.point_at(picture, None);
            }
            ("Escape", _) => self.escape(),
            _ => return &[],
        }
        Region::ALL
    }

    /// A bar was pressed: it becomes the filter it stands for, or its listeners are pinned.
    fn choose_bar(&mut self, picture: Picture, at: usize) {
        match picture {
            Picture::Bearings => self.act("sector", &at.to_string(), false),
            Picture::Hours | Picture::HoursLarge => {
                let band = self.work.as_ref().and_then(|work| work.loaded.every_band().get(at / 24).copied());
                if let Some(band) = band {
                    self.only_band(band);
                }
            }
            Picture::Timeline => self.only_step(at),
            Picture::Intervals => {
                let band = self.compared.contrast().and_then(|contrast| contrast.comparison.bands.get(at));
                let value = band.map_or("all", |(band, _)| band.name());
                self.act("how", value, false);
            }
            Picture::ByListener | Picture::DiscA | Picture::DiscB | Picture::Difference => {
                let calls = self.pictures.listeners.get(picture).and_then(|all| all.get(at)).cloned();
                self.pin(calls.unwrap_or_default());
                let said = if self.state.pinned.is_empty() { "Not pinned any more." } else { "Pinned." };
                self.announce(said.to_owned());
            }
            _ => {}
        }
    }

    fn only_band(&mut self, band: crate::model::Band) {
        let only = set([band]);
        let filter = &mut self.state.filter;
        filter.bands = if filter.bands.as_ref() == Some(&only) { None } else { Some(only) };
        self.filter_changed();
    }

    fn only_step(&mut self, at: usize) {
        let Some(strip) = self.work.as_ref().and_then(|work| work.loaded.all.timeline.as_ref()) else { return };
        let instant = |step: usize| strip.start.plus_s(strip.step_s * i64::try_from(step).unwrap_or(0));
        let sides = (instant(at), instant(at + 1));
        let filter = &mut self.state.filter;
        (filter.from, filter.to) = if (filter.from, filter.to) == sides { (None, None) } else { sides };
        self.filter_changed();
    }
}
