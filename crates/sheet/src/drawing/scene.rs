//! The finished drawing: every line, circle and letter at its place, before it becomes SVG.

use kurbo::{Affine, BezPath, Circle, PathEl, Point, Rect, Shape as _, Vec2};

use crate::lettering::{ASCENT, DESCENT, Type};

/// Kinds of line and area; each is one class of the style sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Visible edge in wide continuous line, filled with paper so that it hides what lies behind.
    Solid,
    /// Visible edge in wide continuous line, open or see-through.
    Wide,
    /// Lesser edge of a part, continuous narrow line.
    Fine,
    /// Lesser edge, filled with paper.
    FineSolid,
    /// The old position: narrow long-dashed double-dotted line (ISO 128 type 05).
    Before,
    /// Centre line and axis: narrow long-dashed dotted line (ISO 128 type 04).
    Centre,
    /// Dimension and extension lines.
    Dimension,
    /// Arrowheads of dimensions.
    Arrowhead,
    /// Leader from a flag to its part.
    Leader,
    /// The dot in which a leader ends.
    Dot,
    /// Body of a revision flag.
    Flag,
    /// Arrow from the old to the new place.
    Motion,
    /// Head of that arrow.
    MotionHead,
    /// The circle around an enlarged region.
    Detail,
    /// Rule under a table row.
    Rule,
    /// Frame of the sheet, of the title block and under a table's head.
    Frame,
    /// The sheet itself.
    Paper,
    /// A curve of a chart.
    Curve,
    /// A further curve of the same chart: narrower, so that the two are told apart without colour.
    Second,
    /// Where a curve lies within its tolerance.
    Band,
    /// A point of interest: an axis, a place on a curve.
    Point,
    /// A part in another position than the one that is drawn: narrow continuous line.
    Ghost,
    /// The chain, as wide as it is: its width is in the units of the group that it stands in.
    Chain,
    /// The chain's slack run.
    SlackChain,
}

/// Colours of a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tint {
    /// Ordinary words.
    Ink,
    /// Labels of lesser weight.
    Quiet,
    /// What changed.
    Change,
    /// What could hurt.
    Caution,
    /// On a flag.
    OnFlag,
}

/// Which point of a text its position names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Left end of the baseline.
    Start,
    /// Middle of the baseline.
    Middle,
    /// Right end of the baseline.
    End,
}

/// One line of text.
#[derive(Clone, Debug)]
pub struct Text {
    /// Point on the baseline.
    pub at: Point,
    /// Which point that is.
    pub anchor: Anchor,
    /// Turned a quarter turn to the left, readable from the right.
    pub turned: bool,
    /// Size and weight.
    pub face: Type,
    /// Colour.
    pub tint: Tint,
    /// The words.
    pub words: String,
}

impl Text {
    /// A level text.
    pub fn level(at: Point, anchor: Anchor, face: Type, tint: Tint, words: impl Into<String>) -> Self {
        Self { at, anchor, turned: false, face, tint, words: words.into() }
    }

    /// The box that the text fills.
    pub fn area(&self) -> Rect {
        let width = self.face.width(&self.words);
        let size = f64::from(self.face.size);
        let start = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -width / 2.0,
            Anchor::End => -width,
        };
        let Point { x, y } = self.at;
        if self.turned {
            // A quarter turn to the left sends "along the line" upward and "above the line" to the left.
            Rect::new(x - ASCENT * size, y - start - width, x + DESCENT * size, y - start)
        } else {
            Rect::new(x + start, y - ASCENT * size, x + start + width, y + DESCENT * size)
        }
    }
}

/// The shape of one drawn thing.
#[derive(Clone, Debug)]
pub enum Form {
    /// Lines and curves.
    Path(BezPath),
    /// A full circle.
    Circle(Circle),
}

impl Form {
    /// Moved and scaled by `map`, which must keep circles round.
    #[must_use]
    pub fn mapped(&self, map: Affine) -> Self {
        match self {
            Self::Path(path) => Self::Path(map * path),
            Self::Circle(circle) => {
                let scale = map.determinant().abs().sqrt();
                Self::Circle(Circle::new(map * circle.center, circle.radius * scale))
            }
        }
    }

    /// Smallest upright box around it.
    pub fn bounds(&self) -> Rect {
        match self {
            Self::Path(path) => path.bounding_box(),
            Self::Circle(circle) => circle.bounding_box(),
        }
    }

    /// Moved by `by`.
    fn shift(&mut self, by: Vec2) {
        match self {
            Self::Path(path) => path.apply_affine(Affine::translate(by)),
            Self::Circle(circle) => circle.center += by,
        }
    }

    /// Straight pieces that follow it to within half a unit.
    pub fn segments(&self) -> Vec<(Point, Point)> {
        match self {
            Self::Path(path) => flattened(path.iter()),
            Self::Circle(circle) => flattened(circle.path_elements(0.1)),
        }
    }
}

fn flattened(path: impl Iterator<Item = PathEl>) -> Vec<(Point, Point)> {
    let mut segments = Vec::new();
    let mut start = Point::ZERO;
    let mut last = Point::ZERO;
    kurbo::flatten(path, 0.5, |element| match element {
        PathEl::MoveTo(to) => {
            start = to;
            last = to;
        }
        PathEl::LineTo(to) => {
            segments.push((last, to));
            last = to;
        }
        PathEl::ClosePath => {
            segments.push((last, start));
            last = start;
        }
        _ => unreachable!("a flattened path is made of lines"),
    });
    segments
}

/// One thing on the sheet.
#[derive(Clone, Debug)]
pub enum Item {
    /// Lines or an area.
    Drawn(Ink, Form),
    /// A line of text.
    Text(Text),
    /// What lies inside a circle, cut off at its edge.
    Clipped(Circle, Vec<Item>),
    /// What lies inside a rectangle, cut off at its edge.
    Cropped(Rect, Vec<Item>),
    /// What belongs together and may be moved by itself.
    Group(Group),
}

/// Items that a page can find by an attribute and place by a transform.
#[derive(Clone, Debug, Default)]
pub struct Group {
    /// Names and values of its attributes; the values are escaped where they are written.
    pub attributes: Vec<(&'static str, String)>,
    /// Where its items go; none leaves them where they are.
    pub map: Option<Affine>,
    /// What is in it.
    pub items: Vec<Item>,
}

/// A drawing in its own units, y down, with every box in it that must stay free for its owner.
#[derive(Clone, Debug, Default)]
pub struct Scene {
    /// Width and height come from whoever composes the scene.
    pub items: Vec<Item>,
    /// Boxes of texts and flags. No two overlap.
    pub boxes: Vec<Rect>,
    /// Boxes that in addition touch no line of the bike.
    pub clear: Vec<Rect>,
}

impl Scene {
    /// Adds lines or an area.
    pub fn draw(&mut self, ink: Ink, form: Form) {
        self.items.push(Item::Drawn(ink, form));
    }

    /// Adds one straight line.
    pub fn line(&mut self, ink: Ink, from: Point, to: Point) {
        let mut path = BezPath::new();
        path.move_to(from);
        path.line_to(to);
        self.draw(ink, Form::Path(path));
    }

    /// Adds an upright rectangle.
    pub fn rect(&mut self, ink: Ink, rect: Rect) {
        self.draw(ink, Form::Path(rect.to_path(0.1)));
    }

    /// Adds a text and reserves its box.
    pub fn text(&mut self, text: Text) {
        if text.words.trim().is_empty() {
            return;
        }
        self.boxes.push(text.area());
        self.items.push(Item::Text(text));
    }

    /// All of it as one group, so many times as large.
    #[must_use]
    pub fn scaled(self, times: f64) -> Self {
        let larger = |boxes: Vec<Rect>| boxes.into_iter().map(|rect| rect.scale_from_origin(times)).collect();
        let group = Group { attributes: Vec::new(), map: Some(Affine::scale(times)), items: self.items };
        Self { items: vec![Item::Group(group)], boxes: larger(self.boxes), clear: larger(self.clear) }
    }

    /// Puts another scene into this one, moved by `by`.
    pub fn place(&mut self, mut other: Self, by: Vec2) {
        for item in &mut other.items {
            item.shift(by);
        }
        self.items.append(&mut other.items);
        self.boxes.extend(other.boxes.into_iter().map(|rect| rect + by));
        self.clear.extend(other.clear.into_iter().map(|rect| rect + by));
    }
}

impl Item {
    /// Moved by `by`.
    fn shift(&mut self, by: Vec2) {
        match self {
            Self::Drawn(_, form) => form.shift(by),
            Self::Text(text) => text.at += by,
            Self::Clipped(circle, items) => {
                circle.center += by;
                for item in items {
                    item.shift(by);
                }
            }
            Self::Cropped(rect, items) => {
                *rect = *rect + by;
                for item in items {
                    item.shift(by);
                }
            }
            Self::Group(group) => match &mut group.map {
                Some(map) => *map = Affine::translate(by) * *map,
                None => {
                    for item in &mut group.items {
                        item.shift(by);
                    }
                }
            },
        }
    }
}
