//! The shapes of marks. Shapes of one radius have the same area, so that none weighs more than another.

use std::f64::consts::PI;

use super::outline::{Outline, Point};
use super::palette::Antenna;

/// The shape of a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Glyph {
    /// The first antenna.
    Circle,
    /// The second antenna: pointing up.
    Triangle,
    /// No difference; a further run.
    Square,
    /// A further run.
    Diamond,
}

impl Glyph {
    /// The shape that stands for an antenna.
    pub const fn of(antenna: Antenna) -> Self {
        match antenna {
            Antenna::A => Self::Circle,
            Antenna::B => Self::Triangle,
        }
    }

    /// The outline of the shape with the area of a circle of `radius`, its centre of area at `centre`.
    /// `None` for the circle, which every surface draws itself.
    pub fn outline(self, centre: Point, radius: f64) -> Option<Outline> {
        let (corners, first_deg, reach) = match self {
            Self::Circle => return None,
            // area of an equal-sided triangle in a circle of radius r is 3/4 sqrt 3 r^2
            Self::Triangle => (3, 0.0, radius * (PI / (0.75 * 3.0_f64.sqrt())).sqrt()),
            Self::Square => (4, 45.0, radius * (PI / 2.0).sqrt()),
            Self::Diamond => (4, 0.0, radius * (PI / 2.0).sqrt()),
        };
        let corners: Vec<Point> = (0..corners)
            .map(|corner| centre.toward(first_deg + 360.0 / f64::from(corners) * f64::from(corner), reach))
            .collect();
        Some(Outline::polygon(&corners))
    }
}

#[cfg(test)]
mod tests {
    use super::super::outline::Verb;
    use super::*;

    #[test]
    fn shapes_of_one_radius_have_one_area() {
        for glyph in [Glyph::Triangle, Glyph::Square, Glyph::Diamond] {
            let outline = glyph.outline(Point::new(3.0, 4.0), 5.0).unwrap();
            let corners: Vec<Point> = outline
                .verbs()
                .iter()
                .filter_map(|verb| match verb {
                    Verb::Move(p) | Verb::Line(p) => Some(*p),
                    _ => None,
                })
                .collect();
            let next = corners.iter().cycle().skip(1);
            let twice: f64 = corners.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum();
            assert!((twice.abs() / 2.0 - PI * 25.0).abs() < 1e-9, "{glyph:?}");
        }
        assert_eq!(Glyph::Circle.outline(Point::default(), 5.0), None);
    }
}
