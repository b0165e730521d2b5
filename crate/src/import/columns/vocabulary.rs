//! What header words mean, in the languages of the trade.
//!
//! The words are those radio amateurs use for the quantities themselves (common practice, no source), in English,
//! German, French, Spanish, Italian, Portuguese, Dutch, Polish, Czech, the Scandinavian languages, Finnish, Hungarian,
//! Romanian, Turkish, Russian, and a few in Greek, Japanese and Chinese. No file layout is known here:
//! every header is taken apart into words, and what they say together is weighed against what the cells hold.

use std::sync::LazyLock;

use crate::import::fields::cell::fold;
use crate::import::fields::zone::{self, ZoneMark};
use crate::import::words::{FreqUnit, PowerUnit};
use crate::order::LightSort;

/// A set of meanings, as bits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Meaning(u32);

impl Meaning {
    pub(crate) const NONE: Self = Self(0);
    pub(crate) const TIME: Self = Self(1);
    pub(crate) const DATE: Self = Self(1 << 1);
    pub(crate) const UTC: Self = Self(1 << 2);
    pub(crate) const LOCAL: Self = Self(1 << 3);
    pub(crate) const TX: Self = Self(1 << 4);
    pub(crate) const RX: Self = Self(1 << 5);
    pub(crate) const CALL: Self = Self(1 << 6);
    pub(crate) const LOCATOR: Self = Self(1 << 7);
    pub(crate) const FREQ: Self = Self(1 << 8);
    pub(crate) const BAND: Self = Self(1 << 9);
    pub(crate) const SNR: Self = Self(1 << 10);
    pub(crate) const DRIFT: Self = Self(1 << 11);
    pub(crate) const POWER: Self = Self(1 << 12);
    pub(crate) const DISTANCE: Self = Self(1 << 13);
    pub(crate) const AZIMUTH: Self = Self(1 << 14);
    pub(crate) const OTHER: Self = Self(1 << 15);
    pub(crate) const REPORT: Self = Self(1 << 16);

    /// Meanings that are a quantity or a thing, beside which transmitting and receiving only tell the side.
    pub(crate) const THINGS: Self = Self(
        Self::TIME.0
            | Self::DATE.0
            | Self::LOCATOR.0
            | Self::FREQ.0
            | Self::BAND.0
            | Self::SNR.0
            | Self::DRIFT.0
            | Self::POWER.0
            | Self::DISTANCE.0
            | Self::AZIMUTH.0,
    );

    /// Both sets together.
    pub(crate) const fn with(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Is any of the other's meanings in it?
    pub(crate) const fn has(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }

    /// Is nothing in it?
    pub(crate) const fn is_none(self) -> bool {
        self.0 == 0
    }

    /// What is in it but not in the other.
    pub(crate) const fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }
}

/// Folded words and what they mean. A star stands for any letters; words without a star match whole.
const WORDS: &[(Meaning, &str)] = &[
    (Meaning::UTC, "utc gmt zulu weltzeit tuc ut *utc"),
    (
        Meaning::TIME,
        "utc gmt zulu ut time* timestamp datetime *time when clock hour hours slot *zeit* uhrzeit heure* hora* ora orario tijd* tid tidspunkt tidpunkt klokkeslett klockslag czas* godz* cas cas_ aika* kello* klo ido* idopont saat zaman timp* время* час* ωρα ώρα 時刻 時間 时间 stempel* *stempel",
    ),
    (
        Meaning::DATE,
        "date* datetime *datum* dato fecha data dia dzien den paivamaara pvm paiva datum* дата* tarih ημερομηνια ημερομηνία 日付 日期 day tag jour giorno dag",
    ),
    (
        Meaning::LOCAL,
        "local locale locales localtime lokal lokale lokalzeit lokaltid ortszeit lokaal lokale plaatselijk* miejscow* lokalny mistni paikallis* paikallinen helyi yerel местн* lt mez mesz winterzeit sommerzeit bst ist ast gst eastern central mountain pacific daylight legal legale summer",
    ),
    (
        Meaning::TX,
        "tx tx* transmit* transm* transmisor emisor* emiss* emett* emet* emitt* emitent trasmett* trasmit* trasmess* sender* sende sende* sending sent zender* zend* nadaj* nadaw* vysila* vysiel* sandare* sander* avsandare lahet* lahett* ado adoallomas verici gonderen emitator* передат* отправ* передающ* beacon* bake balise* baliza* boje heard gehort* gehoerte* entendu* escuchad* sentito πομπ* 送信* 发射* 发送* from",
    ),
    (
        Meaning::RX,
        "rx rx* receiv* recv rcv* rcvr *empfang* *empfaeng* empf recept* recib* recebid* ricev* ricez* ontvang* odbior* odbier* prijim* prijem* mottag* mottak* modtag* vastaanot* vevo vevo* alici alan приём* прием* приним* получ* reporter* reporting listener* listening spotter* hearer horer hoerer ecout* auditeur* oyente ascolt* luister* slucha* poslucha* δεκτ* 受信* 接收* to",
    ),
    (
        Meaning::CALL,
        "call call* *call *callsign sign *rufzeichen* rufz indicati* indikativ nominativ* roepn* roepl* kallel* kaldesignal anrop* *signatur znak* znacka volac* kutsu* hivojel позывн* cagri station stations stacja stanice estacion* estac* stazion* asema* allomas istasyon statie станци* 呼号 コールサイン",
    ),
    (
        Meaning::LOCATOR,
        "loc locator* *locator* lokator* *lokator* grid* *grid gridsquare square maidenhead qth* wwloc* standort* *standort location localizador localisateur lokalizator localizzatore lokaattori ruutu* ruta rute position* posizione posicion локатор* квадрат* лок carre 定位* ロケーター グリッド",
    ),
    (
        Meaning::FREQ,
        "freq* *freq frek* *frequen* *frekven* frec* taajuus* kmitoc* czestotl* czest qrg частот* част frekans* frecvent* freq συχνοτητα συχνότητα 周波数 频率",
    ),
    (Meaning::BAND, "band band* bande banda bandas pasmo baand sav bant диапазон* 波段 バンド wellenlange wavelength"),
    (
        Meaning::SNR,
        "snr rsb s2n sn s_n signal* *rausch* *storabstand* storabst stoerabstand rapport report rprt rst* bruit ruido rumore ruis* szum* sum brus* kohina zaj level pegel *pegel siginal* strength starke odstup* cинал* сигнал* шум* осш zgomot zemin gurultu",
    ),
    (Meaning::REPORT, "rst*"),
    (Meaning::DRIFT, "drift* *drift deriv* dryf* *drift* afdrijv* verloop ryomint* posun* дрейф* дрифт* kayma"),
    (
        Meaning::POWER,
        "power* pwr pow *power leistung* *leistung* puiss* poten* vermogen* *vermogen moc mocy vykon* *effekt* *effekt teho* lahetysteho teljesitm* guc gucu putere* мощн* 出力 功率 電力 erp eirp",
    ),
    (
        Meaning::DISTANCE,
        "dist* *distance entfern* *entfernung afstand* avstand* abstand odleg* vzdal* etais* matka tavols* qrb расст* дистан* mesafe 距離 距离",
    ),
    (
        Meaning::AZIMUTH,
        "azim* azym* atsim* bearing* peil* richtung* *richtung rumbo heading direction direcc* direz* qtf kierun* smer* suunta* азимут* beam gisement peiling retning riktning kurs 方位*",
    ),
    (
        Meaning::OTHER,
        "remark* comment* bemerk* bemaerk* note notes notiz* anmerk* komment* kommentar* mode* modus betriebsart id nr num* number* version* software program* antenn* country* land pays pais name nom nombre code kode remarq* observa* uwagi poznam* huom* megjegyz* примеч* index temperature weather wetter user client",
    ),
];

/// Phrases, folded and with a blank before and behind each word, that mean something else than their words.
const PHRASES: &[(&str, Meaning)] = &[
    (" heard by ", Meaning::RX),
    (" received by ", Meaning::RX),
    (" reported by ", Meaning::RX),
    (" spotted by ", Meaning::RX),
    (" gehort von ", Meaning::RX),
    (" gehoert von ", Meaning::RX),
    (" entendu par ", Meaning::RX),
    (" recu par ", Meaning::RX),
    (" recibido por ", Meaning::RX),
    (" escuchado por ", Meaning::RX),
    (" ricevuto da ", Meaning::RX),
    (" sentito da ", Meaning::RX),
    (" recebido por ", Meaning::RX),
    (" ontvangen door ", Meaning::RX),
    (" gehoord door ", Meaning::RX),
    (" odebrane przez ", Meaning::RX),
    (" sent by ", Meaning::TX),
    (" transmitted by ", Meaning::TX),
    (" signal noise ", Meaning::SNR),
    (" s n ", Meaning::SNR),
    (" s b ", Meaning::SNR),
    (" s r ", Meaning::SNR),
];

/// What a column's header says.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Header {
    /// Meanings of its words, or of its unit where the words say nothing.
    pub(crate) meaning: Meaning,
    /// Was any of it said in words (not only by a unit)?
    pub(crate) in_words: bool,
    pub(crate) freq_unit: Option<FreqUnit>,
    pub(crate) power_unit: Option<PowerUnit>,
    pub(crate) length_unit: Option<LengthUnit>,
    /// Seconds east of UTC that the header gives for its times.
    pub(crate) utc_offset_s: Option<i32>,
    /// Does it name hours and nothing else?
    pub(crate) hours: bool,
    /// Does it name what is reckoned from levels or powers: levels at 1 W, or what an antenna radiates?
    pub(crate) is_reckoned: bool,
}

/// Unit of a distance column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LengthUnit {
    Km,
    Mi,
    /// Nautical miles.
    Nmi,
}

impl LengthUnit {
    pub(crate) const ALL: [Self; 3] = [Self::Km, Self::Mi, Self::Nmi];

    /// The unit of a word.
    pub(crate) fn of(word: &str) -> Option<Self> {
        Some(match fold(word).as_str() {
            "km" | "kms" | "kilometer" | "kilometers" | "kilometre" | "kilometres" | "kilometros" | "chilometri"
            | "км" => Self::Km,
            "mi" | "mile" | "miles" | "meilen" | "milles" | "millas" | "miglia" | "milhas" | "mijl" | "mijlen"
            | "mil" | "мили" | "миль" => Self::Mi,
            "nmi" | "nm" | "seemeilen" | "sm" => Self::Nmi,
            _ => return None,
        })
    }

    /// Kilometres in one of it (all exact by definition).
    pub(crate) const fn km(self) -> f64 {
        match self {
            Self::Km => 1.0,
            Self::Mi => crate::units::KM_PER_MILE,
            Self::Nmi => 1.852,
        }
    }

    /// The name in sentences.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Km => "kilometres (km)",
            Self::Mi => "miles (mi)",
            Self::Nmi => "nautical miles (nmi)",
        }
    }
}

/// The words taken apart once: each search for one is then a few steps, not a walk through all of them.
struct Lexicon {
    /// Words that match whole, in order.
    whole: Vec<(&'static str, Meaning)>,
    /// Beginnings, in order.
    beginnings: Vec<(&'static str, Meaning)>,
    /// Endings, and parts from anywhere within.
    endings: Vec<(&'static str, Meaning)>,
    parts: Vec<(&'static str, Meaning)>,
}

static LEXICON: LazyLock<Lexicon> = LazyLock::new(|| {
    let mut lexicon = Lexicon { whole: Vec::new(), beginnings: Vec::new(), endings: Vec::new(), parts: Vec::new() };
    for &(meaning, patterns) in WORDS {
        for pattern in patterns.split(' ') {
            let list = match (pattern.starts_with('*'), pattern.ends_with('*')) {
                (true, true) => &mut lexicon.parts,
                (true, false) => &mut lexicon.endings,
                (false, true) => &mut lexicon.beginnings,
                (false, false) => &mut lexicon.whole,
            };
            list.push((pattern.trim_matches('*'), meaning));
        }
    }
    lexicon.whole.order_by(|a, b| a.0.cmp(b.0));
    lexicon.beginnings.order_by(|a, b| a.0.cmp(b.0));
    lexicon
});

impl Lexicon {
    fn meaning_of(&self, word: &str) -> Meaning {
        let all_of = |list: &[(&str, Meaning)], wanted: &str| {
            let first = list.partition_point(|&(own, _)| own < wanted);
            list.iter()
                .skip(first)
                .take_while(|&&(own, _)| own == wanted)
                .fold(Meaning::NONE, |m, &(_, one)| m.with(one))
        };
        let mut meaning = all_of(&self.whole, word);
        for (at, letter) in word.char_indices() {
            let beginning = word.get(..at + letter.len_utf8()).unwrap_or(word);
            meaning = meaning.with(all_of(&self.beginnings, beginning));
        }
        for &(ending, one) in &self.endings {
            if word.ends_with(ending) {
                meaning = meaning.with(one);
            }
        }
        for &(part, one) in &self.parts {
            if word.contains(part) {
                meaning = meaning.with(one);
            }
        }
        meaning
    }
}

/// What one folded word means.
pub(crate) fn meaning_of(word: &str) -> Meaning {
    let mut meaning = LEXICON.meaning_of(word);
    if meaning.has(Meaning::LOCAL) {
        meaning = meaning.without(Meaning::LOCATOR);
    }
    // `station` would be a quantity of its own in `start`, `state`, ... : whole words only, so nothing to undo here;
    // `txlocator`, `rxcall`: the side and the thing in one word
    if let Some(rest) = word.strip_prefix("tx").or_else(|| word.strip_prefix("rx")).filter(|rest| rest.len() >= 3) {
        meaning = meaning.with(meaning_of(rest));
    }
    meaning
}

/// Words of a header, folded; `txLoc` and `loc2` are taken apart.
fn words_of(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut lower_run = 0;
    let mut flush = |word: &mut String| {
        let bare = word.trim_end_matches(|c: char| c.is_ascii_digit());
        if !bare.is_empty() {
            words.push(fold(bare));
        } else if !word.is_empty() {
            words.push(word.clone());
        }
        word.clear();
    };
    for c in text.chars().take(200) {
        if !c.is_alphanumeric() {
            flush(&mut word);
            lower_run = 0;
            continue;
        }
        if c.is_uppercase() && lower_run >= 2 {
            flush(&mut word);
        }
        lower_run = if c.is_lowercase() { lower_run + 1 } else { 0 };
        word.push(c);
    }
    flush(&mut word);
    words
}

/// What a header cell says, with the cell of a unit row below it if there is one.
pub(crate) fn read(header: &str, unit_row: &str) -> Header {
    let text = if unit_row.is_empty() { header.to_owned() } else { format!("{header} ({unit_row})") };
    let words = words_of(&text);
    let mut found = Header {
        hours: matches!(
            words.iter().find(|word| *word != "utc").map(String::as_str),
            Some("hour" | "hours" | "stunde" | "stunden")
        ),
        ..Header::default()
    };
    let mut units = Meaning::NONE;
    for word in &words {
        match word.as_str() {
            "hz" | "гц" => found.freq_unit = Some(FreqUnit::Hz),
            "khz" | "кгц" => found.freq_unit = Some(FreqUnit::KHz),
            "mhz" | "мгц" => found.freq_unit = Some(FreqUnit::MHz),
            "ghz" | "ггц" => found.freq_unit = Some(FreqUnit::GHz),
            "dbm" | "дбм" => found.power_unit = Some(PowerUnit::Dbm),
            "dbw" | "дбвт" => found.power_unit = Some(PowerUnit::Dbw),
            "w" | "watt" | "watts" | "вт" => found.power_unit = Some(PowerUnit::W),
            "mw" | "milliwatt" | "milliwatts" | "мвт" => found.power_unit = Some(PowerUnit::MW),
            "kw" | "kilowatt" | "kilowatts" | "квт" => found.power_unit = Some(PowerUnit::KW),
            "db" | "дб" => units = units.with(Meaning::SNR),
            "deg" | "degrees" | "grad" => units = units.with(Meaning::AZIMUTH),
            word => match LengthUnit::of(word) {
                Some(unit) => found.length_unit = Some(unit),
                None => found.meaning = found.meaning.with(meaning_of(word)),
            },
        }
    }
    // Hz/min is the unit of a drift, not of a frequency
    if words.windows(2).any(|pair| pair[0] == "hz" && matches!(pair[1].as_str(), "min" | "minute" | "mn")) {
        found.freq_unit = None;
        found.meaning = found.meaning.without(Meaning::TIME);
        units = units.with(Meaning::DRIFT);
    }
    if found.freq_unit.is_some() {
        units = units.with(Meaning::FREQ);
    }
    if found.power_unit.is_some() {
        units = units.with(Meaning::POWER);
    }
    if found.length_unit.is_some() {
        units = units.with(Meaning::DISTANCE);
    }
    let phrase = format!(" {} ", words.join(" "));
    for &(pattern, meaning) in PHRASES {
        if phrase.contains(pattern) {
            if meaning == Meaning::RX {
                found.meaning = found.meaning.without(Meaning::TX);
            }
            found.meaning = found.meaning.with(meaning);
        }
    }
    if words.iter().any(|w| w == "nautical") && found.length_unit == Some(LengthUnit::Mi) {
        found.length_unit = Some(LengthUnit::Nmi);
    }
    // `Loc-T`, `Call R`: a single letter beside the thing tells the side
    if found.meaning.has(Meaning::LOCATOR.with(Meaning::CALL)) && !found.meaning.has(Meaning::TX.with(Meaning::RX)) {
        if words.iter().any(|w| w == "t") {
            found.meaning = found.meaning.with(Meaning::TX);
        } else if words.iter().any(|w| w == "r") {
            found.meaning = found.meaning.with(Meaning::RX);
        }
    }
    if found.meaning.has(Meaning::TX) && found.meaning.has(Meaning::RX) {
        // both sides say nothing about one
        found.meaning = found.meaning.without(Meaning::TX.with(Meaning::RX));
    }
    // `EST`: nothing else than a time has a zone
    if found.meaning.is_none() && words.len() == 1 && matches!(zone::read(text.trim()), Some(ZoneMark::Offset(_))) {
        found.meaning = Meaning::TIME;
    }
    if found.meaning == Meaning::LOCAL {
        // `local`, `LT`: nothing else than a time is local
        found.meaning = found.meaning.with(Meaning::TIME);
    }
    found.is_reckoned =
        words.iter().any(|word| matches!(word.as_str(), "eirp" | "erp" | "1w") || word.starts_with("normali"))
            || found.meaning.has(Meaning::SNR) && found.power_unit == Some(PowerUnit::W);
    found.in_words = !found.meaning.is_none();
    if !found.meaning.has(Meaning::THINGS) && !(found.meaning.has(Meaning::OTHER)) {
        found.meaning = found.meaning.with(units);
    }
    if found.meaning.has(Meaning::TIME.with(Meaning::DATE)) {
        found.utc_offset_s = offset_of(&text);
        // `CET/CEST`, `Region/City`: local, and by how much depends on the date
        let place = text.split_once('/').is_some_and(|(region, city)| {
            let letter = |c: Option<char>| c.is_some_and(char::is_alphabetic);
            letter(region.chars().last()) && city.chars().next().is_some_and(char::is_uppercase)
        });
        if place && !found.meaning.has(Meaning::DATE) {
            found.utc_offset_s = None;
            found.meaning = found.meaning.with(Meaning::LOCAL);
        }
    }
    found
}

/// An offset in a header: `time (UTC+2)`, `local time +02:00`, `Zeit MEZ`.
fn offset_of(text: &str) -> Option<i32> {
    let at = text.find(['+', '\u{2212}']).or_else(|| {
        // a dash counts as a sign only behind UTC or GMT, or after a blank or bracket
        text.match_indices('-').map(|(at, _)| at).find(|&at| {
            let before = text.get(..at).unwrap_or_default();
            before.ends_with([' ', '('])
                || before.to_ascii_uppercase().ends_with("UTC")
                || before.to_ascii_uppercase().ends_with("GMT")
        })
    });
    if let Some(at) = at {
        let sign = text.get(at..)?.split([')', ']', ' ']).next()?.replace('\u{2212}', "-");
        return zone::offset(&sign);
    }
    words_of(text).iter().find_map(|word| match zone::read(word) {
        Some(ZoneMark::Offset(seconds)) => Some(seconds),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_in_many_languages() {
        let m = Meaning::with;
        for (header, meaning) in [
            ("time UTC", m(Meaning::TIME, Meaning::UTC)),
            ("transmitter", Meaning::TX),
            ("transmitter locator", m(Meaning::TX, Meaning::LOCATOR)),
            ("frequency MHz", Meaning::FREQ),
            ("SNR dB", Meaning::SNR),
            ("drift Hz/min", Meaning::DRIFT),
            ("Hz/min", Meaning::DRIFT),
            ("power dBm", Meaning::POWER),
            ("receiver locator", m(Meaning::RX, Meaning::LOCATOR)),
            ("Zeit (UTC)", m(Meaning::TIME, Meaning::UTC)),
            ("Empfänger", Meaning::RX),
            ("Störabstand (dB)", Meaning::SNR),
            ("Sendeleistung (dBm)", m(Meaning::TX, Meaning::POWER)),
            ("Standort Sender", m(Meaning::TX, Meaning::LOCATOR)),
            ("Rauschabstand dB", Meaning::SNR),
            ("heure UTC", m(Meaning::TIME, Meaning::UTC)),
            ("émetteur", Meaning::TX),
            ("récepteur", Meaning::RX),
            ("fréquence MHz", Meaning::FREQ),
            ("rapport signal/bruit dB", Meaning::SNR),
            ("dérive", Meaning::DRIFT),
            ("puissance dBm", Meaning::POWER),
            ("locator récepteur", m(Meaning::RX, Meaning::LOCATOR)),
            ("frecuencia", Meaning::FREQ),
            ("częstotliwość", Meaning::FREQ),
            ("nadajnik", Meaning::TX),
            ("odbiornik", Meaning::RX),
            ("Loc-T", m(Meaning::TX, Meaning::LOCATOR)),
            ("Loc-R", m(Meaning::RX, Meaning::LOCATOR)),
            ("MHz", Meaning::FREQ),
            ("dB", Meaning::SNR),
            ("dBm", Meaning::POWER),
            ("heard by", Meaning::RX),
            ("txLoc", m(Meaning::TX, Meaning::LOCATOR)),
            ("rx_call", m(Meaning::RX, Meaning::CALL)),
            ("txlocator", m(Meaning::TX, Meaning::LOCATOR)),
            ("call", Meaning::CALL),
            ("distance (mi)", Meaning::DISTANCE),
            ("azimuth", Meaning::AZIMUTH),
            ("remarks", Meaning::OTHER),
            ("__proto__", Meaning::NONE),
            ("constructor", Meaning::NONE),
            ("hasOwnProperty", Meaning::NONE),
            ("local time", m(Meaning::TIME, Meaning::LOCAL)),
            ("heure locale", m(Meaning::TIME, Meaning::LOCAL)),
            ("band", Meaning::BAND),
        ] {
            assert_eq!(read(header, "").meaning, meaning, "{header}");
        }
    }

    #[test]
    fn units_and_offsets() {
        assert_eq!(read("frequency kHz", "").freq_unit, Some(FreqUnit::KHz));
        assert_eq!(read("frequency", "MHz").freq_unit, Some(FreqUnit::MHz));
        assert_eq!(read("Leistung W", "").power_unit, Some(PowerUnit::W));
        assert_eq!(read("power (mW)", "").power_unit, Some(PowerUnit::MW));
        assert_eq!(read("distance (mi)", "").length_unit, Some(LengthUnit::Mi));
        assert_eq!(read("time (UTC+2)", "").utc_offset_s, Some(7200));
        assert_eq!(read("local time -05:00", "").utc_offset_s, Some(-18_000));
        assert_eq!(read("Zeit (MEZ)", "").utc_offset_s, Some(3600));
        assert_eq!(read("UTC+2 time", "").utc_offset_s, Some(7200));
        assert_eq!(read("GMT+05:30 time", "").utc_offset_s, Some(19_800));
        assert_eq!(read("EST", "").utc_offset_s, Some(-18_000));
        assert_eq!(read("time UTC", "").utc_offset_s, None);
        for local in ["time CET/CEST", "Time (Europe/Berlin)", "time BST", "heure l\u{e9}gale", "Eastern Time"] {
            let header = read(local, "");
            assert!(header.meaning.has(Meaning::LOCAL) && header.utc_offset_s.is_none(), "{local}");
        }
        assert!(!read("date/time", "").meaning.has(Meaning::LOCAL));
        assert!(!read("Date/Time UTC", "").meaning.has(Meaning::LOCAL));
        assert_eq!(read("date-time", "").utc_offset_s, None);
    }
}
