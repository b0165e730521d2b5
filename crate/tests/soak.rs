//! A long day in short: files dropped one after another, filters, runs and views changed, things saved; what the core holds
//! stays the same, and so does what an act costs.
//!
//! Bytes are counted by the allocator, not guessed from the process; cost is counted in bytes asked for, which no other
//! program on the machine disturbs. The page round it is tried in `tests/browser/soak.rs`.
//!
//! `cargo test --release -p farheard --test soak -- --nocapture` prints the figures.

#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

mod page;

use std::alloc::System;
use std::fmt::Write as _;

use cap::Cap;
use farheard::page::{Event, Origin, Patch, Picture};
use page::Page;

#[global_allocator]
static HEAP: Cap<System> = Cap::new(System, usize::MAX);

/// Files dropped, each in place of the one before.
const FILES: usize = 200;
/// Spots of each.
const SPOTS: usize = 200;
/// What is held settles within so many: buffers grow to what they need.
const SETTLED: usize = 32;
/// So many files have every view with every form to save.
const ROUND: usize = 28;

const VIEWS: [&str; 7] = ["spots", "compare", "plan", "health", "sky", "reading", "disc"];
const FORMS: [&str; 4] = ["csv", "svg", "page", "work"];

/// Every file has its own day, listeners and levels, so that nothing of one can serve another; all have the same size.
fn file(number: usize) -> String {
    let mut text = "utc,sent by,from,power dBm,heard by,at,MHz,SNR dB\n".to_owned();
    for spot in 0..SPOTS {
        let listener = (number * 7 + spot * 31) % 97 + 100;
        let (hour, minute) = (spot * 24 / SPOTS, spot % 30 * 2);
        let square = ['F', 'I', 'J', 'K'][(listener + number) % 4];
        let letter = char::from(b"ABCDEFGHIJKLMNOPQRSTUVWXYZ"[listener % 26]);
        let mhz = ["03.570100", "07.040100", "10.140200", "14.097100"][spot % 4];
        writeln!(
            text,
            "2031-{:02}-{:02} {hour:02}:{minute:02},Q7TST,IN71,23,Q{}LS{letter},{square}N{}{},{mhz},-{:02}",
            number / 28 % 12 + 1,
            number % 28 + 1,
            listener / 26,
            listener % 10,
            spot % 10,
            10 + (spot + number) % 18
        )
        .unwrap();
    }
    text
}

/// What a person does with one file, and what it gives to hand on.
fn session(page: &mut Page, number: usize) -> usize {
    let mut acts = 0;
    page.give(&format!("day {number}.csv"), file(number), Origin::Person);
    if number > 0 {
        page.act("second", "replace");
    }
    let mut act = |page: &mut Page, act: &str, value: &str| {
        page.act(act, value);
        acts += 1;
        page.draw();
        page.said.clear();
    };
    act(page, "by-hand", "");
    act(page, "run-single", "");
    act(page, "view", VIEWS[number % VIEWS.len()]);
    for filter in [("band", "40m"), ("min-snr", "-20"), ("min-km", "800"), ("clear", "all")] {
        act(page, filter.0, filter.1);
    }
    act(page, "run-open", "0");
    act(page, "run-set", &format!("0:name:Antenna {}", number % 10));
    act(page, "run-set", &format!("0:loss:{}", number % 3));
    act(page, "run-close", "");
    act(page, "undo-step", "");
    act(page, "redo-step", "");
    act(page, "open", "save");
    let form = FORMS[number % FORMS.len()];
    act(page, "save", form);
    let handed = |patch: &Patch| {
        matches!(patch, Patch::Save { .. } | Patch::WorkFile { .. } | Patch::Page { .. } | Patch::Raster { .. })
    };
    assert!(page.other.iter().any(handed), "{form} of file {number}: {:?}", page.other);
    act(page, "escape", "");
    act(page, "view", "disc");
    assert!(page.has("answer", "200\u{a0}spots"), "{}", page.words("answer"));
    acts
}

#[test]
fn after_two_hundred_files_the_core_holds_no_more_than_after_sixty() {
    let mut page = Page::booted();
    for picture in Picture::ALL {
        page.tell(Event::Size { picture, width: 700.0, height: 400.0, ratio: 1.0 });
    }
    let (mut held, mut asked, mut acts) = (Vec::new(), Vec::new(), 0);
    for number in 0..FILES {
        let before = HEAP.total_allocated();
        acts += session(&mut page, number);
        asked.push(HEAP.total_allocated() - before);
        held.push(HEAP.allocated());
    }
    let of = |values: &[usize]| {
        let mean = |values: &[usize]| values.iter().sum::<usize>() / values.len();
        (mean(&values[SETTLED..SETTLED + ROUND]), mean(&values[FILES - ROUND..]))
    };
    let (held, asked) = (of(&held), of(&asked));
    println!("{FILES} files, {acts} acts");
    println!("held: {} kB, then {} kB", held.0 / 1000, held.1 / 1000);
    println!("asked for with one file: {} kB, then {} kB", asked.0 / 1000, asked.1 / 1000);
    let grown = |(early, late): (usize, usize)| late as f64 / early as f64;
    assert!(grown(held) < 1.02, "what is held grows: {held:?}");
    assert!(grown(asked) < 1.02, "what an act costs grows: {asked:?}");
}
