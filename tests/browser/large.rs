//! A file of 600 MB: read with progress, a way to stop, and a page that goes on afterwards. One of 1 GB: cut down.

use std::fs::File;
use std::io::{BufWriter, Write as _};
use std::path::Path;
use std::time::Duration;

use serde_json::json;

use crate::harness::{Browser, Scratch};

const BYTES: usize = 600_000_000;
/// More than the page holds whole.
const ARCHIVE_BYTES: usize = 1_010_000_000;
/// Every so many-th row is of another sender.
const RARE: usize = 1000;
const PATIENCE: Duration = Duration::from_secs(400);

/// So many bytes of rows with ever new minutes; returns how many rows.
fn write_large(path: &Path, bytes: usize) -> usize {
    let mut file = BufWriter::new(File::create(path).unwrap());
    file.write_all(b"utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB\n").unwrap();
    let (mut written, mut rows) = (0, 0_usize);
    while written < bytes {
        let minute = rows / 40 * 2;
        let (day, month, year) = (1 + minute / 1440 % 28, 1 + minute / 40_320 % 12, 2031 + minute / 483_840);
        let row = format!(
            "{year}-{month:02}-{day:02} {:02}:{:02},{},IN71ab,23,Q{}ABC,JO2{}cd,14.0971{:02},-{}\n",
            minute / 60 % 24,
            minute % 60,
            if rows % RARE == 0 { "Q4MIL" } else { "Q6HUT" },
            rows % 40 % 10,
            rows % 10,
            rows % 40,
            10 + rows % 17
        );
        file.write_all(row.as_bytes()).unwrap();
        written += row.len();
        rows += 1;
    }
    file.flush().unwrap();
    rows
}

/// Digits of a number with whatever stands between thousands taken out, as the page shows them.
fn shown_spots(browser: &Browser) -> String {
    let answer = browser.text("#answer h1");
    let before = answer.split("spots").next().unwrap_or_default();
    let number = before.rsplit(':').next().unwrap_or_default();
    number.chars().filter(char::is_ascii_digit).collect()
}

#[test]
fn six_hundred_megabytes_can_be_stopped_and_can_be_read() {
    let page = Scratch::with_unpacked_page();
    let large = page.path().join("large.csv");
    let rows = write_large(&large, BYTES);
    let browser = Browser::start();
    browser.open_from_disk(page.path());

    // stopped on the way: at once, and nothing of it is left
    browser.choose(&[&large]);
    browser.wait_long_for("!document.getElementById('progress').hidden", PATIENCE);
    browser.wait_for_words("large.csv");
    browser.click("[data-page=cancel]");
    browser
        .wait_for("document.getElementById('progress').hidden && document.documentElement.dataset.state === 'ready'");
    browser.wait_for_words("Choose files");

    // read to the end, with figures that grow
    browser.choose(&[&large]);
    browser.wait_long_for("!document.getElementById('progress').hidden", PATIENCE);
    let first = browser.text("#progress-words");
    browser.wait_long_for(
        &format!(
            "document.getElementById('progress').hidden || document.getElementById('progress-words').innerText !== {}",
            json!(first)
        ),
        PATIENCE,
    );
    browser.wait_long_for(
        "document.getElementById('progress').hidden && document.querySelector('#answer h1')?.textContent.includes('spots')",
        PATIENCE,
    );
    let own = rows - rows.div_ceil(RARE);
    assert_eq!(shown_spots(&browser), own.to_string(), "every row is a spot");

    // and a small file afterwards
    let small = page.file("small.csv", "utc,sent by,from,heard by,at\n2031-10-11 00:00,Q7TST,IN71,Q1ABC,JO22\n2031-10-11 00:02,Q7TST,IN71,Q2XYZ,JO22\n");
    browser.choose(&[&small]);
    browser.wait_long_for("document.querySelector('[data-act=second][data-value=replace]')", PATIENCE);
    browser.click("[data-act=second][data-value=replace]");
    browser.wait_long_for("document.querySelector('#answer h1')?.textContent.includes('2\\u00a0spots')", PATIENCE);
}

/// A page on a machine with so many cores, where workers that come later do this with what they are told; counts them.
const CORES: &str = "
    const [cores, way] = arguments;
    Object.defineProperty(navigator, 'hardwareConcurrency', { value: cores });
    const Plain = Worker;
    window.helpers = 0;
    window.Worker = class extends Plain {
      constructor(address) {
        super(way === 'fails' ? URL.createObjectURL(new Blob(['throw 1'])) : address);
        window.helpers += 1;
      }
      postMessage(message, buffers) {
        // without a module it can read nothing
        if (way !== 'sleeps') super.postMessage(way === 'stops' ? { ...message, module: 7 } : message, buffers);
      }
    };";

#[test]
fn other_workers_change_nothing_that_is_read() {
    let page = Scratch::with_unpacked_page();
    let file = page.path().join("evening.csv");
    write_large(&file, 40_000_000);
    // what is not plain, at many places: a quoted line break, a repeat, a row that is none, another table
    let mut text = std::fs::read_to_string(&file).unwrap();
    let row = "2031-03-01 10:00,Q6HUT,IN71ab,23,Q5NEW,JO22,14.097100,-12\n";
    let odd = format!(
        "{row}{row}2031-03-01 10:02,\"Q6HUT\",IN71ab,23,\"Q7\nLF\",JO22,14.0971,-3\nno,row\n\n{}",
        row.to_lowercase()
    );
    let every = text.lines().count() / 40;
    let rows =
        text.lines().enumerate().map(|(at, row)| format!("{}{row}\n", if at % every == 9 { odd.as_str() } else { "" }));
    text = rows.collect();
    std::fs::write(&file, &text).unwrap();
    let read = |cores: u32, way: &str| {
        let browser = Browser::start();
        browser.open_from_disk(page.path());
        browser.script(CORES, vec![json!(cores), json!(way)]);
        browser.choose(&[&file]);
        browser.wait_long_for("document.querySelector('#answer h1')?.textContent.includes('spots')", PATIENCE);
        browser.wait_long_for("document.getElementById('progress').hidden", PATIENCE);
        let helpers = browser.value("window.helpers");
        // the legend and the pictures follow when they are drawn
        (format!("{}\n{}", browser.text("#answer"), browser.text("#left")), helpers)
    };
    let (alone, none) = read(1, "");
    assert_eq!(none, json!(0));
    assert!(alone.contains("11 listeners"), "{alone}");
    for (cores, way, helpers) in [(2, "", 1), (4, "", 3), (2, "fails", 1), (3, "stops", 2), (2, "sleeps", 1)] {
        assert_eq!(read(cores, way), (alone.clone(), json!(helpers)), "{cores} cores, {way}");
    }
}

#[test]
fn of_an_archive_what_is_asked_for_is_kept() {
    let page = Scratch::with_unpacked_page();
    let archive = page.path().join("network.csv");
    let rows = write_large(&archive, ARCHIVE_BYTES);
    let browser = Browser::start();
    browser.open_from_disk(page.path());
    browser.choose(&[&archive]);
    browser.wait_long_for("document.activeElement?.id === 'ask-field'", PATIENCE);
    browser.wait_for_words("more than can be held at once");
    browser.wait_for_words("So far");

    // an answer that is none is told of, and the question stays
    browser.write("#ask-field", "all of it");
    browser.click("form[data-act=archive] button");
    browser.wait_for_words("is no call, band or time");
    browser.script("document.getElementById('ask-field').value = ''", Vec::new());
    browser.write("#ask-field", "q4mil");
    browser.click("form[data-act=archive] button");
    browser.wait_long_for("document.getElementById('progress').hidden", PATIENCE);
    browser.wait_for_words("were kept");
    assert_eq!(shown_spots(&browser), rows.div_ceil(RARE).to_string(), "all rows of the station, and no others");
    browser.expect_quiet_console();
}
