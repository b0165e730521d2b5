//! Archives: what is to be kept of a file too large to be held is asked for while its beginning is shown.

use super::message::Patch;
use super::session::Session;
use super::sharing::OTHER_FILES;
use super::views::frame::{Ask, Words};
use crate::import::sieve::{Sieved, Wanted, check};
use crate::import::{ErrorKind, FileError};
use crate::model::Band;
use crate::time::UtcTime;
use crate::words::number::{NO_BREAK, count, counted, decimals};

/// What is asked of a person about an archive, and what they said.
#[derive(Debug, Default)]
pub(super) struct Archive {
    asks: bool,
    wanted: Option<Wanted>,
    /// What was kept, to be said once it is shown.
    said: Option<String>,
}

impl Session {
    /// Asks what is to be kept of an archive, with its beginning in the picture, or refuses it.
    pub fn ask_archive(&mut self, name: &str, size: u64, beginning: &[u8]) -> Vec<Patch> {
        if let Err(fault) = check(beginning) {
            return self.refuse_archive(name, &fault);
        }
        if self.shared.is_some() {
            let text = OTHER_FILES.to_owned();
            return self.refuse_archive(name, &FileError { kind: ErrorKind::TooLarge, text });
        }
        let mut patches = self.glimpse(name, beginning);
        self.archive = Archive { asks: true, ..Archive::default() };
        let size = decimals(size as f64 / 1e9, 1);
        let head = format!("{name} is {size}{NO_BREAK}GB, more than can be held at once.");
        self.announce(format!("{head} {HOW}"));
        self.notice =
            Some(Words { head, lines: vec![HOW.to_owned()], choices: Vec::new(), ask: Some(ask(String::new())) });
        self.out.push(Patch::Archive { step: "asks" });
        patches.extend(self.whole_page());
        // the field is there only now
        patches.push(Patch::Focus { id: "ask-field".to_owned() });
        patches
    }

    /// Is a person being asked?
    pub(super) fn asks_archive(&self) -> bool {
        self.archive.asks
    }

    /// What is to be kept was typed.
    pub(super) fn keep_of_archive(&mut self, typed: &str) {
        if !self.archive.asks {
            return;
        }
        match wanted(typed) {
            Ok(wanted) => {
                self.archive = Archive { wanted: Some(wanted), ..Archive::default() };
                self.notice = None;
                self.out.push(Patch::Archive { step: "goes-on" });
            }
            Err(wrong) => {
                self.announce(wrong.clone());
                if let Some(notice) = &mut self.notice {
                    notice.lines = vec![wrong, HOW.to_owned()];
                    notice.ask = Some(ask(typed.to_owned()));
                }
            }
        }
    }

    /// The question was closed without an answer: the archive is given up.
    pub(super) fn leave_archive(&mut self) {
        self.give_up();
        self.out.push(Patch::Archive { step: "ends" });
    }

    /// What is to be kept, once it is known.
    pub(super) fn take_wanted(&mut self) -> Option<Wanted> {
        self.archive.wanted.take()
    }

    /// Says why an archive is not read.
    pub(super) fn refuse_archive(&mut self, name: &str, fault: &FileError) -> Vec<Patch> {
        self.give_up();
        self.archive = Archive::default();
        self.say(format!("{name} was not read."), vec![fault.text.clone()]);
        self.out.push(Patch::Archive { step: "ends" });
        self.whole_page()
    }

    /// Keeps in mind what came of an archive, to be said when it is shown.
    pub(super) fn say_sieved(&mut self, name: &str, sieved: &Sieved) {
        let whole = |n: u64| count(usize::try_from(n).unwrap_or(usize::MAX));
        let spots = counted(usize::try_from(sieved.kept).unwrap_or(usize::MAX), "spot", "spots");
        let mut said = format!("Of the {} lines of {name}, {spots} were kept.", whole(sieved.lines));
        if sieved.unreadable > 0 {
            said.extend([" ", &whole(sieved.unreadable), " more rows could not be read."]);
        }
        if sieved.cut || sieved.bad_checksum {
            said += " The packed file is damaged or ends too early: download it again.";
        }
        self.archive.said = Some(said);
    }

    /// Says what came of an archive, below what else is to be said.
    pub(super) fn tell_sieved(&mut self) {
        let Some(said) = self.archive.said.take() else { return };
        match &mut self.notice {
            Some(notice) => notice.lines.push(said),
            None => self.say(said, Vec::new()),
        }
    }
}

const HOW: &str = "Name the stations to keep, the tested one and a control, and if you like bands and times: \
                   from 2031-01-01 to 2031-02-01. All else is passed over.";

fn ask(typed: String) -> Ask {
    Ask { act: "archive", label: "Keep", example: "Q6HUT Q4MIL 40m", typed, button: "Read" }
}

/// What typed words want: calls, bands, `from` and `to` with a time each.
fn wanted(typed: &str) -> Result<Wanted, String> {
    let mut wanted = Wanted::default();
    let mut words = typed.split([' ', ',', ';', '\t']).filter(|word| !word.is_empty());
    while let Some(word) = words.next() {
        let of_time = match word {
            "from" => Some(&mut wanted.from),
            "to" => Some(&mut wanted.to),
            _ => None,
        };
        if let Some(time) = of_time {
            let text = words.next().unwrap_or_default();
            let Some(read) = UtcTime::parse_iso(text) else {
                return Err(format!(
                    "\u{201c}{text}\u{201d} behind \u{201c}{word}\u{201d} is no time. Write it like 2031-01-16 or 2031-01-16T12:00."
                ));
            };
            *time = Some(read);
        } else if let Some(band) = Band::from_name(word) {
            wanted.bands.push(band);
        } else if is_call(word) {
            wanted.calls.push(word.to_ascii_uppercase());
        } else {
            return Err(format!("\u{201c}{word}\u{201d} is no call, band or time."));
        }
    }
    if wanted.is_all() {
        return Err("Name at least one station, band or time: all of it is too much.".to_owned());
    }
    Ok(wanted)
}

/// Letters and digits, both, with strokes between.
fn is_call(word: &str) -> bool {
    let has = |kind: fn(&u8) -> bool| word.bytes().any(|byte| kind(&byte));
    word.len() > 2
        && word.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'/' | b'-'))
        && has(u8::is_ascii_digit)
        && has(u8::is_ascii_alphabetic)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read_in_any_order_and_odd_ones_named() {
        let read = wanted("q6hut, 40m from 2031-01-01 Q4MIL/P to 2031-02-01T12:00").unwrap();
        assert_eq!(read.calls, ["Q6HUT", "Q4MIL/P"]);
        assert_eq!(read.bands, [Band::from_name("40m").unwrap()]);
        assert_eq!((read.from, read.to), (UtcTime::parse_iso("2031-01-01"), UtcTime::parse_iso("2031-02-01T12:00")));
        for (typed, named) in
            [("", "at least one"), ("q6hut strong", "strong"), ("40m from", "no time"), ("to noon", "noon")]
        {
            let said = wanted(typed).unwrap_err();
            assert!(said.contains(named), "{typed}: {said}");
        }
    }
}
