//! What lies where on a drawn disc: for the pointer, and for walking with the keyboard.

use super::gathering::Mark;
use super::layout::Layout;
use super::placing::Placed;
use super::{DiscInput, Showing};
use crate::draw::Point;
use crate::model::CallId;
use crate::order::LightSort;
use crate::study::Listener;
use crate::words::number::{NO_BREAK, bearing, count, counted};

/// A drawn disc.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// The marks, in the order drawn.
    pub marks: Vec<SceneMark>,
    /// Every listener in sight, nearest to home first.
    pub stops: Vec<Stop>,
    /// Middle of the map.
    pub centre: Point,
    /// Radius of the map in pixels.
    pub map_radius: f64,
    /// Where home lies.
    pub home: Point,
    /// Scale of the map.
    pub px_per_km: f64,
    /// How far the whole extent reaches, km.
    pub extent_km: f64,
}

/// One mark.
#[derive(Clone, Debug, PartialEq)]
pub struct SceneMark {
    /// Its listener, or all of them in a counted mark, nearest to home first.
    pub listeners: Vec<CallId>,
    /// Its middle.
    pub x: f64,
    /// Its middle.
    pub y: f64,
    /// Its radius.
    pub radius: f64,
}

/// A listener in sight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// Its call.
    pub call: CallId,
    /// Its mark.
    pub mark: usize,
    /// Distance from home, km.
    pub distance_km: f64,
    /// Bearing at home, degrees, if one is defined.
    pub bearing_deg: Option<f64>,
}

impl Scene {
    /// Distance in km and bearing in degrees of a place of the picture; `None` outside the map.
    pub fn place_at(&self, x: f64, y: f64) -> Option<(f64, f64)> {
        let at = Point::new(x, y);
        (self.centre.distance(at) <= self.map_radius)
            .then(|| (self.home.distance(at) / self.px_per_km, self.home.bearing_of(at)))
    }

    /// The mark of a listener.
    pub fn mark_of(&self, call: CallId) -> Option<&SceneMark> {
        self.stops.iter().find(|stop| stop.call == call).and_then(|stop| self.marks.get(stop.mark))
    }
}

/// The mark at a place of the picture: of those within `slack` pixels of it the one whose edge is nearest,
/// among equals the one on top.
pub fn hit(scene: &Scene, x: f64, y: f64, slack: f64) -> Option<usize> {
    let at = Point::new(x, y);
    let mut best: Option<(f64, usize)> = None;
    for (index, mark) in scene.marks.iter().enumerate() {
        let off = (Point::new(mark.x, mark.y).distance(at) - mark.radius).max(0.0);
        if off <= slack && best.is_none_or(|(least, _)| off <= least) {
            best = Some((off, index));
        }
    }
    best.map(|(_, index)| index)
}

/// A step of the keyboard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// The next farther listener.
    Outward,
    /// The next nearer listener.
    Inward,
    /// The next listener clockwise by bearing.
    Clockwise,
    /// The next listener counterclockwise by bearing.
    Counterclockwise,
    /// The nearest.
    First,
    /// The farthest.
    Last,
}

/// The listener a step leads to. From nowhere every step but [`Step::Last`] leads to the nearest.
/// Outward and inward stop at the ends; clockwise goes round.
pub fn step(scene: &Scene, from: Option<CallId>, step: Step) -> Option<CallId> {
    let stops = &scene.stops;
    let at = from.and_then(|call| stops.iter().position(|stop| stop.call == call));
    let last = stops.len().checked_sub(1)?;
    let to = match (step, at) {
        (Step::Last, _) => last,
        (Step::First, _) | (_, None) => 0,
        (Step::Outward, Some(at)) => (at + 1).min(last),
        (Step::Inward, Some(at)) => at.saturating_sub(1),
        (Step::Clockwise | Step::Counterclockwise, Some(at)) => {
            let mut round: Vec<usize> = (0..stops.len()).collect();
            round.order_by(|&a, &b| {
                let bearing = |stop: usize| stops[stop].bearing_deg.unwrap_or(0.0);
                bearing(a).total_cmp(&bearing(b)).then(a.cmp(&b))
            });
            let place = round.iter().position(|&stop| stop == at).unwrap_or(0);
            let by = if step == Step::Clockwise { 1 } else { last };
            round[(place + by) % round.len()]
        }
    };
    stops.get(to).map(|stop| stop.call)
}

/// The scene of what was drawn.
pub(super) fn scene(input: &DiscInput<'_>, layout: &Layout, placed: &[Placed<'_>], marks: &[Mark]) -> Scene {
    let nearer = |&a: &usize, &b: &usize| placed[a].distance_km.total_cmp(&placed[b].distance_km);
    // listeners come farthest first: turned round they are in order
    let in_order = placed.is_sorted_by(|a, b| a.distance_km >= b.distance_km);
    let by_distance = |places: &mut Vec<usize>| {
        places.reverse();
        if !in_order {
            places.order_by(nearer);
        }
    };
    let mut mark_of = vec![0; placed.len()];
    let marks = marks
        .iter()
        .enumerate()
        .map(|(index, mark)| {
            for &member in &mark.members {
                mark_of[member] = index;
            }
            let mut members = mark.members.clone();
            members.order_by(usize::cmp);
            by_distance(&mut members);
            SceneMark {
                listeners: members.iter().map(|&member| placed[member].listener.call).collect(),
                x: mark.at.x,
                y: mark.at.y,
                radius: mark.radius,
            }
        })
        .collect();
    let mut order: Vec<usize> = (0..placed.len()).collect();
    by_distance(&mut order);
    let stop = |at: usize| {
        let Placed { listener, distance_km, bearing_deg, .. } = placed[at];
        Stop { call: listener.call, mark: mark_of[at], distance_km, bearing_deg }
    };
    let stops = order.into_iter().map(stop).collect();
    Scene {
        marks,
        stops,
        centre: layout.centre,
        map_radius: layout.map,
        home: layout.home,
        px_per_km: layout.px_per_km,
        extent_km: input.extent.rim_km,
    }
}

/// Each mark of a drawn disc in words: `Q2IC, 7 716 km at 306°, 2 spots`, or
/// `31 listeners, 2 115 to 3 299 km, 5 673 spots`.
pub fn labels(scene: &Scene, input: &DiscInput<'_>, showing: &Showing<'_>) -> Vec<String> {
    let mut of_call = vec![None; input.subject.table().stations().calls()];
    for listener in input.listeners {
        of_call[listener.call.index()] = Some(listener);
    }
    let of_mark = |mark: &SceneMark| -> Vec<&Listener> {
        mark.listeners.iter().filter_map(|call| of_call[call.index()]).collect()
    };
    scene.marks.iter().map(|mark| label(input, showing, &of_mark(mark))).collect()
}

fn label(input: &DiscInput<'_>, showing: &Showing<'_>, members: &[&Listener]) -> String {
    let spots = counted(members.iter().map(|listener| listener.spots).sum(), "spot", "spots");
    let km = |listener: &Listener| listener.far.map_or(0.0, |far| far.path.distance_km);
    match *members {
        [] => String::new(),
        [one] => {
            let call = input.subject.table().stations().call(one.call);
            let degrees = one.far.and_then(|far| far.path.bearing_deg);
            let direction = degrees.map_or_else(String::new, |degrees| format!(" at{NO_BREAK}{}°", bearing(degrees)));
            let more = showing.words(one.call);
            format!("{call}, {}{direction}, {spots}{more}", input.length.text(km(one)))
        }
        [nearest, .., farthest] => format!(
            "{}{NO_BREAK}listeners, {} to {}, {spots}",
            count(members.len()),
            input.length.figure(km(nearest)),
            input.length.text(km(farthest))
        ),
    }
}
