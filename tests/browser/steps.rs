//! Steps taken back and done again through the browser's own history, from disk and from a web host; the tour by
//! keyboard alone; a listener pinned in one view and marked in the others.

use serde_json::json;

use crate::harness::{Browser, Engine, Scratch, Site, in_every_engine};

in_every_engine! {
    back_and_forward_from_disk,
}

/// Keys as WebDriver names them (W3C WebDriver, 17.4.2 Keyboard actions).
const ENTER: &str = "\u{e007}";
const ESCAPE: &str = "\u{e00c}";

fn show_sample(browser: &Browser) {
    browser.wait_until_ready();
    browser.click("#try-sample");
    browser.wait_for("document.querySelector('#count')?.textContent.startsWith('5\u{202f}610 of')");
}

fn wait_for_count(browser: &Browser, count: &str) {
    browser.wait_for(&format!("document.querySelector('#count')?.textContent.startsWith({})", json!(count)));
}

/// Back or Forward, as the browser's buttons do it.
fn go(browser: &Browser, by: i32) {
    browser.script(&format!("history.go({by})"), vec![]);
}

/// With the sample open: a band less, another view, a pin, and all of it back and on again.
fn back_and_forward(browser: &Browser) {
    show_sample(browser);
    let entries = browser.value("history.length").as_u64().expect("a number");
    browser.click("#legend-40m");
    wait_for_count(browser, "4\u{202f}198 of");
    browser.click("#nav-spots");
    browser.wait_for("document.querySelector('#spots-table')");
    browser.click("#spots-table tbody button");
    browser.wait_for("document.querySelector('#spots-table tr.marked')");
    browser.wait_for(&format!("history.length === {}", entries + 3));
    go(browser, -1);
    browser.wait_for("document.querySelector('#spots-table') && !document.querySelector('#spots-table tr.marked')");
    go(browser, -1);
    browser.wait_for("document.querySelector('#picture-disc')");
    wait_for_count(browser, "4\u{202f}198 of");
    go(browser, -1);
    wait_for_count(browser, "5\u{202f}610 of");
    browser.wait_for("location.hash === ''");
    go(browser, 3);
    browser.wait_for("document.querySelector('#spots-table tr.marked')");
    // keys and buttons lead through the same entries
    browser.press_with_control("z");
    browser.wait_for("document.querySelector('#spots-table') && !document.querySelector('#spots-table tr.marked')");
    browser.wait_for("history.state.step === 2");
    browser.click("#bar-undo-step");
    browser.wait_for("document.querySelector('#picture-disc') && history.state.step === 1");
    browser.press_with_control("y");
    browser.wait_for("document.querySelector('#spots-table') && history.state.step === 2");
    assert_eq!(browser.value("history.length").as_u64(), Some(entries + 3), "no entry but for steps");
    // an address changed by hand is a step too
    browser.script("location.hash = 'bands=40m'", vec![]);
    wait_for_count(browser, "1\u{202f}412 of");
    browser.wait_for("history.state?.step === 3");
    go(browser, -1);
    wait_for_count(browser, "4\u{202f}198 of");
    browser.expect_quiet_console();
}

fn back_and_forward_from_disk(engine: Engine) {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    back_and_forward(&browser);
}

#[test]
fn back_and_forward_on_a_web_host() {
    let folder = Scratch::with_unpacked_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    browser.open(&site.url());
    back_and_forward(&browser);
}

#[test]
fn before_the_first_step_back_leaves_the_page() {
    let folder = Scratch::with_unpacked_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    let elsewhere = format!("{}manifest.webmanifest", site.url());
    browser.run("going elsewhere first", browser.driver().goto(&elsewhere));
    browser.open(&site.url());
    show_sample(&browser);
    browser.click("#nav-spots");
    browser.wait_for("document.querySelector('#spots-table')");
    go(&browser, -1);
    browser.wait_for("document.querySelector('#picture-disc')");
    go(&browser, -1);
    browser.wait_for("location.pathname.endsWith('webmanifest')");
}

/// Many quick changes stay within what browsers allow, and nothing breaks.
#[test]
fn a_hundred_quick_steps_are_no_flood() {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    show_sample(&browser);
    let many = "for (let n = 0; n < 60; n += 1) { document.getElementById('nav-spots').click(); document.getElementById('nav-disc').click(); }";
    browser.script(many, vec![]);
    // what comes last is answered last
    browser.script("document.getElementById('zone-local').click()", vec![]);
    browser
        .wait_for("document.querySelector('#zone-local[aria-pressed=true]') && document.querySelector('#legend-40m')");
    browser.click("#legend-40m");
    wait_for_count(&browser, "4\u{202f}198 of");
    browser.press_with_control("z");
    wait_for_count(&browser, "5\u{202f}610 of");
    go(&browser, -1);
    browser.wait_for("document.querySelector('#bar-redo-step')");
    browser.expect_quiet_console();
}

#[test]
fn the_tour_goes_by_keyboard_and_is_left_by_escape() {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    show_sample(&browser);
    browser.write("#tour-next", ENTER);
    for (words, mark) in [
        ("How far", "picture-disc"),
        ("Which part", "part-band"),
        ("Which antenna", "nav-compare"),
        ("How it came about", "how-words"),
    ] {
        browser.wait_for(&format!("document.getElementById('notice').innerText.includes('{words}')"));
        browser.wait_for(&format!("document.querySelector('.told-of')?.id === '{mark}'"));
        assert_eq!(browser.value("document.activeElement.id"), "tour-next", "{words}");
        browser.picture(&format!("tour-{mark}"));
        if mark != "how-words" {
            browser.write("#tour-next", ENTER);
        }
    }
    browser.write("#tour-next", ESCAPE);
    browser.wait_for("document.getElementById('notice').innerText.trim() === ''");
    assert_eq!(browser.value("document.activeElement.id"), "middle");
    assert_eq!(browser.value("document.querySelectorAll('.told-of').length"), 0);
    // the words of the trade are at hand
    browser.click("[data-page=words]");
    browser.wait_for("document.getElementById('terms').open");
    browser.write("#terms button", ENTER);
    browser.wait_for("!document.getElementById('terms').open");
    browser.expect_quiet_console();
}

#[test]
fn a_listener_pinned_in_compare_is_marked_everywhere() {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    show_sample(&browser);
    browser.click("#nav-compare");
    browser.wait_for("document.querySelector('#picture-by-listener')");
    browser.wait_for_ink("#picture-by-listener", 3);
    browser.press_key("#picture-by-listener", "Home");
    browser.press_key("#picture-by-listener", "Enter");
    browser.wait_for("document.getElementById('live').textContent === 'Pinned.'");
    browser.click("#twin-by-listener");
    browser.wait_for("document.querySelector('tr.marked button[aria-pressed=true]')");
    let call = browser.text("tr.marked button");
    browser.click("#nav-disc");
    browser.wait_for(&format!("document.getElementById('card')?.innerText.includes({})", json!(call)));
    browser.click("#nav-spots");
    browser.wait_for("document.querySelector('#rows-listeners')");
    browser.click("#rows-listeners");
    browser.wait_for("document.querySelector('#spots-table tr.marked')");
    assert_eq!(browser.text("#spots-table tr.marked button"), call);
    // and from the table it goes again
    browser.click("#spots-table tr.marked button");
    browser.wait_for("!document.querySelector('#spots-table tr.marked')");
    browser.expect_quiet_console();
}

/// A table is put in another order by its headings, keeps it while figures change, and is copied as it stands.
#[test]
fn a_table_is_sorted_by_its_headings() {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    show_sample(&browser);
    let column = |at: usize| {
        let texts = format!(
            "Array.from(document.querySelectorAll('table.bands tbody tr'), (row) => row.cells[{at}].textContent)"
        );
        let texts: Vec<String> = serde_json::from_value(browser.value(&texts)).expect("texts of cells");
        texts
    };
    let figures =
        || column(1).iter().map(|text| text.replace('\u{202f}', "").parse().expect("a count")).collect::<Vec<u32>>();
    let rising = |figures: &[u32]| figures.is_sorted();
    let bands = column(0);
    let heading = "table.bands thead th:nth-child(2) button";
    let press = || {
        browser.script("const it = document.querySelector(arguments[0]); it.focus(); it.click();", vec![json!(heading)])
    };
    press();
    browser.wait_for("document.querySelector('table.bands th:nth-child(2)').ariaSort === 'descending'");
    assert!(rising(&figures().into_iter().rev().collect::<Vec<_>>()), "{:?}", figures());
    press();
    browser.wait_for("document.querySelector('table.bands th:nth-child(2)').ariaSort === 'ascending'");
    assert!(rising(&figures()), "{:?}", figures());
    assert_eq!(browser.value("document.activeElement.textContent"), json!("Spots"), "the focus stays");
    // another filter: other figures, the same order
    browser.click("#legend-30m");
    wait_for_count(&browser, "4\u{202f}191 of");
    assert!(rising(&figures()), "{:?}", figures());
    assert_eq!(figures()[0], 0, "the band left out comes first now");
    browser.script("document.querySelector('table.bands th button').click()", vec![]);
    let mut names = column(0);
    assert_ne!(names, bands);
    names.sort();
    let mut all = bands;
    all.sort();
    assert_eq!(names, all, "no row is lost");
    browser.expect_quiet_console();
}
