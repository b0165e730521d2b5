//! The tagged flavour of ADIF: `<NAME:LENGTH[:TYPE]>value`.

use super::record::{Field, Meets, Record};
use crate::import::delimited::lines::count_lines;
use crate::import::fields::cell;

/// What was amiss with a text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Faults {
    /// There is a header, but no end of it.
    pub(super) no_eoh: bool,
    /// The last record has no end.
    pub(super) no_last_eor: bool,
    /// Records before the last without an end.
    pub(super) no_eor: u64,
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
    ["COMMENT", "NOTES", "NAME", "QTH", "ADDRESS", "MESSAGE", "MSG", "RIG", "ANTENNA", "APP_"]
        .iter()
        .any(|part| upper.windows(part.len()).any(|window| window == part.as_bytes()))
}

/// Fields of the header (ADIF 3.1, header fields).
fn is_header_field(name: &[u8]) -> bool {
    let upper = name.to_ascii_uppercase();
    matches!(&upper[..], b"ADIF_VER" | b"PROGRAMID" | b"PROGRAMVERSION" | b"CREATED_TIMESTAMP")
        || upper.starts_with(b"USERDEF")
}

/// Does a value that ends here end well: are there only blanks before the next tag or the end of the text?
fn ends_well(text: &[u8], end: usize) -> bool {
    let next = text[end..].iter().position(|byte| !byte.is_ascii_whitespace());
    next.is_none_or(|blanks| tag(text, end + blanks).is_some())
}

/// Does a value hold what stands there in no remark: the end of a record with the next line or tag behind it, or a field
/// that the record does not have yet and behind which only another comes?
fn holds_records(text: &[u8], start: usize, end: usize, record: &Record) -> bool {
    memchr::memchr_iter(b'<', &text[start..end]).filter_map(|at| tag(text, start + at)).any(|tag| {
        let behind = tag.end.saturating_add(tag.length.unwrap_or(0));
        let rest = text[behind.min(end)..end].trim_ascii_start();
        let blanks = &text[behind.min(end)..end - rest.len()];
        match Field::of(tag.name) {
            _ if tag.ends_something() => rest.starts_with(b"<") || blanks.contains(&b'\n'),
            Some(field) if tag.length.is_some() => {
                record.get(field).is_empty() && (rest.is_empty() || rest.starts_with(b"<"))
            }
            _ => false,
        }
    })
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
/// into the next data specifier ends before it (but free text may tell of one, if what follows is the next field), and
/// one that leaves letters behind goes on to the next blank or tag.
/// Lengths are counted in bytes; where that does not end well but counting in characters does, that holds.
fn value_end(text: &[u8], tag: &Tag<'_>, length: usize, record: &Record) -> Value {
    let start = tag.end;
    let end = start.saturating_add(length).min(text.len());
    let cut = start.saturating_add(length) > text.len();
    let free = is_free_text(tag.name);
    if free && !cut && ends_well(text, end) && !holds_records(text, start, end, record) {
        return Value { end, repaired: false, cut };
    }
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
///
/// A record without an end ends where the next header does, or before the first field that comes again with another
/// value: no field stands twice in a record.
pub(super) fn read(text: &[u8], each: &mut dyn FnMut(&Record)) -> Faults {
    let mut faults = Faults::default();
    let mut record = Record::default();
    let mut number = 0;
    let (mut counted, mut line) = (0, 1);
    let mut header_seen = false;
    let mut ended_header = false;
    let free_start = !cell::trim(&text[..text.len().min(4096)]).starts_with(b"<");
    // where the open record's first field stands that came again, with the same value as yet
    let mut again = None;
    let mut at = 0;
    let mut ended = |record: &mut Record, end: usize, without_header_end: bool, faults: &mut Faults| {
        number += 1;
        (record.number, record.end) = (number, end);
        faults.no_eoh |= number == 1 && without_header_end;
        each(record);
        record.clear();
    };
    while let Some(next) = memchr::memchr(b'<', &text[at..]).map(|n| at + n) {
        let Some(found) = tag(text, next) else {
            at = next + 1;
            continue;
        };
        at = found.end;
        let headless = !ended_header && (free_start || header_seen);
        let Some(length) = found.length else {
            if found.is("EOH") {
                // the header of another file behind this one, whose last record has no end
                if record.is_whole() {
                    faults.no_eor += 1;
                    ended(&mut record, next, headless, &mut faults);
                }
                ended_header = true;
                record.clear();
                again = None;
            } else if found.is("EOR") && record.fields > 0 {
                ended(&mut record, found.end, headless, &mut faults);
                again = None;
            }
            continue;
        };
        let value = value_end(text, &found, length, &record);
        at = value.end;
        if is_header_field(found.name) && record.fields == 0 {
            header_seen = true;
            continue;
        }
        let field = Field::of(found.name);
        match field.map(|field| record.meets(field, &text[found.end..value.end])) {
            Some(Meets::Other) => {
                at = again.take().unwrap_or(next);
                record.forget_from(at);
                faults.no_eor += 1;
                ended(&mut record, at, headless, &mut faults);
                continue;
            }
            Some(Meets::Same) => {
                again = again.or(Some(next));
                continue;
            }
            Some(Meets::Nothing) | None => {}
        }
        faults.lengths += u64::from(value.repaired);
        if record.fields == 0 {
            line += count_lines(&text[counted..next]);
            counted = next;
            (record.line, record.start) = (line, next);
        }
        record.fields += 1;
        record.cut |= value.cut;
        if let Some(field) = field {
            record.set(field, &text[found.end..value.end], next);
        }
    }
    if record.fields > 0 {
        // a tag begun and not closed
        record.cut |= memchr::memrchr(b'<', text).is_some_and(|last| !text[last..].contains(&b'>'));
        faults.no_last_eor = true;
        ended(&mut record, text.len(), !ended_header && (free_start || header_seen), &mut faults);
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
    fn a_record_without_end_ends_where_its_fields_come_again() {
        let records = |text: &str| {
            let mut records = Vec::new();
            let faults = read(text.as_bytes(), &mut |record| {
                let value = |field| String::from_utf8_lossy(record.get(field)).into_owned();
                records.push([value(Field::StationCallsign), value(Field::Call), value(Field::Gridsquare)].join(" "));
            });
            (records, faults.no_eor, faults.no_last_eor)
        };
        let own = "<STATION_CALLSIGN:5>Q8STU";
        let dated = "<QSO_DATE:8>20240403<TIME_ON:4>1200";
        let one = format!("{own}<CALL:5>Q1ABC<GRIDSQUARE:4>JO22{dated}");
        let two = format!("{own}<CALL:5>Q2DEF{dated}");
        let three = format!("{own}<GRIDSQUARE:4>FN31<CALL:5>Q3GHI{dated}");
        let all = ["Q8STU Q1ABC JO22", "Q8STU Q2DEF ", "Q8STU Q3GHI FN31"].map(str::to_owned);
        for (text, no_eor, no_last) in [
            (format!("{one}{two}<EOR>{three}<EOR>"), 1, false),
            (format!("{one}\n{two}\n{three}"), 2, true),
            (format!("a<EOH>{one}<EOR>{two}a<EOH>{three}<EOR>"), 1, false),
            (format!("{one}<EOR>{two}<ADIF_VER:5>3.1.4<EOH>{three}<EOR>"), 1, false),
        ] {
            assert_eq!(records(&text), (all.to_vec(), no_eor, no_last), "{text}");
        }
        // a field that says the same twice ends nothing
        assert_eq!(records(&format!("{one}<CALL:5>Q1ABC<EOR>")), (all[..1].to_vec(), 0, false));
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
        // free text that tells of fields, as long as its length says; and with a length that cannot be
        for (remark, right, repaired) in [
            ("<COMMENT:24>heard <call:5>Q9BAD too ", "Q1ABC", 0),
            ("<COMMENT:13>a <EOR> in it ", "Q1ABC", 0),
            ("<COMMENT:13>a <EOH> in it\n", "Q1ABC", 0),
            ("<QSLMSG:8>is <eor>", "Q1ABC", 0),
            ("<COMMENT:20>short ", "Q1ABC", 1),
        ] {
            let (found, faults) = calls(&format!("{remark}<CALL:5>Q1ABC {grid}"));
            assert_eq!((found.len(), found[0].1.as_str(), faults.lengths), (1, right, repaired), "{remark}");
        }
        // lengths in characters
        let (found, faults) = calls("<NAME:4>Zoë1 <CALL:5>Q1ABC <EOR>");
        assert_eq!((found[0].1.as_str(), faults.lengths), ("Q1ABC", 0));
    }
}
