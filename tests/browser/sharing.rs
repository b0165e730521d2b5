//! A page that is shared opens from a disk and from a web host, shows what was shared, keeps nothing, and asks for nothing.

use std::io::Read as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use flate2::read::GzDecoder;
use serde_json::json;

use crate::harness::{Browser, Engine, Scratch, Site, in_every_engine, sample_file};

in_every_engine! {
    pictures_and_tables_come_back_in_another_browser,
    a_shared_page_opens_anywhere_as_it_was_shared,
}

const VIEWS: [&str; 4] = ["compare", "spots", "plan", "disc"];

/// The words of every view, but for the left column, which tells of files and lines.
fn words_of(browser: &Browser) -> Vec<String> {
    let mut words = Vec::new();
    for view in VIEWS {
        browser.click(&format!("#nav-{view}"));
        browser.wait_for(&format!("document.documentElement.dataset.view === '{view}'"));
        if view == "disc" {
            // told once the Disc is drawn
            browser.wait_for("document.getElementById('middle').innerText.includes('listeners close together')");
        }
        let parts: &[&str] = if view == "spots" { &["answer"] } else { &["answer", "middle", "right"] };
        for part in parts {
            let text = browser.value(&format!("document.getElementById('{part}').innerText"));
            words.push(format!("{view} {part}: {}", text.as_str().expect("text").replace("Shared by Q7NEAR\n", "")));
        }
    }
    words
}

/// The spots as CSV, without the columns that name file and line.
fn spots(browser: &Browser) -> String {
    browser.click("#keep-save");
    let (_, bytes) = browser.save("#save-csv");
    browser.click("#keep-save");
    let text = String::from_utf8(bytes).expect("text");
    text.lines().map(|line| line.rsplitn(3, ',').last().expect("a line").to_owned() + "\n").collect()
}

/// A picture with its spots inside, and the spots as CSV, opened in another browser, give the same spots again.
fn pictures_and_tables_come_back_in_another_browser(engine: Engine) {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    browser.choose(&[&sample_file("two-antennas-two-days.csv")]);
    browser.wait_for_words("5 610 spots");
    let own = spots(&browser);
    browser.click("#keep-save");
    for form in ["svg-work", "csv"] {
        let (name, bytes) = browser.save(&format!("#save-{form}"));
        let file = folder.file(&name, &bytes);
        let other = Browser::start_in(engine);
        other.open_from_disk(folder.path());
        other.drop_files("#main", &[&file]);
        other.wait_for_words("5 610 spots");
        assert_eq!(spots(&other), own, "{form}");
        assert_eq!(other.text("#answer-line"), browser.text("#answer-line"), "{form}");
        other.expect_quiet_console();
    }
}

/// Where the system sends files on, a picture is offered to it; where it then refuses, the picture is saved.
#[test]
fn a_picture_is_sent_where_the_system_offers_that() {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start();
    // what a telephone's browser has
    browser.before_every_page(
        "window.sent = [];
         navigator.canShare = () => true;
         navigator.share = async ({ files }) => {
           if (sent.length) throw new DOMException('refused', 'NotAllowedError');
           sent.push(...files.map(({ name, type, size }) => ({ name, type, empty: size === 0 })));
         };",
    );
    browser.open_from_disk(folder.path());
    browser.choose(&[&sample_file("control-beacon-two-days.csv")]);
    browser.wait_for_words("3 378 spots");
    browser.catch_saved();
    browser.click("#keep-save");
    browser.wait_for("document.querySelector('#save-send')");
    browser.click("#save-send");
    browser.wait_for("sent.length === 1");
    let sent = browser.value("sent[0]");
    assert_eq!(sent, json!({ "name": "disc-Q4MIL.png", "type": "image/png", "empty": false }));
    let (name, _) = browser.save("#save-send");
    assert_eq!(name, "disc-Q4MIL.png", "refused, it is saved");
}

fn a_shared_page_opens_anywhere_as_it_was_shared(engine: Engine) {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    browser.choose_sample_files();
    browser.click("#nav-compare");
    browser.wait_for("document.querySelector('canvas[data-picture=intervals]')");
    browser.script(
        "const control = Array.from(document.querySelectorAll('[data-act=run-control]')).find(({ dataset }) => dataset.value);
         control?.click();",
        Vec::new(),
    );
    browser.click("#keep-save");
    browser.wait_for("document.querySelector('#share-by')");
    browser.write("#share-by", "Q7NEAR");
    let (name, bytes) = browser.save("#save-page");
    assert_eq!(name, "page-Q6HUT.html");
    browser.click("#keep-save");
    let (before, own) = (words_of(&browser), spots(&browser));

    // from a disk, in a browser that never saw the page
    let file = folder.file("index.html", &bytes);
    let reader = Browser::start_in(engine);
    reader.open_from_disk(file.parent().expect("a folder"));
    reader.wait_for_words("Shared by Q7NEAR");
    assert_eq!(reader.value("document.documentElement.dataset.view"), "compare", "the view it was shared in");
    assert_eq!(words_of(&reader), before);
    assert_eq!(spots(&reader), own);
    assert_eq!(
        reader.stores(),
        json!({ "local": {}, "session": {}, "rows": [] }),
        "the reader's browser keeps nothing"
    );
    // explored, and shared on
    reader.click("#nav-disc");
    reader.script("document.querySelector('#run-open-0').click();", Vec::new());
    reader.wait_for("document.querySelector('#notice-begin-own') || document.querySelector('#run-0-name')");
    reader.script(
        "const field = document.querySelector('#run-0-name');
         if (field) { field.value = 'Changed'; field.dispatchEvent(new Event('change', { bubbles: true })); }",
        Vec::new(),
    );
    reader.wait_for_words("stays as it was sent");
    reader.click("#notice-begin-own");
    reader.wait_for("document.documentElement.dataset.view === 'empty'");
    reader.choose(&[&sample_file("control-beacon-two-days.csv")]);
    reader.wait_for_words("3 378 spots");
    assert!(!reader.text("body").contains("Shared by"));
    reader.expect_quiet_console();

    // from a web host: one request for the page, and none after it
    let site = Site::serve(folder.path());
    let visitor = Browser::start_in(engine);
    visitor.open(&site.url());
    visitor.wait_for_words("Shared by Q7NEAR");
    assert_eq!(words_of(&visitor), before);
    let asked: Vec<String> = site.requests().into_iter().filter(|request| !request.contains("favicon")).collect();
    assert_eq!(asked.len(), 1, "{asked:?}");
    assert!(visitor.text("#foot").contains("this browser keeps nothing of it"));
    visitor.expect_quiet_console();
}

/// Pages that somebody changed after they were shared: what is in them runs nowhere, and the page says what it cannot read.
#[test]
fn a_shared_page_that_was_tampered_with_is_inert_or_refused() {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start();
    browser.open_from_disk(folder.path());
    browser.choose(&[&sample_file("control-beacon-two-days.csv")]);
    browser.wait_for_words("3 378 spots");
    browser.click("#keep-save");
    browser.wait_for("document.querySelector('#share-by')");
    browser.write("#share-by", "Q7NEAR");
    let (_, bytes) = browser.save("#save-page");
    let page = String::from_utf8(bytes).unwrap();
    let (before, rest) = page.split_once("id=\"shared-work\">").unwrap();
    let (block, after) = rest.split_once('<').unwrap();
    let packed = STANDARD.decode(block).unwrap();
    let work = String::from_utf8(unpacked(&packed)).unwrap();
    let with = |block: &str| format!("{before}id=\"shared-work\">{block}<{after}");
    let of_work = |work: &str| with(&STANDARD.encode(work));
    let evil = "<img src=x onerror=document.title=`taken`><script>document.title=`taken`</script>";
    let in_json = evil.replace('"', "\\\"");
    assert!(work.contains("\"Q7NEAR\""), "{}", work.chars().take(300).collect::<String>());
    let reader = Browser::start();
    let short: String = block.chars().take(block.len() / 8 * 4).collect();
    for (what, page, said) in [
        ("as it was, unpacked", of_work(&work), "Shared by Q7NEAR"),
        (
            "a sharer that is markup",
            of_work(&work.replacen("\"Q7NEAR\"", &format!("\"{in_json}\""), 1)),
            "Shared by <img",
        ),
        ("a block cut short", with(&short), ""),
        ("no base64", with("!!!!"), ""),
        ("an empty block", with(""), ""),
        ("not a work file", of_work("{\"a\":1}"), ""),
        ("a table", of_work("time,sender,listener\n2031-10-11 00:00,Q1AA,Q2BB\n"), "1 spot"),
        (
            "a script behind the block",
            with(&format!("{block}</script><script>document.title='taken'</script><script type=\"text/plain\">")),
            "Shared by Q7NEAR",
        ),
        (
            "a handler at the body",
            page.replacen("<body", "<body onload=\"document.title='taken'\"", 1),
            "Shared by Q7NEAR",
        ),
    ] {
        let tampered = Scratch::new();
        tampered.file("index.html", page);
        reader.open_from_disk(tampered.path());
        if said.is_empty() {
            // told of, or nothing there to tell of: the page is usable either way
            reader.wait_for("document.querySelector('#try-sample') || document.querySelector('#notice').innerText");
        } else {
            reader.wait_for_words(said);
        }
        assert_ne!(reader.value("document.title"), json!("taken"), "{what}");
        assert_eq!(reader.value("document.querySelectorAll('img').length"), json!(0), "{what}");
        let quiet = reader.console().into_iter().all(|line| !line.contains("Uncaught"));
        assert!(quiet, "{what}");
        assert_eq!(reader.value("document.documentElement.dataset.state"), json!("ready"), "{what}");
    }
}

fn unpacked(gzip: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    GzDecoder::new(gzip).read_to_end(&mut bytes).unwrap();
    bytes
}
