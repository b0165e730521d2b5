//! Steps of the page, taken back and done again: every kind of step, long walks of them, and files read otherwise.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

mod page;

use farheard::draw::svg::SvgSurface;
use farheard::page::{Boot, Event, Gesture, Origin, Patch, Picture, Pointer, Session};

use page::Page;

/// Three bands, five listeners about the tested one, two powers in turn; made up.
fn file() -> String {
    let mut text = String::from("utc,sender,sender locator,power dBm,listener,listener locator,frequency MHz,SNR dB\n");
    let listeners = [
        ("Q1AA", "JO10ej", 40),
        ("Q2BB", "IO82ig", 36),
        ("Q3CC", "KP20bb", 30),
        ("Q4DD", "EM78aa", 24),
        ("Q5EE", "RE78aa", 3),
    ];
    let bands = ["7.040100", "10.140150", "14.097100"];
    for (place, (call, locator, spots)) in listeners.into_iter().enumerate() {
        for spot in 0..spots {
            let frequency = bands[(place + spot) % 3];
            let (hour, minute) = (spot / 2 % 24, spot % 2 * 30 + place * 2);
            let power = if spot % 2 == 0 { 23 } else { 20 };
            let snr = -24 + i64::try_from(spot * 7 % 15).unwrap() - 2 * i64::try_from(place).unwrap();
            let row =
                format!("2031-01-16 {hour:02}:{minute:02},Q7TST,JN99fl,{power},{call},{locator},{frequency},{snr}\n");
            text += &row;
        }
    }
    text + "2031-01-17 01:00,Q7TST,JN99fl,23,Q4DD,EM78aa,14.097100,-12,cut,off\n"
}

/// All that the page shows but for the buttons that undo and redo.
fn shown(page: &Page) -> String {
    let regions: Vec<String> = page.regions.iter().map(|(name, html)| format!("{name}: {html}")).collect();
    let all = regions.join("\n");
    let mut kept = String::new();
    for (at, piece) in all.split("<button").enumerate() {
        if piece.contains("data-act=\"undo-step\"") || piece.contains("data-act=\"redo-step\"") {
            kept += piece.split_once("</button>").unwrap().1;
        } else {
            kept += if at > 0 { "<button" } else { "" };
            kept += piece;
        }
    }
    kept.split(['\n', ' ']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ").replace("> <", "><")
}

/// Fails with the place where two pages begin to differ.
fn expect_same(page: &Page, wanted: &str, what: &str) {
    let found = shown(page);
    if let Some(at) = found.bytes().zip(wanted.bytes()).position(|(a, b)| a != b) {
        let near = |text: &str| {
            String::from_utf8_lossy(&text.as_bytes()[at.saturating_sub(300)..(at + 200).min(text.len())]).into_owned()
        };
        panic!("{what}:\nfound {}\nwanted {}", near(&found), near(wanted));
    }
    assert_eq!(found.len(), wanted.len(), "{what}: one is cut off");
}

/// Number of the step shown and of the first, and how the page came there, if the last event said so.
fn told(page: &Page) -> Option<(usize, usize, &'static str)> {
    page.other.iter().find_map(|patch| match patch {
        Patch::Settings { step, first, way, .. } => Some((*step, *first, *way)),
        _ => None,
    })
}

fn loaded() -> Page {
    let mut page = Page::booted();
    page.give("t.csv", file(), Origin::Person);
    assert!(page.has("left", "Run A") || page.html("left").contains("run-open-1"), "two powers are two runs");
    page
}

/// What a control does and with what.
type Act = (&'static str, &'static str);

/// Acts that lead to how things stand before a step, the step, and what it is called.
const KINDS: &[(&[Act], Act, &str)] = &[
    (&[], ("band", "40m"), "band filter"),
    (&[], ("from", "2031-01-16 06:00"), "time filter"),
    (&[], ("last", "6"), "time filter"),
    (&[], ("min-km", "1000"), "distance filter"),
    (&[], ("sector", "14"), "bearing filter"),
    (&[], ("snr", "-20"), "SNR filter"),
    (&[], ("listener", "Q1AA"), "listener filter"),
    (&[("band", "40m"), ("snr", "-20")], ("clear", "all"), "filters"),
    (&[("band", "40m")], ("clear", "band"), "band filter"),
    (&[], ("only", "Q2BB"), "listener filter"),
    (&[], ("view", "spots"), "change of view"),
    (&[], ("view", "compare"), "change of view"),
    (&[], ("view", "plan"), "change of view"),
    (&[], ("view", "sky"), "change of view"),
    (&[], ("view", "health"), "change of view"),
    (&[], ("view", "reading"), "change of view"),
    (&[], ("pin", "Q3CC"), "pin"),
    (&[("pin", "Q3CC")], ("unpin", ""), "taking a pin away"),
    (&[("pin", "Q3CC")], ("escape", ""), "taking a pin away"),
    (&[], ("extent", "near"), "reach shown"),
    (&[("view", "compare")], ("run-exchange", ""), "choice of A and B"),
    (&[("view", "compare")], ("run-remove", "1"), "run removed"),
    (&[], ("run-add", ""), "run added"),
    (&[], ("run-single", ""), "change of runs"),
    (&[], ("run-set", "0:name:Loop"), "change of runs"),
    (&[("view", "compare")], ("run-set", "0:power:1 W"), "change of runs"),
    (&[("view", "compare")], ("run-set", "1:loss:1.5"), "change of runs"),
    (&[], ("run-set", "1:minutes:0,30"), "change of runs"),
    (&[("from", "2031-01-16 06:00")], ("run-span", "0"), "change of runs"),
    (&[("view", "compare")], ("run-mark-only", ""), "change of runs"),
    (&[("view", "compare")], ("run-small", "2"), "assumption"),
    (&[("view", "compare")], ("run-days", "2,5"), "assumption"),
    (&[("view", "compare")], ("run-control", "Q1AA"), "choice of control"),
    (&[], ("station", "hears:Q1AA"), "choice of station"),
    (&[], ("home", "JO20ab"), "place of the antenna"),
    (&[("view", "reading")], ("wish-power", "mW"), "correction of the reading"),
    (&[("view", "reading")], ("wish-zone", "60"), "correction of the reading"),
    (&[("view", "reading")], ("role", "7:ignore"), "correction of the reading"),
    (&[("view", "reading"), ("pin", "Q3CC")], ("use-aside", "too-many-columns"), "correction of the reading"),
];

#[test]
fn every_kind_of_step_is_taken_back_and_done_again() {
    for &(before, (act, value), word) in KINDS {
        let mut page = loaded();
        for (act, value) in before {
            page.act(act, value);
        }
        let start = shown(&page);
        page.act(act, value);
        let (number, first, way) = told(&page).unwrap_or_else(|| panic!("{act} {value} is no step"));
        assert_eq!((number, first, way), (before.len() + 1, 0, "new"), "{act} {value}");
        // what is open is no step
        page.act("run-close", "");
        let end = shown(&page);
        // few listeners have one extent of the Disc, runs in turn need no allowance, and no other station sends
        assert!(start != end || ["extent", "run-days", "run-control"].contains(&act), "{act} {value} shows nothing");
        page.act("undo-step", "");
        assert!(page.said.iter().any(|said| said.starts_with(&format!("Undone: {word}."))), "{act}: {:?}", page.said);
        assert_eq!(told(&page), Some((before.len(), 0, "moved")), "{act} {value}");
        expect_same(&page, &start, &format!("{act} {value} is not taken back"));
        page.act("redo-step", "");
        assert!(page.said.iter().any(|said| said.starts_with(&format!("Redone: {word}."))), "{act}: {:?}", page.said);
        expect_same(&page, &end, &format!("{act} {value} is not done again"));
        // and as the browser's history has it
        page.tell(Event::Step { to: before.len() });
        assert_eq!(told(&page), Some((before.len(), 0, "here")), "{act} {value}");
        expect_same(&page, &start, &format!("{act} {value}: Back"));
        page.tell(Event::Step { to: before.len() + 1 });
        expect_same(&page, &end, &format!("{act} {value}: Forward"));
    }
}

/// Numbers that look random and are the same every time (Numerical Recipes' constants for a generator of this kind,
/// from memory).
struct Dice(u32);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        usize::try_from(self.0 >> 8).unwrap() % n
    }
}

#[test]
fn walks_of_many_steps_lead_back_and_on_again() {
    let walks: &[Act] = &[
        ("band", "40m"),
        ("band", "30m"),
        ("band", "20m"),
        ("from", "2031-01-16 04:00"),
        ("to", "2031-01-16 15:00"),
        ("sector", "14"),
        ("sector", "2"),
        ("max-snr", "-12"),
        ("listener", "Q2BB"),
        ("clear", "all"),
        ("clear", "time"),
        ("view", "disc"),
        ("view", "spots"),
        ("view", "compare"),
        ("view", "plan"),
        ("view", "sky"),
        ("view", "reading"),
        ("pin", "Q1AA"),
        ("pin", "Q4DD"),
        ("run-add", ""),
        ("run-remove", "0"),
        ("run-remove", "1"),
        ("run-exchange", ""),
        ("run-undo", ""),
        ("run-set", "0:name:Beam"),
        ("run-set", "0:loss:2"),
        ("run-set", "1:reported:20"),
        ("run-days-each", ""),
        ("run-single", ""),
        ("run-small", "3"),
        ("run-control", "Q2BB"),
        ("extent", "near"),
        ("wish-zone", "120"),
        ("wish-zone", "0"),
        ("role", "7:ignore"),
        ("undo", ""),
        ("home", "JO20ab"),
        ("station", "hears:Q1AA"),
        ("station", "sends:Q7TST"),
    ];
    for seed in 0..6 {
        let mut dice = Dice(seed);
        let mut page = loaded();
        // how things looked at each step, and the one that is shown
        let mut looks = vec![shown(&page)];
        let mut at = 0;
        for _ in 0..60 {
            let (act, value) = match dice.below(6) {
                0 => ("undo-step", ""),
                1 => ("redo-step", ""),
                _ => walks[dice.below(walks.len())],
            };
            page.act(act, value);
            let told = told(&page);
            page.act("run-close", "");
            if let Some((number, first, way)) = told {
                assert_eq!(first, 0);
                at = number;
                if way == "new" {
                    looks.truncate(at);
                    looks.push(String::new());
                    looks[at] = shown(&page);
                }
            }
            expect_same(&page, &looks[at], &format!("walk {seed}: {act} {value}"));
        }
        let end = at;
        for at in (0..end).rev() {
            page.act("undo-step", "");
            expect_same(&page, &looks[at], &format!("walk {seed}, back at {at}"));
        }
        page.act("undo-step", "");
        assert_eq!(page.said.last().unwrap(), "Nothing to undo.");
        for (at, look) in looks.iter().enumerate().skip(1) {
            page.act("redo-step", "");
            expect_same(&page, look, &format!("walk {seed}, on again at {at}"));
        }
        page.act("redo-step", "");
        assert_eq!(page.said.last().unwrap(), "Nothing to redo.");
        // several at once, as a long press on Back does
        page.tell(Event::Step { to: 0 });
        expect_same(&page, &looks[0], &format!("walk {seed}, all at once"));
    }
}

#[test]
fn while_a_handle_is_dragged_what_is_watched_follows_and_the_rest_when_it_rests() {
    let (mut page, mut other) = (loaded(), loaded());
    let start = shown(&page);
    let passing = |page: &mut Page, minutes: &str| {
        let (act, value) = ("from-min".to_owned(), minutes.to_owned());
        page.tell(Event::Act { act, value, shift: false, passing: true });
    };
    for minutes in ["60", "120", "240"] {
        let (before, said) = (page.regions.clone(), page.said.len());
        passing(&mut page, minutes);
        let changed: Vec<_> = page.regions.iter().filter(|(name, html)| before.get(*name) != Some(html)).collect();
        let names: Vec<_> = changed.iter().map(|(name, _)| **name).collect();
        assert_eq!(names, ["filters", "time"]);
        assert!(page.html("time").contains(&format!("aria-valuenow=\"{minutes}\"")), "{}", page.html("time"));
        assert_eq!((page.said.len(), told(&page)), (said, None), "nothing is read out, the address rests");
    }
    page.tell(Event::Settled);
    other.act("from-min", "240");
    let own_parts = |page: &mut Page| {
        // they are parts of the middle and of the column on the right
        page.regions.remove("filters");
        page.regions.remove("time");
    };
    own_parts(&mut page);
    expect_same(&page, &shown(&other), "when the hand rests");
    assert_eq!((told(&page), page.said.last()), (told(&other), other.said.last()));
    // to and fro: what was sent by itself before is sent again
    page.act("clear", "all");
    passing(&mut page, "240");
    assert!(page.html("time").contains("aria-valuenow=\"240\""));
    page.tell(Event::Settled);
    own_parts(&mut page);
    expect_same(&page, &shown(&other), "a second time");
    page.act("undo-step", "");
    page.act("undo-step", "");
    page.act("undo-step", "");
    expect_same(&page, &start, "undone");
}

#[test]
fn a_band_that_is_chosen_shows_on_the_disc_at_once_and_in_the_rest_a_moment_later() {
    let (mut page, mut other) = (loaded(), loaded());
    let start = shown(&page);
    for band in ["20m", "40m"] {
        let (before, said) = (page.regions.clone(), page.said.len());
        page.tell(Event::Act { act: "band".to_owned(), value: band.to_owned(), shift: false, passing: true });
        let changed = page.regions.iter().filter(|(name, html)| before.get(*name) != Some(html));
        assert_eq!(changed.map(|(name, _)| *name).collect::<Vec<_>>(), ["middle", "time"]);
        let without = format!("data-act=\"band\" data-value=\"{band}\" aria-pressed=\"false\"");
        assert!(page.html("middle").contains(&without), "{}", page.html("middle"));
        assert_eq!((page.said.len(), told(&page)), (said, None), "nothing is read out, the address rests");
        page.tell(Event::Settled);
        page.regions.remove("time");
        other.act("band", band);
        expect_same(&page, &shown(&other), band);
        assert_eq!((told(&page), page.said.last()), (told(&other), other.said.last()));
    }
    page.act("undo-step", "");
    page.act("undo-step", "");
    expect_same(&page, &start, "undone");
}

#[test]
fn while_the_disc_is_zoomed_only_the_picture_follows_and_the_rest_when_the_hand_rests() {
    let (mut page, mut other) = (loaded(), loaded());
    let room = Event::Size { picture: Picture::Disc, width: 600.0, height: 600.0, ratio: 1.0 };
    let zoomed = |by: f64, passing: bool| {
        let gesture = Gesture::Zoom;
        let (picture, touch) = (Picture::Disc, false);
        Event::Pointer(Pointer { picture, gesture, x: 350.0, y: 250.0, dx: 0.0, dy: 0.0, by, touch, passing })
    };
    // what of the page is sent, and which pictures are drawn
    let told = |page: &mut Page, event: Event| {
        let before = page.regions.clone();
        page.tell(event);
        let drawn: Vec<Picture> = page.session.take_pictures().into_iter().map(|(picture, _)| picture).collect();
        for &picture in &drawn {
            page.session.draw(picture, &mut SvgSurface::new());
        }
        page.take(Session::after_drawing);
        (page.regions.iter().filter(|(name, html)| before.get(*name) != Some(html)).count(), drawn)
    };
    for page in [&mut page, &mut other] {
        told(page, room.clone());
    }
    for _ in 0..3 {
        assert_eq!(told(&mut page, zoomed(1.2, true)), (0, vec![Picture::Disc]));
    }
    assert!(!page.html("middle").contains("zoom-reset"));
    let (changed, drawn) = told(&mut page, Event::Settled);
    assert!(changed > 0 && drawn.contains(&Picture::Disc), "it is drawn as finely as it can be");
    assert!(page.html("middle").contains("zoom-reset"));
    for _ in 0..3 {
        told(&mut other, zoomed(1.2, false));
    }
    expect_same(&page, &shown(&other), "zoomed");
    assert!(page.said.iter().all(|said| !said.contains(" of ")), "no count is read out: {:?}", page.said);
}

#[test]
fn what_goes_on_while_a_hand_moves_is_one_step() {
    let mut page = loaded();
    let start = shown(&page);
    for minutes in ["30", "60", "90", "120"] {
        page.act("from-min", minutes);
    }
    page.act("to-min", "600");
    page.act("to-min", "540");
    assert_eq!(told(&page).unwrap().0, 2, "one for each handle");
    // held without being moved, a handle goes on with nothing
    page.act("band", "40m");
    page.act("to-min", "540");
    page.act("to-min", "480");
    assert_eq!(told(&page).unwrap().0, 4, "the band has a step of its own");
    page.act("undo-step", "");
    page.act("undo-step", "");
    // typing in the search of a menu leaves nothing out
    page.act("open", "listener");
    page.act("search", "Q");
    page.act("search", "Q1");
    page.act("close", "");
    page.act("undo-step", "");
    page.act("undo-step", "");
    expect_same(&page, &start, "afterwards");
    // what moves by itself is one step once it stands still, and the address rests meanwhile
    page.act("play", "start");
    for _ in 0..5 {
        page.act("play", "tick");
        assert_eq!(told(&page), None);
    }
    page.act("play", "stop");
    assert_eq!(told(&page).unwrap(), (1, 0, "new"));
    page.act("play", "start");
    page.act("play", "tick");
    page.act("band", "40m");
    assert_eq!(told(&page).unwrap().0, 3, "the time, then the band");
    page.act("undo-step", "");
    assert!(page.said.iter().any(|said| said.starts_with("Undone: band filter.")));
    page.act("undo-step", "");
    page.act("undo-step", "");
    expect_same(&page, &start, "afterwards");
    // pointing and walking leave no steps; pinning does
    let pointer = |gesture| {
        Event::Pointer(Pointer {
            picture: Picture::Disc,
            gesture,
            x: 1.0,
            y: 1.0,
            dx: 3.0,
            dy: 3.0,
            by: 1.5,
            touch: false,
            passing: false,
        })
    };
    for gesture in [Gesture::Over, Gesture::Drag, Gesture::Zoom, Gesture::Leave] {
        page.tell(pointer(gesture));
        assert!(told(&page).is_none_or(|(number, ..)| number == 0));
    }
}

#[test]
fn so_many_steps_are_kept_and_no_more() {
    let mut page = loaded();
    for _ in 0..70 {
        page.act("pin", "Q1AA");
        page.act("pin", "Q2BB");
    }
    assert_eq!(told(&page), Some((140, 40, "new")));
    page.tell(Event::Step { to: 3 });
    assert_eq!(told(&page), Some((40, 40, "here")), "what is forgotten leads to the first that is not");
    page.act("undo-step", "");
    assert_eq!(page.said.last().unwrap(), "Nothing to undo.");
}

#[test]
fn other_files_begin_a_new_history_and_nothing_loaded_is_lost() {
    let mut page = loaded();
    page.act("band", "40m");
    page.act("pin", "Q1AA");
    page.give("u.csv", file().replace("2031-01-16", "2031-02-20"), Origin::Person);
    assert!(page.has("notice", "u.csv"));
    page.act("undo-step", "");
    page.act("redo-step", "");
    page.act("second", "add");
    assert_eq!(told(&page), Some((3, 3, "moved")), "numbers are counted on");
    let added = shown(&page);
    page.act("undo-step", "");
    page.tell(Event::Step { to: 1 });
    expect_same(&page, &added, "afterwards");
    assert_eq!(told(&page), Some((3, 3, "here")));
}

#[test]
fn files_that_come_while_a_question_waits_are_asked_about_with_the_others() {
    let mut page = loaded();
    page.give("u.csv", file().replace("2031-01-16", "2031-02-20"), Origin::Person);
    page.give("v.csv", file().replace("2031-01-16", "2031-03-20"), Origin::Person);
    assert!(page.has("notice", "2\u{a0}files"), "{}", page.words("notice"));
    let before = page.words("left");
    page.act("second", "add");
    let after = page.words("left");
    assert!(after.contains("u.csv") && after.contains("v.csv"), "{before} then {after}");
}

#[test]
fn while_files_are_read_steps_that_need_them_wait() {
    let mut page = Page::with(Boot { stepwise: true, ..Boot::default() });
    page.give("t.csv", file(), Origin::Person);
    page.finish(1000);
    page.act("view", "reading");
    let before = shown(&page);
    page.act("wish-zone", "60");
    page.finish(1000);
    let after = shown(&page);
    assert_ne!(before, after);
    page.act("undo-step", "");
    assert!(page.progress().is_some(), "the file is read again");
    page.act("undo-step", "");
    assert!(page.said.last().unwrap().starts_with("Wait"), "{:?}", page.said);
    page.step(1000);
    page.finish(1000);
    expect_same(&page, &before, "read again, and as it was");
}

#[test]
fn a_button_that_goes_hands_the_focus_on() {
    let focus = |page: &Page| {
        page.other.iter().find_map(|patch| match patch {
            Patch::Focus { id } => Some(id.clone()),
            _ => None,
        })
    };
    let mut page = loaded();
    page.act("band", "40m");
    page.act("snr", "-20");
    assert!(page.html("bar").contains("aria-label=\"Undo: SNR filter\""));
    page.act("undo-step", "bar-");
    assert_eq!(focus(&page).unwrap(), "bar-undo-step");
    page.act("undo-step", "bar-");
    assert_eq!(focus(&page).unwrap(), "bar-redo-step");
    assert!(page.html("bar").contains("aria-label=\"Redo: band filter\""));
    page.act("redo-step", "bar-");
    assert_eq!(focus(&page).unwrap(), "bar-redo-step");
    page.act("redo-step", "bar-");
    assert_eq!(focus(&page).unwrap(), "bar-undo-step");
}
