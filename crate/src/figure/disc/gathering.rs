//! Four listeners or more close together become one mark with their count; two or three are spread a little.
//! So a dense neighbourhood is never a blot, and the number of marks drawn stays small however many listeners there are.

use super::Haste;
use super::cells;
use super::layout::Layout;
use super::placing::{Part, Placed};
use super::relax::{Bounds, Kind, Movable, relax};
use crate::draw::{Palette, Point};
use crate::order::{LightSort, order_by_small_number};

/// Listeners this near to one another, in pixels, are gathered; nearer where marks are smaller.
const NEAR_PX: f64 = 11.0;
/// From so many on.
pub(super) const MANY: usize = 4;
/// How far a mark may be spread from its true place, pixels.
const SPREAD_PX: f64 = 6.0;
/// How far a counted mark may be moved before it is joined with what it touches, pixels.
const COUNT_MOVE_PX: f64 = 14.0;
/// Clear space round the home cross, pixels.
const HOME_CLEAR_PX: f64 = 9.0;
/// Least space between counted marks, pixels.
const COUNT_GAP_PX: f64 = 1.5;

/// From so many listeners in a part of the instrument on they are gathered by cells, which takes a tenth of the time.
pub(super) const DENSE: usize = 600;
/// Cells lie apart already: so many rounds of moving are enough.
const FEW_ROUNDS: usize = 4;

/// Single marks may overlap a little: this share of their radii keeps their middles apart.
const OVERLAP: f64 = 0.86;

/// A mark as it is drawn.
#[derive(Clone, Debug)]
pub(super) struct Mark {
    /// Places in the list of placed listeners; several only in a counted mark.
    pub members: Vec<usize>,
    pub at: Point,
    pub radius: f64,
    pub part: Part,
}

impl Mark {
    pub(super) fn is_counted(&self) -> bool {
        self.members.len() >= MANY
    }
}

/// The marks of these listeners: counted marks first, then single ones from large to small.
pub(super) fn gather(placed: &[Placed<'_>], layout: &Layout, palette: &Palette, haste: Haste) -> Vec<Mark> {
    let type_scale = if palette.weights.mark_scale > 1.0 { 1.35 } else { 1.0 };
    let mut marks = Vec::new();
    for part in [Part::Map, Part::Margin] {
        let bounds = PartBounds { layout, part };
        let members: Vec<usize> = (0..placed.len()).filter(|&at| placed[at].part == part).collect();
        let dense = members.len() >= DENSE;
        let (groups, singles) = if dense {
            let pitch = (2.0 * count_radius(usize::MAX, type_scale)).min(2.0 * bounds.widest()) + COUNT_GAP_PX;
            cells::groups(placed, &members, layout, part, pitch)
        } else {
            groups(placed, &members, NEAR_PX * layout.mark_scale.min(1.0))
        };
        let (apart, few) = match (haste, dense) {
            (Haste::None, false) => (40, 24),
            (Haste::None, true) => (FEW_ROUNDS, FEW_ROUNDS),
            (Haste::Marks | Haste::Ground, _) => (0, 0),
        };
        let mut counted = settle_counted(placed, groups, &bounds, type_scale, apart);
        let singles = spread(placed, singles, &mut counted, &bounds, few);
        marks.extend(counted.into_iter().chain(singles));
    }
    order_by_small_number(&mut marks, 2 * SIZES, |mark| {
        let below = if mark.is_counted() { SIZES } else { 2 * SIZES };
        below - 1 - size(mark.radius)
    });
    marks
}

/// How many sizes of marks are told apart.
const SIZES: usize = 1024;

/// The size of a mark in sixteenths of a pixel.
fn size(radius: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the sizes")]
    let size = (radius * 16.0).clamp(0.0, 1023.0) as usize;
    size
}

/// Radius of a counted mark: 8.5 to 13.5 px by count.
fn count_radius(count: usize, type_scale: f64) -> f64 {
    (8.5 + 1.15 * (count as f64 / 4.0).ln().max(0.0)).min(13.5) * type_scale
}

/// Where circles of one part of the instrument may stand.
struct PartBounds<'a> {
    layout: &'a Layout,
    part: Part,
}

impl PartBounds<'_> {
    /// Widest circle there is room for.
    fn widest(&self) -> f64 {
        match self.part {
            Part::Map => f64::INFINITY,
            Part::Margin => (self.layout.margin - self.layout.map) / 2.0 - 0.5,
        }
    }
}

impl Bounds for PartBounds<'_> {
    fn keep(&self, at: Point, radius: f64, kind: Kind) -> Point {
        let Layout { centre, home, map, margin, .. } = *self.layout;
        if kind == Kind::Home {
            return at;
        }
        if self.part == Part::Margin {
            return centre.toward(centre.bearing_of(at), f64::midpoint(map, margin));
        }
        // single marks may stand on the very rim, as listeners do
        let (most, clear) = match kind {
            Kind::Counted => (map - radius - 1.0, radius + HOME_CLEAR_PX),
            Kind::Single | Kind::Home => (map, 0.0),
        };
        let inside = if centre.distance(at) > most { centre.toward(centre.bearing_of(at), most) } else { at };
        if home.distance(inside) < clear { home.toward(home.bearing_of(inside), clear) } else { inside }
    }
}

/// Parts listeners into groups of many and the rest. Places are taken by whole pixels,
/// so that any number of listeners costs no more than the picture has pixels.
fn groups(placed: &[Placed<'_>], members: &[usize], near_px: f64) -> (Vec<Group>, Vec<usize>) {
    let sites = Sites::of(placed, members);
    let count = |site: usize| sites.all[site].members.len();
    let near = sites.counts_near(near_px);
    let mut order: Vec<(usize, usize)> =
        (0..sites.all.len()).map(|site| (near[site], site)).filter(|&(count, _)| count >= MANY).collect();
    order.order_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut taken = vec![false; sites.all.len()];
    let mut groups = Vec::new();
    for (_, site) in order {
        if taken[site] {
            continue;
        }
        let free: Vec<usize> = sites.near(site, near_px).filter(|&other| !taken[other]).collect();
        if free.iter().copied().map(count).sum::<usize>() < MANY {
            continue;
        }
        let mut group: Vec<usize> = free.iter().flat_map(|&other| sites.all[other].members.iter().copied()).collect();
        group.order_by(usize::cmp);
        groups.push(Group { members: group, cell: None });
        for other in free {
            taken[other] = true;
        }
    }
    let free = sites.all.iter().zip(&taken).filter(|&(_, &taken)| !taken);
    let mut singles: Vec<usize> = free.flat_map(|(site, _)| site.members.iter().copied()).collect();
    singles.order_by(usize::cmp);
    (groups, singles)
}

/// A pixel on which listeners stand.
struct Site {
    x: i32,
    y: i32,
    members: Vec<usize>,
}

/// All such pixels, in order of x, then y.
struct Sites {
    all: Vec<Site>,
    /// x of the first column.
    left: i32,
    /// Where each column of pixels begins in the list, and where the last ends.
    columns: Vec<usize>,
}

impl Sites {
    fn of(placed: &[Placed<'_>], members: &[usize]) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "a place in the picture")]
        let pixel = |member: usize| (placed[member].at.x.round() as i32, placed[member].at.y.round() as i32);
        let mut sorted = members.to_vec();
        sorted.order_by_key(|&member| (pixel(member), member));
        let mut all: Vec<Site> = Vec::new();
        let mut columns = Vec::new();
        let left = sorted.first().map_or(0, |&member| pixel(member).0);
        for member in sorted {
            let (x, y) = pixel(member);
            match all.last_mut() {
                Some(site) if site.x == x && site.y == y => site.members.push(member),
                _ => {
                    columns.resize(usize::try_from(x - left).unwrap_or(0) + 1, all.len());
                    all.push(Site { x, y, members: vec![member] });
                }
            }
        }
        columns.push(all.len());
        Self { all, left, columns }
    }

    /// How many listeners stand within reach of each site, itself included.
    ///
    /// From sums down each column, so that a column takes two looks whatever stands in it.
    fn counts_near(&self, near_px: f64) -> Vec<usize> {
        let (least, most) =
            self.all.iter().fold((i32::MAX, i32::MIN), |(low, high), site| (low.min(site.y), high.max(site.y)));
        let Ok(height) = usize::try_from(most.saturating_sub(least)) else { return Vec::new() };
        let height = height + 2;
        let columns = self.columns.len() - 1;
        let mut above = vec![0_u32; columns * height];
        for site in &self.all {
            let column = usize::try_from(site.x - self.left).unwrap_or(0);
            let row = usize::try_from(site.y - least).unwrap_or(0);
            above[column * height + row + 1] += u32::try_from(site.members.len()).unwrap_or(u32::MAX);
        }
        for column in above.chunks_mut(height) {
            let mut sum = 0;
            for count in column {
                sum += *count;
                *count = sum;
            }
        }
        let spans = Self::spans(near_px);
        let end = i32::try_from(height - 1).unwrap_or(i32::MAX);
        let count = |site: &Site| {
            let (x, y) = (site.x - self.left, site.y - least);
            let of_column = |&(across, down): &(i32, i32)| {
                let column = usize::try_from(x + across).ok().filter(|&column| column < columns)? * height;
                let row = |row: i32| above[column + usize::try_from(row.clamp(0, end)).unwrap_or(0)];
                Some((row(y + down + 1) - row(y - down)) as usize)
            };
            spans.iter().filter_map(of_column).sum()
        };
        self.all.iter().map(count).collect()
    }

    /// Of each column of pixels within reach: how far off it is, and how far up and down it reaches.
    fn spans(near_px: f64) -> Vec<(i32, i32)> {
        #[expect(clippy::cast_possible_truncation, reason = "a few pixels")]
        let whole = |px: f64| px as i32;
        let down = |across: i32| whole((near_px * near_px - f64::from(across * across)).max(0.0).sqrt());
        let reach = whole(near_px);
        (-reach..=reach).map(|across| (across, down(across))).collect()
    }

    /// Sites within reach of one, itself included.
    fn near(&self, of: usize, near_px: f64) -> impl Iterator<Item = usize> + '_ {
        let Site { x, y, .. } = self.all[of];
        Self::spans(near_px).into_iter().flat_map(move |(across, down)| {
            let column = usize::try_from(x + across - self.left).ok();
            let range = column.and_then(|at| Some(*self.columns.get(at)?..*self.columns.get(at + 1)?)).unwrap_or(0..0);
            let (start, sites) = (range.start, &self.all[range]);
            let first = sites.partition_point(|site| site.y < y - down);
            let end = first + sites[first..].partition_point(|site| site.y <= y + down);
            start + first..start + end
        })
    }
}

/// Moves counted marks apart and off the home cross; those that cannot be kept apart are joined.
fn settle_counted(
    placed: &[Placed<'_>],
    mut groups: Vec<Group>,
    bounds: &PartBounds<'_>,
    type_scale: f64,
    rounds: usize,
) -> Vec<Mark> {
    loop {
        let mut circles: Vec<Movable> = groups
            .iter()
            .map(|group| {
                let radius = count_radius(group.members.len(), type_scale).min(bounds.widest());
                // the leash begins where the bounds let the mark stand, else two marks off home could never part
                let at = bounds.keep(group.stand(placed, radius), radius, Kind::Counted);
                Movable { true_at: at, at, radius, most: COUNT_MOVE_PX, kind: Kind::Counted }
            })
            .collect();
        relax(&mut circles, |a, b| a.radius + b.radius + COUNT_GAP_PX, bounds, rounds);
        let joins = joins(&circles);
        if joins.is_empty() {
            return groups
                .into_iter()
                .zip(circles)
                .map(|(Group { members, .. }, circle)| Mark {
                    members,
                    at: circle.at,
                    radius: circle.radius,
                    part: bounds.part,
                })
                .collect();
        }
        for (first, second) in joins {
            let joined = std::mem::take(&mut groups[second].members);
            groups[first].members.extend(joined);
            groups[first].members.order_by(usize::cmp);
            groups[first].cell = None;
        }
        groups.retain(|group| !group.members.is_empty());
    }
}

/// Pairs of circles that touch, those that overlap most first, none in two pairs.
fn joins(circles: &[Movable]) -> Vec<(usize, usize)> {
    let mut order: Vec<usize> = (0..circles.len()).collect();
    order.order_by(|&a, &b| circles[a].at.x.total_cmp(&circles[b].at.x).then(a.cmp(&b)));
    let widest = circles.iter().map(|circle| circle.radius).fold(0.0, f64::max);
    let mut touching = Vec::new();
    for (place, &one) in order.iter().enumerate() {
        let a = circles[one];
        for &other in &order[place + 1..] {
            let b = circles[other];
            if b.at.x - a.at.x > 2.0 * widest + 1.0 {
                break;
            }
            let clear = a.at.distance(b.at) - a.radius - b.radius;
            if clear < 0.5 {
                touching.push((clear, one.min(other), one.max(other)));
            }
        }
    }
    touching.order_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut used = vec![false; circles.len()];
    let mut pairs = Vec::new();
    for (_, first, second) in touching {
        if !used[first] && !used[second] {
            used[first] = true;
            used[second] = true;
            pairs.push((first, second));
        }
    }
    pairs
}

/// Listeners that become one mark.
pub(super) struct Group {
    /// Places in the list of placed listeners.
    pub members: Vec<usize>,
    /// Middle and inner radius of the cell that the mark must keep to, if it has one.
    pub cell: Option<(Point, f64)>,
}

impl Group {
    /// Where the mark stands at first: at the mean place of its listeners, as far as its cell allows.
    fn stand(&self, placed: &[Placed<'_>], radius: f64) -> Point {
        let mean = middle(placed, &self.members);
        let Some((centre, inner)) = self.cell else { return mean };
        let (off, most) = (centre.distance(mean), (inner - radius).max(0.0));
        if off <= most {
            return mean;
        }
        let share = most / off;
        centre.shifted((mean.x - centre.x) * share, (mean.y - centre.y) * share)
    }
}

/// Mean place of a group.
fn middle(placed: &[Placed<'_>], group: &[usize]) -> Point {
    let count = group.len().max(1) as f64;
    let (x, y) = group.iter().map(|&member| placed[member].at).fold((0.0, 0.0), |sum, at| (sum.0 + at.x, sum.1 + at.y));
    Point::new(x / count, y / count)
}

/// Spreads single marks that lie on one another. One that a counted mark would hide is counted in it.
fn spread(
    placed: &[Placed<'_>],
    singles: Vec<usize>,
    counted: &mut [Mark],
    bounds: &PartBounds<'_>,
    rounds: usize,
) -> Vec<Mark> {
    let mut circles = Vec::new();
    let mut members = Vec::new();
    let mut from_left: Vec<usize> = (0..counted.len()).collect();
    from_left.order_by(|&a, &b| counted[a].at.x.total_cmp(&counted[b].at.x));
    let widest = counted.iter().map(|mark| mark.radius).fold(0.0, f64::max);
    for member in singles {
        let Placed { at, radius, .. } = placed[member];
        // hidden: even moved as far as it may, less than half of it would show
        let hidden = |mark: &Mark| mark.at.distance(at) + SPREAD_PX < mark.radius + 0.5 * radius;
        let reach = widest + 0.5 * radius - SPREAD_PX;
        let first = from_left.partition_point(|&mark| counted[mark].at.x < at.x - reach);
        let near = from_left[first..].iter().copied().take_while(|&mark| counted[mark].at.x <= at.x + reach);
        if let Some(mark) = near.filter(|&mark| hidden(&counted[mark])).min() {
            counted[mark].members.push(member);
        } else {
            members.push(member);
            circles.push(Movable {
                true_at: at,
                at,
                radius: placed[member].radius,
                most: SPREAD_PX,
                kind: Kind::Single,
            });
        }
    }
    let singles = circles.len();
    for mark in counted.iter() {
        circles.push(Movable { true_at: mark.at, at: mark.at, radius: mark.radius, most: 0.0, kind: Kind::Counted });
    }
    if bounds.part == Part::Map {
        // the home cross is left to be seen
        let home = bounds.layout.home;
        circles.push(Movable { true_at: home, at: home, radius: 2.2, most: 0.0, kind: Kind::Home });
    }
    let share = |a: &Movable, b: &Movable| if a.kind == b.kind { OVERLAP } else { 1.0 };
    relax(&mut circles, |a, b| share(a, b) * (a.radius + b.radius), bounds, rounds);
    circles
        .into_iter()
        .take(singles)
        .zip(members)
        .map(|(circle, member)| Mark { members: vec![member], at: circle.at, radius: circle.radius, part: bounds.part })
        .collect()
}
