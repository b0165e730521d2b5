//! The page's session without a browser: events in, markup out.
//!
//! Numbers in the markup are held against the same study, called directly on the same rows.

mod page;

use std::collections::BTreeSet;

use farheard::draw::svg::SvgSurface;
use farheard::import::{self, Wishes};
use farheard::model::{Band, SpotTable, TableBuilder};
use farheard::page::{Boot, Event, Gesture, Incoming, Origin, Patch, Picture, Pointer, Surroundings};
use farheard::study::{Filter, Subject, Tally, bands, reach, tested};
use farheard::words::Length;
use farheard::words::number::{count, counted};

use page::Page;

/// Gives every picture a room and draws it.
fn draw(page: &mut Page) {
    for picture in Picture::ALL {
        page.tell(Event::Size { picture, width: 700.0, height: 650.0, ratio: 1.0 });
    }
    for (picture, _) in page.session.take_pictures() {
        let mut surface = SvgSurface::new();
        page.session.draw(picture, &mut surface);
    }
    page.session.after_drawing();
}

/// Three bands, four listeners about the tested one, one of them far; levels and times known by construction.
fn file() -> String {
    let mut text = String::from("utc,sender,sender locator,power dBm,listener,listener locator,frequency MHz,SNR dB\n");
    let listeners = [("Q1AA", "JO10ej", 12), ("Q2BB", "IO82ig", 9), ("Q3CC", "KP20bb", 6), ("Q4DD", "EM78aa", 3)];
    let bands = ["7.040100", "10.140150", "14.097100"];
    for (place, (call, locator, spots)) in listeners.into_iter().enumerate() {
        for spot in 0..spots {
            let frequency = bands[(place + spot) % 3];
            let (hour, minute) = (spot * 2 % 24, place * 10);
            let snr = 3.0f64.mul_add(spot as f64, -28.0) - 2.0 * place as f64;
            let row = format!("2031-01-16 {hour:02}:{minute:02},Q7TST,JN99fl,23,{call},{locator},{frequency},{snr}\n");
            text += &row;
        }
    }
    text
}

fn table_of(text: &str) -> SpotTable {
    let mut builder = TableBuilder::new();
    import::read("t.csv", text.as_bytes(), &Wishes::default(), &mut builder);
    builder.freeze()
}

#[test]
fn the_empty_page_is_the_one_that_the_file_opens_with() {
    let page = Page::booted();
    let squeeze = |text: &str| text.split_whitespace().collect::<String>();
    let index = include_str!("../../web/index.html");
    assert!(squeeze(index).contains(&squeeze(page.html("middle"))), "web/index.html and views/empty.html differ");
    for way in ["Drop", "Choose files", "Paste", "Try the sample", "Nothing is sent"] {
        assert!(page.has("middle", way), "{way}");
    }
    assert!(page.html("answer").is_empty() && page.html("right").is_empty());
}

#[test]
fn a_file_is_answered_with_the_figures_of_the_study() {
    let mut page = Page::booted();
    let text = file();
    page.give("t.csv", &text, Origin::Person);
    let table = table_of(&text);
    let guess = tested::guess(&table, None).unwrap();
    let subject = Subject::new(&table, &[guess.tested.call], guess.tested.side, None);
    let tally = Tally::of(&subject, subject.rows());
    assert!(tally.spots == 30 && tally.far.len() == 4, "the file is made so");
    assert!(
        page.has("answer", &format!("{} from {}", counted(30, "spot", "spots"), counted(4, "listener", "listeners")))
    );
    let farthest = reach(&subject, &tally).farthest.unwrap();
    assert!(page.has("answer", &Length::Km.text(farthest.km)));
    assert!(page.has("middle", &format!("{} of {}", count(30), counted(30, "spot", "spots"))));
    for band in bands(&subject, &tally) {
        let row = format!(
            "{} {} {} {} {}",
            band.band.label(),
            count(band.spots),
            count(band.listeners),
            Length::Km.figure(band.median_km.unwrap()),
            Length::Km.figure(band.farthest.unwrap().km)
        );
        assert!(page.has("right", &row), "{row} in {}", page.words("right"));
    }
    assert!(page.said.last().unwrap().starts_with("Q7TST: 30"));
    assert!(page.has("left", "200\u{a0}mW from JN99fl"));
    assert!(page.has("left", "Rows read 30"));
}

#[test]
fn every_filter_leaves_what_the_study_leaves() {
    let text = file();
    let table = table_of(&text);
    let guess = tested::guess(&table, None).unwrap();
    let subject = Subject::new(&table, &[guess.tested.call], guess.tested.side, None);
    let band = |name| Band::from_name(name).unwrap();
    let call = |name| table.stations().find_call(name).unwrap();
    let time = |text| farheard::time::UtcTime::parse_iso(text);
    let cases: [(&[(&str, &str)], Filter); 8] = [
        (
            &[("open", "band"), ("band", "40m"), ("band", "20m")],
            Filter { bands: Some([band("40m"), band("20m")].into()), ..Filter::default() },
        ),
        // in the legend all are on, so the first press takes one away
        (&[("band", "30m")], Filter { bands: Some([band("40m"), band("20m")].into()), ..Filter::default() }),
        (&[("snr", "-20")], Filter { min_snr_db: Some(-20.0), ..Filter::default() }),
        (&[("max-snr", "\u{2212}21,5")], Filter { max_snr_db: Some(-21.5), ..Filter::default() }),
        (
            &[("min-km", "1000"), ("max-km", "2 000")],
            Filter { min_km: Some(1000.0), max_km: Some(2000.0), ..Filter::default() },
        ),
        (&[("sector", "14")], Filter { bearing: Some((303.75, 326.25)), ..Filter::default() }),
        (
            &[("listener", "Q1AA"), ("listener", "Q3CC")],
            Filter { listeners: Some([call("Q1AA"), call("Q3CC")].into()), ..Filter::default() },
        ),
        // the last minute that is shown is in
        (
            &[("from", "2031-01-16 04:00"), ("to", "2031-01-16 08:10")],
            Filter { from: time("2031-01-16T04:00"), to: time("2031-01-16T08:11"), ..Filter::default() },
        ),
    ];
    for (acts, filter) in cases {
        let mut page = Page::booted();
        page.give("t.csv", &text, Origin::Person);
        for (act, value) in acts {
            page.act(act, value);
        }
        let left = filter.rows(&subject).count();
        assert!(left < 30, "{acts:?} filters nothing");
        let words = format!("{} of 30\u{a0}spots", count(left));
        assert!(page.has("middle", &words), "{acts:?}: {words} in {}", page.words("middle"));
        page.act("view", "spots");
        assert_eq!(page.html("middle").matches("<tr").count(), left + 1, "{acts:?}: rows of the table");
        page.act("clear", "all");
        assert!(page.has("middle", "30 of 30\u{a0}spots"));
    }
}

#[test]
fn nothing_left_says_why_and_what_would_bring_spots_back() {
    let text = file();
    let table = table_of(&text);
    let guess = tested::guess(&table, None).unwrap();
    let subject = Subject::new(&table, &[guess.tested.call], guess.tested.side, None);
    let mut page = Page::booted();
    page.give("t.csv", &text, Origin::Person);
    page.act("open", "band");
    page.act("band", "40m");
    page.act("min-snr", "30");
    let without_level = Filter { bands: Some([Band::from_name("40m").unwrap()].into()), ..Filter::default() };
    let back = without_level.rows(&subject).count();
    assert!(page.has("middle", "40\u{a0}m has no spot of 30\u{a0}dB or more."));
    assert!(page.has("middle", &format!("Clear the SNR filter, {back}\u{a0}spots")));
    assert!(!page.has("middle", "Clear the band filter"), "no spot of any band has that level");
    assert!(page.has("answer", "none of its 30\u{a0}spots passes"));
    page.act("clear", "level");
    assert!(page.has("middle", &format!("{back} of 30\u{a0}spots")));
}

#[test]
fn what_a_file_holds_never_becomes_markup() {
    let evil = "\"><img src=x onerror=alert(1)>";
    let quoted = format!("\"{}\"", evil.replace('"', "\"\""));
    let mut text = format!("utc,sender,sender locator,listener,listener locator,MHz,snr,{quoted}\n");
    for minute in 0..20 {
        let call = if minute % 5 == 4 { quoted.as_str() } else { "Q1AA" };
        let row = format!("2031-01-16 00:{:02},Q7TST,JN99,{call},JO10,14.0971,-20,{quoted}\n", minute * 2);
        text += &row;
    }
    let mut page = Page::booted();
    page.give(&format!("{evil}.csv"), &text, Origin::Person);
    page.act("pin", "Q1AA");
    for (act, value) in [
        ("view", "reading"),
        ("open", "station"),
        ("view", "spots"),
        ("open", "listener"),
        ("search", evil),
        ("view", "disc"),
        ("home", evil),
        ("from", evil),
        ("open", "station"),
    ] {
        page.act(act, value);
        for (region, html) in &page.regions {
            assert!(!html.contains("<img"), "{region} after {act}: {html}");
            assert!(!html.contains(evil), "{region} after {act} lets a quote through: {html}");
        }
    }
    page.act("view", "reading");
    assert!(page.html("middle").contains("&#60;img"), "the file's own words are shown, as words");
    page.give("other.csv", text.replace("Q7TST", "Q8TST"), Origin::Person);
    page.give(&format!("{evil}.html"), "<!doctype html><p>no table</p>", Origin::Person);
    assert!(page.regions.values().all(|html| !html.contains("<img") && !html.contains("<p>no table")));
    for (region, html) in &page.regions {
        assert!(!html.contains(" style="), "{region} has a style attribute, which the policy switches off");
        assert!(!html.contains(" onclick="), "{region} has a handler, which the policy switches off");
    }
}

#[test]
fn a_second_file_waits_for_a_decision() {
    let (first, second) = (file(), file().replace("2031-01-16", "2031-01-17"));
    let mut page = Page::booted();
    page.give("first.csv", &first, Origin::Person);
    page.give("second.csv", &second, Origin::Person);
    assert!(page.has("notice", "second.csv") && page.has("notice", "Add to Q7TST"));
    assert!(page.has("notice", "One run of 60\u{a0}spots over 46\u{a0}hours; none of its rows is here already."));
    assert!(page.has("answer", "30\u{a0}spots"), "nothing changes before the decision");
    page.act("second", "leave");
    assert!(page.html("notice").trim().is_empty() && page.has("answer", "30\u{a0}spots"));

    page.give("second.csv", &second, Origin::Person);
    page.act("second", "add");
    assert!(page.has("answer", "60\u{a0}spots"));
    page.give("first.csv", &first, Origin::Person);
    assert!(page.has("notice", "30 of its rows are here already and count once"));
    page.act("second", "add");
    assert!(page.has("answer", "60\u{a0}spots") && page.has("left", "Repeated 30") && page.has("left", "Rows read 90"));
    assert_eq!(
        page.other.iter().find_map(|patch| if let Patch::Work { files, .. } = patch {
            Some(files.clone())
        } else {
            None
        }),
        Some(vec![0, 2, 3])
    );
    page.give("second.csv", &second, Origin::Person);
    page.tell(Event::Key { picture: Picture::Disc, key: "Escape".to_owned() });
    assert!(page.html("notice").trim().is_empty(), "Esc leaves it out");
    page.give("third.csv", first.replace("Q7TST", "Q9NEW"), Origin::Person);
    page.act("second", "replace");
    assert!(page.has("answer", "Q9NEW : 30\u{a0}spots"));
}

#[test]
fn the_sample_is_marked_and_makes_room() {
    let mut page = Page::booted();
    page.give("sample.csv", file(), Origin::Sample);
    assert!(page.has("answer", "SAMPLE, made up"));
    page.give("mine.csv", file(), Origin::Person);
    assert!(!page.html("answer").contains("SAMPLE") && page.html("notice").trim().is_empty());
    assert!(page.has("left", "mine.csv") && !page.has("left", "sample.csv"), "never mixed");
    page.give("sample.csv", file(), Origin::Sample);
    assert!(page.has("notice", "Show the sample") && !page.has("notice", "Add to"));
}

#[test]
fn what_cannot_be_read_leaves_everything_as_it_was() {
    let mut page = Page::booted();
    page.give("results.csv", "<!doctype html><html><body>sign in</body></html>", Origin::Person);
    assert!(page.has("notice", "results.csv was not read.") && page.has("middle", "Choose files"));
    page.give("t.csv", file(), Origin::Person);
    assert!(page.html("notice").trim().is_empty(), "reading something good clears it away");
    page.give("empty.csv", "", Origin::Person);
    assert!(page.has("notice", "empty.csv was not read.") && page.has("answer", "30\u{a0}spots"));
    page.act("dismiss", "");
    assert!(page.html("notice").trim().is_empty());
}

/// Rows of three senders in turn, more than the beginning that is looked at.
fn archive() -> Vec<u8> {
    let mut text = "time,sender,sender locator,listener,listener locator,MHz,SNR\n".to_owned();
    for row in 0..60_000 {
        let (day, hour, minute) = (row / 3600 + 1, row / 150 % 24, row / 5 % 30 * 2);
        let sender = ["Q7TST", "Q9ZZ", "Q4MIL"][row % 3];
        let row = format!(
            "2031-01-{day:02} {hour:02}:{minute:02},{sender},JN99fl,Q{}AA,JO10,14.0971,-{}\n",
            row % 10,
            row % 25
        );
        text += &row;
    }
    text.into_bytes()
}

#[test]
fn an_archive_is_cut_down_to_what_is_asked_for() {
    let bytes = archive();
    let mut page = Page::booted();
    let mut incoming = Incoming::begin("network.csv", 6_200_000_000);
    let (beginning, rest) = bytes.split_at(2_200_000);
    page.take(|session| incoming.chunk(beginning, session));
    assert!(page.has("notice", "network.csv is 6.2\u{a0}GB") && page.has("notice", "Keep"), "{}", page.html("notice"));
    assert!(page.other.iter().any(|patch| matches!(patch, Patch::Archive { step: "asks" })));
    assert!(page.html("middle").contains("<canvas"), "the beginning is shown meanwhile: {}", page.html("answer"));
    page.act("archive", "everything");
    assert!(page.has("notice", "is no call, band or time"));
    page.act("archive", "q7tst from 2031-01-03");
    assert!(page.other.iter().any(|patch| matches!(patch, Patch::Archive { step: "goes-on" })));
    for piece in rest.chunks(100_000) {
        page.take(|session| incoming.chunk(piece, session));
    }
    let mut number = None;
    page.take(|session| {
        let (of_file, patches) = incoming.end(session);
        number = of_file;
        patches
    });
    assert_eq!(number, Some(0));
    page.tell(Event::FilesDone { origin: Origin::Person, work: String::new() });
    assert!(page.has("notice", "Of the 60\u{202f}001 lines of network.csv,"), "{}", page.html("notice"));
    let right = bytes.split(|&byte| byte == b'\n').filter(|line| {
        let line = String::from_utf8_lossy(line);
        line.contains("Q7TST") && line.get(..10).is_some_and(|day| day >= "2031-01-03")
    });
    let mut whole = TableBuilder::new();
    let lines: Vec<u8> = std::iter::once(&b"time,sender,sender locator,listener,listener locator,MHz,SNR"[..])
        .chain(right)
        .flat_map(|line| [line, b"\n"].concat())
        .collect();
    import::read("right.csv", &lines, &Wishes::default(), &mut whole);
    let spots = count(whole.len());
    assert!(page.has("answer", &format!("{spots}\u{a0}spots")), "{spots}: {}", page.html("answer"));
    assert!(whole.len() > 1000 && !page.html("answer").contains("Q9ZZ"));
}

#[test]
fn an_archive_that_is_none_is_refused_and_cancel_forgets_the_question() {
    let mut page = Page::booted();
    let mut incoming = Incoming::begin("network.zip", 6_200_000_000);
    page.take(|session| incoming.chunk(&[b"PK\x03\x04"[..].to_vec(), vec![7; 3 << 20]].concat(), session));
    assert!(page.has("notice", "network.zip was not read.") && page.has("notice", "Unpack it"));
    assert!(page.other.iter().any(|patch| matches!(patch, Patch::Archive { step: "ends" })));
    assert_eq!(incoming.end(&mut page.session).0, None);
    page.act("dismiss", "");
    let mut incoming = Incoming::begin("network.csv", 6_200_000_000);
    page.take(|session| incoming.chunk(&archive(), session));
    assert!(page.has("notice", "Keep"));
    page.tell(Event::Cancelled);
    assert!(page.html("notice").trim().is_empty() && page.has("middle", "Choose files"), "{}", page.html("notice"));
    page.act("archive", "q7tst");
    assert!(page.other.is_empty(), "nobody asks any more");
    let mut incoming = Incoming::begin("network.csv", 6_200_000_000);
    page.take(|session| incoming.chunk(&archive(), session));
    page.act("dismiss", "");
    assert!(page.other.iter().any(|patch| matches!(patch, Patch::Archive { step: "ends" })), "closed is given up");
    assert!(page.html("notice").trim().is_empty() && page.has("middle", "Choose files"));
}

#[test]
fn without_a_place_there_is_one_question_and_the_rest_shows() {
    let text = file().replace(",JN99fl,", ",,");
    let mut page = Page::booted();
    page.give("t.csv", &text, Origin::Person);
    assert!(page.has("middle", "Where did the beacon stand?") && !page.html("middle").contains("<canvas"));
    assert!(page.has("right", "Hours") && page.has("right", "40\u{a0}m") && page.has("answer", "30\u{a0}spots"));
    page.act("home", "somewhere");
    assert!(page.has("middle", "An example is JO20ab."));
    page.act("home", "JN");
    assert!(page.has("middle", "4 characters or more"));
    page.act("home", " jn99FL ");
    assert!(page.html("middle").contains("data-picture=\"disc\"") && page.has("left", "from JN99fl"));
    assert!(page.has("answer", "km at"));
}

#[test]
fn keys_walk_listeners_pin_them_and_say_them() {
    let mut page = Page::booted();
    page.give("t.csv", file(), Origin::Person);
    draw(&mut page);
    let key = |key: &str| Event::Key { picture: Picture::Disc, key: key.to_owned() };
    page.tell(key("End"));
    assert!(page.said.last().unwrap().starts_with("Q4DD, "), "{:?}", page.said);
    assert!(page.has("middle", "Listener Q4DD , EM78aa"));
    page.tell(key("Enter"));
    assert!(page.has("middle", "Pinned Q4DD"));
    page.tell(key("Home"));
    assert!(page.said.last().unwrap().starts_with("Q1AA, ") || page.said.last().unwrap().starts_with("Q3CC, "));
    page.tell(key("Escape"));
    assert!(page.has("middle", "Pinned Q4DD"), "the first Esc lets the walk go, not the pin");
    page.tell(key("Escape"));
    assert!(!page.html("middle").contains("id=\"card\""));
    page.act("pin", "Q2BB");
    page.act("view", "spots");
    assert_eq!(page.html("middle").matches("class=\"marked\"").count(), 9, "its spots are marked in the table");

    let bars = |key: &str| Event::Key { picture: Picture::Bearings, key: key.to_owned() };
    page.act("view", "disc");
    draw(&mut page);
    page.tell(bars("Home"));
    assert!(page.said.last().unwrap().starts_with("north"), "{:?}", page.said.last());
    page.tell(bars("Enter"));
    assert!(page.has("middle", "349 to 11\u{a0}degrees") || page.has("middle", "to 11\u{a0}degrees"));
}

#[test]
fn a_press_on_a_mark_pins_it() {
    let mut page = Page::booted();
    page.give("t.csv", file(), Origin::Person);
    draw(&mut page);
    // the far listener stands alone: find it by walking the picture with the pointer
    let mut found = None;
    'rows: for y in (0..650).step_by(3) {
        for x in (0..700).step_by(3) {
            let (x, y) = (f64::from(x), f64::from(y));
            let over = pointer(Gesture::Over, x, y);
            page.tell(Event::Pointer(over));
            if page.has("middle", "Q4DD") {
                found = Some((x, y));
                break 'rows;
            }
        }
    }
    let (x, y) = found.expect("its mark is somewhere");
    page.tell(Event::Pointer(pointer(Gesture::Press, x, y)));
    assert!(page.has("middle", "Pinned Q4DD"));
    page.tell(Event::Pointer(pointer(Gesture::Press, x, y)));
    assert!(!page.html("middle").contains("id=\"card\""), "a second press lets it go");
}

fn pointer(gesture: Gesture, x: f64, y: f64) -> Pointer {
    Pointer { picture: Picture::Disc, gesture, x, y, dx: 0.0, dy: 0.0, by: 1.0, touch: false, passing: false }
}

#[test]
fn a_column_can_be_corrected_and_taken_back() {
    let mut page = Page::booted();
    page.give("t.csv", file(), Origin::Person);
    page.act("view", "reading");
    assert!(page.has("middle", "30 rows read = 30 used + 0 set aside + 0 repeated"));
    // the level read as power: the level is then unknown, every row still counts
    page.act("role", "7:power");
    assert!(page.has("middle", "What this changed"));
    page.act("view", "spots");
    assert!(page.has("middle", "Spots 1 to 30"));
    page.act("view", "reading");
    page.act("undo", "");
    assert!(!page.has("middle", "What this changed"));
    page.act("role", "4:ignore");
    assert!(page.has("notice", "the reading stays as it was"), "{}", page.words("notice"));
    assert!(page.has("answer", "30\u{a0}spots"));
}

#[test]
fn set_aside_rows_are_grouped_and_saved_with_their_reason() {
    let text = file().replacen("2031-01-16 00:00", "31-02 nonsense", 1);
    let mut page = Page::booted();
    page.give("t.csv", &text, Origin::Person);
    page.act("view", "reading");
    assert!(page.has("middle", "= 29 used + 1 set aside"), "{}", page.words("middle"));
    assert!(page.has("middle", "No time that can be read 1\u{a0}row"), "{}", page.words("middle"));
    assert!(page.html("middle").contains("<td class=\"wrong\"><span>31-02 nonsense</span></td>"));
    // only the cell at fault does not fit
    assert_eq!(page.words("middle").matches("1 does not fit").count(), 1);
    page.act("save-aside", "");
    let Some(Patch::Save { name, bytes, .. }) = page.other.iter().find(|patch| matches!(patch, Patch::Save { .. }))
    else {
        panic!("nothing was saved")
    };
    let saved = String::from_utf8(bytes.clone()).unwrap();
    let row = text.lines().nth(1).unwrap();
    assert_eq!(name, "set-aside-t.csv.txt");
    assert!(saved.lines().nth(1).unwrap().starts_with(row), "byte for byte: {saved}");
    assert!(saved.trim_end().ends_with("bad-time"));
}

#[test]
fn a_file_without_dates_is_read_once_its_first_date_is_given() {
    let text = file().replace("2031-01-16 ", "");
    let mut page = Page::booted();
    page.give("t.csv", &text, Origin::Person);
    assert!(page.html("notice").contains("data-act=\"first-date\""), "{}", page.words("notice"));
    page.act("first-date", "31.1.16");
    assert!(page.has("notice", "2031-01-16"), "an example of how to write it: {}", page.words("notice"));
    assert!(!page.has("answer", "spots"));
    page.act("first-date", "2031-01-16");
    assert!(page.has("answer", "30\u{a0}spots"), "{}", page.words("answer"));
    assert!(page.words("answer").contains("2031"));
    assert!(!page.html("notice").contains("first-date"));
}

#[test]
fn a_first_date_can_be_given_after_looking_at_something_else() {
    let undated = file().replace("2031-01-16 ", "");
    let mut page = Page::booted();
    page.give("t.csv", file(), Origin::Person);
    page.give("later.csv", &undated, Origin::Person);
    page.act("view", "spots");
    assert!(page.html("notice").contains("data-act=\"first-date\""), "it is still asked for");
    page.act("first-date", "2031-02-16");
    assert!(page.html("notice").contains("second-add"), "{}", page.words("notice"));

    // a drop that is called off takes nothing away either
    let mut page = Page::with(Boot { stepwise: true, ..Boot::default() });
    page.give("later.csv", &undated, Origin::Person);
    page.finish(500);
    page.give("t.csv", file(), Origin::Person);
    page.tell(Event::Cancelled);
    page.act("first-date", "2031-02-16");
    page.finish(500);
    assert!(page.has("answer", "30\u{a0}spots"), "{}", page.words("answer"));
}

/// The file that was handed out last: its name and text.
fn saved(page: &Page) -> (String, String) {
    let save = page.other.iter().find_map(|patch| match patch {
        Patch::Save { name, bytes, .. } => Some((name.clone(), String::from_utf8(bytes.clone()).expect("text"))),
        _ => None,
    });
    save.expect("a file is saved")
}

#[test]
fn the_spots_shown_are_saved_in_their_order_not_only_one_page_of_them() {
    let mut text = file();
    for minute in 0..200 {
        let row =
            format!("2031-01-17 {:02}:{:02},Q7TST,JN99fl,23,Q4DD,EM78aa,7.040100,-20\n", minute / 60, minute % 60);
        text += &row;
    }
    let mut page = Page::booted();
    page.give("t.csv", &text, Origin::Person);
    page.act("view", "spots");
    page.act("sort", "time");
    page.act("open", "band");
    page.act("band", "40m");
    page.act("open", "save");
    assert!(page.html("middle").contains("id=\"save-csv\""), "{}", page.html("middle"));
    page.act("save", "csv");
    let (name, csv) = saved(&page);
    assert_eq!(name, "spots-Q7TST.csv");
    let rows: Vec<&str> = csv.lines().skip(1).collect();
    assert_eq!(rows.len(), 210, "all rows of the band, though a page of the table holds 100");
    let times: Vec<&str> = rows.iter().filter_map(|row| row.split(',').next()).collect();
    assert!(times.is_sorted() || times.iter().rev().is_sorted(), "in the order of the table");
    assert!(rows.iter().all(|row| row.contains(",40m,7040100,Q7TST,JN99fl,") && row.contains(",t.csv,")));
    page.act("rows", "listeners");
    page.act("save", "csv");
    assert_eq!(saved(&page).1.lines().count(), 211, "the spots of the listeners that are shown");

    let mut page = Page::booted();
    page.give("sample.csv", file(), Origin::Sample);
    page.act("view", "spots");
    page.act("save", "csv");
    let (name, csv) = saved(&page);
    assert!(name.starts_with("SAMPLE-") && csv.lines().skip(1).all(|row| row.contains(",SAMPLE sample.csv,")));
}

#[test]
fn units_and_zone_change_every_figure_at_once() {
    let zone = vec![farheard::page::ZoneChange { from_unix_s: 0, ahead_min: 120 }];
    let mut page = Page::with(Boot { zone_changes: zone, ..Boot::default() });
    page.give("t.csv", file(), Origin::Person);
    page.act("view", "spots");
    assert!(page.has("middle", "Distance km"));
    let before = page.words("middle");
    page.act("unit", "mi");
    assert!(page.has("middle", "Distance mi") && page.words("middle") != before);
    assert!(page.words("answer").contains("\u{a0}mi at"));
    page.act("zone", "local");
    assert!(page.has("middle", "Time UTC+02:00") && page.has("answer", "UTC+02:00"));
    page.act("unit", "km");
    page.act("zone", "utc");
    assert_eq!(page.words("middle"), before);
}

#[test]
fn settings_bring_a_view_back() {
    let mut page = Page::booted();
    page.give("t.csv", file(), Origin::Person);
    for (act, value) in
        [("open", "band"), ("band", "40m"), ("listener", "Q2BB"), ("unit", "mi"), ("theme", "dark"), ("view", "spots")]
    {
        page.act(act, value);
    }
    let count = page.words("middle");
    let settings = page
        .other
        .iter()
        .find_map(|patch| match patch {
            Patch::Settings { text, .. } => Some(text.clone()),
            _ => None,
        })
        .unwrap();
    let mut again = Page::with(Boot { settings, ..Boot::default() });
    again.give("t.csv", file(), Origin::Again);
    again.act("open", "band");
    again.act("open", "band");
    assert_eq!(again.words("middle"), count);
}

#[test]
fn after_a_restart_the_file_at_fault_is_named_and_the_others_are_back() {
    let boot = Boot { stopped_at: Some("odd.csv".to_owned()), settings: "bands=40m".to_owned(), ..Boot::default() };
    let mut page = Page::with(boot);
    page.give("t.csv", file(), Origin::Again);
    assert!(page.has("notice", "stopped while reading odd.csv") && page.has("answer", "filtered: "));
    assert!(page.has("middle", "10 of 30\u{a0}spots"));
}

#[test]
fn nonsense_does_nothing() {
    let mut page = Page::booted();
    let acts = [
        "view",
        "open",
        "second",
        "unit",
        "zone",
        "theme",
        "extent",
        "zoom",
        "rows",
        "sort",
        "page",
        "copy",
        "pin",
        "unpin",
        "nearer",
        "twin",
        "station",
        "home",
        "file",
        "save-aside",
        "save",
        "keep-back",
        "undo",
        "role",
        "wish-zone",
        "wish-dates",
        "band",
        "distance",
        "min-km",
        "sector",
        "from-deg",
        "to-deg",
        "snr",
        "listener",
        "only",
        "search",
        "last",
        "from",
        "to",
        "from-min",
        "to-min",
        "clear",
        "escape",
        "fold",
        "close",
        "no such act",
    ];
    let values = ["", "x", "-1", "99999999999999999999", "NaN", "inf", "disc", "7:time", "hears:", "\u{0}", "💥:💥"];
    for loaded in [false, true] {
        if loaded {
            page.give("t.csv", file(), Origin::Person);
            draw(&mut page);
        }
        for act in acts {
            for value in values {
                page.act(act, value);
                page.tell(Event::Act { act: act.to_owned(), value: value.to_owned(), shift: true, passing: false });
            }
        }
        for picture in Picture::ALL {
            for key in ["ArrowUp", "ArrowLeft", "End", "Enter", "+", "-", "0", "v", "Escape", "q"] {
                page.tell(Event::Key { picture, key: key.to_owned() });
            }
            for gesture in [Gesture::Over, Gesture::Press, Gesture::Drag, Gesture::Zoom, Gesture::Leave] {
                let odd = Pointer {
                    picture,
                    gesture,
                    x: f64::NAN,
                    y: -1e9,
                    dx: 1e9,
                    dy: f64::NAN,
                    by: 0.0,
                    touch: true,
                    passing: false,
                };
                page.tell(Event::Pointer(odd));
            }
        }
    }
    page.act("clear", "all");
    assert!(page.has("answer", "spots"));
}

#[test]
fn ids_are_one_of_a_kind_and_a_phone_has_its_sheets() {
    let narrow = Surroundings { narrow: true, ..Surroundings::default() };
    for surroundings in [Surroundings::default(), narrow] {
        let mut page = Page::with(Boot { surroundings, ..Boot::default() });
        page.give("t.csv", file(), Origin::Person);
        draw(&mut page);
        page.act("pin", "Q4DD");
        for open in ["", "band", "time", "listener", "station", "filters", "more"] {
            page.act("open", open);
            for view in ["disc", "spots", "reading"] {
                if open.is_empty() {
                    page.act("view", view);
                }
                let mut ids = BTreeSet::new();
                for html in page.regions.values() {
                    for id in html.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()) {
                        assert!(
                            ids.insert(id.to_owned()),
                            "{id} twice with {open} open, narrow {}",
                            surroundings.narrow
                        );
                    }
                }
            }
            page.act("view", "disc");
        }
        assert_eq!(page.html("sheet").is_empty(), !surroundings.narrow, "the card slides up on a phone only");
    }
}

#[test]
fn the_time_shown_moves_along_the_strip_and_the_night_with_it() {
    let mut page = Page::booted();
    page.give("t.csv", file(), Origin::Person);
    draw(&mut page);
    assert!(!page.has("middle", "Shaded"), "a day has no one night");
    page.act("play", "on");
    assert!(page.has("middle", "Shaded: night at 00:30 UTC"), "the first window is the first hour");
    page.act("play", "on");
    assert!(page.has("middle", "Shaded: night at 01:30 UTC"));
    assert!(page.said.last().unwrap().contains("of 30"));
    page.act("play", "back");
    page.act("play", "back");
    assert!(page.has("middle", "Shaded: night at 00:30 UTC"), "it stays within the strip");

    // by itself: the page asks for each step, and nothing is read out on the way
    page.act("play", "4");
    page.act("play", "start");
    assert!(page.html("right").contains("data-tick=\"250\"") && page.has("right", "Stop"));
    let said = page.said.len();
    page.act("play", "tick");
    assert!(page.has("middle", "Shaded: night at 01:30 UTC"));
    assert_eq!(page.said.len(), said);
    assert!(!page.other.iter().any(|patch| matches!(patch, Patch::Settings { .. })));
    let mut steps = 0;
    while page.html("right").contains("data-tick") {
        page.act("play", "tick");
        steps += 1;
    }
    assert_eq!(steps, 21, "from the second hour to the strip's end at 22:32");
    page.act("play", "tick");
    assert!(!page.html("right").contains("data-tick"), "a late step does not start it again");
    page.act("play", "start");
    assert!(page.has("middle", "Shaded: night at 00:30 UTC"), "from the end it begins anew");
    page.act("open", "band");
    assert!(!page.html("right").contains("data-tick"), "whoever does something else stops it");

    // less motion: only by hand
    page.tell(Event::Surroundings(Surroundings { still: true, ..Surroundings::default() }));
    assert!(!page.has("right", "Play") && page.has("right", "+1\u{a0}h"));
}
