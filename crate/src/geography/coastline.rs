//! The land of the earth, for orientation on the map: Natural Earth, made small by `coastline_maker.py`.
//!
//! Where it comes from and how the file is laid out: `coastline.md`. Good to about 5 km (15 km poleward of
//! 66 degrees); small islands near larger land are left out. Never a source of distances.

use std::sync::LazyLock;

use super::Position;
use super::clip::{Disc, MapLine};
use super::sphere::{Direction, HomeFrame, dot};

/// The land within the map's disc, in km east and km north of home.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DiscLand {
    /// Rings to fill together by the even-odd rule, out to the very rim.
    pub fill: Vec<MapLine>,
    /// Coasts to stroke as open lines; no edge of a source map, and no rim, is among them.
    pub coast: Vec<MapLine>,
}

/// The land within `extent_km` of home; for an extent of [`OPPOSITE_KM`](super::OPPOSITE_KM) or more, of the
/// whole earth. Nothing for an extent that is not positive.
pub fn land(home: Position, extent_km: f64) -> DiscLand {
    Disc::new(home, extent_km).map_or_else(DiscLand::default, |disc| {
        let area = disc.clip(&LAND, is_land);
        DiscLand { fill: area.fill, coast: area.edge }
    })
}

/// Is a place on land, as far as this coast line knows?
pub fn is_land(place: Position) -> bool {
    // crossings of the meridian from the place up to the north pole, which is sea
    let reduced = Position { lat_deg: Position::of_direction(place.reduced_direction()).lat_deg, ..place };
    let frame = HomeFrame::new(reduced);
    let (sin_lat, cos_lat) = reduced.lat_deg.to_radians().sin_cos();
    let mut crossings = 0;
    for ring in LAND.iter() {
        let Some(&last) = ring.last() else { continue };
        let (mut before, mut side_before) = (last, dot(frame.east(), last));
        for &now in ring {
            let side = dot(frame.east(), now);
            if (side >= 0.0) != (side_before >= 0.0) {
                // the sign of the difference keeps the weights positive
                let sign = (side - side_before).signum();
                let at = |axis: usize| (before[axis] * side - now[axis] * side_before) * sign;
                let [_, north, up] = frame.turned([at(0), at(1), at(2)]);
                crossings += u32::from(north > 0.0 && up * cos_lat > north * sin_lat);
            }
            (before, side_before) = (now, side);
        }
    }
    crossings % 2 == 1
}

/// Steps to a degree in the file.
const STEPS_PER_DEGREE: f64 = 100.0;

/// All coasts as closed rings, holes (inland seas) among them.
static LAND: LazyLock<Vec<Vec<Direction>>> = LazyLock::new(|| {
    let degrees = |steps: i32| f64::from(steps) / STEPS_PER_DEGREE;
    let direction = |(lon, lat)| Position { lat_deg: degrees(lat), lon_deg: degrees(lon) }.reduced_direction();
    rings().into_iter().map(|ring| ring.into_iter().map(direction).collect()).collect()
});

/// All rings as the file has them: longitude (which may have gone around) and latitude in hundredths of a degree.
/// The land lies to the right of the way along a ring.
pub(super) fn rings() -> Vec<Vec<(i32, i32)>> {
    read(include_bytes!("coastline.bin"))
}

/// Reads the file as far as it is whole.
fn read(bytes: &[u8]) -> Vec<Vec<(i32, i32)>> {
    let mut numbers = Numbers(bytes.iter());
    let mut rings = Vec::new();
    while let Some(count) = numbers.next() {
        let (mut lon, mut lat) = (0, 0);
        let points = std::iter::from_fn(|| {
            lon += numbers.next()?;
            lat += numbers.next()?;
            Some((lon, lat))
        });
        rings.push(points.take(usize::try_from(count).unwrap_or(0)).collect());
    }
    rings
}

/// Integers of seven bits a byte, low bits first, the sign in the lowest bit.
pub(super) struct Numbers<'a>(pub(super) std::slice::Iter<'a, u8>);

impl Iterator for Numbers<'_> {
    type Item = i32;

    fn next(&mut self) -> Option<i32> {
        let mut value: u32 = 0;
        for shift in (0..).step_by(7) {
            let byte = *self.0.next()?;
            value |= u32::from(byte & 127).checked_shl(shift)?;
            if byte < 128 {
                break;
            }
        }
        let half = i32::try_from(value >> 1).ok()?;
        Some(if value.is_multiple_of(2) { half } else { -half - 1 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_is_whole() {
        // counts as printed by the maker, see coastline.md
        assert_eq!(LAND.len(), 945);
        assert_eq!(LAND.iter().map(Vec::len).sum::<usize>(), 19_768);
        assert!(LAND.iter().all(|ring| ring.len() > 2));
    }

    #[test]
    fn numbers_read_as_the_maker_writes_them() {
        let bytes = [0, 1, 2, 3, 0b1000_0000, 1, 0b1111_1111, 0b0111_1111];
        let numbers: Vec<i32> = Numbers(bytes.iter()).collect();
        assert_eq!(numbers, [0, -1, 1, -2, 64, -8192]);
        assert_eq!(Numbers([128].iter()).next(), None, "cut short");
    }

    #[test]
    fn edges_are_short() {
        // an edge of the map left in would run along the 180th meridian or to the pole
        for ring in LAND.iter() {
            for (at, &now) in ring.iter().enumerate() {
                let before = ring[(at + ring.len() - 1) % ring.len()];
                let angle_deg = dot(before, now).clamp(-1.0, 1.0).acos().to_degrees();
                let place = Position::of_direction(now);
                assert!(angle_deg < 4.0, "{angle_deg} degrees to {place:?}");
                let along = |p: Position| p.lon_deg.abs() > 179.99 && p.lat_deg.abs() < 89.0;
                let (p, q) = (place, Position::of_direction(before));
                assert!(!(along(p) && along(q) && (p.lat_deg - q.lat_deg).abs() > 0.06), "along 180: {p:?} {q:?}");
            }
        }
    }

    #[test]
    fn land_and_sea_where_the_atlas_has_them() {
        // positions from memory, of places tens of km inland or off shore (single islands: their middles)
        for (name, lat_deg, lon_deg) in [
            ("Iceland", 64.8, -18.5),
            ("Pico, Azores", 38.46, -28.35),
            ("Tenerife, Canaries", 28.25, -16.6),
            ("Santiago, Cape Verde", 15.07, -23.62),
            ("Hawaii", 19.6, -155.5),
            ("North Island of New Zealand", -38.8, 175.9),
            ("South Island of New Zealand", -44.0, 170.5),
            ("Madeira", 32.75, -17.0),
            ("Vanua Levu, Fiji", -16.6, 179.2),
            ("Chukotka east of 180", 66.8, -178.0),
            ("Chukotka west of 180", 67.5, 178.5),
            ("Chukotka on 180", 68.0, 180.0),
            ("south pole", -90.0, 0.0),
            ("Antarctica on 180", -85.5, -180.0),
            ("La Mancha, Spain", 39.2, -3.0),
            ("Kazakhstan", 48.0, 67.0),
            ("Kansas", 38.5, -98.0),
            ("Jamaica", 18.15, -77.3),
            ("Falklands", -51.75, -59.0),
            ("Mauritius", -20.28, 57.55),
            ("Reunion", -21.12, 55.52),
            ("Svalbard", 78.7, 16.0),
        ] {
            assert!(is_land(Position { lat_deg, lon_deg }), "{name} is land");
        }
        for (name, lat_deg, lon_deg) in [
            ("north pole", 90.0, 0.0),
            ("Gulf of Guinea", 0.0, 0.0),
            ("Caspian Sea", 42.0, 50.5),
            ("Black Sea", 43.0, 34.0),
            ("Bering Sea on 180", 60.0, 180.0),
            ("Hudson Bay", 60.0, -86.0),
            ("Baltic", 56.5, 18.8),
            ("Ross Sea", -72.0, 180.0),
            ("Pacific", -10.0, -120.0),
            ("North Sea", 56.0, 3.0),
        ] {
            assert!(!is_land(Position { lat_deg, lon_deg }), "{name} is sea");
        }
    }
}
