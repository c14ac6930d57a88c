//! Revision flags: near their part where a free place exists, else in a row above the bike.

use kurbo::{Affine, BezPath, Point, Rect, Vec2};

use super::clearance::{Lines, cross, overlap, touches};
use super::scene::{Anchor, Form, Ink, Item, Scene, Text, Tint};
use super::style::Style;
use crate::lettering::Type;
use crate::picture::{Flag, Outline, Part};

/// Flags of one part, with one leader.
#[derive(Clone, Debug)]
pub struct Group {
    /// Letters in the order of the revisions.
    pub letters: Vec<char>,
    /// The place on the part, in units of the drawing.
    pub anchor: Point,
}

/// A group that has found its place.
#[derive(Clone, Debug)]
pub struct Placed {
    /// The box that its flags fill.
    pub rect: Rect,
    /// The leader, from the flags to the part.
    pub leader: (Point, Point),
    letters: Vec<char>,
    abreast: usize,
}

/// Most flags side by side in one group.
const ABREAST: usize = 4;

/// Least distance of two groups in the row.
const APART: f64 = 3.0;

/// Collects the flags of each part.
pub fn groups(flags: &[Flag], outline: &Outline, to_paper: Affine) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for flag in flags {
        let anchor = to_paper * anchor(flag.part, outline);
        match groups.iter_mut().find(|group| group.anchor.distance(anchor) < 1.0) {
            Some(group) => group.letters.push(flag.letter),
            None => groups.push(Group { letters: vec![flag.letter], anchor }),
        }
    }
    groups
}

/// Where a flag's leader ends on the bike.
fn anchor(part: Part, outline: &Outline) -> Point {
    let head = outline.head_tube_top;
    let up = -outline.axis_down.normalize();
    let bb = outline.bottom_bracket;
    let cockpit = outline.cockpit.as_ref();
    match part {
        Part::Bar => cockpit.map_or(head, |c| c.bar_clamp.lerp(c.grip, 0.8)),
        Part::Stem => cockpit.map_or(head, |c| c.stem_clamp.lerp(c.bar_clamp, 0.35)),
        Part::Spacers => cockpit.map_or(head, |c| {
            let base = head + up * outline.upper_stack;
            base.lerp(c.stem_clamp - up * (c.clamp_height / 2.0), 0.5)
        }),
        Part::UpperHeadset => head + up * (outline.upper_stack / 2.0),
        Part::LowerHeadset => outline.head_tube_bottom.midpoint(outline.crown),
        Part::HeadTube => head.midpoint(outline.head_tube_bottom),
        Part::Fork => outline.crown.lerp(outline.front_axle, 0.45),
        Part::FrontWheel => outline.front_axle + Vec2::new(0.54, 0.8) * outline.front_radius,
        Part::RearWheel => outline.rear_axle + Vec2::new(-0.54, 0.8) * outline.rear_radius,
        Part::Saddle => outline.saddle_top.unwrap_or(bb + outline.seat_up * 300.0),
        Part::Crank => bb + Vec2::new(0.848, -0.53) * (outline.crank.unwrap_or(0.0) * 0.55),
        Part::Shock => bb.lerp(outline.head_tube_bottom, 0.28) + Vec2::new(0.0, 40.0),
        Part::Chainstay => outline.rear_axle.lerp(bb, 0.5),
        Part::BottomBracket => bb,
    }
}

/// Size of a group's box.
fn extent(letters: usize, abreast: usize, style: &Style) -> Vec2 {
    let columns = letters.min(abreast) as f64;
    let rows = letters.div_ceil(abreast) as f64;
    Vec2::new(
        columns * 2.0 * style.flag + (columns - 1.0) * 2.0,
        rows * 1.8 * style.flag + (rows - 1.0) * 2.0,
    )
}

/// Height that the reserved rows need.
pub fn row_height(groups: &[Group], width: f64, style: &Style) -> f64 {
    let (abreast, rows) = in_rows(groups, width, style);
    let tall = |group: &Group| extent(group.letters.len(), abreast, style).y;
    let row = groups.iter().map(tall).fold(0.0, f64::max) + APART;
    row * rows as f64 - APART + style.gap
}

/// Most flags side by side with which all groups fit in one row; a part's flags are stacked if need be. Where not even
/// that makes room, they take more rows.
fn in_rows(groups: &[Group], width: f64, style: &Style) -> (usize, usize) {
    let sizes = |abreast: usize| {
        groups.iter().map(move |group| extent(group.letters.len(), abreast, style).x + APART)
    };
    if let Some(abreast) = (1..=ABREAST).rev().find(|&abreast| sizes(abreast).sum::<f64>() <= width) {
        return (abreast, 1);
    }
    let widest = sizes(1).fold(0.0, f64::max);
    let fit = ((width / widest).floor() as usize).max(1);
    (1, groups.len().div_ceil(fit))
}

/// A place that a group may take.
#[derive(Clone, Copy)]
struct Place {
    rect: Rect,
    leader: (Point, Point),
}

impl Place {
    fn taken_by(self, group: &Group) -> Placed {
        Placed { rect: self.rect, leader: self.leader, letters: group.letters.clone(), abreast: ABREAST }
    }
}

/// What flags keep clear of.
pub struct Obstacles<'a> {
    /// Edges and thin lines.
    pub lines: &'a Lines,
    /// Texts.
    pub boxes: &'a [Rect],
    /// The enlarged region: no flag stands in it, but leaders may enter it.
    pub circle: Option<Rect>,
    /// Beyond it there is no place.
    pub area: Rect,
}

/// Looks for a free place near each part; none when a single group finds none.
pub fn near_parts(groups: &[Group], obstacles: &Obstacles, style: &Style) -> Option<Vec<Placed>> {
    let mut placed: Vec<Placed> = Vec::new();
    for group in groups {
        let place = cheapest(group, &placed, obstacles, style)?;
        placed.push(place.taken_by(group));
    }
    Some(placed)
}

/// The free place with the best leader.
fn cheapest(group: &Group, placed: &[Placed], obstacles: &Obstacles, style: &Style) -> Option<Place> {
    let size = extent(group.letters.len(), ABREAST, style);
    let mut best: Option<(f64, Place)> = None;
    for ring in 0..14 {
        let distance = style.flag * (2.4 + 0.8 * f64::from(ring)) + size.hypot() / 2.0 - style.flag;
        // No place costs less than its leader is long: what is longer than the best need not be looked at,
        // and on rings further out every leader is.
        let longer = |length: f64| best.is_some_and(|(least, _)| length >= least);
        if longer(distance - size.hypot() / 2.0) {
            break;
        }
        for place in ring_of(group.anchor, distance, size) {
            let longer = best.is_some_and(|(least, _)| length(&place) >= least);
            if longer || !is_free(&place, placed, obstacles, style) {
                continue;
            }
            let cost = cost(&place, obstacles.lines);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, place));
            }
        }
    }
    best.map(|(_, place)| place)
}

/// Places around a part, their middles at `distance` from it.
fn ring_of(anchor: Point, distance: f64, size: Vec2) -> impl Iterator<Item = Place> {
    (0..24).map(move |step| {
        let direction = Vec2::from_angle(f64::from(step) * std::f64::consts::TAU / 24.0);
        let rect = Rect::from_center_size(anchor + direction * distance, size.to_size());
        Place { rect, leader: leader(rect, anchor) }
    })
}

/// From the edge of the box to the part.
fn leader(rect: Rect, anchor: Point) -> (Point, Point) {
    let middle = rect.center();
    let share = super::clearance::inside(middle, anchor, rect).map_or(0.0, |(_, leave)| leave);
    (middle.lerp(anchor, share), anchor)
}

fn is_free(place: &Place, placed: &[Placed], obstacles: &Obstacles, style: &Style) -> bool {
    let rect = place.rect.inflate(style.edge + 2.0, style.edge + 2.0);
    let Obstacles { lines, boxes, circle, area } = obstacles;
    let within = rect.x0 >= area.x0 && rect.x1 <= area.x1 && rect.y0 >= area.y0 && rect.y1 <= area.y1;
    within
        && !circle.is_some_and(|circle| overlap(place.rect, circle))
        && boxes.iter().all(|other| !overlap(rect, *other) && !touches(&place.leader, *other))
        && placed.iter().all(|other| {
            !overlap(rect, other.rect.inflate(2.0, 2.0))
                && !touches(&other.leader, rect)
                && !touches(&place.leader, other.rect.inflate(2.0, 2.0))
                && !cross(&place.leader, &other.leader)
        })
        && !lines.any_touches(rect)
}

/// Short leaders that cross few lines are best.
fn cost(place: &Place, lines: &Lines) -> f64 {
    length(place) + 7.0 * lines.crossing(&place.leader) as f64
}

fn length(place: &Place) -> f64 {
    place.leader.0.distance(place.leader.1)
}

/// A row above the bike, whose leaders do not cross: every swap that uncrosses two shortens their sum.
pub fn in_row(groups: &[Group], area: Rect, style: &Style) -> Vec<Placed> {
    let mut order: Vec<usize> = (0..groups.len()).collect();
    order.sort_by(|&a, &b| groups[a].anchor.x.total_cmp(&groups[b].anchor.x));
    loop {
        let placed = row_of(groups, &order, area, style);
        let crossing = (0..placed.len())
            .flat_map(|i| (0..i).map(move |j| (j, i)))
            .find(|&(j, i)| shortens(&placed, groups, &order, (j, i)));
        match crossing {
            Some((j, i)) => order.swap(j, i),
            None => return placed,
        }
    }
}

/// True when the two leaders cross and a swap makes their sum clearly shorter.
fn shortens(placed: &[Placed], groups: &[Group], order: &[usize], (j, i): (usize, usize)) -> bool {
    let ends = (groups[order[j]].anchor, groups[order[i]].anchor);
    let starts = (placed[j].rect.center(), placed[i].rect.center());
    let equal_width = groups[order[j]].letters.len() == groups[order[i]].letters.len();
    equal_width
        && starts.0.distance(ends.1) + starts.1.distance(ends.0) + 1e-6
            < starts.0.distance(ends.0) + starts.1.distance(ends.1)
}

fn row_of(groups: &[Group], order: &[usize], area: Rect, style: &Style) -> Vec<Placed> {
    let (abreast, rows) = in_rows(groups, area.width(), style);
    let tall = |&index: &usize| extent(groups[index].letters.len(), abreast, style).y;
    let height = order.iter().map(tall).fold(0.0, f64::max) + APART;
    let mut placed = Vec::new();
    // One middle for all rows: a swap of two groups of a width then moves nothing else, so that every swap shortens the sum.
    let middle = groups.iter().map(|group| group.anchor.x).sum::<f64>() / groups.len().max(1) as f64;
    for (row, order) in order.chunks(order.len().div_ceil(rows).max(1)).enumerate() {
        let bottom = area.y1 - height * row as f64;
        one_row(groups, order, Rect { y1: bottom, ..area }, middle, abreast, style, &mut placed);
    }
    placed
}

/// Groups side by side along the bottom of `area`, about `middle`.
fn one_row(
    groups: &[Group],
    order: &[usize],
    area: Rect,
    middle: f64,
    abreast: usize,
    style: &Style,
    placed: &mut Vec<Placed>,
) {
    let sizes: Vec<Vec2> =
        order.iter().map(|&index| extent(groups[index].letters.len(), abreast, style)).collect();
    let total: f64 = sizes.iter().map(|size| size.x).sum();
    let free = (area.width() - total).max(0.0);
    let gap = (free / (sizes.len() + 1) as f64).min(style.gap * 4.0);
    let used = total + gap * (sizes.len() as f64 - 1.0);
    let latest = (area.x1 - used).max(area.x0);
    let mut x = (middle - used / 2.0).clamp(area.x0, latest);
    for (&index, size) in order.iter().zip(&sizes) {
        let rect = Rect::new(x, area.y1 - size.y, x + size.x, area.y1);
        let start = Point::new(rect.center().x, rect.y1);
        let letters = groups[index].letters.clone();
        placed.push(Placed { rect, leader: (start, groups[index].anchor), letters, abreast });
        x += size.x + gap;
    }
}

/// Draws leaders first, then the flags on them.
pub fn draw(scene: &mut Scene, placed: &[Placed], style: &Style) {
    for group in placed {
        scene.line(Ink::Leader, group.leader.0, group.leader.1);
        scene.draw(Ink::Dot, Form::Circle(kurbo::Circle::new(group.leader.1, style.flag * 0.24)));
    }
    for group in placed {
        scene.boxes.push(group.rect);
        scene.clear.push(group.rect);
        for (index, letter) in group.letters.iter().enumerate() {
            let column = (index % group.abreast) as f64;
            let row = (index / group.abreast) as f64;
            let middle = Point::new(
                group.rect.x0 + style.flag + column * (2.0 * style.flag + 2.0),
                group.rect.y0 + style.flag * 0.9 + row * (1.8 * style.flag + 2.0),
            );
            draw_one(scene, middle, *letter, style);
        }
    }
}

/// One flag: a filled hexagon with its letter in the colour of the paper.
pub fn draw_one(scene: &mut Scene, middle: Point, letter: char, style: &Style) {
    let mut body = BezPath::new();
    let (wide, high) = (style.flag, style.flag * 0.9);
    let corners = [(-1.0, 0.0), (-0.52, -1.0), (0.52, -1.0), (1.0, 0.0), (0.52, 1.0), (-0.52, 1.0)];
    for (index, (x, y)) in corners.into_iter().enumerate() {
        let corner = middle + Vec2::new(x * wide, y * high);
        if index == 0 { body.move_to(corner) } else { body.line_to(corner) }
    }
    body.close_path();
    scene.draw(Ink::Flag, Form::Path(body));
    let face = Type::semibold(style.text.min((style.flag * 1.35) as u8).max(11));
    // Half a capital's height below the middle.
    let at = middle + Vec2::new(0.0, f64::from(face.size) * 0.349);
    let words = letter.to_string();
    scene.items.push(Item::Text(Text::level(at, Anchor::Middle, face, Tint::OnFlag, words)));
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn group() -> impl Strategy<Value = Group> {
        (1_usize..4, 10.0..150.0, 0.0..80.0)
            .prop_map(|(letters, x, y)| Group { letters: vec!['A'; letters], anchor: Point::new(x, y) })
    }

    /// Groups that once were swapped between two rows for ever, as each swap moved both rows.
    #[test]
    fn groups_that_once_went_to_and_fro_settle() {
        let groups = [
            (1, 16.3, 52.5),
            (2, 119.2, 56.9),
            (1, 48.9, 5.1),
            (1, 50.8, 75.3),
            (3, 81.6, 61.5),
            (1, 104.8, 20.7),
            (2, 142.2, 56.8),
            (1, 106.0, 23.8),
            (1, 111.6, 39.4),
            (3, 112.9, 12.3),
        ]
        .map(|(letters, x, y)| Group { letters: vec!['A'; letters], anchor: Point::new(x, y) });
        for width in 60..400 {
            let style = &Style::PHONE;
            let width = f64::from(width);
            let row = Rect::new(0.0, -row_height(&groups, width, style), width, -style.gap * 0.6);
            assert_eq!(in_row(&groups, row, style).len(), groups.len());
        }
    }

    proptest! {
        /// However many groups stand in however many rows: the search for their order ends, each stands once, and no swap of two
        /// of a width would shorten the leaders.
        #[test]
        fn a_row_settles(groups in prop::collection::vec(group(), 1..16), width in 60.0..400.0) {
            let area = Rect::new(0.0, -200.0, width, -10.0);
            let placed = in_row(&groups, area, &Style::PHONE);
            prop_assert_eq!(placed.len(), groups.len());
            let sum = |one: usize, other: usize| {
                let (from, to) = (placed[one].rect.center(), placed[other].leader.1);
                from.distance(to)
            };
            for (i, j) in (0..placed.len()).flat_map(|i| (0..i).map(move |j| (i, j))) {
                let alike = placed[i].letters.len() == placed[j].letters.len();
                prop_assert!(!alike || sum(i, j) + sum(j, i) + 1e-5 > sum(i, i) + sum(j, j));
            }
        }
    }
}
