//! What kind of file it is, by its first bytes; the name is never asked.

/// How much of a file is looked at.
const LOOK: usize = 64 * 1024;

/// Kinds that are no text, by the signatures that their own descriptions give: workbooks of the older kind (compound
/// documents), pictures, documents, archives of other packers, databases and columnar files.
pub(crate) fn is_old_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1])
}

/// Is it something other than text?
pub(crate) fn is_binary(bytes: &[u8]) -> bool {
    const SIGNATURES: [&[u8]; 14] = [
        b"\x89PNG\r\n\x1a\n",
        b"\xFF\xD8\xFF",
        b"GIF8",
        b"%PDF-",
        b"PAR1",
        b"SQLite format 3\0",
        b"7z\xBC\xAF\x27\x1C",
        b"Rar!\x1a\x07",
        b"BZh9",
        b"\xFD7zXZ\0",
        b"\x28\xB5\x2F\xFD",
        b"\x7FELF",
        b"RIFF",
        b"OggS",
    ];
    if SIGNATURES.iter().any(|signature| bytes.starts_with(signature)) {
        return true;
    }
    let head = &bytes[..bytes.len().min(LOOK)];
    // control characters that no text has; NUL is looked after by the decoding
    let control = head.iter().filter(|&&b| b < 9 && b != 0 || (14..27).contains(&b) || (28..32).contains(&b)).count();
    control * 20 > head.len()
}

/// Is a decoded text still no text: mostly replacement characters?
pub(crate) fn is_garbage(text: &[u8]) -> bool {
    let head = &text[..text.len().min(LOOK)];
    let replaced = String::from_utf8_lossy(head).chars().filter(|&c| c == '\u{FFFD}').count();
    replaced * 10 > head.len()
}

fn begins_with(text: &[u8], beginning: &str) -> bool {
    text.get(..beginning.len()).is_some_and(|t| t.eq_ignore_ascii_case(beginning.as_bytes()))
}

/// The text behind blanks, comments of XML and its first line.
fn first_element(text: &[u8]) -> &[u8] {
    let mut rest = super::fields::cell::trim(&text[..text.len().min(LOOK)]);
    loop {
        let end = if rest.starts_with(b"<!--") {
            find(rest, b"-->")
        } else if rest.starts_with(b"<?") {
            find(rest, b"?>")
        } else {
            return rest;
        };
        match end {
            Some(end) => rest = super::fields::cell::trim(&rest[end..]),
            None => return rest,
        }
    }
}

/// Where a pattern ends.
fn find(text: &[u8], pattern: &[u8]) -> Option<usize> {
    memchr::memmem::find(text, pattern).map(|at| at + pattern.len())
}

/// Is it a web page?
pub(crate) fn is_html(text: &[u8]) -> bool {
    let rest = first_element(text);
    // the name of an element ends there: it may be the beginning of an ADIF field's
    let is_named = |name: &str| {
        let next = rest.get(name.len());
        begins_with(rest, name) && next.is_none_or(|next| !next.is_ascii_alphanumeric() && !matches!(next, b'_' | b':'))
    };
    [
        "<!doctype html",
        "<html",
        "<head",
        "<body",
        "<title",
        "<meta",
        "<script",
        "<div",
        "<table",
        "<p",
        "<h1",
        "<center",
        "<h2",
        "<pre",
        "<span",
        "<style",
        "<link",
        "<form",
        "<main",
        "<section",
        "<article",
        "<svg",
        "<iframe",
        "<br",
        "<!doctype",
    ]
    .into_iter()
    .any(is_named)
}

/// Is it XML of any kind (ADX among them)?
pub(crate) fn is_xml(text: &[u8]) -> bool {
    begins_with(super::fields::cell::trim(text), "<?xml") || begins_with(first_element(text), "<adx")
}

/// Has an XML text the root of ADX?
pub(crate) fn has_adx(text: &[u8]) -> bool {
    begins_with(first_element(text), "<adx")
}

/// Is it JSON: a list or an object of names and values?
pub(crate) fn is_json(text: &[u8]) -> bool {
    let mut signs = text[..text.len().min(LOOK)].iter().filter(|b| !b.is_ascii_whitespace());
    match (signs.next(), signs.next()) {
        (Some(b'{'), Some(b'"')) => {
            let name = signs.take(200).skip_while(|b| **b != b'"').nth(1);
            name == Some(&b':')
        }
        (Some(b'['), Some(b'{' | b'[')) => true,
        _ => false,
    }
}

/// Is it a workbook saved as XML?
pub(crate) fn is_xml_workbook(text: &[u8]) -> bool {
    let head = &text[..text.len().min(LOOK)];
    [&b"urn:schemas-microsoft-com:office:spreadsheet"[..], b"opendocument.spreadsheet", b"progid=\"Excel.Sheet\""]
        .iter()
        .any(|mark| memchr::memmem::find(head, mark).is_some())
}

/// Fields that records of any program have.
const COMMON_FIELDS: [&str; 12] = [
    "call",
    "qso_date",
    "time_on",
    "station_callsign",
    "operator",
    "gridsquare",
    "my_gridsquare",
    "band",
    "freq",
    "mode",
    "rst_sent",
    "adif_ver",
];

/// Is it tagged ADIF? Its lines have tags of common fields, or the ends of header and records: the first, or so many
/// that they are not the remarks of a table.
pub(crate) fn is_adif(text: &[u8]) -> bool {
    let head = &text[..text.len().min(LOOK)];
    let has_tag = |line: &[u8]| {
        memchr::memchr_iter(b'<', line).any(|at| {
            let tag = &line[at + 1..];
            begins_with(tag, "eor>")
                || begins_with(tag, "eoh>")
                || COMMON_FIELDS.iter().any(|field| {
                    let length = tag.get(field.len()..).and_then(|rest| rest.strip_prefix(b":"));
                    begins_with(tag, field) && length.and_then(<[u8]>::first).is_some_and(u8::is_ascii_digit)
                })
        })
    };
    let lines = || head.split(|&byte| byte == b'\n' || byte == b'\r').filter(|line| !line.is_empty());
    // a text that begins with a tag, or has one at the beginning of a line
    let begins = lines().any(|line| line.trim_ascii_start().starts_with(b"<") && has_tag(line));
    begins || { 3 * lines().filter(|line| has_tag(line)).count() > lines().count() }
}
