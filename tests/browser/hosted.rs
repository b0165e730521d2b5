//! The hosted page: offline after one visit, another version only when the person agrees.

use std::fs;

use crate::harness::{Browser, Engine, Scratch, Site, in_every_engine};

in_every_engine! {
    it_starts_without_a_network_after_one_visit,
}

/// Waits until the service worker has kept the page and answers for it.
fn visit_once(browser: &Browser, site: &Site) {
    browser.open(&site.url());
    browser.wait_for("navigator.serviceWorker.controller !== null");
}

/// Puts another version of the page on the host.
fn publish_another_version(folder: &Scratch) {
    let read = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    folder.file("index.html", read("index.html").replace("<html ", "<html data-version=\"another\" "));
    folder.file("sw.js", read("sw.js").replace("const VERSION = '", "const VERSION = 'another-"));
}

const SHOWN_VERSION: &str = "document.documentElement.dataset.version ?? 'first'";

fn it_starts_without_a_network_after_one_visit(engine: Engine) {
    let folder = Scratch::with_whole_site();
    let mut site = Site::serve(folder.path());
    let browser = Browser::start_in(engine);
    visit_once(&browser, &site);
    site.stop();
    browser.open(&site.url());
    browser.open(&format!("{}?opened-from=elsewhere#with-a-hash", site.url()));
    browser.expect_quiet_console();
}

/// The host lets browsers keep its files for a day, as many do: the new version is still found and comes whole.
#[test]
fn an_old_copy_in_the_cache_of_the_browser_does_not_hide_a_new_version() {
    let folder = Scratch::with_whole_site();
    let site = Site::serve_with(folder.path(), "max-age=86400");
    let browser = Browser::start();
    visit_once(&browser, &site);
    browser.paste(
        "utc,sender,locator,listener,locator\n2031-04-27 12:00,Q7TST,JN99,Q1AA,JO10\n2031-04-27 12:02,Q7TST,JN99,Q2BB,JO11\n",
    );
    browser.wait_for_words("2 spots from 2 listeners");
    publish_another_version(&folder);
    browser.script(
        "return navigator.serviceWorker.ready.then((registration) => registration.update()).then(() => 1);",
        Vec::new(),
    );
    browser.wait_for_words("A new version of this page is ready.");
    assert_eq!(browser.value(SHOWN_VERSION), "first", "told, not done");
    browser.click("[data-act=new-version]");
    browser.wait_for(&format!("({SHOWN_VERSION}) === 'another'"));
    browser.wait_until_ready();
    browser.expect_quiet_console();
}

/// What else lies in the folder, such as a page that somebody shared, is shown as it is.
#[test]
fn other_pages_of_the_folder_are_not_hidden() {
    let folder = Scratch::with_whole_site();
    folder.file("other.html", "<!doctype html><link rel=icon href=data:,><title>Another</title><p>Another page");
    let mut site = Site::serve(folder.path());
    let browser = Browser::start();
    visit_once(&browser, &site);
    let other = format!("{}other.html", site.url());
    browser.run("opening another page", browser.driver().goto(other));
    assert_eq!(browser.value("document.title"), "Another");
    site.stop();
    browser.open(&format!("{}index.html", site.url()));
    browser.expect_quiet_console();
}

#[test]
fn another_version_waits_for_consent() {
    let folder = Scratch::with_whole_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    visit_once(&browser, &site);
    publish_another_version(&folder);

    // The new version arrives while the page is open, and is told, not shown.
    let told = browser.script(
        "const told = new Promise((resolve) => navigator.serviceWorker.addEventListener('message',
           ({ data }) => { if (data.newVersion) resolve('told'); }));
         navigator.serviceWorker.ready.then((registration) => registration.update());
         return told;",
        Vec::new(),
    );
    assert_eq!(told, "told");
    browser.open(&site.url());
    assert_eq!(browser.value(SHOWN_VERSION), "first", "reloading is no consent");
    let elsewhere = "about:blank";
    browser.run("leaving the page", browser.driver().goto(elsewhere));
    browser.open(&site.url());
    assert_eq!(browser.value(SHOWN_VERSION), "first", "closing the page is no consent");

    let answered = browser.script(
        "const answered = new Promise((resolve) => navigator.serviceWorker.addEventListener('message',
           ({ data }) => { if (data.reload) resolve('reload'); }));
         navigator.serviceWorker.ready.then((registration) => registration.active.postMessage('use-new-version'));
         return answered;",
        Vec::new(),
    );
    assert_eq!(answered, "reload");
    browser.open(&site.url());
    assert_eq!(browser.value(SHOWN_VERSION), "another");
    let kept = browser.value("caches.keys().then((names) => names.length)");
    assert_eq!(kept, 2, "the first version is forgotten: what is left is the new one and the note of which is in use");
}
