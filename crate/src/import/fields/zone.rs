//! Zones behind a time: `Z`, offsets, and zone words.
//!
//! Words that RFC 5322 (section 4.3) defines keep its meaning; CET, EET and their kin are read as in everyday use
//! (common practice, no source). Words that stand for several zones are not decided here.

use super::cell::fold;

/// What stands behind a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ZoneMark {
    /// Nothing.
    None,
    /// UTC by name or `Z`.
    Utc,
    /// Seconds east of UTC.
    Offset(i32),
    /// A word that is no zone we can name for sure.
    Ambiguous,
}

/// The offset in hours and minutes that a folded word means, or `None` for words that are no zone or several.
fn word_offset(word: &str) -> Option<i32> {
    let minutes = match word {
        "utc" | "gmt" | "ut" | "z" | "zulu" | "utz" | "tuc" | "wet" => 0,
        "cet" | "mez" | "met" | "west" | "hnec" => 60,
        "cest" | "mesz" | "mest" | "eet" | "oez" | "heec" => 120,
        "eest" | "oesz" | "msk" => 180,
        "edt" => -240,
        "est" | "cdt" => -300,
        "cst" | "mdt" => -360,
        "mst" | "pdt" => -420,
        "pst" => -480,
        "akst" => -540,
        "hst" => -600,
        "jst" | "kst" => 540,
        "aest" => 600,
        "aedt" => 660,
        "acst" => 570,
        "acdt" => 630,
        "awst" => 480,
        "nzst" => 720,
        "nzdt" => 780,
        _ => return None,
    };
    Some(minutes * 60)
}

/// Reads what stands behind a time, all of it. `None` if it is no zone at all.
pub(crate) fn read(text: &str) -> Option<ZoneMark> {
    let text = text.trim();
    let text = text.strip_prefix(['(', '[']).and_then(|t| t.strip_suffix([')', ']'])).unwrap_or(text).trim();
    if text.is_empty() {
        return Some(ZoneMark::None);
    }
    if let Some(seconds) = offset(text) {
        return Some(if seconds == 0 { ZoneMark::Utc } else { ZoneMark::Offset(seconds) });
    }
    let letters = text.find(|c: char| !c.is_alphabetic()).unwrap_or(text.len());
    let (word, behind) = text.split_at(letters);
    let folded = fold(word);
    let base = word_offset(&folded);
    if behind.is_empty() {
        return match base {
            Some(0) => Some(ZoneMark::Utc),
            Some(seconds) => Some(ZoneMark::Offset(seconds)),
            // two to five capitals look like a zone word of which there are several; other words are no zone
            None => ((2..=5).contains(&word.len())
                && word.bytes().all(|b| b.is_ascii_uppercase())
                && !matches!(word, "AM" | "PM"))
            .then_some(ZoneMark::Ambiguous),
        };
    }
    let behind = behind.trim();
    match (base, offset(behind)) {
        // `UTC+2`, `GMT-05:00`
        (Some(0), Some(seconds)) => Some(if seconds == 0 { ZoneMark::Utc } else { ZoneMark::Offset(seconds) }),
        // `+02:00[Europe/...]` has been cut before; a place alone needs a table of zones
        _ if text.contains('/') && text.chars().all(|c| c.is_alphabetic() || matches!(c, '/' | '_' | '-')) => {
            Some(ZoneMark::Ambiguous)
        }
        _ => None,
    }
}

/// Reads `+02:00`, `-0500`, `+5:30`, `+02`, and the same with a place in brackets behind (RFC 9557).
pub(crate) fn offset(text: &str) -> Option<i32> {
    let text = match text.split_once('[') {
        Some((before, place)) if place.ends_with(']') => before.trim_end(),
        _ => text,
    };
    let sign = match text.as_bytes().first()? {
        b'+' => 1,
        b'-' => -1,
        _ => return None,
    };
    let digits = text.get(1..)?.trim();
    let (hours, minutes) = match digits.split_once(':') {
        Some((hours, minutes)) => (hours, minutes),
        None if digits.len() == 3 || digits.len() == 4 => digits.split_at_checked(digits.len() - 2)?,
        None => (digits, "0"),
    };
    if hours.is_empty()
        || hours.len() > 2
        || minutes.len() > 2
        || !hours.bytes().chain(minutes.bytes()).all(|b| b.is_ascii_digit())
    {
        return None;
    }
    let (hours, minutes): (i32, i32) = (hours.parse().ok()?, minutes.parse().ok()?);
    // from -12:00 to +14:00 are in use; a little more is let through
    (hours <= 15 && minutes < 60).then_some(sign * (hours * 3600 + minutes * 60))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_and_words() {
        for (text, right) in [
            ("Z", ZoneMark::Utc),
            (" UTC", ZoneMark::Utc),
            ("(GMT)", ZoneMark::Utc),
            ("+00:00", ZoneMark::Utc),
            ("+02:00", ZoneMark::Offset(7200)),
            ("-0500", ZoneMark::Offset(-18000)),
            ("+05:30", ZoneMark::Offset(19800)),
            ("+13:45", ZoneMark::Offset(49500)),
            ("+02", ZoneMark::Offset(7200)),
            ("UTC+2", ZoneMark::Offset(7200)),
            ("GMT -05:00", ZoneMark::Offset(-18000)),
            ("MESZ", ZoneMark::Offset(7200)),
            ("CET", ZoneMark::Offset(3600)),
            ("+02:00[Europe/Nowhere]", ZoneMark::Offset(7200)),
            ("Europe/Nowhere", ZoneMark::Ambiguous),
            ("IST", ZoneMark::Ambiguous),
            ("", ZoneMark::None),
        ] {
            assert_eq!(read(text), Some(right), "{text}");
        }
        for none in ["+25:00", "+02:75", "hello", "12", "+", "?"] {
            assert_eq!(read(none), None, "{none}");
        }
    }
}
