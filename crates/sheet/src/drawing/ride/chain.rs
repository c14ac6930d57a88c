//! Where the chain runs: straight from wheel to wheel.

use kurbo::{Point, Vec2};

use crate::ride::Machine;

/// The chain's two runs, from the ring to the cog: the ends of every straight piece.
#[derive(Clone, Debug)]
pub(crate) struct Runs {
    pub(crate) tight: Vec<Point>,
    pub(crate) slack: Vec<Point>,
}

/// A wheel that the chain runs over, or under.
#[derive(Clone, Copy)]
struct Wheel {
    at: Point,
    radius: f64,
    over: bool,
}

impl Wheel {
    fn signed(self) -> f64 {
        if self.over { self.radius } else { -self.radius }
    }
}

/// The runs with the linkage at `place`; none where ring or cog is not known or a wheel lies within another.
pub(crate) fn runs(machine: &Machine, place: f64) -> Option<Runs> {
    let (ring, cog) = machine.sprockets?;
    let standing = machine.at(place);
    let wheel = |at, radius, over| Wheel { at, radius, over };
    let mut tight = vec![wheel(Point::ORIGIN, ring, true)];
    for idler in &machine.idlers {
        tight.push(wheel(*standing.bodies.get(idler.body)? * idler.at, idler.radius, idler.over));
    }
    tight.push(wheel(standing.axle, cog, true));
    let slack = [wheel(Point::ORIGIN, ring, false), wheel(standing.axle, cog, false)];
    Some(Runs { tight: tangents(&tight)?, slack: tangents(&slack)? })
}

/// Ends of the straight pieces between each two wheels.
fn tangents(wheels: &[Wheel]) -> Option<Vec<Point>> {
    let mut points = Vec::with_capacity(wheels.len() * 2);
    for pair in wheels.windows(2) {
        let [a, b] = [pair[0], pair[1]];
        let run = b.at - a.at;
        let along = run / run.hypot();
        // From ring to cog the chain runs rearward, so that up lies to the right of the way.
        let up = Vec2::new(along.y, -along.x);
        let lean = (a.signed() - b.signed()) / run.hypot();
        // Not so of a place that is not known either.
        let apart = lean.abs() < 1.0;
        if !apart {
            return None;
        }
        // The normal of the tangent: both wheels' radii along it differ by what the way leans.
        let normal = along * lean + up * (1.0 - lean * lean).sqrt();
        points.push(a.at + normal * a.signed());
        points.push(b.at + normal * b.signed());
    }
    Some(points)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wheel(x: f64, y: f64, radius: f64, over: bool) -> Wheel {
        Wheel { at: Point::new(x, y), radius, over }
    }

    #[test]
    fn equal_wheels_have_a_run_that_is_parallel_to_their_centres() {
        let run = tangents(&[wheel(0.0, 0.0, 50.0, true), wheel(-400.0, 0.0, 50.0, true)]).unwrap();
        assert!(
            run[0].distance(Point::new(0.0, 50.0)) < 1e-9 && run[1].distance(Point::new(-400.0, 50.0)) < 1e-9
        );
        let run = tangents(&[wheel(0.0, 0.0, 50.0, false), wheel(-400.0, 0.0, 50.0, false)]).unwrap();
        assert!(run[0].distance(Point::new(0.0, -50.0)) < 1e-9);
    }

    #[test]
    fn a_run_touches_each_wheel_at_a_right_angle() {
        let wheels =
            [wheel(0.0, 0.0, 65.0, true), wheel(-60.0, 120.0, 30.0, true), wheel(-430.0, 20.0, 45.0, false)];
        let run = tangents(&wheels).unwrap();
        for (pair, ends) in wheels.windows(2).zip(run.chunks(2)) {
            for (wheel, end) in pair.iter().zip(ends) {
                let arm = *end - wheel.at;
                assert!((arm.hypot() - wheel.radius).abs() < 1e-9);
                assert!(arm.dot(ends[1] - ends[0]).abs() < 1e-6);
            }
        }
        // Over the first, below the last.
        assert!(run[0].y > 0.0 && run[3].y < 20.0);
    }

    #[test]
    fn a_wheel_within_another_has_no_run() {
        assert!(tangents(&[wheel(0.0, 0.0, 65.0, true), wheel(-10.0, 0.0, 20.0, true)]).is_none());
    }
}
