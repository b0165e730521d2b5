//! Bytes to UTF-8: byte order marks, UTF-16 without one, older encodings, NUL characters.
//!
//! Encodings are UTF-8, UTF-16 and the code pages of one byte a character. UTF-8 is lent, not copied. What cannot be decoded becomes
//! U+FFFD; nothing is refused here.

use std::borrow::Cow;

use farheard_scan::sixteen::is_plain_ascii;

use super::code_page::{CODE_PAGES, CodePage};
use super::columns::vocabulary;
use super::fields::cell::fold;
use super::fields::months;
use super::words::Encoding;

/// A text, and how it came about.
#[derive(Debug)]
pub(crate) struct Decoded<'a> {
    /// Valid UTF-8 without byte order mark and NUL.
    pub(crate) text: Cow<'a, [u8]>,
    pub(crate) encoding: Encoding,
    /// Was the encoding inferred from the bytes that are no UTF-8?
    pub(crate) assumed: bool,
    /// NUL characters taken out.
    pub(crate) nuls: u64,
    /// Were bytes replaced that the encoding does not have?
    pub(crate) replaced: bool,
}

/// How much of a file is looked at for its encoding.
const LOOK: usize = 64 * 1024;

/// The encoding that bytes speak for.
pub(crate) fn encoding_of(bytes: &[u8]) -> Encoding {
    detect(bytes).0
}

/// Turns bytes into UTF-8 text, in the wished encoding or in the one that the bytes speak for.
pub(crate) fn decode(bytes: &[u8], wish: Option<Encoding>) -> Decoded<'_> {
    // most files are plain, and one look tells
    if matches!(wish, None | Some(Encoding::Utf8)) && is_plain_ascii(bytes) {
        let text = without_end_mark(Cow::Borrowed(bytes));
        return Decoded { text, encoding: Encoding::Utf8, assumed: false, nuls: 0, replaced: false };
    }
    let (encoding, mark) = wish.map_or_else(|| detect(bytes), |wish| (wish, mark_length(bytes, wish)));
    let assumed = wish.is_none() && matches!(encoding, Encoding::Legacy(_));
    let body = &bytes[mark..];
    let (text, replaced) = match encoding {
        Encoding::Utf8 | Encoding::Utf8Bom => match str::from_utf8(body) {
            Ok(_) => (Cow::Borrowed(body), false),
            Err(_) => (Cow::Owned(String::from_utf8_lossy(body).into_owned().into_bytes()), true),
        },
        Encoding::Utf16Le => utf16(body, u16::from_le_bytes),
        Encoding::Utf16Be => utf16(body, u16::from_be_bytes),
        Encoding::Legacy(page) => page.decode(body),
    };
    let nuls = memchr::memchr_iter(0, &text).count() as u64;
    let text = if nuls == 0 { text } else { Cow::Owned(text.iter().copied().filter(|&b| b != 0).collect()) };
    Decoded { text: without_end_mark(text), encoding, assumed, nuls, replaced }
}

/// Without the character 0x1A at the end, with which old systems marked the end of a text (ECMA-48 calls it SUB;
/// the use as an end mark is common practice, no source).
fn without_end_mark(text: Cow<'_, [u8]>) -> Cow<'_, [u8]> {
    let end = text.iter().rposition(|&b| b != 0x1A).map_or(0, |last| last + 1);
    match text {
        Cow::Borrowed(text) => Cow::Borrowed(&text[..end]),
        Cow::Owned(mut text) => {
            text.truncate(end);
            Cow::Owned(text)
        }
    }
}

/// UTF-16 as UTF-8; a surrogate without its other half, or a last odd byte, becomes U+FFFD.
fn utf16(body: &[u8], unit: impl Fn([u8; 2]) -> u16) -> (Cow<'_, [u8]>, bool) {
    let (pairs, rest) = body.as_chunks::<2>();
    let mut text = String::with_capacity(body.len() / 2);
    let mut replaced = !rest.is_empty();
    for character in char::decode_utf16(pairs.iter().map(|&pair| unit(pair))) {
        replaced |= character.is_err();
        text.push(character.unwrap_or(char::REPLACEMENT_CHARACTER));
    }
    if !rest.is_empty() {
        text.push(char::REPLACEMENT_CHARACTER);
    }
    (Cow::Owned(text.into_bytes()), replaced)
}

/// Length of the byte order mark of an encoding that a file begins with, or 0.
fn mark_length(bytes: &[u8], encoding: Encoding) -> usize {
    match (encoding, bytes) {
        (Encoding::Utf8 | Encoding::Utf8Bom, [0xEF, 0xBB, 0xBF, ..]) => 3,
        (Encoding::Utf16Le, [0xFF, 0xFE, ..]) | (Encoding::Utf16Be, [0xFE, 0xFF, ..]) => 2,
        _ => 0,
    }
}

/// The encoding and the length of its mark.
fn detect(bytes: &[u8]) -> (Encoding, usize) {
    match bytes {
        [0xEF, 0xBB, 0xBF, ..] => return (Encoding::Utf8Bom, 3),
        [0xFF, 0xFE, ..] => return (Encoding::Utf16Le, 2),
        [0xFE, 0xFF, ..] => return (Encoding::Utf16Be, 2),
        _ => {}
    }
    if let Some(encoding) = utf16_by_nuls(bytes) {
        return (encoding, 0);
    }
    match str::from_utf8(bytes) {
        Ok(_) => (Encoding::Utf8, 0),
        Err(_) if is_mostly_utf8(bytes) => (Encoding::Utf8, 0),
        Err(_) => (Encoding::Legacy(infer(bytes)), 0),
    }
}

/// UTF-16 without a mark: nearly every other byte of Latin text is NUL, always on the same side.
fn utf16_by_nuls(bytes: &[u8]) -> Option<Encoding> {
    let end = bytes.iter().rposition(|&b| b != 0).map_or(0, |at| (at + 2).min(bytes.len()));
    let head = &bytes[..end.min(4096)];
    let pairs = head.len() / 2;
    if pairs < 4 {
        return None;
    }
    let nuls = |side: usize| head.iter().skip(side).step_by(2).filter(|&&b| b == 0).count();
    let (first, second) = (nuls(0), nuls(1));
    if second * 10 >= pairs * 6 && first * 10 <= pairs {
        Some(Encoding::Utf16Le)
    } else if first * 10 >= pairs * 6 && second * 10 <= pairs {
        Some(Encoding::Utf16Be)
    } else {
        None
    }
}

/// Are there many more whole sequences of UTF-8 than bytes that fit none? Then a few bytes are damaged, or the file is cut.
fn is_mostly_utf8(bytes: &[u8]) -> bool {
    let (mut whole, mut broken) = (0_u64, 0_u64);
    for chunk in bytes.utf8_chunks() {
        whole += chunk.valid().chars().filter(|c| !c.is_ascii()).count() as u64;
        broken += u64::from(!chunk.invalid().is_empty());
    }
    whole > 2 * broken
}

/// Code pages that are tried, the commonest first: on a tie the earlier is taken.
const TRIED: [&str; 12] = [
    "windows-1252",
    "windows-1250",
    "windows-1251",
    "windows-1254",
    "windows-1257",
    "windows-1253",
    "iso-8859-2",
    "koi8-r",
    "ibm866",
    "iso-8859-5",
    "macintosh",
    "windows-874",
];

/// Words of the trade whose letters tell code pages apart that agree on most others: Hungarian and Portuguese share
/// places of ő and õ, Romanian and Portuguese of ă and ã.
const SPELLED: [&str; 14] = [
    "idő",
    "időpont",
    "vevő",
    "vevőállomás",
    "erősség",
    "potência",
    "frequência",
    "relação",
    "observações",
    "estação",
    "direção",
    "stație",
    "frecvență",
    "recepție",
];

/// The older encoding in which the words with letters beyond ASCII make most sense.
fn infer(bytes: &[u8]) -> CodePage {
    // the lines that matter, each once: those that hold bytes beyond ASCII
    let mut look = Vec::new();
    for line in bytes.split(|&b| b == b'\n' || b == b'\r') {
        if !line.is_ascii() {
            look.extend_from_slice(&line[..line.len().min(4096)]);
            look.push(b'\n');
        }
        if look.len() >= LOOK {
            break;
        }
    }
    let mut best = (f64::MIN, CODE_PAGES[0]);
    for (n, page) in TRIED.into_iter().filter_map(CodePage::of_name).enumerate() {
        let (text, broken) = page.decode(&look);
        // a small advance for the commoner
        let score = if broken { f64::MIN } else { sense(&String::from_utf8_lossy(&text)) - 0.3 * n as f64 };
        if score > best.0 {
            best = (score, page);
        }
    }
    best.1
}

/// How much sense the words with letters beyond ASCII make: words of the trade and months count most,
/// plausible letters a little, signs inside words speak against it.
fn sense(text: &str) -> f64 {
    let mut score = 0.0;
    let mut seen: Vec<&str> = Vec::new();
    for word in text.split([' ', ',', ';', '\t', '|', '"', '(', ')', '\n', '/', '\u{a0}']) {
        if word.is_ascii() || seen.contains(&word) || seen.len() > 2_000 {
            continue;
        }
        seen.push(word);
        if !vocabulary::meaning_of(&fold(word)).is_none() {
            score += 10.0;
        }
        if months::month(word.trim_end_matches('.')).is_some() {
            score += 6.0;
        }
        let lower = || word.chars().flat_map(char::to_lowercase);
        if SPELLED.iter().any(|spelled| spelled.chars().eq(lower())) {
            score += 3.0;
        }
        let mut before = None;
        let (mut latin, mut other) = (false, false);
        for c in word.chars() {
            if c.is_ascii_alphabetic() || matches!(c, 'À'..='ɏ') {
                latin = true;
            } else if c.is_alphabetic() {
                other = true;
            }
            if !c.is_ascii() {
                score += match c {
                    '\u{80}'..='\u{9f}' => -5.0,
                    // the letters of western and central European languages
                    'à'..='ÿ'
                    | 'À'..='Þ'
                    | 'ß'
                    | 'ą'
                    | 'ć'
                    | 'č'
                    | 'ď'
                    | 'ę'
                    | 'ě'
                    | 'ğ'
                    | 'ı'
                    | 'ł'
                    | 'ń'
                    | 'ň'
                    | 'ő'
                    | 'ř'
                    | 'ś'
                    | 'š'
                    | 'ş'
                    | 'ť'
                    | 'ů'
                    | 'ű'
                    | 'ź'
                    | 'ż'
                    | 'ž' => 0.2,
                    // Cyrillic small letters stand in whole words
                    'а'..='я' | 'α'..='ω' => 0.25,
                    c if c.is_alphabetic() => 0.1,
                    '°' | 'µ' | '±' | '–' | '−' | '’' => 0.1,
                    _ => -1.0,
                };
                if c.is_uppercase() && before.is_some_and(char::is_lowercase) {
                    score -= 1.0;
                }
            }
            before = Some(c);
        }
        // letters of another script stand in words of their own, not beside Latin letters or digits
        if other && (latin || word.contains(|c: char| c.is_ascii_digit())) {
            score -= 3.0;
        }
    }
    score
}

#[cfg(test)]
mod tests {
    use encoding_rs as enc;

    use super::*;

    fn detected(bytes: &[u8]) -> (&'static str, String) {
        let decoded = decode(bytes, None);
        (decoded.encoding.as_str(), String::from_utf8(decoded.text.into_owned()).unwrap())
    }

    #[test]
    fn marks_and_sixteen_bits() {
        let text = "Zeit;Empfänger;Störabstand\r\n2024;Q1ABC;-21\r\n";
        let utf16: Vec<u16> = text.encode_utf16().collect();
        let little: Vec<u8> = utf16.iter().flat_map(|u| u.to_le_bytes()).collect();
        let big: Vec<u8> = utf16.iter().flat_map(|u| u.to_be_bytes()).collect();
        assert_eq!(detected(&little), ("utf-16le", text.to_owned()));
        assert_eq!(detected(&big), ("utf-16be", text.to_owned()));
        assert_eq!(detected(&[&[0xFF, 0xFE], &little[..]].concat()), ("utf-16le", text.to_owned()));
        assert_eq!(detected(&[&[0xFE, 0xFF], &big[..]].concat()), ("utf-16be", text.to_owned()));
        assert_eq!(detected(format!("\u{feff}{text}").as_bytes()), ("utf-8-bom", text.to_owned()));
        assert_eq!(detected(text.as_bytes()), ("utf-8", text.to_owned()));
    }

    #[test]
    fn older_encodings_by_their_words() {
        for (text, encoding) in [
            ("heure UTC;émetteur;récepteur;fréquence MHz", enc::WINDOWS_1252),
            ("Zeit;Sender;Empfänger;Störabstand", enc::WINDOWS_1252),
            ("czas;nadajnik;odbiornik;częstotliwość;odległość", enc::WINDOWS_1250),
            ("čas;vysílač;přijímač;kmitočet", enc::WINDOWS_1250),
            ("время;передатчик;приёмник;частота", enc::WINDOWS_1251),
            ("время;передатчик;приёмник;частота", enc::KOI8_R),
            ("hora;transmisor;receptor;relación señal/ruido", enc::WINDOWS_1252),
        ] {
            let (bytes, _, _) = encoding.encode(text);
            assert_eq!(detected(&bytes), (encoding.name().to_lowercase().as_str(), text.to_owned()));
        }
    }

    #[test]
    fn nuls_go_and_cuts_stay_utf8() {
        let decoded = decode(b"a,b\0c\n\0\0\0\0\0\0", None);
        assert_eq!((&*decoded.text, decoded.nuls, decoded.encoding), (&b"a,bc\n"[..], 7, Encoding::Utf8));
        let cut = &"Empfänger, Störabstand, ä".as_bytes()[..26];
        assert_eq!(decode(cut, None).encoding, Encoding::Utf8);
        assert_eq!(decode(b"", None).text.len(), 0);
    }
}
