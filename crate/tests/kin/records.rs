//! ADIF in both flavours (Amateur Data Interchange Format 3.1.4; fields and data types from memory of adif.org).

use farheard::import::{ErrorKind, NoteKind, Reason};

use super::case::{file, hold};

const RIGHT: [&str; 1] = ["12:00 Q1ABC JO22ob > Q8STU BL11bh 20m 14097100 Hz -21 dB 23.01 dBm"];

/// A report of a listener, field by field.
const FIELDS: [(&str, &str); 9] = [
    ("CALL", "Q1ABC"),
    ("GRIDSQUARE", "JO22ob"),
    ("STATION_CALLSIGN", "Q8STU"),
    ("MY_GRIDSQUARE", "BL11bh"),
    ("QSO_DATE", "20310427"),
    ("TIME_ON", "1200"),
    ("FREQ", "14.0971"),
    ("RST_SENT", "-21"),
    ("RX_PWR", "0.2"),
];

fn tagged(change: impl Fn(&str, &str) -> String) -> String {
    FIELDS.iter().map(|(name, value)| change(name, value)).collect::<String>() + "<SWL:1>Y<EOR>\n"
}

fn plain(name: &str, value: &str) -> String {
    format!("<{name}:{}>{value} ", value.len())
}

fn xml(change: impl Fn(&str, &str) -> String) -> String {
    let fields: String = FIELDS.iter().map(|(name, value)| change(name, value)).collect();
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ADX>\n<HEADER/>\n<RECORDS>\n<RECORD>{fields}<SWL>Y</SWL></RECORD>\n</RECORDS>\n</ADX>\n"
    )
}

fn element(name: &str, value: &str) -> String {
    format!("<{name}>{value}</{name}>")
}

/// One field with another value.
fn with(field: &'static str, other: &'static str) -> String {
    tagged(|name, value| plain(name, if name == field { other } else { value }))
}

#[test]
fn tagged_records() {
    hold(&[
        file("plain", tagged(plain)).gives(&RIGHT),
        file(
            "small letters and types",
            tagged(|name, value| format!("<{}:{}:S>{value}", name.to_lowercase(), value.len())),
        )
        .gives(&RIGHT),
        file("every field on a line", tagged(|name, value| plain(name, value) + "\r\n")).gives(&RIGHT),
        file(
            "a comment between the fields",
            tagged(|name, value| plain(name, value) + " -- " + &name.to_lowercase() + " "),
        )
        .gives(&RIGHT),
        file("fields of a program", tagged(|name, value| plain(name, value) + "<APP_SOMETHING_CALL:5>Q9ZZZ"))
            .gives(&RIGHT),
        file("lengths one too long", tagged(|name, value| format!("<{name}:{}>{value}", value.len() + 1)))
            .gives(&RIGHT)
            .says(NoteKind::AdifLength),
        file("lengths all nought", tagged(|name, value| format!("<{name}:0>{value}")))
            .gives(&RIGHT)
            .gives(&[])
            .aside(&[(1, Reason::NotASpot)])
            .fails(ErrorKind::NoRoles),
        file("no lengths", tagged(|name, value| format!("<{name}>{value}")))
            .gives(&[])
            .aside(&[(1, Reason::NotASpot)])
            .fails(ErrorKind::NoRoles),
        file("header only", "a log\n<ADIF_VER:5>3.1.4 <PROGRAMID:4>mine <EOH>\n").gives(&[]).fails(ErrorKind::NoRows),
        file("seconds in the time", with("TIME_ON", "120000")).gives(&RIGHT),
        file("colons in the time", with("TIME_ON", "12:00")).gives(&RIGHT),
        file("a date long ago", with("QSO_DATE", "19740403")).gives(&[&RIGHT[0].replace("12:00", "1974-04-03T12:00")]),
        file("dashes in the date", with("QSO_DATE", "2031-04-27")).gives(&RIGHT),
        file("a comma in the frequency", with("FREQ", "14,0971")).gives(&RIGHT),
        file("no such day", with("QSO_DATE", "20310431"))
            .gives(&[])
            .aside(&[(1, Reason::BadTime)])
            .fails(ErrorKind::NoUsableTime),
        file("a report in letters", with("RST_SENT", "599"))
            .gives(&["12:00 Q1ABC JO22ob > Q8STU BL11bh 20m 14097100 Hz 23.01 dBm"])
            .says(NoteKind::SnrUnreadable),
        // FREQ is in megahertz: 14097.1 there is kilohertz, never a frequency of 14 gigahertz in silence
        file("kilohertz in the frequency", with("FREQ", "14097.1"))
            .gives(&RIGHT)
            .gives(&["12:00 Q1ABC JO22ob > Q8STU BL11bh unknown -21 dB 23.01 dBm"])
            .says(NoteKind::FrequencyUnit),
        // ten gigahertz is a band, but the record says which band it was
        file(
            "kilohertz beside a band",
            tagged(|name, value| match name {
                "FREQ" => plain("FREQ", "10140.2") + &plain("BAND", "30m"),
                _ => plain(name, value),
            }),
        )
        .gives(&["12:00 Q1ABC JO22ob > Q8STU BL11bh 30m 10140200 Hz -21 dB 23.01 dBm"])
        .says(NoteKind::FrequencyUnit),
        file("the last record cut off", tagged(plain) + "<CALL:5>Q2RS").gives(&RIGHT).aside(&[(2, Reason::CutLine)]),
        file("UTF-8 lengths in characters", tagged(|name, value| plain(name, value) + "<NAME:4>Zoë1 ")).gives(&RIGHT),
        file("UTF-16", tagged(plain).encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<_>>()).gives(&RIGHT),
        file("a mark of byte order", format!("\u{feff}{}", tagged(plain))).gives(&RIGHT),
    ]);
}

#[test]
fn records_of_xml() {
    hold(&[
        file("plain", xml(element)).gives(&RIGHT),
        file("small letters", xml(|name, value| element(&name.to_lowercase(), value))).gives(&RIGHT),
        file("a name space", xml(element).replace("<ADX>", "<ADX xmlns=\"urn:x\">")).gives(&RIGHT),
        file(
            "attributes and data sections",
            xml(|name, value| format!("<{name} a=\"b>c\"><![CDATA[{value}]]></{name}>")),
        )
        .gives(&RIGHT),
        file("entities", xml(|name, value| element(name, &value.replace('Q', "&#81;")))).gives(&RIGHT),
        file(
            "fields of a program",
            xml(|name, value| element(name, value) + "<APP PROGRAMID=\"x\" FIELDNAME=\"CALL\">Q9ZZZ</APP>"),
        )
        .gives(&RIGHT),
        file("header only", "<?xml version=\"1.0\"?><ADX><HEADER><ADIF_VER>3.1.4</ADIF_VER></HEADER><RECORDS/></ADX>")
            .gives(&[])
            .fails(ErrorKind::NoRows),
        file("cut off in the record", xml(element).split("<SWL>").next().unwrap())
            .gives(&[])
            .aside(&[(5, Reason::CutLine)])
            .fails(ErrorKind::NoRows),
        file("other XML", "<?xml version=\"1.0\"?><gpx><trk><name>Q1ABC</name></trk></gpx>")
            .gives(&[])
            .fails(ErrorKind::Adx),
    ]);
}
