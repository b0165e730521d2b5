//! Older encodings of one byte a character: what spreadsheets of the time before UTF-8 write.
//!
//! The tables are those of the WHATWG Encoding Standard, section 9 (legacy single-byte encodings); a test compares
//! every byte of each with another implementation of it. The standard's encodings of several bytes a character are
//! left out: their tables alone would weigh more than all else in the page, and rows of spots are ASCII in them too.

use std::fmt;

/// What stands for a byte that an encoding does not have.
const UNKNOWN: char = char::REPLACEMENT_CHARACTER;

/// An encoding of one byte a character; bytes below 128 are ASCII in all of them.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct CodePage {
    name: &'static str,
    /// The characters of bytes 128 to 255.
    upper: &'static str,
}

impl fmt::Debug for CodePage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

/// All of them, the commonest first.
pub(crate) const CODE_PAGES: [CodePage; 11] = [
    WINDOWS_1252,
    WINDOWS_1250,
    WINDOWS_1251,
    WINDOWS_1254,
    WINDOWS_1257,
    WINDOWS_1253,
    ISO_8859_2,
    KOI8_R,
    IBM866,
    ISO_8859_5,
    MACINTOSH,
];

const WINDOWS_1252: CodePage = CodePage {
    name: "windows-1252",
    upper: "€\u{81}‚ƒ„…†‡ˆ‰Š‹Œ\u{8d}Ž\u{8f}\u{90}‘’“”•–—˜™š›œ\u{9d}žŸ\
         \u{a0}¡¢£¤¥¦§¨©ª«¬\u{ad}®¯°±²³´µ¶·¸¹º»¼½¾¿\
         ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖ×ØÙÚÛÜÝÞß\
         àáâãäåæçèéêëìíîïðñòóôõö÷øùúûüýþÿ",
};
const WINDOWS_1250: CodePage = CodePage {
    name: "windows-1250",
    upper: "€\u{81}‚\u{83}„…†‡\u{88}‰Š‹ŚŤŽŹ\u{90}‘’“”•–—\u{98}™š›śťžź\
         \u{a0}ˇ˘Ł¤Ą¦§¨©Ş«¬\u{ad}®Ż°±˛ł´µ¶·¸ąş»Ľ˝ľż\
         ŔÁÂĂÄĹĆÇČÉĘËĚÍÎĎĐŃŇÓÔŐÖ×ŘŮÚŰÜÝŢß\
         ŕáâăäĺćçčéęëěíîďđńňóôőö÷řůúűüýţ˙",
};
const WINDOWS_1251: CodePage = CodePage {
    name: "windows-1251",
    upper: "ЂЃ‚ѓ„…†‡€‰Љ‹ЊЌЋЏђ‘’“”•–—\u{98}™љ›њќћџ\
         \u{a0}ЎўЈ¤Ґ¦§Ё©Є«¬\u{ad}®Ї°±Ііґµ¶·ё№є»јЅѕї\
         АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯ\
         абвгдежзийклмнопрстуфхцчшщъыьэюя",
};
const WINDOWS_1254: CodePage = CodePage {
    name: "windows-1254",
    upper: "€\u{81}‚ƒ„…†‡ˆ‰Š‹Œ\u{8d}\u{8e}\u{8f}\u{90}‘’“”•–—˜™š›œ\u{9d}\u{9e}Ÿ\
         \u{a0}¡¢£¤¥¦§¨©ª«¬\u{ad}®¯°±²³´µ¶·¸¹º»¼½¾¿\
         ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏĞÑÒÓÔÕÖ×ØÙÚÛÜİŞß\
         àáâãäåæçèéêëìíîïğñòóôõö÷øùúûüışÿ",
};
const WINDOWS_1257: CodePage = CodePage {
    name: "windows-1257",
    upper: "€\u{81}‚\u{83}„…†‡\u{88}‰\u{8a}‹\u{8c}¨ˇ¸\u{90}‘’“”•–—\u{98}™\u{9a}›\u{9c}¯˛\u{9f}\
         \u{a0}\u{fffd}¢£¤\u{fffd}¦§Ø©Ŗ«¬\u{ad}®Æ°±²³´µ¶·ø¹ŗ»¼½¾æ\
         ĄĮĀĆÄÅĘĒČÉŹĖĢĶĪĻŠŃŅÓŌÕÖ×ŲŁŚŪÜŻŽß\
         ąįāćäåęēčéźėģķīļšńņóōõö÷ųłśūüżž˙",
};
const WINDOWS_1253: CodePage = CodePage {
    name: "windows-1253",
    upper: "€\u{81}‚ƒ„…†‡\u{88}‰\u{8a}‹\u{8c}\u{8d}\u{8e}\u{8f}\u{90}‘’“”•–—\u{98}™\u{9a}›\u{9c}\u{9d}\u{9e}\u{9f}\
         \u{a0}΅Ά£¤¥¦§¨©\u{fffd}«¬\u{ad}®―°±²³΄µ¶·ΈΉΊ»Ό½ΎΏ\
         ΐΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡ\u{fffd}ΣΤΥΦΧΨΩΪΫάέήί\
         ΰαβγδεζηθικλμνξοπρςστυφχψωϊϋόύώ\u{fffd}",
};
const ISO_8859_2: CodePage = CodePage {
    name: "iso-8859-2",
    upper: "\u{80}\u{81}\u{82}\u{83}\u{84}\u{85}\u{86}\u{87}\u{88}\u{89}\u{8a}\u{8b}\u{8c}\u{8d}\u{8e}\u{8f}\u{90}\u{91}\u{92}\u{93}\u{94}\u{95}\u{96}\u{97}\u{98}\u{99}\u{9a}\u{9b}\u{9c}\u{9d}\u{9e}\u{9f}\
         \u{a0}Ą˘Ł¤ĽŚ§¨ŠŞŤŹ\u{ad}ŽŻ°ą˛ł´ľśˇ¸šşťź˝žż\
         ŔÁÂĂÄĹĆÇČÉĘËĚÍÎĎĐŃŇÓÔŐÖ×ŘŮÚŰÜÝŢß\
         ŕáâăäĺćçčéęëěíîďđńňóôőö÷řůúűüýţ˙",
};
const KOI8_R: CodePage = CodePage {
    name: "koi8-r",
    upper: "─│┌┐└┘├┤┬┴┼▀▄█▌▐░▒▓⌠■∙√≈≤≥\u{a0}⌡°²·÷\
         ═║╒ё╓╔╕╖╗╘╙╚╛╜╝╞╟╠╡Ё╢╣╤╥╦╧╨╩╪╫╬©\
         юабцдефгхийклмнопярстужвьызшэщчъ\
         ЮАБЦДЕФГХИЙКЛМНОПЯРСТУЖВЬЫЗШЭЩЧЪ",
};
const IBM866: CodePage = CodePage {
    name: "ibm866",
    upper: "АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯ\
         абвгдежзийклмноп░▒▓│┤╡╢╖╕╣║╗╝╜╛┐\
         └┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀\
         рстуфхцчшщъыьэюяЁёЄєЇїЎў°∙·√№¤■\u{a0}",
};
const ISO_8859_5: CodePage = CodePage {
    name: "iso-8859-5",
    upper: "\u{80}\u{81}\u{82}\u{83}\u{84}\u{85}\u{86}\u{87}\u{88}\u{89}\u{8a}\u{8b}\u{8c}\u{8d}\u{8e}\u{8f}\u{90}\u{91}\u{92}\u{93}\u{94}\u{95}\u{96}\u{97}\u{98}\u{99}\u{9a}\u{9b}\u{9c}\u{9d}\u{9e}\u{9f}\
         \u{a0}ЁЂЃЄЅІЇЈЉЊЋЌ\u{ad}ЎЏАБВГДЕЖЗИЙКЛМНОП\
         РСТУФХЦЧШЩЪЫЬЭЮЯабвгдежзийклмноп\
         рстуфхцчшщъыьэюя№ёђѓєѕіїјљњћќ§ўџ",
};
const MACINTOSH: CodePage = CodePage {
    name: "macintosh",
    upper: "ÄÅÇÉÑÖÜáàâäãåçéèêëíìîïñóòôöõúùûü\
         †°¢£§•¶ß®©™´¨≠ÆØ∞±≤≥¥µ∂∑∏π∫ªºΩæø\
         ¿¡¬√ƒ≈∆«»…\u{a0}ÀÃÕŒœ–—“”‘’÷◊ÿŸ⁄€‹›ﬁﬂ\
         ‡·‚„‰ÂÊÁËÈÍÎÏÌÓÔ\u{f8ff}ÒÚÛÙıˆ˜¯˘˙˚¸˝˛ˇ",
};

impl CodePage {
    /// The commonest: that of western Europe.
    pub(crate) const WESTERN: Self = WINDOWS_1252;

    /// Its name in the Encoding Standard, in small letters: `windows-1252`, `koi8-r`, ...
    pub fn name(self) -> &'static str {
        self.name
    }

    /// The encoding of a name, or `None`. ISO 8859-1 and ASCII are read as windows-1252, as the standard has it.
    pub fn from_name(name: &str) -> Option<Self> {
        let name = name.to_ascii_lowercase();
        let name = if matches!(name.as_str(), "iso-8859-1" | "latin1" | "ascii" | "us-ascii") {
            "windows-1252"
        } else {
            &name
        };
        CODE_PAGES.into_iter().find(|page| page.name == name)
    }

    /// Text of bytes, and whether any of them is not in the encoding; U+FFFD stands for those.
    pub(crate) fn decode(self, bytes: &[u8]) -> (String, bool) {
        let mut upper = [UNKNOWN; 128];
        for (place, character) in upper.iter_mut().zip(self.upper.chars()) {
            *place = character;
        }
        let mut unknown = false;
        let mut text = String::with_capacity(bytes.len() + bytes.len() / 8);
        for &byte in bytes {
            let character =
                upper.get(usize::from(byte).wrapping_sub(128)).map_or(char::from(byte), |character| *character);
            unknown |= character == UNKNOWN;
            text.push(character);
        }
        (text, unknown)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// encoding_rs is an implementation of the WHATWG Encoding Standard by other hands.
    #[test]
    fn every_byte_of_every_table_is_that_of_the_standard() {
        for page in CODE_PAGES {
            let other = encoding_rs::Encoding::for_label(page.name.as_bytes()).unwrap();
            assert_eq!(page.upper.chars().count(), 128, "{page:?}");
            for byte in 0..=255_u8 {
                let bytes = [byte];
                let (theirs, _) = other.decode_without_bom_handling(&bytes);
                assert_eq!(page.decode(&bytes).0, theirs, "{page:?} {byte:02x}");
            }
        }
    }

    #[test]
    fn bytes_that_are_not_in_an_encoding_are_told() {
        let greek = CodePage::from_name("windows-1253").unwrap();
        assert_eq!(greek.decode(b"a\xe1\xaa"), ("aα\u{fffd}".to_owned(), true));
        assert_eq!(CodePage::from_name("ISO-8859-1"), Some(CodePage::WESTERN));
        assert_eq!(CodePage::from_name("shift_jis"), None);
    }
}
