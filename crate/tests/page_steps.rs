//! Reading in steps: progress, a picture so far, giving up, corrections that are remembered; and doubtful spots.

#![expect(clippy::expect_used, reason = "in a test a panic is the answer")]

mod page;

use std::fmt::Write as _;

use farheard::import::{self, Wishes};
use farheard::model::{SpotTable, TableBuilder};
use farheard::page::{Boot, Event, Keeping, Origin, Patch};
use farheard::study::doubt::Doubt;
use farheard::study::{Filter, Subject, Tally, bands, tested};
use farheard::words::number::{count, counted};

use page::Page;

/// A stretch of reading.
const STRETCH: usize = 50_000;

fn stepwise() -> Page {
    Page::with(Boot { stepwise: true, ..Boot::default() })
}

/// A person's file comes in and is read to its end.
fn open(page: &mut Page, name: &str, text: &str) {
    page.give(name, text, Origin::Person);
    page.finish(STRETCH);
}

/// What the last event asked to keep.
fn kept(page: &Page) -> Vec<Option<String>> {
    let kept = |patch: &Patch| if let Patch::Keep { text } = patch { Some(text.clone()) } else { None };
    page.other.iter().filter_map(kept).collect()
}

const HEADS: &str = "utc,sender,sender locator,power dBm,listener,listener locator,frequency MHz,SNR dB\n";

/// So many spots of one sender by 40 listeners in turn, on three bands.
fn large(rows: usize) -> String {
    let mut text = HEADS.to_owned();
    let locators = ["JO10ej", "IO82ig", "KP20bb", "EM78aa"];
    let bands = ["7.040100", "10.140150", "14.097100"];
    for row in 0..rows {
        let (minute, place) = (row / 40 * 2, row % 40);
        let (day, hour, minute) = (16 + minute / 1440 % 12, minute / 60 % 24, minute % 60);
        let month = 1 + row / 40 * 2 / 1440 / 12;
        writeln!(
            text,
            "2031-{month:02}-{day:02} {hour:02}:{minute:02},Q7TST,JN99fl,23,Q{}A{},{},{},{}",
            place % 10,
            ["A", "B", "C", "D"][place / 10],
            locators[place % 4],
            bands[(row / 40 + place) % 3],
            -8.0 - (row % 20) as f64
        )
        .expect("a string takes any text");
    }
    text
}

fn table_of(text: &str) -> SpotTable {
    let mut builder = TableBuilder::new();
    import::read("t.csv", text.as_bytes(), &Wishes::default(), &mut builder);
    builder.freeze()
}

/// What the page shows but for its bar, which offers to undo what was done.
fn without_steps(page: &Page) -> std::collections::BTreeMap<&'static str, String> {
    let mut regions = page.regions.clone();
    regions.remove("bar");
    regions
}

#[test]
fn a_large_table_is_read_in_steps_to_the_same_page() {
    let text = large(40_000);
    let mut page = stepwise();
    page.give("large.csv", &text, Origin::Person);
    let (mut last, mut so_far, mut steps) = (-1.0, 0, 0);
    while let Some((words, share)) = page.progress() {
        assert!(share >= last && share <= 1.0, "{share} after {last}");
        assert!(words.contains(" rows, ") && words.ends_with("MB"), "{words}");
        last = share;
        so_far += usize::from(page.has("answer", "So far, "));
        steps += 1;
        page.step(STRETCH);
    }
    assert!(last > 0.8 && steps > 10 && so_far > 3, "{last}, {steps} steps, {so_far} with a picture");
    let mut whole = Page::with(Boot::default());
    whole.give("large.csv", &text, Origin::Person);
    assert!(whole.has("left", &format!("Rows read {}", count(40_000))), "{}", whole.words("left"));
    assert_eq!(page.regions, whole.regions);
}

#[test]
fn a_filter_set_on_the_part_holds_for_the_whole() {
    let text = large(40_000);
    let mut page = stepwise();
    page.give("large.csv", &text, Origin::Person);
    while !page.has("answer", "So far, ") {
        assert!(page.step(STRETCH), "there is a picture before the end");
    }
    page.act("min-snr", "-12");
    assert!(page.has("answer", "So far, "));
    while page.step(STRETCH) {}
    let mut whole = Page::with(Boot::default());
    whole.give("large.csv", &text, Origin::Person);
    let unfiltered = whole.regions["middle"].clone();
    whole.act("min-snr", "-12");
    assert_ne!(whole.regions["middle"], unfiltered);
    assert_eq!(without_steps(&page), without_steps(&whole));
}

#[test]
fn giving_up_brings_back_what_was_there() {
    let (text, small) = (large(40_000), large(400));
    let empty = stepwise;
    let sample = || {
        let mut page = stepwise();
        page.give("sample.csv", &small, Origin::Sample);
        page.finish(STRETCH);
        page
    };
    let filtered = || {
        let mut page = stepwise();
        open(&mut page, "small.csv", &small);
        page.act("min-snr", "-12");
        page.act("view", "spots");
        page
    };
    for (name, mut page, pictured) in [
        ("empty", Box::new(empty()), true),
        ("sample", Box::new(sample()), true),
        ("filtered", Box::new(filtered()), false),
    ] {
        let before = page.regions.clone();
        page.give("large.csv", &text, Origin::Person);
        for _ in 0..6 {
            assert!(page.step(STRETCH), "{name}: still reading");
        }
        assert_eq!(page.has("answer", "So far, "), pictured, "{name}");
        if !pictured {
            assert_eq!(page.regions, before, "{name}: own work stays untouched while another file is read");
        }
        page.tell(Event::Cancelled);
        assert_eq!(page.regions, before, "{name}: as before");
        assert!(!page.step(STRETCH), "{name}: nothing reads on");
        assert_eq!(page.regions, before, "{name}: and stays so");
    }
}

/// Two files of the same headings whose SNR column is to be left out.
fn like(minutes: i32) -> String {
    let mut text = HEADS.to_owned();
    for row in 0..30 {
        writeln!(
            text,
            "2031-01-16 {:02}:{minutes:02},Q7TST,JN99fl,23,Q1A{},JO10ej,14.0971,-{}",
            row % 24,
            ["A", "B"][row / 24],
            10 + row
        )
        .expect("a string takes any text");
    }
    text
}

#[test]
fn corrections_are_remembered_by_headings() {
    let snr_out = "7:ignore";
    let left_out = r#"<option value="ignore" selected>"#;
    for stepwise in [false, true] {
        for keeping in [Keeping::Never, Keeping::NotYet, Keeping::Always] {
            let mut page = Page::with(Boot { stepwise, keeping, ..Boot::default() });
            open(&mut page, "first.csv", &like(0));
            page.act("view", "reading");
            assert!(!page.regions["middle"].contains(left_out), "all columns are used at first");
            page.act("role", snr_out);
            page.finish(STRETCH);
            assert_eq!(page.regions["middle"].matches(left_out).count(), 1);
            let kept = kept(&page);
            match keeping {
                Keeping::Always => assert!(kept.iter().all(Option::is_some) && kept.len() == 1, "{kept:?}"),
                Keeping::Never | Keeping::NotYet => assert_eq!(kept, [], "{keeping:?}"),
            }
            open(&mut page, "second.csv", &like(20));
            page.act("second", "replace");
            page.act("view", "reading");
            assert_eq!(page.regions["middle"].matches(left_out).count(), 1, "{stepwise} {keeping:?}: read likewise");
            if let [Some(text)] = kept.as_slice() {
                let mut later = Page::with(Boot { stepwise, keeping, kept: text.clone(), ..Boot::default() });
                open(&mut later, "third.csv", &like(40));
                assert!(later.has("notice", "third.csv was read as you corrected"), "{}", later.words("notice"));
                assert!(later.regions["notice"].contains("data-act=\"unrecall\""));
                later.act("view", "reading");
                assert_eq!(later.regions["middle"].matches(left_out).count(), 1);
                later.act("unrecall", "");
                later.finish(STRETCH);
                assert!(!later.regions["middle"].contains(left_out), "read as if new");
                assert!(later.words("notice").is_empty());
            }
        }
    }
}

/// Spots of one listener, with some of every kind of doubt.
fn doubtful() -> String {
    let mut text = HEADS.to_owned();
    for at in 0..60 {
        writeln!(
            text,
            "2031-01-16 {:02}:{:02},Q7TST,JN99fl,23,Q1AA,JO10ab,14.0971,-{}",
            at / 30,
            at % 30 * 2,
            20 + at % 9
        )
        .expect("a string takes any text");
    }
    text += "2031-01-16 00:04,Q7TST,JN99fl,23,Q1AA,JO10ab,14.0971,-10\n";
    text += "2031-01-16 03:00,Q7TST,JN99fl,23,Q2BB,RE78jt,7.0401,-28\n";
    text += "2031-01-16 03:04,Q7TST,JN99fl,23,Q1AA,KP20le,14.0971,-15\n";
    text += "2031-01-16 04:01,Q7TST,JN99fl,23,Q1AA,JO10ab,14.0971,-15\n";
    text
}

#[test]
fn doubtful_spots_are_counted_left_out_and_brought_back() {
    let text = doubtful();
    let table = table_of(&text);
    let guess = tested::guess(&table, None).unwrap();
    let subject = Subject::new(&table, &[guess.tested.call], guess.tested.side, None);
    let doubts = subject.doubts();
    let n = doubts.any.count();
    assert!(doubts.by_reason.len() == 4 && n == 4, "the file is made so: {:?}", doubts.by_reason);
    let mut page = Page::with(Boot::default());
    open(&mut page, "t.csv", &text);
    let before = without_steps(&page);
    page.act("view", "reading");
    assert!(page.has("middle", &counted(n, "doubtful spot", "doubtful spots")));
    for (words, doubt) in [
        ("Weaker of several reports in one slot", Doubt::WeakerInSlot),
        ("A single far report near the floor", Doubt::LoneFar),
        ("A listener away from its usual place", Doubt::PlaceJumps),
        ("Not on an even minute", Doubt::OddMinute),
    ] {
        let line = format!("{words} {}", count(doubts.rows(doubt).unwrap().count()));
        assert!(page.has("middle", &line), "{line} in {}", page.words("middle"));
    }
    page.act("doubt", "all");
    page.act("view", "disc");
    let filter = Filter { without: doubts.by_reason.iter().map(|(doubt, _)| *doubt).collect(), ..Filter::default() };
    let rows = filter.rows(&subject);
    let left = rows.count();
    assert_eq!(left, 64 - n);
    let tally = Tally::of(&subject, &rows);
    assert!(page.has("answer", &counted(left, "spot", "spots")), "{}", page.words("answer"));
    assert!(page.has("middle", &format!("{left} of 64\u{a0}spots")), "{}", page.words("middle"));
    assert!(page.has("middle", &format!("without {n}\u{a0}doubtful")));
    for band in bands(&subject, &tally).iter().filter(|band| band.spots > 0) {
        let row = format!("{} {} ", band.band.label(), band.spots);
        assert!(page.has("right", &row), "{row} in {}", page.words("right"));
    }
    page.act("view", "spots");
    assert_eq!(page.regions["middle"].matches("<tr").count(), left + 1);
    assert!(!page.has("middle", "Q2BB"));
    page.act("clear", "doubt");
    assert!(page.has("middle", "Q2BB"));
    page.act("view", "disc");
    assert_eq!(without_steps(&page), before);
}

/// Calls and times under headings that say nothing: it could be any list of names.
const RIDDLE: &str = "alpha;beta;gamma\nQ1ABC;2031-10-11 00:00;Q7TST\nQ2ABC;2031-10-11 00:02;Q7TST\n\
                      Q2ABC;2031-10-11 00:04;Q7TST\n";

#[test]
fn a_table_that_gave_no_spot_can_be_given_its_columns() {
    for stepwise in [false, true] {
        let mut page = Page::with(Boot { stepwise, ..Boot::default() });
        page.give("riddle.csv", RIDDLE, Origin::Person);
        page.finish(50);
        assert!(page.has("notice", "riddle.csv was not read."), "{}", page.words("notice"));
        page.act("by-hand", "");
        assert!(page.has("middle", "Reading of riddle.csv"), "{}", page.words("middle"));
        assert!(page.has("middle", "No table of spots was found"), "why is said beside the columns");
        assert!(!page.html("middle").contains("doubt-head"), "there is nothing to doubt");
        assert_eq!(page.words("notice"), "", "it is said once");
        page.act("view", "disc");
        assert!(
            page.has("middle", "How far was it heard"),
            "closing it leaves the empty page: {}",
            page.words("middle")
        );

        // one column after the other; what is chosen stays while a spot cannot be made of it yet
        page.give("riddle.csv", RIDDLE, Origin::Person);
        page.finish(50);
        page.act("by-hand", "");
        page.act("role", "2:tx");
        page.finish(50);
        assert!(page.has("middle", "no column holds the call of the station that heard it"));
        page.act("role", "0:rx");
        page.finish(50);
        assert!(page.has("answer", "3\u{a0}spots"), "{}", page.words("answer"));
        assert!(page.has("answer", "Q7TST"), "{}", page.words("answer"));
        assert!(page.has("middle", "Reading of riddle.csv") && page.html("middle").contains("doubt-head"));

        // the next file with these headings is read so at once, beside what is loaded
        page.give("later.csv", RIDDLE.replace("2031-10-11", "2031-10-12"), Origin::Person);
        page.finish(50);
        page.act("second", "add");
        page.finish(50);
        assert!(page.has("answer", "6\u{a0}spots"), "{}", page.words("answer"));
    }
}

#[test]
fn a_doubtful_table_can_be_read_as_it_was_understood() {
    let mut page = Page::booted();
    let known = RIDDLE.replace("alpha;beta;gamma", "sent by;utc;heard by");
    page.give("first.csv", known, Origin::Person);
    assert!(page.has("answer", "2\u{a0}spots"), "{}", page.words("answer"));
    page.give("riddle.csv", RIDDLE, Origin::Person);
    page.act("by-hand", "");
    assert!(page.html("middle").contains("id=\"accept-roles\""), "{}", page.html("middle"));
    page.act("accept-roles", "");
    page.act("second", "replace");
    assert!(page.has("left", "riddle.csv") && !page.has("left", "first.csv"), "{}", page.words("left"));
}
