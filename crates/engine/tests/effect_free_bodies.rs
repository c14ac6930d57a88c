//! Anti-squat and anti-rise against every body of the linkage cut free, on every example.

mod chains;
mod free_bodies;
mod linkages;

use chains::{bike, close};
use free_bodies::{Ground, Lock, Vector, share, shock_force};
use knockon_engine::bike::Bike;
use knockon_engine::suspension::curve::{Curve, position};
use knockon_engine::suspension::effect::{anti_squat_of, braked_body};
use knockon_engine::suspension::linkage::{Linkage, Pose};

/// Own examples and those that the solver is tried on, each with its stroke, on wheels of two sizes.
fn all() -> Vec<(&'static str, Bike<f64>, Linkage<f64>)> {
    let mut mixed = bike();
    (mixed.rear_radius, mixed.ring, mixed.cog) = (351.0, 30.0, 12.0);
    let own = chains::examples()
        .into_iter()
        .flat_map(|(name, linkage)| [(name, bike(), linkage.clone()), (name, mixed, linkage)]);
    let others = linkages::examples().into_iter().map(|example| {
        let mut bike = bike();
        bike.shock_stroke = example.stroke;
        (example.name, bike, example.linkage)
    });
    own.chain(others).collect()
}

fn positions(bike: &Bike<f64>, linkage: &Linkage<f64>) -> Vec<Pose<f64>> {
    [0.0, 0.3, 0.65, 1.0]
        .map(|part| linkage.pose(part * bike.shock_stroke).expect("the linkage moves"))
        .to_vec()
}

#[test]
fn anti_squat_is_what_free_bodies_say() {
    for (name, bike, linkage) in all() {
        for pose in positions(&bike, &linkage) {
            let expected = share(&bike, &linkage, &pose, 1.0, &Lock::Chain);
            let found = anti_squat_of(&bike, &linkage, &pose, 0.0);
            close(found, expected, 1e-8 * expected.abs().max(1.0), name);
            let curves = position(&bike, Some(&linkage), pose.compression, 0.0).unwrap();
            close(curves[Curve::AntiSquat as usize], expected, 1e-8 * expected.abs().max(1.0), name);
        }
    }
}

/// Two places for the pad: where the record suffices, it does not matter.
#[test]
fn anti_rise_is_what_free_bodies_say_wherever_the_pads_are() {
    for (name, bike, linkage) in all() {
        assert!(braked_body(&linkage).is_some(), "{name}");
        for pose in positions(&bike, &linkage) {
            let curves = position(&bike, Some(&linkage), pose.compression, 0.0).unwrap();
            let found = curves[Curve::AntiRise as usize];
            for pad in [35.0, 100.0] {
                let expected = share(&bike, &linkage, &pose, -1.0, &Lock::Pad(pad));
                close(found, expected, 1e-8 * expected.abs().max(1.0), name);
            }
        }
    }
}

/// With the caliper on a body that neither carries the axle nor turns about it, the pads' place decides: nothing is said.
#[test]
fn a_caliper_elsewhere_needs_the_pads_place() {
    let mut linkage = chains::examples().swap_remove(1).1;
    std::sync::Arc::make_mut(&mut linkage.layout).caliper = Some(1);
    let bike = bike();
    let pose = linkage.pose(20.0).unwrap();
    let [one, other] = [35.0, 100.0].map(|pad| share(&bike, &linkage, &pose, -1.0, &Lock::Pad(pad)));
    assert!((one - other).abs() > 0.01, "{one} {other}");
    assert_eq!(braked_body(&linkage), None);
    assert!(position(&bike, Some(&linkage), 20.0, 0.0).unwrap()[Curve::AntiRise as usize].is_nan());
    std::sync::Arc::make_mut(&mut linkage.layout).caliper = None;
    assert!(position(&bike, Some(&linkage), 20.0, 0.0).unwrap()[Curve::AntiRise as usize].is_nan());
}

/// The same by the shock: where the calculated anti-squat is 1, drive and load transfer leave the shock's force as it was.
#[test]
fn a_hundred_percent_leaves_the_shock_alone() {
    let mut bike = bike();
    let linkage = chains::examples().swap_remove(0).1;
    let pose = linkage.pose(15.0).unwrap();
    // Anti-squat goes with the inverse of the height above the ground: put the mass where it is 100 %.
    let share = anti_squat_of(&bike, &linkage, &pose, 0.0);
    let ground = Ground::new(&bike, &pose);
    let height = (Vector::new(bike.mass_ahead, bike.mass_above) - ground.contact).dot(&ground.up);
    bike.mass_ahead += ground.up.x * height * (share - 1.0);
    bike.mass_above += ground.up.y * height * (share - 1.0);
    let ground = Ground::new(&bike, &pose);
    let force = shock_force(&bike, &linkage, &pose, &ground, [1.0, ground.transfer], &Lock::Chain);
    close(force, 0.0, 1e-9, "change of the shock's force per newton of drive");
    close(anti_squat_of(&bike, &linkage, &pose, 0.0), 1.0, 1e-12, "anti-squat");
}
