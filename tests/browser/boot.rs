//! The page starts, and asks the network for nothing.

use std::fs;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};

use crate::harness::{Browser, Engine, Scratch, Site, in_every_engine};

in_every_engine! {
    its_policy_stops_fetches_foreign_images_handlers_scripts_and_eval,
}

/// What a hosted page may ask its own host for: itself, and what makes it start offline.
const OWN_FILES: [&str; 3] = ["GET /", "GET /sw.js", "GET /manifest.webmanifest"];

#[test]
fn it_starts_from_disk_with_nothing_beside_it() {
    let folder = Scratch::with_page_alone();
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    browser.expect_quiet_console();
    let others: Vec<_> = browser.requested().into_iter().filter(|it| !it.ends_with("/index.html")).collect();
    assert!(others.is_empty(), "asked for {others:?}");
}

#[test]
fn it_starts_from_a_web_host_and_asks_for_its_own_files_only() {
    let folder = Scratch::with_whole_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    browser.open(&site.url());
    browser.value("navigator.serviceWorker.ready.then(() => true)");
    browser.expect_quiet_console();
    let requests = site.requests();
    assert!(requests.iter().any(|it| it == "GET /"), "the host saw the page's own request");
    let others: Vec<_> = requests.iter().filter(|it| !OWN_FILES.contains(&it.as_str())).collect();
    assert!(others.is_empty(), "asked for {others:?}");
    let foreign: Vec<_> = browser.requested().into_iter().filter(|it| !it.starts_with(&site.url())).collect();
    assert!(foreign.is_empty(), "asked for {foreign:?}");
}

#[test]
fn it_says_how_to_check_it() {
    let folder = Scratch::with_page_alone();
    let page = fs::read_to_string(folder.path().join("index.html")).unwrap();
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    let foot = browser.text("#footer");
    let sum = foot.split_once("SHA-256 ").unwrap().1.get(..64).unwrap();
    assert_eq!(page.matches(sum).count(), 1, "{sum} stands in the file once");
    browser.click("[data-page=check]");
    browser.wait_for("document.getElementById('check').open");
    browser.wait_for_words("Content-Security-Policy");
    browser.click("#check button");
    browser.wait_for("!document.getElementById('check').open");
    browser.expect_quiet_console();
}

/// The first byte in which what the page's own unpacker gives, all at once and by halves, differs from the module that is
/// handed over; -1 if it does in none.
const UNPACK: &str = "
    const text = (id) => document.getElementById(id).textContent;
    const unpack = unpackerOf(text('core-unpacker'));
    const [whole, first, second] = [undefined, 1, 2].map((half) => unpack(text('core-wasm'), half));
    const expected = fromText(arguments[0]);
    if (Math.abs(first.length - second.length) > expected.length / 4) return 'one half takes most of it';
    return [whole, [...first, ...second]].map((module) => {
      if (module.length !== expected.length) return module.length;
      return module.findIndex((byte, at) => byte !== expected[at]);
    });";

/// The same core cut short: what the unpacker says of it.
const UNPACK_DAMAGED: &str = "
    const text = (id) => document.getElementById(id).textContent;
    try {
      return unpackerOf(text('core-unpacker'))(text('core-wasm').slice(0, 4000)).length;
    } catch (error) {
      return error.message;
    }";

/// The builder checks its own unpacker; this is the one that was compiled for the page.
#[test]
fn the_compiled_unpacker_gives_the_module_that_the_builder_has() {
    let folder = Scratch::with_page_alone();
    let page = fs::read_to_string(folder.path().join("index.html")).unwrap();
    let (_, after) = page.split_once("id=\"core-wasm\">").unwrap();
    let (packed, _) = after.split_once('<').unwrap();
    let module = farheard_guess::unpack(&STANDARD.decode(packed).unwrap()).unwrap();
    assert!(module.starts_with(b"\0asm"));
    // by this sum the page knows what it kept of the module
    assert!(page.contains(&format!("data-sum=\"{:x}\" id=\"core-wasm\"", Sha256::digest(&module))));
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    assert_eq!(browser.script(UNPACK, vec![json!(STANDARD.encode(&module))]), json!([-1, -1]));
    assert_eq!(browser.script(UNPACK_DAMAGED, vec![]), json!("the packed part of the page is damaged"));
}

/// What the core's worker is told at the start: whether it got the second half of the core from another worker.
const HEAR_OF_HALVES: &str = "
    window.halves = [];
    const post = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (message, transfer) {
      if (message.kind === 'start') halves.push(Boolean(message.second));
      return post.call(this, message, transfer);
    };";

/// Where one worker has to do it all: on a machine of one core, and where the other ends without a word.
const ALONE: [&str; 2] = [
    "Object.defineProperty(navigator, 'hardwareConcurrency', { value: 1 });",
    "{
       const post = Worker.prototype.postMessage;
       Worker.prototype.postMessage = function (message, transfer) {
         if (message.half === 2) return this.terminate();
         return post.call(this, message, transfer);
       };
     }",
];

#[test]
fn two_workers_unpack_half_of_the_core_each_or_one_does_it_all() {
    let folder = Scratch::with_page_alone();
    for (before, halves) in [("", true), (ALONE[0], false), (ALONE[1], false)] {
        let browser = Browser::start();
        browser.before_every_page(&format!("if (location.protocol === 'file:') {{ {HEAR_OF_HALVES} {before} }}"));
        browser.open_from_disk(folder.path());
        assert_eq!(browser.value("halves"), json!([halves]), "{before}");
        browser.click("#try-sample");
        browser.wait_for("document.querySelector('#picture-disc')");
        browser.expect_quiet_console();
    }
}

/// Tries each way out and gives the directive that stopped it, from the browser's violation events.
const TRY_TO_GET_OUT: &str = "
    const stopped = new Promise((resolve) => {
      const seen = [];
      document.addEventListener('securitypolicyviolation', (event) => {
        seen.push(event.effectiveDirective);
        if (seen.length === 5) resolve(seen.sort());
      });
      setTimeout(() => resolve(seen.sort()), 5000);
    });
    fetch(arguments[0] + 'fetched').catch(() => {});
    new Image().src = arguments[0] + 'shown.png';
    const handler = document.createElement('p');
    handler.setAttribute('onclick', 'document.title = \"taken\"');
    document.body.append(handler);
    handler.click();
    const script = document.createElement('script');
    script.textContent = 'document.title = \"taken\"';
    document.body.append(script);
    // not within this script: a driver's own may evaluate
    setTimeout(() => { try { window.eval('document.title = \"taken\"'); } catch { /* that is right */ } });
    return stopped;";

fn its_policy_stops_fetches_foreign_images_handlers_scripts_and_eval(engine: Engine) {
    let folder = Scratch::with_page_alone();
    let elsewhere = Site::serve(folder.path());
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    let stopped = browser.script(TRY_TO_GET_OUT, vec![json!(elsewhere.url())]);
    assert_eq!(stopped, json!(["connect-src", "img-src", "script-src", "script-src-attr", "script-src-elem"]));
    assert_eq!(elsewhere.requests(), Vec::<String>::new(), "nothing got out");
    assert_ne!(browser.value("document.title"), Value::from("taken"));
}
