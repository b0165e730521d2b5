//! Maidenhead locators: 2, 4, 6, 8 or 10 characters naming a cell of longitude and latitude.
//!
//! Longitude character first in each pair; field A-R (20 x 10 degrees), square 0-9 (2 x 1 degree),
//! subsquare A-X (5' x 2.5'), extended square 0-9 (30" x 15"), fifth pair A-X (1.25" x 0.625").
//! Counted from 180 W and 90 S. A place belongs to the cell whose south and west edges hold it.
//! Pairs 1 to 4 are the published system; the fifth is not formally fixed, and A-X is the common reading.

use std::fmt;
use std::str::FromStr;

use super::{Geodesic, Position};

/// Cells along one axis of each pair, outermost first.
const STEPS: [u32; 5] = [18, 10, 24, 10, 24];
/// Finest cells around the earth, and as many (of half the angle) from pole to pole: 18 x 10 x 24 x 10 x 24.
const FINEST: u32 = 18 * 10 * 24 * 10 * 24;
/// Share of a finest cell by which a place may miss an edge and still count as on it.
const EDGE: f64 = 1e-8;

/// A valid locator. Ordered as text in its canonical form.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Locator {
    text: [u8; 10],
    len: u8,
}

/// Why a text is no locator.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LocatorError {
    /// No characters.
    Empty,
    /// Not 2, 4, 6, 8 or 10 characters.
    Length,
    /// The character at this place (from 1) is not one that may stand there.
    Character(usize),
}

impl fmt::Display for LocatorError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "there is no locator"),
            Self::Length => write!(f, "a locator has 2, 4, 6, 8 or 10 characters"),
            Self::Character(at) => write!(f, "character {at} cannot stand there in a locator"),
        }
    }
}

impl std::error::Error for LocatorError {}

impl Locator {
    /// Reads a locator in any letter case. Blanks around it are not accepted.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str) -> Result<Self, LocatorError> {
        let bytes = text.as_bytes();
        if bytes.is_empty() {
            return Err(LocatorError::Empty);
        }
        if !text.is_ascii() {
            let at = text.chars().position(|c| !c.is_ascii()).unwrap_or(0);
            return Err(LocatorError::Character(at + 1));
        }
        if bytes.len() > 10 || bytes.len() % 2 == 1 {
            return Err(LocatorError::Length);
        }
        let mut canonical = [0; 10];
        for (at, &byte) in bytes.iter().enumerate() {
            let pair = at / 2;
            // display habit: field upper case, subsquare and fifth pair lower case
            let byte = if pair == 0 { byte.to_ascii_uppercase() } else { byte.to_ascii_lowercase() };
            canonical[at] = byte;
            if digit(byte, pair).is_none() {
                return Err(LocatorError::Character(at + 1));
            }
        }
        #[expect(clippy::cast_possible_truncation, reason = "at most 10")]
        let len = bytes.len() as u8;
        Ok(Self { text: canonical, len })
    }

    /// The locator of `chars` characters (2 to 10, even; others are taken as 6) whose cell holds a place.
    ///
    /// Longitude is wrapped into -180 up to 180; latitude 90 belongs to the topmost row.
    /// A place nearer to an edge than a hundred-millionth of a 10-character cell (under 1 micrometre) counts as on it:
    /// decimal text such as `37.1` has no exact binary form and would else fall to either side.
    pub fn of_position(place: Position, chars: usize) -> Self {
        let chars = if matches!(chars, 2 | 4 | 6 | 8 | 10) { chars } else { 6 };
        let east = (place.lon_deg + 180.0).rem_euclid(360.0) / 360.0;
        let north = ((place.lat_deg + 90.0) / 180.0).clamp(0.0, 1.0);
        let finest = |share: f64| -> u32 {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a share from 0 to 1 of a small count"
            )]
            let cell = (share * f64::from(FINEST) + EDGE).floor() as u32;
            cell
        };
        let (mut x, mut y) = (finest(east) % FINEST, finest(north).min(FINEST - 1));
        let mut text = [0; 10];
        for pair in (0..5).rev() {
            text[2 * pair] = letter(x % STEPS[pair], pair);
            text[2 * pair + 1] = letter(y % STEPS[pair], pair);
            x /= STEPS[pair];
            y /= STEPS[pair];
        }
        Self { text, len: 10 }.shortened(chars)
    }

    /// The first `chars` characters of it (an even number from 2); all of it if it is no longer than that.
    #[must_use]
    pub fn shortened(self, chars: usize) -> Self {
        let keep = (chars.max(2) & !1).min(self.len());
        let mut text = [0; 10];
        text[..keep].copy_from_slice(&self.text[..keep]);
        #[expect(clippy::cast_possible_truncation, reason = "at most 10")]
        let len = keep as u8;
        Self { text, len }
    }

    /// Does its cell hold the other's (or are they the same)?
    pub fn holds(self, other: Self) -> bool {
        other.len >= self.len && other.text[..self.len()] == self.text[..self.len()]
    }

    /// Number of characters: 2, 4, 6, 8 or 10.
    #[expect(clippy::len_without_is_empty, reason = "a locator is never empty")]
    pub fn len(self) -> usize {
        usize::from(self.len)
    }

    /// South-west corner of the cell.
    pub fn south_west(self) -> Position {
        let (x, y, per_turn) = self.cell();
        let step = 360.0 / f64::from(per_turn);
        Position { lat_deg: f64::from(y) * (step / 2.0) - 90.0, lon_deg: f64::from(x) * step - 180.0 }
    }

    /// Centre of the cell: where a station with this locator is taken to stand (common practice, no source).
    pub fn centre(self) -> Position {
        let corner = self.south_west();
        let (height, width) = self.size_deg();
        Position { lat_deg: corner.lat_deg + height / 2.0, lon_deg: corner.lon_deg + width / 2.0 }
    }

    /// Height (latitude) and width (longitude) of the cell in degrees.
    pub fn size_deg(self) -> (f64, f64) {
        let (_, _, per_turn) = self.cell();
        let width = 360.0 / f64::from(per_turn);
        (width / 2.0, width)
    }

    /// Distance in km from the centre to the farthest corner: how far off the station may be at most.
    pub fn uncertainty_km(self) -> f64 {
        let (south_west, centre) = (self.south_west(), self.centre());
        let (height, _) = self.size_deg();
        // east and west corners are alike; the farther is the one nearer the equator
        let north_west = Position { lat_deg: south_west.lat_deg + height, ..south_west };
        let geodesic = Geodesic::wgs84();
        let to = |corner| geodesic.path(centre, corner).distance_km;
        to(south_west).max(to(north_west))
    }

    /// Column, row and columns around the earth, of the cell at its own level.
    fn cell(self) -> (u32, u32, u32) {
        let mut cell = (0, 0, 1);
        for (pair, steps) in STEPS.iter().enumerate().take(self.len() / 2) {
            let place = |at: usize| digit(self.text[at], pair).unwrap_or(0);
            cell = (cell.0 * steps + place(2 * pair), cell.1 * steps + place(2 * pair + 1), cell.2 * steps);
        }
        cell
    }
}

/// Value of a character in a pair, or `None` if it cannot stand there.
fn digit(byte: u8, pair: usize) -> Option<u32> {
    let zero = if pair % 2 == 1 { b'0' } else { b'A' };
    let value = u32::from(byte.to_ascii_uppercase().checked_sub(zero)?);
    (value < STEPS[pair]).then_some(value)
}

/// Character of a value in a pair, in canonical case.
fn letter(value: u32, pair: usize) -> u8 {
    let zero = match pair {
        0 => b'A',
        1 | 3 => b'0',
        _ => b'a',
    };
    #[expect(clippy::cast_possible_truncation, reason = "below 24")]
    let offset = value as u8;
    zero + offset
}

impl fmt::Display for Locator {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(str::from_utf8(&self.text[..self.len()]).unwrap_or_default())
    }
}

impl fmt::Debug for Locator {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for Locator {
    type Err = LocatorError;

    fn from_str(text: &str) -> Result<Self, LocatorError> {
        Self::parse(text)
    }
}
