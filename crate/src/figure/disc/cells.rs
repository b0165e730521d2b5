//! Thousands of listeners are gathered by the cells of a honeycomb that lies on the map, or by equal pieces of the far
//! margin. A cell holds one mark, so none need be moved apart from another, however many listeners there are.

use std::f64::consts::TAU;

use super::gathering::{Group, MANY};
use super::layout::Layout;
use super::placing::{Part, Placed};
use crate::draw::Point;
use crate::order::{LightSort, by_small_number};

/// Parts listeners into groups by cell, `pitch` pixels from middle to middle, and the few in cells that hold few.
/// The honeycomb hangs on home, so that it goes along when the map is moved.
pub(super) fn groups(
    placed: &[Placed<'_>],
    members: &[usize],
    layout: &Layout,
    part: Part,
    pitch: f64,
) -> (Vec<Group>, Vec<usize>) {
    let cell = |at: Point| match part {
        Part::Map => honeycomb(layout.home, at, pitch),
        Part::Margin => piece(layout, at, pitch),
    };
    // cells are numbered about the middle of the picture; the margin has more pieces than the map rows from it
    let base = if part == Part::Map { honeycomb(layout.home, layout.centre, pitch) } else { (0, 0) };
    let most = whole(pieces(layout, pitch).0) + 3;
    let side = 2 * most + 1;
    let from_base = |(row, place): (i32, i32)| (row - base.0 + most) * side + place - base.1 + most;
    let cells: Vec<(i32, i32)> = members.iter().map(|&member| cell(placed[member].at)).collect();
    let number = |&at: &usize| usize::try_from(from_base(cells[at])).unwrap_or(0);
    let order: Vec<usize> = (0..members.len()).collect();
    let order = by_small_number(&order, usize::try_from(side * side).unwrap_or(0), number);
    let mut groups = Vec::new();
    let mut singles = Vec::new();
    for together in order.chunk_by(|&a, &b| cells[a] == cells[b]) {
        let here = together.iter().map(|&at| members[at]);
        match together.first() {
            Some(&first) if together.len() >= MANY => {
                let middle = match part {
                    Part::Map => middle(layout.home, cells[first], pitch),
                    Part::Margin => piece_middle(layout, cells[first], pitch),
                };
                groups.push(Group { members: here.collect(), cell: Some((middle, pitch / 2.0)) });
            }
            _ => singles.extend(here),
        }
    }
    singles.order_by(usize::cmp);
    (groups, singles)
}

/// Row and place in it of the nearest cell of a honeycomb: of the two rows of middles about a place the nearer one.
fn honeycomb(home: Point, at: Point, pitch: f64) -> (i32, i32) {
    let upper = whole(((at.y - home.y) / row_height(pitch)).floor());
    let in_row = |row: i32| (row, whole(((at.x - home.x) / pitch - shift(row)).round_ties_even()));
    let (one, other) = (in_row(upper), in_row(upper + 1));
    if middle(home, one, pitch).distance(at) <= middle(home, other, pitch).distance(at) { one } else { other }
}

/// Middle of a cell.
fn middle(home: Point, (row, place): (i32, i32), pitch: f64) -> Point {
    home.shifted((f64::from(place) + shift(row)) * pitch, f64::from(row) * row_height(pitch))
}

/// How far a row of the honeycomb lies from the next.
fn row_height(pitch: f64) -> f64 {
    pitch * 3.0_f64.sqrt() / 2.0
}

/// How far along a row begins, in cells: every other one by half a cell.
fn shift(row: i32) -> f64 {
    if row.rem_euclid(2) == 1 { 0.5 } else { 0.0 }
}

/// How many equal pieces the far margin has, and its middle radius.
fn pieces(layout: &Layout, pitch: f64) -> (f64, f64) {
    let radius = f64::midpoint(layout.map, layout.margin);
    ((TAU * radius / pitch).floor().max(1.0), radius)
}

/// The piece of the far margin.
fn piece(layout: &Layout, at: Point, pitch: f64) -> (i32, i32) {
    let (count, _) = pieces(layout, pitch);
    let bearing = layout.centre.bearing_of(at).rem_euclid(360.0);
    (0, whole((bearing / 360.0 * count).floor().min(count - 1.0)))
}

fn piece_middle(layout: &Layout, (_, piece): (i32, i32), pitch: f64) -> Point {
    let (count, radius) = pieces(layout, pitch);
    layout.centre.toward((f64::from(piece) + 0.5) / count * 360.0, radius)
}

#[expect(clippy::cast_possible_truncation, reason = "a place in the picture, counted in cells")]
fn whole(number: f64) -> i32 {
    number as i32
}
