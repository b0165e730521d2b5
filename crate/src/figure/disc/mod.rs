//! The Disc: an azimuthal equidistant map about home. Distances from home and bearings at home are true,
//! so rings are distances and spokes are bearings.
//!
//! - [`extent`]: how far the map reaches, and which of its two views it opens on
//! - [`zoom`]: a part of it, larger
//! - `layout`: the circles of the instrument
//! - `placing`: where each listener belongs
//! - `gathering`: many close together become one mark with its count, two or three are spread
//! - `cells`: where there are thousands, one mark for each cell of a honeycomb
//! - `relax`: moving marks apart by as little as need be
//! - `rings`: sea, land, night, rings, spokes, home
//! - `ring_labels`: distances written where no mark stands
//! - `rim`: ticks, numerals, north
//! - `petals`: listeners per sector, outside the rim
//! - [`showing`]: what the marks say: bands, one of two antennas, or which is stronger
//! - `marks`: the marks, pinned and focus rings
//! - `margin_words`: what is written in the far margin
//! - [`scene`]: what lies where, for pointer and keyboard
//! - `summary`: one sentence in place of the picture

mod cells;
pub mod extent;
mod gathering;
mod layout;
mod margin_words;
mod marks;
mod petals;
mod placing;
mod relax;
mod rim;
mod ring_labels;
mod rings;
pub mod scene;
pub mod showing;
mod summary;
pub mod zoom;

pub use extent::{Extent, ViewKind, Views, views};
pub(crate) use petals::middle_deg as sector_middle_deg;
pub(crate) use placing::mark_radius;
pub use scene::{Scene, SceneMark, Step, Stop, hit, labels, step};
pub use showing::Showing;
pub(crate) use summary::direction_name;
pub use summary::{summary, summary_as};
pub use zoom::Zoom;

use super::frame::{Frame, Size};
use crate::draw::{Antenna, Surface};
use crate::geography::coastline::DiscLand;
use crate::model::{Band, CallId};
use crate::study::{Listener, Sector, Subject};
use crate::time::UtcTime;
use crate::words::Length;

/// What a disc shows.
#[derive(Clone, Copy, Debug)]
pub struct DiscInput<'a> {
    /// The tested antenna.
    pub subject: &'a Subject<'a>,
    /// The listeners that pass the filters.
    pub listeners: &'a [Listener],
    /// The sectors of the same rows.
    pub sectors: &'a [Sector],
    /// Bands in all loaded work: a filter must not recolour.
    pub bands: &'a [Band],
    /// Land about the same home, at least as far as the extent; without it all is sea.
    pub land: Option<&'a DiscLand>,
    /// When the night shown is; `None` for none.
    pub night: Option<UtcTime>,
    /// How far the map reaches.
    pub extent: Extent,
    /// Which part of it is seen.
    pub zoom: Zoom,
    /// Whose marks they are.
    pub antenna: Antenna,
    /// Unit of distances.
    pub length: Length,
    /// The listener that is pinned.
    pub pinned: Option<CallId>,
    /// The listener under the pointer or in keyboard focus.
    pub focused: Option<CallId>,
    /// What is drawn less finely because the next picture follows at once.
    pub haste: Haste,
}

/// What of a crowded disc is drawn less finely, as only the passing picture of many that a hand makes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Haste {
    /// Nothing: the picture stays.
    #[default]
    None,
    /// Marks are not moved apart.
    Marks,
    /// Nor are coasts drawn as finely.
    Ground,
}

/// Draws a disc of one antenna, bands by colour, and says what lies where. Without a home there is the empty instrument.
pub fn draw(input: &DiscInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> Scene {
    draw_as(input, &Showing::Bands, frame, surface)
}

/// Draws a disc whose marks say what `showing` asks for. Give two discs of a pair the same extent.
pub fn draw_as(input: &DiscInput<'_>, showing: &Showing<'_>, frame: &Frame, surface: &mut dyn Surface) -> Scene {
    let layout = layout::Layout::of(input, frame);
    let placed = placing::place(input, &layout);
    let haste = if input.listeners.len() >= gathering::DENSE { input.haste } else { Haste::None };
    let marks = gathering::gather(&placed, &layout, &frame.palette, haste);

    surface.backdrop(&backdrop_key(input, &layout, haste, frame), &mut |surface| {
        rings::draw_plate(&layout, frame, surface);
        surface.push_clip_circle(layout.centre, layout.map);
        rings::draw_land(input, &layout, haste, frame, surface);
        rings::draw_night(input, &layout, haste, frame, surface);
        rings::draw_rings(input, &layout, frame, surface);
        surface.pop_clip();
        rim::draw(&layout, frame, surface);
    });
    if frame.size != Size::Mini {
        petals::draw(input, &layout, frame, surface);
    }
    if input.subject.home().is_some() {
        ring_labels::draw(input, &layout, &marks, frame, surface);
        surface.push_clip_circle(layout.centre, layout.map);
        rings::draw_home(&layout, frame, surface);
        surface.pop_clip();
    }
    marks::draw(input, showing, &placed, &marks, frame, surface);
    margin_words::draw(input, &layout, &placed, &marks, frame, surface);
    scene::scene(input, &layout, &placed, &marks)
}

/// All that what lies under the marks depends on.
fn backdrop_key(input: &DiscInput<'_>, layout: &layout::Layout, haste: Haste, frame: &Frame) -> Vec<u64> {
    let home = input.subject.home_position();
    let (latitude, longitude) = home.map_or((f64::NAN, f64::NAN), |home| (home.lat_deg, home.lon_deg));
    let night = input.night.map_or(-1.0, |night| f64::from(night.second()));
    let rim_km = input.land.map_or(-1.0, |_| input.extent.rim_km);
    let own = [latitude, longitude, night, rim_km, frame.text_px, f64::from(frame.palette.theme as u8)];
    let kinds = [f64::from(frame.size as u8), f64::from(u8::from(haste == Haste::Ground))];
    own.iter().chain(&kinds).chain(&layout.numbers()).map(|number| number.to_bits()).collect()
}
