//! The tagged flavour of ADIF: `<NAME:LENGTH[:TYPE]>value`.

use super::record::{Field, Record};
use crate::import::delimited::lines::count_lines;
use crate::import::fields::cell;

/// What was amiss with a text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Faults {
    /// There is a header, but no end of it.
    pub(super) no_eoh: bool,
    /// The last record has no end.
    pub(super) no_last_eor: bool,
    /// Values whose length did not fit and was put right.
    pub(super) lengths: u64,
}

/// A tag: a data specifier with length, or `EOR`, `EOH`, or something without length.
#[derive(Clone, Copy, Debug)]
struct Tag<'a> {
    name: &'a [u8],
    length: Option<usize>,
    /// Behind its `>`.
    end: usize,
}

/// Longest name of a field that is taken for one.
const LONGEST_NAME: usize = 64;

/// The tag that begins at `at`, where a `<` stands.
fn tag(text: &[u8], at: usize) -> Option<Tag<'_>> {
    let rest = text.get(at + 1..)?;
    let close = rest.iter().take(LONGEST_NAME + 24).position(|&b| b == b'>')?;
    let mut parts = rest[..close].split(|&b| b == b':');
    let name = parts.next().filter(|n| !n.is_empty() && n.len() <= LONGEST_NAME)?;
    if !name.iter().all(|b| b.is_ascii_alphanumeric() || *b == b'_') {
        return None;
    }
    let length = match parts.next() {
        Some(digits) => Some(str::from_utf8(cell::trim(digits)).ok()?.parse().ok()?),
        None => None,
    };
    Some(Tag { name, length, end: at + 1 + close + 1 })
}

impl Tag<'_> {
    fn is(&self, name: &str) -> bool {
        self.name.eq_ignore_ascii_case(name.as_bytes())
    }

    fn ends_something(&self) -> bool {
        self.length.is_none() && (self.is("EOR") || self.is("EOH"))
    }
}

/// Fields whose values are free text and may hold a `<`.
fn is_free_text(name: &[u8]) -> bool {
    let upper = name.to_ascii_uppercase();
    ["COMMENT", "NOTES", "NAME", "QTH", "ADDRESS", "MESSAGE", "RIG", "ANTENNA", "APP_"]
        .iter()
        .any(|part| upper.windows(part.len()).any(|window| window == part.as_bytes()))
}

/// Fields of the header (ADIF 3.1, header fields).
fn is_header_field(name: &[u8]) -> bool {
    let upper = name.to_ascii_uppercase();
    matches!(&upper[..], b"ADIF_VER" | b"PROGRAMID" | b"PROGRAMVERSION" | b"CREATED_TIMESTAMP")
        || upper.starts_with(b"USERDEF")
}

/// A value: where it ends, and whether its length had to be put right.
struct Value {
    end: usize,
    repaired: bool,
    /// Does the text end inside it?
    cut: bool,
}

/// Where the value behind a tag ends.
///
/// The length decides, so that `<` in a value opens no tag. It is put right where that cannot be: a value that runs
/// into the next data specifier ends before it, and one that leaves letters behind goes on to the next blank or tag.
/// Lengths are counted in bytes; where that does not end well but counting in characters does, that holds.
fn value_end(text: &[u8], tag: &Tag<'_>, length: usize) -> Value {
    let start = tag.end;
    let end = start.saturating_add(length).min(text.len());
    let cut = start.saturating_add(length) > text.len();
    let free = is_free_text(tag.name);
    // the next tag within the value, or begun within it
    for at in memchr::memchr_iter(b'<', &text[start..end]).map(|at| start + at) {
        if let Some(next) = self::tag(text, at) {
            let known = next.ends_something() || next.length.is_some() && Field::of(next.name).is_some();
            if known || !free && next.length.is_some() {
                return Value { end: at, repaired: true, cut: false };
            }
        }
    }
    let goes_on = |at: usize| {
        text.get(at).is_some_and(|b| !b.is_ascii() || b.is_ascii_alphanumeric() || matches!(b, b'/' | b'.' | b'-'))
    };
    if goes_on(end) && length > 0 {
        let in_chars =
            text[start..].iter().enumerate().filter(|(_, b)| *b & 0xC0 != 0x80).nth(length).map(|(at, _)| start + at);
        if let Some(at) = in_chars.filter(|&at| at > end && !goes_on(at)) {
            return Value { end: at, repaired: false, cut: false };
        }
        let mut at = end;
        while let Some(&byte) = text.get(at) {
            if byte == b'<' && self::tag(text, at).is_some() || !free && byte.is_ascii_whitespace() {
                break;
            }
            at += 1;
        }
        return Value { end: at, repaired: true, cut: false };
    }
    Value { end, repaired: false, cut }
}

/// Reads all records, one after the other; tells what was amiss.
pub(super) fn read(text: &[u8], each: &mut dyn FnMut(&Record)) -> Faults {
    let mut faults = Faults::default();
    let mut record = Record::default();
    let mut number = 0;
    let (mut counted, mut line) = (0, 1);
    let mut header_seen = false;
    let mut ended_header = false;
    let free_start = !cell::trim(&text[..text.len().min(4096)]).starts_with(b"<");
    let mut at = 0;
    while let Some(next) = memchr::memchr(b'<', &text[at..]).map(|n| at + n) {
        let Some(found) = tag(text, next) else {
            at = next + 1;
            continue;
        };
        at = found.end;
        let Some(length) = found.length else {
            if found.is("EOH") {
                ended_header = true;
                record.clear();
            } else if found.is("EOR") && record.fields > 0 {
                number += 1;
                (record.number, record.end) = (number, found.end);
                faults.no_eoh |= number == 1 && !ended_header && (free_start || header_seen);
                each(&record);
                record.clear();
            }
            continue;
        };
        let value = value_end(text, &found, length);
        at = value.end;
        if is_header_field(found.name) && record.fields == 0 {
            header_seen = true;
            continue;
        }
        faults.lengths += u64::from(value.repaired);
        if record.fields == 0 {
            line += count_lines(&text[counted..next]);
            counted = next;
            (record.line, record.start) = (line, next);
        }
        record.fields += 1;
        record.cut |= value.cut;
        if let Some(field) = Field::of(found.name) {
            record.set(field, &text[found.end..value.end]);
        }
    }
    if record.fields > 0 {
        number += 1;
        (record.number, record.end) = (number, text.len());
        // a tag begun and not closed
        record.cut |= memchr::memrchr(b'<', text).is_some_and(|last| !text[last..].contains(&b'>'));
        faults.no_last_eor = true;
        faults.no_eoh |= number == 1 && !ended_header && (free_start || header_seen);
        each(&record);
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calls(text: &str) -> (Vec<(u32, String)>, Faults) {
        let mut calls = Vec::new();
        let faults = read(text.as_bytes(), &mut |record| {
            calls.push((record.line, String::from_utf8_lossy(record.get(Field::Call)).into_owned()));
        });
        (calls, faults)
    }

    #[test]
    fn headers_and_ends() {
        let (found, faults) = calls("text\n<adif_ver:5>3.1.4<EOH>\n<call:5>Q1ABC <eor>\n<CALL:4>Q2DX<EOR>");
        assert_eq!(found, [(3, "Q1ABC".to_owned()), (4, "Q2DX".to_owned())]);
        assert_eq!(faults, Faults::default());
        let (found, faults) = calls("text\n<adif_ver:5>3.1.4 \n<call:5>Q1ABC <eor>\n<CALL:4>Q2DX");
        assert_eq!(found.len(), 2);
        assert!(faults.no_eoh && faults.no_last_eor);
        let (found, faults) = calls("<CALL:4>Q2DX<EOR>");
        assert_eq!((found.len(), faults), (1, Faults::default()));
    }

    #[test]
    fn lengths_decide_and_are_put_right_where_they_cannot() {
        let grid = "<GRIDSQUARE:6>JO22ob <EOR>";
        for (call, right, repaired) in [
            ("<CALL:5>Q1ABC ", "Q1ABC", 0),
            ("<CALL:7><Q1ABC> ", "<Q1ABC>", 0),
            ("<CALL:5><...> ", "<...>", 0),
            ("<CALL:7>Q1ABC ", "Q1ABC", 1),
            ("<CALL:4>Q1ABC ", "Q1ABC", 1),
            ("<CALL:4>Q1ABC", "Q1ABC", 1),
            ("<CALL:9>Q1ABC    ", "Q1ABC", 0),
            ("<CALL:99999>Q1ABC ", "Q1ABC", 1),
            ("<CALL:5:S>Q1ABC ", "Q1ABC", 0),
        ] {
            let (found, faults) = calls(&format!("{call}{grid}"));
            assert_eq!((found[0].1.as_str(), faults.lengths), (right, repaired), "{call}");
        }
        // lengths in characters
        let (found, faults) = calls("<NAME:4>Zoë1 <CALL:5>Q1ABC <EOR>");
        assert_eq!((found[0].1.as_str(), faults.lengths), ("Q1ABC", 0));
    }
}
