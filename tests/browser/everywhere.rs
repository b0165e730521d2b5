//! The same in every engine, and in the core without one: reports and tables to the byte, corrections, the verdict.

use farheard::page::{Boot, Event, Origin, Patch, Session, Surroundings};
use sha2::{Digest as _, Sha256};

use crate::harness::{Browser, Engine, Scratch, in_every_engine, sample_file};

in_every_engine! {
    what_is_saved_is_to_the_byte_what_the_core_gives_without_a_browser,
    a_column_read_as_something_else_changes_the_answer_and_is_taken_back,
}

const FILES: [&str; 2] = ["two-antennas-two-days.csv", "control-beacon-two-days.csv"];
/// Everything that is saved as text: all figures, tables and drawn pictures stand in these.
const FORMS: [&str; 5] = ["report", "csv", "geojson", "svg", "svg-work"];

/// What the core without a browser saves of the files.
fn native() -> Vec<(String, String)> {
    let mut session = Session::new();
    let surroundings = Surroundings::default();
    session.handle(Event::Boot(Boot { surroundings, date_begins_with: "day".to_owned(), ..Boot::default() }));
    for name in FILES {
        let bytes = std::fs::read(sample_file(name)).expect("the sample");
        session.handle(Event::File { name: name.to_owned(), bytes });
    }
    session.handle(Event::FilesDone { origin: Origin::Person, work: String::new() });
    let act = |session: &mut Session, act: &str, value: &str| {
        session.handle(Event::Act { act: act.to_owned(), value: value.to_owned(), shift: false, passing: false })
    };
    act(&mut session, "view", "compare");
    let mut saved = |form: &str| {
        let patches = act(&mut session, "save", form);
        let saved = patches.into_iter().find_map(|patch| match patch {
            Patch::Save { name, bytes, .. } => Some((name, sum(&bytes))),
            _ => None,
        });
        saved.unwrap_or_else(|| panic!("nothing is saved as {form}"))
    };
    FORMS.map(&mut saved).to_vec()
}

fn sum(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect::<Vec<_>>().concat()
}

/// A page of its own, with the files of the sample as a person's own.
fn with_files(engine: Engine) -> (Browser, Scratch) {
    let folder = Scratch::with_page_alone();
    let browser = Browser::start_in(engine);
    browser.open_from_disk(folder.path());
    browser.choose_sample_files();
    (browser, folder)
}

fn what_is_saved_is_to_the_byte_what_the_core_gives_without_a_browser(engine: Engine) {
    let (browser, _folder) = with_files(engine);
    browser.click("#nav-compare");
    browser.wait_for("document.querySelector('canvas[data-picture=intervals]')");
    browser.click("#keep-save");
    let saved: Vec<_> = FORMS
        .iter()
        .map(|form| {
            let (name, bytes) = browser.save(&format!("#save-{form}"));
            (name, sum(&bytes))
        })
        .collect();
    assert_eq!(saved, native());
    browser.expect_quiet_console();
}

/// Goes from Compare to how the first file was read, does something there, and comes back.
fn in_reading(browser: &Browser, what: impl FnOnce()) {
    browser.click("#nav-disc");
    browser.wait_for("document.querySelector('#picture-disc')");
    browser.wait_for("document.querySelector('#how-read')");
    browser.script("document.querySelector('#how-read').click();", Vec::new());
    browser.wait_for("document.querySelector('#role-0')");
    what();
    browser.click("#reading-close");
    browser.click("#nav-compare");
}

fn a_column_read_as_something_else_changes_the_answer_and_is_taken_back(engine: Engine) {
    let (browser, _folder) = with_files(engine);
    browser.click("#nav-compare");
    browser.wait_for("document.querySelector('canvas[data-picture=intervals]')");
    let verdict = browser.value("document.querySelector('#answer').innerText");
    in_reading(&browser, || {
        // the column with the levels counts no more
        browser.script(
            "const roles = [...document.querySelectorAll('select[id^=role-]')];
             const levels = roles.find(({ value }) => value === 'snr');
             levels.value = 'ignore';
             levels.dispatchEvent(new Event('change', { bubbles: true }));",
            Vec::new(),
        );
        browser.wait_for("document.querySelector('#undo-wish')");
    });
    browser.wait_for(&format!("document.querySelector('#answer').innerText !== {verdict}"));
    in_reading(&browser, || {
        browser.wait_for("document.querySelector('#undo-wish')");
        browser.script("document.querySelector('#undo-wish').click();", Vec::new());
        browser.wait_for("!document.querySelector('#undo-wish')");
    });
    browser.wait_for(&format!("document.querySelector('#answer').innerText === {verdict}"));
    browser.expect_quiet_console();
}
