//! A session without a browser: events in, and what its page would show.

#![allow(dead_code, reason = "every test of the page has this, none uses all of it")]

use std::collections::BTreeMap;

use farheard::page::{Boot, Event, Origin, Patch, Session};

/// A session with what its page would show.
pub(crate) struct Page {
    pub(crate) session: Session,
    /// Markup by region.
    pub(crate) regions: BTreeMap<&'static str, String>,
    /// Everything said so far.
    pub(crate) said: Vec<String>,
    /// What else the last event asked the page to do.
    pub(crate) other: Vec<Patch>,
}

impl Page {
    pub(crate) fn booted() -> Self {
        Self::with(Boot::default())
    }

    pub(crate) fn with(boot: Boot) -> Self {
        let mut page = Self { session: Session::new(), regions: BTreeMap::new(), said: Vec::new(), other: Vec::new() };
        page.tell(Event::Boot(boot));
        page
    }

    pub(crate) fn tell(&mut self, event: Event) {
        self.other.clear();
        self.take(|session| session.handle(event));
    }

    /// Shows what the session gives.
    pub(crate) fn take(&mut self, given: impl FnOnce(&mut Session) -> Vec<Patch>) {
        for patch in given(&mut self.session) {
            match patch {
                Patch::Html { region, html } => {
                    self.regions.insert(region, html);
                }
                Patch::Announce { text } => self.said.push(text),
                other => self.other.push(other),
            }
        }
    }

    pub(crate) fn act(&mut self, act: &str, value: &str) {
        self.tell(Event::Act { act: act.to_owned(), value: value.to_owned(), shift: false, passing: false });
    }

    /// The text of the work file that the page would pack.
    pub(crate) fn work_file(&mut self) -> String {
        self.act("save", "work");
        let taken = self
            .other
            .iter()
            .find_map(|patch| if let Patch::WorkFile { text, .. } = patch { Some(text) } else { None });
        taken.expect("a work file is handed over").clone()
    }

    /// A file comes in; a page that reads in steps has then only begun.
    pub(crate) fn give(&mut self, name: &str, bytes: impl AsRef<[u8]>, origin: Origin) {
        self.tell(Event::File { name: name.to_owned(), bytes: bytes.as_ref().to_vec() });
        self.tell(Event::FilesDone { origin, work: String::new() });
    }

    /// Draws what changed, as a browser's page does after every event.
    pub(crate) fn draw(&mut self) {
        for (picture, _) in self.session.take_pictures() {
            self.session.svg(picture);
        }
        self.take(Session::after_drawing);
    }

    /// Progress that the last event asked to show.
    pub(crate) fn progress(&self) -> Option<(String, f64)> {
        self.other.iter().find_map(|patch| match patch {
            Patch::Progress { words, share } => Some((words.clone(), *share)),
            _ => None,
        })
    }

    /// Reads about so many bytes on. Is there more?
    pub(crate) fn step(&mut self, bytes: usize) -> bool {
        self.tell(Event::ReadOn { bytes });
        self.progress().is_some()
    }

    /// Reads on to the end, if anything is being read.
    pub(crate) fn finish(&mut self, bytes: usize) {
        while self.progress().is_some() {
            self.step(bytes);
        }
    }

    pub(crate) fn html(&self, region: &str) -> &str {
        self.regions.get(region).map_or("", String::as_str)
    }

    /// The words of a region, without markup.
    pub(crate) fn words(&self, region: &str) -> String {
        let mut words = String::new();
        let mut within = false;
        for letter in self.html(region).chars() {
            match letter {
                '<' => within = true,
                '>' => {
                    within = false;
                    words.push(' ');
                }
                letter if !within => words.push(letter),
                _ => {}
            }
        }
        for (name, letter) in [("&#60;", "<"), ("&#62;", ">"), ("&#34;", "\""), ("&#39;", "'"), ("&#38;", "&")] {
            words = words.replace(name, letter);
        }
        words.split([' ', '\n']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
    }

    pub(crate) fn has(&self, region: &str, words: &str) -> bool {
        self.words(region).contains(words)
    }
}
