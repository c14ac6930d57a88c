//! The outline of a link: a plate round its points.

use kurbo::{BezPath, Point, Vec2};

/// Distance from a link's points to its edge, mm.
pub(super) const EDGE: f64 = 13.0;

/// A plate is drawn with a window when this much is left of it within its struts, mm.
const WINDOW: f64 = 26.0;

/// The points on the outside, counter-clockwise; two for a straight link, one for a single point.
pub(super) fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted: Vec<Point> = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup_by(|a, b| a.distance(*b) < 0.5);
    if sorted.len() < 3 {
        return sorted;
    }
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in points {
            while chain.len() > 1 {
                let (a, b) = (chain[chain.len() - 2], chain[chain.len() - 1]);
                // Half a millimetre of bulge is no corner.
                if (b - a).cross(point - a) > 0.5 * (point - a).hypot() {
                    break;
                }
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut outside = half(&mut sorted.iter().copied());
    outside.extend(half(&mut sorted.iter().rev().copied()));
    outside
}

/// The plate round `points` with rounded corners, and a window where it is wide; in the points' own axes.
pub(super) fn plate(points: &[Point], edge: f64) -> BezPath {
    let corners = hull(points);
    let mut path = BezPath::new();
    rounded(&mut path, &corners, edge);
    if let Some(window) = window(&corners, edge) {
        // The other way round, so that it stays open when the plate is filled.
        path.move_to(window[window.len() - 1]);
        for corner in window.iter().rev().skip(1) {
            path.line_to(*corner);
        }
        path.close_path();
    }
    path
}

fn rounded(path: &mut BezPath, corners: &[Point], edge: f64) {
    if let [only] = corners {
        path.extend(kurbo::Shape::path_elements(&kurbo::Circle::new(*only, edge), 0.05));
        return;
    }
    for (index, corner) in corners.iter().enumerate() {
        let before = corners[(index + corners.len() - 1) % corners.len()];
        let after = corners[(index + 1) % corners.len()];
        let (from, to) = (outward(before, *corner), outward(*corner, after));
        let start = *corner + from * edge;
        if index == 0 {
            path.move_to(start);
        } else {
            path.line_to(start);
        }
        let mut turn = to.atan2() - from.atan2();
        if turn < 0.0 {
            turn += std::f64::consts::TAU;
        }
        let arc = kurbo::Arc::new(*corner, (edge, edge), from.atan2(), turn, 0.0);
        path.extend(arc.append_iter(0.05));
    }
    path.close_path();
}

/// Unit vector to the outside of an edge that is walked counter-clockwise.
fn outward(from: Point, to: Point) -> Vec2 {
    let along = (to - from) / from.distance(to);
    Vec2::new(along.y, -along.x)
}

/// The polygon that is left when every edge moves inward by `edge`; none when little is.
fn window(corners: &[Point], edge: f64) -> Option<Vec<Point>> {
    if corners.len() < 3 {
        return None;
    }
    let mut left: Vec<Point> = corners.to_vec();
    for (index, corner) in corners.iter().enumerate() {
        let after = corners[(index + 1) % corners.len()];
        let outward = outward(*corner, after);
        // How far within the moved edge a point lies.
        let within = |point: Point| -(point - *corner).dot(outward) - edge;
        let mut kept = Vec::new();
        for (place, point) in left.iter().enumerate() {
            let next = left[(place + 1) % left.len()];
            let (here, there) = (within(*point), within(next));
            if here >= 0.0 {
                kept.push(*point);
            }
            if (here >= 0.0) != (there >= 0.0) {
                kept.push(point.lerp(next, here / (here - there)));
            }
        }
        left = kept;
        if left.len() < 3 {
            return None;
        }
    }
    let middle = left.iter().fold(Vec2::ZERO, |sum, point| sum + point.to_vec2()) / left.len() as f64;
    let reach = left.iter().map(|point| (point.to_vec2() - middle).hypot()).fold(0.0, f64::max);
    (reach > WINDOW).then_some(left)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    #[test]
    fn the_hull_leaves_out_what_lies_within() {
        let points = [(0.0, 0.0), (100.0, 0.0), (50.0, 20.0), (50.0, 80.0)].map(Point::from);
        assert_eq!(hull(&points), [(0.0, 0.0), (100.0, 0.0), (50.0, 80.0)].map(Point::from));
        let straight = [(0.0, 0.0), (50.0, 0.1), (100.0, 0.0)].map(Point::from);
        assert_eq!(hull(&straight), [(0.0, 0.0), (100.0, 0.0)].map(Point::from));
    }

    #[test]
    fn a_straight_link_is_two_lines_and_two_half_circles() {
        // Area of a stadium 100 long, 13 to each side: 100 · 26 + π · 13².
        let path = plate(&[Point::ORIGIN, Point::new(100.0, 0.0)], 13.0);
        let area = 2600.0 + std::f64::consts::PI * 169.0;
        assert!((path.area().abs() - area).abs() < 1.0, "{}", path.area());
    }

    #[test]
    fn a_wide_plate_has_a_window() {
        // An equilateral triangle of side a moved inward by d keeps the side a − 2·√3·d.
        let a = 300.0;
        let points = [(0.0, 0.0), (a, 0.0), (a / 2.0, a * 0.75_f64.sqrt())].map(Point::from);
        let left = window(&points, 13.0).unwrap();
        let side = a - 2.0 * 3.0_f64.sqrt() * 13.0;
        assert_eq!(left.len(), 3);
        assert!((left[0].distance(left[1]) - side).abs() < 1e-6);
        assert!(window(&points.map(|point| (point.to_vec2() * 0.2).to_point()), 13.0).is_none());
    }
}
