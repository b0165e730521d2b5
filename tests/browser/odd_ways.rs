//! What people do besides dropping one good file, and where the page may have to live.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use crate::harness::browser::storage_refused;
use crate::harness::{Browser, Engine, Scratch, Site, in_every_engine};

in_every_engine! {
    without_a_worker_it_works_from_disk_and_from_a_host,
}

const HEAD: &str = "utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB\n";

/// So many spots of one station, one each two minutes from the given one on.
fn rows(from_minute: usize, spots: usize) -> String {
    let rows: Vec<String> = (from_minute..from_minute + spots)
        .map(|n| {
            format!(
                "2031-10-{:02} {:02}:{:02},Q6HUT,IN71,23,Q{}ABC,JO22,14.0971,-17\n",
                1 + n / 720,
                n / 30 % 24,
                n % 30 * 2,
                n % 10
            )
        })
        .collect();
    rows.concat()
}

fn table(from_minute: usize, spots: usize) -> String {
    format!("{HEAD}{}", rows(from_minute, spots))
}

fn wait_for_spots(browser: &Browser, spots: usize) {
    browser.wait_for(&format!(
        "document.querySelector('#answer h1')?.textContent.includes({})",
        json!(format!(" {spots}\u{a0}spots"))
    ));
}

fn from_disk(browser: &Browser) -> Scratch {
    let folder = Scratch::with_page_alone();
    browser.open_from_disk(folder.path());
    folder
}

fn files(paths: &[&Path]) -> Value {
    json!({ "items": [], "files": paths, "dragOperationsMask": 1 })
}

/// A folder gives its entries a hundred at a time: it is asked until it gives no more.
#[test]
fn a_folder_of_130_files_is_read_whole() {
    // from a host: for a page from disk Chromium itself does not open folders that are dropped
    let page = Scratch::with_whole_site();
    let site = Site::serve(page.path());
    let browser = Browser::start();
    browser.open(&site.url());
    let folder = Scratch::new();
    let deep = folder.path().join("of this year");
    fs::create_dir_all(&deep).unwrap();
    for n in 0..130 {
        let place = if n < 10 { folder.path().to_path_buf() } else { deep.clone() };
        fs::write(place.join(format!("reports {n:03}.csv")), table(n, 1)).unwrap();
    }
    assert!(browser.drag_in(&files(&[folder.path()])), "the page shows where to drop");
    wait_for_spots(&browser, 130);
    assert_eq!(browser.value("document.documentElement.dataset.dragging ?? 'gone'"), "gone");
    browser.expect_quiet_console();
}

#[test]
fn a_file_chosen_again_is_read_again() {
    let browser = Browser::start();
    let folder = from_disk(&browser);
    let file = folder.file("growing.csv", table(0, 3));
    browser.choose(&[&file]);
    wait_for_spots(&browser, 3);
    folder.file("growing.csv", table(0, 5));
    browser.choose(&[&file]);
    browser.wait_for_words("growing.csv");
    browser.wait_for("document.querySelector('[data-act=second][data-value=replace]')");
    browser.click("[data-act=second][data-value=replace]");
    wait_for_spots(&browser, 5);
    browser.expect_quiet_console();
}

/// The browser would open a dropped link or picture in the page's place, if the page let it.
#[test]
fn drops_of_other_things_leave_the_page_and_say_what_to_drop() {
    let page = Scratch::with_whole_site();
    let site = Site::serve(page.path());
    let browser = Browser::start();
    browser.open(&site.url());
    let elsewhere = Site::serve(page.path());
    let link = format!("{}elsewhere", elsewhere.url());
    let item = |kind: &str, data: &str| json!({ "mimeType": kind, "data": data });
    let things = |items: Value| json!({ "items": items, "dragOperationsMask": 1 });
    let nothing = Scratch::new();
    let address = browser.value("location.href");
    for (what, data, words) in [
        ("selected words", things(json!([item("text/plain", "a few words")])), "That was no file."),
        ("a link", things(json!([item("text/uri-list", &link), item("text/plain", &link)])), "That was no file."),
        (
            "a picture of another page",
            things(json!([item("text/uri-list", &link), item("text/html", &format!("<img src=\"{link}\">"))])),
            "That was no file.",
        ),
        ("an empty folder", files(&[nothing.path()]), "That folder holds no file."),
    ] {
        browser.drag_in(&data);
        browser.wait_for(&format!("document.getElementById('notice').innerText.includes({})", json!(words)));
        browser.wait_for_words("Drop files with rows of spots here");
        assert_eq!(browser.value("location.href"), address, "{what}: the page is still the page");
        assert_eq!(browser.value("document.documentElement.dataset.dragging ?? 'gone'"), "gone", "{what}: the mark");
        browser.click("[data-act=dismiss]");
        browser.wait_for("document.getElementById('notice').innerText.trim() === ''");
    }
    // rows selected in a table are as good as a file
    browser.drag_in(&things(json!([item("text/plain", &table(0, 4))])));
    wait_for_spots(&browser, 4);
    assert_eq!(elsewhere.requests(), Vec::<String>::new(), "nothing was asked for");
    browser.expect_quiet_console();
}

/// A host may forbid workers; the core then runs in the page itself.
fn without_a_worker_it_works_from_disk_and_from_a_host(engine: Engine) {
    let folder = Scratch::with_whole_site();
    let page = fs::read_to_string(folder.path().join("index.html")).unwrap();
    assert_eq!(page.matches("worker-src 'self' blob:").count(), 1, "the policy allows workers");
    folder.file("index.html", page.replace("worker-src 'self' blob:", "worker-src 'none'"));
    let site = Site::serve(folder.path());
    let browser = Browser::start_in(engine);
    let file = folder.file("reports.csv", table(0, 7));
    for from_disk in [true, false] {
        if from_disk {
            browser.open_from_disk(folder.path());
        } else {
            browser.open(&site.url());
        }
        browser.drop_files("body", &[&file]);
        wait_for_spots(&browser, 7);
        browser.wait_for_ink("canvas[data-picture=disc]", 10);
        browser.click("#nav-spots");
        browser.wait_for("document.querySelectorAll('#spots-table tbody tr').length === 7");
        browser.click("#nav-disc");
        // and it stays usable: a second file is asked about
        browser.paste(&table(20, 2));
        browser.click("[data-act=second][data-value=add]");
        wait_for_spots(&browser, 9);
    }
}

#[test]
fn with_storage_refused_everything_works_and_nothing_is_said_to_be_kept() {
    let browser = Browser::start_with(&storage_refused());
    let folder = Scratch::with_whole_site();
    let site = Site::serve(folder.path());
    browser.open(&site.url());
    let refused = browser
        .value("(() => { try { localStorage.setItem('x', '1'); return 'kept'; } catch { return 'refused'; } })()");
    assert_eq!(refused, "refused", "the test stands on this");
    browser.drop_files("body", &[&folder.file("reports.csv", table(0, 6))]);
    wait_for_spots(&browser, 6);
    browser.click("#nav-spots");
    browser.wait_for("document.querySelectorAll('#spots-table tbody tr').length === 6");
    browser.wait_for_words("this browser keeps nothing when it is closed");
    // what can be kept is a file that the person saves
    browser.click("#open-save");
    let (name, _) = browser.save("#save-csv");
    assert_eq!(name, "spots-Q6HUT.csv");
}

/// Zoom and screens of every density: as many pixels as the screen has there, and never a blank picture.
///
/// Zoom leaves a page a smaller or larger room with more or fewer pixels to each of its own. A change of density alone,
/// as between two screens, cannot be tried: the browser's emulation tells the page nothing of it.
#[test]
fn pictures_are_sharp_at_every_zoom_and_density() {
    let browser = Browser::start();
    let _page = from_disk(&browser);
    browser.resize(1440, 900);
    browser.paste(&table(0, 20));
    wait_for_spots(&browser, 20);
    for (percent, ratio) in [(50, 0.5), (75, 0.75), (100, 1.0), (125, 1.25), (150, 1.5), (200, 2.0), (300, 3.0)] {
        for (width, height) in [(1440, 900), (1200, 1000)] {
            browser.resize_at(width * 100 / percent, height * 100 / percent, ratio);
            browser.wait_for(&format!(
                "devicePixelRatio === {ratio} && [...document.querySelectorAll('canvas[data-picture]')].every((canvas) => {{
                   const {{ width, height }} = canvas.getBoundingClientRect();
                   const off = (pixels, length) => Math.abs(pixels - length * devicePixelRatio);
                   return off(canvas.width, width) <= 1 && off(canvas.height, height) <= 1;
                 }})"
            ));
            browser.wait_for_ink("canvas[data-picture=disc]", 8);
        }
    }
    browser.expect_quiet_console();
}
