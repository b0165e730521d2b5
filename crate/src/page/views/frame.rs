//! What stands round the results: bar, footer, thumb bar, notices.

use askama::Template;

use super::{choice, steps};
use crate::page::menus::Choice;
use crate::page::message::Keeping;
use crate::page::state::{Menu, Shade, State, View};
use crate::words::Length;

#[derive(Debug, Template)]
#[template(path = "bar.html")]
pub(in crate::page) struct Bar {
    views: Vec<NavView>,
    /// Undo and redo.
    steps: Vec<Choice>,
    empty: bool,
    /// Is it a page that somebody shared?
    shared: bool,
}

#[derive(Debug)]
struct NavView {
    word: &'static str,
    label: &'static str,
    on: bool,
}

impl Bar {
    pub(in crate::page) fn new(state: &State, empty: bool, shared: bool) -> Self {
        let views = [(View::Disc, "Disc"), (View::Spots, "Spots"), (View::Compare, "Compare"), (View::Plan, "Plan")]
            .into_iter()
            .map(|(view, label)| NavView { word: view.word(), label, on: !empty && state.view == view })
            .collect();
        Self { views, steps: steps(state, "bar-"), empty, shared }
    }
}

/// The words of the units, zone and theme choices.
#[derive(Debug)]
struct Group {
    label: &'static str,
    choices: Vec<Choice>,
}

fn groups(state: &State) -> Vec<Group> {
    let km = state.length == Length::Km;
    let local = state.clock.is_local();
    vec![
        Group {
            label: "Unit of length",
            choices: vec![choice("unit", "km", "km", km), choice("unit", "mi", "mi", !km)],
        },
        Group {
            label: "Time zone",
            choices: vec![choice("zone", "utc", "UTC", !local), choice("zone", "local", "local", local)],
        },
        Group {
            label: "Theme",
            choices: Shade::ALL
                .into_iter()
                .zip(["Auto", "Light", "Dark", "Sun"])
                .map(|(shade, label)| choice("theme", shade.word(), label, state.shade == shade))
                .collect(),
        },
    ]
}

#[derive(Debug, Template)]
#[template(path = "foot.html")]
pub(in crate::page) struct Foot {
    groups: Vec<Group>,
    kept: Kept,
    loaded: bool,
}

impl Foot {
    pub(in crate::page) fn new(state: &State, kept: Kept, loaded: bool) -> Self {
        Self { groups: groups(state), kept, loaded }
    }
}

/// Where the work is kept, in words, and what can be done about that.
#[derive(Debug)]
pub(in crate::page) struct Kept {
    words: &'static str,
    /// Is there work of the person's own, of which a work file may have been taken?
    work: bool,
    choice: Option<Choice>,
}

impl Kept {
    /// `work` tells whether there is work of the person's own, `not_kept` why the browser did not keep it,
    /// `shared` whether this is a page that somebody shared.
    pub(in crate::page) fn new(keeping: Keeping, work: bool, not_kept: &str, shared: bool) -> Self {
        let words = match (keeping, not_kept) {
            _ if shared => "A shared page; this browser keeps nothing of it.",
            (Keeping::Always, "") => "In this browser only.",
            (Keeping::Always, "full") => "In this page only: this browser has no room to keep it.",
            (Keeping::Always, "large") => "In this page only: the files are too large to be kept.",
            (Keeping::Always, _) => "In this page only: this browser does not let it be kept.",
            (Keeping::Never, _) => "In this page only; this browser keeps nothing when it is closed.",
            (Keeping::NotYet, _) => "In this page only; nothing is kept when it is closed.",
        };
        let choice = match keeping {
            _ if shared => None,
            Keeping::Always => Some(choice("keep", "forget", "What is kept", false)),
            Keeping::NotYet => Some(choice("keep", "ask", "Keep it in this browser", false)),
            Keeping::Never => None,
        };
        Self { words, work: work && !shared, choice }
    }
}

#[derive(Debug, Template)]
#[template(path = "thumb.html")]
pub(in crate::page) struct Thumb {
    choices: Vec<Choice>,
}

impl Thumb {
    pub(in crate::page) fn new(state: &State) -> Self {
        let filters = state.menu.is_some_and(|menu| menu == Menu::Filters || menu.is_filter());
        let more = state.menu == Some(Menu::More);
        let choices = vec![
            choice("view", "disc", "Disc", state.view == View::Disc),
            choice("view", "spots", "Spots", state.view == View::Spots),
            choice("view", "compare", "Compare", state.view == View::Compare),
            choice("open", "filters", "Filters", filters),
            choice("open", "more", "More", more),
        ];
        Self { choices }
    }
}

/// The phone's sheet of everything else.
#[derive(Debug, Template)]
#[template(path = "more.html")]
pub(in crate::page) struct More {
    groups: Vec<Group>,
    steps: Vec<Choice>,
    loaded: bool,
    kept: Kept,
}

impl More {
    pub(in crate::page) fn new(state: &State, loaded: bool, kept: Kept) -> Self {
        Self { groups: groups(state), steps: steps(state, "more-"), loaded, kept }
    }
}

/// Words in the strip under the bar.
#[derive(Clone, Debug, Default)]
pub(in crate::page) struct Words {
    pub(in crate::page) head: String,
    pub(in crate::page) lines: Vec<String>,
    pub(in crate::page) choices: Vec<Choice>,
    /// Something that must be known first.
    pub(in crate::page) ask: Option<Ask>,
}

/// A step of the tour.
#[derive(Clone, Debug)]
pub(in crate::page) struct TourWords {
    pub(in crate::page) step: String,
    pub(in crate::page) sentence: String,
    /// Id of the control that is told of; empty for none.
    pub(in crate::page) mark: &'static str,
    /// What the button that leads on says.
    pub(in crate::page) next: &'static str,
    /// What the button that leaves says; empty where the other one ends it.
    pub(in crate::page) leave: &'static str,
}

/// A field in the strip, with what was typed.
#[derive(Clone, Debug)]
pub(in crate::page) struct Ask {
    pub(in crate::page) act: &'static str,
    pub(in crate::page) label: &'static str,
    pub(in crate::page) example: &'static str,
    pub(in crate::page) typed: String,
    pub(in crate::page) button: &'static str,
}

/// What can become of files that came while others are loaded.
#[derive(Clone, Debug)]
pub(in crate::page) struct Way {
    pub(in crate::page) value: &'static str,
    pub(in crate::page) label: String,
    pub(in crate::page) what: String,
    pub(in crate::page) fact: String,
}

/// The question about files that came while others are loaded.
#[derive(Clone, Debug)]
pub(in crate::page) struct Question {
    pub(in crate::page) name: String,
    pub(in crate::page) lines: Vec<String>,
    pub(in crate::page) choices: Vec<Way>,
}

/// What the strip under the bar holds.
#[derive(Clone, Debug, Default)]
pub(in crate::page) enum Kind {
    #[default]
    None,
    Words(Words),
    Tour(TourWords),
    Arrived(Question),
}

#[derive(Debug, Template)]
#[template(path = "notice.html")]
pub(in crate::page) struct Notice {
    pub(in crate::page) kind: Kind,
}

/// The page before anything is loaded.
#[derive(Debug, Template)]
#[template(path = "empty.html")]
pub(in crate::page) struct Empty;
