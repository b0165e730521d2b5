//! A run's time by hand: handles and spans drawn on the strip of the run editor.

use crate::harness::{Browser, Engine, Scratch, in_every_engine};

in_every_engine! {
    a_handle_is_dragged_and_moved_by_keys,
}

fn editor_of_the_sample(engine: Engine) -> (Scratch, Browser) {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    browser.click("#try-sample");
    browser.wait_for("document.querySelector('#run-open-1')");
    browser.click("#run-open-1");
    browser.wait_for("document.querySelector('#picture-run-time')");
    browser.wait_for_ink("#picture-run-time", 3);
    (folder, browser)
}

fn field(browser: &Browser, id: &str) -> String {
    browser.value(&format!("document.getElementById('{id}').value")).as_str().unwrap_or_default().to_owned()
}

fn a_handle_is_dragged_and_moved_by_keys(engine: Engine) {
    let (_folder, browser) = editor_of_the_sample(engine);
    let before = field(&browser, "run-1-from");
    browser.drag("#handle-run-from-min", None, -60);
    browser.wait_for(&format!("document.getElementById('run-1-from').value < '{before}'"));
    assert_eq!(browser.value("document.activeElement.id"), "handle-run-from-min");
    let dragged = field(&browser, "run-1-from");
    browser.press_key("#handle-run-from-min", "ArrowRight");
    browser.wait_for(&format!("document.getElementById('run-1-from').value > '{dragged}'"));
    browser.press_key("#handle-run-from-min", "Home");
    browser.wait_for("document.getElementById('run-1-from').value === ''");
    browser.expect_quiet_console();
}

#[test]
fn a_span_is_drawn_across_the_strip() {
    let (_folder, browser) = editor_of_the_sample(Engine::Chromium);
    browser.drag("#picture-run-time", Some((-200, -10)), 120);
    browser.wait_for("document.getElementById('run-1-to').value.startsWith('2031-10-1')");
    let (from, to) = (field(&browser, "run-1-from"), field(&browser, "run-1-to"));
    assert!(from < to, "{from} to {to}");
    let share = "(id) => Number(document.getElementById(id).dataset.left)";
    let width = format!(
        "(({share})('handle-run-to-min') - ({share})('handle-run-from-min')) * (document.getElementById('run-strip').clientWidth - 16)"
    );
    let pixels = browser.value(&width).as_f64().unwrap_or(0.0);
    assert!((pixels - 120.0).abs() < 12.0, "the span is as wide as it was drawn, to a step: {pixels}");
    browser.expect_quiet_console();
}
