//! The states of the page that the instruments look at: one walk through all of them, on a desk or on a phone.

use serde_json::{Value, json};

use crate::harness::{Browser, Scratch};

/// Where the page is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Room {
    Desk,
    Phone,
}

/// A state, how it is reached from the one before, and how it is known.
#[derive(Clone, Copy, Debug)]
pub(crate) struct State {
    pub(crate) name: &'static str,
    /// The only room where it exists; both if none.
    room: Option<Room>,
    /// What is done in the page.
    way: &'static str,
    /// An expression that holds as soon as it is reached.
    until: &'static str,
}

impl State {
    pub(crate) fn is_in(&self, room: Room) -> bool {
        self.room.is_none_or(|only| only == room)
    }
}

const fn state(name: &'static str, way: &'static str, until: &'static str) -> State {
    State { name, room: None, way, until }
}

const fn only(room: Room, name: &'static str, way: &'static str, until: &'static str) -> State {
    State { name, room: Some(room), way, until }
}

/// In the page, `$` is `document.querySelector`, `rows` are the texts below.
pub(crate) const STATES: &[State] = &[
    state("empty", "", "$('#try-sample')"),
    state("paste dialog", "press('#paste-rows')", "$('#paste[open]')"),
    state("keys dialog", "$('#paste').close(); key('body', '?')", "$('#keys[open]')"),
    state("error", "$('#keys').close(); paste(rows.letter)", "$('#notice .strip-in')"),
    state("no place", "paste(rows.nowhere)", "$('.ask')"),
    state("sample offered", "press('[data-page=sample]')", "$('.arrive')"),
    state("sample, Disc", "press('.arrive .main')", "$('#run-open-1') && $('#picture-disc')"),
    state("tour, one band", "act('tour', 'next'); act('tour', 'next')", "$('[id^=clear-], #chip-band')"),
    state("tour, which antenna", "act('tour', 'next')", "$('#picture-intervals')"),
    state(
        "a file being read",
        "act('tour', 'leave'); act('view', 'disc'); $('#progress').hidden = false; $('#progress-words').textContent = 'two.csv: 38 of 92 MB'",
        "1",
    ),
    only(Room::Desk, "menu of bands", "$('#progress').hidden = true; press('#open-band')", "$('#menu-band')"),
    only(Room::Desk, "menu of listeners", "press('#open-listener')", "$('#menu-listener')"),
    only(Room::Desk, "menu of the station", "press('#open-station')", "$('#menu-station')"),
    only(Room::Phone, "sheet of more", "$('#progress').hidden = true; press('#thumb-more')", "$('#more-close')"),
    only(Room::Phone, "sheet of filters", "press('#thumb-filters')", "$('#filters-close')"),
    only(Room::Phone, "sheet, bands open", "press('#open-band')", "$('#menu-band')"),
    state("card", "act('close'); key('#picture-disc', 'ArrowUp', 'ArrowUp', 'Enter')", "$('#card') && !$('.menu')"),
    state("one band", "act('unpin'); act('band', '40m')", "$('[id^=clear-], #chip-band') && !$('#card')"),
    state("menu of distances", "act('open', 'distance')", "$('#menu-distance')"),
    state("filtered to zero", "set('#field-distance-min-km', '19995')", "$('.nothing')"),
    state("filtered to zero, menu closed", "act('close')", "$('.nothing') && !$('.menu')"),
    state(
        "tables beside the Disc",
        "act('clear', 'all'); act('twin', 'bearings'); act('twin', 'hours')",
        "$('#right .wide-table table') && !$('#picture-bearings')",
    ),
    state("Spots", "act('twin', 'bearings'); act('twin', 'hours'); act('view', 'spots')", "$('#spots-table')"),
    state("Spots, saving", "act('open', 'save'); act('keep-back', 'calls')", "$('#menu-save')"),
    state("Spots, by listener", "act('rows', 'listeners')", "$('#spots-table').textContent.includes('Farthest') || 1"),
    state("Sky", "act('view', 'sky')", "$('#picture-angles') && $('#picture-hours-large')"),
    state(
        "Sky, tables",
        "act('twin', 'angles'); act('twin', 'hours-large')",
        "!$('#picture-angles') && !$('#picture-hours-large')",
    ),
    state("Health", "act('view', 'health')", "$('#picture-health')"),
    state("Compare", "act('view', 'compare')", "$('#picture-intervals')"),
    state("Compare, control", "set('#run-control', $('#run-control').options[1].value)", "$('#picture-intervals')"),
    state("Compare, how", "press('#how-all')", "$('#how-words')"),
    state(
        "Compare, where and when",
        "for (const part of document.querySelectorAll('details')) part.open = true; act('twin', 'by-listener')",
        "!$('#picture-by-listener')",
    ),
    state("run editor", "act('twin', 'by-listener'); press('#run-open-1')", "$('#run-editor')"),
    state(
        "run editor, feeder",
        "set('#run-1-line', $('#run-1-line').options[1].value); set('#run-1-length', '12'); set('#run-1-swr', '0.2')",
        "$('#run-wrong')",
    ),
    state("several runs", "press('#run-close'); press('#run-add')", "$('#run-open-2')"),
    state("Plan", "act('run-undo'); act('view', 'plan')", "$('#picture-order')"),
    state("Plan, table", "act('twin', 'order')", "!$('#picture-order')"),
    state("Plan, saving", "act('twin', 'order'); act('open', 'save')", "$('#menu-save')"),
    state("asked to keep", "act('open', 'save'); act('keep', 'ask')", "$('#notice-keep') && !$('#menu-save')"),
    state("Reading", "act('dismiss'); act('view', 'reading')", "$('#role-0')"),
    state(
        "one run, Disc",
        "for (const part of document.querySelectorAll('details')) part.open = true; paste(rows.few)",
        "$('#picture-disc') && !$('#run-open-1')",
    ),
    state("a second file", "paste(rows.few.replaceAll('00:', '01:'))", "$('.arrive')"),
    state("Compare with one run", "press('#second-leave'); act('view', 'compare')", "$('#need-head')"),
    state("partly read", "act('view', 'disc'); paste(rows.damaged)", REPLACED_BY_DAMAGED),
    state("partly read, Reading", "act('view', 'reading')", "$('#save-aside')"),
    state("two small runs", "act('view', 'disc'); paste(rows.little)", REPLACED_BY_LITTLE),
    state("Compare, not enough", "act('view', 'compare')", "$('#picture-intervals')"),
];

/// Whatever was there is replaced, as soon as the page asks.
const REPLACED_BY_DAMAGED: &str = r"($('#second-replace')?.click(), /Set aside\s*2/.test($('#left').textContent))";
const REPLACED_BY_LITTLE: &str = "($('#second-replace')?.click(), $('#run-open-1'))";

const FEW: &str = "\
utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB
2031-10-11 00:00,Q6HUT,IN71,23,Q1ABC,JO22,14.0971,-17
2031-10-11 00:20,Q6HUT,IN71,23,Q2XYZ,FN31,14.0971,-24
2031-10-11 00:40,Q6HUT,IN71,23,Q2XYZ,FN31,14.0971,-22
";
/// The same without the place of the beacon.
const NOWHERE: &str = "\
utc,sent by,power dBm,heard by,at,frequency MHz,SNR dB
2031-10-11 00:00,Q6HUT,23,Q1ABC,JO22,14.0971,-17
2031-10-11 00:20,Q6HUT,23,Q2XYZ,FN31,14.0971,-24
2031-10-11 00:40,Q6HUT,23,Q2XYZ,FN31,14.0971,-22
";

/// Two rows of five that are no spots.
const DAMAGED: &str = "\
utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB
2031-10-11 00:00,Q6HUT,IN71,23,Q1ABC,JO22,14.0971,-17
2031-10-11 25:20,Q6HUT,IN71,23,Q2XYZ,FN31,14.0971,-24
2031-10-11 00:40,Q6HUT,IN71,23,Q2XYZ,FN31,14.0971,-22
2031-10-11 00:50,Q6HUT,IN71,23,,FN31,14.0971,-22
2031-10-11 01:00,Q6HUT,IN71,23,Q1ABC,JO22,14.0971,-19
";
/// Two antennas in turn, told apart by their calls, heard too seldom to tell them apart in strength.
const LITTLE: &str = "\
utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB
2031-10-11 00:00,Q6HUT,IN71,23,Q1ABC,JO22,14.0971,-7
2031-10-11 00:02,Q6HUT/2,IN71,23,Q1ABC,JO22,14.0971,-5
2031-10-11 00:04,Q6HUT,IN71,23,Q1ABC,JO22,14.0971,-9
2031-10-11 00:06,Q6HUT/2,IN71,23,Q1ABC,JO22,14.0971,-4
2031-10-11 00:08,Q6HUT,IN71,23,Q2XYZ,FN31,14.0971,-12
2031-10-11 00:10,Q6HUT/2,IN71,23,Q2XYZ,FN31,14.0971,-13
";

/// The instruments.
const PROBE: &str = include_str!("probe.js");

/// Puts the instruments into the page that is open.
pub(crate) fn equip(browser: &Browser) {
    browser.script(PROBE, Vec::new());
}

/// What an instrument finds: sentences.
pub(crate) fn probe(browser: &Browser, call: &str) -> Vec<String> {
    let found = browser.script(&format!("return probe.{call};"), Vec::new());
    serde_json::from_value(found).unwrap_or_else(|error| panic!("probe.{call}: {error}"))
}

/// Opens the page and goes through its states, calling `look` in each. `before` has the empty page.
pub(crate) fn walk(browser: &Browser, room: Room, before: &str, mut look: impl FnMut(&'static str)) {
    let folder = Scratch::with_unpacked_page();
    browser.open_from_disk(folder.path());
    equip(browser);
    browser.script(before, Vec::new());
    let rows = json!({ "few": FEW, "nowhere": NOWHERE, "damaged": DAMAGED, "little": LITTLE, "letter": "Dear reader,\nthere is nothing in here.\n" });
    let about = "const { press, act, set, key, paste } = probe; const $ = (it) => document.querySelector(it);";
    for state in STATES.iter().filter(|state| state.is_in(room)) {
        let body = format!(
            "{about} const [rows] = arguments; {};
             const until = () => {};
             const late = performance.now() + 12000;
             return (async () => {{
               while (!until()) {{
                 if (performance.now() > late) return false;
                 await new Promise((done) => setTimeout(done, 15));
               }}
               return true;
             }})();",
            state.way, state.until
        );
        let reached = browser.script(&body, vec![rows.clone()]);
        assert_eq!(reached, Value::Bool(true), "'{}' was not reached: {}", state.name, browser.text("body"));
        look(state.name);
    }
}

/// Has the browser wish for something, such as less motion.
pub(crate) fn media(browser: &Browser, feature: &str, value: &str) {
    let wish = json!({ "features": [{ "name": feature, "value": value }] });
    browser.run("setting a wish", browser.driver().cdp().send_raw("Emulation.setEmulatedMedia", wish));
}
