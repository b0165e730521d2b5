//! Borders and coasts as short edges that know what lies on either side, kept by latitude.
//!
//! Coasts are those of `coastline.bin`; whose they are, and all else, comes from `places.bin` (see `places.md`).

use super::Position;
use super::coastline::{self, Numbers};

/// A country's ground on one continent, as numbered in `places.bin`; 0 is the sea.
pub(super) type Ground = u8;

/// Length of a degree of latitude in km (`MEAN_RADIUS_KM` x pi / 180).
pub(super) const KM_PER_DEGREE: f64 = 111.195;
/// Steps to a degree of an edge, and of the longitudes and latitudes in the file.
const STEPS: i32 = 100;
const FILE_STEPS: i32 = 20;
/// Steps around the earth.
const TURN: i32 = 360 * STEPS;
/// An edge of a coast of several lands changes hands between pieces of about this many steps.
const PIECE: i32 = 10;
/// Edges are kept by full degrees of latitude.
const BANDS: usize = 180;

/// A straight line on the map of longitudes and latitudes, in hundredths of a degree.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    lon: i16,
    lat: i16,
    east: i16,
    north: i16,
    /// What lies left and right on the way along it.
    pub(super) left: Ground,
    pub(super) right: Ground,
}

/// All edges; one that crosses a full degree of latitude is in both bands.
#[derive(Debug)]
pub(super) struct Edges(Vec<Vec<Edge>>);

/// An edge as a place sees it: steps east and north of it to the edge's ends, east shrunk as at the place's latitude.
#[derive(Clone, Copy, Debug)]
struct Sight {
    from: [f64; 2],
    to: [f64; 2],
}

/// What is found nearest to a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Nearest {
    /// Distance, in degrees of latitude.
    pub(super) degrees: f64,
    /// On the place's own side, and on the other.
    pub(super) here: Ground,
    pub(super) there: Ground,
}

impl Edges {
    /// Reads them as far as the file is whole.
    pub(super) fn read(bytes: &[u8]) -> Self {
        let mut edges = Self(vec![Vec::new(); BANDS]);
        edges.fill(bytes);
        edges
    }

    /// The file, in its order; `None` where it ends early.
    fn fill(&mut self, bytes: &[u8]) -> Option<()> {
        let mut heads = Numbers(bytes.iter());
        let mut count = || usize::try_from(heads.next()?).ok();
        let (borders, points, lons) = (count()?, count()?, count()?);
        let mut lines = Vec::with_capacity(borders);
        for _ in 0..borders {
            lines.push((*heads.0.next()?, *heads.0.next()?, heads.next()?));
        }
        for ring in coastline::rings() {
            self.coast(&ring, &mut heads)?;
        }
        let (specks, rest) = heads.0.as_slice().split_at_checked(3 * points)?;
        let (lons, lats) = rest.split_at_checked(lons)?;
        let (mut lons, mut lats) = (Numbers(lons.iter()), Numbers(lats.iter()));
        let (mut lon, mut lat) = (0, 0);
        let mut next = || {
            lon += lons.next()? * (STEPS / FILE_STEPS);
            lat += lats.next()? * (STEPS / FILE_STEPS);
            Some((lon, lat))
        };
        for (left, right, count) in lines {
            let mut from = next()?;
            for _ in 1..count {
                let to = next()?;
                self.push(from, to, left, right);
                from = to;
            }
        }
        for speck in specks.chunks_exact(3) {
            let &[inside, outside, half_km] = speck else { continue };
            self.speck(next()?, half_km, inside, outside);
        }
        Some(())
    }

    /// A ring of the coast line with whose it is: one ground for all, or 0 and then grounds and counts of pieces.
    fn coast(&mut self, ring: &[(i32, i32)], heads: &mut Numbers<'_>) -> Option<()> {
        let ground = *heads.0.next()?;
        let mut now = ground;
        let mut left = 0;
        for (at, &from) in ring.iter().enumerate() {
            let to = *ring.get(at + 1).or(ring.first())?;
            let (east, north) = (around(to.0 - from.0), to.1 - from.1);
            let pieces = if ground == 0 { east.abs().max(north.abs()) / PIECE + 1 } else { 1 };
            let point = |piece: i32| (from.0 + east * piece / pieces, from.1 + north * piece / pieces);
            for piece in 0..pieces {
                if ground == 0 && left == 0 {
                    now = *heads.0.next()?;
                    left = heads.next()?;
                }
                left -= 1;
                self.push(point(piece), point(piece + 1), 0, now);
            }
        }
        Some(())
    }

    /// A square of twice `half_km` around a point, its inside to the right; one of 0 km has no inside.
    fn speck(&mut self, (lon, lat): (i32, i32), half_km: u8, inside: Ground, outside: Ground) {
        let half = f64::from(half_km) / KM_PER_DEGREE * f64::from(STEPS);
        let wide = half / shrink(f64::from(lat) / f64::from(STEPS));
        let corner = |east: f64, north: f64| (lon + whole(east * wide), lat + whole(north * half));
        let corners = [corner(-1.0, -1.0), corner(-1.0, 1.0), corner(1.0, 1.0), corner(1.0, -1.0)];
        let mut from = corners[3];
        for to in corners {
            self.push(from, to, outside, inside);
            from = to;
        }
    }

    fn push(&mut self, from: (i32, i32), to: (i32, i32), left: Ground, right: Ground) {
        let small = |steps: i32| i16::try_from(steps).unwrap_or(0);
        let edge = Edge {
            lon: small(around(from.0)),
            lat: small(from.1),
            east: small(around(to.0 - from.0)),
            north: small(to.1 - from.1),
            left,
            right,
        };
        let band = |lat: i32| usize::try_from((lat + 90 * STEPS) / STEPS).unwrap_or(0).min(BANDS - 1);
        for edges in self.0.iter_mut().take(band(from.1.max(to.1)) + 1).skip(band(from.1.min(to.1))) {
            edges.push(edge);
        }
    }

    /// Bands from one latitude to another.
    fn bands(&self, south_deg: f64, north_deg: f64) -> impl Iterator<Item = &Edge> {
        let (south, north) = (band(south_deg), band(north_deg));
        self.0.iter().take(north + 1).skip(south).flatten()
    }

    /// The nearest edge and its sides; `None` if there is no edge at all.
    ///
    /// The straight way there on the map crosses no other edge, so that the place is on the same ground as the near
    /// side, however much the map distorts.
    pub(super) fn nearest(&self, place: Position) -> Option<Nearest> {
        let row = band(place.lat_deg);
        let mut best: Option<(f64, f64, Nearest)> = None;
        for reach in 0..BANDS {
            // bands that far off are at least that many degrees less one away
            let beyond = (reach.saturating_sub(1) * STEPS.unsigned_abs() as usize) as f64;
            if best.is_some_and(|(distance2, ..)| distance2 < beyond * beyond) {
                break;
            }
            let two = [row.checked_sub(reach), (reach > 0).then_some(row + reach)];
            for edge in two.into_iter().flatten().filter_map(|at| self.0.get(at)).flatten() {
                let sight = edge.seen_from(place);
                let (distance2, aside) = sight.distance2();
                let (here, there) =
                    if sight.cross() >= 0.0 { (edge.left, edge.right) } else { (edge.right, edge.left) };
                // of two edges with one corner, the one met the more squarely has the place on its true side;
                // where they are one line there and back, an island's tip, that is the sea
                let squarely = if here == 0 { aside + 1e-6 } else { aside };
                let better = best.is_none_or(|(least, most, _)| {
                    distance2 < least - 1e-6 || distance2 < least + 1e-6 && squarely > most
                });
                if better {
                    let degrees = distance2.sqrt() / f64::from(STEPS);
                    best = Some((distance2, squarely, Nearest { degrees, here, there }));
                }
            }
        }
        best.map(|(.., nearest)| nearest)
    }

    /// Calls for each edge that has some of it in the rectangle around a place; half sizes in degrees.
    pub(super) fn within(&self, place: Position, half: [f64; 2], mut found: impl FnMut(&Edge)) {
        let [width, height] = half.map(|degrees| degrees * f64::from(STEPS));
        let width = width * shrink(place.lat_deg);
        for edge in self.bands(place.lat_deg - half[1], place.lat_deg + half[1]) {
            let sight = edge.seen_from(place);
            let [east, north] = [0, 1].map(|axis| sight.to[axis] - sight.from[axis]);
            // two convex figures are apart if they are so along one of their edges' normals
            let apart = |axis: usize, half: f64| {
                sight.from[axis].min(sight.to[axis]) > half || sight.from[axis].max(sight.to[axis]) < -half
            };
            let beside = sight.cross().abs() > width * north.abs() + height * east.abs();
            if !apart(0, width) && !apart(1, height) && !beside {
                found(edge);
            }
        }
    }
}

impl Edge {
    fn seen_from(&self, place: Position) -> Sight {
        let turn = f64::from(TURN);
        let wide = shrink(place.lat_deg);
        let lon = f64::from(self.lon) - place.lon_deg * f64::from(STEPS);
        // a long edge that passes behind the place is seen whole, from where its beginning is
        let east = (lon + turn / 2.0).rem_euclid(turn) - turn / 2.0;
        let north = f64::from(self.lat) - place.lat_deg * f64::from(STEPS);
        Sight { from: [east * wide, north], to: [(east + f64::from(self.east)) * wide, north + f64::from(self.north)] }
    }
}

impl Sight {
    /// Above 0 if the place is left of the edge.
    fn cross(&self) -> f64 {
        self.from[0] * self.to[1] - self.from[1] * self.to[0]
    }

    /// Square of the distance, and of how far off the line the place is, in steps.
    fn distance2(&self) -> (f64, f64) {
        let ([x, y], [east, north]) = (self.from, [0, 1].map(|axis| self.to[axis] - self.from[axis]));
        let length2 = (east * east + north * north).max(1e-12);
        let along = (-(x * east + y * north) / length2).clamp(0.0, 1.0);
        let (x, y) = (x + along * east, y + along * north);
        (x * x + y * y, self.cross().powi(2) / length2)
    }
}

/// Steps of longitude the shorter way around.
fn around(steps: i32) -> i32 {
    (steps + TURN / 2).rem_euclid(TURN) - TURN / 2
}

/// How much shorter a degree of longitude is there than one of latitude; at the poles as at 87 degrees.
pub(super) fn shrink(lat_deg: f64) -> f64 {
    lat_deg.to_radians().cos().max(0.05)
}

/// The band a latitude is in.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 0 and 179")]
fn band(lat_deg: f64) -> usize {
    (lat_deg + 90.0).clamp(0.0, 179.0) as usize
}

#[expect(clippy::cast_possible_truncation, reason = "a few hundred steps")]
fn whole(steps: f64) -> i32 {
    steps.round() as i32
}
