//! A scene as SVG. Decides nothing: every place, size and class is in the scene already.

use std::fmt::Write as _;

use kurbo::{BezPath, PathEl, Point, Size};

use super::scene::{Anchor, Form, Ink, Item, Scene, Text, Tint};
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
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"kd kd-{id}\" viewBox=\"0 0 {} {}\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\"{attributes}>\n<title id=\"{id}-title\">{}</title>\n\
         <desc id=\"{id}-desc\">{}</desc>\n",
        number(size.width),
        number(size.height),
        escaped(title),
        escaped(description)
    );
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
            let _ = write!(out, "<clipPath id=\"{clip}\">");
            let Point { x, y } = circle.center;
            let (x, y, r) = (number(x), number(y), number(circle.radius));
            let _ = writeln!(out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/></clipPath>");
            let _ = writeln!(out, "<g clip-path=\"url(#{clip})\">");
            for item in items {
                item_into(out, item, id, clips);
            }
            out.push_str("</g>\n");
        }
    }
}

fn form_into(out: &mut String, ink: Ink, form: &Form) {
    let class = ink_class(ink);
    let _ = match form {
        Form::Path(path) => writeln!(out, "<path class=\"{class}\" d=\"{}\"/>", path_data(path)),
        Form::Circle(circle) => {
            let Point { x, y } = circle.center;
            let (x, y, r) = (number(x), number(y), number(circle.radius));
            writeln!(out, "<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>")
        }
    };
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
    let (x, y) = (number(text.at.x), number(text.at.y));
    let turn = if text.turned { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
    let _ = writeln!(
        out,
        "<text class=\"kd-s{}{anchor}{weight}{tint}\" x=\"{x}\" y=\"{y}\"{turn}>{}</text>",
        text.face.size,
        escaped(&text.words)
    );
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
    }
}

fn path_data(path: &BezPath) -> String {
    let mut data = String::new();
    for element in path {
        match element {
            PathEl::MoveTo(p) => command(&mut data, 'M', &[p]),
            PathEl::LineTo(p) => command(&mut data, 'L', &[p]),
            PathEl::QuadTo(p, q) => command(&mut data, 'Q', &[p, q]),
            PathEl::CurveTo(p, q, r) => command(&mut data, 'C', &[p, q, r]),
            PathEl::ClosePath => data.push('Z'),
        }
    }
    data
}

fn command(data: &mut String, letter: char, points: &[Point]) {
    data.push(letter);
    for (index, point) in points.iter().enumerate() {
        if index > 0 {
            data.push(' ');
        }
        let _ = write!(data, "{} {}", number(point.x), number(point.y));
    }
}

/// One decimal, no trailing zero, no negative zero.
fn number(value: f64) -> String {
    let tenths = (value * 10.0).round() as i64;
    let sign = if tenths < 0 { "-" } else { "" };
    let (whole, tenth) = (tenths.abs() / 10, tenths.abs() % 10);
    if tenth == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{tenth}") }
}

/// Text that is safe between tags, without what steers or what XML forbids.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in printable(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        assert_eq!(number(12.0), "12");
        assert_eq!(number(-0.04), "0");
        assert_eq!(number(-3.25), "-3.3");
        assert_eq!(number(-0.5), "-0.5");
    }

    #[test]
    fn text_cannot_break_out_of_its_element() {
        assert_eq!(escaped("a<b>&\u{1}\u{ffff}"), "a&lt;b&gt;&amp;\u{fffd}");
    }
}
