//! Ways to lay the chain, side by side at one scale: the wheels that it runs over, how hard each run is pulled, how high
//! its lowest point is above the ground.

use kurbo::{Affine, Circle, Line, Point, Rect, Shape as _, Size, Vec2};

use super::wrap::Wrap;
use super::{MARGIN, Room, STRONG, WIDTH, WORDS, known, known_point, quiet};
use crate::drawing::lanes::head;
use crate::drawing::scene::{Anchor, Form, Group, Ink, Item, Scene, Text, Tint};
use crate::lettering::Type;
use crate::part::LaidOut;
use crate::tie::tied;

/// Between two drawings beside each other.
const GUTTER: f64 = 14.0;
/// Between two rows.
const GAP: f64 = 12.0;
/// Free border around the chain, mm.
const BORDER: f64 = 26.0;
/// Most that the chain takes in height.
const HIGHEST: f64 = 150.0;
/// Width of the run that is pulled hardest, and of one without any pull.
const WIDTHS: (f64, f64) = (5.0, 0.8);
/// Width of [`Ink::Chain`], which a group scales.
const CHAIN: f64 = 2.4;
/// Width of [`Ink::SlackChain`].
const SLACK_WIDTH: f64 = 1.2;
/// A run that is pulled no harder than this share of the hardest is slack.
const SLACK: f64 = 0.04;
/// Teeth, and the height above the ground.
const TEETH: Type = Type::regular(11);

/// The common scale of all drawings.
struct View {
    region: Rect,
    scale: f64,
    /// Width of one drawing.
    cell: f64,
    /// The hardest pull of all, N.
    hardest: f64,
}

/// All of them.
pub(super) fn compose(layouts: &[LaidOut]) -> (Scene, Size) {
    let abreast = layouts.len().clamp(1, 2);
    let cell = (WIDTH - 2.0 * MARGIN - GUTTER * (abreast - 1) as f64) / abreast as f64;
    let view = View::of(layouts, cell);
    let mut scene = Scene::default();
    let mut y = MARGIN;
    for row in layouts.chunks(abreast) {
        let names = row.iter().map(|layout| STRONG.wrap(&layout.label, cell).len()).max().unwrap_or(0);
        let top = names as f64 * STRONG.line_height();
        let mut height: f64 = 0.0;
        for (place, layout) in row.iter().enumerate() {
            let (drawn, deep) = view.drawn(layout, top);
            scene.place(drawn, Vec2::new(MARGIN + place as f64 * (cell + GUTTER), y));
            height = height.max(deep);
        }
        y += height + GAP;
    }
    if !layouts.is_empty() {
        let key = quiet(
            Point::new(MARGIN, y + 10.0),
            Anchor::Start,
            "The harder a run is pulled, the wider it is drawn.",
        );
        scene.text(key);
        y += 10.0 + GAP;
    }
    (scene, Size::new(WIDTH, (y - GAP + MARGIN * 2.0).max(2.0 * MARGIN)))
}

impl View {
    fn of(layouts: &[LaidOut], cell: f64) -> Self {
        let chain = layouts.iter().flat_map(|layout| {
            let wheels = wheels(layout).map(|(circle, _)| circle.bounding_box());
            wheels.chain(runs(layout).map(|(from, to, _)| Rect::from_points(from, to))).collect::<Vec<_>>()
        });
        let around =
            chain.reduce(|all, one| all.union(one)).unwrap_or(Rect::new(-100.0, -100.0, 100.0, 100.0));
        let grounds = layouts.iter().map(|layout| layout.ground).filter(|ground| known(*ground));
        let ground = grounds.fold(around.y0, f64::min);
        let mut region = around.inflate(BORDER, BORDER * 0.6);
        region.y0 = region.y0.min(ground - 4.0);
        let scale = (cell / region.width()).min(HIGHEST / region.height());
        // What is left over in the width shows more of the tyre.
        let spare = cell / scale - region.width();
        region.x0 -= spare * 0.6;
        region.x1 += spare * 0.4;
        let pulls = layouts.iter().flat_map(|layout| layout.runs.iter().map(|run| run.2));
        let hardest = pulls.filter(|pull| known(*pull)).fold(0.0, f64::max);
        Self { region, scale, cell, hardest }
    }

    /// Frame axes to a drawing whose top is at `top`.
    fn map(&self, top: f64) -> Affine {
        let (scale, region) = (self.scale, self.region);
        Affine::new([scale, 0.0, 0.0, -scale, -region.x0 * scale, top + region.y1 * scale])
    }

    /// One of them, with its name in the `top`, and how high it is.
    fn drawn(&self, layout: &LaidOut, top: f64) -> (Scene, f64) {
        let mut scene = Scene::default();
        let leading = WORDS.line_height();
        for (place, line) in STRONG.wrap(&layout.label, self.cell).into_iter().enumerate() {
            let at = Point::new(0.0, (place as f64 + 0.75) * leading);
            scene.text(Text::level(at, Anchor::Start, STRONG, Tint::Ink, line));
        }
        let map = self.map(top);
        let field = Rect::new(0.0, top, self.cell, top + self.region.height() * self.scale);
        let mut lines = standing(&mut scene, layout, map, field);
        lines.extend(self.chain(&mut scene, layout, map));
        clearance(&mut scene, layout, map, field, &mut lines);
        teeth(&mut scene, layout, map, field, &lines);
        let mut y = field.y1;
        for line in WORDS.wrap(&tied(&pulls(layout)), self.cell) {
            y += leading;
            scene.text(quiet(Point::new(0.0, y), Anchor::Start, line));
        }
        (scene, y + leading * 0.3)
    }

    /// Wheels, the chain on them, and its runs, as wide as they are pulled; gives their lines.
    fn chain(&self, scene: &mut Scene, layout: &LaidOut, map: Affine) -> Vec<(Point, Point)> {
        let mut lines = Vec::new();
        for (circle, _) in wheels(layout) {
            let drawn = Form::Circle(circle).mapped(map);
            lines.extend(drawn.segments());
            scene.draw(Ink::Fine, drawn);
            scene.draw(Ink::Point, Form::Circle(Circle::new(map * circle.center, 1.3)));
            if let Some(wrap) = Wrap::of(circle, layout) {
                let widths = wrap.pulls.map(|pull| self.width(pull));
                scene.draw(Ink::Point, Form::Path(wrap.tapered(widths, self.scale, map)));
            }
        }
        for (from, to, pull) in runs(layout) {
            let (from, to) = (map * from, map * to);
            let width = self.width(pull);
            if width == SLACK_WIDTH {
                scene.line(Ink::SlackChain, from, to);
            } else {
                scene.items.push(run((from, to), width));
            }
            let way = (to - from).normalize() * width / 2.0;
            let aside = if way.is_finite() { Vec2::new(-way.y, way.x) } else { Vec2::ZERO };
            lines.extend([aside, -aside].map(|aside| (from + aside, to + aside)));
        }
        lines
    }

    /// How wide a run of that pull is drawn.
    fn width(&self, pull: f64) -> f64 {
        let share = if self.hardest > 0.0 { (pull / self.hardest).clamp(0.0, 1.0) } else { 0.0 };
        if share <= SLACK { SLACK_WIDTH } else { WIDTHS.1 + (WIDTHS.0 - WIDTHS.1) * share.sqrt() }
    }
}

/// The ground and the tyre on it; gives their lines.
fn standing(scene: &mut Scene, layout: &LaidOut, map: Affine, field: Rect) -> Vec<(Point, Point)> {
    if !known(layout.ground) {
        return Vec::new();
    }
    let y = (map * Point::new(0.0, layout.ground)).y;
    let ground = (Point::new(field.x0, y), Point::new(field.x1, y));
    scene.line(Ink::Wide, ground.0, ground.1);
    let mut lines = vec![ground];
    if let Some(axle) = axle(layout) {
        let tyre = Form::Circle(Circle::new(axle, layout.tyre)).mapped(map);
        lines.extend(tyre.segments());
        scene.items.push(Item::Cropped(field, vec![Item::Drawn(Ink::Ghost, tyre)]));
    }
    lines
}

/// A run of the chain of that width: the style sheet knows one width of chain, a group scales it.
fn run((from, to): (Point, Point), width: f64) -> Item {
    let scale = width / CHAIN;
    // A little over its ends, so that no paper shows between it and the wheels.
    let way = (to - from).normalize() * 0.5;
    let way = if way.is_finite() { way } else { Vec2::ZERO };
    let path = Affine::scale(1.0 / scale) * Line::new(from - way, to + way).to_path(0.1);
    let items = vec![Item::Drawn(Ink::Chain, Form::Path(path))];
    Item::Group(Group { attributes: Vec::new(), map: Some(Affine::scale(scale)), items })
}

fn wheels(layout: &LaidOut) -> impl Iterator<Item = (Circle, &str)> {
    let all =
        layout.wheels.iter().filter(|(at, radius, _)| known_point(*at) && known(*radius) && *radius > 0.0);
    all.map(|(at, radius, teeth)| (Circle::new(*at, *radius), teeth.as_str()))
}

pub(super) fn runs(layout: &LaidOut) -> impl Iterator<Item = (Point, Point, f64)> {
    let ends = layout.runs.iter().copied().filter(|(from, to, _)| known_point(*from) && known_point(*to));
    ends.map(|(from, to, pull)| (from, to, if known(pull) { pull } else { 0.0 }))
}

/// The wheel's axle: the wheel of the chain that stands a tyre's radius above the ground.
fn axle(layout: &LaidOut) -> Option<Point> {
    let height = layout.ground + layout.tyre;
    let off = |at: &Point| (at.y - height).abs();
    let behind = wheels(layout).skip(1).map(|(circle, _)| circle.center);
    let nearest = behind.min_by(|a, b| off(a).total_cmp(&off(b)));
    nearest.filter(|_| known(layout.tyre) && layout.tyre > 0.0)
}

/// The chain's lowest point.
fn lowest(layout: &LaidOut) -> Option<Point> {
    let ends = runs(layout).flat_map(|(from, to, _)| [from, to]);
    let wraps = wheels(layout).filter_map(|(circle, _)| Wrap::of(circle, layout));
    let arcs = wraps.flat_map(|wrap| Wrap::shares().map(|share| wrap.at(share, 0.0)).collect::<Vec<_>>());
    ends.chain(arcs).min_by(|a, b| a.y.total_cmp(&b.y))
}

/// The height of the chain's lowest point above the ground, as a dimension.
fn clearance(scene: &mut Scene, layout: &LaidOut, map: Affine, field: Rect, lines: &mut Vec<(Point, Point)>) {
    let Some(lowest) = lowest(layout).filter(|lowest| known(layout.ground) && lowest.y > layout.ground)
    else {
        return;
    };
    let (top, foot) = (map * lowest, map * Point::new(lowest.x, layout.ground));
    scene.line(Ink::Dimension, top, foot);
    let up = Vec2::new(0.0, -1.0);
    if foot.y - top.y > 16.0 {
        scene.draw(Ink::Arrowhead, head(top, up, 6.5));
        scene.draw(Ink::Arrowhead, head(foot, -up, 6.5));
    }
    lines.push((top, foot));
    let room = Room { within: field, lines };
    let middle = f64::midpoint(top.y, foot.y) + 4.0;
    let places = [0.0, 5.0, -5.0, 10.0, -10.0, 15.0, 20.0, 25.0].into_iter().flat_map(|down| {
        [4.0, 10.0, 18.0, 28.0, 40.0].into_iter().flat_map(move |aside| {
            [(aside, Anchor::Start), (-aside, Anchor::End)]
                .map(|(aside, anchor)| (Point::new(top.x + aside, middle + down), anchor))
        })
    });
    let texts = places.map(|(at, anchor)| Text::level(at, anchor, TEETH, Tint::Ink, &layout.clearance));
    room.place(scene, texts);
}

/// Teeth in each wheel that is large enough, else beside it.
fn teeth(scene: &mut Scene, layout: &LaidOut, map: Affine, field: Rect, lines: &[(Point, Point)]) {
    let room = Room { within: field, lines };
    let mut all: Vec<_> = wheels(layout).collect();
    all.sort_by(|a, b| b.0.radius.total_cmp(&a.0.radius));
    let scale = map.determinant().abs().sqrt();
    // In another wheel a name would be taken for that one's.
    let others = |own: Circle| all.iter().map(|(circle, _)| *circle).filter(move |other| *other != own);
    for (circle, teeth) in &all {
        let (circle, teeth) = (*circle, *teeth);
        let in_other = |at: Point| {
            others(circle).any(|other| at.distance(map * other.center) < other.radius * scale + 4.0)
        };
        let (at, radius) = (map * circle.center, circle.radius * scale);
        let mut places = vec![at + Vec2::new(0.0, 13.0)];
        for away in [5.0, 9.0, 14.0, 20.0, 28.0] {
            // Above first: below is the chain's other run.
            for turn in [-90.0_f64, -45.0, -135.0, 0.0, 180.0, 45.0, 135.0, 90.0] {
                let way = Vec2::from_angle(turn.to_radians());
                let half = Vec2::new(TEETH.width(teeth) / 2.0 * way.x, 6.0 * way.y);
                places.push(at + way * (radius + away) + half + Vec2::new(0.0, 4.0));
            }
        }
        let own = places.into_iter().filter(|at| !in_other(*at - Vec2::new(0.0, 4.0)));
        let texts = own.map(|at| Text::level(at, Anchor::Middle, TEETH, Tint::Quiet, teeth));
        room.place(scene, texts);
    }
}

/// The pulls in words.
fn pulls(layout: &LaidOut) -> String {
    let named = [("tight run ", &layout.tight), ("slack ", &layout.slack)];
    let told = named.iter().filter(|(_, pull)| !pull.is_empty());
    told.map(|(name, pull)| format!("{name}{pull}")).collect::<Vec<_>>().join(" · ")
}
