//! Moving circles apart by as little as need be.

use crate::draw::Point;
use crate::order::LightSort;

/// A circle that may be moved, and how far from where it belongs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Movable {
    /// Where it belongs.
    pub true_at: Point,
    /// Where it stands now.
    pub at: Point,
    /// Its radius.
    pub radius: f64,
    /// How far it may be moved.
    pub most: f64,
    /// What it stands for.
    pub kind: Kind,
}

/// What a circle stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// One listener.
    Single,
    /// Several listeners in one mark.
    Counted,
    /// The home cross.
    Home,
}

/// What else a circle must keep to.
pub(super) trait Bounds {
    /// The nearest allowed place for a circle.
    fn keep(&self, at: Point, radius: f64, kind: Kind) -> Point;
}

/// Moves circles until no two are nearer than `gap` asks (at most the sum of their radii and 2), or `rounds` are over. The order of circles decides ties,
/// nothing else does, so the same circles always end up alike.
pub(super) fn relax(
    circles: &mut [Movable],
    gap: impl Fn(&Movable, &Movable) -> f64,
    bounds: &dyn Bounds,
    rounds: usize,
) {
    let widest = circles.iter().map(|circle| circle.radius).fold(0.0, f64::max);
    let mut order: Vec<usize> = (0..circles.len()).collect();
    order.order_by(|&a, &b| circles[a].at.x.total_cmp(&circles[b].at.x).then(a.cmp(&b)));
    // the last round in which a circle moved: a pair that stood still since it was last looked at needs no second look
    let mut moved_in: Vec<usize> = vec![0; circles.len()];
    for round in 0..rounds {
        let mut still = true;
        // circles move little from round to round
        for at in 1..order.len() {
            let mut place = at;
            while place > 0 && later(circles, order[place - 1], order[place]) {
                order.swap(place - 1, place);
                place -= 1;
            }
        }
        for (place, &first) in order.iter().enumerate() {
            let reach = circles[first].radius + widest + 2.0;
            for &second in &order[place + 1..] {
                let (a, b) = (&circles[first], &circles[second]);
                if b.at.x - a.at.x > reach + 2.0 {
                    break;
                }
                if moved_in[first].max(moved_in[second]) + 1 < round || (b.at.y - a.at.y).abs() > reach {
                    continue;
                }
                let wanted = gap(a, b);
                let apart = a.at.distance(b.at);
                if apart >= wanted - 0.01 {
                    continue;
                }
                let (a, b) = (*a, *b);
                still = false;
                // two in one place part along a direction given by their order
                let (dx, dy) = if apart > 1e-6 {
                    ((b.at.x - a.at.x) / apart, (b.at.y - a.at.y) / apart)
                } else {
                    let turn = (first * 7 + second * 13) as f64;
                    (turn.cos(), turn.sin())
                };
                let push = (wanted - apart) / 2.0;
                for (circle, sign) in [(first, -1.0), (second, 1.0)] {
                    let before = circles[circle];
                    let after = settle(&before, before.at.shifted(sign * dx * push, sign * dy * push), bounds);
                    if after != before.at {
                        circles[circle].at = after;
                        moved_in[circle] = round;
                    }
                }
            }
        }
        if still {
            break;
        }
    }
}

/// Does the first circle lie farther right than the second, or as far with a higher number?
fn later(circles: &[Movable], first: usize, second: usize) -> bool {
    let (a, b) = (circles[first].at.x, circles[second].at.x);
    a > b || (a.total_cmp(&b).is_eq() && first > second)
}

/// The wished place, or as near to it as leash and bounds allow.
fn settle(circle: &Movable, wished: Point, bounds: &dyn Bounds) -> Point {
    let off = circle.true_at.distance(wished);
    let leashed = if off > circle.most && off > 0.0 {
        let share = circle.most / off;
        Point::new(
            circle.true_at.x + (wished.x - circle.true_at.x) * share,
            circle.true_at.y + (wished.y - circle.true_at.y) * share,
        )
    } else {
        wished
    };
    bounds.keep(leashed, circle.radius, circle.kind)
}
