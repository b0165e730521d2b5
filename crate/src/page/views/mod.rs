//! Panels of the page as markup: plain values in, escaped text out. Templates stand in `web/views`.
//!
//! - [`frame`]: bar, footer, thumb bar, notices
//! - [`answer`]: the sentence
//! - [`left`]: runs and the sum of the reading
//! - [`runs`]: cards of the runs and the editor of one
//! - [`compare`]: two runs compared; [`beside`]: what stands at its sides
//! - [`plan`]: the next test
//! - [`middle`]: the Disc with its filters and cards
//! - [`spots`]: the tables of spots and of listeners
//! - [`save`]: what leaves, in which form
//! - [`rail`]: a strip of time with two handles
//! - [`right`]: bands, bearings, hours, time
//! - [`reading`]: how a file was read

pub(super) mod answer;
pub(super) mod beside;
pub(super) mod compare;
pub(super) mod frame;
pub(super) mod health;
pub(super) mod left;
pub(super) mod middle;
pub(super) mod plan;
pub(super) mod rail;
pub(super) mod reading;
pub(super) mod right;
pub(super) mod runs;
pub(super) mod save;
pub(super) mod sky;
pub(super) mod spots;

use askama::Template;

use super::menus::Choice;
use super::state::State;

/// A template as text. Writing to a string cannot fail; were it to, the region would be empty.
pub(super) fn markup(template: &impl Template) -> String {
    template.render().unwrap_or_default()
}

/// Buttons that undo and redo, where there is something, with what that is as their effect.
/// `place` tells those of one place of the page from others.
pub(super) fn steps(state: &State, place: &str) -> Vec<Choice> {
    let all = [("undo-step", "Undo", state.steps.0), ("redo-step", "Redo", state.steps.1)];
    let some = all.into_iter().filter(|(.., what)| !what.is_empty());
    some.map(|(act, label, what)| Choice { effect: what.to_owned(), ..choice(act, place, label, false) }).collect()
}

/// A button of a group, without effect in words.
pub(super) fn choice(act: &'static str, value: impl Into<String>, label: impl Into<String>, on: bool) -> Choice {
    Choice { act, value: value.into(), label: label.into(), effect: String::new(), on, rule: false }
}
