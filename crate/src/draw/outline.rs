//! Lines, curves and arcs in picture coordinates: x to the right, y downward, in CSS pixels.

use crate::order::LightSort;

/// A place in the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Pixels to the right.
    pub x: f64,
    /// Pixels downward.
    pub y: f64,
}

impl Point {
    /// A place from its coordinates.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The place `radius` away on a bearing in degrees, clockwise from straight up.
    #[must_use]
    pub fn toward(self, bearing_deg: f64, radius: f64) -> Self {
        let (sin, cos) = bearing_deg.to_radians().sin_cos();
        Self { x: self.x + radius * sin, y: self.y - radius * cos }
    }

    /// The place moved by so much.
    #[must_use]
    pub fn shifted(self, dx: f64, dy: f64) -> Self {
        Self { x: self.x + dx, y: self.y + dy }
    }

    /// Pixels between two places.
    pub fn distance(self, other: Self) -> f64 {
        // no picture is so large that a square could overflow, which hypot guards against at ten times the cost
        let (dx, dy) = (self.x - other.x, self.y - other.y);
        (dx * dx + dy * dy).sqrt()
    }

    /// Bearing of another place seen from here, degrees clockwise from straight up, 0 up to 360; 0 for the same place.
    pub fn bearing_of(self, other: Self) -> f64 {
        let turned = (other.x - self.x).atan2(self.y - other.y).to_degrees().rem_euclid(360.0);
        if turned >= 360.0 { 0.0 } else { turned }
    }
}

/// One step of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verb {
    /// Begin a part here.
    Move(Point),
    /// Straight on to here.
    Line(Point),
    /// A curve with one control point, then its end.
    Quad(Point, Point),
    /// Along a circle about `centre` between two bearings in degrees; clockwise if `to_deg` is greater.
    Arc {
        /// Middle of the circle.
        centre: Point,
        /// Its radius.
        radius: f64,
        /// Bearing at which the arc begins.
        from_deg: f64,
        /// Bearing at which it ends.
        to_deg: f64,
    },
    /// Back to where the part began.
    Close,
}

/// A shape to fill or a line to stroke.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline(Vec<Verb>);

impl Outline {
    /// Nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// The steps.
    pub fn verbs(&self) -> &[Verb] {
        &self.0
    }

    /// Is there no step?
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Begins a part.
    #[must_use]
    pub fn move_to(mut self, at: Point) -> Self {
        self.0.push(Verb::Move(at));
        self
    }

    /// Straight on.
    #[must_use]
    pub fn line_to(mut self, to: Point) -> Self {
        self.0.push(Verb::Line(to));
        self
    }

    /// A curve with one control point.
    #[must_use]
    pub fn quad_to(mut self, control: Point, to: Point) -> Self {
        self.0.push(Verb::Quad(control, to));
        self
    }

    /// Along a circle, from the place where the outline stands or, at its beginning, from the arc's start.
    #[must_use]
    pub fn arc(mut self, centre: Point, radius: f64, from_deg: f64, to_deg: f64) -> Self {
        if self.0.is_empty() {
            self.0.push(Verb::Move(centre.toward(from_deg, radius)));
        }
        self.0.push(Verb::Arc { centre, radius, from_deg, to_deg });
        self
    }

    /// Back to the beginning of the part.
    #[must_use]
    pub fn close(mut self) -> Self {
        self.0.push(Verb::Close);
        self
    }

    /// One straight line.
    pub fn segment(from: Point, to: Point) -> Self {
        Self::new().move_to(from).line_to(to)
    }

    /// A rectangle from its upper left corner.
    pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self::polygon(&[
            Point::new(x, y),
            Point::new(x + width, y),
            Point::new(x + width, y + height),
            Point::new(x, y + height),
        ])
    }

    /// A closed shape of straight sides.
    pub fn polygon(corners: &[Point]) -> Self {
        let mut outline = Self::new();
        outline.add_line(corners);
        if !outline.is_empty() {
            outline.0.push(Verb::Close);
        }
        outline
    }

    /// Adds an open line through several places.
    pub fn add_line(&mut self, places: &[Point]) {
        for (at, &place) in places.iter().enumerate() {
            self.0.push(if at == 0 { Verb::Move(place) } else { Verb::Line(place) });
        }
    }

    /// Adds a closed part of straight sides.
    pub fn add_ring(&mut self, places: &[Point]) {
        self.add_line(places);
        if !places.is_empty() {
            self.0.push(Verb::Close);
        }
    }

    /// Lines at 45 degrees through the inside of a shape of straight sides, `apart` pixels from one another: a tint
    /// that black on white can show. Inside is what lies within an odd number of its parts; curves are not looked at.
    #[must_use]
    pub fn hatching(&self, apart: f64) -> Self {
        let mut lines = Self::new();
        if !(apart.is_finite() && apart > 0.0 && self.is_finite()) {
            return lines;
        }
        // along a line x + y stays the same
        let step = apart * std::f64::consts::SQRT_2;
        let mut crossings: Vec<(i64, f64)> = Vec::new();
        let mut cross = |from: Point, to: Point| {
            let (u, v) = ((from.x + from.y) / step, (to.x + to.y) / step);
            let (low, high) = (u.min(v), u.max(v));
            #[expect(clippy::cast_possible_truncation, reason = "pixels over pixels")]
            let (first, last) = (low.ceil() as i64, high.ceil() as i64);
            for line in first..last {
                let share = (line as f64 - u) / (v - u);
                crossings.push((line, from.x + share * (to.x - from.x)));
            }
        };
        let (mut start, mut here) = (Point::default(), Point::default());
        for &verb in &self.0 {
            match verb {
                Verb::Move(to) => {
                    cross(here, start);
                    (start, here) = (to, to);
                }
                Verb::Line(to) => {
                    cross(here, to);
                    here = to;
                }
                Verb::Close => {
                    cross(here, start);
                    here = start;
                }
                Verb::Quad(..) | Verb::Arc { .. } => {}
            }
        }
        cross(here, start);
        crossings.order_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        for pair in crossings.chunks_exact(2) {
            let at = |&(line, x): &(i64, f64)| Point::new(x, line as f64 * step - x);
            lines.add_line(&[at(&pair[0]), at(&pair[1])]);
        }
        lines
    }

    /// Is every coordinate a finite number?
    pub fn is_finite(&self) -> bool {
        let fine = |point: &Point| point.x.is_finite() && point.y.is_finite();
        self.0.iter().all(|verb| match verb {
            Verb::Move(a) | Verb::Line(a) => fine(a),
            Verb::Quad(a, b) => fine(a) && fine(b),
            Verb::Arc { centre, radius, from_deg, to_deg } => {
                fine(centre) && radius.is_finite() && from_deg.is_finite() && to_deg.is_finite()
            }
            Verb::Close => true,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_run_clockwise_from_straight_up() {
        let home = Point::new(10.0, 10.0);
        for bearing in [0.0, 45.0, 90.0, 200.0, 359.0] {
            let there = home.toward(bearing, 5.0);
            assert!((home.bearing_of(there) - bearing).abs() < 1e-9);
            assert!((home.distance(there) - 5.0).abs() < 1e-12);
        }
        assert!(home.toward(90.0, 1.0).x > home.x);
        assert!(home.toward(0.0, 1.0).y < home.y);
    }

    #[test]
    fn hatching_stays_inside_and_leaves_holes_free() {
        let mut frame = Outline::rectangle(10.0, 20.0, 40.0, 30.0);
        frame.add_ring(&[
            Point::new(20.0, 30.0),
            Point::new(30.0, 30.0),
            Point::new(30.0, 40.0),
            Point::new(20.0, 40.0),
        ]);
        let lines = frame.hatching(3.0);
        assert!(lines.verbs().len() > 30);
        for pair in lines.verbs().chunks(2) {
            let [Verb::Move(from), Verb::Line(to)] = pair else { panic!("{pair:?}") };
            assert!(((from.x + from.y) - (to.x + to.y)).abs() < 1e-9, "at 45 degrees");
            let middle = Point::new(f64::midpoint(from.x, to.x), f64::midpoint(from.y, to.y));
            let within = |low: f64, value: f64, high: f64| low <= value && value <= high;
            assert!(within(10.0, middle.x, 50.0) && within(20.0, middle.y, 50.0), "{middle:?}");
            assert!(!(within(20.1, middle.x, 29.9) && within(30.1, middle.y, 39.9)), "{middle:?} lies in the hole");
        }
        assert!(frame.hatching(0.0).is_empty() && Outline::new().hatching(3.0).is_empty());
    }
}
