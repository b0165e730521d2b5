//! A long day in short: two hundred files dropped one after another, views and filters changed with each, a file saved of
//! each: the page and the core behind it hold no more at the end than near the beginning.
//!
//! `crate/tests/soak.rs` has the core alone, counted to the byte.

use serde_json::{Value, json};

use crate::harness::{Browser, Scratch, Site};

/// Files dropped, each in place of the one before.
const FILES: usize = 200;
/// By then every buffer has the size that it needs.
const SETTLED: usize = 50;

/// The worker tells what memory its core has, on a channel of its own.
const TELL_MEMORY: &str = "
    const Instance = WebAssembly.Instance;
    WebAssembly.Instance = function (module, imports) {
      const made = new Instance(module, imports);
      const channel = new BroadcastChannel('memory');
      channel.onmessage = () => {
        const { memory } = made.exports;
        if (memory) channel.postMessage(memory.buffer.byteLength);
      };
      return made;
    };
    WebAssembly.Instance.prototype = Instance.prototype;";

/// One file after another, as a person would: gives how long each click took to show, in ms.
const USE: &str = "
    const [from, to] = arguments;
    const pause = () => new Promise((resolve) => { setTimeout(resolve, 4); });
    const until = async (holds, what) => {
      const start = performance.now();
      while (!holds()) {
        if (performance.now() - start > 20000) throw new Error(`waited for ${what}: ${document.body.innerText}`);
        await pause();
      }
      return performance.now() - start;
    };
    const $ = (selector) => document.querySelector(selector);
    const file = (number) => {
      const rows = ['utc,sent by,from,power dBm,heard by,at,MHz,SNR dB'];
      for (let spot = 0; spot < 100 + number % 5; spot += 1) {
        const two = (value) => String(value).padStart(2, '0');
        const letter = String.fromCharCode(65 + (spot * 7 + number) % 26);
        rows.push(`2031-${two(number % 12 + 1)}-11 ${two(spot % 24)}:${two(spot % 30 * 2)},Q7TST,IN71,23,Q${spot % 9 + 1}L${letter},JO${spot % 10}${number % 10},${['7.0401', '14.0971'][spot % 2]},-${10 + spot % 18}`);
      }
      return new File([`${rows.join('\\n')}\\n`], `day ${number}.csv`);
    };
    return (async () => {
      const times = [];
      for (let number = from; number < to; number += 1) {
        const dropped = new DataTransfer();
        dropped.items.add(file(number));
        $('#choose').files = dropped.files;
        $('#choose').dispatchEvent(new Event('change', { bubbles: true }));
        if (number) {
          await until(() => $('[data-act=second][data-value=replace]'), 'the question');
          $('[data-act=second][data-value=replace]').click();
        }
        const all = 100 + number % 5;
        const spots = () => $('#answer h1')?.textContent ?? '';
        await until(() => spots().includes(`${all}\\u00a0spots`), `${all} spots`);
        for (const view of [['spots', 'plan', 'health', 'sky'][number % 4], 'disc']) {
          const way = () => $(`#nav-${view}`) || $(`[data-act=view][data-value=${view}]`);
          await until(way, `the way to ${view}`);
          way().click();
          await until(() => document.documentElement.dataset.view === view, view);
        }
        await until(() => $('#legend-40m'), 'the legend');
        $('#legend-40m').click();
        times.push(await until(() => !spots().includes(`${all}\\u00a0spots`), 'one band'));
        await until(() => $('[data-act=clear][data-value=all]'), 'a way back');
        $('[data-act=clear][data-value=all]').click();
        times.push(await until(() => spots().includes(`${all}\\u00a0spots`), 'all bands'));
        $('#keep-save').click();
        await until(() => $('#save-csv'), 'the panel');
        const before = saved.length;
        $('#save-csv').click();
        await until(() => saved.length > before, 'a saved file');
        saved.length = 0;
        $('#keep-save').click();
        await until(() => !$('#save-csv'), 'the panel to close');
      }
      return times;
    })();";

const ASK_MEMORY: &str = "
    return new Promise((resolve) => {
      const channel = new BroadcastChannel('memory');
      channel.onmessage = ({ data }) => { channel.close(); resolve(data); };
      channel.postMessage('how much');
    });";

/// What the page holds: bytes of script, nodes, listeners; bytes of the core's memory.
fn held(browser: &Browser) -> [f64; 4] {
    let ask = |command: &str| browser.run(command, browser.driver().cdp().send_raw(command, json!({})));
    ask("Performance.enable");
    ask("HeapProfiler.collectGarbage");
    let metrics = ask("Performance.getMetrics");
    let of = |name: &str| {
        let all = metrics["metrics"].as_array().expect("metrics");
        let found = all.iter().find(|metric| metric["name"] == name).expect(name);
        found["value"].as_f64().expect("a number")
    };
    let core = browser.script(ASK_MEMORY, Vec::new()).as_f64().expect("bytes");
    [of("JSHeapUsedSize"), of("Nodes"), of("JSEventListeners"), core]
}

fn middle(times: &Value) -> f64 {
    let mut times: Vec<f64> = times.as_array().expect("times").iter().filter_map(Value::as_f64).collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

#[test]
fn two_hundred_files_leave_the_page_as_large_as_fifty() {
    let folder = Scratch::with_unpacked_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    browser.before_every_worker(TELL_MEMORY);
    browser.open(&site.url());
    browser.catch_saved();
    let used = |from: usize, to: usize| {
        let mut times = Value::Null;
        // a driver's script may take half a minute at most
        for from in (from..to).step_by(25) {
            times = browser.script(USE, vec![json!(from), json!(from + 25)]);
            println!("{from}: {:.0} ms", middle(&times));
        }
        times
    };
    let early_times = used(0, SETTLED);
    let early = held(&browser);
    let late_times = used(SETTLED, FILES);
    let late = held(&browser);
    println!("script's bytes, nodes, listeners, core's bytes: {early:?}, then {late:?}");
    println!("a filter shown after {:.0} ms, then {:.0} ms", middle(&early_times), middle(&late_times));
    for ((name, most), (early, late)) in [("script", 1.25), ("nodes", 1.25), ("listeners", 1.25), ("core", 1.1)]
        .into_iter()
        .zip(early.into_iter().zip(late))
    {
        assert!(late < early * most, "{name} grows: {early}, then {late}");
    }
    browser.expect_quiet_console();
}
