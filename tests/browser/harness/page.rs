//! Looking at the page and touching it. Elements are named by CSS selector.

use std::fs;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use thirtyfour::{By, WebElement};

use super::scratch::root;
use super::{Browser, Engine, Scratch};

/// How long the page may take for anything a test waits for.
const PATIENCE: Duration = Duration::from_secs(45);

/// What would stand in the console.
const EARS: &str = "
    window.heard ??= [];
    const hear = (words) => heard.push(`SEVERE: ${words}`);
    addEventListener('error', ({ message }) => hear(message));
    addEventListener('unhandledrejection', ({ reason }) => hear(String(reason)));
    addEventListener('securitypolicyviolation', ({ effectiveDirective }) => hear(effectiveDirective));
    for (const name of ['warn', 'error']) console[name] = (...words) => hear(words.map(String).join(' '));";

impl Browser {
    /// Opens the page of a folder from disk and waits until it is ready.
    pub(crate) fn open_from_disk(&self, folder: &Path) {
        self.open(&format!("file://{}", folder.join("index.html").display()));
    }

    /// Opens a page and waits until it is ready.
    pub(crate) fn open(&self, url: &str) {
        self.run(&format!("opening {url}"), self.driver().goto(url));
        self.wait_until_ready();
        if self.engine != Engine::Chromium {
            self.script(EARS, Vec::new());
        }
    }

    /// Waits until the page's core has answered.
    pub(crate) fn wait_until_ready(&self) {
        self.wait_for("document.documentElement.dataset.state === 'ready'");
    }

    /// Holds the mouse down on an element, at a place beside its middle if one is given, and lets go so far to the right.
    pub(crate) fn drag(&self, selector: &str, beside: Option<(i64, i64)>, by: i64) {
        let element = self.element(selector);
        let (x, y) = beside.unwrap_or_default();
        let actions = self.driver().action_chain().move_to_element_center(&element).move_by_offset(x, y);
        let actions = actions.click_and_hold().move_by_offset(by / 2, 0).move_by_offset(by - by / 2, 0).release();
        self.run(&format!("dragging {selector}"), actions.perform());
    }

    /// Presses a key on an element that has the focus.
    pub(crate) fn press_key(&self, selector: &str, key: &str) {
        self.script(
            "document.querySelector(arguments[0]).dispatchEvent(new KeyboardEvent('keydown', { key: arguments[1], bubbles: true, cancelable: true }));",
            vec![json!(selector), json!(key)],
        );
    }

    /// A key with Control, pressed on the page itself.
    pub(crate) fn press_with_control(&self, key: &str) {
        let press = "document.body.dispatchEvent(new KeyboardEvent('keydown', { key: arguments[0], ctrlKey: true, bubbles: true, cancelable: true }))";
        self.script(press, vec![json!(key)]);
    }

    /// Starts one on a dark screen, with the sample open in the page from a disk.
    pub(crate) fn start_in_the_dark() -> (Self, Scratch) {
        let browser = Self::start();
        let dark = json!({ "features": [{ "name": "prefers-color-scheme", "value": "dark" }] });
        browser.run("wishing a dark screen", browser.driver().cdp().send_raw("Emulation.setEmulatedMedia", dark));
        let folder = browser.open_sample();
        (browser, folder)
    }

    /// Starts one of an engine, with the sample open in the page from a disk.
    pub(crate) fn start_with_sample(engine: Engine) -> (Self, Scratch) {
        let browser = Self::start_in(engine);
        let folder = browser.open_sample();
        (browser, folder)
    }

    fn open_sample(&self) -> Scratch {
        let folder = Scratch::with_unpacked_page();
        self.open_from_disk(folder.path());
        self.click("#try-sample");
        self.wait_for("document.querySelector('#picture-disc')");
        folder
    }

    /// Runs the body of a function in the page; a promise is waited for.
    pub(crate) fn script(&self, body: &str, arguments: Vec<Value>) -> Value {
        let done = self.run(&format!("running {body}"), self.driver().execute(body, arguments));
        done.json().clone()
    }

    /// The value of an expression in the page.
    pub(crate) fn value(&self, expression: &str) -> Value {
        self.script(&format!("return ({expression});"), Vec::new())
    }

    /// Waits until an expression is true, or what it promises is.
    pub(crate) fn wait_for(&self, expression: &str) {
        self.wait_long_for(expression, PATIENCE);
    }

    /// The same, for what takes longer than anything else.
    pub(crate) fn wait_long_for(&self, expression: &str, patience: Duration) {
        let start = Instant::now();
        while self.value(&format!("Promise.resolve({expression}).then(Boolean)")) != Value::Bool(true) {
            if start.elapsed() > patience {
                let text = self.text("body");
                panic!(
                    "waited {} s for {expression}\nconsole: {:#?}\nthe page says:\n{text}",
                    patience.as_secs(),
                    self.console()
                );
            }
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// A script that runs in every page before its own.
    pub(crate) fn before_every_page(&self, script: &str) {
        let source = json!({ "source": script });
        let devtools = self.driver().cdp();
        self.run("a script before the page", devtools.send_raw("Page.addScriptToEvaluateOnNewDocument", source));
    }

    /// A script that runs in every worker before its own.
    pub(crate) fn before_every_worker(&self, script: &str) {
        let before = json!(format!("{{ {script} }}\n"));
        self.before_every_page(&format!(
            "{{
               const Whole = window.Blob;
               window.Blob = function (parts, about) {{
                 return new Whole(about?.type === 'text/javascript' ? [{before}, ...parts] : parts, about);
               }};
               window.Blob.prototype = Whole.prototype;
             }}"
        ));
    }

    /// Waits until the page shows some words; any run of blanks, also unbreakable ones, counts as one.
    pub(crate) fn wait_for_words(&self, words: &str) {
        self.wait_for(&format!("document.body.innerText.replace(/\\s+/g, ' ').includes({})", json!(words)));
    }

    /// The element.
    pub(crate) fn element(&self, selector: &str) -> WebElement {
        self.run(&format!("finding {selector}"), self.driver().find(By::Css(selector)))
    }

    /// Its visible text.
    pub(crate) fn text(&self, selector: &str) -> String {
        let element = self.element(selector);
        self.run(&format!("reading {selector}"), element.text())
    }

    /// Clicks it, as a person would: it must be visible and uncovered.
    pub(crate) fn click(&self, selector: &str) {
        let element = self.element(selector);
        self.run(&format!("clicking {selector}"), element.click());
    }

    /// Types into it.
    pub(crate) fn write(&self, selector: &str, text: &str) {
        let element = self.element(selector);
        self.run(&format!("typing into {selector}"), element.send_keys(text));
    }

    /// Makes the window so large, in CSS pixels of the page.
    pub(crate) fn resize(&self, width: u32, height: u32) {
        self.resize_at(width, height, 1.0);
    }

    /// Makes the window so large, on a screen with so many pixels to one of the page.
    pub(crate) fn resize_at(&self, width: u32, height: u32, ratio: f64) {
        assert_eq!(self.engine, Engine::Chromium, "other drivers cannot set the size of the page itself");
        let metrics = json!({ "width": width, "height": height, "deviceScaleFactor": ratio, "mobile": false });
        self.run("resizing the page", self.driver().cdp().send_raw("Emulation.setDeviceMetricsOverride", metrics));
    }

    /// Takes a picture of what is on screen into `target/pictures/NAME.png`.
    pub(crate) fn picture(&self, name: &str) -> PathBuf {
        let folder = root().join("target").join("pictures");
        fs::create_dir_all(&folder).expect("target/pictures/ can be made");
        let path = folder.join(format!("{name}.png"));
        self.run("taking a picture", self.driver().screenshot(&path));
        path
    }

    /// Waits until a canvas shows at least so many colours; a blank one shows one.
    pub(crate) fn wait_for_ink(&self, selector: &str, colours: usize) {
        let start = Instant::now();
        while self.colours(selector) < colours {
            assert!(start.elapsed() < PATIENCE, "{selector} shows {} colours only", self.colours(selector));
            thread::sleep(Duration::from_millis(100));
        }
    }

    /// How many different colours a canvas shows at some thousand places.
    fn colours(&self, selector: &str) -> usize {
        let size = self.script(
            "const canvas = document.querySelector(arguments[0]); return [canvas.width, canvas.height];",
            vec![json!(selector)],
        );
        let (width, height): (u32, u32) = serde_json::from_value(size).expect("a canvas has a width and a height");
        let places: Vec<_> = (0..60).flat_map(|x| (0..60).map(move |y| (x * width / 60, y * height / 60))).collect();
        let mut colours = self.pixels(selector, &places);
        colours.sort_unstable();
        colours.dedup();
        colours.len()
    }

    /// Pixels of a canvas at places in its own pixels: red, green, blue, opacity, 0 to 255 each.
    /// Works for canvases drawn by a worker too.
    pub(crate) fn pixels(&self, selector: &str, places: &[(u32, u32)]) -> Vec<[u8; 4]> {
        let read = self.script(
            "const canvas = document.querySelector(arguments[0]);
             const copy = new OffscreenCanvas(canvas.width, canvas.height).getContext('2d', { willReadFrequently: true });
             copy.drawImage(canvas, 0, 0);
             return arguments[1].map(([x, y]) => [...copy.getImageData(x, y, 1, 1).data]);",
            vec![json!(selector), json!(places)],
        );
        serde_json::from_value(read).expect("four numbers for each place")
    }

    /// What the console got since it was last read, as `SEVERE: words`; where a driver does not hand it out, what the
    /// page could hear of it itself since it was ready.
    pub(crate) fn console(&self) -> Vec<String> {
        if self.engine != Engine::Chromium {
            return serde_json::from_value(self.value("window.heard?.splice(0) ?? []")).expect("a list of texts");
        }
        let entries = self.run("reading the console", self.driver().browser_log());
        entries.iter().map(|entry| format!("{}: {}", entry.level, entry.message)).collect()
    }

    /// Fails if the console got an error or a warning since it was last read.
    pub(crate) fn expect_quiet_console(&self) {
        let loud: Vec<_> = self.console().into_iter().filter(|line| !line.starts_with("INFO")).collect();
        assert!(loud.is_empty(), "the console is not quiet: {loud:#?}");
    }

    /// The addresses the page has asked for since they were last read, from the browser's own log;
    /// without `data:` and `blob:`, which lie in the page itself, and the browser's own `chrome:` pages. Where a driver
    /// does not hand out that log, all that the page knows of since it was loaded.
    pub(crate) fn requested(&self) -> Vec<String> {
        if self.engine != Engine::Chromium {
            let known = "performance.getEntriesByType('resource').map(({ name }) => name).filter((name) => !/^(data|blob):/.test(name))";
            return serde_json::from_value(self.value(known)).expect("a list of addresses");
        }
        let entries = self.run("reading the browser's network log", self.driver().get_log("performance"));
        let mut addresses = Vec::new();
        for entry in entries {
            let event: Value = serde_json::from_str(&entry.message).expect("the log's entries are JSON");
            let message = &event["message"];
            if message["method"] == "Network.requestWillBeSent"
                && let Some(address) = message["params"]["request"]["url"].as_str()
                && !["data:", "blob:", "chrome:"].iter().any(|scheme| address.starts_with(scheme))
            {
                addresses.push(address.to_owned());
            }
        }
        addresses
    }
}
