//! The XML flavour of ADIF: `<RECORD><CALL>Q1ABC</CALL>...</RECORD>` within `<RECORDS>`.
//!
//! Read are elements with text, the five entities of XML and numbered ones, CDATA and comments; names in any letter
//! case. Attributes, namespaces and document types are passed over. Nothing outside the text is ever fetched.

use super::record::{Field, Record};
use crate::import::delimited::lines::count_lines;

/// Reads all records; tells whether the last one is cut off.
pub(super) fn read(text: &[u8], each: &mut dyn FnMut(&Record)) -> bool {
    let mut record = Record::default();
    let mut inside = false;
    let mut number = 0;
    let (mut counted, mut line) = (0, 1);
    let mut open: Option<Field> = None;
    let mut value: Vec<u8> = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let next = memchr::memchr(b'<', &text[at..]).map_or(text.len(), |n| at + n);
        if open.is_some() {
            unescape(&text[at..next], &mut value);
        }
        let rest = &text[next..];
        if let Some(data) = rest.strip_prefix(b"<![CDATA[") {
            let end = memchr::memmem::find(data, b"]]>").unwrap_or(data.len());
            if open.is_some() {
                value.extend_from_slice(&data[..end]);
            }
            at = (next + 9 + end + 3).min(text.len());
            continue;
        }
        if rest.starts_with(b"<!--") {
            at = memchr::memmem::find(rest, b"-->").map_or(text.len(), |n| next + n + 3);
            continue;
        }
        let Some(close) = end_of_tag(rest) else { break };
        at = next + close + 1;
        let inner = &rest[1..close];
        let (ends, inner) = match inner {
            [b'/', name @ ..] => (true, name),
            name => (false, name),
        };
        let name = inner.split(|b| b.is_ascii_whitespace() || *b == b'/').next().unwrap_or_default();
        if name.eq_ignore_ascii_case(b"RECORD") {
            if ends && inside {
                number += 1;
                (record.number, record.end) = (number, at);
                each(&record);
            } else if !ends {
                line += count_lines(&text[counted..next]);
                counted = next;
                record.clear();
                (record.line, record.start) = (line, next);
            }
            inside = !ends;
            open = None;
        } else if inside && ends {
            if let Some(field) = open.take().filter(|&field| Field::of(name) == Some(field)) {
                record.set(field, &value, 0);
                record.fields += 1;
            }
        } else if inside {
            open = Field::of(name);
            value.clear();
        }
    }
    if inside && record.fields > 0 {
        number += 1;
        (record.number, record.end) = (number, text.len());
        record.cut = true;
        each(&record);
        return true;
    }
    false
}

/// Where the tag that begins here ends: at a `>`, but not at one in the quotes of an attribute (XML 1.0, section 2.3).
/// A quote that is never closed within the tag is none.
fn end_of_tag(rest: &[u8]) -> Option<usize> {
    let plain = memchr::memchr(b'>', rest)?;
    let mut quote = None;
    for (at, &byte) in rest.iter().enumerate().skip(1) {
        match (byte, quote) {
            (b'<', _) => break,
            (b'>', None) => return Some(at),
            (b'"' | b'\'', None) => quote = Some(byte),
            (byte, Some(open)) if byte == open => quote = None,
            _ => {}
        }
    }
    Some(plain)
}

/// Appends text with its entities made characters; unknown ones stay as they are.
fn unescape(text: &[u8], value: &mut Vec<u8>) {
    let mut rest = text;
    while let Some(at) = memchr::memchr(b'&', rest) {
        value.extend_from_slice(&rest[..at]);
        rest = &rest[at..];
        let entity = rest.iter().take(12).position(|&b| b == b';').map(|end| &rest[1..end]);
        let number = |digits: &[u8], radix: u32| {
            str::from_utf8(digits).ok().and_then(|d| u32::from_str_radix(d, radix).ok()).and_then(char::from_u32)
        };
        let c = match entity {
            Some(b"lt") => Some('<'),
            Some(b"gt") => Some('>'),
            Some(b"amp") => Some('&'),
            Some(b"quot") => Some('"'),
            Some(b"apos") => Some('\''),
            Some([b'#', b'x' | b'X', digits @ ..]) => number(digits, 16),
            Some([b'#', digits @ ..]) => number(digits, 10),
            _ => None,
        };
        if let (Some(c), Some(entity)) = (c, entity) {
            value.extend_from_slice(c.encode_utf8(&mut [0; 4]).as_bytes());
            rest = &rest[entity.len() + 2..];
        } else {
            value.push(b'&');
            rest = &rest[1..];
        }
    }
    value.extend_from_slice(rest);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn records_entities_and_comments() {
        let text = "<?xml version=\"1.0\"?>\n<ADX><HEADER><CALL>no</CALL></HEADER>\n<RECORDS>\n\
                    <RECORD><CALL>&lt;Q1ABC&gt;</CALL><!-- <CALL>x</CALL> --><freq>14.0971</freq></RECORD>\n\
                    <record><Call><![CDATA[Q2DX]]></Call><FREQ/></record>\n</RECORDS></ADX>";
        let mut found = Vec::new();
        let cut = read(text.as_bytes(), &mut |record| {
            let get = |field: Field| String::from_utf8_lossy(record.get(field)).into_owned();
            found.push((record.line, get(Field::Call), get(Field::Freq)));
        });
        assert!(!cut);
        assert_eq!(found, [(4, "<Q1ABC>".to_owned(), "14.0971".to_owned()), (5, "Q2DX".to_owned(), String::new())]);
    }
}
