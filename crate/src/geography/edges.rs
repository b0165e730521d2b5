//! Borders and coasts as short edges that know what lies on either side, kept by squares of the map.
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
/// Edges are kept by full degrees of latitude and every so many of longitude.
const ROWS: i32 = 180;
const COLUMN_DEG: i32 = 5;
const COLUMNS: i32 = 360 / COLUMN_DEG;

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

/// All edges by squares, row after row from the south; an edge is in each square that it may touch.
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
        let mut edges = Self(vec![Vec::new(); square_of(ROWS, 0)]);
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
        let row = |lat: i32| ((lat + 90 * STEPS) / STEPS).clamp(0, ROWS - 1);
        let column = |lon: i32| (lon + 180 * STEPS).div_euclid(COLUMN_DEG * STEPS);
        let end = from.0 + around(to.0 - from.0);
        for row in row(from.1.min(to.1))..=row(from.1.max(to.1)) {
            for column in column(from.0.min(end))..=column(from.0.max(end)) {
                if let Some(square) = self.0.get_mut(square_of(row, column)) {
                    square.push(edge);
                }
            }
        }
    }

    fn square(&self, row: i32, column: i32) -> &[Edge] {
        self.0.get(square_of(row, column)).map_or(&[], Vec::as_slice)
    }

    /// The nearest edge and its sides; `None` if there is no edge at all.
    ///
    /// The straight way there on the map crosses no other edge, so that the place is on the same ground as the near
    /// side, however much the map distorts.
    pub(super) fn nearest(&self, place: Position) -> Option<Nearest> {
        let (row, column) = (row_of(place.lat_deg), column_of(place.lon_deg));
        let column_steps = f64::from(COLUMN_DEG * STEPS) * shrink(place.lat_deg);
        let mut best: Option<(f64, f64, Nearest)> = None;
        for up in 0..ROWS {
            for aside in 0..=COLUMNS / 2 {
                // squares that far off are at least that many less one away
                let least = |squares: i32, steps: f64| f64::from((squares - 1).max(0)) * steps;
                let beyond = least(up, f64::from(STEPS)).powi(2) + least(aside, column_steps).powi(2);
                if best.is_some_and(|(distance2, ..)| distance2 < beyond) {
                    if aside == 0 {
                        return best.map(|(.., nearest)| nearest);
                    }
                    break;
                }
                for row in either_way(row, up).filter(|row| (0..ROWS).contains(row)) {
                    for column in either_way(column, aside) {
                        best = nearer(best, self.square(row, column), place);
                    }
                }
            }
        }
        best.map(|(.., nearest)| nearest)
    }

    /// Calls for each edge that has some of it in the rectangle around a place, for some more than once; half sizes
    /// in degrees.
    pub(super) fn within(&self, place: Position, half: [f64; 2], mut found: impl FnMut(&Edge)) {
        let (west, east) = (column_of(place.lon_deg - half[0]), column_of(place.lon_deg + half[0]));
        let [width, height] = half.map(|degrees| degrees * f64::from(STEPS));
        let width = width * shrink(place.lat_deg);
        for row in row_of(place.lat_deg - half[1])..=row_of(place.lat_deg + half[1]) {
            for edge in (west..=east).flat_map(|column| self.square(row, column)) {
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
}

/// The better of the best so far and the edges of a square: square of the distance, how squarely it is met, the find.
fn nearer(best: Option<(f64, f64, Nearest)>, edges: &[Edge], place: Position) -> Option<(f64, f64, Nearest)> {
    let mut best = best;
    for edge in edges {
        let sight = edge.seen_from(place);
        let (distance2, aside) = sight.distance2();
        let (here, there) = if sight.cross() >= 0.0 { (edge.left, edge.right) } else { (edge.right, edge.left) };
        // of two edges with one corner, the one met the more squarely has the place on its true side;
        // where they are one line there and back, an island's tip, that is the sea
        let squarely = if here == 0 { aside + 1e-6 } else { aside };
        let better =
            best.is_none_or(|(least, most, _)| distance2 < least - 1e-6 || distance2 < least + 1e-6 && squarely > most);
        if better {
            let degrees = distance2.sqrt() / f64::from(STEPS);
            best = Some((distance2, squarely, Nearest { degrees, here, there }));
        }
    }
    best
}

/// Two numbers so far from one, or that one.
fn either_way(middle: i32, off: i32) -> impl Iterator<Item = i32> {
    [middle - off, middle + off].into_iter().take(if off == 0 { 1 } else { 2 })
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

/// The row a latitude is in.
fn row_of(lat_deg: f64) -> i32 {
    whole((lat_deg + 90.0).floor()).clamp(0, ROWS - 1)
}

/// The column a longitude is in, counted on around the earth.
fn column_of(lon_deg: f64) -> i32 {
    whole(((lon_deg + 180.0) / f64::from(COLUMN_DEG)).floor())
}

/// Where a square stands.
fn square_of(row: i32, column: i32) -> usize {
    usize::try_from(row * COLUMNS + column.rem_euclid(COLUMNS)).unwrap_or(0)
}

#[expect(clippy::cast_possible_truncation, reason = "a few thousand at most")]
fn whole(steps: f64) -> i32 {
    steps.round() as i32
}
