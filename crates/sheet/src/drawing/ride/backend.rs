//! What the charting library draws, as items of our own scene: kinds of line instead of colours, so that the page's style
//! sheet colours a chart as it does any drawing.

use std::convert::Infallible;
use std::ops::Range;

use kurbo::{BezPath, Circle, Point, Rect, Size};
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::{
    Cartesian2d, ChartBuilder, ChartContext, DrawingBackend, IntoDrawingArea, IntoFont, LabelAreaPosition,
    RGBColor,
};
use plotters::style::TRANSPARENT;
use plotters::style::text_anchor::{HPos, VPos};
use plotters_backend::{BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingErrorKind};

use crate::drawing::scene::{Anchor, Form, Ink, Scene, Text, Tint};
use crate::lettering::Type;

/// The library counts in whole pixels; so many to a unit of the drawing make a curve smooth.
pub(in crate::drawing) const FINE: f64 = 32.0;

/// The kinds of line that the library is asked for; the place in this list is the red of its colour.
const INKS: [Ink; 6] = [Ink::Curve, Ink::Second, Ink::Before, Ink::Band, Ink::Rule, Ink::Fine];

/// The library's colour for a kind of line.
pub(in crate::drawing) fn colour(ink: Ink) -> RGBColor {
    let place = INKS.iter().position(|known| *known == ink).unwrap_or(0);
    RGBColor(place as u8, 0, 0)
}

fn ink(colour: BackendColor) -> Ink {
    INKS[usize::from(colour.rgb.0).min(INKS.len() - 1)]
}

/// What the library draws curves on.
pub(in crate::drawing) type Context<'a> =
    ChartContext<'a, Recorder<'a>, Cartesian2d<RangedCoordf64, RangedCoordf64>>;

/// What the library is to draw on a field of a drawing of this size: the range of its length, and that of its height.
pub(in crate::drawing) fn on_field(
    scene: &mut Scene,
    (size, field): (Size, Rect),
    (along, up): (&Range<f64>, &Range<f64>),
    what: &dyn Fn(&mut Context),
) {
    let area = Recorder { scene, size }.into_drawing_area();
    let fine = |value: f64| (value * FINE) as u32;
    let built = ChartBuilder::on(&area)
        .margin_top(fine(field.y0))
        .margin_right(fine(size.width - field.x1))
        .set_label_area_size(LabelAreaPosition::Left, fine(field.x0))
        .set_label_area_size(LabelAreaPosition::Bottom, fine(size.height - field.y1))
        .build_cartesian_2d(along.clone(), up.clone());
    if let Ok(mut context) = built {
        what(&mut context);
    }
}

/// Axes and grid with figures of this type, about `levels` of them upwards; figures along are written by `along`.
pub(in crate::drawing) fn axes(
    context: &mut Context,
    lettering: Type,
    levels: usize,
    level_lines: bool,
    along: &dyn Fn(f64) -> String,
) {
    let figures = ("sans-serif", f64::from(lettering.size) * FINE).into_font().color(&colour(Ink::Fine));
    let mut mesh = context.configure_mesh();
    if !level_lines {
        mesh.disable_y_mesh();
    }
    // What the recorder draws cannot fail.
    let _ = mesh
        .x_labels(7)
        .y_labels(levels)
        .max_light_lines(0)
        .bold_line_style(colour(Ink::Rule))
        .light_line_style(TRANSPARENT)
        .axis_style(colour(Ink::Fine))
        .label_style(figures)
        .set_all_tick_mark_size(FINE as u32 * 4)
        .x_label_formatter(&|value| along(*value))
        .y_label_formatter(&|value| figure(*value, 2))
        .draw();
}

/// A figure on an axis: no more digits than it needs.
pub(in crate::drawing) fn figure(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.replace('-', "−") }
}

/// Records into a scene.
pub(in crate::drawing) struct Recorder<'a> {
    pub(in crate::drawing) scene: &'a mut Scene,
    pub(in crate::drawing) size: Size,
}

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

fn point((x, y): BackendCoord) -> Point {
    Point::new(f64::from(x) / FINE, f64::from(y) / FINE)
}

fn path(points: impl IntoIterator<Item = BackendCoord>, closed: bool) -> Form {
    let mut path = BezPath::new();
    for (index, coord) in points.into_iter().enumerate() {
        if index == 0 { path.move_to(point(coord)) } else { path.line_to(point(coord)) }
    }
    if closed {
        path.close_path();
    }
    Form::Path(path)
}

/// Type of a text, from the size that the library was given for it.
fn face<S: BackendTextStyle>(style: &S) -> Type {
    Type::regular((style.size() / FINE).round() as u8)
}

impl DrawingBackend for Recorder<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        ((self.size.width * FINE) as u32, (self.size.height * FINE) as u32)
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    /// A single pixel is too small to see; nothing that is used here draws one.
    fn draw_pixel(&mut self, _: BackendCoord, _: BackendColor) -> Drawn {
        Ok(())
    }

    fn draw_line<S: BackendStyle>(&mut self, from: BackendCoord, to: BackendCoord, style: &S) -> Drawn {
        // A grid of no weight is a grid that was not asked for.
        if style.color().alpha > 0.0 {
            self.scene.draw(ink(style.color()), path([from, to], false));
        }
        Ok(())
    }

    fn draw_rect<S: BackendStyle>(&mut self, a: BackendCoord, b: BackendCoord, style: &S, _: bool) -> Drawn {
        self.scene.rect(ink(style.color()), Rect::from_points(point(a), point(b)));
        Ok(())
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        points: I,
        style: &S,
    ) -> Drawn {
        if style.color().alpha > 0.0 {
            self.scene.draw(ink(style.color()), path(points, false));
        }
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(&mut self, at: BackendCoord, radius: u32, style: &S, _: bool) -> Drawn {
        let circle = Circle::new(point(at), f64::from(radius) / FINE);
        self.scene.draw(ink(style.color()), Form::Circle(circle));
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        points: I,
        style: &S,
    ) -> Drawn {
        self.scene.draw(ink(style.color()), path(points, true));
        Ok(())
    }

    fn draw_text<S: BackendTextStyle>(&mut self, text: &str, style: &S, at: BackendCoord) -> Drawn {
        let face = face(style);
        let size = f64::from(face.size);
        let anchor = match style.anchor().h_pos {
            HPos::Left => Anchor::Start,
            HPos::Center => Anchor::Middle,
            HPos::Right => Anchor::End,
        };
        // Figures stand 0.7 of the type size high.
        let down = match style.anchor().v_pos {
            VPos::Top => size * 0.7,
            VPos::Center => size * 0.35,
            VPos::Bottom => 0.0,
        };
        let at = point(at);
        self.scene.text(Text::level(Point::new(at.x, at.y + down), anchor, face, Tint::Quiet, text));
        Ok(())
    }

    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        style: &S,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let face = face(style);
        Ok(((face.width(text) * FINE) as u32, (f64::from(face.size) * FINE) as u32))
    }
}
