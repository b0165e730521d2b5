//! What helps somebody who opens the page for the first time: the tour of the sample, the words of the trade, and
//! figures as that person writes them.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

mod page;

use farheard::page::{Boot, Event, Origin, Patch, Surroundings};

use page::Page;

#[allow(clippy::disallowed_methods, reason = "the test reads files, not the core")]
fn text_of(path: &str) -> String {
    let project = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    std::fs::read_to_string(project.join(path)).unwrap()
}

fn give_sample(page: &mut Page) {
    for name in ["two-antennas-two-days.csv", "control-beacon-two-days.csv"] {
        let bytes = text_of(&format!("sample-files/{name}")).into_bytes();
        page.tell(Event::File { name: name.to_owned(), bytes });
    }
    page.tell(Event::FilesDone { origin: Origin::Sample, work: String::new() });
}

fn focus(page: &Page) -> Option<&str> {
    page.other.iter().find_map(|patch| match patch {
        Patch::Focus { id } => Some(id.as_str()),
        _ => None,
    })
}

const ROWS: &str = "utc,sender,sender locator,power dBm,listener,listener locator,frequency MHz,SNR dB
2031-01-16 10:00,Q7TST,JN99fl,23,Q1AA,JO10ej,7.040100,-12
2031-01-16 10:02,Q7TST,JN99fl,23,Q1AA,JO10ej,7.040100,-14
";

#[test]
fn the_tour_marks_real_controls_and_does_what_it_tells() {
    for narrow in [false, true] {
        let surroundings = Surroundings { narrow, ..Surroundings::default() };
        let mut page = Page::with(Boot { surroundings, ..Boot::default() });
        give_sample(&mut page);
        assert!(page.has("notice", "Two minutes: how far, which part, which antenna. Show me No thanks"));
        let whole = page.words("answer");
        let marked = |page: &Page| {
            let (_, rest) = page.html("notice").split_once("data-mark=\"").unwrap();
            let id = rest.split_once('"').unwrap().0.to_owned();
            let there = page.regions.values().any(|html| html.contains(&format!("id=\"{id}\"")));
            assert!(there, "the control {id} is there");
            id
        };
        for (step, (sentence, mark)) in [
            ("How far", "picture-disc"),
            ("Which part", if narrow { "chip-band" } else { "part-band" }),
            ("Which antenna", if narrow { "thumb-compare" } else { "nav-compare" }),
            ("How it came about", "how-words"),
            ("Your own", if narrow { "thumb-more" } else { "open-files" }),
        ]
        .into_iter()
        .enumerate()
        {
            page.act("tour", "next");
            assert!(page.has("notice", sentence), "{sentence} in {}", page.words("notice"));
            assert!(page.has("notice", &format!("Step {} of 5", step + 1)));
            assert!(page.said.last().unwrap().starts_with(sentence), "it is said aloud");
            assert_eq!(marked(&page), mark);
            assert_eq!(focus(&page), Some("tour-next"));
            if step == 1 {
                assert!(page.has("middle", "1\u{202f}412 of 5\u{202f}610\u{a0}spots"), "{}", page.words("middle"));
            }
        }
        assert!(page.has("middle", "How all bands together came about"));
        page.act("tour", "next");
        assert!(page.html("notice").is_empty());
        assert_eq!(focus(&page), Some("middle"));
        // what it did are steps like any other
        for _ in 0..3 {
            page.act("undo-step", "");
        }
        assert_eq!(page.words("answer"), whole);
        give_sample(&mut page);
        assert!(page.html("notice").is_empty(), "it is not offered again");
    }
}

#[test]
fn the_tour_can_be_left_at_any_step_and_is_never_in_the_way() {
    for steps in 0..5 {
        for leave in [("tour", "leave"), ("escape", "")] {
            let mut page = Page::booted();
            give_sample(&mut page);
            for _ in 0..steps {
                page.act("tour", "next");
            }
            page.act(leave.0, leave.1);
            assert!(page.html("notice").is_empty(), "step {steps}, {leave:?}");
            assert_eq!(focus(&page), Some("middle"));
        }
    }
    // everything goes on working beside it
    let mut page = Page::booted();
    give_sample(&mut page);
    page.act("tour", "next");
    page.act("view", "spots");
    page.act("band", "40m");
    assert!(page.has("notice", "Step 1 of 5") && page.html("middle").contains("spots-table"));
    // one's own file ends it, and without the sample there is none
    page.give("own.csv", ROWS, Origin::Person);
    assert!(page.html("notice").is_empty(), "{}", page.words("notice"));
    give_sample(&mut page);
    page.act("second", "replace");
    assert!(!page.has("notice", "Two minutes"));
}

#[test]
fn words_are_explained_as_the_readme_explains_them() {
    let index = text_of("web/index.html").replace("&nbsp;", " ").replace('\u{2019}', "'");
    let (_, terms) = index.split_once("id=\"terms\"").unwrap();
    let terms = terms.split_once("</dialog>").unwrap().0;
    let meaning = |term: &str| {
        let (_, rest) =
            terms.split_once(&format!("<dt>{term}</dt><dd>")).unwrap_or_else(|| panic!("{term} is missing"));
        rest.split_once("</dd>").unwrap().0.to_owned()
    };
    for term in [
        "spot",
        "listener",
        "beacon",
        "control",
        "band",
        "locator",
        "bearing",
        "dB",
        "dBm",
        "SNR",
        "level at 1 W",
        "slot",
        "WSPR",
        "decoding floor",
        "safe pair",
        "hop",
        "layer",
        "near-vertical",
        "skip zone",
        "twilight",
        "UTC",
    ] {
        assert!(meaning(term).len() > 20, "{term}");
    }
    let readme = text_of("README.md");
    for line in readme.lines() {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        if let ["", "spot" | "listener" | "level at 1 W", told, ""] = cells.as_slice() {
            assert_eq!(&meaning(cells[1]), told);
        }
    }
    let page = Page::booted();
    assert!(page.html("foot").contains("data-page=\"words\""));
}

/// A figure with a point before decimals, if the words have one.
fn with_point(words: &str) -> Option<String> {
    let letters: Vec<char> = words.chars().collect();
    let at = letters
        .windows(3)
        .position(|three| three[0].is_ascii_digit() && three[1] == '.' && three[2].is_ascii_digit())?;
    Some(letters[at.saturating_sub(30)..(at + 20).min(letters.len())].iter().collect())
}

#[test]
fn dates_stand_in_the_order_of_the_language_and_files_keep_theirs() {
    for (first, written) in
        [("day", "11 to 13 October 2031"), ("month", "October 11 to 13, 2031"), ("year", "2031 October 11 to 13")]
    {
        let mut page = Page::with(Boot { date_begins_with: first.to_owned(), ..Boot::default() });
        give_sample(&mut page);
        let shown: Vec<String> = page.regions.keys().map(|region| page.words(region).replace('\u{a0}', " ")).collect();
        assert!(shown.iter().any(|words| words.contains(written)), "{written}: {shown:?}");
        page.act("save", "csv");
        let saved = page.other.iter().any(|patch| match patch {
            Patch::Save { bytes, .. } => String::from_utf8_lossy(bytes).contains("2031-10-11T"),
            _ => false,
        });
        assert!(saved, "{:?}", page.other);
    }
}

#[test]
fn figures_have_the_mark_of_the_language_and_files_a_point() {
    let mut page = Page::with(Boot { decimal_comma: true, ..Boot::default() });
    give_sample(&mut page);
    page.act("snr", "-20,5");
    page.act("run-set", "0:loss:1,25");
    page.act("run-small", "1,25");
    for view in ["disc", "compare", "plan", "sky", "health", "spots"] {
        page.act("view", view);
        if view == "compare" {
            page.act("how", "all");
            page.act("run-open", "0");
        }
        for (region, html) in &page.regions {
            assert_eq!(with_point(&page.words(region)), None, "{view}, {region}");
            // and what fields and descriptions of pictures say
            for said in html.split(['"']).filter(|said| !said.contains([';', '<', '>', '/'])) {
                let drawn = said.chars().all(|letter| letter.is_ascii_digit() || "-. MLHVhvlzZ,".contains(letter));
                assert!(drawn || with_point(said).is_none(), "{view}, {region}: {said}");
            }
        }
    }
    assert!(page.has("middle", "7,0401"), "MHz in the table");
    page.act("save", "csv");
    let saved = page.other.iter().find_map(|patch| match patch {
        Patch::Save { bytes, .. } => Some(String::from_utf8(bytes.clone()).unwrap()),
        _ => None,
    });
    let saved = saved.unwrap();
    assert!(saved.contains(",9316.7,125.7,"), "km and degrees");
    page.act("view", "disc");
    let settings = page.other.iter().find_map(|patch| match patch {
        Patch::Settings { text, .. } => Some(text.clone()),
        _ => None,
    });
    let settings = settings.unwrap();
    assert!(settings.contains("snr=-20.5..") && settings.contains("small=1.25"), "{settings}");
}
