//! A chip at a pivot: parts are rigid, and the hole is where the chip has put it. That is all that a chip is, so it is checked
//! by distances alone, on every pivot of every example, in either of its parts.

mod linkages;

use knockon_engine::change::Step;
use knockon_engine::suspension::linkage::{JointKind, Linkage};
use linkages::{distance, examples, point};
use num_dual::Dual64;

/// Points of a part, as places in the list, and the axle's as none.
fn points_of(linkage: &Linkage<f64>, body: usize) -> Vec<Option<usize>> {
    let layout = &linkage.layout;
    let joints = layout.joints.iter().filter(|joint| joint.bodies.contains(&body)).map(|joint| joint.point);
    let eyes = layout.eyes.iter().filter(|eye| eye.body == body).map(|eye| eye.point);
    let idlers = layout.idlers.iter().map(|idler| idler.mount);
    let idlers = idlers.filter(|mount| mount.body == body).map(|mount| mount.point);
    let axle = (layout.axle == body).then_some(None);
    joints.chain(eyes).chain(idlers).map(Some).chain(axle).collect()
}

fn at(linkage: &Linkage<f64>, place: Option<usize>) -> knockon_engine::geometry::FramePoint<f64> {
    place.map_or(linkage.axle, |index| linkage.points[index])
}

#[test]
fn every_part_keeps_its_shape_and_the_hole_is_where_the_chip_put_it() {
    let mut tried = 0;
    for example in examples() {
        let linkage = &example.linkage;
        // A slide's point lies anywhere on its line, so distances to it are no measure of shape.
        if linkage.layout.joints.iter().any(|joint| joint.kind != JointKind::Pivot) {
            continue;
        }
        let pivots = linkage.layout.joints.iter().enumerate();
        for (index, joint) in pivots {
            for body in joint.bodies {
                for (x, y) in [(4.0, 0.0), (-2.0, 3.0), (0.0, -5.0)] {
                    let moved = linkage.rehung(index, body, x, y).expect(example.name);
                    let named = format!("{}, joint {index} in part {body} by {x}, {y}", example.name);
                    // In the part with the chip the pivot is beside its old hole, by the chip's way.
                    let hole = |linkage: &Linkage<f64>, shifted: bool, place: Option<usize>| {
                        let at = at(linkage, place);
                        let chipped = shifted && place == Some(joint.point);
                        if chipped { point(at.x + x, at.y + y) } else { at }
                    };
                    for part in 0..linkage.layout.bodies {
                        let points = points_of(linkage, part);
                        for a in &points {
                            for b in &points {
                                let with_chip = part == body;
                                let before =
                                    distance(hole(linkage, with_chip, *a), hole(linkage, with_chip, *b));
                                let after = distance(at(&moved, *a), at(&moved, *b));
                                assert!(
                                    (before - after).abs() < 1e-9,
                                    "{named}: part {part}, {a:?} to {b:?}: {before} became {after}"
                                );
                            }
                        }
                    }
                    // The front triangle stays, and the shock keeps its length.
                    for place in points_of(linkage, 0) {
                        let moves = if body == 0 && place == Some(joint.point) { x.hypot(y) } else { 0.0 };
                        // A pivot of the frame whose chip is in the other part stays as well.
                        assert!(
                            (distance(at(linkage, place), at(&moved, place)) - moves).abs() < 1e-9,
                            "{named}"
                        );
                    }
                    assert!((moved.drawn_shock() - linkage.drawn_shock()).abs() < 1e-9, "{named}");
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 60, "{tried}");
}

/// Derivatives by the chip's way, against central differences.
#[test]
fn derivatives_are_those_of_differences() {
    for example in examples() {
        let linkage = &example.linkage;
        let Some(joint) = linkage.layout.joints.iter().position(|joint| joint.kind == JointKind::Pivot)
        else {
            continue;
        };
        let body = linkage.layout.joints[joint].bodies[1];
        let axle = |y: f64| linkage.rehung(joint, body, 1.0, y).expect(example.name).axle;
        let step = 1e-4;
        let (low, high) = (axle(2.0 - step), axle(2.0 + step));
        let differences = [(high.x - low.x) / (2.0 * step), (high.y - low.y) / (2.0 * step)];
        let dual = Linkage::<Dual64>::constant(linkage);
        let exact = dual.rehung(joint, body, Dual64::from(1.0), Dual64::from(2.0).derivative()).unwrap().axle;
        for (exact, difference) in [exact.x.eps, exact.y.eps].into_iter().zip(differences) {
            assert!((exact - difference).abs() < 1e-6, "{}: {exact} against {difference}", example.name);
        }
    }
}

/// There and back is where it was.
#[test]
fn a_chip_that_is_turned_back_leaves_nothing() {
    for example in examples() {
        let linkage = &example.linkage;
        for (index, joint) in linkage.layout.joints.iter().enumerate() {
            if joint.kind != JointKind::Pivot {
                continue;
            }
            // In the frame, whose axes stay: in any other part the way back is another direction.
            let Some(body) = joint.bodies.into_iter().find(|body| *body == 0) else { continue };
            let there = linkage.rehung(index, body, 3.0, -2.0).expect(example.name);
            let back = there.rehung(index, body, -3.0, 2.0).expect(example.name);
            assert!(distance(back.axle, linkage.axle) < 1e-8, "{}", example.name);
            for (a, b) in back.points.iter().zip(&linkage.points) {
                assert!(distance(*a, *b) < 1e-8, "{}", example.name);
            }
        }
    }
}

/// What cannot be put together has no place, and says so.
#[test]
fn a_chip_that_goes_too_far_is_refused() {
    let linkage = linkages::four_bar();
    assert!(linkage.rehung(0, 0, 900.0, 0.0).is_err());
    assert!(linkage.rehung(99, 0, 1.0, 0.0).is_err());
    let bike = knockon_engine::bike::Bike::unknown();
    let steps = [Step::Hole { joint: 0, body: 0, x: 900.0, y: 0.0 }];
    let (after, _) = bike.after_on(Some(&linkage), &steps);
    assert!(after.rear_axle_lift.is_nan());
}
