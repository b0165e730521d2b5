//! Strokes at 45 degrees across a rectangle, cut at its sides: what is neither solid nor hollow.

use crate::draw::{Outline, Pen, Point, Surface};

/// Strokes from lower left to upper right, so many pixels apart across.
pub fn hatch(upper_left: Point, width: f64, height: f64, apart: f64, pen: &Pen, surface: &mut dyn Surface) {
    if !(width > 0.0 && height > 0.0 && apart >= 1.0) {
        return;
    }
    let Point { x, y } = upper_left;
    let mut strokes = Outline::new();
    // where a stroke would meet the lower side, or its line to the left of it
    let mut foot = apart / 2.0 - height;
    while foot < width {
        let (from, to) = (foot.max(0.0), (foot + height).min(width));
        let at = |across: f64| Point::new(x + across, y + height - (across - foot));
        if to > from {
            strokes.add_line(&[at(from), at(to)]);
        }
        foot += apart;
    }
    if !strokes.is_empty() {
        surface.stroke(&strokes, pen);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::record::{Drawn, Recorder};
    use crate::draw::{Colour, Verb};

    #[test]
    fn strokes_stay_within_and_lean_at_45_degrees() {
        let pen = Pen::new(Colour::WHITE, 1.0);
        let strokes = |width: f64, height: f64| -> Vec<(Point, Point)> {
            let mut recorder = Recorder::new();
            hatch(Point::new(10.0, 20.0), width, height, 5.0, &pen, &mut recorder);
            let outlines = recorder.drawn.iter().filter_map(|drawn| match drawn {
                Drawn::Stroke { outline, .. } => Some(outline.verbs().to_vec()),
                _ => None,
            });
            let verbs = outlines.flatten().collect::<Vec<_>>();
            let pairs = verbs.chunks(2).filter_map(|pair| match pair {
                [Verb::Move(from), Verb::Line(to)] => Some((*from, *to)),
                _ => None,
            });
            pairs.collect()
        };
        for (width, height) in [(40.0, 12.0), (6.0, 30.0), (1.0, 1.0)] {
            for (from, to) in strokes(width, height) {
                for point in [from, to] {
                    assert!((10.0..=10.0 + width).contains(&point.x), "{point:?}");
                    assert!((20.0 - 1e-9..=20.0 + height + 1e-9).contains(&point.y), "{point:?}");
                }
                assert!(((to.x - from.x) - (from.y - to.y)).abs() < 1e-9);
            }
        }
        assert_eq!(strokes(40.0, 12.0).len(), 10);
        assert!(strokes(0.0, 12.0).is_empty() && strokes(f64::NAN, 1.0).is_empty());
    }
}
