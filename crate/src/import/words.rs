//! The words of import: what a column is, what a file is, what went wrong.
//!
//! Each enum has one word per value, used alike in the JSON of the readout, in saved corrections and in tests.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::code_page::CodePage;

/// Declares an enum whose values have one fixed word each.
macro_rules! words {
    ($(#[$doc:meta])* pub enum $name:ident { $($(#[$value_doc:meta])* $value:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[$value_doc])* $value,)+
        }

        impl $name {
            /// Every value, in the order declared.
            pub const ALL: &'static [Self] = &[$(Self::$value,)+];

            /// The fixed word for this value.
            pub const fn as_str(self) -> &'static str {
                match self {
                    $(Self::$value => $word,)+
                }
            }

            /// The value of a word, or `None` for any other text.
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|value| value.as_str() == word)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.as_str())
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let word = String::deserialize(deserializer)?;
                Self::from_word(&word)
                    .ok_or_else(|| D::Error::custom(format!("'{word}' is no word for {}", stringify!($name))))
            }
        }
    };
}

words! {
    /// What a file was packed in.
    pub enum Container {
        /// RFC 1952, one member or several.
        Gzip = "gzip",
        /// A zip archive (PKWARE APPNOTE).
        Zip = "zip",
    }
}

words! {
    /// What kind of text a file is.
    pub enum Format {
        /// Rows of cells: delimited, barred or aligned text.
        Delimited = "delimited",
        /// Amateur Data Interchange Format, in either of its flavours: tagged text (ADI) or XML (ADX).
        Adif = "adif",
    }
}

words! {
    /// What a column holds.
    pub enum Role {
        /// Date and time of day in one cell.
        Time = "time",
        /// Date alone.
        Date = "date",
        /// Time of day alone.
        TimeOfDay = "time_of_day",
        /// Call of the station that transmitted.
        Tx = "tx",
        /// Call of the station that heard it.
        Rx = "rx",
        /// Locator of the transmitting station.
        TxLoc = "tx_loc",
        /// Locator of the hearing station.
        RxLoc = "rx_loc",
        /// Frequency.
        Freq = "freq",
        /// Band by name.
        Band = "band",
        /// SNR in dB.
        Snr = "snr",
        /// Drift in Hz per minute.
        Drift = "drift",
        /// Transmitter power.
        Power = "power",
        /// Distance as the file has it; recognised, never used.
        Distance = "distance",
        /// Azimuth as the file has it; recognised, never used.
        Azimuth = "azimuth",
        /// Nothing that makes a spot: remarks, mode, numbers of rows.
        Ignore = "ignore",
    }
}

words! {
    /// Why a row was set aside.
    pub enum Reason {
        /// The time cannot be read or does not exist.
        BadTime = "bad-time",
        /// The date can be read in two ways and the column does not decide.
        DateAmbiguous = "date-ambiguous",
        /// The time carries a zone word that stands for several zones.
        ZoneAmbiguous = "zone-ambiguous",
        /// The cell of the transmitting station is empty.
        NoTx = "no-tx",
        /// The cell of the hearing station is empty.
        NoRx = "no-rx",
        /// A cell where a call is expected holds something else.
        NotACall = "not-a-call",
        /// A call that a spreadsheet turned into a number, a date or an error sign.
        CallDamaged = "call-damaged",
        /// The call was never resolved from its hash.
        CallUnresolved = "call-unresolved",
        /// More cells than columns, so that cells stand under wrong headers.
        TooManyColumns = "too-many-columns",
        /// The row has fewer cells than the table, and what it has stands under wrong headers.
        TooFewColumns = "too-few-columns",
        /// The file ends in the middle of this line.
        CutLine = "cut-line",
        /// A line that is no row of the table, such as a total.
        NotASpot = "not-a-spot",
    }
}

words! {
    /// What a person should know about how a file was read.
    pub enum NoteKind {
        /// No zone is given: taken as UTC, the custom of the trade.
        UtcAssumed = "utc-assumed",
        /// Which station is tested was found from all files together.
        StationAssumed = "station-assumed",
        /// The tested station names several places.
        StationMoved = "station-moved",
        /// The control beacon that was asked for cannot be used.
        ControlAbsent = "control-absent",
        /// The station asked for is in none of the spots.
        StationAbsent = "station-absent",
        /// There is no header line.
        NoHeader = "no-header",
        /// Which station transmitted is not said in the file.
        RolesAssumed = "roles-assumed",
        /// The order of day, month and year, as the column decides it.
        DateOrder = "date-order",
        /// The order of day, month and year is open and was assumed.
        DateOrderAssumed = "date-order-assumed",
        /// No one order fits the dates of the column.
        DateOrderMixed = "date-order-mixed",
        /// Times are in an unusual form, or in several.
        TimeForm = "time-form",
        /// Times are local and the zone is not in the file.
        TimeZoneUnknown = "time-zone-unknown",
        /// Times with an offset were turned into UTC.
        OffsetsConverted = "offsets-converted",
        /// The bytes are not UTF-8 and the encoding was inferred.
        EncodingAssumed = "encoding-assumed",
        /// A first line that only names the delimiter.
        SepLine = "sep-line",
        /// Lines outside the table: comments, titles, rules.
        LinesSkipped = "lines-skipped",
        /// The header line occurs again among the rows.
        RepeatedHeader = "repeated-header",
        /// A quote that is never closed was taken as text.
        BadQuote = "bad-quote",
        /// The file ends in the middle of a line.
        CutLine = "cut-line",
        /// NUL characters were taken out.
        NulRemoved = "nul-removed",
        /// The unit of frequencies, as the column decides it.
        FrequencyUnit = "frequency-unit",
        /// Frequencies of one column are in several units.
        FrequencyUnitsMixed = "frequency-units-mixed",
        /// Cells with a frequency that cannot be read.
        FrequencyUnreadable = "frequency-unreadable",
        /// Rows whose band column and frequency disagree.
        BandFrequencyDisagree = "band-frequency-disagree",
        /// The unit of power is not in the file and was assumed.
        PowerUnitAssumed = "power-unit-assumed",
        /// Cells with a power that cannot be read.
        PowerUnreadable = "power-unreadable",
        /// Cells with an SNR that cannot be read.
        SnrUnreadable = "snr-unreadable",
        /// No SNR is negative, as if they had lost their signs.
        SnrUnsigned = "snr-unsigned",
        /// The unit of the file's own distances.
        DistanceColumnUnit = "distance-column-unit",
        /// Cells without a locator.
        LocatorMissing = "locator-missing",
        /// Cells with something that is no whole locator.
        LocatorUnreadable = "locator-unreadable",
        /// Angle brackets around calls were taken away.
        CallBracketsRemoved = "call-brackets-removed",
        /// Calls written with other characters than A-Z, 0-9 and / were put right.
        CallChanged = "call-changed",
        /// Exact repeats that count once.
        DuplicatesDropped = "duplicates-dropped",
        /// The gzip file ends too early or is damaged inside.
        GzipCut = "gzip-cut",
        /// The check sum of the gzip file is wrong.
        GzipChecksum = "gzip-checksum",
        /// Members of an archive that hold no table.
        ZipMembersLeftOut = "zip-members-left-out",
        /// The end of the ADIF header is missing.
        AdifNoEoh = "adif-no-eoh",
        /// The end of ADIF records before the last is missing.
        AdifNoEor = "adif-no-eor",
        /// The end of the last ADIF record is missing.
        AdifNoLastEor = "adif-no-last-eor",
        /// ADIF lengths that do not fit their values.
        AdifLength = "adif-length",
        /// Which of the two reports of a two-way contact is shown.
        AdifDirection = "adif-direction",
    }
}

words! {
    /// Why a file gives no spots at all.
    pub enum ErrorKind {
        /// No bytes, or only blanks.
        Empty = "empty",
        /// A header and no rows, or rows none of which is a spot.
        NoRows = "no-rows",
        /// The columns that make a spot are not there.
        NoRoles = "no-roles",
        /// Times of day without any date.
        NoDate = "no-date",
        /// No time of the file can be read.
        NoUsableTime = "no-usable-time",
        /// A web page.
        Html = "html",
        /// A spreadsheet workbook.
        Workbook = "workbook",
        /// Not text.
        Binary = "binary",
        /// XML that is neither a web page nor ADX, or ADX that cannot be read.
        Adx = "adx",
        /// An archive without a table.
        NoTableInZip = "no-table-in-zip",
        /// An archive with a password.
        ZipEncrypted = "zip-encrypted",
        /// More than can be held.
        TooLarge = "too-large",
        /// Dates in two orders, and every row depends on it.
        DateOrderMixed = "date-order-mixed",
        /// It could not be opened: nothing of it was seen.
        Unreadable = "unreadable",
    }
}

words! {
    /// Order of day, month and year in dates written as numbers.
    pub enum DateOrder {
        /// 13/04/2024.
        DayFirst = "day-first",
        /// 04/13/2024.
        MonthFirst = "month-first",
        /// 2024/04/13.
        YearFirst = "year-first",
    }
}

words! {
    /// Unit of a frequency.
    pub enum FreqUnit {
        /// Hertz.
        Hz = "Hz",
        /// Kilohertz.
        KHz = "kHz",
        /// Megahertz.
        MHz = "MHz",
        /// Gigahertz.
        GHz = "GHz",
    }
}

words! {
    /// Unit of a power.
    pub enum PowerUnit {
        /// Decibels above a milliwatt.
        Dbm = "dBm",
        /// Decibels above a watt.
        Dbw = "dBW",
        /// Watts.
        W = "W",
        /// Milliwatts.
        MW = "mW",
        /// Kilowatts.
        KW = "kW",
    }
}

words! {
    /// Mark before the decimals of a number.
    pub enum DecimalMark {
        /// 14.0971.
        Point = ".",
        /// 14,0971.
        Comma = ",",
    }
}

words! {
    /// What is known of the zone of a file's times.
    pub enum Zone {
        /// The file says UTC, or gives each time its offset.
        Stated = "stated",
        /// Nothing is said: taken as UTC.
        AssumedUtc = "assumed-utc",
        /// Local time of an unknown place: shown as written, not UTC.
        Unknown = "unknown",
        /// As the person chose.
        Chosen = "chosen",
    }
}

words! {
    /// Which report of a two-way contact is shown.
    pub enum Report {
        /// How the logging station heard the other.
        Given = "given",
        /// How the other heard the logging station.
        Received = "received",
        /// Both, as two spots.
        Both = "both",
    }
}

impl FreqUnit {
    /// Hz in one of it.
    pub const fn hz(self) -> f64 {
        match self {
            Self::Hz => 1.0,
            Self::KHz => 1e3,
            Self::MHz => 1e6,
            Self::GHz => 1e9,
        }
    }
}

/// How a file's bytes become characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8 (or plain ASCII).
    Utf8,
    /// UTF-8 behind a byte order mark.
    Utf8Bom,
    /// UTF-16, little end first.
    Utf16Le,
    /// UTF-16, big end first.
    Utf16Be,
    /// One of the older code pages.
    Legacy(CodePage),
}

impl Encoding {
    /// Its name: `utf-8`, `utf-8-bom`, `utf-16le`, `utf-16be`, `windows-1252`, ...
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Utf8 => "utf-8",
            Self::Utf8Bom => "utf-8-bom",
            Self::Utf16Le => "utf-16le",
            Self::Utf16Be => "utf-16be",
            Self::Legacy(page) => page.name(),
        }
    }

    /// The encoding of a name as [`Encoding::as_str`] gives it, letter case free, or `None`.
    pub fn from_word(word: &str) -> Option<Self> {
        let plain = [Self::Utf8, Self::Utf8Bom, Self::Utf16Le, Self::Utf16Be];
        let named = plain.into_iter().find(|encoding| encoding.as_str().eq_ignore_ascii_case(word));
        named.or_else(|| CodePage::of_name(word).map(Self::Legacy))
    }
}

/// What separates the cells of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Delimiter {
    /// One character: comma, semicolon, tab, bar or what the file's own `sep=` line names.
    Char(u8),
    /// Blanks: columns stand under each other, or words are simply apart.
    Aligned,
}

impl Delimiter {
    /// `,` `;` tab `|` ... or `space-aligned`.
    pub fn as_str(self) -> &'static str {
        /// Every ASCII character, so that any of them can be lent as text.
        const ASCII: &str = "\0\x01\x02\x03\x04\x05\x06\x07\x08\t\n\x0b\x0c\r\x0e\x0f\x10\x11\x12\x13\x14\x15\x16\x17\
            \x18\x19\x1a\x1b\x1c\x1d\x1e\x1f !\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`\
            abcdefghijklmnopqrstuvwxyz{|}~\x7f";
        match self {
            Self::Char(byte) => ASCII.get(usize::from(byte)..=usize::from(byte)).unwrap_or(","),
            Self::Aligned => "space-aligned",
        }
    }

    /// The delimiter of a word: one ASCII character, or `space-aligned`.
    pub fn from_word(word: &str) -> Option<Self> {
        match word.as_bytes() {
            b"space-aligned" => Some(Self::Aligned),
            &[byte] if byte.is_ascii() && !matches!(byte, b'\n' | b'\r' | b'"') => Some(Self::Char(byte)),
            _ => None,
        }
    }
}

/// Serialises by word.
macro_rules! by_word {
    ($name:ident) => {
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.as_str())
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let word = String::deserialize(deserializer)?;
                Self::from_word(&word)
                    .ok_or_else(|| D::Error::custom(format!("'{word}' is no word for {}", stringify!($name))))
            }
        }
    };
}
by_word!(Encoding);
by_word!(Delimiter);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_leads_back_to_its_value() {
        for &role in Role::ALL {
            assert_eq!(Role::from_word(role.as_str()), Some(role));
        }
        for word in [",", ";", "\t", "|", "^", "space-aligned"] {
            assert_eq!(Delimiter::from_word(word).map(Delimiter::as_str), Some(word));
        }
        for word in ["utf-8", "utf-8-bom", "utf-16le", "utf-16be", "windows-1252", "windows-1250", "koi8-r"] {
            assert_eq!(Encoding::from_word(word).unwrap().as_str().to_ascii_lowercase(), word);
        }
        assert_eq!(Delimiter::from_word("\n"), None);
        assert_eq!(Encoding::from_word("no such thing"), None);
    }
}
