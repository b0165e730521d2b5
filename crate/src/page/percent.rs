//! Text in places where some letters mean something: addresses, and what is kept from one visit to the next.

use std::fmt::Write as _;

/// Letters, figures and `-._:,/=` as they are, all other bytes as `%` and two digits (RFC 3986, section 2.1).
pub(super) fn encoded(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._:,/=".contains(&byte) {
            out.push(char::from(byte));
        } else {
            // writing to a string cannot fail
            write!(out, "%{byte:02X}").ok();
        }
    }
    out
}

/// What [`encoded`] wrote; a `%` without two digits behind it stands for itself.
pub(super) fn decoded(text: &str) -> String {
    let mut bytes = text.bytes();
    let mut out = Vec::new();
    while let Some(byte) = bytes.next() {
        let pair = if byte == b'%' { bytes.clone().next().zip(bytes.clone().nth(1)) } else { None };
        let digit = |byte: u8| char::from(byte).to_digit(16);
        let value = pair.and_then(|(high, low)| u8::try_from(digit(high)? * 16 + digit(low)?).ok());
        if let Some(value) = value {
            bytes.nth(1);
            out.push(value);
        } else {
            out.push(byte);
        }
    }
    String::from_utf8_lossy(&out).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_comes_back_and_stray_marks_stand_for_themselves() {
        for text in ["", "Loop & 40 m ~ 50% \u{3a9}", "a\u{1f}b\tc\n=~", "%41"] {
            assert_eq!(decoded(&encoded(text)), text);
        }
        assert_eq!(decoded("%zz%4"), "%zz%4");
    }
}
