//! The main job, from a file to the answer: every way in, from disk and from a web host, with the network off.
//! The numbers on the page are those of the native readout.

use std::cell::RefCell;

use farheard::draw::{Antenna, Palette, Theme};
use farheard::share::readout::{Input, Readout, Request};
use farheard::words::number;
use serde_json::{Value, json};

use crate::harness::{Browser, Engine, Scratch, Site, in_every_engine, sample_file};

in_every_engine! {
    every_way_in_from_disk_gives_the_numbers_of_the_readout,
    every_way_in_from_a_web_host_gives_the_numbers_of_the_readout,
    everything_works_with_the_network_off,
    marks_stand_where_the_listeners_are,
}

/// An invented test: one sender, three listeners on three bands, each heard more than once.
const ROWS: &str = "\
utc;sender;sender locator;power dBm;listener;listener locator;frequency MHz;SNR dB
2031-04-27 06:00;Q7TST;JN99fl;23;Q1AA;JO21cd;7.040100;-18
2031-04-27 06:02;Q7TST;JN99fl;23;Q2BB;KP20le;10.140200;-21
2031-04-27 06:04;Q7TST;JN99fl;23;Q3CC;JN63ab;14.097100;-9
2031-04-27 06:20;Q7TST;JN99fl;23;Q1AA;JO21cd;7.040100;-17
2031-04-27 06:22;Q7TST;JN99fl;23;Q2BB;KP20le;10.140200;-24
2031-04-27 06:24;Q7TST;JN99fl;23;Q3CC;JN63ab;14.097100;-12
2031-04-27 06:24;Q7TST;JN99fl;23;Q3CC;JN63ab;14.097100;-12
2031-04-27 06:44;Q7TST;JN99fl;23;<...>;;14.097100;-20
";

/// What the native readout says of some files.
fn native(files: &[(&str, &[u8])]) -> Value {
    let request = Request { list: true, ..Request::default() };
    let inputs: Vec<Input> =
        files.iter().map(|(name, content)| Input { name: (*name).to_owned(), bytes: content.to_vec() }).collect();
    let readout = Readout::of(&inputs, request);
    serde_json::from_str(&readout.json()).expect("the readout is JSON")
}

fn figure(value: &Value) -> String {
    value.as_f64().map_or_else(|| number::MISSING.to_owned(), number::whole)
}

/// Waits for the answer and holds the page's numbers against the readout's.
fn expect_numbers(browser: &Browser, read: &Value) {
    let spots = figure(&read["spots"]);
    browser.wait_for(&format!(
        "document.querySelector('#answer h1')?.textContent.includes({})",
        json!(format!("{spots}\u{a0}spots"))
    ));
    let answer = browser.text("#answer h1");
    let station = read["station"]["call"].as_str().expect("a station");
    assert!(answer.starts_with(station), "{answer}");
    for part in [
        format!("{} listeners", figure(&read["listeners"])),
        format!("farthest {} km", figure(&read["reach"]["farthest_km"])),
    ] {
        assert!(answer.replace('\u{a0}', " ").contains(&part), "{answer} should say {part}");
    }
    let rows = browser.value("[...document.querySelectorAll('table.bands tbody tr')].map((row) => [...row.children].map((cell) => cell.innerText.trim()))");
    let wanted: Vec<Vec<String>> = read["bands"]
        .as_array()
        .expect("bands")
        .iter()
        .map(|band| {
            let name = band["band"].as_str().expect("a name").trim_end_matches('m');
            let mut row = vec![format!("{name}\u{a0}m")];
            for key in ["spots", "listeners", "median_km", "farthest_km", "median_snr_1w_db"] {
                row.push(figure(&band[key]));
            }
            row
        })
        .collect();
    assert_eq!(rows, json!(wanted));
    let sum = browser.value("[...document.querySelectorAll('#left dl dd')].map((it) => it.innerText.trim())");
    let files = read["files"].as_array().expect("files");
    let total = |key: &str| files.iter().filter_map(|file| file[key].as_u64()).sum::<u64>();
    let aside: usize = files.iter().map(|file| file["set_aside"].as_array().expect("rows").len()).sum();
    let used = read["spots"].as_u64().expect("spots");
    let mut wanted = vec![json!(used)];
    // spots of other stations, such as a control beacon
    wanted.extend((total("spots") > used).then(|| json!(total("spots") - used)));
    wanted.extend([json!(aside), json!(total("duplicates")), json!(total("rows"))]);
    let wanted: Vec<String> = wanted.iter().map(figure).collect();
    assert_eq!(sum, json!(wanted));
}

/// Every way in, on a page that is open; each begins with a page loaded anew.
fn every_way_in(browser: &Browser, open: impl Fn()) {
    let folder = Scratch::new();
    let file = folder.file("reports.csv", ROWS);
    let read = native(&[("reports.csv", ROWS.as_bytes())]);
    open();
    browser.drop_files("body", &[&file]);
    expect_numbers(browser, &read);
    open();
    browser.choose(&[&file]);
    expect_numbers(browser, &read);
    open();
    browser.paste(ROWS);
    expect_numbers(browser, &read);
    open();
    browser.click("#try-sample");
    let sample = ["two-antennas-two-days.csv", "control-beacon-two-days.csv"]
        .map(|name| (name, std::fs::read(sample_file(name)).expect("the sample")));
    expect_numbers(browser, &native(&sample.each_ref().map(|(name, content)| (*name, content.as_slice()))));
    assert!(browser.text("#answer").contains("SAMPLE"), "the sample is marked");
    browser.expect_quiet_console();
}

fn every_way_in_from_disk_gives_the_numbers_of_the_readout(engine: Engine) {
    let folder = Scratch::with_page_alone();
    let browser = Browser::start_in(engine);
    every_way_in(&browser, || {
        browser.open_from_disk(folder.path());
        browser.wait_until_ready();
    });
    let others: Vec<_> = browser.requested().into_iter().filter(|it| !it.ends_with("/index.html")).collect();
    assert!(others.is_empty(), "asked for {others:?}");
}

fn every_way_in_from_a_web_host_gives_the_numbers_of_the_readout(engine: Engine) {
    let folder = Scratch::with_whole_site();
    // a host of its own each time: what one visit keeps is no part of the next
    let sites = RefCell::new(Vec::new());
    let browser = Browser::start_in(engine);
    every_way_in(&browser, || {
        let site = Site::serve(folder.path());
        browser.open(&site.url());
        sites.borrow_mut().push(site);
    });
    let own = |address: &String| sites.borrow().iter().any(|site| address.starts_with(&site.url()));
    let foreign: Vec<_> = browser.requested().into_iter().filter(|it| !own(it)).collect();
    assert!(foreign.is_empty(), "asked for {foreign:?}");
}

fn everything_works_with_the_network_off(engine: Engine) {
    let folder = Scratch::with_whole_site();
    let mut site = Site::serve(folder.path());
    let browser = Browser::start_in(engine);
    browser.open(&site.url());
    // what comes beside the page comes before the network goes; only Chromium asks for the manifest
    browser.wait_for("navigator.serviceWorker.ready");
    if engine == Engine::Chromium {
        site.wait_for("GET /manifest.webmanifest");
    }
    site.stop();
    browser.paste(ROWS);
    expect_numbers(&browser, &native(&[("pasted", ROWS.as_bytes())]));
    browser.click("#nav-spots");
    browser.wait_for("document.querySelectorAll('#spots-table tbody tr').length === 6");
    browser.expect_quiet_console();
}

/// Middle and number of the pixels of each colour on the disc, from its middle, x to the right and y up.
const MARKS: &str = "
    const canvas = document.querySelector('#picture-disc');
    const copy = new OffscreenCanvas(canvas.width, canvas.height).getContext('2d');
    copy.drawImage(canvas, 0, 0);
    const { data } = copy.getImageData(0, 0, canvas.width, canvas.height);
    return arguments[0].map(([red, green, blue]) => {
      let n = 0, x = 0, y = 0;
      for (let at = 0; at < data.length; at += 4) {
        if (data[at] === red && data[at + 1] === green && data[at + 2] === blue) {
          n += 1;
          x += (at / 4) % canvas.width;
          y += Math.floor(at / 4 / canvas.width);
        }
      }
      return [n, x / n - canvas.width / 2, canvas.height / 2 - y / n];
    });";

fn marks_stand_where_the_listeners_are(engine: Engine) {
    let folder = Scratch::with_page_alone();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    browser.wait_until_ready();
    browser.paste(ROWS);
    let read = native(&[("pasted", ROWS.as_bytes())]);
    expect_numbers(&browser, &read);
    browser.picture("three-listeners");
    // bands in order of wavelength have the steps of the ramp; each listener has a band of its own
    let ramp = Palette::of(Theme::Light).ramp(Antenna::A, 3);
    let colours: Vec<[u8; 3]> = ramp.iter().map(|colour| [colour.red, colour.green, colour.blue]).collect();
    browser.wait_for("document.querySelector('#picture-disc')?.width > 300");
    let found: Vec<(f64, f64, f64)> =
        serde_json::from_value(browser.script(MARKS, vec![json!(colours)])).expect("three places");
    let spots = read["spots_list"].as_array().expect("spots");
    let mut scales = Vec::new();
    for ((pixels, x, y), band) in found.into_iter().zip(["40m", "30m", "20m"]) {
        assert!(pixels > 10.0, "{band}: only {pixels} pixels");
        let spot = spots.iter().find(|spot| spot["band"] == band).expect("a spot");
        let (km, bearing) = (spot["distance_km"].as_f64().expect("km"), spot["bearing_deg"].as_f64().expect("degrees"));
        let drawn = x.atan2(y).to_degrees().rem_euclid(360.0);
        let off = (drawn - bearing + 180.0).rem_euclid(360.0) - 180.0;
        assert!(off.abs() < 1.5, "{band}: drawn at {drawn}, is at {bearing}");
        scales.push(x.hypot(y) / km);
    }
    for scale in &scales {
        assert!((scale / scales[0] - 1.0).abs() < 0.03, "one scale for all: {scales:?}");
    }
}

#[test]
fn a_file_that_is_no_table_says_what_it_is() {
    let folder = Scratch::with_page_alone();
    let files = Scratch::new();
    let page = files.file(
        "results.csv",
        "<!doctype html><html><body><img src=x onerror='document.title=1'>not a table</body></html>",
    );
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    browser.wait_until_ready();
    browser.drop_files("body", &[&page]);
    browser.wait_for_words("web page");
    assert_eq!(browser.value("document.title"), "Farheard");
    // and the way is still open
    browser.paste(ROWS);
    expect_numbers(&browser, &native(&[("pasted", ROWS.as_bytes())]));
    browser.expect_quiet_console();
}
