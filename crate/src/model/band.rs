//! Amateur bands after the Band enumeration of ADIF 3.1.7: names and edges.
//!
//! The edges are the widest anywhere in the world, not any one country's, and belong to the band.

use serde::{Serialize, Serializer};

/// A band of the ADIF enumeration, or [`Band::OTHER`] (a frequency in none of them), or [`Band::UNKNOWN`] (no frequency).
///
/// Ordered by wavelength, longest first; other and unknown come last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Band(u8);

/// Name and inclusive edges in Hz of one band.
#[derive(Clone, Copy, Debug)]
struct Edges {
    name: &'static str,
    low_hz: f64,
    high_hz: f64,
}

const fn edges(name: &'static str, low_hz: f64, high_hz: f64) -> Edges {
    Edges { name, low_hz, high_hz }
}

/// Source: the Band enumeration of ADIF 3.1.7 (adif.org), longest wave first.
const BANDS: [Edges; 33] = [
    edges("2190m", 135700.0, 137800.0),
    edges("630m", 472000.0, 479000.0),
    edges("560m", 501000.0, 504000.0),
    edges("160m", 1800000.0, 2000000.0),
    edges("80m", 3500000.0, 4000000.0),
    edges("60m", 5060000.0, 5450000.0),
    edges("40m", 7000000.0, 7300000.0),
    edges("30m", 10100000.0, 10150000.0),
    edges("20m", 14000000.0, 14350000.0),
    edges("17m", 18068000.0, 18168000.0),
    edges("15m", 21000000.0, 21450000.0),
    edges("12m", 24890000.0, 24990000.0),
    edges("10m", 28000000.0, 29700000.0),
    edges("8m", 40000000.0, 45000000.0),
    edges("6m", 50000000.0, 54000000.0),
    edges("5m", 54000001.0, 69900000.0),
    edges("4m", 70000000.0, 71000000.0),
    edges("2m", 144000000.0, 148000000.0),
    edges("1.25m", 222000000.0, 225000000.0),
    edges("70cm", 420000000.0, 450000000.0),
    edges("33cm", 902000000.0, 928000000.0),
    edges("23cm", 1240000000.0, 1300000000.0),
    edges("13cm", 2300000000.0, 2450000000.0),
    edges("9cm", 3300000000.0, 3500000000.0),
    edges("6cm", 5650000000.0, 5925000000.0),
    edges("3cm", 10000000000.0, 10500000000.0),
    edges("1.25cm", 24000000000.0, 24250000000.0),
    edges("6mm", 47000000000.0, 47200000000.0),
    edges("4mm", 75500000000.0, 81000000000.0),
    edges("2.5mm", 119980000000.0, 123000000000.0),
    edges("2mm", 134000000000.0, 149000000000.0),
    edges("1mm", 241000000000.0, 250000000000.0),
    edges("submm", 300000000000.0, 7500000000000.0),
];

impl Band {
    /// Its place in the order of wavelength, from 0.
    pub fn order(self) -> i64 {
        i64::from(self.0)
    }

    /// The band of a number that [`Band::number`] gave.
    pub(super) const fn numbered(number: u8) -> Self {
        Self(number)
    }

    /// Its number in a column.
    pub(crate) const fn number(self) -> u8 {
        self.0
    }

    /// A frequency in no amateur band.
    pub const OTHER: Self = Self(33);
    /// No frequency and no band known.
    pub const UNKNOWN: Self = Self(34);
    /// How many different values there are: for tables indexed by [`Band::index`].
    pub const COUNT: usize = 35;

    /// The band whose edges hold a frequency in Hz, else [`Band::OTHER`].
    pub fn of_hz(freq_hz: f64) -> Self {
        (0..)
            .zip(&BANDS)
            .find(|(_, b)| b.low_hz <= freq_hz && freq_hz <= b.high_hz)
            .map_or(Self::OTHER, |(i, _)| Self(i))
    }

    /// The band of an ADIF name such as `20m` or `70cm`, letter case free; also `other` and `unknown`.
    pub fn from_name(name: &str) -> Option<Self> {
        let name = name.trim();
        if name.eq_ignore_ascii_case("2200m") {
            return Some(Self(0)); // the everyday name of ADIF's 2190m
        }
        Self::all().find(|band| band.name().eq_ignore_ascii_case(name))
    }

    /// All bands in order, other and unknown last.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..35).map(Self)
    }

    /// The ADIF name, `other` or `unknown`.
    pub fn name(self) -> &'static str {
        match BANDS.get(self.index()) {
            Some(edges) => edges.name,
            None if self == Self::OTHER => "other",
            None => "unknown",
        }
    }

    /// The name with a no-break space before its unit, as pages and pictures write it: `20\u{a0}m`.
    pub fn label(self) -> String {
        let name = self.name();
        match name.find(|c: char| c.is_ascii_alphabetic()) {
            Some(at) if at > 0 => {
                let (number, unit) = name.split_at(at);
                format!("{number}\u{a0}{unit}")
            }
            _ => name.to_owned(),
        }
    }

    /// Lower and upper edge in Hz, or `None` for other and unknown.
    pub fn edges_hz(self) -> Option<(f64, f64)> {
        BANDS.get(self.index()).map(|b| (b.low_hz, b.high_hz))
    }

    /// Place in the order of wavelength, from 0, below [`Band::COUNT`].
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

impl Serialize for Band {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_belong_to_the_band() {
        assert_eq!(Band::of_hz(14_000_000.0).name(), "20m");
        assert_eq!(Band::of_hz(14_350_000.0).name(), "20m");
        assert_eq!(Band::of_hz(14_350_001.0), Band::OTHER);
        assert_eq!(Band::of_hz(54_000_000.0).name(), "6m");
    }

    #[test]
    fn names_and_labels() {
        assert_eq!(Band::from_name("20M"), Some(Band::of_hz(14_097_100.0)));
        assert_eq!(Band::from_name("2200m"), Band::from_name("2190m"));
        assert_eq!(Band::from_name("21m"), None);
        assert_eq!(Band::of_hz(14_097_100.0).label(), "20\u{a0}m");
        assert_eq!(Band::of_hz(1_296_500_000.0).label(), "23\u{a0}cm");
        assert_eq!(Band::OTHER.label(), "other");
    }
}
