//! The bike from its right side with dimensions and flags around it, fitted into a width.

use kurbo::{Affine, Circle, Point, Rect, Size, Vec2};

use super::angles::Angle;
use super::bike::{self, Build, Shape};
use super::clearance::{Lines, overlap, touches};
use super::detail::Region;
use super::flags::Obstacles;
use super::lanes::Lanes;
use super::scene::{Anchor, Form, Ink, Item, Scene, Text, Tint};
use super::style::Style;
use super::wording::Wording;
use super::{angles, flags, lanes};
use crate::lettering::Type;
use crate::picture::Picture;

/// A laid-out elevation with its box at the origin.
pub struct Elevation {
    /// All of it.
    pub scene: Scene,
    /// Width and height that it fills.
    pub size: Size,
    /// Units of the drawing to one millimetre of the bike.
    pub scale: f64,
}

/// The two bikes as shapes, with what all drawings of them share.
pub struct Bikes {
    /// As it is.
    pub before: Vec<Shape>,
    /// With every revision done.
    pub after: Vec<Shape>,
    /// What the detail view shows.
    pub region: Option<Region>,
    /// Box around both, mm.
    extent: Rect,
}

impl Bikes {
    /// Shapes of both, equally stout.
    pub fn of(picture: &Picture) -> Self {
        let build = Build::of(&picture.before, &picture.after);
        let before = bike::shapes(&picture.before, &build);
        let after = bike::shapes(&picture.after, &build);
        let forms = before.iter().chain(&after).map(|shape| shape.bounds);
        let extent = forms.reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        Self { before, after, region: Region::of(picture), extent }
    }

    /// Box around everything drawn at a scale, down to the ground, mm.
    fn bounds(&self, scale: f64, style: &Style) -> Rect {
        let all = self.extent.union_pt(Point::new(self.extent.x0, 0.0));
        match &self.region {
            Some(region) => {
                all.union(circle_box(Circle::new(region.center, circle_radius(region, scale, style))))
            }
            None => all,
        }
    }
}

/// Shapes of the old bike that lie elsewhere on the new one, or are gone.
pub fn moved<'a>(before: &'a [Shape], after: &[Shape], tolerance: f64) -> Vec<&'a Shape> {
    let mut moved = Vec::new();
    for (index, shape) in before.iter().enumerate() {
        // Lesser edges would only crowd the old bike's outline.
        if !matches!(shape.ink, Ink::Solid | Ink::Wide) {
            continue;
        }
        let nth = before[..index].iter().filter(|other| other.piece == shape.piece).count();
        let same = after.iter().filter(|other| other.piece == shape.piece).nth(nth);
        if same.is_none_or(|same| bike::differ(&shape.form, &same.form, tolerance)) {
            moved.push(shape);
        }
    }
    moved
}

/// The largest elevation no wider than `room.width` and no higher than `room.height`, at one of `scales`.
///
/// Scales are tried in order. Dimensions that leave too little for the bike stay in the table only.
pub fn fit(picture: &Picture, bikes: &Bikes, style: &Style, room: Size, scales: &[f64]) -> Elevation {
    let dimensions = picture.dimensions.iter().take(style.dimensions);
    let wordings: Vec<Wording> = dimensions.map(|dimension| Wording::of(dimension, style)).collect();
    let fits = |size: Size| size.width <= room.width && size.height <= room.height;
    for count in (0..=wordings.len()).rev() {
        let shown: Vec<&Wording> = wordings.iter().take(count).collect();
        // While a dimension can still be given up, the bike shall not shrink under two fifths of the width.
        let least = if shown.is_empty() { 0.0 } else { 0.4 * room.width };
        for &scale in scales {
            let (map, size) = frame(bikes, style, scale);
            if size.width < least {
                break;
            }
            // The lanes alone tell the width; drawing the bike and placing angles is the longer work.
            let lanes = lanes::lay_out(&shown, &picture.after, map, size, [0.0; 4], style);
            if lanes.outer().width > room.width {
                continue;
            }
            let draft = Draft::at(scale, picture, bikes, &shown, style);
            if fits(draft.lanes.outer()) {
                let elevation = draft.flagged(picture, style);
                if fits(elevation.size) {
                    return elevation;
                }
            }
        }
    }
    let scale = scales.last().copied().unwrap_or(0.1);
    Draft::at(scale, picture, bikes, &[], style).flagged(picture, style)
}

/// From bike millimetres to a box at the origin, and the size of that box.
fn frame(bikes: &Bikes, style: &Style, scale: f64) -> (Affine, Size) {
    let bounds = bikes.bounds(scale, style);
    let border = style.edge + 2.0;
    let map = Affine::translate((border, border))
        * Affine::scale_non_uniform(scale, -scale)
        * Affine::translate((-bounds.x0, -bounds.y1));
    let size = Size::new(bounds.width() * scale + 2.0 * border, bounds.height() * scale + 2.0 * border);
    (map, size)
}

/// One try at a scale, with everything but the flags.
struct Draft<'a> {
    drawing: Drawing,
    /// Dimensions outside the bike's box, when no flags stand above it.
    lanes: Lanes<'a>,
    /// The dimensions in those lanes.
    in_lanes: Vec<&'a Wording<'a>>,
    /// Arms of the angles.
    arms: Vec<(Point, Point)>,
    /// Box around the enlarged region.
    around: Option<Rect>,
    /// The bike's box.
    area: Rect,
}

impl<'a> Draft<'a> {
    fn at(scale: f64, picture: &Picture, bikes: &Bikes, wordings: &[&'a Wording<'a>], style: &Style) -> Self {
        let (map, size) = frame(bikes, style, scale);
        let area = Rect::from_origin_size(Point::ZERO, size);
        let mut drawing = Drawing { scene: Scene::default(), lines: Lines::over(area), map, scale };
        drawing.ground(picture, size, style);
        drawing.bike(bikes, scale);
        let around = bikes.region.map(|region| drawing.region(&region, area, style));
        let arms = angles::arms(wordings, &picture.after, map);
        drawing.lines.extend(arms.iter().copied());
        let in_lanes = drawing.angles(picture, wordings, area, style);
        let lanes = lanes::lay_out(&in_lanes, &picture.after, map, size, [0.0; 4], style);
        Self { drawing, lanes, in_lanes, arms, around, area }
    }

    /// The finished elevation.
    fn flagged(self, picture: &Picture, style: &Style) -> Elevation {
        let Self { mut drawing, mut lanes, in_lanes, arms, around, area } = self;
        let outline = &picture.after;
        let groups = flags::groups(&picture.flags, outline, drawing.map);
        drawing.lines.extend(lanes.thin(style));
        let (lines, boxes) = (&drawing.lines, drawing.scene.boxes.as_slice());
        let obstacles = Obstacles { lines, boxes, circle: around, area };
        let placed = flags::near_parts(&groups, &obstacles, style).unwrap_or_else(|| {
            let height = flags::row_height(&groups, area.width(), style);
            let row = Rect::new(0.0, -height, area.width(), -style.gap * 0.6);
            let kept = [height, 0.0, 0.0, 0.0];
            lanes = lanes::lay_out(&in_lanes, outline, drawing.map, area.size(), kept, style);
            flags::in_row(&groups, row, style)
        });
        let dimensions = lanes.draw(style);
        drawing.thin_lines(&dimensions, &lanes.thin(style), &arms, &placed);
        drawing.scene.place(dimensions, Vec2::ZERO);
        flags::draw(&mut drawing.scene, &placed, style);
        let mut scene = Scene::default();
        scene.place(drawing.scene, Vec2::new(lanes.room[3], lanes.room[0]));
        Elevation { scene, size: lanes.outer(), scale: drawing.scale }
    }
}

struct Drawing {
    scene: Scene,
    /// Every edge of the bike, as straight pieces, and what else texts and flags keep clear of.
    lines: Lines,
    map: Affine,
    scale: f64,
}

impl Drawing {
    fn ground(&mut self, picture: &Picture, size: Size, style: &Style) {
        let y = (self.map * picture.after.rear_axle.lerp(Point::ZERO, 1.0)).y;
        let (from, to) =
            (Point::new(0.0, y + style.edge / 2.0), Point::new(size.width, y + style.edge / 2.0));
        self.scene.line(Ink::Wide, from, to);
        self.lines.push((from, to));
    }

    fn bike(&mut self, bikes: &Bikes, scale: f64) {
        // Old edges lie under the new bike: what sticks out is what moved.
        for shape in moved(&bikes.before, &bikes.after, 0.3 / scale) {
            let form = shape.form.mapped(self.map);
            self.lines.extend(form.segments());
            self.scene.draw(Ink::Before, form);
        }
        for shape in &bikes.after {
            let form = shape.form.mapped(self.map);
            self.lines.extend(form.segments());
            self.scene.draw(shape.ink, form);
        }
    }

    /// Circle around the enlarged region with its letter; returns the box to keep free of flags.
    fn region(&mut self, region: &Region, area: Rect, style: &Style) -> Rect {
        let radius = circle_radius(region, self.scale, style) * self.scale;
        let center = self.map * region.center;
        let circle = Circle::new(center, radius);
        self.scene.draw(Ink::Detail, Form::Circle(circle));
        let face = Type::semibold(style.text);
        let letter = |middle: Point| {
            let at = middle + Vec2::new(0.0, f64::from(face.size) * 0.349);
            Text::level(at, Anchor::Middle, face, Tint::Ink, "Z")
        };
        let best = (0..36)
            .map(|step| {
                let direction = Vec2::from_angle(f64::from(step) * std::f64::consts::TAU / 36.0);
                letter(center + direction * (radius + f64::from(face.size) * 0.8))
            })
            .min_by_key(|text| {
                let rect = text.area().inflate(1.0, 0.0);
                let inside = area.contains(rect.origin()) && area.contains(Point::new(rect.x1, rect.y1));
                (!inside, self.lines.touching(rect))
            });
        if let Some(text) = best {
            self.scene.text(text);
        }
        circle_box(circle)
    }

    /// Draws the angles and returns the dimensions that still need a lane.
    ///
    /// An angle whose text finds no free place near its arc is told below the ground, in a lane.
    fn angles<'a>(
        &mut self,
        picture: &Picture,
        wordings: &[&'a Wording<'a>],
        area: Rect,
        style: &Style,
    ) -> Vec<&'a Wording<'a>> {
        // Where extension lines will run does not depend on the angles' texts.
        let all = lanes::lay_out(wordings, &picture.after, self.map, area.size(), [0.0; 4], style);
        let thin = all.thin(style);
        let mut rest = Vec::new();
        for &wording in wordings {
            let Some(angle) = Angle::of(wording.dimension.kind, &picture.after, self.map) else {
                rest.push(wording);
                continue;
            };
            angle.draw(&mut self.scene, style);
            self.lines.extend(Form::Path(angle.arc(style)).segments());
            let is_free = |rect: Rect| {
                area.union(rect) == area
                    && self.scene.boxes.iter().all(|other| !overlap(rect, *other))
                    && thin.iter().all(|line| !touches(line, rect))
                    && !self.lines.any_touches(rect)
            };
            match angle.label(wording.dimension, is_free, style) {
                Some(texts) => texts.into_iter().for_each(|text| self.scene.text(text)),
                None => rest.push(wording),
            }
        }
        rest
    }

    /// Extension lines and axes, interrupted where a text or flag stands.
    fn thin_lines(
        &mut self,
        dimensions: &Scene,
        thin: &[(Point, Point)],
        arms: &[(Point, Point)],
        placed: &[flags::Placed],
    ) {
        let flags = placed.iter().map(|flag| flag.rect);
        let boxes: Vec<Rect> =
            dimensions.boxes.iter().chain(&self.scene.boxes).copied().chain(flags).collect();
        let inks = thin.iter().map(|line| (Ink::Dimension, line));
        for (ink, (from, to)) in inks.chain(arms.iter().map(|line| (Ink::Centre, line))) {
            for (from, to) in lanes::cut(*from, *to, &boxes, 2.0) {
                self.scene.line(ink, from, to);
            }
        }
    }
}

/// Radius of the circle around the enlarged region, mm: never too small to be seen.
fn circle_radius(region: &Region, scale: f64, style: &Style) -> f64 {
    region.least_radius().max(style.flag / scale)
}

fn circle_box(circle: Circle) -> Rect {
    kurbo::Shape::bounding_box(&circle)
}

/// Items of a scene, for those who compose several.
pub fn single(item: Item) -> Scene {
    Scene { items: vec![item], ..Scene::default() }
}
