//! Laws that hold for every place, tried on places drawn at random from a fixed seed and on the trying ones.

#![allow(clippy::panic, clippy::unwrap_used, clippy::float_cmp, reason = "a test stops at the first broken law")]

use farheard::geography::{
    Azimuthal, Disc, Geodesic, HomeView, Locator, MapLine, MapPoint, OPPOSITE_KM, Position, SphericalAzimuthal,
    is_land, land,
};

/// A generator of fixed sequence: G. L. Steele, D. Lea and C. H. Flood,
/// 'Fast splittable pseudorandom number generators', OOPSLA (2014), figure 16.
struct Draw(u64);

impl Draw {
    /// A number from 0 up to 1.
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// Anywhere, all areas alike.
    fn place(&mut self) -> Position {
        Position { lat_deg: self.between(-1.0, 1.0).asin().to_degrees(), lon_deg: self.between(-180.0, 180.0) }
    }
}

/// Poles, the 180th meridian, the equator; land and sea at home and opposite; on a coast; in a hole of the land.
const TRYING: [(f64, f64); 16] = [
    (90.0, 0.0),
    (-90.0, 0.0),
    (90.0, -180.0),
    (0.0, 0.0),
    (0.0, 180.0),
    (0.0, -180.0),
    (67.0, 180.0),
    (-16.5, -180.0),
    (-85.0, 179.99),
    (-41.0, 174.0),
    (40.0, -4.0),
    (-40.0, 176.0),
    (42.0, 50.5),
    (89.999, 33.0),
    (-0.001, 90.0),
    (36.0, -5.6),
];

fn homes(seed: u64, random: usize) -> Vec<Position> {
    let mut draw = Draw(seed);
    let trying = TRYING.iter().map(|&(lat_deg, lon_deg)| Position { lat_deg, lon_deg });
    trying.chain((0..random).map(|_| draw.place())).collect()
}

fn apart_km(a: Position, b: Position) -> f64 {
    Geodesic::wgs84().path(a, b).distance_km
}

#[test]
fn a_locator_round_trips() {
    for place in homes(1, 3000) {
        for chars in [2, 4, 6, 8, 10] {
            let locator = Locator::of_position(place, chars);
            let text = locator.to_string();
            assert_eq!(text.len(), chars);
            for text in [text.clone(), text.to_uppercase(), text.to_lowercase()] {
                assert_eq!(Locator::parse(&text), Ok(locator));
            }
            assert_eq!(Locator::of_position(locator.centre(), chars), locator);
            assert_eq!(Locator::of_position(locator.south_west(), chars), locator, "south and west edges belong to it");
            let (height, width) = locator.size_deg();
            let (centre, grace) = (locator.centre(), 1e-9);
            assert!((place.lat_deg - centre.lat_deg).abs() <= height / 2.0 + grace, "{place:?} in {locator}");
            let lon = (place.lon_deg - centre.lon_deg + 180.0).rem_euclid(360.0) - 180.0;
            assert!(lon.abs() <= width / 2.0 + grace, "{place:?} in {locator}");
            assert!(apart_km(place, centre) <= locator.uncertainty_km() + 1e-6, "{place:?} in {locator}");
            assert!(Locator::of_position(place, 2).holds(locator));
            assert_eq!(Locator::of_position(place, 10).shortened(chars), locator);
        }
    }
}

#[test]
fn going_the_distance_on_the_bearing_arrives() {
    let (geodesic, mut draw) = (Geodesic::wgs84(), Draw(2));
    for from in homes(3, 300) {
        for to in (0..10).map(|_| draw.place()).chain(homes(4, 0)) {
            let path = geodesic.path(from, to);
            assert!((0.0..=OPPOSITE_KM + 1e-9).contains(&path.distance_km), "{from:?} {to:?} {path:?}");
            if let (Some(bearing), Some(back)) = (path.bearing_deg, path.back_bearing_deg) {
                assert!((0.0..360.0).contains(&bearing) && (0.0..360.0).contains(&back));
                assert!(apart_km(geodesic.destination(from, bearing, path.distance_km), to) < 1e-6, "{from:?} {to:?}");
                assert!(apart_km(geodesic.destination(to, back, path.distance_km), from) < 1e-6, "{from:?} {to:?}");
            } else {
                assert!(path.distance_km < 1e-6 || path.distance_km > OPPOSITE_KM - 1e-6, "{from:?} {to:?} {path:?}");
            }
        }
    }
}

#[test]
fn the_map_leads_back_to_the_place() {
    let mut draw = Draw(5);
    for home in homes(6, 200) {
        let (exact, sphere) = (Azimuthal::new(home), SphericalAzimuthal::new(home));
        for place in (0..20).map(|_| draw.place()).chain(homes(7, 0)) {
            if let Some(point) = exact.forward(place) {
                assert!(apart_km(exact.inverse(point).unwrap(), place) < 1e-6, "{home:?} {place:?} {point:?}");
            }
            if let Some(point) = sphere.forward(place) {
                assert!(apart_km(sphere.inverse(point).unwrap(), place) < 1e-6, "{home:?} {place:?} {point:?}");
            }
        }
        for _ in 0..20 {
            // beyond 19 900 km several points name one place on the ellipsoid
            let point = MapPoint::at(draw.between(0.0, 19_900.0), draw.between(0.0, 360.0));
            let same = |found: MapPoint| (found.east_km - point.east_km).hypot(found.north_km - point.north_km) < 1e-6;
            assert!(same(exact.forward(exact.inverse(point).unwrap()).unwrap()), "{home:?} {point:?}");
            assert!(same(sphere.forward(sphere.inverse(point).unwrap()).unwrap()), "{home:?} {point:?}");
        }
    }
}

#[test]
fn home_opposite_and_beyond_are_declared() {
    for home in homes(8, 100) {
        let (exact, sphere) = (Azimuthal::new(home), SphericalAzimuthal::new(home));
        let middle = MapPoint { east_km: 0.0, north_km: 0.0 };
        assert_eq!(exact.forward(home), Some(middle));
        assert!(sphere.forward(home).unwrap().distance_km() < 1e-9);
        assert!(apart_km(exact.inverse(middle).unwrap(), home) < 1e-9);
        let opposite = Position { lat_deg: -home.lat_deg, lon_deg: home.lon_deg + 180.0 };
        assert_eq!((exact.forward(opposite), sphere.forward(opposite)), (None, None), "{home:?}");
        let far = MapPoint::at(20_016.0, 77.0);
        assert_eq!((exact.inverse(far), sphere.inverse(far)), (None, None));
        let none = MapPoint { east_km: f64::NAN, north_km: 1.0 };
        assert_eq!((exact.inverse(none), sphere.inverse(none)), (None, None));
    }
}

#[test]
fn the_sphere_is_off_by_no_more_than_documented() {
    let mut draw = Draw(9);
    for home in homes(10, 100) {
        let (exact, sphere) = (Azimuthal::new(home), SphericalAzimuthal::new(home));
        for place in (0..50).map(|_| draw.place()) {
            let (Some(true_point), Some(point)) = (exact.forward(place), sphere.forward(place)) else { continue };
            let distance_km = true_point.distance_km();
            if distance_km < 19_000.0 {
                let most_deg = if distance_km < 16_500.0 { 0.5 } else { 2.0 };
                assert!((point.distance_km() - distance_km).abs() < 0.006 * distance_km, "{home:?} {place:?}");
                let turned = (point.bearing_deg() - true_point.bearing_deg() + 180.0).rem_euclid(360.0) - 180.0;
                assert!(turned.abs() < most_deg, "{home:?} {place:?}: {turned}");
            }
        }
    }
}

#[test]
fn coasts_lie_where_stations_lie() {
    let mut draw = Draw(18);
    for home in homes(19, 100) {
        let (exact, view) = (Azimuthal::new(home), HomeView::new(home));
        for at in 0..100 {
            // half of them far away, where it is hard
            let far = if at % 2 == 0 { 0.0 } else { 15_000.0 };
            let point = MapPoint::at(draw.between(far, 19_700.0), draw.between(0.0, 360.0));
            let [east, north, up] = view.seen(exact.inverse(point).unwrap().reduced_direction());
            let distance_km = east.hypot(north).atan2(up) / std::f64::consts::PI * OPPOSITE_KM;
            let found = MapPoint::at(distance_km, east.atan2(north).to_degrees());
            let aside_km = (found.east_km - point.east_km).hypot(found.north_km - point.north_km);
            assert!(
                aside_km < if point.distance_km() < 15_000.0 { 1.0 } else { 10.0 },
                "{home:?} {point:?} {aside_km}"
            );
        }
        for _ in 0..100 {
            // one to one out to the rim, where the exact map is not
            let (angle, bearing) = (std::f64::consts::PI * draw.share().sqrt(), draw.between(-3.1, 3.1));
            let [east, north, up] = view.seen(view.place(angle, bearing));
            assert!((east.hypot(north).atan2(up) - angle).abs() < 2e-4, "{home:?} {angle} {bearing}");
            let aside = (east.atan2(north) - bearing).sin() * angle.sin();
            assert!(aside.abs() < 2e-4, "{home:?} {angle} {bearing} {aside}"); // 1.3 km, as above
        }
        let [east, north, up] = view.seen(home.reduced_direction());
        assert!(east.hypot(north) < 1e-12 && (up - 1.0).abs() < 1e-12);
    }
}

const EXTENTS_KM: [f64; 7] = [150.0, 500.0, 2000.0, 8000.0, 16_000.0, 20_000.0, OPPOSITE_KM];

#[test]
fn land_stays_within_the_extent_and_is_finite() {
    for home in homes(11, 24) {
        for extent_km in EXTENTS_KM {
            let drawn = land(home, extent_km);
            for line in drawn.fill.iter().chain(&drawn.coast) {
                assert!(line.len() > 1, "{home:?} {extent_km}");
                for point in line {
                    // also false for what is not a number
                    assert!(point[0].hypot(point[1]) <= extent_km * (1.0 + 1e-12), "{home:?} {extent_km} {point:?}");
                }
            }
            assert!(drawn.fill.iter().all(|ring| ring.len() > 2), "{home:?} {extent_km}");
        }
    }
}

#[test]
fn no_streak_and_no_rim_is_stroked() {
    for home in homes(12, 24) {
        for extent_km in EXTENTS_KM {
            let on_rim = |p: [f64; 2]| p[0].hypot(p[1]) > extent_km * (1.0 - 1e-12);
            for line in land(home, extent_km).coast {
                let last = line.len() - 1;
                let closed = line[0] == line[last];
                for (at, pair) in line.windows(2).enumerate() {
                    let length_km = (pair[0][0] - pair[1][0]).hypot(pair[0][1] - pair[1][1]);
                    assert!(length_km < 0.27 * extent_km, "{home:?} {extent_km} {pair:?}");
                    // a line touches the rim with its two ends only
                    assert!(at == 0 || !on_rim(pair[0]), "{home:?} {extent_km} {pair:?}");
                }
                assert_eq!(closed, !on_rim(line[0]), "{home:?} {extent_km}: an open line starts at the rim");
                assert_eq!(closed, !on_rim(line[last]), "{home:?} {extent_km}: an open line ends at the rim");
            }
        }
    }
}

/// Does a point lie within an odd number of rings?
fn filled(rings: &[MapLine], point: [f64; 2]) -> bool {
    let mut inside = false;
    for ring in rings {
        let mut before = ring[ring.len() - 1];
        for &now in ring {
            if (now[1] > point[1]) != (before[1] > point[1]) {
                let x = now[0] + (point[1] - now[1]) * (before[0] - now[0]) / (before[1] - now[1]);
                inside ^= x > point[0];
            }
            before = now;
        }
    }
    inside
}

#[test]
fn what_is_filled_is_land() {
    let mut draw = Draw(13);
    let (mut on_land, mut at_sea) = (0, 0);
    for home in homes(14, 8) {
        let map = Azimuthal::new(home);
        for extent_km in EXTENTS_KM {
            let rings = land(home, extent_km).fill;
            for _ in 0..8 {
                // the exact map is not one to one beyond 19 700 km
                let distance_km = (extent_km * draw.share().sqrt() * 0.999).min(19_700.0);
                let point = MapPoint::at(distance_km, draw.between(0.0, 360.0));
                let place = map.inverse(point).unwrap();
                let expected = is_land(place);
                // lines are simplified to a thousandth of the extent: ask only where no coast is near
                let around = SphericalAzimuthal::new(place);
                let near = (0..12).any(|step| {
                    let ring = f64::from(1 + step / 6);
                    let there = around.inverse(MapPoint::at(1.5 * ring * extent_km / 1000.0, 60.0 * f64::from(step)));
                    is_land(there.unwrap()) != expected
                });
                if near {
                    continue;
                }
                *if expected { &mut on_land } else { &mut at_sea } += 1;
                assert_eq!(filled(&rings, [point.east_km, point.north_km]), expected, "{home:?} {extent_km} {place:?}");
            }
        }
    }
    assert!(on_land > 200 && at_sea > 400, "both were met: {on_land} {at_sea}");
}

#[test]
fn land_at_every_rim_and_everywhere() {
    // the opposite of each lies well inland or far off shore: the rim itself is land, or none of it is
    let rim = |lat_deg: f64, lon_deg: f64| {
        let drawn = land(Position { lat_deg, lon_deg }, OPPOSITE_KM);
        [0.0_f64, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0].map(|bearing| {
            let out = OPPOSITE_KM * 0.9995;
            filled(&drawn.fill, [out * bearing.sin(), out * bearing.cos()])
        })
    };
    assert_eq!(rim(-40.0, 176.0), [true; 7], "opposite lies Spain");
    assert_eq!(rim(90.0, 0.0), [true; 7], "opposite lies Antarctica");
    assert_eq!(rim(38.7, -9.1), [false; 7], "opposite lies the Tasman Sea");
    assert_eq!(rim(-90.0, 0.0), [false; 7], "opposite lies the Arctic Ocean");
    // the whole disc land, or none of it
    let inland = land(Position { lat_deg: 48.0, lon_deg: 67.0 }, 150.0);
    assert_eq!((inland.fill.len(), inland.coast.len()), (1, 0));
    assert!(filled(&inland.fill, [149.0, 0.0]));
    assert_eq!(land(Position { lat_deg: -10.0, lon_deg: -120.0 }, 150.0).fill.len(), 0);
}

#[test]
fn nothing_is_drawn_for_no_extent_or_no_number() {
    let home = Position { lat_deg: 50.0, lon_deg: 10.0 };
    for extent_km in [0.0, -5.0, f64::NAN, f64::NEG_INFINITY] {
        assert!(land(home, extent_km).fill.is_empty());
    }
    assert!(land(Position { lat_deg: f64::NAN, ..home }, 500.0).fill.is_empty());
    assert_eq!(land(home, f64::INFINITY), land(home, OPPOSITE_KM), "there is no more than the whole earth");
}

/// Area by the even-odd rule of rings that do not overlap, in km2.
fn area_km2(rings: &[MapLine]) -> f64 {
    let ring_area = |ring: &MapLine| {
        let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
        pairs.map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>().abs() / 2.0
    };
    rings.iter().map(ring_area).sum()
}

#[test]
fn a_cap_around_home_is_nearly_a_circle() {
    for home in homes(15, 20) {
        let disc = Disc::new(home, 8000.0).unwrap();
        let cap = disc.cap(home, 36.0);
        // a tenth of half around; plumb lines on the ellipsoid turn up to 0.6 % slower or faster than on a sphere
        let circle_km2 = std::f64::consts::PI * (OPPOSITE_KM / 5.0).powi(2);
        assert!((area_km2(&cap.fill) / circle_km2 - 1.0).abs() < 0.013, "{home:?}");
        assert_eq!((cap.fill.len(), cap.edge.len()), (1, 1));
        // wider than the disc: all of it, and no edge
        let all = disc.cap(home, 90.0);
        assert_eq!((all.fill.len(), all.edge.len()), (1, 0));
        let disc_km2 = std::f64::consts::PI * 8000.0 * 8000.0;
        assert!((area_km2(&all.fill) / disc_km2 - 1.0).abs() < 1e-3);
        assert_eq!(disc.cap(home, 0.0).fill.len(), 0);
        assert_eq!(disc.cap(home, 180.0).fill, all.fill);
    }
}

#[test]
fn the_edge_of_a_cap_lies_at_its_angle() {
    let mut draw = Draw(16);
    let mut met = 0;
    for home in homes(17, 40) {
        let map = Azimuthal::new(home);
        for extent_km in [500.0, 5000.0, 15_000.0] {
            // through or near home, so that there is an edge in every disc
            let angle_deg = draw.between(20.0, 160.0);
            let off_deg = angle_deg + draw.between(-1.5, 1.5);
            let sphere = SphericalAzimuthal::new(home);
            let towards = MapPoint::at(6371.0088 * off_deg.to_radians(), draw.between(0.0, 360.0));
            let centre = sphere.inverse(towards).unwrap();
            let cap = Disc::new(home, extent_km).unwrap().cap(centre, angle_deg);
            for point in cap.edge.iter().flatten() {
                met += 1;
                let place = map.inverse(MapPoint { east_km: point[0], north_km: point[1] }).unwrap();
                let found: f64 = place.direction().iter().zip(centre.direction()).map(|(a, b)| a * b).sum();
                // drawn to a thousandth of the extent; a ring of 360 edges is 0.004 degrees off
                let tolerance = (extent_km / 1000.0 / 110.0) + 0.01;
                assert!((found.acos().to_degrees() - angle_deg).abs() < tolerance, "{home:?} {extent_km} {place:?}");
            }
            let ahead = MapPoint::at(0.9 * extent_km, towards.bearing_deg());
            let behind = MapPoint::at(0.9 * extent_km, towards.bearing_deg() + 180.0);
            for point in [ahead, behind] {
                let place = map.inverse(point).unwrap();
                let found: f64 = place.direction().iter().zip(centre.direction()).map(|(a, b)| a * b).sum();
                let held = found.acos().to_degrees() < angle_deg;
                assert_eq!(filled(&cap.fill, [point.east_km, point.north_km]), held, "{home:?} {extent_km}");
            }
        }
    }
    assert!(met > 1000, "{met}");
}
