//! The whole task by taps on a telephone.

use std::thread;
use std::time::Duration;

use serde_json::{Value, json};

use super::states::equip;
use crate::harness::{Browser, Scratch};

fn phone() -> (Scratch, Browser) {
    let page = Scratch::with_unpacked_page();
    let browser = Browser::start();
    let screen = json!({ "width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": true });
    browser.run("being a telephone", browser.driver().cdp().send_raw("Emulation.setDeviceMetricsOverride", screen));
    let touch = json!({ "enabled": true, "maxTouchPoints": 5 });
    browser.run("having a touch screen", browser.driver().cdp().send_raw("Emulation.setTouchEmulationEnabled", touch));
    browser.open_from_disk(page.path());
    equip(&browser);
    browser.catch_saved();
    (page, browser)
}

fn finger(browser: &Browser, kind: &str, points: &Value) {
    let event = json!({ "type": kind, "touchPoints": points });
    browser.run(kind, browser.driver().cdp().send_raw("Input.dispatchTouchEvent", event));
}

fn tap_at(browser: &Browser, x: f64, y: f64) {
    finger(browser, "touchStart", &json!([{ "x": x, "y": y }]));
    finger(browser, "touchEnd", &json!([]));
}

/// Taps the middle of an element, which nothing may cover, and waits for what it brings.
fn tap(browser: &Browser, selector: &str, until: &str) {
    let place = browser.script("return probe.point(arguments[0]);", vec![json!(selector)]);
    let Ok([x, y]) = serde_json::from_value::<[f64; 2]>(place.clone()) else { panic!("{place}") };
    tap_at(browser, x, y);
    browser.wait_for(until);
}

#[test]
fn the_whole_task_by_taps() {
    let (_page, browser) = phone();
    tap(&browser, "#try-sample", "document.querySelector('#picture-disc') && document.querySelector('#thumb-more')");
    // the offer of the tour would push the Disc down
    tap(&browser, "#tour-leave", "!document.querySelector('#tour-leave')");
    browser.wait_for_ink("canvas[data-picture=disc]", 10);

    tap(&browser, "#thumb-filters", "document.querySelector('#open-band')");
    tap(&browser, "#open-band", "document.querySelector('#menu-band')");
    tap(&browser, "#menu-band li:nth-child(2) button", "document.querySelector('#sheet-clear')");
    tap(&browser, "#filters-close", "!document.querySelector('#filters-close')");
    tap(&browser, "#clear-band", "!document.querySelector('#clear-band')");

    // marks of the Disc: some of these places have one
    browser.script("probe.point('#picture-disc');", Vec::new());
    let about = browser.value("(({ x, y, width, height }) => [x + width / 2, y + height / 2])(document.querySelector('#picture-disc').getBoundingClientRect())");
    let [x, y]: [f64; 2] = serde_json::from_value(about).expect("the middle");
    let pinned = (1..14).any(|n: u32| {
        let (sin, cos) = (f64::from(n) * 2.4).sin_cos();
        let away = 30.0 + 6.0 * f64::from(n);
        tap_at(&browser, x + away * sin, y - away * cos);
        thread::sleep(Duration::from_millis(120));
        browser.value("Boolean(document.querySelector('#sheet #card'))") == json!(true)
    });
    assert!(pinned, "a tap on a mark brings its card");
    tap(&browser, "#card [data-act=unpin]", "!document.querySelector('#card')");

    // the page scrolls under a finger that starts on the Disc
    browser.script("scrollTo(0, 0);", Vec::new());
    assert_eq!(browser.value("document.elementFromPoint(195, 420).id"), "picture-disc");
    finger(&browser, "touchStart", &json!([{ "x": 195, "y": 420 }]));
    for y in (180..420).rev().step_by(20) {
        finger(&browser, "touchMove", &json!([{ "x": 195, "y": y }]));
    }
    finger(&browser, "touchEnd", &json!([]));
    browser.wait_for("scrollY > 100");
    // a tap while the page still glides only stops it
    thread::sleep(Duration::from_millis(600));

    tap(&browser, "#thumb-more", "document.querySelector('#more-close')");
    tap(&browser, "#sheet [data-value=reading]", "document.querySelector('#role-8')");
    let before = browser.value("document.querySelector('#role-8').value");
    // the list of a select is the telephone's own
    browser.script("const it = document.querySelector('#role-8'); it.selectedIndex -= 1; it.dispatchEvent(new Event('change', { bubbles: true }));", Vec::new());
    browser.wait_for("document.querySelector('[data-act=undo]')");
    assert_ne!(browser.value("document.querySelector('#role-8').value"), before);
    tap(&browser, "#reading-close", "document.querySelector('#picture-disc')");

    tap(&browser, "#thumb-compare", "document.querySelector('#how-all')");
    tap(&browser, "#how-all", "document.querySelector('#how-words')");
    tap(&browser, "#how-close", "!document.querySelector('#how-words')");
    tap(&browser, "#split-sectors summary", "document.querySelector('#split-sectors').open");
    tap(&browser, "#thumb-spots", "document.querySelector('#open-save')");
    tap(&browser, "#open-save", "document.querySelector('#save-csv')");
    tap(&browser, "#save-csv", "saved.length === 1");
    assert_eq!(browser.value("saved[0].name"), Value::from("SAMPLE-spots-Q6HUT.csv"));
    browser.expect_quiet_console();
}
