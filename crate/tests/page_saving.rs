//! Saving from the page: every form, with and without what is kept back, and the preview.

#![expect(clippy::unwrap_used, clippy::expect_used, reason = "in a test a panic is the answer")]

mod page;

use farheard::page::{Origin, Patch};
use farheard::share::tables::Kind;

use page::Page;

/// Two days of one station, its file named after it.
fn opened(origin: Origin) -> Page {
    let mut text = String::from("utc,sender,sender locator,power dBm,listener,listener locator,frequency MHz,SNR dB\n");
    for (day, snr) in [(16, -12), (18, -18)] {
        for slot in 0..120_usize {
            let (hour, minute) = (slot / 30 * 3, slot % 30 * 2);
            let (call, locator) = [("Q1ABC", "JO10ej"), ("Q2DEF/P", "IO82ig"), ("Q3GHI", "KP20bb")][slot % 3];
            let level = snr + [0, 1, 2, 3, 4][slot % 5];
            let row =
                format!("2031-01-{day} {hour:02}:{minute:02},Q7TST,JN99fl,23,{call},{locator},7.040100,{level}\n");
            text += &row;
        }
    }
    let mut page = Page::booted();
    page.give("q7tst-attic.csv", text, origin);
    page.act("view", "compare");
    page.act("view", "spots");
    page.act("open", "save");
    page
}

fn saved(page: &mut Page, what: &str) -> (String, String) {
    page.act("save", what);
    let found = page.other.iter().find_map(|patch| match patch {
        Patch::Save { name, bytes, .. } => Some((name.clone(), String::from_utf8(bytes.clone()).unwrap())),
        Patch::Raster { name, text, .. } | Patch::Page { name, text } => Some((name.clone(), text.clone())),
        _ => None,
    });
    found.expect(what)
}

/// The buttons of the panel.
fn offered(page: &Page) -> Vec<String> {
    let buttons = page.html("middle").split("data-act=\"save\" data-value=\"").skip(1);
    buttons.map(|rest| rest.split('"').next().unwrap().to_owned()).collect()
}

#[test]
fn every_form_that_is_offered_is_saved_and_says_so() {
    let mut page = opened(Origin::Person);
    let forms = offered(&page);
    assert!(forms.len() >= 4 + Kind::ALL.len() - 2, "{forms:?}");
    for form in forms {
        let (name, text) = saved(&mut page, &form);
        assert!(name.contains("-Q7TST.") && !text.is_empty(), "{name}");
        // whether it could be copied only the browser knows
        if form != "copy" {
            assert_eq!(page.said.last().unwrap(), &format!("{name} saved."));
        }
        // the tables have rows; where nothing was silent that one has none
        assert!(text.lines().count() > 1 || form == "silences", "{form}: {text}");
    }
    assert!(!saved(&mut page, "geojson").1.contains("LineString"));
    page.act("keep-back", "paths");
    assert!(saved(&mut page, "geojson").1.contains("LineString"));
}

#[test]
fn the_report_says_what_the_page_says() {
    let mut page = opened(Origin::Person);
    let plain = |text: &str| text.replace(['\u{a0}', '\u{202f}'], " ");
    let answer = plain(&page.words("answer"));
    let (name, text) = saved(&mut page, "report");
    assert_eq!(name, "report-Q7TST.html");
    assert!(page.other.iter().any(|it| matches!(it, Patch::Save { media_type: "text/html", .. })));
    let text = plain(&text);
    let said = text.split("<h1>").nth(1).unwrap().split("</h1>").next().unwrap();
    let said = said.rsplit("</span>").next().unwrap().strip_prefix("Q7TST").unwrap();
    assert!(said.contains("240 spots from 3 listeners") && answer.contains(said), "{said}: {answer}");
    // both days are runs of their own, and compared
    page.act("view", "compare");
    let verdict = page.words("answer");
    assert!(text.contains("id=\"compare\"") && verdict.contains("cannot be told apart"), "{verdict}");
    assert!(text.contains("cannot be told apart"), "{text}");
    assert!(text.contains("q7tst-attic.csv:</b> 240 rows read are 240 used"), "{text}");
}

#[test]
fn two_runs_give_their_differences() {
    let mut page = opened(Origin::Person);
    let (_, text) = saved(&mut page, "differences");
    let all = text.lines().nth(1).unwrap();
    // the second day is 6 dB weaker at every listener and hour
    assert!(all.contains(",all,,") && all.contains(",,,-6,"), "{text}");
    assert_eq!(saved(&mut page, "runs").1.lines().count(), 3);
}

#[test]
fn what_is_kept_back_is_in_no_file_and_not_in_the_preview() {
    let mut page = opened(Origin::Person);
    let shown = page.words("middle").replace('\u{a0}', " ");
    for said in [
        "240 spots, 2031-01-16 00:00 to 2031-01-18 09:58 UTC",
        "Tested: Q7TST; others: 3 calls",
        "Locators by characters: 4 of 6",
        "q7tst-attic.csv",
    ] {
        assert!(shown.contains(said), "{said}: {shown}");
    }
    for what in ["places", "calls", "tested", "notes"] {
        page.act("keep-back", what);
    }
    let shown = page.words("middle").replace('\u{a0}', " ");
    // up to the table below it
    let panel = shown.split("the spots shown").nth(1).unwrap().split("Time UTC").next().unwrap();
    for said in
        ["Tested: TESTED1; others: 3 calls, as numbers", "Locators by characters: 4 of 4", "no names", "0 notes"]
    {
        assert!(panel.contains(said), "{said}: {panel}");
    }
    let hidden = ["Q7TST", "Q1ABC", "Q2DEF", "Q3GHI", "JN99FL", "JO10EJ", "IO82IG", "KP20BB", "ATTIC"];
    let clean = |text: &str| {
        let text = text.to_uppercase();
        hidden.iter().all(|word| !text.contains(word))
    };
    assert!(clean(panel), "{panel}");
    for form in offered(&page) {
        let (name, text) = saved(&mut page, &form);
        assert!(clean(&name) && clean(&text), "{name}: {text}");
    }
    // one of them again
    page.act("keep-back", "tested");
    assert!(saved(&mut page, "csv").1.contains("Q7TST,JN99,LISTENER1,JO10,"));
}

#[test]
fn the_sample_is_marked_in_every_form() {
    let mut page = opened(Origin::Sample);
    for form in offered(&page) {
        let (name, text) = saved(&mut page, &form);
        assert!(name.starts_with("SAMPLE-") && text.contains("SAMPLE"), "{name}");
    }
}

#[test]
fn the_panel_closes_by_escape_and_gives_the_focus_back() {
    let mut page = opened(Origin::Person);
    assert!(page.html("middle").contains("id=\"menu-save\""));
    page.act("escape", "");
    assert!(!page.html("middle").contains("id=\"menu-save\""));
    assert!(page.other.contains(&Patch::Focus { id: "open-save".to_owned() }));
    page.act("save", "nonsense");
    page.act("keep-back", "nonsense");
    assert!(!page.other.iter().any(|patch| matches!(patch, Patch::Save { .. })));
}
