//! What a person meets on the real page: the ways in, the sample, cells that would be markup, files that hold nothing.

use serde_json::{Value, json};

use crate::harness::{Browser, Engine, Scratch, in_every_engine};

in_every_engine! {
    hostile_cells_stay_text,
}

/// What the answer's sentence says of a run with these few spots.
const THREE_SPOTS: &str = "\
utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB
2031-10-11 00:00,Q6HUT,IN71,23,Q1ABC,JO22,14.0971,-17
2031-10-11 00:20,Q6HUT,IN71,23,Q2XYZ,FN31,14.0971,-24
2031-10-11 00:40,Q6HUT,IN71,23,Q2XYZ,FN31,14.0971,-22
";

fn page(engine: Engine) -> (Scratch, Browser) {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    (folder, browser)
}

#[test]
fn the_three_ways_in_and_the_sample_show_without_scrolling() {
    let (_folder, browser) = page(Engine::Chromium);
    for (name, width, height) in [("empty-1440x900", 1440, 900), ("empty-390x844", 390, 844)] {
        browser.resize(width, height);
        browser.picture(name);
        for words in ["Drop", "Choose files", "Paste", "Try the sample"] {
            browser.wait_for_words(words);
        }
        let lowest = browser.value("document.getElementById('try-sample').getBoundingClientRect().bottom");
        assert!(lowest.as_f64().unwrap() <= f64::from(height), "the sample's button ends at {lowest} of {height}");
        let wide = browser.value("document.documentElement.scrollWidth");
        assert!(wide.as_f64().unwrap() <= f64::from(width), "the page is {wide} wide on a screen of {width}");
    }
}

#[test]
fn the_sample_gives_an_answer_marked_as_sample_and_asks_for_nothing() {
    let (_folder, browser) = page(Engine::Chromium);
    browser.requested();
    browser.click("#try-sample");
    browser.wait_for_words("SAMPLE");
    browser.wait_for_words("spots from");
    for (name, width, height) in [("sample-1440x900", 1440, 900), ("sample-390x844", 390, 844)] {
        browser.resize(width, height);
        browser.wait_for_ink("canvas[data-picture=disc]", 10);
        browser.picture(name);
    }
    browser.expect_quiet_console();
    assert_eq!(browser.requested(), Vec::<String>::new(), "nothing was asked for");
}

fn hostile_cells_stay_text(engine: Engine) {
    let (folder, browser) = page(engine);
    let hostile = "<img src=x onerror=document.title='taken'><script>document.title='taken'</script>";
    let text = format!("{THREE_SPOTS}2031-10-11 01:00,Q6HUT,IN71,23,{hostile},FN31,14.0971,-22\n");
    browser.drop_files("body", &[&folder.file("<b>hostile.csv", text)]);
    browser.wait_for_words("3 spots from 2 listeners");
    assert_eq!(browser.value("document.querySelectorAll('main img, main script, main b b').length"), json!(0));
    assert_ne!(browser.value("document.title"), Value::from("taken"));
}

#[test]
fn a_file_that_holds_no_spots_is_named_and_the_page_goes_on() {
    let (folder, browser) = page(Engine::Chromium);
    browser.drop_files("body", &[&folder.file("letter.txt", "Dear reader,\nthere is nothing in here.\n")]);
    browser.wait_for_words("letter.txt");
    browser.drop_files("body", &[&folder.file("three.csv", THREE_SPOTS)]);
    browser.wait_for_words("3 spots from 2 listeners");
}
