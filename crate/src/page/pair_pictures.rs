//! The pictures of Compare and Plan: what each is drawn from, and what it says in one sentence.

use super::compared::{Contrast, RunResults};
use super::loaded::Loaded;
use super::message::Picture;
use super::pictures::{Pictures, Scenery, theme};
use super::planned::{FLOOR_PERCENT, Planned};
use super::runs::Runs;
use super::state::State;
use crate::draw::{Antenna, Surface, Theme};
use crate::figure::by_listener::{self, ByListenerInput};
use crate::figure::disc::{self, DiscInput, Extent, Scene, Showing, Zoom, views};
use crate::figure::intervals::{self, IntervalDress, IntervalRow, IntervalsInput, Looks};
use crate::figure::plan::battery::{self, BatteryInput};
use crate::figure::plan::order::{self, OrderInput};
use crate::figure::{BarScene, Frame, SceneBar, Size};
use crate::model::CallId;
use crate::study::plan::dark_spans;

/// Height of a row of the interval plot beside its table, and over its words on a phone, CSS pixels.
const ROW_PX: f64 = 44.0;
/// So many turns of the order carry letters.
const LETTERED: usize = 16;

impl Pictures {
    /// Draws a picture of a pair or of a plan, and says what lies where.
    pub(super) fn draw_pair(
        &mut self,
        picture: Picture,
        frame: &Frame,
        scenery: Scenery<'_>,
        surface: &mut dyn Surface,
    ) -> Option<BarScene> {
        let Scenery { state, loaded, runs, contrast, planned, .. } = scenery;
        match (picture, contrast) {
            (Picture::Order, _) => {
                order_input(state, loaded, runs, planned, |input| order::draw(input, frame, surface))
            }
            (Picture::Battery, _) => {
                battery::draw(&battery_input(runs, planned), frame, surface);
                None
            }
            (_, None) => None,
            (Picture::Intervals, Some(contrast)) => {
                Some(intervals_input(state, runs, contrast, |input| intervals::draw(input, frame, surface)))
            }
            (Picture::ByListener, Some(contrast)) => {
                let scene =
                    listener_input(state, loaded, runs, contrast, |input| by_listener::draw(input, frame, surface));
                self.listeners.insert(picture, scene.points.iter().map(|point| vec![point.call]).collect());
                Some(marks(scene.points.iter().map(|point| (point.x, point.y, point.radius, point.label.as_str()))))
            }
            (_, Some(contrast)) => {
                let extent = pair_extent(state, contrast);
                self.find_land(&of(contrast, picture).subject(loaded), extent);
                let frame = Frame { size: Size::Mini, ..*frame };
                let (scene, labels) = self.disc_input(picture, state, loaded, runs, contrast, |input, showing| {
                    let scene = disc::draw_as(input, showing, &frame, surface);
                    let labels = disc::labels(&scene, input, showing);
                    (scene, labels)
                });
                self.listeners.insert(picture, scene.marks.iter().map(|mark| mark.listeners.clone()).collect());
                Some(of_scene(&scene, &labels))
            }
        }
    }

    /// A picture of a pair in one sentence.
    pub(super) fn compare_summary(
        &self,
        picture: Picture,
        state: &State,
        loaded: &Loaded,
        runs: &Runs,
        contrast: &Contrast,
    ) -> String {
        match picture {
            Picture::Intervals => intervals_input(state, runs, contrast, intervals::summary),
            Picture::ByListener => listener_input(state, loaded, runs, contrast, by_listener::summary),
            _ => self.disc_input(picture, state, loaded, runs, contrast, disc::summary_as),
        }
    }

    fn disc_input<T>(
        &self,
        picture: Picture,
        state: &State,
        loaded: &Loaded,
        runs: &Runs,
        contrast: &Contrast,
        with: impl FnOnce(&DiscInput<'_>, &Showing<'_>) -> T,
    ) -> T {
        let results = of(contrast, picture);
        let subject = results.subject(loaded);
        let other = of(contrast, if picture == Picture::DiscA { Picture::DiscB } else { Picture::DiscA });
        let only: Vec<CallId> = results
            .listeners
            .iter()
            .map(|listener| listener.call)
            .filter(|&call| !other.listeners.iter().any(|listener| listener.call == call))
            .collect();
        let (a, b) = contrast.pair;
        let showing = if picture == Picture::Difference {
            Showing::Differences { differences: &contrast.comparison.listeners, a: runs.name(a), b: runs.name(b) }
        } else {
            Showing::Antenna { only: &only }
        };
        let all = if picture == Picture::Difference {
            // those with a difference were heard by both
            let with_one = |call| contrast.comparison.listeners.iter().any(|one| one.call == call);
            results.listeners.iter().filter(|listener| with_one(listener.call)).cloned().collect()
        } else {
            results.listeners.clone()
        };
        let input = DiscInput {
            subject: &subject,
            listeners: &all,
            sectors: &results.sectors,
            bands: loaded.every_band(),
            land: self.land_of(),
            night: None,
            extent: pair_extent(state, contrast),
            zoom: Zoom::default(),
            antenna: if picture == Picture::DiscB { Antenna::B } else { Antenna::A },
            length: state.length,
            pinned: state.pinned.first().copied(),
            focused: None,
            haste: disc::Haste::None,
        };
        with(&input, &showing)
    }
}

/// How far both discs of a pair reach.
pub(super) fn pair_extent(state: &State, contrast: &Contrast) -> Extent {
    let all: Vec<_> = contrast.a.listeners.iter().chain(&contrast.b.listeners).cloned().collect();
    // most listeners apart from each other; those beyond stand in the far margin
    views(&all, state.length).near
}

/// A picture of a plan in one sentence.
pub(super) fn plan_summary(picture: Picture, state: &State, loaded: &Loaded, runs: &Runs, planned: &Planned) -> String {
    match picture {
        Picture::Battery => battery::summary(&battery_input(runs, planned)),
        _ => order_input(state, loaded, runs, planned, order::summary).unwrap_or_default(),
    }
}

/// The run that a disc of the pair shows; differences stand on A's.
fn of(contrast: &Contrast, picture: Picture) -> &RunResults {
    if picture == Picture::DiscB { &contrast.b } else { &contrast.a }
}

/// Boxes about marks, for pointer and keys.
fn marks<'a>(marks: impl Iterator<Item = (f64, f64, f64, &'a str)>) -> BarScene {
    let bar = |(x, y, radius, label): (f64, f64, f64, &str)| {
        let radius = radius + 3.0;
        SceneBar { x: x - radius, y: y - radius, width: 2.0 * radius, height: 2.0 * radius, label: label.to_owned() }
    };
    BarScene { bars: marks.map(bar).collect() }
}

fn of_scene(scene: &Scene, labels: &[String]) -> BarScene {
    let marks_and_labels = scene.marks.iter().zip(labels);
    marks(marks_and_labels.map(|(mark, label)| (mark.x, mark.y, mark.radius, label.as_str())))
}

fn listener_input<T>(
    state: &State,
    loaded: &Loaded,
    runs: &Runs,
    contrast: &Contrast,
    with: impl FnOnce(&ByListenerInput<'_>) -> T,
) -> T {
    let (a, b) = contrast.pair;
    with(&ByListenerInput {
        subject: &loaded.subject(),
        listeners: &contrast.comparison.listeners,
        a: runs.name(a),
        b: runs.name(b),
        too_small_db: runs.settings.too_small_db,
        length: state.length,
        focused: state.pinned.first().copied(),
    })
}

fn rows(contrast: &Contrast) -> Vec<IntervalRow> {
    let found = &contrast.comparison;
    let of_band = found.bands.iter().map(|(band, part)| IntervalRow::of(band.label(), part, Looks::Single));
    let all = (found.bands.len() > 1).then(|| IntervalRow::of("All bands".to_owned(), &found.all, Looks::Single));
    of_band.chain(all).collect()
}

fn intervals_input<T>(
    state: &State,
    runs: &Runs,
    contrast: &Contrast,
    with: impl FnOnce(&IntervalsInput<'_>) -> T,
) -> T {
    let (a, b) = contrast.pair;
    with(&IntervalsInput {
        rows: &rows(contrast),
        a: runs.name(a),
        b: runs.name(b),
        too_small_db: runs.settings.too_small_db,
        row_px: row_px(state),
        axis: None,
        columns: &[],
        dress: dress(state),
    })
}

fn dress(state: &State) -> IntervalDress {
    if state.surroundings.narrow { IntervalDress::Stacked } else { IntervalDress::Table }
}

fn row_px(state: &State) -> f64 {
    match theme(state) {
        // words over each row's own plot
        _ if state.surroundings.narrow => (ROW_PX + 12.0) / 13.0 * text_px(state),
        Theme::Sun => ROW_PX + 12.0,
        _ => ROW_PX,
    }
}

/// Size of type that a picture as wide as its column has.
fn text_px(state: &State) -> f64 {
    Frame::new(400.0, 100.0, theme(state), if state.surroundings.narrow { Size::Phone } else { Size::Full }).text_px
}

/// Height of the interval plot, CSS pixels.
pub(super) fn intervals_height(state: &State, rows: usize) -> f64 {
    intervals::height(rows, row_px(state), dress(state), text_px(state))
}

/// Height of the order of a test, CSS pixels.
pub(super) fn order_height(state: &State) -> f64 {
    order::height(text_px(state))
}

fn battery_input(runs: &Runs, planned: &Planned) -> BatteryInput {
    BatteryInput {
        capacity_ah: planned.capacity_ah,
        mean_a: planned.battery().mean_a().unwrap_or(0.0),
        plan_hours: planned.plan_hours(runs.settings),
        floor_percent: FLOOR_PERCENT,
    }
}

fn order_input<T>(
    state: &State,
    loaded: &Loaded,
    runs: &Runs,
    planned: &Planned,
    with: impl FnOnce(&OrderInput<'_>) -> T,
) -> Option<T> {
    let start = planned.begin(loaded)?;
    let turns = planned.turns(runs.settings);
    let turn_s = i64::try_from(planned.turn_min()).ok()? * 60;
    let end = start.plus_s(turn_s * i64::try_from(turns.len()).ok()?)?;
    let home = loaded.subject().home_position();
    let dark = home.map_or_else(Vec::new, |home| dark_spans(home, start, end));
    let (a, b) = super::views::plan::names(runs);
    Some(with(&OrderInput {
        turns: &turns,
        lettered: LETTERED,
        start,
        turn_s,
        ahead_s: state.clock.day_of(start).unix_s() - start.unix_s(),
        dark: &dark,
        a,
        b,
    }))
}
