//! What goes wrong in the field, what a person sees then, and what is kept: the table in `DEVELOPERS.md` row by row, as far
//! as other files here do not have it (`keeping.rs`: the store, killed pages; `odd_ways.rs`: no worker, no storage;
//! `large.rs`: helpers that fail).

use std::fs;
use std::io::Write as _;
use std::time::Duration;

use crate::harness::{Browser, Engine, Scratch, in_every_engine};

in_every_engine! {
    a_core_that_stops_while_it_reads_names_the_file_and_what_was_there_stays,
    a_core_that_the_browser_ends_without_a_word_is_started_again_by_cancel,
}

const TWO: &str =
    "utc,sent by,from,heard by,at\n2031-10-11 00:00,Q7TST,IN71,Q1ABC,JO22\n2031-10-11 00:02,Q7TST,IN71,Q2XYZ,JO22\n";
const THREE: &str = "utc,sent by,from,heard by,at\n2031-10-12 00:00,Q7TST,IN71,Q1ABC,JO22\n2031-10-12 00:02,Q7TST,IN71,Q2XYZ,JO22\n2031-10-12 00:04,Q7TST,IN71,Q2XYZ,JO22\n";
/// A file that takes seconds to come in.
const LARGE: usize = 400_000_000;
const PATIENCE: Duration = Duration::from_secs(60);

/// The core cannot read the next event of a kind: it answers that it stopped, as after a trap.
const STOP_AT: &str = "
    const post = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (message, buffers) {
      if (message.event?.kind === STOP) {
        Worker.prototype.postMessage = post;
        return post.call(this, { kind: 'event', event: { kind: 'none that is known' } });
      }
      return post.call(this, message, buffers);
    };";

fn with_two_spots(engine: Engine) -> (Scratch, Browser) {
    let page = Scratch::with_unpacked_page();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(page.path());
    let two = page.file("two.csv", TWO);
    browser.choose(&[&two]);
    two_spots(&browser);
    (page, browser)
}

fn two_spots(browser: &Browser) {
    browser.wait_long_for("document.querySelector('#answer h1')?.textContent.includes('2\\u00a0spots')", PATIENCE);
}

/// Makes the core stop at its next event of this kind.
fn stop_at(browser: &Browser, kind: &str) {
    browser.script(&STOP_AT.replace("STOP", &format!("'{kind}'")), Vec::new());
}

fn a_core_that_stops_while_it_reads_names_the_file_and_what_was_there_stays(engine: Engine) {
    let (page, browser) = with_two_spots(engine);
    stop_at(&browser, "read-on");
    let three = page.file("three.csv", THREE);
    browser.choose(&[&three]);
    browser.wait_for_words("stopped while reading three.csv");
    two_spots(&browser);
    // and it goes on: the same file again
    browser.choose(&[&three]);
    browser.wait_long_for("document.querySelector('[data-act=second][data-value=replace]')", PATIENCE);
    browser.click("[data-act=second][data-value=replace]");
    browser.wait_long_for("document.querySelector('#answer h1')?.textContent.includes('3\\u00a0spots')", PATIENCE);
}

#[test]
fn a_core_that_stops_at_a_click_is_started_again_with_the_files() {
    let (_page, browser) = with_two_spots(Engine::Chromium);
    stop_at(&browser, "act");
    browser.click("[data-act=view][data-value=spots]");
    browser.wait_for_words("stopped");
    two_spots(&browser);
    browser.click("[data-act=view][data-value=spots]");
    browser.wait_for_words("Q2XYZ");
}

#[test]
fn a_file_that_changes_while_it_is_read_is_told_of_and_what_was_there_stays() {
    let (page, browser) = with_two_spots(Engine::Chromium);
    let large = page.path().join("changing.csv");
    let row = b"2031-10-12 00:00,Q7TST,IN71,Q1ABC,JO22\n";
    let mut text = b"utc,sent by,from,heard by,at\n".to_vec();
    text.extend(row.repeat(LARGE / row.len()));
    fs::write(&large, &text).unwrap();
    browser.choose(&[&large]);
    let mut file = fs::OpenOptions::new().write(true).truncate(true).open(&large).unwrap();
    file.write_all(b"something else").unwrap();
    drop(file);
    browser.wait_for_words("changing.csv could not be read");
    browser.wait_long_for("document.getElementById('progress').hidden", PATIENCE);
    two_spots(&browser);
}

/// Chosen, and then taken off with the stick that it was on, before the page read it.
#[test]
fn a_file_that_is_gone_before_it_is_read_is_told_of_and_what_was_there_stays() {
    let (page, browser) = with_two_spots(Engine::Chromium);
    let three = page.file("three.csv", THREE);
    // the change of the field reaches the page when the file is gone
    browser.script(
        "window.addEventListener('change', (event) => {
           if (!event.isTrusted) return;
           event.stopImmediatePropagation();
           window.go = () => event.target.dispatchEvent(new Event('change', { bubbles: true }));
         }, { capture: true });",
        Vec::new(),
    );
    browser.choose(&[&three]);
    browser.wait_for("window.go");
    fs::remove_file(&three).unwrap();
    browser.script("go();", Vec::new());
    browser.wait_for_words("three.csv could not be read");
    two_spots(&browser);
    browser.click("[data-act=view][data-value=spots]");
    browser.wait_for_words("Q2XYZ");
}

#[test]
fn a_page_whose_file_is_gone_goes_on() {
    let (page, browser) = with_two_spots(Engine::Chromium);
    fs::remove_file(page.path().join("index.html")).unwrap();
    browser.click("[data-act=view][data-value=spots]");
    browser.wait_for_words("Q2XYZ");
    browser.expect_quiet_console();
}

#[test]
fn a_clock_that_jumps_changes_nothing() {
    let (page, browser) = with_two_spots(Engine::Chromium);
    browser.script("const now = Date.now; Date.now = () => now() - 864e5 * 400;", Vec::new());
    browser.click("[data-act=view][data-value=spots]");
    browser.wait_for_words("Q2XYZ");
    let three = page.file("three.csv", THREE);
    browser.choose(&[&three]);
    browser.wait_long_for("document.querySelector('[data-act=second][data-value=replace]')", PATIENCE);
    browser.click("[data-act=second][data-value=replace]");
    browser.wait_long_for("document.querySelector('#answer h1')?.textContent.includes('3\\u00a0spots')", PATIENCE);
    browser.expect_quiet_console();
}

/// The worker is ended at the next event of a kind, of which nobody is told; the page's patience is shorter than usual.
const END_AT: &str = "
    const later = window.setTimeout;
    window.setTimeout = (work, ms, ...told) => later(work, ms === 15000 ? 1500 : ms, ...told);
    const post = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (message, buffers) {
      if (message.event?.kind !== KIND) return post.call(this, message, buffers);
      Worker.prototype.postMessage = post;
      this.terminate();
    };";

fn a_core_that_the_browser_ends_without_a_word_is_started_again_by_cancel(engine: Engine) {
    let (page, browser) = with_two_spots(engine);
    let three = page.file("three.csv", THREE);
    for (kind, said) in
        [("act", "Waiting: the core has said nothing"), ("read-on", "three.csv: the core has said nothing")]
    {
        browser.script(&END_AT.replace("KIND", &format!("'{kind}'")), Vec::new());
        if kind == "act" {
            browser.click("[data-act=view][data-value=spots]");
        } else {
            browser.choose(&[&three]);
        }
        browser.wait_for_words(said);
        // at once: the core is not there again yet, but will do it
        browser.script(
            "for (const control of ['[data-page=cancel]', '[data-act=view][data-value=spots]']) {
               document.querySelector(control).click();
             }",
            Vec::new(),
        );
        two_spots(&browser);
        browser.wait_for_words("Q2XYZ");
        browser.click("[data-act=view][data-value=disc]");
    }
    browser.expect_quiet_console();
}

/// Gives the core in the worker so much memory more than it starts with, in pages of 64 kB: then it traps.
const LITTLE_MEMORY: &str = "
    const Module = WebAssembly.Module;
    WebAssembly.Module = function (bytes) {
      // WebAssembly Core Specification 2.0, 5.5: sections are a number, a length, a content; 5 is the memory
      const number = (at) => {
        let [value, shift] = [0, 0];
        for (;; at += 1, shift += 7) {
          value |= (bytes[at] & 127) << shift;
          if (bytes[at] < 128) return [value, at + 1];
        }
      };
      const written = (value) => (value < 128 ? [value] : [(value & 127) | 128, ...written(value >> 7)]);
      for (let at = 8; at < bytes.length;) {
        const [length, from] = number(at + 1);
        if (bytes[at] === 5) {
          const [least] = number(from + 2);
          const content = [1, 1, ...written(least), ...written(least + PAGES)];
          const short = [...bytes.subarray(0, at), 5, ...written(content.length), ...content];
          const whole = new Uint8Array(short.length + bytes.length - from - length);
          whole.set(short);
          whole.set(bytes.subarray(from + length), short.length);
          return new Module(whole);
        }
        at = from + length;
      }
      return new Module(bytes);
    };
    WebAssembly.Module.prototype = Module.prototype;";

/// No answer made up: the core's own trap when the browser gives it no more memory.
#[test]
fn a_core_that_runs_out_of_memory_names_the_file_and_what_was_there_stays() {
    let page = Scratch::with_unpacked_page();
    let browser = Browser::start();
    // 16 MB more
    browser.before_every_worker(&LITTLE_MEMORY.replace("PAGES", "256"));
    browser.open_from_disk(page.path());
    let two = page.file("two.csv", TWO);
    browser.choose(&[&two]);
    two_spots(&browser);
    let row = b"2031-10-12 00:00,Q7TST,IN71,Q1ABC,JO22\n";
    let large = [b"utc,sent by,from,heard by,at\n", &*row.repeat(1_000_000)].concat();
    let large = page.file("large.csv", large);
    browser.choose(&[&large]);
    browser.wait_long_for("document.body.innerText.includes('stopped while reading large.csv')", PATIENCE);
    two_spots(&browser);
    browser.click("[data-act=view][data-value=spots]");
    browser.wait_for_words("Q2XYZ");
    browser.picture("out-of-memory");
}
