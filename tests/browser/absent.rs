//! Browsers that lack something: each interface that a browser may be without is taken away, and a plain way remains; a
//! browser that lacks what the page cannot do without gets a sentence.
//!
//! `odd_ways.rs` has the page without a worker and without any store.

use std::fs;
use std::path::Path;

use crate::harness::{Browser, Scratch, Site, sample_file};

/// What is taken away, and how. Those that are taken away together have nothing to do with each other, so that each is missed
/// as it would be alone.
const OPTIONAL: [&[(&str, &str)]; 4] = [
    &[
        ("canvas that a worker draws on", "delete HTMLCanvasElement.prototype.transferControlToOffscreen;"),
        ("clipboard", "Object.defineProperty(navigator, 'clipboard', { value: undefined });"),
        ("service worker", "delete Navigator.prototype.serviceWorker;"),
    ],
    &[
        ("packing", "delete window.CompressionStream; delete window.DecompressionStream;"),
        ("sending on", "delete Navigator.prototype.share; delete Navigator.prototype.canShare;"),
        (
            "language that is one",
            "Object.defineProperty(navigator, 'language', { value: 'C' }); Object.defineProperty(navigator, 'languages', { value: ['C'] });",
        ),
    ],
    &[
        ("locks", "Object.defineProperty(navigator, 'locks', { value: undefined });"),
        ("base64 of its own", "delete Uint8Array.fromBase64;"),
    ],
    &[(
        "database",
        "Object.defineProperty(window, 'indexedDB', { get() { throw new DOMException('no', 'SecurityError'); } });",
    )],
];

/// Opens files, looks at the Disc and at Compare, saves: what every browser must be able to do.
fn whole_task(browser: &Browser, lacks: &str) {
    browser.choose_sample_files();
    browser.wait_for_ink("canvas[data-picture=disc]", 10);
    browser.click("#nav-compare");
    browser.wait_for("document.querySelector('canvas[data-picture=intervals]')");
    browser.click("#keep-save");
    let (name, bytes) = browser.save("#save-csv");
    assert_eq!(name, "spots-Q6HUT.csv", "without {lacks}");
    assert!(bytes.len() > 100_000, "without {lacks}");
    browser.click("#keep-save");
    let (name, _) = browser.save("#keep-work");
    assert!(name.starts_with("work-Q6HUT.json"), "without {lacks}: {name}");
    let errors: Vec<_> = browser.console().into_iter().filter(|line| line.contains("Uncaught")).collect();
    assert!(errors.is_empty(), "without {lacks}: {errors:#?}");
}

#[test]
fn without_interfaces_that_may_be_absent_the_whole_task_is_done() {
    let folder = Scratch::with_unpacked_site();
    for taken in OPTIONAL {
        let site = Site::serve(folder.path());
        let browser = Browser::start();
        for (_, script) in taken {
            browser.before_every_page(script);
        }
        browser.open(&site.url());
        let lacks: Vec<&str> = taken.iter().map(|(what, _)| *what).collect();
        whole_task(&browser, &lacks.join(", "));
    }
}

/// Without locks the work is kept all the same.
#[test]
fn without_locks_the_work_is_there_again_after_a_reload() {
    let folder = Scratch::with_unpacked_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    browser.before_every_page("Object.defineProperty(navigator, 'locks', { value: undefined });");
    browser.open(&site.url());
    browser.choose(&[&sample_file("control-beacon-two-days.csv")]);
    browser.wait_for_words("3 378 spots");
    browser.wait_for("document.documentElement.dataset.kept");
    browser.open(&site.url());
    browser.wait_for_words("3 378 spots");
    browser.expect_quiet_console();
}

/// What the page says where it cannot start.
fn sentence(browser: &Browser, page: &Path) -> String {
    let address = format!("file://{}", page.display());
    browser.run("opening a page that does not start", browser.driver().goto(&address));
    browser.wait_for("getComputedStyle(document.getElementById('failed')).visibility === 'visible'");
    browser.text("#failed")
}

#[test]
fn a_browser_too_old_gets_a_sentence() {
    let folder = Scratch::with_page_alone();
    let page = fs::read_to_string(folder.path().join("index.html")).unwrap();
    // words that an old browser does not know; the policy, too, would not let this script run
    assert_eq!(page.matches("new ResizeObserver(").count(), 1);
    let unknown = folder.file("unknown.html", page.replace("new ResizeObserver(", "¿("));
    let damaged = folder.file("damaged.html", page.replacen("id=\"core-wasm\">", "id=\"core-wasm\">AAAA", 1));
    let browser = Browser::start();
    let said = sentence(&browser, &unknown);
    assert!(said.starts_with("This page has not started: it needs a browser of 2023 or newer."), "{said}");
    browser.picture("too-old");
    let said = sentence(&browser, &damaged);
    assert!(said.starts_with("The core stopped again and again"), "{said}");
    assert!(said.contains("It needs a browser of 2023 or newer"), "{said}");
    browser.picture("core-damaged");
    browser.before_every_page("delete window.ResizeObserver;");
    let said = sentence(&browser, &folder.path().join("index.html"));
    assert!(said.starts_with("This page has not started"), "{said}");
}
