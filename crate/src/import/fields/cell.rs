//! A cell as bytes: trimming, folding to plain characters, quoting for people.
//!
//! Cells are slices of valid UTF-8, but the fast paths look at bytes only.

/// Length of the blank that `bytes` begins with, or 0. Blanks are the space, the tab, NUL, the no-break and
/// other fixed spaces of Unicode, and the characters without width (among them a byte order mark in the middle).
fn leading_blank(bytes: &[u8]) -> usize {
    match *bytes {
        [b' ' | b'\t' | 0 | b'\r' | b'\n', ..] => 1,
        [0xC2, 0xA0 | 0x85 | 0xAD, ..] => 2,
        [0xE1, 0x9A, 0x80, ..]
        | [0xE2, 0x80, 0x80..=0x8F | 0xAA..=0xAF, ..]
        | [0xE2, 0x81, 0x9F..=0xA9, ..]
        | [0xE3, 0x80, 0x80, ..]
        | [0xEF, 0xBB, 0xBF, ..] => 3,
        _ => 0,
    }
}

/// Length of the blank that `bytes` ends with, or 0.
fn trailing_blank(bytes: &[u8]) -> usize {
    (1..=3.min(bytes.len())).find(|&n| leading_blank(&bytes[bytes.len() - n..]) == n).unwrap_or(0)
}

/// The cell without blanks around it.
#[inline]
pub(crate) fn trim(cell: &[u8]) -> &[u8] {
    // nearly every cell begins and ends with a visible ASCII character
    if let ([b'!'..=b'~', ..], [.., b'!'..=b'~']) = (cell, cell) { cell } else { trim_slowly(cell) }
}

fn trim_slowly(mut cell: &[u8]) -> &[u8] {
    loop {
        let n = leading_blank(cell);
        if n == 0 {
            break;
        }
        cell = &cell[n..];
    }
    loop {
        let n = trailing_blank(cell);
        if n == 0 {
            return cell;
        }
        cell = &cell[..cell.len() - n];
    }
}

/// Is there nothing but blanks in it?
pub(crate) fn is_blank(cell: &[u8]) -> bool {
    trim(cell).is_empty()
}

/// The text of a cell; bytes that are no UTF-8 become replacement characters.
pub(crate) fn text(cell: &[u8]) -> std::borrow::Cow<'_, str> {
    String::from_utf8_lossy(cell)
}

/// A cell's text without the apostrophe by which spreadsheets mark text, and without the one at its end where both
/// stand like quotes.
pub(crate) fn without_text_mark(text: &str) -> &str {
    text.strip_prefix('\'').map_or(text, |rest| rest.strip_suffix('\'').unwrap_or(rest))
}

/// A plain spelling of a cell: one space for every blank, `-` for every dash, ASCII for full-width forms and
/// typographic apostrophes. Other characters stay. Written into `plain`, which is emptied before.
pub(crate) fn write_plain(cell: &[u8], plain: &mut String) {
    plain.clear();
    if cell.iter().all(|b| matches!(b, b' '..=b'~')) {
        plain.extend(cell.iter().map(|&b| char::from(b)));
        return;
    }
    let mut rest = cell;
    while let [first, ..] = rest {
        let n = leading_blank(rest);
        if n > 0 {
            // characters without width vanish, except the narrow spaces
            if !matches!(rest, [0xE2, 0x80, 0x8B..=0x8F | 0xAA..=0xAE, ..] | [0xE2, 0x81, 0xA0..=0xA9, ..] |
[0xEF | 0, ..] | [0xC2, 0xAD, ..])
            {
                plain.push(' ');
            }
            rest = &rest[n..];
        } else if first.is_ascii() {
            plain.push(char::from(*first));
            rest = &rest[1..];
        } else {
            let n = match first {
                0xC0..=0xDF => 2,
                0xE0..=0xEF => 3,
                0xF0..=0xFF => 4,
                _ => 1,
            }
            .min(rest.len());
            for c in text(&rest[..n]).chars() {
                plain.push(match c {
                    '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{FE63}' => '-',
                    '\u{2018}' | '\u{2019}' | '\u{02BC}' => '\'',
                    '\u{FF01}'..='\u{FF5E}' => char::from_u32(u32::from(c) - 0xFEE0).unwrap_or(c),
                    '\u{00BA}' => '.', // ordinal mark after a day: 1º
                    c => c,
                });
            }
            rest = &rest[n..];
        }
    }
}

/// A letter without its diacritic, in lower case; `None` for marks that vanish. Other scripts only lose their case.
fn fold_char(c: char) -> Option<char> {
    Some(match c {
        'A'..='Z' => c.to_ascii_lowercase(),
        'à'..='å' | 'À'..='Å' | 'ă' | 'Ă' | 'ą' | 'Ą' | 'ā' | 'Ā' => 'a',
        'ç' | 'Ç' | 'ć' | 'Ć' | 'č' | 'Č' => 'c',
        'ď' | 'Ď' | 'đ' | 'Đ' | 'ð' => 'd',
        'è'..='ë' | 'È'..='Ë' | 'ę' | 'Ę' | 'ě' | 'Ě' | 'ē' | 'ė' => 'e',
        'ğ' | 'Ğ' | 'ģ' => 'g',
        'ì'..='ï' | 'Ì'..='Ï' | 'ı' | 'İ' | 'ī' | 'į' => 'i',
        'ł' | 'Ł' | 'ľ' | 'ĺ' | 'ļ' => 'l',
        'ñ' | 'Ñ' | 'ń' | 'Ń' | 'ň' | 'Ň' | 'ņ' => 'n',
        'ò'..='ö' | 'Ò'..='Ö' | 'ø' | 'Ø' | 'ő' | 'Ő' | 'ō' => 'o',
        'ř' | 'Ř' | 'ŕ' => 'r',
        'ś' | 'Ś' | 'š' | 'Š' | 'ş' | 'Ş' | 'ș' | 'Ș' => 's',
        'ť' | 'Ť' | 'ţ' | 'ț' | 'Ț' => 't',
        'ù'..='ü' | 'Ù'..='Ü' | 'ů' | 'Ů' | 'ű' | 'Ű' | 'ū' | 'ų' => 'u',
        'ý' | 'ÿ' | 'Ý' => 'y',
        'ź' | 'Ź' | 'ż' | 'Ż' | 'ž' | 'Ž' => 'z',
        '\u{0300}'..='\u{036F}' => return None,
        c => c.to_lowercase().next().unwrap_or(c),
    })
}

/// Lower case without diacritics: `Empfänger` gives `empfanger`, `fréquence` gives `frequence`.
pub(crate) fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            'ß' => folded.push_str("ss"),
            'æ' | 'Æ' => folded.push_str("ae"),
            'œ' | 'Œ' => folded.push_str("oe"),
            'þ' => folded.push_str("th"),
            c => folded.extend(fold_char(c)),
        }
    }
    folded
}

/// Longest quotation in a sentence, in characters.
const QUOTED_CHARS: usize = 40;

/// A cell quoted for a sentence: in guillemets, control characters made visible, cut to a bounded length.
pub(crate) fn quoted(cell: &[u8]) -> String {
    // four bytes a character at most, and one more to see that there is more
    let head = &cell[..cell.len().min(4 * QUOTED_CHARS + 4)];
    let mut quoted = String::from("\u{00AB}");
    for (n, c) in text(head).chars().enumerate() {
        if n == QUOTED_CHARS {
            quoted.push('\u{2026}');
            break;
        }
        match c {
            '\t' => quoted.push('\u{2192}'),
            '\n' | '\r' => quoted.push('\u{21B5}'),
            // the direction marks would turn the rest of the sentence round
            c if c.is_control()
                || matches!(c, '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}') =>
            {
                quoted.push('\u{FFFD}');
            }
            c => quoted.push(c),
        }
    }
    quoted.push('\u{00BB}');
    quoted
}

/// Words and signs that stand for 'nothing here', folded. `0` is one for locators only, which see to it themselves.
pub(crate) fn is_missing_word(cell: &[u8]) -> bool {
    if cell.len() > 16 {
        return false;
    }
    if !cell.is_empty() && cell.iter().all(|b| matches!(b, b'-' | b'.' | b'?' | b'*' | b'_' | b'/' | b' ' | b'=')) {
        return true;
    }
    let mut plain = String::new();
    write_plain(cell, &mut plain);
    let folded = fold(plain.trim());
    matches!(
        folded.trim_matches(['(', ')', '<', '>', '[', ']']),
        "" | "n/a"
            | "na"
            | "n.a."
            | "n.a"
            | "nan"
            | "none"
            | "null"
            | "nil"
            | "unknown"
            | "unk"
            | "undefined"
            | "missing"
            | "empty"
            | "not known"
            | "no data"
            | "k.a."
            | "k. a."
            | "unbekannt"
            | "keine"
            | "keiner"
            | "kein"
            | "leer"
            | "inconnu"
            | "inconnue"
            | "aucun"
            | "aucune"
            | "s/o"
            | "desconocido"
            | "desconhecido"
            | "ninguno"
            | "nenhum"
            | "s/d"
            | "sconosciuto"
            | "nessuno"
            | "n/d"
            | "nd"
            | "onbekend"
            | "geen"
            | "nieznany"
            | "brak"
            | "neznamy"
            | "okand"
            | "ukendt"
            | "ukjent"
            | "ei"
            | "tuntematon"
            | "-"
            | "--"
            | "---"
            | "#n/a"
            | "#nv"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_blanks_are_trimmed() {
        assert_eq!(trim("\u{a0}\u{2009} Q1ABC\u{202f}\t".as_bytes()), b"Q1ABC");
        assert_eq!(trim("\u{feff}x".as_bytes()), b"x");
        assert_eq!(trim(b" \t "), b"");
        assert_eq!(trim("é".as_bytes()), "é".as_bytes());
    }

    #[test]
    fn plain_spelling() {
        let mut plain = String::new();
        write_plain("−21\u{a0}dB１２\u{200b}".as_bytes(), &mut plain);
        assert_eq!(plain, "-21 dB12");
        assert_eq!(fold("Empfänger-STÖRABSTAND Größe częstotliwość"), "empfanger-storabstand grosse czestotliwosc");
        assert_eq!(fold("Частота"), "частота");
    }

    #[test]
    fn quotations_are_short_and_visible() {
        assert_eq!(quoted(b"a\tb\n\x07"), "«a→b↵\u{FFFD}»");
        assert_eq!(quoted(&[b'x'; 1000]).chars().count(), QUOTED_CHARS + 3);
        assert_eq!(quoted("\u{202e}abc".as_bytes()), "«\u{FFFD}abc»");
    }

    #[test]
    fn words_for_nothing() {
        for word in ["N/A", "---", "none", "?", "", "NULL", "n.a.", "-", "(none)", "NaN"] {
            assert!(is_missing_word(word.as_bytes()), "{word}");
        }
        for word in ["0", "JO22", "Q1ABC", "-21", "nano", "a"] {
            assert!(!is_missing_word(word.as_bytes()), "{word}");
        }
    }
}
