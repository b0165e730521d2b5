//! Headers in other languages, and in code pages from before Unicode.

use farheard::import::NoteKind;

use super::case::{file, hold};

const TWO: [&str; 2] = [
    "12:00 Q1ABC JO22ob > Q8STU BL11bh 20m 14097100 Hz -21 dB 23.01 dBm",
    "12:02 Q1ABC JO22ob > Q9VW JN05qd 40m 7040100 Hz -3 dB 23.01 dBm",
];

/// Two rows below a header; date, time, both calls with locators, MHz, dB, W.
fn table(header: &str) -> String {
    format!(
        "{header}\n27.04.2031;12:00;Q1ABC;JO22ob;Q8STU;BL11bh;14,0971;-21;0,2\n\
         27.04.2031;12:02;Q1ABC;JO22ob;Q9VW;JN05qd;7,0401;-3;0,2\n"
    )
}

/// The same with the listener before the sender, so that only the words tell who is who.
fn turned(header: &str) -> String {
    format!(
        "{header}\n27.04.2031;12:00;Q8STU;BL11bh;Q1ABC;JO22ob;14,0971;-21;0,2\n\
         27.04.2031;12:02;Q9VW;JN05qd;Q1ABC;JO22ob;7,0401;-3;0,2\n"
    )
}

/// One byte a character, by a table of the few letters that are no ASCII.
fn in_page(text: &str, letters: &[(char, u8)]) -> Vec<u8> {
    let byte = |c: char| letters.iter().find(|(own, _)| *own == c).map(|&(_, byte)| byte);
    text.chars().map(|c| byte(c).unwrap_or_else(|| u8::try_from(u32::from(c)).unwrap())).collect()
}

#[test]
fn headers_in_other_languages() {
    let mut cases = Vec::new();
    for (name, header) in [
        (
            "portuguese",
            "data;hora UTC;emissor;localizador emissor;receptor;localizador receptor;frequência (MHz);sinal/ruído (dB);potência (W)",
        ),
        ("polish", "data;czas UTC;nadawca;lokator nadawcy;odbiorca;lokator odbiorcy;częstotliwość MHz;szum dB;moc W"),
        ("czech", "datum;čas UTC;vysílač;lokátor vysílače;přijímač;lokátor přijímače;kmitočet MHz;odstup dB;výkon W"),
        (
            "finnish",
            "päivä;kello UTC;lähetin;lähettimen lokaattori;vastaanotin;vastaanottimen lokaattori;taajuus MHz;kohina dB;teho W",
        ),
        ("hungarian", "dátum;idő UTC;adó;adó lokátor;vevő;vevő lokátor;frekvencia MHz;zaj dB;teljesítmény W"),
        ("turkish", "tarih;saat UTC;verici;verici lokator;alıcı;alıcı lokator;frekans MHz;gürültü dB;güç W"),
        (
            "russian",
            "дата;время UTC;передатчик;локатор передатчика;приёмник;локатор приёмника;частота МГц;сигнал/шум дБ;мощность Вт",
        ),
        ("greek", "ημερομηνία;ώρα UTC;πομπός;locator πομπού;δέκτης;locator δέκτη;συχνότητα MHz;SNR dB;ισχύς W"),
        (
            "danish",
            "dato;klokkeslæt UTC;sender;senderens lokator;modtager;modtagerens lokator;frekvens MHz;støj dB;effekt W",
        ),
    ] {
        cases.push(file(name, table(header)).gives(&TWO));
        let columns: Vec<&str> = header.split(';').collect();
        let other = [0, 1, 4, 5, 2, 3, 6, 7, 8].map(|at| columns[at]).join(";");
        cases.push(file(name, turned(&other)).gives(&TWO));
    }
    hold(&cases);
}

#[test]
fn code_pages() {
    let german =
        "Datum;Zeit UTC;Empfänger;Locator Empfänger;Sender;Locator Sender;Frequenz MHz;Rauschabstand dB;Leistung W";
    let polish = "data;czas UTC;odbiorca;lokator odbiorcy;nadawca;lokator nadawcy;częstotliwość MHz;szum dB;moc W";
    let russian =
        "дата;время UTC;приёмник;локатор приёмника;передатчик;локатор передатчика;частота MHz;сигнал/шум dB;мощность W";
    let cyrillic: Vec<(char, u8)> = ('А'..='я').zip(0xC0_u8..=0xFF).chain([('ё', 0xB8), ('Ё', 0xA8)]).collect();
    hold(&[
        // a terminal of old: code page 437 or 850
        file("german in code page 850", in_page(&turned(german), &[('ä', 0x84)]))
            .gives(&TWO)
            .says(NoteKind::EncodingAssumed),
        file("german in mac roman", in_page(&turned(german), &[('ä', 0x8A)]))
            .gives(&TWO)
            .says(NoteKind::EncodingAssumed),
        file("polish in windows-1250", in_page(&turned(polish), &[('ę', 0xEA), ('ś', 0x9C), ('ć', 0xE6)]))
            .gives(&TWO)
            .says(NoteKind::EncodingAssumed),
        file("russian in windows-1251", in_page(&turned(russian), &cyrillic))
            .gives(&TWO)
            .says(NoteKind::EncodingAssumed),
        file(
            "UTF-16 little-endian without mark",
            turned(german).encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<_>>(),
        )
        .gives(&TWO),
        file(
            "UTF-16 big-endian without mark",
            turned(polish).encode_utf16().flat_map(u16::to_be_bytes).collect::<Vec<_>>(),
        )
        .gives(&TWO),
        // decoded once too often: UTF-8 read as windows-1252 and saved again
        file("umlauts twice encoded", turned(german).replace('ä', "Ã¤")).gives(&TWO),
    ]);
}
