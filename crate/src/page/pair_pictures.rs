//! The pictures of Compare and Plan: what each is drawn from, and what it says in one sentence.

use super::compared::Contrast;
use super::loaded::Loaded;
use super::message::Picture;
use super::pictures::{Pictures, Scenery, theme};
use super::planned::Planned;
use super::runs::Runs;
use super::state::State;
use crate::figure::disc::{Extent, views};
use crate::figure::{Frame, Size};

impl Pictures {
    pub(super) fn draw_pair(&mut self, _: Picture, _: &Frame, _: Scenery<'_>, _: &mut dyn crate::draw::Surface) -> Option<crate::figure::BarScene> {
        None
    }
    pub(super) fn pair_extent(&self, state: &State, contrast: &Contrast) -> Extent {
        let all: Vec<_> = contrast.a.listeners.iter().chain(&contrast.b.listeners).cloned().collect();
        views(&all, state.length).whole
    }
    pub(super) fn compare_summary(&self, _: Picture, _: &State, _: &Loaded, _: &Runs, _: &Contrast) -> String {
        String::new()
    }
    pub(super) fn plan_summary(&self, _: Picture, _: &State, _: &Loaded, _: &Runs, _: &Planned) -> String {
        String::new()
    }
}

pub(super) fn intervals_height(_: &State, _: usize) -> f64 { 300.0 }
pub(super) fn order_height(_: &State) -> f64 { 150.0 }
