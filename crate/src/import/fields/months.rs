//! Month names and weekdays in the languages radio amateurs' programs commonly write.
//!
//! Source: the names and abbreviations of the Unicode CLDR locales named beside each list, from memory;
//! compared folded (lower case, no diacritics), as beginnings of words.

use super::cell::fold;

/// A beginning of a folded word and the month it means, for beginnings that one list of first letters cannot tell.
/// Longer beginnings come before shorter ones of the same letters.
const BEGINNINGS: &[(&str, u32)] = &[
    // en de fr es it pt nl sv da nb, and others with names from Latin
    ("jan", 1),
    ("feb", 2),
    ("fev", 2),
    ("marras", 11), // fi, before mar
    ("mar", 3),
    ("mrz", 3), // de
    ("mrt", 3), // nl
    ("maa", 3), // nl maart, fi maaliskuu
    ("apr", 4),
    ("avr", 4), // fr
    ("abr", 4), // es pt
    ("mayis", 5),
    ("may", 5),
    ("mai", 5),
    ("mei", 5),  // nl
    ("maj", 5),  // sv da pl
    ("mag", 5),  // it
    ("juil", 7), // fr; jui alone is one or the other
    ("juin", 6), // fr
    ("jun", 6),
    ("jul", 7),
    ("aug", 8),
    ("aou", 8), // fr
    ("ago", 8), // es it pt
    ("sep", 9),
    ("set", 9),   // it pt
    ("szept", 9), // hu
    ("oct", 10),
    ("okt", 10),
    ("ott", 10), // it
    ("out", 10), // pt
    ("nov", 11),
    ("dec", 12),
    ("dez", 12), // de pt
    ("dic", 12), // es it
    ("des", 12), // nb
    // es it
    ("ene", 1),
    ("gen", 1),
    ("giu", 6),
    ("lug", 7),
    // pl
    ("sty", 1),
    ("lut", 2),
    ("kwi", 4),
    ("cze", 6),
    ("lip", 7),
    ("sie", 8),
    ("wrz", 9),
    ("paz", 10),
    ("lis", 11),
    ("gru", 12),
    // cs
    ("led", 1),
    ("uno", 2),
    ("bre", 3),
    ("dub", 4),
    ("kve", 5),
    ("cervenec", 7),
    ("cervenc", 7),
    ("cervn", 6),
    ("cerven", 6),
    ("cvc", 7),
    ("cvn", 6),
    ("srp", 8),
    ("zar", 9),
    ("rij", 10),
    ("pro", 12),
    // fi
    ("tam", 1),
    ("hel", 2),
    ("huh", 4),
    ("tou", 5),
    ("kes", 6),
    ("hei", 7),
    ("elo", 8),
    ("syy", 9),
    ("lok", 10),
    ("jou", 12),
    // tr
    ("oca", 1),
    ("sub", 2),
    ("nis", 4),
    ("haz", 6),
    ("tem", 7),
    ("agu", 8),
    ("eyl", 9),
    ("eki", 10),
    ("kas", 11),
    ("ara", 12),
    // ro
    ("ian", 1),
    ("iun", 6),
    ("iul", 7),
    // ru
    ("янв", 1),
    ("фев", 2),
    ("мар", 3),
    ("апр", 4),
    ("май", 5),
    ("мая", 5),
    ("июн", 6),
    ("июл", 7),
    ("авг", 8),
    ("сен", 9),
    ("окт", 10),
    ("ноя", 11),
    ("дек", 12),
    // el
    ("ιαν", 1),
    ("φεβ", 2),
    ("μαρ", 3),
    ("μάρ", 3),
    ("απρ", 4),
    ("μαι", 5),
    ("μαΐ", 5),
    ("μάι", 5),
    ("ιουν", 6),
    ("ιουλ", 7),
    ("αυγ", 8),
    ("αύγ", 8),
    ("σεπ", 9),
    ("οκτ", 10),
    ("νοε", 11),
    ("νοέ", 11),
    ("δεκ", 12),
];

/// The longest month names of these languages have twelve letters or fewer.
const LONGEST: usize = 12;

/// The month that a word names (without a full stop behind), in any of the languages.
pub(crate) fn month(word: &str) -> Option<u32> {
    let letters = word.chars().count();
    if !(3..=LONGEST).contains(&letters) {
        return None;
    }
    let folded = fold(word);
    BEGINNINGS.iter().find(|(beginning, _)| folded.starts_with(beginning)).map(|&(_, month)| month)
}

/// Does a word name a day of the week? Two letters suffice where a stop or comma follows, as in `Mo.` or `Wed,`.
pub(crate) fn is_weekday(word: &str) -> bool {
    const NAMES: &[&str] = &[
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "saturday",
        "sunday", // en
        "montag",
        "dienstag",
        "mittwoch",
        "donnerstag",
        "freitag",
        "samstag",
        "sonnabend",
        "sonntag", // de
        "lundi",
        "mardi",
        "mercredi",
        "jeudi",
        "vendredi",
        "samedi",
        "dimanche", // fr
        "lunes",
        "martes",
        "miercoles",
        "jueves",
        "viernes",
        "sabado",
        "domingo", // es
        "lunedi",
        "martedi",
        "mercoledi",
        "giovedi",
        "venerdi",
        "sabato",
        "domenica", // it
        "segunda",
        "terca",
        "quarta",
        "quinta",
        "sexta", // pt
        "maandag",
        "dinsdag",
        "woensdag",
        "donderdag",
        "vrijdag",
        "zaterdag",
        "zondag", // nl
        "poniedzialek",
        "wtorek",
        "sroda",
        "czwartek",
        "piatek",
        "sobota",
        "niedziela", // pl
        "pondeli",
        "utery",
        "streda",
        "ctvrtek",
        "patek",
        "nedele", // cs
        "mandag",
        "tisdag",
        "onsdag",
        "torsdag",
        "fredag",
        "lordag",
        "lorsdag",
        "sondag",
        "tirsdag", // sv da nb
        "maanantai",
        "tiistai",
        "keskiviikko",
        "torstai",
        "perjantai",
        "lauantai",
        "sunnuntai", // fi
    ];
    let folded = fold(word);
    folded.chars().count() >= 2 && NAMES.iter().any(|name| name.starts_with(folded.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Full names and customary abbreviations, January first; Unicode CLDR, from memory.
    const LISTS: &[(&str, [&str; 12])] = &[
        ("en", ["January", "Feb", "March", "Apr", "May", "June", "Jul", "August", "Sept", "Oct", "November", "Dec"]),
        ("de", ["Jänner", "Februar", "Mär", "April", "Mai", "Juni", "Juli", "Aug", "Sep", "Okt", "Nov", "Dez"]),
        ("fr", ["janvier", "févr", "mars", "avril", "mai", "juin", "juillet", "août", "sept", "octobre", "nov", "déc"]),
        ("es", ["enero", "feb", "marzo", "abr", "mayo", "junio", "julio", "agosto", "sept", "oct", "nov", "diciembre"]),
        ("it", ["gennaio", "feb", "mar", "aprile", "maggio", "giu", "luglio", "ago", "settembre", "ott", "nov", "dic"]),
        ("pt", ["jan", "fevereiro", "março", "abril", "maio", "jun", "jul", "ago", "set", "outubro", "nov", "dez"]),
        ("nl", ["jan", "feb", "maart", "apr", "mei", "juni", "juli", "aug", "sep", "okt", "nov", "december"]),
        ("sv", ["jan", "feb", "mars", "apr", "maj", "juni", "juli", "aug", "sep", "okt", "nov", "dec"]),
        ("nb", ["jan", "feb", "mars", "apr", "mai", "juni", "juli", "aug", "sep", "okt", "nov", "des"]),
        ("pl", ["sty", "luty", "marca", "kwi", "maj", "czerwca", "lip", "sie", "wrz", "paź", "lis", "grudnia"]),
        (
            "cs",
            [
                "leden",
                "února",
                "březen",
                "dubna",
                "května",
                "června",
                "července",
                "srpna",
                "září",
                "října",
                "lis",
                "pro",
            ],
        ),
        (
            "fi",
            ["tammi", "helmi", "maalis", "huhti", "touko", "kesä", "heinä", "elo", "syys", "loka", "marras", "joulu"],
        ),
        ("hu", ["jan", "febr", "márc", "ápr", "máj", "jún", "júl", "aug", "szept", "okt", "nov", "dec"]),
        ("tr", ["Oca", "Şub", "Mar", "Nis", "May", "Haz", "Tem", "Ağu", "Eyl", "Eki", "Kas", "Ara"]),
        ("ro", ["ian", "feb", "mar", "apr", "mai", "iun", "iul", "aug", "sept", "oct", "nov", "dec"]),
        ("ru", ["янв", "фев", "марта", "апр", "мая", "июня", "июля", "авг", "сен", "окт", "нояб", "дек"]),
    ];

    #[test]
    fn months_of_every_language() {
        for (language, names) in LISTS {
            for (right, name) in (1..).zip(names) {
                assert_eq!(month(name), Some(right), "{language}: {name}");
                assert_eq!(month(&name.to_uppercase()), Some(right), "{language}: {name} in capitals");
            }
        }
        for none in ["", "Ma", "yesterday", "about", "utc", "cet"] {
            assert_eq!(month(none), None, "{none}");
        }
    }

    #[test]
    fn weekdays() {
        for day in ["Wed", "Mi", "mercredi", "Sonntag", "śr"] {
            assert!(is_weekday(day), "{day}");
        }
        for none in ["UTC", "x", "Apr", "Q1"] {
            assert!(!is_weekday(none), "{none}");
        }
    }
}
