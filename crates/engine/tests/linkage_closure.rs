//! Every joint of every example closes, at every position; velocities are those of the positions.

mod linkages;

use knockon_engine::suspension::linkage::{Linkage, Pose};
use linkages::{block_joined, distance, examples, widest_gap};

fn swept(linkage: &Linkage<f64>, stroke: f64, count: usize) -> Vec<Pose<f64>> {
    linkage.sweep(0.0, stroke, count).expect("the example goes through its stroke")
}

/// Every joint and the shock, by placements alone: below a millionth of a micrometre.
#[test]
fn everything_closes_at_every_position() {
    for example in examples() {
        let poses = swept(&example.linkage, example.stroke, 101);
        assert_eq!(poses.len(), 101);
        for (index, pose) in poses.iter().enumerate() {
            let gap = widest_gap(&example.linkage, pose);
            assert!(gap < 1e-9, "{} at {index}: open by {gap} mm", example.name);
            let own = example.linkage.residuals(pose);
            assert_eq!(own.len(), 2 * example.linkage.layout.joints.len() + 1);
            assert!(own.iter().all(|gap| gap.abs() < 1e-9), "{} at {index}: {own:?}", example.name);
            assert!((pose.compression - example.stroke * index as f64 / 100.0).abs() < 1e-12);
            let carrier = &pose.bodies[example.linkage.layout.axle];
            assert!(distance(pose.axle, carrier.place(example.linkage.axle)) < 1e-12);
        }
        // The drawn pose is where it was drawn.
        assert!(distance(poses[0].axle, example.linkage.axle) < 1e-12, "{}", example.name);
        // The examples are bikes: the axle rises, two to five times as fast as the shock shortens.
        let ratios = poses.iter().map(|pose| pose.axle_velocity.y);
        assert!(
            ratios.clone().all(|it| it > 1.0 && it < 5.0),
            "{}: {:?}",
            example.name,
            ratios.collect::<Vec<_>>()
        );
    }
}

/// One position alone is the same one as in a sweep.
#[test]
fn one_position_alone_is_the_same() {
    for example in examples() {
        for (index, swept) in swept(&example.linkage, example.stroke, 11).iter().enumerate() {
            let alone = example.linkage.pose(swept.compression).expect("it is within the stroke");
            let gap = distance(alone.axle, swept.axle);
            assert!(gap < 1e-9, "{} at {index}: {gap} mm apart", example.name);
            let (x, y) = (
                alone.axle_velocity.x - swept.axle_velocity.x,
                alone.axle_velocity.y - swept.axle_velocity.y,
            );
            assert!(x.hypot(y) < 1e-9, "{} at {index}: velocities {x} {y} apart", example.name);
        }
        // There and back.
        let back = example.linkage.sweep(example.stroke, 0.0, 21).expect("it is within the stroke");
        assert!(distance(back[20].axle, example.linkage.axle) < 1e-9, "{}", example.name);
    }
}

/// The velocity integrates to the path by Simpson's rule, whose error goes with the fourth power of the spacing: with
/// 0.5 mm of compression between positions and curves that bend over tens of millimetres, below a micrometre.
#[test]
fn leverage_integrates_to_travel() {
    for example in examples() {
        let integrals = [41, 81].map(|count| {
            let poses = swept(&example.linkage, example.stroke, count);
            let step = example.stroke / (count - 1) as f64;
            let weight = |index: usize| match index {
                0 => 1.0,
                it if it == count - 1 => 1.0,
                it if it % 2 == 1 => 4.0,
                _ => 2.0,
            };
            let sum = |of: fn(&Pose<f64>) -> f64| {
                poses.iter().enumerate().map(|(index, pose)| weight(index) * of(pose)).sum::<f64>() * step
                    / 3.0
            };
            let last = &poses[count - 1];
            let (x, y) = (sum(|pose| pose.axle_velocity.x), sum(|pose| pose.axle_velocity.y));
            (last.axle.x - example.linkage.axle.x - x).hypot(last.axle.y - example.linkage.axle.y - y)
        });
        let [coarse, fine] = integrals;
        assert!(fine < 1e-3, "{}: {fine} mm", example.name);
        // Fourth order: half the spacing, a sixteenth of the error, until rounding.
        assert!(fine < coarse / 8.0 + 1e-9, "{}: {coarse} then {fine}", example.name);
    }
}

/// Every body's spin and drift against central differences of its placement over ±0.01 mm: error about 1e-4 mm² times the
/// third derivative, and rounding of 1e-12 mm over 0.02 mm.
#[test]
fn velocities_are_those_of_the_bodies() {
    for example in examples() {
        let middle = 0.6 * example.stroke;
        let [less, here, more] =
            [-0.01, 0.0, 0.01].map(|by| example.linkage.pose(middle + by).expect("it is within the stroke"));
        for body in 0..example.linkage.layout.bodies {
            for drawn in [linkages::point(0.0, 0.0), linkages::point(300.0, -200.0)] {
                let (a, b) = (less.bodies[body].place(drawn), more.bodies[body].place(drawn));
                let velocity = here.bodies[body].velocity(drawn);
                let (x, y) = ((b.x - a.x) / 0.02 - velocity.x, (b.y - a.y) / 0.02 - velocity.y);
                assert!(x.hypot(y) < 2e-5, "{} body {body}: {x} {y}", example.name);
            }
        }
    }
}

/// A block on a swing arm moves the same whichever joint closes the loop and whichever body the line is said to be fixed to.
#[test]
fn a_slide_may_carry_or_close() {
    let expected = swept(&block_joined([1, 2], false), 40.0, 41);
    for (order, line_of_block) in [([1, 2], true), ([2, 1], false), ([2, 1], true)] {
        let linkage = block_joined(order, line_of_block);
        for (a, b) in expected.iter().zip(swept(&linkage, 40.0, 41)) {
            assert!(widest_gap(&linkage, &b) < 1e-9);
            assert!(distance(a.axle, b.axle) < 1e-9, "{order:?} {line_of_block}");
            assert!((a.axle_velocity.y - b.axle_velocity.y).abs() < 1e-9, "{order:?} {line_of_block}");
        }
    }
}

/// The order in which joints are listed, and which of its bodies a pivot names first, change nothing.
#[test]
fn order_of_joints_changes_nothing() {
    for example in examples() {
        let mut turned = example.linkage.clone();
        let layout = std::sync::Arc::make_mut(&mut turned.layout);
        layout.joints.reverse();
        for joint in &mut layout.joints {
            joint.bodies.reverse();
        }
        layout.eyes.reverse();
        let expected = swept(&example.linkage, example.stroke, 21);
        for (a, b) in expected.iter().zip(swept(&turned, example.stroke, 21)) {
            assert!(distance(a.axle, b.axle) < 1e-9, "{}", example.name);
            assert!((a.axle_velocity.y - b.axle_velocity.y).abs() < 1e-9, "{}", example.name);
        }
    }
}
