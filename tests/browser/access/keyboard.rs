//! The whole task by keyboard alone. At every stop of the Tab key the focus is seen, and nothing holds it.

use std::thread;
use std::time::Duration;

use serde::Deserialize;
use serde_json::json;
use thirtyfour::Key;

use super::states::equip;
use crate::harness::{Browser, Scratch};

/// More stops than any state has.
const MOST_STOPS: usize = 420;

#[derive(Debug, Deserialize)]
struct Stop {
    stop: String,
    wrong: Vec<String>,
}

struct Person {
    browser: Browser,
    wrong: Vec<String>,
    /// What the person is about, for the message.
    about: String,
    _page: Scratch,
}

impl Person {
    fn new() -> Self {
        let page = Scratch::with_unpacked_page();
        let browser = Browser::start();
        browser.resize(1440, 900);
        browser.open_from_disk(page.path());
        equip(&browser);
        browser.catch_saved();
        Self { browser, wrong: Vec::new(), about: String::new(), _page: page }
    }

    /// Presses real keys, where the focus is.
    fn keys(&self, keys: impl AsRef<str>) {
        let actions = self.browser.driver().action_chain().send_keys(keys.as_ref());
        self.browser.run("pressing keys", actions.perform());
    }

    fn key(&self, key: Key) {
        self.keys(char::from(key).to_string());
    }

    /// Looks at what has the focus; an empty name if nothing has.
    fn look(&mut self) -> String {
        let look = || serde_json::from_value(self.browser.script("return probe.focus();", Vec::new())).expect("a stop");
        let Stop { stop, mut wrong } = look();
        if !wrong.is_empty() {
            // a page that is still growing has not come to rest yet
            thread::sleep(Duration::from_millis(200));
            wrong = look().wrong;
        }
        if !stop.is_empty() {
            self.wrong.extend(wrong.into_iter().map(|words| format!("{}: {words}", self.about)));
        }
        stop
    }

    fn focused(&self) -> String {
        self.browser.value("document.activeElement.id").as_str().unwrap_or_default().to_owned()
    }

    /// Tabs to an element; every stop on the way is looked at.
    fn tab_to(&mut self, id: &str) {
        self.about = format!("on the way to {id}");
        for _ in 0..MOST_STOPS {
            self.key(Key::Tab);
            self.look();
            if self.focused() == id {
                return;
            }
        }
        panic!("the Tab key never came to {id}");
    }

    fn enter(&mut self, id: &str, until: &str) {
        self.tab_to(id);
        self.key(Key::Enter);
        self.browser.wait_for(until);
    }

    /// Tabs once round the page: every control is come to, and the focus leaves the last one.
    fn round(&mut self, state: &str) {
        state.clone_into(&mut self.about);
        self.browser.script("document.activeElement.blur(); scrollTo(0, 0);", Vec::new());
        let mut first = String::new();
        let mut left = false;
        for _ in 0..MOST_STOPS {
            self.key(Key::Tab);
            let stop = self.look();
            if first.is_empty() {
                first.clone_from(&stop);
            } else if stop.is_empty() || stop == first {
                left = true;
            }
            if left && stop == first {
                break;
            }
        }
        assert!(left, "{state}: the focus never came round");
        let unvisited = self.browser.script("return probe.unvisited();", Vec::new());
        assert_eq!(unvisited, json!([]), "{state}: the Tab key does not come to these");
    }
}

#[test]
fn the_whole_task_by_keyboard_alone() {
    let mut person = Person::new();
    person.round("empty");
    person.enter("try-sample", "document.querySelector('#how-read') && document.querySelector('#picture-disc')");
    person.browser.wait_for_ink("canvas[data-picture=disc]", 10);

    // a column is taken for something else, and that is taken back
    person.enter("how-read", "document.querySelector('#role-8')");
    person.tab_to("role-8");
    let before = person.browser.value("document.querySelector('#role-8').value");
    person.key(Key::Up);
    person.browser.wait_for(&format!("document.querySelector('#role-8').value !== {before}"));
    person.look();
    // it is offered once the file is read again
    person.browser.wait_for("document.querySelector('#undo-wish')");
    person.enter("undo-wish", &format!("document.querySelector('#role-8').value === {before}"));
    person.round("Reading");
    person.enter("reading-close", "document.querySelector('#picture-disc')");

    // a filter, by arrows within its menu
    person.enter("open-band", "document.querySelector('#menu-band')");
    person.key(Key::Down);
    person.key(Key::Down);
    person.look();
    assert!(person.focused().starts_with("choice-band-"), "arrows walk the menu: {}", person.focused());
    person.key(Key::Enter);
    person.browser.wait_for("document.querySelector('#clear-band')");
    person.look();
    person.key(Key::Escape);
    person.browser.wait_for("!document.querySelector('#menu-band')");
    assert_eq!(person.focused(), "open-band", "the focus comes back from a menu");
    // and a menu that the focus leaves goes
    person.key(Key::Enter);
    person.browser.wait_for("document.querySelector('#menu-band')");
    person.enter("open-level", "document.querySelector('#menu-level') && !document.querySelector('#menu-band')");
    person.key(Key::Escape);
    person.enter("clear-all", "!document.querySelector('#clear-all')");

    // the Disc
    person.tab_to("picture-disc");
    for key in [Key::Up, Key::Up, Key::Right, Key::Enter] {
        person.key(key);
    }
    person.browser.wait_for("document.querySelector('#card')");
    person.browser.wait_for("document.querySelector('#live').textContent.length > 5");
    person.look();
    person.keys("?");
    person.browser.wait_for("document.querySelector('#keys[open]')");
    person.look();
    person.key(Key::Escape);
    person.browser.wait_for("!document.querySelector('#keys[open]')");
    assert_eq!(person.focused(), "picture-disc", "the focus comes back from the list of keys");
    person.round("Disc with a card");

    // which is better, and how that came about
    person.enter("nav-compare", "document.querySelector('#how-all')");
    person.enter("how-all", "document.querySelector('#how-words')");
    person.look();
    person.round("Compare");
    person.enter("run-open-1", "document.querySelector('#run-editor')");
    person.round("run editor");
    person.enter("run-close", "!document.querySelector('#run-editor')");
    person.enter("nav-plan", "document.querySelector('#picture-order')");
    person.round("Plan");

    // away with it
    person.enter("nav-spots", "document.querySelector('#open-save')");
    person.enter("open-save", "document.querySelector('#save-csv')");
    person.round("Save");
    person.enter("save-csv", "saved.length === 1");
    assert_eq!(person.browser.value("saved[0].name"), "SAMPLE-spots-Q6HUT.csv");

    // rows of one's own, typed or pasted into the dialog
    person.tab_to("nav-disc");
    person.key(Key::Enter);
    person.browser.wait_for("document.querySelector('#picture-disc')");
    person.browser.script("document.querySelector('[data-page=paste]').id ||= 'paste-button';", Vec::new());
    person.enter("paste-button", "document.querySelector('#paste[open]')");
    assert_eq!(person.focused(), "paste-text");
    person.keys("utc,sent by,from,power dBm,heard by,at,frequency MHz,SNR dB\n2031-10-11 00:00,Q6HUT,IN71,23,Q1ABC,JO22,14.0971,-17\n");
    person.look();
    person.key(Key::Tab);
    person.look();
    person.key(Key::Enter);
    person.browser.wait_for_words("1 spot from 1 listener");
    assert!(person.wrong.is_empty(), "{:#?}", person.wrong);
    person.browser.expect_quiet_console();
}

/// Each picture is walked by arrows, and says where one is.
#[test]
fn every_picture_is_walked_by_arrows() {
    let mut person = Person::new();
    let mut mute = Vec::new();
    person.enter("try-sample", "document.querySelector('#how-read') && document.querySelector('#picture-disc')");
    for view in ["disc", "sky", "health", "compare", "plan"] {
        person.browser.script("probe.act('view', arguments[0]);", vec![json!(view)]);
        person.browser.wait_for(&format!(
            "document.documentElement.dataset.view === '{view}' && document.querySelector('canvas[data-picture]')"
        ));
        let pictures =
            person.browser.value("[...document.querySelectorAll('canvas[data-picture][tabindex]')].map((it) => it.id)");
        for picture in serde_json::from_value::<Vec<String>>(pictures).expect("names") {
            person.browser.wait_for_ink(&format!("#{picture}"), 2);
            person.browser.script(
                "document.getElementById('live').textContent = ''; document.getElementById(arguments[0]).focus();",
                vec![json!(picture)],
            );
            person.key(Key::Right);
            let said = person.browser.script(
                "const late = performance.now() + 1200;
                 return (async () => {
                   while (!document.getElementById('live').textContent && performance.now() < late) await new Promise(requestAnimationFrame);
                   return document.getElementById('live').textContent;
                 })();",
                Vec::new(),
            );
            if said == json!("") {
                mute.push(picture);
            }
        }
    }
    assert!(mute.is_empty(), "arrows do nothing on {mute:?}");
}
