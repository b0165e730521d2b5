//! Code pages: encodings of one byte a character, ASCII below 0x80.
//!
//! The upper halves are those of the WHATWG Encoding Standard's single-byte indexes; a byte without a character
//! is U+FFFD here, as there. A whole library of encodings would bring the East Asian tables too and make the page
//! a fifth heavier; a test holds every entry against such a library.

use std::borrow::Cow;

/// One code page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CodePage {
    name: &'static str,
    /// The characters of the bytes 0x80 to 0xFF, in order.
    high: &'static str,
}

impl CodePage {
    /// Its name in the Encoding Standard, in small letters.
    pub fn name(self) -> &'static str {
        self.name
    }

    /// The code page of a name, letter case free.
    pub fn of_name(name: &str) -> Option<Self> {
        CODE_PAGES.iter().copied().find(|page| page.name.eq_ignore_ascii_case(name))
    }

    /// Bytes as text, and whether any byte has no character. Plain ASCII is lent, not copied.
    pub(crate) fn decode(self, bytes: &[u8]) -> (Cow<'_, [u8]>, bool) {
        if bytes.is_ascii() {
            return (Cow::Borrowed(bytes), false);
        }
        let mut high = [char::REPLACEMENT_CHARACTER; 128];
        for (place, character) in high.iter_mut().zip(self.high.chars()) {
            *place = character;
        }
        let mut text = Vec::with_capacity(bytes.len() + bytes.len() / 8);
        let mut replaced = false;
        let mut buffer = [0; 4];
        for &byte in bytes {
            match byte.checked_sub(0x80) {
                None => text.push(byte),
                Some(place) => {
                    let character = high[usize::from(place)];
                    replaced |= character == char::REPLACEMENT_CHARACTER;
                    text.extend_from_slice(character.encode_utf8(&mut buffer).as_bytes());
                }
            }
        }
        (Cow::Owned(text), replaced)
    }
}

/// All of them, the commonest first.
pub const CODE_PAGES: [CodePage; 17] = [
    CodePage {
        name: "windows-1252",
        high: "\u{20ac}\u{81}\u{201a}ƒ\u{201e}\u{2026}\u{2020}\u{2021}ˆ\u{2030}Š\u{2039}Œ\u{8d}Ž\u{8f}\u{90}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}˜\u{2122}š\u{203a}œ\u{9d}žŸ\u{a0}¡¢£¤¥¦§¨©ª«¬\u{ad}®¯°±²³´µ¶·¸¹º»¼½¾¿ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖ×ØÙÚÛÜÝÞßàáâãäåæçèéêëìíîïðñòóôõö÷øùúûüýþÿ",
    },
    CodePage {
        name: "windows-1250",
        high: "\u{20ac}\u{81}\u{201a}\u{83}\u{201e}\u{2026}\u{2020}\u{2021}\u{88}\u{2030}Š\u{2039}ŚŤŽŹ\u{90}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}\u{98}\u{2122}š\u{203a}śťžź\u{a0}ˇ˘Ł¤Ą¦§¨©Ş«¬\u{ad}®Ż°±˛ł´µ¶·¸ąş»Ľ˝ľżŔÁÂĂÄĹĆÇČÉĘËĚÍÎĎĐŃŇÓÔŐÖ×ŘŮÚŰÜÝŢßŕáâăäĺćçčéęëěíîďđńňóôőö÷řůúűüýţ˙",
    },
    CodePage {
        name: "windows-1251",
        high: "ЂЃ\u{201a}ѓ\u{201e}\u{2026}\u{2020}\u{2021}\u{20ac}\u{2030}Љ\u{2039}ЊЌЋЏђ\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}\u{98}\u{2122}љ\u{203a}њќћџ\u{a0}ЎўЈ¤Ґ¦§Ё©Є«¬\u{ad}®Ї°±Ііґµ¶·ё\u{2116}є»јЅѕїАБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдежзийклмнопрстуфхцчшщъыьэюя",
    },
    CodePage {
        name: "windows-1254",
        high: "\u{20ac}\u{81}\u{201a}ƒ\u{201e}\u{2026}\u{2020}\u{2021}ˆ\u{2030}Š\u{2039}Œ\u{8d}\u{8e}\u{8f}\u{90}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}˜\u{2122}š\u{203a}œ\u{9d}\u{9e}Ÿ\u{a0}¡¢£¤¥¦§¨©ª«¬\u{ad}®¯°±²³´µ¶·¸¹º»¼½¾¿ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏĞÑÒÓÔÕÖ×ØÙÚÛÜİŞßàáâãäåæçèéêëìíîïğñòóôõö÷øùúûüışÿ",
    },
    CodePage {
        name: "windows-1257",
        high: "\u{20ac}\u{81}\u{201a}\u{83}\u{201e}\u{2026}\u{2020}\u{2021}\u{88}\u{2030}\u{8a}\u{2039}\u{8c}¨ˇ¸\u{90}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}\u{98}\u{2122}\u{9a}\u{203a}\u{9c}¯˛\u{9f}\u{a0}\u{fffd}¢£¤\u{fffd}¦§Ø©Ŗ«¬\u{ad}®Æ°±²³´µ¶·ø¹ŗ»¼½¾æĄĮĀĆÄÅĘĒČÉŹĖĢĶĪĻŠŃŅÓŌÕÖ×ŲŁŚŪÜŻŽßąįāćäåęēčéźėģķīļšńņóōõö÷ųłśūüżž˙",
    },
    CodePage {
        name: "windows-1253",
        high: "\u{20ac}\u{81}\u{201a}ƒ\u{201e}\u{2026}\u{2020}\u{2021}\u{88}\u{2030}\u{8a}\u{2039}\u{8c}\u{8d}\u{8e}\u{8f}\u{90}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}\u{98}\u{2122}\u{9a}\u{203a}\u{9c}\u{9d}\u{9e}\u{9f}\u{a0}΅Ά£¤¥¦§¨©\u{fffd}«¬\u{ad}®\u{2015}°±²³΄µ¶·ΈΉΊ»Ό½ΎΏΐΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡ\u{fffd}ΣΤΥΦΧΨΩΪΫάέήίΰαβγδεζηθικλμνξοπρςστυφχψωϊϋόύώ\u{fffd}",
    },
    CodePage {
        name: "windows-1255",
        high: "\u{20ac}\u{81}\u{201a}ƒ\u{201e}\u{2026}\u{2020}\u{2021}ˆ\u{2030}\u{8a}\u{2039}\u{8c}\u{8d}\u{8e}\u{8f}\u{90}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}˜\u{2122}\u{9a}\u{203a}\u{9c}\u{9d}\u{9e}\u{9f}\u{a0}¡¢£\u{20aa}¥¦§¨©×«¬\u{ad}®¯°±²³´µ¶·¸¹÷»¼½¾¿\u{5b0}\u{5b1}\u{5b2}\u{5b3}\u{5b4}\u{5b5}\u{5b6}\u{5b7}\u{5b8}\u{5b9}\u{5ba}\u{5bb}\u{5bc}\u{5bd}\u{5be}\u{5bf}\u{5c0}\u{5c1}\u{5c2}\u{5c3}\u{5f0}\u{5f1}\u{5f2}\u{5f3}\u{5f4}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{5d0}\u{5d1}\u{5d2}\u{5d3}\u{5d4}\u{5d5}\u{5d6}\u{5d7}\u{5d8}\u{5d9}\u{5da}\u{5db}\u{5dc}\u{5dd}\u{5de}\u{5df}\u{5e0}\u{5e1}\u{5e2}\u{5e3}\u{5e4}\u{5e5}\u{5e6}\u{5e7}\u{5e8}\u{5e9}\u{5ea}\u{fffd}\u{fffd}\u{200e}\u{200f}\u{fffd}",
    },
    CodePage {
        name: "windows-1256",
        high: "\u{20ac}\u{67e}\u{201a}ƒ\u{201e}\u{2026}\u{2020}\u{2021}ˆ\u{2030}\u{679}\u{2039}Œ\u{686}\u{698}\u{688}\u{6af}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}\u{6a9}\u{2122}\u{691}\u{203a}œ\u{200c}\u{200d}\u{6ba}\u{a0}\u{60c}¢£¤¥¦§¨©\u{6be}«¬\u{ad}®¯°±²³´µ¶·¸¹\u{61b}»¼½¾\u{61f}\u{6c1}\u{621}\u{622}\u{623}\u{624}\u{625}\u{626}\u{627}\u{628}\u{629}\u{62a}\u{62b}\u{62c}\u{62d}\u{62e}\u{62f}\u{630}\u{631}\u{632}\u{633}\u{634}\u{635}\u{636}×\u{637}\u{638}\u{639}\u{63a}\u{640}\u{641}\u{642}\u{643}à\u{644}â\u{645}\u{646}\u{647}\u{648}çèéêë\u{649}\u{64a}îï\u{64b}\u{64c}\u{64d}\u{64e}ô\u{64f}\u{650}÷\u{651}ù\u{652}ûü\u{200e}\u{200f}\u{6d2}",
    },
    CodePage {
        name: "windows-1258",
        high: "\u{20ac}\u{81}\u{201a}ƒ\u{201e}\u{2026}\u{2020}\u{2021}ˆ\u{2030}\u{8a}\u{2039}Œ\u{8d}\u{8e}\u{8f}\u{90}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}˜\u{2122}\u{9a}\u{203a}œ\u{9d}\u{9e}Ÿ\u{a0}¡¢£¤¥¦§¨©ª«¬\u{ad}®¯°±²³´µ¶·¸¹º»¼½¾¿ÀÁÂĂÄÅÆÇÈÉÊË\u{300}ÍÎÏĐÑ\u{309}ÓÔƠÖ×ØÙÚÛÜƯ\u{303}ßàáâăäåæçèéêë\u{301}íîïđñ\u{323}óôơö÷øùúûüư\u{20ab}ÿ",
    },
    CodePage {
        name: "windows-874",
        high: "\u{20ac}\u{81}\u{82}\u{83}\u{84}\u{2026}\u{86}\u{87}\u{88}\u{89}\u{8a}\u{8b}\u{8c}\u{8d}\u{8e}\u{8f}\u{90}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}\u{98}\u{99}\u{9a}\u{9b}\u{9c}\u{9d}\u{9e}\u{9f}\u{a0}\u{e01}\u{e02}\u{e03}\u{e04}\u{e05}\u{e06}\u{e07}\u{e08}\u{e09}\u{e0a}\u{e0b}\u{e0c}\u{e0d}\u{e0e}\u{e0f}\u{e10}\u{e11}\u{e12}\u{e13}\u{e14}\u{e15}\u{e16}\u{e17}\u{e18}\u{e19}\u{e1a}\u{e1b}\u{e1c}\u{e1d}\u{e1e}\u{e1f}\u{e20}\u{e21}\u{e22}\u{e23}\u{e24}\u{e25}\u{e26}\u{e27}\u{e28}\u{e29}\u{e2a}\u{e2b}\u{e2c}\u{e2d}\u{e2e}\u{e2f}\u{e30}\u{e31}\u{e32}\u{e33}\u{e34}\u{e35}\u{e36}\u{e37}\u{e38}\u{e39}\u{e3a}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{e3f}\u{e40}\u{e41}\u{e42}\u{e43}\u{e44}\u{e45}\u{e46}\u{e47}\u{e48}\u{e49}\u{e4a}\u{e4b}\u{e4c}\u{e4d}\u{e4e}\u{e4f}\u{e50}\u{e51}\u{e52}\u{e53}\u{e54}\u{e55}\u{e56}\u{e57}\u{e58}\u{e59}\u{e5a}\u{e5b}\u{fffd}\u{fffd}\u{fffd}\u{fffd}",
    },
    CodePage {
        name: "iso-8859-2",
        high: "\u{80}\u{81}\u{82}\u{83}\u{84}\u{85}\u{86}\u{87}\u{88}\u{89}\u{8a}\u{8b}\u{8c}\u{8d}\u{8e}\u{8f}\u{90}\u{91}\u{92}\u{93}\u{94}\u{95}\u{96}\u{97}\u{98}\u{99}\u{9a}\u{9b}\u{9c}\u{9d}\u{9e}\u{9f}\u{a0}Ą˘Ł¤ĽŚ§¨ŠŞŤŹ\u{ad}ŽŻ°ą˛ł´ľśˇ¸šşťź˝žżŔÁÂĂÄĹĆÇČÉĘËĚÍÎĎĐŃŇÓÔŐÖ×ŘŮÚŰÜÝŢßŕáâăäĺćçčéęëěíîďđńňóôőö÷řůúűüýţ˙",
    },
    CodePage {
        name: "iso-8859-5",
        high: "\u{80}\u{81}\u{82}\u{83}\u{84}\u{85}\u{86}\u{87}\u{88}\u{89}\u{8a}\u{8b}\u{8c}\u{8d}\u{8e}\u{8f}\u{90}\u{91}\u{92}\u{93}\u{94}\u{95}\u{96}\u{97}\u{98}\u{99}\u{9a}\u{9b}\u{9c}\u{9d}\u{9e}\u{9f}\u{a0}ЁЂЃЄЅІЇЈЉЊЋЌ\u{ad}ЎЏАБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдежзийклмнопрстуфхцчшщъыьэюя\u{2116}ёђѓєѕіїјљњћќ§ўџ",
    },
    CodePage {
        name: "iso-8859-15",
        high: "\u{80}\u{81}\u{82}\u{83}\u{84}\u{85}\u{86}\u{87}\u{88}\u{89}\u{8a}\u{8b}\u{8c}\u{8d}\u{8e}\u{8f}\u{90}\u{91}\u{92}\u{93}\u{94}\u{95}\u{96}\u{97}\u{98}\u{99}\u{9a}\u{9b}\u{9c}\u{9d}\u{9e}\u{9f}\u{a0}¡¢£\u{20ac}¥Š§š©ª«¬\u{ad}®¯°±²³Žµ¶·ž¹º»ŒœŸ¿ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖ×ØÙÚÛÜÝÞßàáâãäåæçèéêëìíîïðñòóôõö÷øùúûüýþÿ",
    },
    CodePage {
        name: "koi8-r",
        high: "\u{2500}\u{2502}\u{250c}\u{2510}\u{2514}\u{2518}\u{251c}\u{2524}\u{252c}\u{2534}\u{253c}\u{2580}\u{2584}\u{2588}\u{258c}\u{2590}\u{2591}\u{2592}\u{2593}\u{2320}\u{25a0}\u{2219}\u{221a}\u{2248}\u{2264}\u{2265}\u{a0}\u{2321}°²·÷\u{2550}\u{2551}\u{2552}ё\u{2553}\u{2554}\u{2555}\u{2556}\u{2557}\u{2558}\u{2559}\u{255a}\u{255b}\u{255c}\u{255d}\u{255e}\u{255f}\u{2560}\u{2561}Ё\u{2562}\u{2563}\u{2564}\u{2565}\u{2566}\u{2567}\u{2568}\u{2569}\u{256a}\u{256b}\u{256c}©юабцдефгхийклмнопярстужвьызшэщчъЮАБЦДЕФГХИЙКЛМНОПЯРСТУЖВЬЫЗШЭЩЧЪ",
    },
    CodePage {
        name: "koi8-u",
        high: "\u{2500}\u{2502}\u{250c}\u{2510}\u{2514}\u{2518}\u{251c}\u{2524}\u{252c}\u{2534}\u{253c}\u{2580}\u{2584}\u{2588}\u{258c}\u{2590}\u{2591}\u{2592}\u{2593}\u{2320}\u{25a0}\u{2219}\u{221a}\u{2248}\u{2264}\u{2265}\u{a0}\u{2321}°²·÷\u{2550}\u{2551}\u{2552}ёє\u{2554}ії\u{2557}\u{2558}\u{2559}\u{255a}\u{255b}ґў\u{255e}\u{255f}\u{2560}\u{2561}ЁЄ\u{2563}ІЇ\u{2566}\u{2567}\u{2568}\u{2569}\u{256a}ҐЎ©юабцдефгхийклмнопярстужвьызшэщчъЮАБЦДЕФГХИЙКЛМНОПЯРСТУЖВЬЫЗШЭЩЧЪ",
    },
    CodePage {
        name: "ibm866",
        high: "АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдежзийклмноп\u{2591}\u{2592}\u{2593}\u{2502}\u{2524}\u{2561}\u{2562}\u{2556}\u{2555}\u{2563}\u{2551}\u{2557}\u{255d}\u{255c}\u{255b}\u{2510}\u{2514}\u{2534}\u{252c}\u{251c}\u{2500}\u{253c}\u{255e}\u{255f}\u{255a}\u{2554}\u{2569}\u{2566}\u{2560}\u{2550}\u{256c}\u{2567}\u{2568}\u{2564}\u{2565}\u{2559}\u{2558}\u{2552}\u{2553}\u{256b}\u{256a}\u{2518}\u{250c}\u{2588}\u{2584}\u{258c}\u{2590}\u{2580}рстуфхцчшщъыьэюяЁёЄєЇїЎў°\u{2219}·\u{221a}\u{2116}¤\u{25a0}\u{a0}",
    },
    CodePage {
        name: "macintosh",
        high: "ÄÅÇÉÑÖÜáàâäãåçéèêëíìîïñóòôöõúùûü\u{2020}°¢£§\u{2022}¶ß®©\u{2122}´¨\u{2260}ÆØ\u{221e}±\u{2264}\u{2265}¥µ\u{2202}\u{2211}\u{220f}π\u{222b}ªºΩæø¿¡¬\u{221a}ƒ\u{2248}\u{2206}«»\u{2026}\u{a0}ÀÃÕŒœ\u{2013}\u{2014}\u{201c}\u{201d}\u{2018}\u{2019}÷\u{25ca}ÿŸ\u{2044}\u{20ac}\u{2039}\u{203a}\u{fb01}\u{fb02}\u{2021}·\u{201a}\u{201e}\u{2030}ÂÊÁËÈÍÎÏÌÓÔ\u{f8ff}ÒÚÛÙıˆ˜¯˘˙˚¸˝˛ˇ",
    },
];

/// Names in zip archives that are no UTF-8 (PKWARE's APPNOTE, appendix D.1). The Encoding Standard lacks it and nobody
/// writes tables with it, so it is none of those to choose from.
pub(crate) const IBM437: CodePage = CodePage {
    name: "ibm437",
    high: "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥\u{20a7}ƒáíóúñÑªº¿\u{2310}¬½¼¡«»\u{2591}\u{2592}\u{2593}\u{2502}\u{2524}\u{2561}\u{2562}\u{2556}\u{2555}\u{2563}\u{2551}\u{2557}\u{255d}\u{255c}\u{255b}\u{2510}\u{2514}\u{2534}\u{252c}\u{251c}\u{2500}\u{253c}\u{255e}\u{255f}\u{255a}\u{2554}\u{2569}\u{2566}\u{2560}\u{2550}\u{256c}\u{2567}\u{2568}\u{2564}\u{2565}\u{2559}\u{2558}\u{2552}\u{2553}\u{256b}\u{256a}\u{2518}\u{250c}\u{2588}\u{2584}\u{258c}\u{2590}\u{2580}\u{3b1}ß\u{393}\u{3c0}\u{3a3}\u{3c3}µ\u{3c4}\u{3a6}\u{398}\u{3a9}\u{3b4}\u{221e}\u{3c6}\u{3b5}\u{2229}\u{2261}±\u{2265}\u{2264}\u{2320}\u{2321}÷\u{2248}°\u{2219}·\u{221a}\u{207f}²\u{25a0}\u{a0}",
};

#[cfg(test)]
mod tests {
    use super::*;

    /// Every byte of every code page as the library `encoding_rs` has it, which follows the WHATWG Encoding Standard.
    #[test]
    fn code_pages_are_those_of_the_encoding_standard() {
        for page in CODE_PAGES {
            let standard = encoding_rs::Encoding::for_label(page.name.as_bytes()).unwrap();
            assert_eq!(page.high.chars().count(), 128, "{}", page.name);
            for byte in u8::MIN..=u8::MAX {
                let (wanted, _) = standard.decode_without_bom_handling(std::slice::from_ref(&byte));
                let (found, replaced) = page.decode(std::slice::from_ref(&byte));
                assert_eq!(str::from_utf8(&found).unwrap(), wanted, "{} {byte:02X}", page.name);
                assert_eq!(replaced, wanted.contains(char::REPLACEMENT_CHARACTER));
            }
        }
    }
}
