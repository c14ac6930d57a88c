//! The plane-linkage solver against worked examples of mechanism textbooks, an identity that every four-bar obeys, and
//! reference linkages that were computed independently (closed form with 40 digits, and a general root finder).
//!
//! The textbooks drive the crank; here a "shock" does, between the ground and the crank's end. Its length is the distance of
//! the crank's end from a fixed point, known in closed form for the drawn and for the wanted crank angle; their difference is
//! the compression. The fixed point lies off the crank's line over the whole way, so the length decides the angle.
//!
//! Crank a, coupler b, follower c, ground d; `a·e^{iθ2} + b·e^{iθ3} = d·e^{iθ1} + c·e^{iθ4}`, angles from forward.

mod linkages;

use knockon_engine::geometry::point::FramePoint;
use knockon_engine::suspension::linkage::{Linkage, Placement, Pose, Stuck};
use linkages::{
    Builder, distance, instant_centre, meeting, point, points_b, polar, reference_a, reference_b,
};

/// A four-bar, drawn at a crank angle other than those that are asked about.
struct FourBar {
    lengths: [f64; 4],
    ground: f64,
    drawn: f64,
    anchor: FramePoint<f64>,
    drawn_angles: [f64; 2],
    linkage: Linkage<f64>,
}

fn degrees(from: FramePoint<f64>, to: FramePoint<f64>) -> f64 {
    (to.y - from.y).atan2(to.x - from.x).to_degrees()
}

fn turn(body: &Placement<f64>) -> f64 {
    body.turn_cos_sin.1.atan2(body.turn_cos_sin.0).to_degrees()
}

/// To the half turn on either side of zero.
fn wrapped(degrees: f64) -> f64 {
    (degrees + 180.0).rem_euclid(360.0) - 180.0
}

impl FourBar {
    fn new(lengths: [f64; 4], ground: f64, drawn: f64, crossed: bool) -> Self {
        let [a, b, c, d] = lengths;
        let origin = point(0.0, 0.0);
        let (crank, pivot) = (polar(origin, a, drawn), polar(origin, d, ground));
        // Open: coupler and follower meet on the left of the way from the crank's end to the follower's pivot.
        let meet = meeting(crank, b, pivot, c, !crossed);
        // Ahead of every crank angle that is tried.
        let anchor = polar(origin, 3.0 * a, drawn + 70.0);
        let linkage = Builder::new(4)
            .pivot(0, 1, origin)
            .pivot(1, 2, crank)
            .pivot(2, 3, meet)
            .pivot(0, 3, pivot)
            .shock([(0, anchor), (1, crank)])
            .axle(2, meet);
        let drawn_angles = [degrees(crank, meet), degrees(pivot, meet)];
        FourBar { lengths, ground, drawn, anchor, drawn_angles, linkage }
    }

    fn compression(&self, crank: f64) -> f64 {
        let end = |angle| polar(point(0.0, 0.0), self.lengths[0], angle);
        distance(self.anchor, end(self.drawn)) - distance(self.anchor, end(crank))
    }

    /// Coupler's and follower's angles, degrees, and their speeds over the crank's.
    fn at(&self, crank: f64) -> ([f64; 2], [f64; 2]) {
        let pose = self.linkage.pose(self.compression(crank)).expect("the four-bar gets there");
        let [first, coupler, follower] = [1, 2, 3].map(|body| &pose.bodies[body]);
        let reached = wrapped(self.drawn + turn(first));
        assert!((reached - wrapped(crank)).abs() < 1e-9, "the crank is at {reached}, not {crank}");
        let angles =
            [wrapped(self.drawn_angles[0] + turn(coupler)), wrapped(self.drawn_angles[1] + turn(follower))];
        (angles, [coupler.spin / first.spin, follower.spin / first.spin])
    }
}

fn near(found: [f64; 2], expected: [f64; 2], room: f64) {
    for (found, expected) in found.into_iter().zip(expected) {
        assert!((found - expected).abs() <= room, "{found} is not {expected} within {room}");
    }
}

/// ME 560 Kinematics, homework 2 solutions, fall 2010 (seen): d 16 at 15°, a 8 at 30°, b 14, c 12; θ3 60°, θ4 97° open,
/// −57° and −95° crossed, measured on a drawing, hence 1°. The longer figures are an independent computation.
#[test]
fn homework_four_bar() {
    for (crossed, published, computed) in
        [(false, [60.0, 97.0], [59.458_795, 96.759_380]), (true, [-57.0, -95.0], [-57.562_622, -94.863_206])]
    {
        // Drawn at 65°, where the two circles meet as well.
        let (angles, _) = FourBar::new([8.0, 14.0, 12.0, 16.0], 15.0, 65.0, crossed).at(30.0);
        near(angles, published, 1.0);
        near(angles, computed, 1e-6);
    }
}

/// Norton, Design of Machinery, examples 4-1 and 6-7 (attribution from memory): a 40, b 120, c 80, d 100, θ2 40°, ω2 25 rad/s.
#[test]
fn textbook_four_bar() {
    for (crossed, angles, longer, speeds) in [
        (false, [57.325, 20.298], [57.324_880, 20.297_883], [-4.121, 6.998]),
        (true, [-98.005, -60.978], [-98.004_964, -60.977_967], [-9.258_772, -20.377_672]),
    ] {
        let (found, ratios) = FourBar::new([40.0, 120.0, 80.0, 100.0], 0.0, 75.0, crossed).at(40.0);
        let [coupler, follower] = found;
        near([follower, coupler], angles, 5e-4);
        near([follower, coupler], longer, 1e-6);
        // The open one's speeds are printed with three decimals; the crossed one's are an independent computation.
        near(ratios.map(|ratio| 25.0 * ratio), speeds, if crossed { 1e-6 } else { 5e-4 });
    }
    let (_, ratios) = FourBar::new([40.0, 120.0, 80.0, 100.0], 0.0, 75.0, false).at(40.0);
    near(ratios.map(|ratio| 25.0 * ratio), [-4.120_914, 6.997_985], 1e-6);
}

/// Freudenstein's equation (Freudenstein 1955, citation from memory, unverified): with K1 = d/a, K2 = d/c and
/// K3 = (a² − b² + c² + d²)/(2ac), `K1·cos θ4 − K2·cos θ2 + K3 = cos(θ2 − θ4)` at every position.
#[test]
fn freudenstein_at_every_position() {
    for crossed in [false, true] {
        let bar = FourBar::new([40.0, 120.0, 80.0, 100.0], 0.0, 75.0, crossed);
        let [a, b, c, d] = bar.lengths;
        assert_eq!(bar.ground, 0.0);
        let (k1, k2, k3) = (d / a, d / c, (a * a - b * b + c * c + d * d) / (2.0 * a * c));
        for pose in
            bar.linkage.sweep(bar.compression(30.0), bar.compression(110.0), 101).expect("it turns that far")
        {
            let crank = (bar.drawn + turn(&pose.bodies[1])).to_radians();
            let follower = (bar.drawn_angles[1] + turn(&pose.bodies[3])).to_radians();
            let missed = k1 * follower.cos() - k2 * crank.cos() + k3 - (crank - follower).cos();
            assert!(missed.abs() < 1e-12, "missed by {missed}");
        }
    }
}

/// Slider-crank a 10, b 20, θ2 45°, ω2 1: a worksheet for students (seen; a and b inferred from its results): the rod
/// at 159.295° and 0.378 rad/s, the slider at 9.744; magnitudes.
#[test]
fn slider_crank() {
    let origin = point(0.0, 0.0);
    let at = |angle: f64| polar(origin, 10.0, angle);
    // The slider runs on the ground's level line through the crank's axis, 20 from the crank's end.
    let drawn = at(75.0);
    let slider = point(drawn.x + (400.0 - drawn.y * drawn.y).sqrt(), 0.0);
    let anchor = polar(origin, 30.0, 145.0);
    let linkage = Builder::new(4)
        .pivot(0, 1, origin)
        .pivot(1, 2, drawn)
        .pivot(2, 3, slider)
        .slide(0, 3, slider, 0.0)
        .shock([(0, anchor), (1, drawn)])
        .axle(3, slider);
    let pose =
        linkage.pose(distance(anchor, drawn) - distance(anchor, at(45.0))).expect("the crank turns there");
    let [crank, rod] = [1, 2].map(|body| &pose.bodies[body]);
    assert!((75.0 + turn(crank) - 45.0).abs() < 1e-9);
    // From the slider to the crank's end, as the worksheet measures it.
    let angle = degrees(pose.axle, crank.place(drawn));
    near([angle, (rod.spin / crank.spin).abs()], [159.295, 0.378], 5e-4);
    near([angle, (rod.spin / crank.spin).abs()], [159.295_189, 0.377_964], 1e-6);
    let speed = (pose.axle_velocity.x / crank.spin).abs();
    near([speed, pose.axle.y], [9.744, 0.0], 5e-4);
    near([speed, pose.axle_velocity.y], [9.743_680, 0.0], 1e-6);
}

/// Reference linkage A, a single pivot: angle of the arm, travel, shock length, leverage (independent computation).
#[test]
fn reference_single_pivot() {
    let rows = [
        [184.0, 0.0, 235.342_748_712, 2.894_438_391_60],
        [180.0, 29.995_283_710_0, 224.857_857_124, 2.826_364_725_00],
        [176.0, 59.990_567_419_9, 214.104_736_098, 2.751_779_096_28],
        [168.0, 119.397_310_762, 191.850_388_028, 2.584_409_951_68],
    ];
    let linkage = reference_a(184.0);
    assert!((linkage.drawn_shock() - rows[0][2]).abs() < 1e-8);
    for [angle, travel, shock, leverage] in rows {
        let pose = linkage.pose(rows[0][2] - shock).expect("it turns that far");
        // The shock's length is given to 1e-9 mm, its difference to twice that, times the leverage.
        near([pose.axle.y - linkage.axle.y, pose.axle_velocity.y], [travel, leverage], 1e-8);
        assert!((184.0 + turn(&pose.bodies[1]) - angle).abs() < 1e-8);
    }
}

/// A single pivot in closed form: with the arm at θ and its eye at θ − 35°, the eyes are
/// `√(F² + e² − 2·F·e·cos(θ − 35° − arg F))`
/// apart and the leverage is `−430·cos θ·s / (F·e·sin(θ − 35° − arg F))`.
#[test]
fn single_pivot_in_closed_form() {
    let linkage = reference_a(184.0);
    let (frame, eye) = (60.0_f64.hypot(190.0), 180.0);
    let lean = 190.0_f64.atan2(60.0);
    let between = |theta: f64| theta.to_radians() - 35.0_f64.to_radians() - lean;
    let shock = |theta: f64| (frame * frame + eye * eye - 2.0 * frame * eye * between(theta).cos()).sqrt();
    for tenths in 1650..=1900 {
        let theta = f64::from(tenths) / 10.0;
        let pose = linkage.pose(shock(184.0) - shock(theta)).expect("it turns that far");
        let expected = polar(point(0.0, 0.0), 430.0, theta);
        let leverage =
            -430.0 * theta.to_radians().cos() * shock(theta) / (frame * eye * between(theta).sin());
        assert!(distance(pose.axle, expected) < 1e-10, "{theta}: {}", distance(pose.axle, expected));
        assert!((pose.axle_velocity.y - leverage).abs() < 1e-11, "{theta}: {leverage}");
    }
}

/// Reference linkage B, a four-bar with the axle on its coupler: crank angle, travel, shock length, leverage, instant centre
/// of the coupler (independent computation).
#[test]
fn reference_four_bar() {
    let rows = [
        [186.0, 0.0, 201.896_852_811, 2.179_403_546_77, 1_137.636_88, 119.570_455],
        [182.0, 28.552_662_109_6, 188.941_737_165, 2.224_854_596_48, 666.987_92, 23.291_731_4],
        [178.0, 57.409_801_963_0, 176.081_888_590, 2.264_847_535_11, 444.778_586, -15.532_010_5],
        [174.0, 86.414_890_916_1, 163.438_300_535, 2.330_667_029_20, 303.848_984, -31.935_815_1],
        [166.0, 144.331_843_503, 140.109_497_959, 2.748_383_854_56, 119.372_228, -29.762_839_2],
        [164.0, 158.703_270_709, 135.095_973_004, 3.007_778_249_61, 84.367_586_9, -24.192_016_2],
    ];
    let linkage = reference_b(186.0, 370.0, 120.0);
    assert!((linkage.drawn_shock() - rows[0][2]).abs() < 1e-8);
    near([linkage.axle.x, linkage.axle.y], [-429.210_434_646, -48.051_153_979_2], 1e-8);
    for [angle, travel, shock, leverage, x, y] in rows {
        let pose = linkage.pose(rows[0][2] - shock).expect("it turns that far");
        near([pose.axle.y - linkage.axle.y, pose.axle_velocity.y], [travel, leverage], 1e-8);
        assert!((186.0 + turn(&pose.bodies[1]) - angle).abs() < 1e-8);
        // Given with nine digits, and far away where the two links are almost parallel.
        let centre = instant_centre(&pose.bodies[2]);
        near([centre.x, centre.y], [x, y], 1e-5);
    }
}

/// Reference linkage B with a coupler of 330 and a rocker of 110 mm cannot be assembled with its crank at 186°: crank's end and
/// rocker's pivot are 449.3 mm apart there, 440 at most. It can at 164°, so it is drawn there and its crank is driven: it must
/// stop where the two are stretched straight. By the law of cosines in the triangle crank's axis, crank's end, rocker's pivot:
/// `440² = 400² + p² − 2·400·p·cos(θ − arg p)`.
#[test]
fn a_four_bar_that_cannot_be_assembled() {
    let [p1, p2, p3, p4, axle, ..] = points_b(164.0, 330.0, 110.0);
    let apart = distance(polar(p1, 400.0, 186.0), p4);
    assert!((apart - 449.3).abs() < 0.1, "{apart}");
    let anchor = point(-390.0, 350.0);
    let linkage = Builder::new(4)
        .pivot(0, 1, p1)
        .pivot(1, 2, p2)
        .pivot(2, 3, p3)
        .pivot(3, 0, p4)
        .shock([(0, anchor), (1, p2)])
        .axle(2, axle);
    let compression = |angle: f64| distance(anchor, p2) - distance(anchor, polar(p1, 400.0, angle));
    let reach = p4.x.hypot(p4.y);
    let cosine = (400.0_f64.powi(2) + reach.powi(2) - 440.0_f64.powi(2)) / (2.0 * 400.0 * reach);
    let limit = p4.y.atan2(p4.x).to_degrees() + cosine.acos().to_degrees();
    assert!(limit > 164.0 && limit < 186.0);
    assert!(linkage.pose(compression(limit - 0.1)).is_ok());
    let stuck = linkage.pose(compression(186.0)).expect_err("the parts do not reach");
    let Stuck::CannotClose { joint, compression: at } = stuck else { panic!("{stuck}") };
    // One of the three joints of the stretched pair.
    assert!((1..=3).contains(&joint), "{joint}");
    assert!((at - compression(limit)).abs() < 1e-5, "{at} is not {}", compression(limit));
}

/// A single pivot whose shock is compressed past the point where eye, pivot and eye are in line, the shortest it can get:
/// `F − e` in closed form. A dead point, at the pivot.
#[test]
fn a_shock_over_centre_is_a_dead_point() {
    let pivot = point(0.0, 0.0);
    let linkage = Builder::new(2)
        .pivot(0, 1, pivot)
        .shock([(0, point(0.0, 300.0)), (1, polar(pivot, 120.0, 150.0))])
        .axle(1, point(-430.0, 0.0));
    let most = linkage.drawn_shock() - (300.0 - 120.0);
    let nearly: Pose<f64> = linkage.pose(most - 1e-3).expect("just before");
    assert!(nearly.axle_velocity.x.hypot(nearly.axle_velocity.y) > 100.0);
    let stuck = linkage.pose(most + 1.0).expect_err("past the shortest");
    let Stuck::DeadPoint { joint: 0, compression } = stuck else { panic!("{stuck}") };
    assert!((compression - most).abs() < 1e-5, "{compression} is not {most}");
}
