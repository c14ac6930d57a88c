//! Facts that the trade takes for granted. Common practice, no source, except where plane geometry is worked out in place.

mod bikes;

use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::change::Step;
use knockon_engine::geometry::Stance;
use knockon_engine::quantity::{Quantity, evaluate, standing};

/// How far `steps` move the grips, forward and up.
fn grips(bike: &Bike<f64>, steps: &[Step<f64>]) -> (f64, f64) {
    let (before, after) = (evaluate(bike, None), evaluate(&bike.after(steps), None));
    let moved = |quantity: Quantity| after[quantity as usize] - before[quantity as usize];
    (moved(Quantity::GripReach), moved(Quantity::GripStack))
}

fn close(value: (f64, f64), expected: (f64, f64)) {
    let off = (value.0 - expected.0).hypot(value.1 - expected.1);
    assert!(off < 1e-9, "{value:?} is not {expected:?}");
}

/// Spacers put under the stem bring the bars up and back along the steering axis.
#[test]
fn spacers_move_the_grips_along_the_steering_axis() {
    for (_, bike) in bikes::bikes() {
        let (sin, cos) = bike.head_angle.sin_cos();
        for by in [-15.0, 5.0, 20.0] {
            let steps = [Step::By(Parameter::SpacersBelow, by), Step::By(Parameter::SpacersAbove, -by)];
            close(grips(&bike, &steps), (-by * cos, by * sin));
        }
    }
}

/// More rise that stands upright lifts the grips and leaves reach alone; rolled back as far as the steering axis leans, it
/// acts as spacers do.
#[test]
fn rise_lifts_upright_and_acts_like_spacers_rolled_back() {
    for (_, bike) in bikes::bikes() {
        for by in [-10.0, 15.0, 40.0] {
            let rise = [Step::By(Parameter::BarRise, by)];
            let mut upright = bike;
            upright.bar_roll = 0.0;
            close(grips(&upright, &rise), (0.0, by));
            let mut rolled = bike;
            rolled.bar_roll = std::f64::consts::FRAC_PI_2 - bike.head_angle;
            close(grips(&rolled, &rise), grips(&rolled, &[Step::By(Parameter::SpacersBelow, by)]));
        }
    }
}

/// A stem of other length at 0° moves the grips square to the steering axis.
#[test]
fn a_level_stem_moves_the_grips_square_to_the_steering_axis() {
    for (_, mut bike) in bikes::bikes() {
        bike.stem_angle = 0.0;
        let (sin, cos) = bike.head_angle.sin_cos();
        close(grips(&bike, &[Step::By(Parameter::StemLength, -10.0)]), (-10.0 * sin, -10.0 * cos));
    }
}

/// 20 mm more axle to crown slackens an adult's mountain bike by 0.8 to 1°: the front axle rises by 20·sin HA over the
/// wheelbase, which is also what a road bike's shorter wheelbase makes somewhat more of.
#[test]
fn a_longer_fork_slackens_the_head_angle() {
    let [(_, trail), (_, road), (_, hardtail)] = bikes::bikes();
    let mut long = trail;
    long.reach += 40.0;
    let slacker = |bike: &Bike<f64>| {
        let row = Quantity::HeadAngle as usize;
        let after = bike.after(&[Step::By(Parameter::AxleToCrown, 20.0)]);
        evaluate(bike, None)[row] - evaluate(&after, None)[row]
    };
    for bike in [trail, long, hardtail] {
        assert!((0.8..=1.0).contains(&slacker(&bike).to_degrees()), "{}", slacker(&bike).to_degrees());
    }
    for bike in [trail, long, hardtail, road] {
        let wheelbase = evaluate(&bike, None)[Quantity::Wheelbase as usize];
        let by_hand = 20.0 * bike.head_angle.sin() / wheelbase;
        assert!((slacker(&bike) / by_hand - 1.0).abs() < 0.02, "{} {by_hand}", slacker(&bike));
    }
}

/// A bike stands level when its front axle lies above the rear axle by as much as the front wheel is larger, and does not
/// otherwise. Plane geometry.
#[test]
fn level_when_the_axles_differ_as_the_wheels_do() {
    for (name, bike) in bikes::bikes() {
        let stance = Stance::new(&bike, 0.0);
        let higher = stance.front_axle.y - stance.rear_axle.y;
        assert!((higher - (bike.front_radius - bike.rear_radius)).abs() < 1e-9, "{name}");
        assert!(stance.turn.abs() < 1e-12, "{name}: {}", stance.turn);
        // Lifting the front axle by a small amount e over a wheelbase W turns the bike by e/W.
        let mut lifted = bike;
        lifted.stack -= 1.0;
        let row = Quantity::Wheelbase as usize;
        let turn = Stance::new(&lifted, 0.0).turn;
        assert!((turn * evaluate(&bike, None)[row] - 1.0).abs() < 2e-3, "{name}: {turn}");
    }
}

/// A telescopic fork with more travel is longer by as much, unless somebody says how long it is.
#[test]
fn travel_moves_axle_to_crown_one_for_one_unless_it_is_given() {
    for (_, bike) in bikes::bikes() {
        let longer = bike.after(&[Step::By(Parameter::ForkTravel, 10.0)]);
        assert_eq!(longer.axle_to_crown, bike.axle_to_crown + 10.0);
        let given = Step::Set(Parameter::AxleToCrown, 560.0);
        for steps in
            [[given, Step::By(Parameter::ForkTravel, 10.0)], [Step::By(Parameter::ForkTravel, 10.0), given]]
        {
            assert_eq!(bike.after(&steps).axle_to_crown, 560.0);
        }
    }
}

/// An inner spacer shortens the stroke, cuts rear travel by the leverage ratio, and leaves the geometry alone; a shorter
/// shock does move it.
#[test]
fn a_shorter_stroke_leaves_the_geometry_alone_and_a_shorter_shock_does_not() {
    let (_, mut bike) = bikes::bikes()[0];
    (bike.leverage_at_start, bike.leverage_at_end) = (1.0, 1.0);
    let stroke = bike.after(&[Step::By(Parameter::ShockStroke, -5.0)]);
    // 150/55 = 2.727 a millimetre.
    assert!((stroke.rear_travel - (150.0 - 5.0 * 150.0 / 55.0)).abs() < 1e-9);
    let (before, after) = (standing(&bike), standing(&stroke));
    let others = Quantity::ALL.iter().filter(|quantity| **quantity != Quantity::RearTravel);
    for quantity in others.filter(|quantity| before[**quantity as usize].is_finite()) {
        assert_eq!(before[*quantity as usize], after[*quantity as usize], "{}", quantity.id());
    }
    let shorter = evaluate(&bike.after(&[Step::By(Parameter::EyeToEye, -2.0)]), None);
    // 5.45 mm at the axle lower the back of the bike: slacker, and the bottom bracket comes down.
    let row = Quantity::HeadAngle as usize;
    let slacker = (before[row] - shorter[row]).to_degrees();
    assert!((slacker - (2.0_f64 * 150.0 / 55.0 / 1222.0).to_degrees()).abs() < 0.01, "{slacker}");
    assert!(shorter[Quantity::BottomBracketHeight as usize] < before[Quantity::BottomBracketHeight as usize]);
}
