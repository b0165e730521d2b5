//! The time filter as a window that moves along the strip, by hand or by itself.
//!
//! The core has no clock: while the window moves by itself the strip carries `data-tick`, and the page asks for the
//! next step that many milliseconds after the last one was shown.

use super::loaded::Loaded;
use super::message::Patch;
use super::session::Session;
use super::state::State;
use crate::time::UtcTime;

/// Milliseconds from step to step.
pub(super) const TICK_MS: u32 = 250;
/// Steps in an hour of spots at the slowest speed.
const STEPS_IN_AN_HOUR: i64 = 4;
/// Hours of spots that go by in a second.
pub(super) const SPEEDS: [u8; 3] = [1, 2, 4];
/// The window, where none is set that can move, seconds.
const WINDOW_S: i64 = 3600;
/// The longest window of which a night can be shown, seconds.
const NIGHT_S: i64 = 3 * 3600;

/// How the window moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Play {
    /// Does it move by itself?
    pub(super) on: bool,
    /// Hours of spots a second.
    pub(super) speed: u8,
}

impl Default for Play {
    fn default() -> Self {
        Self { on: false, speed: SPEEDS[0] }
    }
}

/// First and last instant of the strip.
fn span(loaded: &Loaded) -> Option<(UtcTime, UtcTime)> {
    loaded.all.timeline.as_ref().map(|strip| (strip.start, strip.end()))
}

/// Length in seconds of the window that moves, from what the filter leaves.
pub(super) fn window_s(state: &State) -> i64 {
    let set = state.filter.from.zip(state.filter.to);
    set.map(|(from, to)| to.unix_s() - from.unix_s()).filter(|&length| length > 0).unwrap_or(WINDOW_S)
}

/// When the night on the Disc is: the middle of the time that is shown, where that is three hours or less.
pub(super) fn night_shown(state: &State, loaded: &Loaded) -> Option<UtcTime> {
    let (start, end) = span(loaded)?;
    let (from, to) = (state.filter.from.unwrap_or(start), state.filter.to.unwrap_or(end));
    let length = to.unix_s() - from.unix_s();
    (0..=NIGHT_S).contains(&length).then(|| from.plus_s(length / 2)).flatten()
}

impl Session {
    /// Moves the window: `on` and `back` by its own length, `tick` by a step of the speed; or has it move by itself.
    pub(super) fn play(&mut self, value: &str) {
        let length = window_s(&self.state);
        match value {
            "back" => self.move_window(-length),
            "on" => self.move_window(length),
            "tick" if self.state.play.on => {
                self.move_window(i64::from(self.state.play.speed) * 3600 / STEPS_IN_AN_HOUR);
            }
            "start" => {
                self.state.play.on = true;
                let ended = self.work.as_ref().and_then(|work| span(&work.loaded)).zip(self.state.filter.to);
                if ended.is_some_and(|((_, end), to)| to >= end) {
                    (self.state.filter.from, self.state.filter.to) = (None, None);
                }
                self.move_window(0);
            }
            "stop" => self.state.play.on = false,
            speed => {
                if let Some(speed) = speed.parse().ok().filter(|speed| SPEEDS.contains(speed)) {
                    self.state.play.speed = speed;
                }
            }
        }
    }

    /// Moves the window by so many seconds and keeps it within the strip; a first one stands at the strip's beginning.
    fn move_window(&mut self, by_s: i64) {
        let Some((start, end)) = self.work.as_ref().and_then(|work| span(&work.loaded)) else { return };
        let length = window_s(&self.state);
        let set = self.state.filter.from.zip(self.state.filter.to);
        let from = set.map_or(start.unix_s(), |(from, _)| from.unix_s() + by_s);
        let latest = (end.unix_s() - length).max(start.unix_s());
        if from >= latest {
            self.state.play.on = false;
        }
        let from = UtcTime::from_unix_s(from.clamp(start.unix_s(), latest));
        let to = from.and_then(|from| from.plus_s(length));
        self.state.filter.from = from;
        self.state.filter.to = to;
        self.filter_changed();
        if self.state.play.on {
            // what moves by itself is not read out step by step
            self.out.retain(|patch| !matches!(patch, Patch::Announce { .. }));
        }
    }
}
