//! A scene as SVG. Decides nothing: every place, size and class is in the scene already.

use std::fmt::Write as _;

use kurbo::{BezPath, Circle, PathEl, Point, Rect, Shape as _, Size};

use super::scene::{Anchor, Form, Group, Ink, Item, Scene, Text, Tint};
use crate::lettering::Weight;
use crate::printable::printable;

/// What an SVG element says of itself to those who do not see it.
pub struct Said<'a> {
    /// Prefix of ids, different for each drawing on one page.
    pub id: &'a str,
    /// Short name.
    pub title: &'a str,
    /// The drawing in words.
    pub description: &'a str,
    /// Further attributes of the root element, such as its size on paper.
    pub attributes: &'a str,
    /// Style sheet to carry along; empty when the page has it.
    pub style: &'a str,
}

/// Writes the whole element.
pub fn write(scene: &Scene, size: Size, said: &Said) -> String {
    let Said { id, title, description, attributes, style } = said;
    let mut out = format!("<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"kd kd-{id}\" viewBox=\"0 0 ");
    point_into(&mut out, Point::new(size.width, size.height));
    let _ = write!(
        out,
        "\" role=\"img\" aria-labelledby=\"{id}-title {id}-desc\"{attributes}>\n<title id=\"{id}-title\">"
    );
    escaped_into(&mut out, title);
    let _ = write!(out, "</title>\n<desc id=\"{id}-desc\">");
    escaped_into(&mut out, description);
    out.push_str("</desc>\n");
    if !style.is_empty() {
        let _ = writeln!(out, "<style>{style}</style>");
    }
    let mut clips = 0;
    for item in &scene.items {
        item_into(&mut out, item, id, &mut clips);
    }
    out.push_str("</svg>\n");
    out
}

fn item_into(out: &mut String, item: &Item, id: &str, clips: &mut usize) {
    match item {
        Item::Drawn(ink, form) => form_into(out, *ink, form),
        Item::Text(text) => text_into(out, text),
        Item::Clipped(circle, items) => {
            *clips += 1;
            let clip = format!("{id}-clip-{clips}");
            let _ = write!(out, "<clipPath id=\"{clip}\"><circle");
            round_into(out, *circle);
            let _ = writeln!(out, "/></clipPath>\n<g clip-path=\"url(#{clip})\">");
            for item in items {
                item_into(out, item, id, clips);
            }
            out.push_str("</g>\n");
        }
        Item::Cropped(rect, items) => cropped_into(out, *rect, items, id, clips),
        Item::Group(group) => group_into(out, group, id, clips),
    }
}

fn cropped_into(out: &mut String, rect: Rect, items: &[Item], id: &str, clips: &mut usize) {
    *clips += 1;
    let clip = format!("{id}-clip-{clips}");
    let _ = write!(out, "<clipPath id=\"{clip}\"><path");
    path_into(out, &rect.to_path(0.1));
    let _ = writeln!(out, "/></clipPath>\n<g clip-path=\"url(#{clip})\">");
    for item in items {
        item_into(out, item, id, clips);
    }
    out.push_str("</g>\n");
}

fn group_into(out: &mut String, group: &Group, id: &str, clips: &mut usize) {
    out.push_str("<g");
    for (name, value) in &group.attributes {
        let _ = write!(out, " {name}=\"");
        let mut escaped = String::new();
        escaped_into(&mut escaped, value);
        out.push_str(&escaped.replace('"', "&quot;"));
        out.push('"');
    }
    if let Some(map) = group.map {
        let numbers = map.as_coeffs().map(fine);
        let _ = write!(out, " transform=\"matrix({})\"", numbers.join(" "));
    }
    out.push_str(">\n");
    for item in &group.items {
        item_into(out, item, id, clips);
    }
    out.push_str("</g>\n");
}

/// Five decimals, no trailing zero, no negative zero: a turn shows at the end of a long part.
fn fine(value: f64) -> String {
    let text = format!("{value:.5}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn form_into(out: &mut String, ink: Ink, form: &Form) {
    out.push_str(match form {
        Form::Path(_) => "<path class=\"",
        Form::Circle(_) => "<circle class=\"",
    });
    out.push_str(ink_class(ink));
    out.push('"');
    match form {
        Form::Path(path) => path_into(out, path),
        Form::Circle(circle) => round_into(out, *circle),
    }
    out.push_str("/>\n");
}

fn round_into(out: &mut String, circle: Circle) {
    attribute_into(out, "cx", circle.center.x);
    attribute_into(out, "cy", circle.center.y);
    attribute_into(out, "r", circle.radius);
}

fn attribute_into(out: &mut String, name: &str, value: f64) {
    out.push(' ');
    out.push_str(name);
    out.push_str("=\"");
    number_into(out, value);
    out.push('"');
}

fn text_into(out: &mut String, text: &Text) {
    let anchor = match text.anchor {
        Anchor::Start => "",
        Anchor::Middle => " kd-mid",
        Anchor::End => " kd-end",
    };
    let weight = match text.face.weight {
        Weight::Regular => "",
        Weight::Semibold => " kd-b",
    };
    let tint = match text.tint {
        Tint::Ink => "",
        Tint::Quiet => " kd-quiet",
        Tint::Change => " kd-change",
        Tint::Caution => " kd-caution",
        Tint::OnFlag => " kd-on",
    };
    let Point { x, y } = text.at;
    let _ = write!(out, "<text class=\"kd-s{}{anchor}{weight}{tint}\"", text.face.size);
    attribute_into(out, "x", x);
    attribute_into(out, "y", y);
    if text.turned {
        out.push_str(" transform=\"rotate(-90 ");
        point_into(out, text.at);
        out.push_str(")\"");
    }
    out.push('>');
    escaped_into(out, &text.words);
    out.push_str("</text>\n");
}

fn ink_class(ink: Ink) -> &'static str {
    match ink {
        Ink::Solid => "kd-solid",
        Ink::Wide => "kd-wide",
        Ink::Fine => "kd-fine",
        Ink::FineSolid => "kd-fine kd-fill",
        Ink::Before => "kd-before",
        Ink::Centre => "kd-centre",
        Ink::Dimension => "kd-dim",
        Ink::Arrowhead => "kd-head",
        Ink::Leader => "kd-leader",
        Ink::Dot | Ink::Flag | Ink::MotionHead => "kd-flag",
        Ink::Motion => "kd-motion",
        Ink::Detail => "kd-detail",
        Ink::Rule => "kd-rule",
        Ink::Frame => "kd-frame",
        Ink::Paper => "kd-paper",
        Ink::Curve => "kd-curve",
        Ink::Second => "kd-curve kd-second",
        Ink::Band => "kd-band",
        Ink::Point => "kd-point",
        Ink::Ghost => "kd-ghost",
        Ink::Chain => "kd-chain",
        Ink::SlackChain => "kd-chain kd-slack",
    }
}

fn path_into(out: &mut String, path: &BezPath) {
    out.push_str(" d=\"");
    for element in path {
        match element {
            PathEl::MoveTo(p) => command(out, 'M', &[p]),
            PathEl::LineTo(p) => command(out, 'L', &[p]),
            PathEl::QuadTo(p, q) => command(out, 'Q', &[p, q]),
            PathEl::CurveTo(p, q, r) => command(out, 'C', &[p, q, r]),
            PathEl::ClosePath => out.push('Z'),
        }
    }
    out.push('"');
}

fn command(out: &mut String, letter: char, points: &[Point]) {
    out.push(letter);
    for (index, point) in points.iter().enumerate() {
        if index > 0 {
            out.push(' ');
        }
        point_into(out, *point);
    }
}

fn point_into(out: &mut String, point: Point) {
    number_into(out, point.x);
    out.push(' ');
    number_into(out, point.y);
}

/// One decimal, no trailing zero, no negative zero.
///
/// Digit by digit: most of a drawing is numbers, and the standard library's way costs several times as much.
fn number_into(out: &mut String, value: f64) {
    let tenths = (value * 10.0).round() as i64;
    if tenths < 0 {
        out.push('-');
    }
    let tenths = tenths.unsigned_abs();
    whole_into(out, tenths / 10);
    if !tenths.is_multiple_of(10) {
        out.push('.');
        out.push(digit(tenths));
    }
}

fn whole_into(out: &mut String, value: u64) {
    if value > 9 {
        whole_into(out, value / 10);
    }
    out.push(digit(value));
}

/// The last digit.
fn digit(value: u64) -> char {
    char::from(b'0' + (value % 10) as u8)
}

/// Text that is safe between tags, without what steers or what XML forbids.
fn escaped_into(out: &mut String, text: &str) {
    for c in printable(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(into: impl Fn(&mut String)) -> String {
        let mut out = String::new();
        into(&mut out);
        out
    }

    #[test]
    fn numbers_are_short() {
        let number = |value| written(|out| number_into(out, value));
        assert_eq!(number(12.0), "12");
        assert_eq!(number(-0.04), "0");
        assert_eq!(number(-3.25), "-3.3");
        assert_eq!(number(-0.5), "-0.5");
        assert_eq!(number(1070.96), "1071");
        assert_eq!(number(1234.06), "1234.1");
    }

    #[test]
    fn turns_are_written_finely() {
        assert_eq!(fine(0.5), "0.5");
        assert_eq!(fine(-0.000_001), "0");
        assert_eq!(fine(-0.173_648_2), "-0.17365");
    }

    #[test]
    fn an_attribute_cannot_be_left() {
        let group = Group { attributes: vec![("data-name", "a\"b<c>".to_owned())], ..Group::default() };
        let text = written(|out| group_into(out, &group, "x", &mut 0));
        assert_eq!(text, "<g data-name=\"a&quot;b&lt;c&gt;\">\n</g>\n");
    }

    #[test]
    fn text_cannot_break_out_of_its_element() {
        let escaped = written(|out| escaped_into(out, "a<b>&\u{1}\u{ffff}"));
        assert_eq!(escaped, "a&lt;b&gt;&amp;\u{fffd}");
    }
}
