//! Nothing leaves the machine: a full session from a disk, behind a proxy that writes down every request, to whatever
//! host; and by the browser's own log.

use std::time::Duration;

use crate::harness::{Browser, Engine, Proxy, Scratch, in_every_engine};

in_every_engine! {
    a_full_session_asks_for_nothing,
}

/// Whom browsers ask by themselves when they start, page or no page: their makers, and the search that Debian gives them.
const OF_THE_BROWSER: [&str; 7] = [
    ".mozilla.com",
    ".mozilla.org",
    ".mozilla.net",
    ".google.com",
    ".googleapis.com",
    ".gstatic.com",
    ".duckduckgo.com",
];

fn a_full_session_asks_for_nothing(engine: Engine) {
    let folder = Scratch::with_page_alone();
    let proxy = Proxy::listen();
    let browser = Browser::start_behind(engine, &proxy);
    browser.open_from_disk(folder.path());
    session(&browser);
    if engine == Engine::Chromium {
        let others: Vec<_> = browser.requested().into_iter().filter(|it| !it.ends_with("/index.html")).collect();
        assert!(others.is_empty(), "by the browser's own log: {others:?}");
    }
    std::thread::sleep(Duration::from_secs(1));
    let asked: Vec<_> = proxy
        .requests()
        .into_iter()
        .filter(|asked| !OF_THE_BROWSER.iter().any(|maker| asked.contains(maker)))
        .collect();
    assert!(asked.is_empty(), "asked for {asked:?}");
    // and it would have been seen: what the address line asks for, on this machine too
    for address in ["http://farheard.test/", "http://127.0.0.1:48123/"] {
        browser.attempt(browser.driver().goto(address));
        let wanted = format!("GET {address}");
        assert!(proxy.requests().contains(&wanted), "{:?} has {wanted}", proxy.requests());
    }
}

/// Every view, filters, corrections, a name, pictures, tables, reports, a work file, a page to share, and all of it again.
fn session(browser: &Browser) {
    browser.choose_sample_files();
    browser.catch_saved();
    browser.click("#legend-40m");
    browser.wait_for("document.querySelector('#clear-all')");
    browser.all_that_is_shown();
    browser.click("#clear-all");
    browser.click("#nav-compare");
    browser.wait_for("document.querySelector('canvas[data-picture=intervals]')");
    browser.click("#keep-save");
    for form in ["report", "csv", "geojson", "svg", "svg-work", "png-1", "page"] {
        browser.save(&format!("#save-{form}"));
    }
    browser.click("#keep-save");
    let (_, work) = browser.save("#keep-work");
    let kept = Scratch::new();
    let file = kept.file("work.json.gz", work);
    browser.drop_files("#main", &[&file]);
    browser.wait_for("document.querySelector('[data-act=second][data-value=replace]')");
    browser.click("[data-act=second][data-value=replace]");
    browser.wait_for("!document.querySelector('[data-act=second]')");
    browser.paste("utc,sent by,from,heard by,at,remark\n2031-10-11 00:00,Q7TST,IN71,Q1ABC,JO22,http://farheard.test/x\n2031-10-11 00:02,Q7TST,IN71,Q2XYZ,JO22,http://farheard.test/y\n");
    browser.wait_for("document.querySelector('[data-act=second][data-value=replace]')");
    browser.click("[data-act=second][data-value=replace]");
    browser.wait_for_words("2 spots from 2 listeners");
    browser.click("#foot-keep");
    browser.wait_for("document.querySelector('#notice-keep')");
    browser.click("#notice-keep");
    browser.wait_for("document.documentElement.dataset.kept");
}
