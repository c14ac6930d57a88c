//! What is no linkage, or does not go where it is asked to, is an error that names the place; never a panic, never a number
//! that is none.

mod linkages;

use std::sync::Arc;

use knockon_engine::suspension::linkage::{Layout, Linkage, MOST_BODIES, Mount, Pose, Stuck};
use linkages::{Builder, examples, four_bar, point, single_pivot, widest_gap};
use proptest::prelude::*;

fn changed(linkage: &Linkage<f64>, change: impl FnOnce(&mut Layout)) -> Linkage<f64> {
    let mut linkage = linkage.clone();
    change(Arc::make_mut(&mut linkage.layout));
    linkage
}

fn refused(linkage: &Linkage<f64>) -> Stuck {
    linkage.pose(1.0).expect_err("it is no linkage")
}

#[test]
fn examples_are_linkages() {
    for example in examples() {
        assert_eq!(example.linkage.layout.check(), Ok(()), "{}", example.name);
    }
}

/// Ways to move: three per body, less two per joint.
#[test]
fn wrong_count_of_joints() {
    // Without the last joint: 3·3 − 2·3.
    let open = changed(&four_bar(), |layout| layout.joints.truncate(3));
    assert_eq!(refused(&open), Stuck::Freedoms { freedoms: 3 });
    assert_eq!(open.layout.check(), Err(Stuck::Freedoms { freedoms: 3 }));
    // Coupler to ground as well: 3·3 − 2·5.
    let stiff = Builder::new(4)
        .pivot(0, 1, point(0.0, 0.0))
        .pivot(1, 2, point(-400.0, 0.0))
        .pivot(2, 3, point(-50.0, 250.0))
        .pivot(3, 0, point(-40.0, 200.0))
        .pivot(2, 0, point(-200.0, 100.0))
        .shock([(3, point(0.0, 300.0)), (0, point(100.0, 100.0))])
        .axle(2, point(-430.0, 0.0));
    assert_eq!(refused(&stiff), Stuck::Freedoms { freedoms: -1 });
    assert_eq!(
        changed(&single_pivot(), |it| it.joints.clear()).layout.check(),
        Err(Stuck::Loose { body: 1 })
    );
}

#[test]
fn loose_and_too_many_bodies() {
    let loose = changed(&four_bar(), |layout| layout.bodies = 5);
    assert_eq!(refused(&loose), Stuck::Loose { body: 4 });
    let many = changed(&four_bar(), |layout| layout.bodies = MOST_BODIES + 1);
    assert_eq!(refused(&many), Stuck::TooMany { bodies: MOST_BODIES + 1 });
    let huge = changed(&four_bar(), |layout| layout.bodies = usize::MAX);
    assert_eq!(refused(&huge), Stuck::TooMany { bodies: usize::MAX });
}

#[test]
fn joints_that_are_none() {
    let misplaced = |joint: usize| Stuck::Misplaced { joint: Some(joint) };
    // A body with itself; a pair twice, in either order; a body or a point that is not there.
    assert_eq!(refused(&changed(&four_bar(), |it| it.joints[1].bodies = [2, 2])), misplaced(1));
    assert_eq!(refused(&changed(&four_bar(), |it| it.joints[2].bodies = [1, 0])), misplaced(2));
    assert_eq!(refused(&changed(&four_bar(), |it| it.joints[2].bodies = [1, 7])), misplaced(2));
    assert_eq!(refused(&changed(&four_bar(), |it| it.joints[2].point = 70)), misplaced(2));
    let slide = knockon_engine::suspension::linkage::JointKind::Slide { direction: 3 };
    assert_eq!(refused(&changed(&four_bar(), |it| it.joints[2].kind = slide)), misplaced(2));
    // The same of the shock's eyes, the axle and the caliper.
    let shock = Stuck::Misplaced { joint: None };
    assert_eq!(refused(&changed(&four_bar(), |it| it.eyes[1] = Mount { body: 9, point: 0 })), shock);
    assert_eq!(refused(&changed(&four_bar(), |it| it.eyes[1].point = 99)), shock);
    assert_eq!(refused(&changed(&four_bar(), |it| it.eyes[1].body = it.eyes[0].body)), shock);
    assert_eq!(refused(&changed(&four_bar(), |it| it.eyes[1].point = it.eyes[0].point)), shock);
    assert_eq!(refused(&changed(&four_bar(), |it| it.axle = 4)), shock);
    assert_eq!(refused(&changed(&four_bar(), |it| it.caliper = Some(4))), shock);
}

/// A number that is none, in any place that moves the linkage.
#[test]
fn numbers_that_are_none() {
    for example in examples() {
        let used: Vec<usize> = {
            let layout = &example.linkage.layout;
            layout.joints.iter().map(|it| it.point).chain(layout.eyes.iter().map(|it| it.point)).collect()
        };
        for number in 0..example.linkage.numbers().len() {
            if number < 2 * example.linkage.points.len() && !used.contains(&(number / 2)) {
                continue;
            }
            for bad in [f64::NAN, f64::INFINITY] {
                let mut place = 0;
                let linkage = example.linkage.map(|value| {
                    place += 1;
                    if place == number + 1 { bad } else { *value }
                });
                let stuck = refused(&linkage);
                assert!(
                    matches!(stuck, Stuck::Misplaced { .. }),
                    "{} number {number}: {stuck}",
                    example.name
                );
                // The joint whose number it is.
                if let Some(joint) =
                    example.linkage.layout.joints.iter().position(|it| 2 * it.point == number)
                {
                    assert_eq!(stuck, Stuck::Misplaced { joint: Some(joint) });
                }
            }
        }
        assert!(example.linkage.pose(f64::NAN).is_err());
        assert!(example.linkage.sweep(0.0, f64::INFINITY, 3).is_err());
        assert!(
            example.linkage.pose(1e9).is_err() && example.linkage.pose(-1e9).is_err(),
            "{}",
            example.name
        );
    }
}

/// A link whose pivots coincide guides nothing; a shock that pulls at a pivot drives nothing.
#[test]
fn places_that_must_lie_apart() {
    let mut idle = four_bar();
    // The coupler's two pivots (it carries no eye).
    idle.points[2] = idle.points[1];
    assert_eq!(refused(&idle), Stuck::Misplaced { joint: Some(2) });
    let mut dead = single_pivot();
    let eye = dead.layout.eyes[1].point;
    dead.points[eye] = dead.points[dead.layout.joints[0].point];
    assert!(matches!(refused(&dead), Stuck::DeadPoint { joint: 0, compression: 0.0 }));
}

/// A parallelogram that is drawn flat can go on as a parallelogram or crossed: a dead point where it is drawn. Drawn before
/// that and driven through, it stops there.
#[test]
fn a_change_point_is_a_dead_point() {
    let drawn = |degrees: f64| {
        let (a, d) = (point(0.0, 0.0), point(200.0, 0.0));
        let (b, c) = (linkages::polar(a, 80.0, degrees), linkages::polar(d, 80.0, degrees));
        let linkage = Builder::new(4)
            .pivot(0, 1, a)
            .pivot(1, 2, b)
            .pivot(2, 3, c)
            .pivot(3, 0, d)
            .shock([(0, point(40.0, -200.0)), (1, b)])
            .axle(2, c);
        (linkage, b)
    };
    let (flat, _) = drawn(0.0);
    assert!(matches!(refused(&flat), Stuck::DeadPoint { compression: 0.0, .. }), "{}", refused(&flat));
    let (bent, end) = drawn(30.0);
    let far = |p| linkages::distance(point(40.0, -200.0), p);
    let flat_at = far(end) - far(point(80.0, 0.0));
    assert!(bent.pose(flat_at - 0.5).is_ok());
    let stuck = bent.pose(flat_at + 5.0).expect_err("through the flat place");
    let Stuck::DeadPoint { compression, .. } = stuck else { panic!("{stuck}") };
    // Both ways to go on lie on one curve there, so the place is found only as well as a singular matrix allows.
    assert!((compression - flat_at).abs() < 1e-3, "{compression} is not {flat_at}");
}

fn proper(linkage: &Linkage<f64>, result: Result<Vec<Pose<f64>>, Stuck>) {
    let joints = linkage.layout.joints.len();
    match result {
        Ok(poses) => {
            for pose in poses {
                let gap = widest_gap(linkage, &pose);
                assert!(gap < 1e-9, "open by {gap}");
                let numbers = [pose.axle.x, pose.axle.y, pose.axle_velocity.x, pose.axle_velocity.y];
                assert!(numbers.iter().all(|it| it.is_finite()), "{numbers:?}");
                for body in &pose.bodies {
                    let (c, s) = body.turn_cos_sin;
                    let all = [c, s, body.shift.x, body.shift.y, body.spin, body.drift.x, body.drift.y];
                    assert!(all.iter().all(|it| it.is_finite()), "{all:?}");
                }
            }
        }
        Err(Stuck::CannotClose { joint, compression }) => assert!(joint <= joints && compression.is_finite()),
        Err(Stuck::DeadPoint { joint, compression }) => assert!(joint < joints && compression.is_finite()),
        Err(Stuck::Misplaced { joint }) => assert!(joint.is_none_or(|joint| joint < joints)),
        Err(other) => panic!("the layout is proper: {other}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// The examples' topologies with their points anywhere: far from any bike, most of them stuck somewhere.
    #[test]
    fn anything_goes_or_says_where_it_sticks(
        which in 0_usize..9,
        places in prop::collection::vec((-500.0..500.0_f64, -500.0..500.0_f64), 16),
        angle in -4.0..4.0_f64,
        stroke in -150.0..150.0_f64,
    ) {
        let mut linkage = examples().swap_remove(which).linkage;
        for (at, (x, y)) in linkage.points.iter_mut().zip(&places) {
            *at = point(*x, *y);
        }
        linkage.directions.fill(angle);
        proper(&linkage, linkage.sweep(0.0, stroke, 41));
    }

    /// The examples' own points, each shifted a little, over too long a stroke.
    #[test]
    fn nearly_a_bike_goes_or_says_where_it_sticks(
        which in 0_usize..9,
        shifts in prop::collection::vec((-20.0..20.0_f64, -20.0..20.0_f64), 16),
        stroke in 20.0..120.0_f64,
    ) {
        let mut linkage = examples().swap_remove(which).linkage;
        for (at, (x, y)) in linkage.points.iter_mut().zip(&shifts) {
            *at = point(at.x + x, at.y + y);
        }
        proper(&linkage, linkage.sweep(0.0, stroke, 41));
    }

    /// Layouts at random: bodies and points that may not be there, too many or too few joints.
    #[test]
    fn any_layout_is_checked(
        bodies in 0_usize..12,
        pairs in prop::collection::vec((0_usize..10, 0_usize..10, 0_usize..7, 0_usize..4), 0..14),
        eyes in [(0_usize..10, 0_usize..7), (0_usize..10, 0_usize..7)],
        axle in 0_usize..10,
        places in prop::collection::vec((-3_i8..3, -3_i8..3), 6),
    ) {
        let mut builder = Builder::new(bodies);
        for (one, two, at, kind) in pairs {
            builder = match kind {
                0 => builder.slide(one, two, point(0.0, 0.0), 30.0),
                _ => builder.pivot(one, two, point(0.0, 0.0)),
            };
            builder.layout.joints.last_mut().expect("just added").point = at;
        }
        builder.layout.eyes = eyes.map(|(body, point)| Mount { body, point });
        // Places on a coarse grid: many coincide or lie in line.
        builder.points = places.iter().map(|(x, y)| point(f64::from(*x) * 100.0, f64::from(*y) * 100.0)).collect();
        let linkage = builder.axle(axle, point(-400.0, 0.0));
        let checked = linkage.layout.check();
        let swept = linkage.sweep(0.0, 30.0, 7);
        match checked {
            Ok(()) => proper(&linkage, swept),
            Err(stuck) => prop_assert_eq!(swept.expect_err("the layout is refused"), stuck),
        }
    }
}
