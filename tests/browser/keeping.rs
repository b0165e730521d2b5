//! The work is kept: by itself on a web host, from a disk once agreed to; nothing agreed is lost when a page is killed.

use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::harness::{Browser, Engine, Scratch, Site, in_every_engine, sample_file};

in_every_engine! {
    on_a_web_host_everything_is_there_again_after_a_reload,
    from_a_disk_nothing_is_kept_before_it_is_agreed_to_and_all_can_be_forgotten,
    a_work_file_opens_in_another_browser_as_it_was,
    the_core_is_kept_unpacked_and_believed_only_by_its_sum,
}

/// Set once the browser has the state that is shown.
const KEPT: &str = "document.documentElement.dataset.kept";

/// Gives the first run a name.
fn name_first_run(browser: &Browser, name: &str) {
    browser.script("document.querySelector('#run-open-0').click();", Vec::new());
    browser.wait_for("document.querySelector('#run-0-name')");
    browser.script(
        "const field = document.querySelector('#run-0-name');
         field.value = arguments[0];
         field.dispatchEvent(new Event('change', { bubbles: true }));
         document.querySelector('#run-close').click();",
        vec![json!(name)],
    );
    browser.wait_for_words(name);
}

/// Waits until the browser's store has work with these words.
fn wait_until_kept(browser: &Browser, words: &str) {
    browser.wait_for(&format!(
        "new Promise((resolve) => {{
           const asked = indexedDB.open('farheard');
           asked.onsuccess = () => {{
             const all = asked.result.transaction('works').objectStore('works').getAll();
             all.onsuccess = () => {{ asked.result.close(); resolve(all.result.some(({{ text }}) => text.includes('{words}'))); }};
           }};
         }})"
    ));
}

fn on_a_web_host_everything_is_there_again_after_a_reload(engine: Engine) {
    let folder = Scratch::with_whole_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start_in(engine);
    browser.open(&site.url());
    browser.choose_sample_files();
    browser.wait_for(KEPT);
    name_first_run(&browser, "Doublet");
    let changed = Instant::now();
    wait_until_kept(&browser, "Doublet");
    assert!(changed.elapsed() < Duration::from_secs(4), "kept {:?} after the change", changed.elapsed());
    let before = browser.all_that_is_shown();
    browser.wait_for(
        "document.querySelector('#foot').textContent.includes('In this browser only. Last work file: never')",
    );
    browser.run("leaving the page", browser.driver().goto("about:blank"));
    browser.open(&site.url());
    browser.wait_for_words("Doublet");
    assert_eq!(browser.all_that_is_shown(), before);
    browser.expect_quiet_console();
}

fn from_a_disk_nothing_is_kept_before_it_is_agreed_to_and_all_can_be_forgotten(engine: Engine) {
    let folder = Scratch::with_unpacked_page();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    let empty = json!({ "local": {}, "session": {}, "rows": [] });
    browser.choose_sample_files();
    name_first_run(&browser, "Doublet");
    std::thread::sleep(Duration::from_secs(3));
    assert_eq!(browser.stores(), empty, "nothing is kept unasked");
    browser.click("#foot-keep");
    browser.wait_for_words("could read your spots and notes");
    assert_eq!(browser.stores(), empty, "nothing is kept while it is asked");
    browser.click("#notice-keep");
    browser.wait_for(KEPT);
    let before = browser.all_that_is_shown();
    browser.open_from_disk(folder.path());
    browser.wait_for_words("Doublet");
    assert_eq!(browser.all_that_is_shown(), before);

    browser.click("#foot-keep");
    browser.wait_for("document.querySelector('#kept[open]')");
    assert!(
        browser.text("#kept-list").contains("Q6HUT: 8988 spots in 2 files, Doublet"),
        "{}",
        browser.text("#kept-list")
    );
    browser.click("#kept [data-page=forget]");
    browser.wait_for_words("Forget everything that this browser keeps of this page?");
    browser.click("#notice-keep");
    browser.wait_for("document.documentElement.dataset.forgotten");
    assert_eq!(browser.stores(), empty);
    name_first_run(&browser, "Another name");
    std::thread::sleep(Duration::from_secs(3));
    browser.open_from_disk(folder.path());
    browser.wait_for("document.querySelector('#try-sample')");
    assert_eq!(browser.stores(), empty, "verified after a reload, and after more was done");
    browser.expect_quiet_console();
}

#[test]
fn two_tabs_do_not_write_over_each_other() {
    let folder = Scratch::with_unpacked_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    browser.open(&site.url());
    browser.choose_sample_files();
    name_first_run(&browser, "First tab");
    browser.wait_for(KEPT);
    let first = browser.run("the first tab", browser.driver().window());
    let second = browser.run("a second tab", browser.driver().new_tab());
    browser.run("the second tab", browser.driver().switch_to_window(second));
    browser.open(&site.url());
    assert_eq!(browser.value("document.documentElement.dataset.view"), "empty", "the work is open in the other tab");
    browser.choose(&[&sample_file("control-beacon-two-days.csv")]);
    browser.wait_for_words("3 378 spots");
    browser.wait_for(KEPT);
    browser.run("the first tab", browser.driver().switch_to_window(first));
    name_first_run(&browser, "Renamed later");
    std::thread::sleep(Duration::from_secs(3));
    let texts: Vec<String> = works(&browser);
    assert_eq!(texts.len(), 2, "{texts:?}");
    assert!(texts.iter().any(|text| text.contains("Renamed later")));
    assert!(texts.iter().any(|text| text.contains("control-beacon") && !text.contains("Renamed later")));
    // a closed tab's work can be opened from the list
    browser.run("closing the first tab", browser.driver().close_window());
    let left = browser.run("what is left", browser.driver().windows());
    browser.run("the second tab", browser.driver().switch_to_window(left[0].clone()));
    browser.click("#foot-keep");
    browser.wait_for("document.querySelector('#kept-list button')");
    browser.script(
        "Array.from(document.querySelectorAll('#kept-list button')).find(({ textContent }) => textContent === 'Open').click();",
        Vec::new(),
    );
    browser.wait_for_words("Renamed later");
    std::thread::sleep(Duration::from_secs(2));
    assert_eq!(works(&browser).len(), 2, "the former work stays");
    browser.expect_quiet_console();
}

fn works(browser: &Browser) -> Vec<String> {
    let stores = browser.stores();
    let rows = stores["rows"].as_array().expect("rows").iter();
    rows.filter(|row| row["store"] == "works").map(|row| row["text"].as_str().expect("text").to_owned()).collect()
}

/// Kept work is opened while other work is still being written: each stays what it is.
#[test]
fn work_that_is_opened_does_not_mix_with_what_is_being_written() {
    let folder = Scratch::with_unpacked_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    browser.open(&site.url());
    browser.choose_sample_files();
    browser.wait_for(KEPT);
    name_first_run(&browser, "Doublet");
    wait_until_kept(&browser, "Doublet");
    let rows = "time,sender,locator,listener,locator,MHz,SNR\n\
                2031-01-16 12:00,Q7TST,JN99fl,Q1AA,JO10ab,14.0971,-9\n\
                2031-01-16 12:02,Q7TST,JN99fl,Q2BB,JO11ab,14.0971,-9\n";
    let file = folder.file("second.csv", rows);
    let held = "navigator.locks.query().then(({ held }) => held.map(({ name }) => name).join())";
    let before = browser.value(held);
    // packing what is written takes its time from now on
    browser.script(
        "const Own = window.CompressionStream;
         window.CompressionStream = class {
           constructor(form) {
             const own = new Own(form);
             const late = async (piece, out) => { await new Promise((done) => setTimeout(done, 2500)); out.enqueue(piece); };
             this.writable = own.writable;
             this.readable = own.readable.pipeThrough(new TransformStream({ transform: late }));
           }
         };",
        Vec::new(),
    );
    browser.choose(&[&file]);
    browser.wait_for("document.querySelector('#second-replace')");
    browser.click("#second-replace");
    browser.wait_for_words("2 spots from 2 listeners");
    // now it is being written, under a name of its own
    browser.wait_for(&format!("{held}.then((names) => names !== {before})"));
    browser.script("document.querySelector('[data-page=kept]').click();", Vec::new());
    browser.wait_for("document.querySelector('#kept-list button')");
    browser.script("document.querySelector('#kept-list button').click();", Vec::new());
    browser.wait_for_words("Doublet");
    let kept = works(&browser);
    assert_eq!(kept.len(), 2, "{kept:?}");
    let of = |word: &str| kept.iter().filter(|text| text.contains(word)).count();
    assert_eq!((of("Doublet"), of("second.csv")), (1, 1), "{kept:?}");
    let stores = browser.stores();
    let files = stores["rows"].as_array().expect("rows").iter().filter(|row| row["store"] == "files").count();
    assert_eq!(files, 3, "the files of either are there");
    browser.expect_quiet_console();
}

/// The page is killed at twenty moments after a change, from before it is written to well after.
#[test]
fn a_killed_page_leaves_the_last_good_state() {
    let folder = Scratch::with_unpacked_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    browser.open(&site.url());
    browser.choose_sample_files();
    name_first_run(&browser, "Name 0.");
    browser.wait_for(KEPT);
    std::thread::sleep(Duration::from_secs(2));
    let mut last = 0;
    let mut new_ones = 0;
    for moment in 1..=20 {
        let spare = browser.run("a spare tab", browser.driver().new_tab());
        name_first_run(&browser, &format!("Name {moment}."));
        std::thread::sleep(Duration::from_millis(50 * moment));
        // the change counts as agreed to once the page says that it is kept
        let agreed = works(&browser).iter().any(|text| text.contains(&format!("Name {moment}.")));
        browser.run("crashing", async {
            // the answer never comes
            let devtools = browser.driver().cdp();
            let crash = devtools.send_raw("Page.crash", json!({}));
            drop(tokio::time::timeout(Duration::from_millis(300), crash).await);
            Ok(())
        });
        browser.run("the spare tab", browser.driver().switch_to_window(spare));
        browser.open(&site.url());
        browser.wait_for_words("5 610 spots");
        let name = browser.text("#left");
        let is = |n: u64| name.contains(&format!("Name {n}."));
        assert!(is(moment) || (is(last) && !agreed), "killed after {} ms: {name}", 50 * moment);
        if is(moment) {
            last = moment;
            new_ones += 1;
        }
        let stores = browser.stores();
        let rows = stores["rows"].as_array().expect("rows").iter().filter(|row| row["store"] != "core").count();
        assert_eq!(rows, 3, "one work with its two files");
    }
    assert!((1..20).contains(&new_ones), "some moments lie before the write and some after: {new_ones}");
}

#[test]
fn a_full_or_forbidden_store_is_told_and_the_work_goes_on() {
    for (fault, words) in [
        ("new DOMException('full', 'QuotaExceededError')", "This browser has no room left to keep your work."),
        ("new DOMException('no', 'SecurityError')", "This browser does not let the page keep your work."),
    ] {
        let folder = Scratch::with_unpacked_site();
        let site = Site::serve(folder.path());
        let browser = Browser::start();
        browser.open(&site.url());
        browser.script(&format!("IDBObjectStore.prototype.put = () => {{ throw {fault}; }};"), Vec::new());
        browser.choose_sample_files();
        browser.wait_for_words(words);
        assert_eq!(browser.value(KEPT), Value::Null);
        let (name, bytes) = browser.save("#notice-save");
        assert_eq!(name, "work-Q6HUT.json.gz");
        assert!(bytes.starts_with(&[0x1F, 0x8B]));
        browser.click("#notice-close");
        name_first_run(&browser, "Goes on");
        std::thread::sleep(Duration::from_secs(2));
        assert!(!browser.text("body").contains(words), "said once");
        assert!(browser.text("#foot").contains("In this page only: this browser"));
    }
}

/// The core is the page's own, nothing of a person's; a page from disk that keeps nothing does not keep it either, which
/// [`from_a_disk_nothing_is_kept_before_it_is_agreed_to_and_all_can_be_forgotten`] shows.
fn the_core_is_kept_unpacked_and_believed_only_by_its_sum(engine: Engine) {
    const CORE: &str = "document.documentElement.dataset.core";
    const DAMAGED: &str = "
        return new Promise((resolve, reject) => {
          const asked = indexedDB.open('farheard-core');
          asked.onerror = reject;
          asked.onsuccess = () => {
            const change = asked.result.transaction('core', 'readwrite');
            change.oncomplete = () => { asked.result.close(); resolve(true); };
            const store = change.objectStore('core');
            store.get('core').onsuccess = ({ target: { result } }) => {
              const at = arguments[0];
              store.put(at < 0 ? 'no core' : result.with(at, result[at] ^ 1), 'core');
            };
          };
        });";
    let folder = Scratch::with_whole_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start_in(engine);
    browser.open(&site.url());
    browser.wait_for(&format!("{CORE} === 'stored'"));
    browser.choose_sample_files();
    browser.wait_for(KEPT);
    let unpacked = browser.all_that_is_shown();
    browser.open(&site.url());
    assert_eq!(browser.value(CORE), "kept");
    browser.wait_for_words("5 610 spots");
    assert_eq!(browser.all_that_is_shown(), unpacked);
    for damage in [4000, -1] {
        browser.script(DAMAGED, vec![json!(damage)]);
        browser.open(&site.url());
        browser.wait_for(&format!("{CORE} === 'stored'"));
        browser.open(&site.url());
        assert_eq!(browser.value(CORE), "kept");
    }
    browser.expect_quiet_console();
}

/// Changes what is stored: `works` and `files` are the rows of the two stores.
const CHANGE_STORE: &str = "
    return new Promise((resolve, reject) => {
      const asked = indexedDB.open('farheard');
      asked.onerror = reject;
      asked.onsuccess = () => {
        const change = asked.result.transaction(['works', 'files'], 'readwrite');
        change.oncomplete = () => { asked.result.close(); resolve(true); };
        change.onabort = reject;
        const [works, files] = ['works', 'files'].map((name) => change.objectStore(name));
        for (const store of [works, files]) {
          store.getAll().onsuccess = ({ target }) => {
            for (const row of target.result) CHANGE;
          };
        }
      };
    });";

/// Whatever the store holds, the page starts, says what it could not read, and takes files as ever.
#[test]
fn a_damaged_store_is_told_and_the_page_begins_without_it() {
    const SAID: &str = "Work that this browser kept cannot be read any more.";
    let folder = Scratch::with_unpacked_site();
    let site = Site::serve(folder.path());
    let browser = Browser::start();
    browser.open(&site.url());
    for (change, said) in [
        ("if (store === works) store.put({ ...row, text: row.text.slice(0, 99) })", SAID),
        ("if (store === works) store.put({ ...row, text: 'null' })", SAID),
        ("if (store === works) store.put({ ...row, text: '{\"files\":[],\"view\":7}', files: [] })", SAID),
        ("if (store === works) store.put({ id: row.id, at: 'soon' })", SAID),
        ("if (store === files) store.delete(row.id)", SAID),
        ("if (store === files) store.put({ ...row, bytes: row.bytes.slice(0, 99) })", SAID),
        ("if (store === files) store.put({ ...row, bytes: new ArrayBuffer(99) })", SAID),
        // this the browser unpacks well enough; the core says what it is
        ("if (store === files) store.put({ ...row, packed: false, bytes: new ArrayBuffer(99) })", "was not read"),
        ("localStorage.setItem('farheard-corrections', '}{')", "3 378 spots"),
    ] {
        // a page that began without its work takes files as ever
        browser.choose(&[&sample_file("control-beacon-two-days.csv")]);
        browser.wait_for_words("3 378 spots");
        browser.wait_for(KEPT);
        browser.script(&CHANGE_STORE.replace("CHANGE", change), Vec::new());
        browser.open(&site.url());
        browser.wait_for_words(said);
        if said == SAID {
            browser.click("#foot-keep");
            browser.wait_for("document.querySelector('#kept[open] li')");
            browser.script("document.getElementById('kept').close();", Vec::new());
        }
        browser.script(&CHANGE_STORE.replace("CHANGE", "store.delete(row.id)"), Vec::new());
        browser.picture("damaged-store");
    }
    let errors: Vec<_> = browser.console().into_iter().filter(|line| line.contains("Uncaught")).collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

fn a_work_file_opens_in_another_browser_as_it_was(engine: Engine) {
    let browser = Browser::start_in(engine);
    let folder = Scratch::with_unpacked_page();
    browser.open_from_disk(folder.path());
    browser.choose_sample_files();
    name_first_run(&browser, "Doublet");
    browser.click("#nav-compare");
    browser.wait_for("document.querySelector('canvas[data-picture=intervals]')");
    let before = browser.all_that_is_shown();
    let (name, bytes) = browser.save("#keep-work");
    assert!(browser.text("#foot").contains("Last work file: just now"), "{}", browser.text("#foot"));
    let file = folder.file(&name, &bytes);
    let other = Browser::start_in(engine);
    other.open_from_disk(folder.path());
    other.drop_files("#main", &[&file]);
    other.wait_for_words("Doublet");
    assert_eq!(other.all_that_is_shown(), before);
    let (_, again) = other.save("#keep-work");
    assert_eq!(again, bytes, "taken again it is the same");
    other.expect_quiet_console();
}
