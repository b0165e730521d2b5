//! Areas of the sphere cut to the disc of the map.
//!
//! The disc of a given extent is a circle on the sphere, and projecting a closed line from within it never
//! tears the line: the only point the map cannot show is the one opposite home, and the disc leaves it out.
//! So rings are cut on the sphere, where there is no date line and no pole to mind, and projected afterwards.
//! Where rings meet the rim, inside and outside alternate around it; one point of the rim whose side is known
//! settles all of them, and the pieces are joined along the rim where it lies inside.
//! Rings need no sense of direction, and may hold holes, a pole or the point opposite home.

use super::sphere::{Direction, HomeFrame, Seen, dot, project};
use super::view::SEEN_RADIUS_KM;
use super::{HomeView, OPPOSITE_KM, Position};
use crate::order::LightSort;

/// Lines are true to this share of the extent: a third of a pixel in a disc of 330 pixels' radius.
const TRUE_TO: f64 = 1.0 / 1000.0;
/// Angle between points along the rim, in radians: a chord this short keeps within the tolerance, too.
const RIM_STEP: f64 = 0.03;
/// An edge is halved this often at most.
const HALVINGS: u32 = 16;
/// The disc of the whole earth is cut this far (in radians; 6 km) before the point opposite home, which has no
/// place on the map; what is cut there is drawn to the rim all the same.
const BEFORE_OPPOSITE: f64 = 1e-3;
/// No direction on the sphere differs from how home sees it by more than this angle in radians.
const SEEN_ASIDE: f64 = 0.03;

/// A line or ring on the map, in km east and km north of home.
pub type MapLine = Vec<[f64; 2]>;

/// An area cut to the disc.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DiscArea {
    /// Rings to fill together by the even-odd rule; each closes from its last point to its first.
    pub fill: Vec<MapLine>,
    /// The area's own edge, to be drawn as lines: without the stretches of the rim that close the rings.
    /// What is whole within the disc ends at its first point.
    pub edge: Vec<MapLine>,
}

/// The disc of the map: home in the middle, and everything within an extent.
#[derive(Clone, Copy, Debug)]
pub struct Disc {
    view: HomeView,
    /// The view without its corrections, to tell soon what lies far beyond the rim.
    frame: HomeFrame,
    extent_km: f64,
    /// Angle between home and the rim in radians.
    rim: f64,
    /// Cosine of the angle between home and the rim: inside is what home sees higher than this.
    rim_up: f64,
    /// What lies lower than this on the sphere is beyond the rim for certain.
    beyond_up: f64,
}

impl Disc {
    /// The disc around a home. An extent beyond [`OPPOSITE_KM`] is taken as that;
    /// `None` for an extent of nothing and for numbers that are none.
    pub fn new(home: Position, extent_km: f64) -> Option<Self> {
        let usable = home.lat_deg.is_finite() && home.lon_deg.is_finite() && extent_km > 0.0;
        let extent_km = extent_km.min(OPPOSITE_KM);
        let rim = (extent_km / SEEN_RADIUS_KM).min(std::f64::consts::PI - BEFORE_OPPOSITE);
        let beyond = rim + SEEN_ASIDE;
        usable.then(|| Self {
            view: HomeView::new(home),
            frame: HomeFrame::new(home),
            extent_km,
            rim,
            rim_up: rim.cos(),
            beyond_up: if beyond < std::f64::consts::PI { beyond.cos() } else { -2.0 },
        })
    }

    /// Distance of the rim from home in km.
    pub fn extent_km(&self) -> f64 {
        self.extent_km
    }

    /// Cuts the area between closed rings to the disc.
    ///
    /// Rings are of [`Position::reduced_direction`]s, each closing from its last to its first; their edges are
    /// great circles, each shorter than half around the sphere. `holds` tells whether a place lies in the area, which is asked for one place at most.
    /// Islands too small to be seen at this extent are left out.
    pub fn clip(&self, rings: &[Vec<Direction>], holds: impl Fn(Position) -> bool) -> DiscArea {
        let mut area = DiscArea::default();
        let mut pieces = Vec::new();
        for ring in rings {
            self.cut(ring, &mut area, &mut pieces);
        }
        if pieces.is_empty() {
            if holds(self.rim_place(0.0)) {
                area.fill.push(arc(self.extent_km, 0.0, std::f64::consts::TAU));
            }
        } else {
            self.join(&pieces, holds, &mut area.fill);
        }
        area.edge.extend(pieces.into_iter().map(|piece| piece.line));
        area
    }

    /// Everything within an angle of a place, cut to the disc: the night around the point opposite the sun.
    ///
    /// The angle is between the places' plumb lines, in degrees from 0 to 180; outside of that nothing or everything.
    pub fn cap(&self, centre: Position, angle_deg: f64) -> DiscArea {
        let least = angle_deg.to_radians().cos();
        let middle = centre.direction();
        let frame = HomeFrame::new(centre);
        let holds = |place: Position| angle_deg >= 180.0 || (angle_deg > 0.0 && dot(middle, place.direction()) > least);
        if !(angle_deg > 0.0 && angle_deg < 180.0) {
            return self.clip(&[], holds);
        }
        let steps = 360_u32;
        let bearing = |step| std::f64::consts::TAU * f64::from(step) / f64::from(steps);
        let place =
            |step| Position::of_direction(frame.direction(angle_deg.to_radians(), bearing(step))).reduced_direction();
        let ring = (0..steps).map(place).collect();
        self.clip(&[ring], holds)
    }

    fn rim_place(&self, bearing: f64) -> Position {
        Position::of_reduced_direction(self.view.place(self.rim, bearing))
    }

    fn seen(&self, direction: Direction) -> Seen {
        let turned = self.frame.turned(direction);
        if turned[2] < self.beyond_up { turned } else { self.view.seen(direction) }
    }

    fn inside(&self, seen: Seen) -> bool {
        seen[2] > self.rim_up
    }

    /// A ring whole within the disc goes to the area, one that crosses the rim to the pieces.
    fn cut(&self, ring: &[Direction], area: &mut DiscArea, pieces: &mut Vec<Piece>) {
        let seen = self.with_turning_points(ring);
        let count = seen.len();
        let Some(entry) = (0..count).find(|&at| self.inside(seen[at]) && !self.inside(seen[(at + count - 1) % count]))
        else {
            if seen.first().is_some_and(|&first| self.inside(first)) {
                let mut pen = Pen::new(self, seen[0]);
                seen[1..].iter().for_each(|&next| pen.draw_to(next));
                pen.draw_to(seen[0]);
                let mut line = pen.finish();
                if line.len() > 3 {
                    area.edge.push(line.clone());
                    line.pop();
                    area.fill.push(line);
                }
            }
            return;
        };
        let mut pen: Option<(f64, Pen<'_>)> = None;
        for step in 0..count {
            let (before, now) = (seen[(entry + step + count - 1) % count], seen[(entry + step) % count]);
            match (self.inside(before), self.inside(now)) {
                (false, true) => {
                    let crossing = self.crossing(now, before);
                    let mut fresh = Pen::new(self, crossing);
                    fresh.draw_to(now);
                    pen = Some((bearing(crossing), fresh));
                }
                (true, true) => {
                    if let Some((_, pen)) = &mut pen {
                        pen.draw_to(now);
                    }
                }
                (true, false) => {
                    let crossing = self.crossing(before, now);
                    if let Some((start, mut pen)) = pen.take() {
                        pen.draw_to(crossing);
                        pieces.push(Piece::new(pen.finish(), start, bearing(crossing), self.extent_km));
                    }
                }
                _ => {}
            }
        }
    }

    /// The ring as home sees it, with a point more where an edge crosses the rim twice between its ends.
    fn with_turning_points(&self, ring: &[Direction]) -> Vec<Seen> {
        let mut seen = Vec::with_capacity(ring.len() + 1);
        let Some(&last) = ring.last() else { return seen };
        let mut before = self.seen(last);
        for &direction in ring {
            let now = self.seen(direction);
            seen.extend(self.turning_point(before, now));
            seen.push(now);
            before = now;
        }
        seen
    }

    /// The point of an edge on the other side of the rim than both its ends, if there is one.
    fn turning_point(&self, a: Seen, b: Seen) -> Option<Seen> {
        let (inside, other) = (self.inside(a), self.inside(b));
        // no point of the edge is higher or lower than its ends by more than the edge is long
        let spare = (a[2] - self.rim_up).abs().min((b[2] - self.rim_up).abs());
        let step = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
        if inside != other || spare * spare > dot(step, step) {
            return None;
        }
        let normal = cross(a, b);
        let square = dot(normal, normal);
        if square < 1e-24 {
            return None;
        }
        // highest point of the great circle, or its lowest for an edge that might leave the disc
        let sign = if inside { -1.0 } else { 1.0 };
        let up = normal[2] / square;
        let top = [-normal[0] * up * sign, -normal[1] * up * sign, (1.0 - normal[2] * up) * sign];
        let length = dot(top, top).sqrt();
        let top = top.map(|part| part / length);
        let between = dot(cross(a, top), normal) > 0.0 && dot(cross(top, b), normal) > 0.0;
        (length > 1e-12 && between && self.inside(top) != inside).then_some(top)
    }

    /// Where the edge from a point inside to one outside crosses the rim.
    fn crossing(&self, inside: Seen, outside: Seen) -> Seen {
        let (mut within, mut beyond) = (inside, outside);
        for _ in 0..60 {
            let middle = halfway(within, beyond);
            if self.inside(middle) {
                within = middle;
            } else {
                beyond = middle;
            }
        }
        within
    }

    /// Joins pieces along the rim where it lies inside the area, to rings.
    fn join(&self, pieces: &[Piece], holds: impl Fn(Position) -> bool, fill: &mut Vec<MapLine>) {
        // both ends of every piece, in order around the rim
        let mut ends: Vec<End> = Vec::with_capacity(2 * pieces.len());
        for (piece, Piece { start, end, .. }) in pieces.iter().enumerate() {
            ends.push(End { bearing: *start, piece, tip: Tip::Start });
            ends.push(End { bearing: *end, piece, tip: Tip::End });
        }
        ends.order_by(|a, b| a.bearing.total_cmp(&b.bearing));
        let count = ends.len();
        let gap = |at: usize| (ends[(at + 1) % count].bearing - ends[at].bearing).rem_euclid(std::f64::consts::TAU);
        // the widest gap's middle is the surest point to ask about
        let widest = (0..count).max_by(|&a, &b| gap(a).total_cmp(&gap(b))).unwrap_or(0);
        let held = holds(self.rim_place(ends[widest].bearing + gap(widest) / 2.0));
        // gaps of the same parity are on the same side; every end has one gap inside and one outside
        let is_inside = |at: usize| held == (at % 2 == widest % 2);
        let mut places = vec![[0; 2]; pieces.len()];
        for (at, end) in ends.iter().enumerate() {
            places[end.piece][usize::from(end.tip == Tip::End)] = at;
        }
        let mut used = vec![false; pieces.len()];
        for first in 0..pieces.len() {
            let (mut piece, mut tip) = (first, Tip::Start);
            let mut ring = MapLine::new();
            while !used[piece] {
                used[piece] = true;
                let leaves_at = if tip == Tip::Start {
                    ring.extend(&pieces[piece].line);
                    places[piece][1]
                } else {
                    ring.extend(pieces[piece].line.iter().rev());
                    places[piece][0]
                };
                let (next, turn) = if is_inside(leaves_at) {
                    ((leaves_at + 1) % count, gap(leaves_at))
                } else {
                    let before = (leaves_at + count - 1) % count;
                    (before, -gap(before))
                };
                ring.extend(&arc(self.extent_km, ends[leaves_at].bearing, turn)[1..]);
                (piece, tip) = (ends[next].piece, ends[next].tip);
            }
            if ring.len() > 2 {
                fill.push(ring);
            }
        }
    }
}

/// A line within the disc from rim to rim, and the bearings of its ends in radians.
struct Piece {
    line: MapLine,
    start: f64,
    end: f64,
}

impl Piece {
    fn new(mut line: MapLine, start: f64, end: f64, extent_km: f64) -> Self {
        // exactly on the rim, where arcs take over
        if let Some(first) = line.first_mut() {
            *first = on_rim(extent_km, start);
        }
        if let Some(last) = line.last_mut() {
            *last = on_rim(extent_km, end);
        }
        Self { line, start, end }
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Tip {
    Start,
    End,
}

/// An end of a piece on the rim.
struct End {
    bearing: f64,
    piece: usize,
    tip: Tip,
}

/// Draws edges on the map: as many points as the curve needs and no more than can be told apart.
struct Pen<'a> {
    disc: &'a Disc,
    line: MapLine,
    at: Seen,
    /// Projected `at`, which is not in the line if too near to its last point.
    point: [f64; 2],
    /// Square of the distance under which two points are one, in km.
    near_squared: f64,
}

impl<'a> Pen<'a> {
    fn new(disc: &'a Disc, at: Seen) -> Self {
        let point = projected(disc, at);
        Self { disc, line: vec![point], at, point, near_squared: (disc.extent_km * TRUE_TO).powi(2) }
    }

    fn draw_to(&mut self, next: Seen) {
        let point = projected(self.disc, next);
        self.curve(self.at, self.point, next, point, HALVINGS);
        self.add(point);
        (self.at, self.point) = (next, point);
    }

    /// Points between the ends of an edge where the straight line between them is not good enough.
    fn curve(&mut self, a: Seen, from: [f64; 2], b: Seen, to: [f64; 2], halvings: u32) {
        if halvings == 0 || apart_squared(from, to) < 16.0 * self.near_squared {
            return;
        }
        let middle = halfway(a, b);
        let point = projected(self.disc, middle);
        let straight = [f64::midpoint(from[0], to[0]), f64::midpoint(from[1], to[1])];
        // a long chord may meet its curve halfway by chance
        if apart_squared(point, straight) > self.near_squared
            || apart_squared(from, to) > (0.25 * self.disc.extent_km).powi(2)
        {
            self.curve(a, from, middle, point, halvings - 1);
            self.add(point);
            self.curve(middle, point, b, to, halvings - 1);
        }
    }

    fn add(&mut self, point: [f64; 2]) {
        if self.line.last().is_none_or(|&last| apart_squared(last, point) >= self.near_squared) {
            self.line.push(point);
        }
    }

    /// The line, ending where the pen is.
    fn finish(mut self) -> MapLine {
        if self.line.len() > 1
            && self.line.last().is_some_and(|&last| apart_squared(last, self.point) < self.near_squared)
        {
            self.line.pop();
        }
        self.line.push(self.point);
        self.line
    }
}

/// Points along the rim, first and last included, from a bearing on by a turn (both in radians).
fn arc(extent_km: f64, from: f64, turn: f64) -> MapLine {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most a full turn in steps")]
    let steps = (turn.abs() / RIM_STEP).ceil().max(1.0) as u32;
    (0..=steps).map(|step| on_rim(extent_km, from + turn * f64::from(step) / f64::from(steps))).collect()
}

fn on_rim(extent_km: f64, bearing: f64) -> [f64; 2] {
    [extent_km * bearing.sin(), extent_km * bearing.cos()]
}

/// Inside the disc everything has a point: it leaves out the place opposite home.
fn projected(disc: &Disc, seen: Seen) -> [f64; 2] {
    let angles = project(seen).map(|point| point.map(|angle| angle * SEEN_RADIUS_KM));
    angles.unwrap_or(on_rim(disc.extent_km, bearing(seen)))
}

fn bearing(seen: Seen) -> f64 {
    seen[0].atan2(seen[1])
}

/// Square of the distance between two points of the map.
fn apart_squared(a: [f64; 2], b: [f64; 2]) -> f64 {
    let (east, north) = (a[0] - b[0], a[1] - b[1]);
    east * east + north * north
}

/// The middle of the great circle between two directions that are not opposite.
fn halfway(a: Seen, b: Seen) -> Seen {
    let sum = [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
    let length = dot(sum, sum).sqrt();
    sum.map(|part| part / length)
}

fn cross(a: Seen, b: Seen) -> Seen {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
