//! A strip of time with two handles: of the time filter, and of one run.

use crate::page::loaded::Loaded;
use crate::page::message::Picture;
use crate::page::state::State;
use crate::time::UtcTime;

/// The strip. Its handles are sliders over minutes since its beginning.
#[derive(Debug)]
pub(super) struct Rail {
    pub(super) picture: &'static str,
    pub(super) summary: String,
    /// Minutes of one step of a handle, and from end to end.
    pub(super) step: i64,
    pub(super) end: i64,
    pub(super) handles: [Handle; 2],
    /// What drawing a span across the picture asks for, with `from..to` in minutes; empty where it asks for nothing.
    pub(super) drawn: &'static str,
}

#[derive(Debug)]
pub(super) struct Handle {
    pub(super) act: &'static str,
    pub(super) label: &'static str,
    pub(super) least: i64,
    pub(super) most: i64,
    pub(super) now: i64,
    pub(super) text: String,
    pub(super) left: String,
}

impl Rail {
    /// Handles at the two sides; a side that is open lies at the end of the span.
    pub(super) fn new(
        state: &State,
        loaded: &Loaded,
        sides: (Option<UtcTime>, Option<UtcTime>),
        acts: [&'static str; 2],
    ) -> Self {
        let strip = loaded.all.timeline.as_ref();
        let start_s = strip.map_or(0, |strip| strip.start.unix_s());
        let minutes = |time: UtcTime| (time.unix_s() - start_s) / 60;
        let (step, end) = strip.map_or((10, 0), |strip| {
            let step = strip.step_s / 60;
            (if step <= 60 { 10 } else { step / 6 }, minutes(strip.end()))
        });
        let from = sides.0.map_or(0, minutes).clamp(0, end);
        let to = sides.1.map_or(end, minutes).clamp(0, end);
        let handle = |act, label, now: i64, least, most| {
            let time = UtcTime::from_unix_s(start_s + now * 60);
            let text = time.map_or_else(String::new, |time| {
                format!("{} {}", state.clock.date_and_minute(time), state.clock.label(time))
            });
            let left = format!("{:.4}", if end > 0 { now as f64 / end as f64 } else { 0.0 });
            Handle { act, label, least, most, now, text, left }
        };
        let handles = [handle(acts[0], "From", from, 0, to), handle(acts[1], "To", to, from, end)];
        Self { picture: "", summary: String::new(), step, end, handles, drawn: "" }
    }

    /// Over a picture.
    pub(super) fn showing(self, picture: Picture, summary: String) -> Self {
        Self { picture: picture.name(), summary, ..self }
    }
}
