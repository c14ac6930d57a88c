//! The chain's way: published lengths, closed forms by hand, growth against its rate.

mod chains;

use std::sync::Arc;

use chains::{AXLE, Draft, bike, close, examples, single_pivot, with_shock};
use knockon_engine::bike::Bike;
use knockon_engine::geometry::point::FramePoint;
use knockon_engine::suspension::chain::{Chain, MOST_IDLERS, pitch_radius};
use knockon_engine::suspension::curve::{Curve, trace};
use knockon_engine::suspension::linkage::{Linkage, MOST_BODIES, Placement, Pose};

const INCH: f64 = 25.4;

/// Source: R. L. Mott, Machine Elements in Mechanical Design, 4th edition, Example Problem 7-3: half-inch chain, 17 and 65
/// teeth, pitch diameters 2.721 in and 10.349 in.
#[test]
fn pitch_diameters_are_the_published_ones() {
    close(2.0 * pitch_radius(17.0) / INCH, 2.721, 0.0005, "17 teeth");
    close(2.0 * pitch_radius(65.0) / INCH, 10.349, 0.0005, "65 teeth");
    // Another computation, not published, mm.
    for (teeth, diameter) in
        [(10.0, 41.0981), (11.0, 45.0782), (20.0, 81.1842), (32.0, 129.5692), (52.0, 210.3398)]
    {
        close(2.0 * pitch_radius(teeth), diameter, 1e-4, "pitch diameter");
    }
}

/// Ring and cog some pitches apart, nothing else.
fn two_wheels(ring: f64, cog: f64, pitches: f64) -> f64 {
    let mut bike = Bike::unknown();
    (bike.ring, bike.cog) = (ring, cog);
    let mut linkage = with_shock(single_pivot([0.0, 0.0]), [0.0, 0.0]);
    linkage.axle = FramePoint { x: -12.7 * pitches, y: 0.0 };
    let chain = Chain::new(&bike, &linkage, &still(&linkage));
    chain.loop_length() / 12.7
}

/// The drawn pose without knowing how it moves.
fn still(linkage: &Linkage<f64>) -> Pose<f64> {
    let rest = Placement::at_rest();
    Pose { compression: 0.0, bodies: [rest; MOST_BODIES], axle: linkage.axle, axle_velocity: rest.drift }
}

/// Source: the same problem: 30 pitches apart 102.9 pitches long; 104 pitches at 30.54 apart. Its formula is the usual
/// approximation, 0.011 off the exact tangents here. Shigley's Mechanical Engineering Design, Example 17-5, inputs 17 and
/// 34 teeth, 25 apart: 75.79 (the result is remembered, and reproduced by both forms).
#[test]
fn a_loop_is_as_long_as_published() {
    close(two_wheels(65.0, 17.0, 30.0), 102.9, 0.06, "as printed"); // 0.05 of rounding and that 0.011
    close(two_wheels(65.0, 17.0, 30.0), 102.945_37, 0.05, "the printed formula, unrounded");
    close(two_wheels(65.0, 17.0, 30.54), 104.0, 0.05, "the other way");
    close(two_wheels(34.0, 17.0, 25.0), 75.79, 0.005, "17 and 34");
    // The exact open tangents, worked out by another program to more digits.
    close(two_wheels(65.0, 17.0, 30.0), 102.956_09, 1e-5, "exact");
    close(two_wheels(34.0, 17.0, 25.0), 75.793_103, 1e-6, "exact");
    // Either way round.
    close(two_wheels(17.0, 65.0, 30.0), two_wheels(65.0, 17.0, 30.0), 1e-12, "turned round");
}

/// Every line touches its two pulleys on the proper side: pulleys that it passes over on its left, the others on its right.
#[test]
fn spans_touch_their_pulleys() {
    for (name, linkage) in examples() {
        let pose = linkage.pose(21.0).unwrap();
        let bike = bike();
        let chain = Chain::new(&bike, &linkage, &pose);
        let mut pulleys = vec![(FramePoint { x: 0.0, y: 0.0 }, pitch_radius(bike.ring))];
        for idler in &linkage.layout.idlers {
            let at = pose.bodies[idler.mount.body].place(linkage.points[idler.mount.point]);
            pulleys.push((at, if idler.over { 1.0 } else { -1.0 } * pitch_radius(idler.teeth)));
        }
        pulleys.push((pose.axle, pitch_radius(bike.cog)));
        let spans = chain.spans();
        assert_eq!(spans.len() + 1, pulleys.len(), "{name}");
        for (span, pair) in spans.iter().zip(pulleys.windows(2)) {
            let (u, [(a, r), (b, s)]) = (span.direction, [pair[0], pair[1]]);
            close(u.x.hypot(u.y), 1.0, 1e-12, name);
            // From where it touches the one, r to the right of its axis, along its length, back to the other's axis.
            close(a.x + r * u.y + span.length * u.x - s * u.y, b.x, 1e-9, name);
            close(a.y - r * u.x + span.length * u.y + s * u.x, b.y, 1e-9, name);
        }
    }
}

/// Gauss–Legendre, five points on −1..1 (Abramowitz and Stegun, table 25.4).
const GAUSS: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

#[test]
fn growth_and_kickback_are_the_integral_of_the_rate() {
    for (name, linkage) in examples() {
        let bike = bike();
        let rows = trace(&bike, Some(&linkage), 11).unwrap();
        let start = Chain::new(&bike, &linkage, &linkage.pose(0.0).unwrap());
        let mut grown = 0.0;
        for step in 0..10 {
            for (place, weight) in GAUSS {
                let pose = linkage.pose(5.0 * f64::from(step) + 2.5 * (1.0 + place)).unwrap();
                grown += 2.5 * weight * Chain::new(&bike, &linkage, &pose).rate();
            }
            let now = Chain::new(&bike, &linkage, &linkage.pose(5.0 * f64::from(step + 1)).unwrap());
            close(now.growth(&start), grown, 1e-8, name);
            let row = rows[step as usize + 1];
            close(row[Curve::TightRun as usize], grown, 1e-8, name);
            close(row[Curve::Kickback as usize], grown / pitch_radius(bike.ring), 1e-9, name);
        }
    }
}

/// The loop's growth against its length at two places. The length lays links on teeth, the growth arcs on pitch circles:
/// for the wraps that change, up to half a radian here, that is `r − 12.7·teeth/2π`, 0.2 mm per radian at 16 teeth and
/// less on larger ones.
#[test]
fn a_loop_grows_by_the_difference_of_its_lengths() {
    for (name, linkage) in examples() {
        let [start, end] =
            [0.0, 50.0].map(|stroke| Chain::new(&bike(), &linkage, &linkage.pose(stroke).unwrap()));
        close(end.loop_growth(&start), end.loop_length() - start.loop_length(), 0.15, name);
        assert!(end.loop_growth(&start).abs() > 1.0, "{name}");
    }
}

/// A swing arm about the bottom bracket carries the loop around as a whole. The tight run, whose ends stay in frame axes,
/// then gains an arc on the ring and loses one on the cog: (r_ring − r_cog) times the turn.
#[test]
fn a_pivot_at_the_bottom_bracket_grows_nothing() {
    let linkage = with_shock(single_pivot([0.0, 0.0]), [0.0, 0.0]);
    for (ring, cog) in [(32.0, 32.0), (32.0, 11.0), (28.0, 51.0)] {
        let mut bike = bike();
        (bike.ring, bike.cog) = (ring, cog);
        let start = Chain::new(&bike, &linkage, &linkage.pose(0.0).unwrap());
        for stroke in [10.0, 35.0, 55.0] {
            let pose = linkage.pose(stroke).unwrap();
            let (cos, sin) = pose.bodies[1].turn_cos_sin;
            let chain = Chain::new(&bike, &linkage, &pose);
            let by_hand = (pitch_radius(ring) - pitch_radius(cog)) * sin.atan2(cos);
            close(chain.growth(&start), by_hand, 1e-9, "tight run");
            close(chain.loop_growth(&start), 0.0, 1e-9, "loop");
            if ring == cog {
                assert!(chain.growth(&start).abs() < 1e-9);
            }
        }
    }
}

/// Ring and cog alike: both spans are as long as the axle is far from the bottom bracket, and the arcs cancel.
#[test]
fn equal_ring_and_cog_grow_by_the_axles_distance() {
    for pivot in [[10.0, 60.0], [-10.0, 170.0], [40.0, -20.0]] {
        let linkage = with_shock(single_pivot(pivot), pivot);
        let mut bike = bike();
        (bike.ring, bike.cog) = (24.0, 24.0);
        let start = Chain::new(&bike, &linkage, &linkage.pose(0.0).unwrap());
        let pose = linkage.pose(40.0).unwrap();
        let chain = Chain::new(&bike, &linkage, &pose);
        let by_hand = pose.axle.x.hypot(pose.axle.y) - AXLE[0].hypot(AXLE[1]);
        close(chain.growth(&start), by_hand, 1e-9, "tight run");
        close(chain.loop_growth(&start), 2.0 * by_hand, 1e-9, "loop");
    }
}

/// An idler concentric with the main pivot and a cog of its size: the span from it turns with the swing arm and does not
/// grow, the arcs on both cancel. The first span does not move.
#[test]
fn an_idler_at_the_pivot_with_an_equal_cog_grows_nothing() {
    let high = [-10.0, 170.0];
    let linkage = with_shock(single_pivot(high).idler(0, high, 18.0, true), high);
    let mut bike = bike();
    bike.cog = 18.0;
    for row in trace(&bike, Some(&linkage), 6).unwrap() {
        close(row[Curve::TightRun as usize], 0.0, 1e-9, "tight run");
        close(row[Curve::Kickback as usize], 0.0, 1e-11, "kickback");
    }
}

#[test]
fn impossible_and_unknown_chains_are_not_a_number() {
    let high = [-10.0, 170.0];
    // 60 mm from the bottom bracket an idler of 32 mm runs into the ring of 65 mm.
    let overlapping = with_shock(single_pivot(high).idler(0, [-5.0, 60.0], 16.0, true), high);
    let crowd = |count: usize| {
        let draft = (0..count).fold(single_pivot(high), |draft: Draft, place| {
            draft.idler(0, [-5.0 - 60.0 * place as f64, 185.0], 12.0, true)
        });
        with_shock(draft, high)
    };
    let at = |bike: &Bike<f64>, linkage: &Linkage<f64>| {
        let chain = Chain::new(bike, linkage, &linkage.pose(10.0).unwrap());
        [chain.rate(), chain.growth(&chain), chain.loop_growth(&chain), chain.loop_length()]
    };
    assert!(at(&bike(), &overlapping).iter().all(|number| number.is_nan()));
    assert!(at(&bike(), &crowd(MOST_IDLERS)).iter().all(|number| number.is_finite()));
    assert!(at(&bike(), &crowd(MOST_IDLERS + 1)).iter().all(|number| number.is_nan()));
    let mut nobody_counted = bike();
    nobody_counted.cog = f64::NAN;
    assert!(at(&nobody_counted, &crowd(1)).iter().all(|number| number.is_nan()));
    let mut toothless = crowd(1);
    Arc::make_mut(&mut toothless.layout).idlers[0].teeth = 0.0;
    assert!(at(&bike(), &toothless).iter().all(|number| number.is_nan()));
}
