//! The report as a file: opened from a disk where no script runs, on a phone's width, on paper, by the rules of WCAG.

use serde_json::json;

use crate::access::rules::look;
use crate::access::states::equip;
use crate::harness::{Browser, Scratch};
use crate::paper::{PAPERS, sheets};

/// What would run, ask or paint where a page allows it.
const INTRUDERS: &str =
    "<script>document.title = 'ran'</script><img src=\"nothing.png\" onerror=\"document.title = 'ran'\">";

/// Is everything as wide as the window?
const NOT_SIDEWAYS: &str = "document.documentElement.scrollWidth === document.documentElement.clientWidth";

/// The report of the sample, saved from the page on a dark screen, and the answer that the page gives.
fn saved() -> (Browser, Scratch, String, String) {
    let (browser, folder) = Browser::start_in_the_dark();
    let answer = browser.value("document.querySelector('#answer-line').textContent");
    browser.click("#nav-spots");
    browser.wait_for("document.querySelector('#open-save')");
    browser.click("#open-save");
    let (name, bytes) = browser.save("#save-report");
    assert_eq!(name, "SAMPLE-report-Q6HUT.html");
    assert_eq!(browser.value("saved[0].blob.type"), "text/html");
    let answer = answer.as_str().expect("a text").to_owned();
    (browser, folder, String::from_utf8(bytes).expect("text"), answer)
}

/// Opens a file from the disk.
fn open(browser: &Browser, folder: &Scratch, text: &str) {
    let file = folder.file("report.html", text);
    browser.run("opening the report", browser.driver().goto(format!("file://{}", file.display())));
}

fn scripts(browser: &Browser, off: bool) {
    let wish = json!({ "value": off });
    browser.run("switching scripts", browser.driver().cdp().send_raw("Emulation.setScriptExecutionDisabled", wish));
}

#[test]
fn the_report_opens_anywhere_and_prints_on_two_sheets() {
    let (browser, folder, text, answer) = saved();
    browser.expect_quiet_console();
    drop(browser.requested());
    scripts(&browser, true);
    open(&browser, &folder, &text);
    assert_eq!(browser.text("h1").replace(char::is_whitespace, " "), answer.replace(char::is_whitespace, " "));
    let heads = browser.value("[...document.querySelectorAll('h2')].map((head) => head.firstChild.textContent.trim())");
    let expected = ["Disc", "Bearings", "Bands", "Hours", "Compare", "How it was sent", "How it was read", "Cautions"];
    assert_eq!(heads, json!(expected));
    // light on a dark screen, by a style that its policy lets through
    assert_eq!(browser.value("getComputedStyle(document.documentElement).backgroundColor"), "rgb(255, 255, 255)");
    assert_eq!(browser.value("getComputedStyle(document.querySelector('table')).borderCollapse"), "separate");
    for (width, height) in [(1440, 900), (390, 844), (320, 640)] {
        browser.resize(width, height);
        assert_eq!(browser.value(NOT_SIDEWAYS), true, "{width} pixels wide");
        // each picture is whole
        let cut = "[...document.querySelectorAll('svg')].filter((it) => it.getBoundingClientRect().right > innerWidth).length";
        assert_eq!(browser.value(cut), 0);
    }
    browser.resize(1440, 900);
    let apart = browser.value(
        "(() => {
           const [plot, table] = ['svg[role]', 'table'].map((it) => document.querySelector('.compare ' + it).getBoundingClientRect());
           const rows = [...document.querySelectorAll('.compare tbody tr')].map((it) => it.getBoundingClientRect());
           const own = rows.map((row, at) => Math.abs(row.bottom - (plot.top + 28 + 28 * (at + 1))));
           return plot.right < table.left && Math.max(...own) < 1.5;
         })()",
    );
    assert_eq!(apart, true, "plot and table stand side by side, row by row");
    for paper in PAPERS {
        assert_eq!(sheets(&browser, paper), 2, "sheets of {paper:?} inches");
    }
    let asked = browser.requested();
    assert!(asked.len() == 1 && asked[0].ends_with("/report.html"), "{asked:?}");
    browser.expect_quiet_console();
}

#[test]
fn its_policy_stops_what_would_run_in_it_and_no_rule_finds_fault() {
    let (browser, folder, text, _) = saved();
    open(&browser, &folder, &text.replace("</main>", &format!("{INTRUDERS}</main>")));
    let title = browser.value("document.title");
    assert!(title.as_str().is_some_and(|title| title.starts_with("SAMPLE, made up. Farheard report")), "{title}");
    let stopped = browser.console().iter().filter(|line| line.contains("Content Security Policy")).count();
    assert!(stopped >= 2, "script and picture are stopped: {stopped}");
    open(&browser, &folder, &text);
    equip(&browser);
    let mut found = look(&browser, &[]);
    browser.resize(390, 844);
    found.extend(look(&browser, &[]));
    browser.script("document.querySelector('details').open = true", Vec::new());
    found.extend(look(&browser, &[]));
    assert!(found.is_empty(), "{found:#?}");
    assert_eq!(browser.value(NOT_SIDEWAYS), true, "with the table of hours open");
}
