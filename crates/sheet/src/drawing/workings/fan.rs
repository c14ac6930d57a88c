//! The chain from above, from each ring to each cog. The bike faces right, so the drive side is below.

use kurbo::{Point, Rect, Size, Vec2};

use super::{MARGIN, Room, STRONG, WIDTH, WORDS, ends_first, known, quiet};
use crate::drawing::clearance::touches;
use crate::drawing::scene::{Anchor, Ink, Scene, Text, Tint};
use crate::lettering::Type;
use crate::part::Fan;

/// Height of the frame's middle plane where all lies on the drive side of it.
const TOP: f64 = 28.0;
/// Most that the whole may take sideways.
const ASIDE: f64 = 214.0;
/// Half the length of a ring's and of a cog's stroke.
const HALF: (f64, f64) = (16.0, 9.0);
/// Half the width of a stroke.
const THICK: f64 = 1.5;
/// From a stroke to its name.
const NEXT: f64 = 5.0;
/// Widest room kept for the names of rings and cogs.
const NAMES: f64 = 84.0;
/// The angle of the chain that runs most askew.
const ANGLE: Type = Type::semibold(13);

/// How the fan lies on the figure.
struct View {
    rear: f64,
    front: f64,
    /// Least distance from the middle plane, mm: 0 where nothing lies beyond it.
    least: f64,
    /// The greatest.
    most: f64,
    /// Units to the millimetre sideways.
    aside: f64,
    /// How many times that is the scale along the bike; none where the latter is not known.
    times: Option<f64>,
}

impl View {
    fn of(fan: &Fan) -> Self {
        let widest = |list: &[(f64, String)]| {
            list.iter().map(|(_, name)| WORDS.width(name)).fold(0.0, f64::max).min(NAMES)
        };
        // Names of cogs stand in two columns where they are close to each other.
        let rear = MARGIN + 2.0 * (widest(&fan.cogs) + NEXT) + HALF.1 + 4.0;
        let front = WIDTH - MARGIN - widest(&fan.rings) - NEXT - HALF.0;
        let laterals = fan.rings.iter().chain(&fan.cogs).map(|(lateral, _)| *lateral).filter(|l| known(*l));
        let (least, most) = laterals
            .fold((0.0_f64, 10.0_f64), |(least, most), lateral| (least.min(lateral), most.max(lateral)));
        let along = (known(fan.centres) && fan.centres > 1.0).then(|| (front - rear) / fan.centres);
        let fitting = ASIDE / (most - least);
        let times =
            along.map(|along| fitting / along).map(|times| if times > 1.0 { times.floor() } else { times });
        let aside = times.zip(along).map_or(fitting, |(times, along)| times * along);
        Self { rear, front, least, most, aside, times }
    }

    fn y(&self, lateral: f64) -> f64 {
        TOP + (lateral - self.least) * self.aside
    }

    fn cog(&self, lateral: f64) -> Point {
        Point::new(self.rear, self.y(lateral))
    }

    fn ring(&self, lateral: f64) -> Point {
        Point::new(self.front, self.y(lateral))
    }

    fn foot(&self) -> f64 {
        self.y(self.most) + 12.0
    }
}

/// The whole figure.
pub(super) fn compose(fan: &Fan) -> (Scene, Size) {
    let view = View::of(fan);
    let mut scene = Scene::default();
    let mut lines = planes(&mut scene, &view);
    lines.extend(chains(&mut scene, fan, &view));
    let mut marks = Vec::new();
    for (lateral, _) in fan.cogs.iter().filter(|(lateral, _)| known(*lateral)) {
        marks.push(stroke(&mut scene, view.cog(*lateral), HALF.1));
    }
    for (lateral, _) in fan.rings.iter().filter(|(lateral, _)| known(*lateral)) {
        marks.push(stroke(&mut scene, view.ring(*lateral), HALF.0));
    }
    lines.extend(marks);
    names(&mut scene, fan, &view, &lines);
    angle(&mut scene, fan, &view, &lines);
    let height = words(&mut scene, &view, &lines, worst(fan, &view).is_some());
    (scene, Size::new(WIDTH, height))
}

/// The frame's middle plane, and the axes of ring and rear wheel.
fn planes(scene: &mut Scene, view: &View) -> Vec<(Point, Point)> {
    let level = view.y(0.0);
    let plane = (Point::new(MARGIN, level), Point::new(WIDTH - MARGIN, level));
    scene.line(Ink::Centre, plane.0, plane.1);
    let mut lines = vec![plane];
    for x in [view.rear, view.front] {
        let axis = (Point::new(x, TOP - 8.0), Point::new(x, view.foot()));
        scene.line(Ink::Centre, axis.0, axis.1);
        lines.push(axis);
    }
    lines
}

/// The chain in every gear; the one that runs most askew is wide and on top.
fn chains(scene: &mut Scene, fan: &Fan, view: &View) -> Vec<(Point, Point)> {
    let worst = worst(fan, view);
    let mut lines = Vec::new();
    for (ring, _) in fan.rings.iter().filter(|(lateral, _)| known(*lateral)) {
        for (cog, _) in fan.cogs.iter().filter(|(lateral, _)| known(*lateral)) {
            let line = (view.cog(*cog), view.ring(*ring));
            if Some(line) != worst {
                scene.line(Ink::Ghost, line.0, line.1);
            }
            lines.push(line);
        }
    }
    if let Some((from, to)) = worst {
        scene.line(Ink::Chain, from, to);
    }
    lines
}

fn worst(fan: &Fan, view: &View) -> Option<(Point, Point)> {
    let (ring, cog, _) = &fan.worst;
    let (ring, cog) = (fan.rings.get(*ring)?.0, fan.cogs.get(*cog)?.0);
    (known(ring) && known(cog)).then(|| (view.cog(cog), view.ring(ring)))
}

/// A wheel seen from above.
fn stroke(scene: &mut Scene, at: Point, half: f64) -> (Point, Point) {
    let along = Vec2::new(half, 0.0);
    scene.rect(Ink::Point, Rect::from_points(at - along, at + along).inflate(0.0, THICK));
    (at - along, at + along)
}

/// Teeth at the strokes.
fn names(scene: &mut Scene, fan: &Fan, view: &View, lines: &[(Point, Point)]) {
    let cogs: Vec<_> = fan.cogs.iter().filter(|(lateral, _)| known(*lateral)).collect();
    let orders = [(0..cogs.len()).collect::<Vec<_>>(), ends_first(cogs.len()).collect()];
    let tried = orders.map(|order| {
        let mut tried = scene.clone();
        cog_names(&mut tried, order.into_iter().map(|place| cogs[place]), view, lines);
        tried
    });
    // The order that names the most of them; of equals the second, which names the ends.
    if let Some(best) = tried.into_iter().max_by_key(|tried| tried.boxes.len()) {
        *scene = best;
    }
    let room = Room { within: around(view), lines };
    let rings: Vec<_> = fan.rings.iter().filter(|(lateral, _)| known(*lateral)).collect();
    for (lateral, name) in ends_first(rings.len()).map(|place| rings[place]) {
        let at = view.ring(*lateral) + Vec2::new(HALF.0 + NEXT, 4.0);
        room.place(scene, [Text::level(at, Anchor::Start, STRONG, Tint::Ink, name)]);
    }
}

/// Where names of rings and cogs may stand.
fn around(view: &View) -> Rect {
    Rect::new(MARGIN - 0.5, TOP - 14.0, WIDTH - MARGIN + 0.5, view.foot() + 6.0)
}

/// Teeth of the cogs, in a second column, with a thin line, where the first is full.
fn cog_names<'a>(
    scene: &mut Scene,
    cogs: impl Iterator<Item = &'a (f64, String)>,
    view: &View,
    lines: &[(Point, Point)],
) {
    let mut lines = lines.to_vec();
    let edge = view.rear - HALF.1 - NEXT;
    let far = f64::midpoint(MARGIN, edge) - NEXT / 2.0;
    for (lateral, name) in cogs {
        let y = view.y(*lateral);
        let text = |x: f64| Text::level(Point::new(x, y + 4.0), Anchor::End, WORDS, Tint::Ink, name);
        let leader = (Point::new(far + 2.0, y), Point::new(edge + NEXT - 1.0, y));
        let room = Room { within: around(view), lines: &lines };
        if room.place(scene, [text(edge)]).is_some() {
            continue;
        }
        let crossed = scene.boxes.iter().any(|area| touches(&leader, *area));
        if !crossed && room.place(scene, [text(far)]).is_some() {
            scene.line(Ink::Dimension, leader.0, leader.1);
            lines.push(leader);
        }
    }
}

/// The angle beside the chain that runs most askew, as near as there is a free place.
fn angle(scene: &mut Scene, fan: &Fan, view: &View, lines: &[(Point, Point)]) {
    let Some((from, to)) = worst(fan, view) else { return };
    let within = Rect::new(view.rear + 4.0, TOP + 2.0, view.front - 4.0, view.foot() + 6.0);
    let room = Room { within, lines };
    let mut places = Vec::new();
    for away in [11.0, 17.0, 26.0, 38.0, 52.0, 70.0, 90.0] {
        for share in [0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82] {
            let foot = from.lerp(to, share);
            places.extend([-away, away].map(|down| (foot, foot + Vec2::new(0.0, down))));
        }
    }
    let text = |at: Point| {
        Text::level(at + Vec2::new(0.0, 4.5), Anchor::Middle, ANGLE, Tint::Ink, fan.worst.2.clone())
    };
    let Some((foot, at)) = places.into_iter().find(|(_, at)| room.is_free(scene, text(*at).area())) else {
        return;
    };
    let down = at.y - foot.y;
    if down.abs() > 18.0 {
        scene.line(Ink::Dimension, Point::new(at.x, at.y - down.signum() * 9.0), foot);
    }
    scene.text(text(at));
}

/// What stands where, above and below; gives the figure's height.
fn words(scene: &mut Scene, view: &View, lines: &[(Point, Point)], is_askew: bool) -> f64 {
    let top = TOP - 14.0;
    let within = |x: f64, words: &str| {
        let half = WORDS.width(words) / 2.0;
        Point::new(x.clamp(MARGIN + half, WIDTH - MARGIN - half), top)
    };
    let axes = [("rear axle", view.rear), ("bottom bracket", view.front)];
    for (words, x) in axes {
        scene.text(quiet(within(x, words), Anchor::Middle, words));
    }
    let middle = f64::midpoint(view.rear, view.front);
    let plane = [-6.0, 15.0].map(|down| Point::new(middle, view.y(0.0) + down));
    let room = Room { within: around(view), lines };
    room.place(scene, plane.map(|at| quiet(at, Anchor::Middle, "frame\u{2019}s middle plane")));
    let scale = match view.times {
        Some(times) if times > 1.0 => format!("sideways {times:.0} times enlarged"),
        Some(1.0) => "sideways to the same scale".to_owned(),
        _ => "sideways not to scale".to_owned(),
    };
    let foot = view.foot() + 18.0;
    let leading = WORDS.line_height();
    let mut said = vec![format!("Seen from above, the drive side below, {scale}.")];
    if is_askew {
        said.push("Wide: the chain that runs most askew.".to_owned());
    }
    let last = foot + (said.len() - 1) as f64 * leading;
    for (place, words) in said.into_iter().enumerate() {
        let at = Point::new(WIDTH / 2.0, foot + place as f64 * leading);
        scene.text(quiet(at, Anchor::Middle, words));
    }
    last + 5.0
}
