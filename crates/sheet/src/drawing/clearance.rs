//! Whether boxes and lines meet.

use kurbo::{Point, Rect};

/// The part of a line that lies inside `rect`, as shares of its length; none when it stays outside.
pub fn inside(from: Point, to: Point, rect: Rect) -> Option<(f64, f64)> {
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let run = to - from;
    for (start, step, low, high) in [(from.x, run.x, rect.x0, rect.x1), (from.y, run.y, rect.y0, rect.y1)] {
        if step.abs() < 1e-12 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let (a, b) = ((low - start) / step, (high - start) / step);
        enter = enter.max(a.min(b));
        leave = leave.min(a.max(b));
    }
    (enter <= leave).then_some((enter, leave))
}

/// True when a line touches a box.
pub fn touches(line: &(Point, Point), rect: Rect) -> bool {
    inside(line.0, line.1, rect).is_some()
}

/// True when two boxes share more than an edge.
pub fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

/// True when two lines cross or touch.
pub fn cross(a: &(Point, Point), b: &(Point, Point)) -> bool {
    let side = |from: Point, to: Point, point: Point| (to - from).cross(point - from);
    let (d1, d2) = (side(b.0, b.1, a.0), side(b.0, b.1, a.1));
    let (d3, d4) = (side(a.0, a.1, b.0), side(a.0, a.1, b.1));
    d1 * d2 <= 0.0 && d3 * d4 <= 0.0 && (d1 != 0.0 || d2 != 0.0 || d3 != 0.0 || d4 != 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_a_box_is_inside_between_its_edges() {
        let rect = Rect::new(2.0, -1.0, 4.0, 1.0);
        let (enter, leave) = inside(Point::ZERO, Point::new(10.0, 0.0), rect).unwrap();
        assert!((enter - 0.2).abs() < 1e-12 && (leave - 0.4).abs() < 1e-12);
        assert!(inside(Point::new(0.0, 2.0), Point::new(10.0, 2.0), rect).is_none());
    }

    #[test]
    fn crossing_lines_are_told_from_passing_ones() {
        let a = (Point::ZERO, Point::new(2.0, 2.0));
        assert!(cross(&a, &(Point::new(0.0, 2.0), Point::new(2.0, 0.0))));
        assert!(!cross(&a, &(Point::new(3.0, 0.0), Point::new(5.0, 0.0))));
    }
}
