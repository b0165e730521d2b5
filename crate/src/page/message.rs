//! What crosses the seam between the page and the core: events in, patches out.

use serde::{Serialize, Serializer};

use super::zone::ZoneChange;

/// Something happened in the page. How each crosses stands in `told`.
#[derive(Clone, Debug)]
pub enum Event {
    /// The page is up, or the core was started again.
    Boot(Boot),
    /// A file came in whole. More may follow; [`Event::FilesDone`] says when all are here.
    File {
        /// Its name, of which at most the ending is a hint.
        name: String,
        /// Its bytes.
        bytes: Vec<u8>,
    },
    /// All files of one drop, choice or paste are here.
    FilesDone {
        /// Where they came from.
        origin: Origin,
        /// The work that they belong to, as [`Patch::Work`] told it; empty for files that just came.
        work: String,
    },
    /// Reading was given up by the person; files that came in since are forgotten.
    Cancelled,
    /// Read on: the answer to [`Patch::Progress`].
    ReadOn {
        /// For about so many bytes.
        bytes: usize,
    },
    /// The browser could not read a file.
    Unreadable {
        /// Its name.
        name: String,
        /// What the browser says.
        why: String,
    },
    /// Something was dropped that is neither a file nor rows.
    OddDrop {
        /// What it was: `folder` for one without files, else anything.
        what: String,
    },
    /// The address was changed by hand: other settings.
    Settings {
        /// The settings, as [`Patch::Settings`] wrote them or not.
        text: String,
    },
    /// The browser's history was gone back or forward in.
    Step {
        /// Number of the step, as [`Patch::Settings`] gave it.
        to: usize,
    },
    /// A newer version of the page is installed and waits.
    NewVersion,
    /// The browser kept the work, or could not.
    Kept {
        /// Why not; empty where it did.
        why: String,
    },
    /// A control was used: `act` is its word, `value` what it carries.
    Act {
        /// What to do.
        act: String,
        /// With what.
        value: String,
        /// Was the shift key down?
        shift: bool,
        /// Is it one of many that follow one another at once, as while a handle is dragged? Then only what is watched
        /// meanwhile is brought up to date, and [`Event::Settled`] follows when the hand rests.
        passing: bool,
    },
    /// No further passing event came for a while: everything else is brought up to date.
    Settled,
    /// The page is about to be printed: all its pictures are wanted as SVG.
    Paper,
    /// The pointer is over a picture.
    Pointer(Pointer),
    /// A key was pressed while a picture had the focus.
    Key {
        /// Which picture.
        picture: Picture,
        /// The key's name after the UI Events standard.
        key: String,
    },
    /// A picture has a new size, in CSS pixels.
    Size {
        /// Which picture.
        picture: Picture,
        /// Width.
        width: f64,
        /// Height.
        height: f64,
        /// Device pixels per CSS pixel.
        ratio: f64,
    },
    /// The surroundings changed: window, system colours.
    Surroundings(Surroundings),
}

/// What the page knows when it starts.
#[derive(Clone, Debug, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each is an answer of the browser, on its own")]
pub struct Boot {
    /// View settings of an earlier state, as [`Patch::Settings`] wrote them; may be anything.
    pub settings: String,
    /// When the local clock changes, in order; the first entry holds from the beginning.
    pub zone_changes: Vec<ZoneChange>,
    /// Window and system colours.
    pub surroundings: Surroundings,
    /// If the core stopped before: the name of the file that was being read then, empty if none was.
    pub stopped_at: Option<String>,
    /// Does the page ask for step after step while files are read? Else they are read at once.
    pub stepwise: bool,
    /// What [`Patch::Keep`] wrote in an earlier visit; may be anything.
    pub kept: String,
    /// What may be kept.
    pub keeping: Keeping,
    /// Does the person's language write a comma before decimals?
    pub decimal_comma: bool,
    /// Can the system send a picture on?
    pub sends: bool,
    /// Does the page come from a web host?
    pub hosted: bool,
    /// Which part of a date the person's language writes first: `day`, `month` or `year`.
    pub date_begins_with: String,
}

/// What the page may keep from one visit to the next.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Keeping {
    /// Nothing: the browser refuses.
    #[default]
    Never,
    /// It could, but nobody asked for it: other local pages can read what a page from disk keeps.
    NotYet,
    /// It does.
    Always,
}

/// Window and system colours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[expect(clippy::struct_excessive_bools, reason = "each is an answer of the system, on its own")]
pub struct Surroundings {
    /// Does the system prefer a dark theme (or, with forced colours, is its background dark)?
    pub dark: bool,
    /// Does the system force its own colours?
    pub forced: bool,
    /// Is the window as narrow as a phone?
    pub narrow: bool,
    /// Does the system ask for less motion?
    pub still: bool,
    /// Has the page taken the shape of a sheet, to be printed?
    pub paper: bool,
}

/// Where files came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Dropped, chosen or pasted by the person.
    Person,
    /// The sample that comes with the page.
    Sample,
    /// Sent again, after the core was restarted or from what the browser kept.
    Again,
    /// They came with the page, which somebody shared.
    Shared,
}

/// A picture of the page: the name of its canvas.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Picture {
    /// Distance and bearing.
    Disc,
    /// Sixteen sectors.
    Bearings,
    /// Band by hour.
    Hours,
    /// Spots over time.
    Timeline,
    /// Difference per band.
    Intervals,
    /// Difference per listener.
    ByListener,
    /// Listeners of antenna A.
    DiscA,
    /// Listeners of antenna B.
    DiscB,
    /// Which antenna is stronger where.
    Difference,
    /// Spots of the run in the editor over time.
    RunTime,
    /// Order of antennas in the next test.
    Order,
    /// Battery over the next test.
    Battery,
    /// Likely take-off angles.
    Angles,
    /// Band by hour, with the sun and the nearest listener.
    HoursLarge,
    /// Sends heard, silent spans and drift over time.
    Health,
}

impl Picture {
    /// All of them.
    pub const ALL: [Self; 15] = [
        Self::Disc,
        Self::Bearings,
        Self::Hours,
        Self::Timeline,
        Self::Intervals,
        Self::ByListener,
        Self::DiscA,
        Self::DiscB,
        Self::Difference,
        Self::RunTime,
        Self::Order,
        Self::Battery,
        Self::Angles,
        Self::HoursLarge,
        Self::Health,
    ];

    /// Its name, as its canvas carries it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Disc => "disc",
            Self::Bearings => "bearings",
            Self::Hours => "hours",
            Self::Timeline => "timeline",
            Self::Intervals => "intervals",
            Self::ByListener => "by-listener",
            Self::DiscA => "disc-a",
            Self::DiscB => "disc-b",
            Self::Difference => "difference",
            Self::RunTime => "run-time",
            Self::Order => "order",
            Self::Battery => "battery",
            Self::Angles => "angles",
            Self::HoursLarge => "hours-large",
            Self::Health => "health",
        }
    }

    /// The picture of a name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|picture| picture.name() == name)
    }
}

/// What the pointer did over a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gesture {
    /// It moved without a button.
    Over,
    /// It left the picture.
    Leave,
    /// It was pressed and let go at one place.
    Press,
    /// It moved by (`dx`, `dy`) with the button down.
    Drag,
    /// Zoom by the factor `by` about the place: wheel with a modifier, or two fingers.
    Zoom,
}

/// The pointer over a picture; lengths in CSS pixels from its upper left corner.
#[derive(Clone, Copy, Debug)]
pub struct Pointer {
    /// Which picture.
    pub picture: Picture,
    /// What it did.
    pub gesture: Gesture,
    /// Place.
    pub x: f64,
    /// Place.
    pub y: f64,
    /// Way since the last event.
    pub dx: f64,
    /// Way since the last event.
    pub dy: f64,
    /// Factor of a zoom, over 1 to come nearer.
    pub by: f64,
    /// Is it a finger?
    pub touch: bool,
    /// Is it one of many that follow one another at once, as while a picture is zoomed or moved? As of [`Event::Act`].
    pub passing: bool,
}

/// Something the page must do.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Patch {
    /// Bring an element's content up to this markup, keeping focus, caret, scroll and canvases.
    Html {
        /// Id of the element.
        region: &'static str,
        /// Its content.
        html: String,
    },
    /// Say a sentence to a screen reader, politely.
    Announce {
        /// The sentence.
        text: String,
    },
    /// Hand a file to the person.
    Save {
        /// Name.
        name: String,
        /// Media type.
        media_type: &'static str,
        /// Content.
        #[serde(serialize_with = "as_bytes")]
        bytes: Vec<u8>,
    },
    /// Hand a picture to the person as PNG.
    Raster {
        /// How: `save`, `copy` to the clipboard, or `send` by what the system offers.
        to: &'static str,
        /// Name.
        name: String,
        /// The picture as SVG.
        text: String,
        /// Pixels to each of its own.
        times: u32,
    },
    /// Put text on the clipboard.
    Copy {
        /// The text.
        text: String,
    },
    /// Move the focus to an element, if it is there.
    Focus {
        /// Its id.
        id: String,
    },
    /// Name the document.
    Title {
        /// The name.
        text: String,
    },
    /// Show a theme: `light`, `dark` or `sun`.
    Theme {
        /// Its name.
        name: &'static str,
    },
    /// View settings to keep in the address after `#`, and to hand back at the next boot.
    Settings {
        /// The settings.
        text: String,
        /// Number of the step that is shown: an entry of the browser's history.
        step: usize,
        /// Number of the first step that can be gone back to.
        first: usize,
        /// `new` for a step that was just made, `moved` for one that a key or button led to, else `here`.
        way: &'static str,
    },
    /// What the page should be showing: `empty` or `loaded`, and which view.
    State {
        /// Name of the state.
        name: &'static str,
    },
    /// Show a picture from SVG text, where the core cannot draw on its canvas.
    Svg {
        /// Which picture.
        picture: Picture,
        /// A whole SVG document.
        text: String,
    },
    /// Go over to the newer version: the person agreed.
    NewVersion,
    /// Files are being read: show how far, and ask to go on with [`Event::ReadOn`].
    Progress {
        /// Rows and bytes in words.
        words: String,
        /// The share of 1 that is read.
        share: f64,
    },
    /// An archive is coming in: `asks` what to keep, so wait; `goes-on`; or `ends`, being refused.
    Archive {
        /// Which of these.
        step: &'static str,
    },
    /// Keep this text for the next visit; without one, forget what was kept and keep nothing any more.
    Keep {
        /// The text.
        text: Option<String>,
    },
    /// Hand over text as a file packed with gzip; it is a work file, and the time it was taken is told.
    WorkFile {
        /// Name.
        name: String,
        /// Content before it is packed.
        text: String,
    },
    /// Hand over this page, as it came, with a work file in it.
    Page {
        /// Name.
        name: String,
        /// The work file, not packed.
        text: String,
    },
    /// This is now the work: to be kept, and to be sent again on a restart.
    Work {
        /// Numbers of its files in their order, then of files that wait for a decision. They are counted from 0 over
        /// all [`Event::File`]s since the page opened and the files that came inside others.
        files: Vec<usize>,
        /// Everything else, to be handed back with [`Event::FilesDone`]; empty if there is nothing to keep.
        text: String,
        /// Did another work take the place of the one before?
        fresh: bool,
        /// Does it hold anything that a person did, beyond files that they have?
        own: bool,
    },
}

fn as_bytes<S: Serializer>(bytes: &[u8], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_bytes(bytes)
}
