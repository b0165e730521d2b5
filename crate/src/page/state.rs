//! How things are shown: view, filters, pins, units. Small, and apart from what is loaded.

use super::message::Surroundings;
use super::per_picture::PerPicture;
use super::play::Play;
use super::saving::Saving;
use super::zone::Clock;
use crate::model::{Band, CallId};
use crate::study::Filter;
use crate::words::Length;

/// What the middle of the page shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum View {
    /// The Disc.
    #[default]
    Disc,
    /// The tables of spots and of listeners.
    Spots,
    /// Two runs compared.
    Compare,
    /// The next test.
    Plan,
    /// Likely angles, and hours in large.
    Sky,
    /// Health of the beacon.
    Health,
    /// How a file was read.
    Reading,
}

impl View {
    /// The word in the address and in `data-value`.
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Disc => "disc",
            Self::Spots => "spots",
            Self::Compare => "compare",
            Self::Plan => "plan",
            Self::Sky => "sky",
            Self::Health => "health",
            Self::Reading => "reading",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        [Self::Disc, Self::Spots, Self::Compare, Self::Plan, Self::Sky, Self::Health, Self::Reading]
            .into_iter()
            .find(|view| view.word() == word)
    }
}

/// The theme a person asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Shade {
    /// As the system has it.
    #[default]
    Auto,
    /// Always light.
    Light,
    /// Always dark.
    Dark,
    /// Black on white, large: for bright sun.
    Sun,
}

impl Shade {
    pub(super) const ALL: [Self; 4] = [Self::Auto, Self::Light, Self::Dark, Self::Sun];

    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Auto => "auto",
            Self::Light => "light",
            Self::Dark => "dark",
            Self::Sun => "sun",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|shade| shade.word() == word)
    }
}

/// A menu that can be open. At most one is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Menu {
    Band,
    Time,
    Distance,
    Bearing,
    Level,
    Listener,
    Doubt,
    /// Whose antenna is tested.
    Station,
    /// All filters, on a phone.
    Filters,
    /// Everything else, on a phone.
    More,
    /// What leaves, in which form.
    Save,
    /// Meaning of a column of the file in the Reading view.
    Column(usize),
}

impl Menu {
    const NAMED: [Self; 11] = [
        Self::Band,
        Self::Time,
        Self::Distance,
        Self::Bearing,
        Self::Level,
        Self::Listener,
        Self::Doubt,
        Self::Station,
        Self::Filters,
        Self::More,
        Self::Save,
    ];

    /// The word in `data-value`, and the end of the ids of button and panel.
    pub(super) fn word(self) -> String {
        match self {
            Self::Band => "band".to_owned(),
            Self::Time => "time".to_owned(),
            Self::Distance => "distance".to_owned(),
            Self::Bearing => "bearing".to_owned(),
            Self::Level => "level".to_owned(),
            Self::Listener => "listener".to_owned(),
            Self::Doubt => "doubt".to_owned(),
            Self::Station => "station".to_owned(),
            Self::Filters => "filters".to_owned(),
            Self::More => "more".to_owned(),
            Self::Save => "save".to_owned(),
            Self::Column(at) => format!("column-{at}"),
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        if let Some(at) = word.strip_prefix("column-") {
            return at.parse().ok().map(Self::Column);
        }
        Self::NAMED.into_iter().find(|menu| menu.word() == word)
    }

    /// Is it one of the filters?
    pub(super) fn is_filter(self) -> bool {
        matches!(
            self,
            Self::Band | Self::Time | Self::Distance | Self::Bearing | Self::Level | Self::Listener | Self::Doubt
        )
    }
}

/// The two tables of the Spots view.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Rows {
    /// One row per spot.
    #[default]
    Spots,
    /// One row per far station.
    Listeners,
}

/// A column that a table can be sorted by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Column {
    Time,
    Band,
    Call,
    Locator,
    Distance,
    Bearing,
    Snr,
    Level,
    Drift,
    Frequency,
    Power,
    Line,
    Doubt,
    Count,
    First,
    Last,
}

impl Column {
    const ALL: [(Self, &'static str); 16] = [
        (Self::Time, "time"),
        (Self::Band, "band"),
        (Self::Call, "call"),
        (Self::Locator, "locator"),
        (Self::Distance, "distance"),
        (Self::Bearing, "bearing"),
        (Self::Snr, "snr"),
        (Self::Level, "level"),
        (Self::Drift, "drift"),
        (Self::Frequency, "frequency"),
        (Self::Power, "power"),
        (Self::Line, "line"),
        (Self::Doubt, "doubt"),
        (Self::Count, "count"),
        (Self::First, "first"),
        (Self::Last, "last"),
    ];

    pub(super) fn word(self) -> &'static str {
        Self::ALL.into_iter().find(|(column, _)| *column == self).map_or("", |(_, word)| word)
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|(_, name)| *name == word).map(|(column, _)| column)
    }

    /// The order that a first press on its head gives: large figures first, words from A.
    pub(super) fn first_order(self) -> Order {
        match self {
            Self::Distance | Self::Snr | Self::Level | Self::Power | Self::Count | Self::Last => Order::Falling,
            _ => Order::Rising,
        }
    }
}

/// Which way a table is sorted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    Rising,
    Falling,
}

impl Order {
    pub(super) fn other(self) -> Self {
        match self {
            Self::Rising => Self::Falling,
            Self::Falling => Self::Rising,
        }
    }
}

/// Sorting and page of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Sorting {
    pub(super) column: Column,
    pub(super) order: Order,
    pub(super) page: usize,
}

impl Default for Sorting {
    fn default() -> Self {
        Self { column: Column::Distance, order: Order::Falling, page: 0 }
    }
}

/// The part of a comparison whose reckoning is told step by step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Told {
    AllBands,
    Band(Band),
}

/// How things are shown.
#[derive(Clone, Debug, Default)]
pub(super) struct State {
    pub(super) view: View,
    pub(super) rows: Rows,
    pub(super) spots_sorting: Sorting,
    pub(super) listeners_sorting: Sorting,
    pub(super) filter: Filter,
    pub(super) menu: Option<Menu>,
    /// What was typed into the search of the listener menu.
    pub(super) search: String,
    /// The listeners of the pinned mark, nearest first; several where they are drawn as one.
    pub(super) pinned: Vec<CallId>,
    /// The listener under the pointer or the keyboard's mark.
    pub(super) focused: Vec<CallId>,
    pub(super) length: Length,
    pub(super) clock: Clock,
    pub(super) shade: Shade,
    pub(super) surroundings: Surroundings,
    /// Pictures whose figures are shown as a table instead.
    pub(super) as_table: PerPicture<()>,
    /// Whose difference is told step by step: a band's, or that of all bands.
    pub(super) how: Option<Told>,
    /// Which file the Reading view shows.
    pub(super) file: usize,
    /// How the time filter moves along the strip.
    pub(super) play: Play,
    /// What is chosen for saving.
    pub(super) saving: Saving,
    /// What would be undone and what redone, in words; empty where there is nothing.
    pub(super) steps: (&'static str, &'static str),
}
