//! JSON (RFC 8259, December 2017), as much of it as a work file needs: values as a tree, written and read.
//!
//! A library for it weighs 20 kB in the page, most of it for types that are not here.

use std::fmt::Write as _;

use crate::units::plain_number;

/// Values may lie in one another so deep; ours lie five deep.
const DEEPEST: usize = 40;

/// A value.
#[derive(Clone, Debug, PartialEq)]
pub enum Json {
    /// Nothing.
    Null,
    /// Yes or no.
    Bool(bool),
    /// A figure.
    Number(f64),
    /// Text.
    Text(String),
    /// Values in order.
    List(Vec<Self>),
    /// Values with names, in the order they were written.
    Map(Vec<(String, Self)>),
}

/// What is no JSON: the byte at which it is none any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoJson(pub usize);

impl Json {
    /// A value by its name; [`Json::Null`] where there is none.
    pub fn at(&self, name: &str) -> &Self {
        let Self::Map(members) = self else { return &Self::Null };
        members.iter().find(|(known, _)| known == name).map_or(&Self::Null, |(_, value)| value)
    }

    /// The text of a text.
    pub fn text(&self) -> Option<&str> {
        if let Self::Text(text) = self { Some(text) } else { None }
    }

    /// The figure of a number.
    pub fn number(&self) -> Option<f64> {
        if let Self::Number(number) = self { Some(*number) } else { None }
    }

    /// The values of a list; none of anything else.
    pub fn list(&self) -> &[Self] {
        if let Self::List(values) = self { values } else { &[] }
    }

    /// The values of a map with their names; none of anything else.
    pub fn members(&self) -> &[(String, Self)] {
        if let Self::Map(members) = self { members } else { &[] }
    }

    /// Writes the value, without blanks.
    pub fn write(&self, out: &mut String) {
        match self {
            Self::Bool(yes) => out.push_str(if *yes { "true" } else { "false" }),
            // digits that give the number again; writing to a string cannot fail
            Self::Number(number) if number.is_finite() => write!(out, "{number}").unwrap_or_default(),
            // of a figure that is none JSON has no word
            Self::Null | Self::Number(_) => out.push_str("null"),
            Self::Text(text) => write_text(out, text),
            Self::List(values) => {
                for (at, value) in values.iter().enumerate() {
                    out.push(if at == 0 { '[' } else { ',' });
                    value.write(out);
                }
                out.push_str(if values.is_empty() { "[]" } else { "]" });
            }
            Self::Map(members) => {
                for (at, (name, value)) in members.iter().enumerate() {
                    out.push_str(if at == 0 { "{\n" } else { ",\n" });
                    write_text(out, name);
                    out.push(':');
                    value.write(out);
                }
                out.push_str(if members.is_empty() { "{}" } else { "}" });
            }
        }
    }

    /// Reads a whole text.
    ///
    /// # Errors
    /// Where it is no JSON, or lies deeper than forty values.
    pub fn read(text: &str) -> Result<Self, NoJson> {
        let mut reader = Reader { text, at: 0 };
        let value = reader.value(0)?;
        reader.blanks();
        if reader.at == text.len() { Ok(value) } else { Err(NoJson(reader.at)) }
    }
}

/// A text as JSON has it (RFC 8259, section 7).
pub(super) fn write_text(out: &mut String, text: &str) {
    out.push('"');
    let mut rest = text;
    while let Some(at) = rest.find(|c| c < ' ' || c == '"' || c == '\\') {
        let (plain, from) = rest.split_at(at);
        out.push_str(plain);
        let byte = from.as_bytes().first().copied().unwrap_or_default();
        match byte {
            b'\n' => out.push_str("\\n"),
            b'\r' => out.push_str("\\r"),
            b'\t' => out.push_str("\\t"),
            b'"' | b'\\' => out.extend(['\\', char::from(byte)]),
            _ => write!(out, "\\u{byte:04x}").unwrap_or_default(),
        }
        rest = from.get(1..).unwrap_or_default();
    }
    out.push_str(rest);
    out.push('"');
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl Reader<'_> {
    fn peek(&self) -> u8 {
        self.text.as_bytes().get(self.at).copied().unwrap_or_default()
    }

    fn blanks(&mut self) {
        while matches!(self.peek(), b' ' | b'\n' | b'\r' | b'\t') {
            self.at += 1;
        }
    }

    /// Goes on if this comes next.
    fn skip(&mut self, word: &str) -> bool {
        let there = self.text.as_bytes().get(self.at..).is_some_and(|rest| rest.starts_with(word.as_bytes()));
        if there {
            self.at += word.len();
        }
        there
    }

    fn value(&mut self, depth: usize) -> Result<Json, NoJson> {
        self.blanks();
        let wrong = NoJson(self.at);
        match self.peek() {
            _ if depth > DEEPEST => Err(wrong),
            b'"' => Ok(Json::Text(self.string()?)),
            open @ (b'[' | b'{') => {
                self.at += 1;
                let close = if open == b'[' { "]" } else { "}" };
                let (mut values, mut members) = (Vec::new(), Vec::new());
                let mut first = true;
                loop {
                    self.blanks();
                    if first && self.skip(close) {
                        break;
                    }
                    first = false;
                    if open == b'{' {
                        let name = self.string()?;
                        self.blanks();
                        if !self.skip(":") {
                            return Err(NoJson(self.at));
                        }
                        members.push((name, self.value(depth + 1)?));
                    } else {
                        values.push(self.value(depth + 1)?);
                    }
                    self.blanks();
                    if self.skip(close) {
                        break;
                    }
                    if !self.skip(",") {
                        return Err(NoJson(self.at));
                    }
                }
                Ok(if open == b'[' { Json::List(values) } else { Json::Map(members) })
            }
            b'-' | b'0'..=b'9' => {
                let start = self.at;
                while matches!(self.peek(), b'-' | b'+' | b'.' | b'e' | b'E' | b'0'..=b'9') {
                    self.at += 1;
                }
                self.text.get(start..self.at).and_then(plain_number).map(Json::Number).ok_or(wrong)
            }
            _ if self.skip("null") => Ok(Json::Null),
            _ if self.skip("true") => Ok(Json::Bool(true)),
            _ if self.skip("false") => Ok(Json::Bool(false)),
            _ => Err(wrong),
        }
    }

    fn string(&mut self) -> Result<String, NoJson> {
        if !self.skip("\"") {
            return Err(NoJson(self.at));
        }
        let mut out = String::new();
        loop {
            let rest = self.text.get(self.at..).unwrap_or_default();
            let plain = rest.find(|c| c < ' ' || c == '"' || c == '\\').ok_or(NoJson(self.text.len()))?;
            out.push_str(rest.get(..plain).unwrap_or_default());
            self.at += plain;
            if self.skip("\"") {
                return Ok(out);
            }
            if !self.skip("\\") {
                return Err(NoJson(self.at));
            }
            let mark = self.peek();
            self.at += 1;
            out.push(match mark {
                b'n' => '\n',
                b'r' => '\r',
                b't' => '\t',
                b'b' => '\u{8}',
                b'f' => '\u{c}',
                b'"' | b'\\' | b'/' => char::from(mark),
                b'u' => self.escaped()?,
                _ => return Err(NoJson(self.at - 1)),
            });
        }
    }

    /// A letter by its number; two of them for one beyond the first plane (section 7).
    fn escaped(&mut self) -> Result<char, NoJson> {
        let first = self.four_digits()?;
        if !(0xD800..0xDC00).contains(&first) {
            return Ok(char::from_u32(first).unwrap_or(char::REPLACEMENT_CHARACTER));
        }
        let here = self.at;
        if self.skip("\\u") {
            let second = self.four_digits()?;
            if (0xDC00..0xE000).contains(&second) {
                let both = 0x10000 + ((first - 0xD800) << 10) + (second - 0xDC00);
                return Ok(char::from_u32(both).unwrap_or(char::REPLACEMENT_CHARACTER));
            }
            self.at = here;
        }
        Ok(char::REPLACEMENT_CHARACTER)
    }

    fn four_digits(&mut self) -> Result<u32, NoJson> {
        let wrong = NoJson(self.at);
        let digits = self.text.get(self.at..self.at + 4).filter(|it| it.bytes().all(|b| b.is_ascii_hexdigit()));
        self.at += 4;
        u32::from_str_radix(digits.ok_or(wrong)?, 16).map_err(|_| wrong)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_json() -> impl Strategy<Value = Json> {
        let leaf = prop_oneof![
            Just(Json::Null),
            any::<bool>().prop_map(Json::Bool),
            (-1_000_000_000_i64..1_000_000_000).prop_map(|n| Json::Number(n as f64 / 1000.0)),
            "[ -~\\n\\t\\x00-\\x1f\u{e4}\u{2212}\u{1d11e}]{0,12}".prop_map(Json::Text),
        ];
        leaf.prop_recursive(4, 40, 5, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..5).prop_map(Json::List),
                prop::collection::vec(("[a-z \"]{1,6}", inner), 0..5).prop_map(Json::Map),
            ]
        })
    }

    /// The same as a well-kept library has it.
    fn of_library(value: &serde_json::Value) -> Json {
        match value {
            serde_json::Value::Null => Json::Null,
            serde_json::Value::Bool(yes) => Json::Bool(*yes),
            serde_json::Value::Number(number) => Json::Number(number.as_f64().unwrap()),
            serde_json::Value::String(text) => Json::Text(text.clone()),
            serde_json::Value::Array(values) => Json::List(values.iter().map(of_library).collect()),
            serde_json::Value::Object(members) => {
                Json::Map(members.iter().map(|(name, value)| (name.clone(), of_library(value))).collect())
            }
        }
    }

    /// Names in order, the last of two alike: the library keeps one of them, in an order that its features choose.
    fn sorted(value: Json) -> Json {
        match value {
            Json::List(values) => Json::List(values.into_iter().map(sorted).collect()),
            Json::Map(members) => {
                let map: std::collections::BTreeMap<String, Json> =
                    members.into_iter().map(|(name, value)| (name, sorted(value))).collect();
                Json::Map(map.into_iter().collect())
            }
            other => other,
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// What is written comes back, and a library reads the same in it.
        #[test]
        fn what_is_written_comes_back_and_is_what_a_library_reads(value in any_json()) {
            let mut text = String::new();
            value.write(&mut text);
            prop_assert_eq!(Json::read(&text), Ok(value.clone()), "{}", text);
            let theirs: serde_json::Value = serde_json::from_str(&text).unwrap();
            prop_assert_eq!(sorted(of_library(&theirs)), sorted(value), "{}", text);
        }

        /// What a library writes is read, and no text makes it fail otherwise than with a place.
        #[test]
        fn damaged_text_is_refused_as_a_library_refuses_it(value in any_json(), at in 0_usize..200, by in "[\\[\\]{},:\"\\\\0-9a-z.]?") {
            let mut text = String::new();
            value.write(&mut text);
            let at = (0..=at.min(text.len())).rev().find(|&at| text.is_char_boundary(at)).unwrap_or(0);
            text.insert_str(at, &by);
            let end = (at..=(at + 40).min(text.len())).rev().find(|&end| text.is_char_boundary(end)).unwrap_or(at);
            text.truncate(end);
            let ours = Json::read(&text);
            if let Ok(theirs) = serde_json::from_str::<serde_json::Value>(&text) {
                prop_assert_eq!(ours.map(sorted), Ok(sorted(of_library(&theirs))), "{}", text);
            } else {
                // figures such as 01 or 1. are read although the standard has none such
                prop_assert!(ours.is_err() || text.contains(|c: char| c.is_ascii_digit()), "{}", text);
            }
        }
    }

    #[test]
    fn examples_of_the_standard_and_letters_by_number() {
        // RFC 8259, sections 7 and 13
        let image = Json::read(
            r#"{"Image": {"Width": 800, "Animated" : false, "IDs": [116, 943, 234, 38793], "g": "\uD834\uDD1E"}}"#,
        )
        .unwrap();
        let image = image.at("Image");
        assert_eq!((image.at("Width").number(), image.at("Animated")), (Some(800.0), &Json::Bool(false)));
        assert_eq!((image.at("IDs").list().len(), image.at("g").text()), (4, Some("\u{1D11E}")));
        assert_eq!(Json::read("\"\\ud834x\""), Ok(Json::Text("\u{FFFD}x".to_owned())));
        assert_eq!(image.at("none").at("none"), &Json::Null);
        let deep = "[".repeat(100_000);
        assert_eq!(Json::read(&deep), Err(NoJson(DEEPEST + 1)));
        assert_eq!(Json::read("{\"a\":1"), Err(NoJson(6)));
        assert_eq!(Json::read("1 2"), Err(NoJson(2)));
    }
}
