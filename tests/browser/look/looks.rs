//! The widths and themes the page is looked at in.

use std::env;
use std::fs;
use std::path::Path;
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};

use super::contact;
use super::png::{self, Picture};
use super::small::{difference, smaller};
use super::strip::{self, Named};
use crate::access::states::{Room, STATES, State, walk};
use crate::harness::Browser;
use crate::harness::browser::storage_refused;
use crate::harness::scratch::root;

/// Windows full that are looked at in light and on paper; what lies farther down is tables. A theme changes colours, and
/// those stand in the first.
const SCREENS: u64 = 2;

/// A way to look at the page.
#[derive(Debug)]
pub(super) struct Look {
    pub(super) name: &'static str,
    room: Room,
    size: (u32, u32),
    wish: Wish,
    /// A side of the square of the page that becomes one pixel.
    side: usize,
    /// The states that are looked at; all of the room if none are named.
    states: &'static [&'static str],
}

/// What a person chose, or what their system asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wish {
    Light,
    Dark,
    /// Chosen in the page, which closes an open menu.
    Sun,
    ForcedColours,
    /// From a dark screen: paper is always light.
    Paper,
    /// Their browser lets no page keep anything.
    NoStorage,
}

impl Look {
    pub(super) fn shows(&self, state: &State) -> bool {
        let named = self.states.is_empty() || self.states.contains(&state.name);
        let menu = state.name.contains("menu of") || state.name.contains("sheet");
        state.is_in(self.room) && named && !(self.wish == Wish::Sun && menu)
    }

    fn screens(&self, state: &State) -> u64 {
        let all = matches!(self.wish, Wish::Light | Wish::Paper | Wish::NoStorage) && KINDS.contains(&state.name);
        if all { SCREENS } else { 1 }
    }

    /// Of the browser.
    fn preferences(&self) -> Value {
        if self.wish == Wish::NoStorage { storage_refused() } else { json!({}) }
    }

    /// Has the page look so.
    fn dress(&self, browser: &Browser) {
        let forced = if self.wish == Wish::ForcedColours { "active" } else { "none" };
        let media = if self.wish == Wish::Paper { "print" } else { "" };
        let dark = if matches!(self.wish, Wish::Dark | Wish::Paper) { "dark" } else { "light" };
        let wish = json!({ "media": media, "features": [
            { "name": "forced-colors", "value": forced },
            { "name": "prefers-color-scheme", "value": dark },
            { "name": "prefers-reduced-motion", "value": "reduce" },
        ] });
        browser.run("setting a wish", browser.driver().cdp().send_raw("Emulation.setEmulatedMedia", wish));
        if self.wish == Wish::Sun {
            browser.script("probe.act('theme', 'sun');", Vec::new());
        }
    }

    /// Takes that off again.
    fn undress(&self, browser: &Browser) {
        if self.wish == Wish::Sun {
            browser.script("probe.act('theme', 'auto');", Vec::new());
        }
    }
}

const fn look(name: &'static str, room: Room, size: (u32, u32), wish: Wish) -> Look {
    let side = match room {
        Room::Desk => 8,
        Room::Phone => 6,
    };
    Look { name, room, size, wish, side, states: &[] }
}

/// One of each kind: what another theme or a narrower window can change.
const KINDS: &[&str] = &[
    "empty",
    "sample, Disc",
    "tour, which antenna",
    "menu of bands",
    "sheet, bands open",
    "card",
    "tables beside the Disc",
    "Spots",
    "Sky",
    "Health",
    "Compare",
    "run editor, feeder",
    "Plan",
    "Reading",
    "Compare with one run",
];

/// Colours that are the reader's own: what is left to the page.
const FORCED: &[&str] = &["sample, Disc", "menu of bands", "Sky", "Compare", "run editor, feeder", "Reading"];

/// What a person prints: no menus, no dialogs.
const PRINTED: &[&str] = &[
    "sample, Disc",
    "card",
    "one band",
    "tables beside the Disc",
    "Spots",
    "Sky",
    "Health",
    "Compare",
    "Plan",
    "Reading",
];

/// Where something could be kept, or a foot says that nothing is.
const KEEPING: &[&str] = &["empty", "sample, Disc", "Spots, saving", "Reading"];

const DESK: (u32, u32) = (1440, 900);
const PHONE: (u32, u32) = (390, 844);
/// A4 with margins of 10 mm, at 96 px to the inch.
const PAPER: (u32, u32) = (718, 1047);

pub(super) const LOOKS: &[Look] = &[
    look("desk-light", Room::Desk, DESK, Wish::Light),
    Look { states: KINDS, ..look("desk-dark", Room::Desk, DESK, Wish::Dark) },
    Look { states: KINDS, ..look("desk-sun", Room::Desk, DESK, Wish::Sun) },
    Look { states: FORCED, ..look("desk-forced", Room::Desk, DESK, Wish::ForcedColours) },
    look("phone-light", Room::Phone, PHONE, Wish::Light),
    Look { states: KINDS, ..look("phone-dark", Room::Phone, PHONE, Wish::Dark) },
    Look { states: KINDS, ..look("phone-sun", Room::Phone, PHONE, Wish::Sun) },
    Look { states: KINDS, ..look("small-light", Room::Phone, (320, 640), Wish::Light) },
    Look { states: PRINTED, ..look("print", Room::Phone, PAPER, Wish::Paper) },
    Look { states: KEEPING, ..look("no-storage", Room::Desk, DESK, Wish::NoStorage) },
];

/// Counts what the page asks its worker and what that has answered; put in before the page's own script.
const COUNT: &str = "
const { postMessage } = Worker.prototype;
const known = new WeakSet();
globalThis.unanswered = 0;
Worker.prototype.postMessage = function (...given) {
  if (!known.has(this)) this.addEventListener('message', () => { unanswered -= 1; });
  known.add(this);
  unanswered += 1;
  return postMessage.apply(this, given);
};";

/// Waits until nothing changes any more: the worker is told the size of a picture when its place is there, and draws it
/// before it answers. Gives how tall the page is and its window, in pixels.
fn settle(browser: &Browser) -> (u64, u64) {
    let tall = browser.script(
        "const late = performance.now() + 5000;
         const frame = () => new Promise(requestAnimationFrame);
         return (async () => {
           for (let still = 0; still < 4; still = unanswered > 0 ? 0 : still + 1) {
             if (performance.now() > late) return [0, 0];
             await frame();
           }
           return [document.documentElement.scrollHeight, innerHeight];
         })();",
        Vec::new(),
    );
    let (tall, window) = serde_json::from_value(tall).expect("two heights");
    assert!(tall > 0, "the page goes on asking its worker");
    (tall, window)
}

/// The page from its top, a screenshot for each window full, and all of them small, below each other.
///
/// One screenshot of the whole page would have the browser lay it out for another window meanwhile.
fn picture(browser: &Browser, look: &Look, screens_most: u64) -> (Vec<Vec<u8>>, Picture) {
    // a step of the tour may have brought its mark into sight
    // and the page's sum, other letters with every build, may break its line elsewhere
    browser.script(
        "scrollTo(0, 0);
         const sum = document.querySelector('#footer .seal span');
         sum.textContent = sum.textContent.replace(/[0-9a-f]{64}/, '0123456789abcdef'.repeat(4));",
        Vec::new(),
    );
    let (tall, window) = settle(browser);
    let mut screens = Vec::new();
    let mut small = Picture { width: 0, height: 0, pixels: Vec::new() };
    for at in 0..tall.div_ceil(window).clamp(1, screens_most) {
        if at > 0 {
            let scroll = "scrollTo(0, arguments[0]); return new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));";
            browser.script(scroll, vec![json!(at * window)]);
        }
        let wish = json!({ "format": "png", "optimizeForSpeed": true });
        let taken = browser.run("taking a picture", browser.driver().cdp().send_raw("Page.captureScreenshot", wish));
        let bytes = png::from_base64(taken["data"].as_str().expect("a picture as text"));
        let screen = smaller(&png::read(&bytes).0, look.side);
        small.width = screen.width;
        small.height += screen.height;
        small.pixels.extend(screen.pixels);
        screens.push(bytes);
    }
    if screens.len() > 1 {
        browser.script("scrollTo(0, 0);", Vec::new());
    }
    (screens, small)
}

/// The pictures of one look: those kept, those taken now, and what is wrong with them.
#[derive(Debug)]
struct Seen {
    look: &'static Look,
    writes: bool,
    kept: Vec<Named>,
    taken: Vec<Named>,
    wrong: Vec<String>,
}

impl Seen {
    fn new(name: &str) -> Self {
        let look = LOOKS.iter().find(|it| it.name == name).expect("a look of that name");
        let writes = env::var("FARHEARD_PICTURES").is_ok_and(|value| value == "write");
        let kept = if writes { Vec::new() } else { strip::kept(&strip::path(name)) };
        let folder = contact::folder().join(name);
        fs::create_dir_all(folder).expect("target/pictures/page/ can be made");
        Self { look, writes, kept, taken: Vec::new(), wrong: Vec::new() }
    }

    fn differs(&self, state: &str, small: &Picture) -> Option<String> {
        match self.kept.iter().find(|(name, _)| name == state) {
            _ if self.writes => None,
            Some((_, kept)) => difference(kept, small, self.look.side),
            None => Some("no picture of it is kept".to_owned()),
        }
    }

    fn see(&mut self, browser: &Browser, state: &State) {
        let (mut screens, mut small) = picture(browser, self.look, self.look.screens(state));
        // on a machine under load what the worker has drawn is shown later than it says; what is kept is surely at rest
        let mut before = None;
        for wait_ms in [150, 300, 600, 1200] {
            let rests =
                if self.writes { before.as_ref() == Some(&small) } else { self.differs(state.name, &small).is_none() };
            if rests {
                break;
            }
            thread::sleep(Duration::from_millis(wait_ms));
            before = Some(small);
            (screens, small) = picture(browser, self.look, self.look.screens(state));
        }
        let folder = contact::folder().join(self.look.name);
        for (at, bytes) in screens.iter().enumerate() {
            fs::write(folder.join(contact::file(state.name, at)), bytes).expect("target/pictures/page/ can be written");
        }
        let file = folder.join(contact::file(state.name, 0));
        if let Some(words) = self.differs(state.name, &small) {
            self.wrong.push(format!("{}, '{}': {words}; see {}", self.look.name, state.name, shown(&file)));
        }
        self.taken.push((state.name.to_owned(), small));
    }

    /// Keeps the pictures if that is asked for; gives all that is wrong otherwise.
    fn end(mut self) -> Vec<String> {
        let name = self.look.name;
        if self.writes {
            strip::keep(&strip::path(name), &self.taken);
        }
        let gone = self.kept.iter().filter(|(state, _)| !self.taken.iter().any(|(other, _)| other == state));
        self.wrong.extend(gone.map(|(state, _)| format!("{name}, '{state}': there is no such state any more")));
        self.wrong
    }
}

/// One walk, looked at in several ways at each state. All that differs is told at once.
fn every_state(looks: &[&str]) {
    let mut seen: Vec<_> = looks.iter().map(|name| Seen::new(name)).collect();
    let first = seen.first().expect("a look").look;
    let browser = Browser::start_with_fonts(&root().join("tests/browser/look/fonts.conf"), &first.preferences());
    browser.resize(first.size.0, first.size.1);
    let hidden = json!({ "hidden": true });
    browser.run("hiding scroll bars", browser.driver().cdp().send_raw("Emulation.setScrollbarsHidden", hidden));
    let count = json!({ "source": COUNT });
    browser.run("counting", browser.driver().cdp().send_raw("Page.addScriptToEvaluateOnNewDocument", count));
    first.dress(&browser);
    walk(&browser, first.room, "", |name| {
        let state = STATES.iter().find(|it| it.name == name).expect("a state of the walk");
        let showing: Vec<_> = seen.iter_mut().filter(|it| it.look.shows(state)).collect();
        if showing.is_empty() {
            return;
        }
        for one in showing {
            one.look.dress(&browser);
            one.see(&browser, state);
            one.look.undress(&browser);
        }
        first.dress(&browser);
    });
    contact::write();
    let wrong: Vec<_> = seen.into_iter().flat_map(Seen::end).collect();
    assert!(
        wrong.is_empty(),
        "{} pictures differ from those kept in tests/pictures/page/:\n{}\nLook at them all in {}. \
         If it is meant: FARHEARD_PICTURES=write",
        wrong.len(),
        wrong.join("\n"),
        shown(&contact::folder().join("index.html"))
    );
}

fn shown(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).display().to_string()
}

#[test]
fn a_desk_looks_as_it_did() {
    every_state(&["desk-light"]);
}

#[test]
fn a_desk_in_other_colours_looks_as_it_did() {
    every_state(&["desk-dark", "desk-sun", "desk-forced"]);
}

#[test]
fn a_phone_looks_as_it_did() {
    every_state(&["phone-light", "phone-dark", "phone-sun"]);
}

#[test]
fn a_window_of_320_looks_as_it_did() {
    every_state(&["small-light"]);
}

#[test]
fn where_nothing_can_be_kept_it_looks_as_it_did() {
    every_state(&["no-storage"]);
}

#[test]
fn paper_looks_as_it_did() {
    every_state(&["print"]);
}
