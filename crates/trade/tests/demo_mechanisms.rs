//! The linkages of the demo bikes: every joint closes at every position, and anti-squat and anti-rise are what a balance of
//! forces on all their bodies says, which knows no velocities.

#[path = "../../engine/tests/free_bodies/mod.rs"]
mod free_bodies;

use free_bodies::{Lock, share};
use knockon_engine::suspension::curve::{Curve, position};
use knockon_engine::suspension::effect::braked_body;
use knockon_engine::suspension::linkage::JointKind;
use knockon_engine::suspension::rear::stroke;
use knockon_trade::build::Build;
use knockon_trade::demo;

#[test]
fn every_demo_mechanism_balances() {
    let (mut linkages, mut idlers, mut braked) = (0, 0, 0);
    for (stem, _) in demo::bikes() {
        let build = Build::new(&demo::bike(stem).expect("a demo bike")).expect("a possible bike");
        let Some(built) = &build.linkage else { continue };
        let mut bike = build.bike.map(|number| number.value);
        let linkage = built.linkage.map(|number| number.value);
        linkages += 1;
        idlers += linkage.layout.idlers.iter().filter(|idler| idler.mount.body > 0).count();
        // In the gear that it is in, and in two others.
        for cog in [bike.cog, 12.0, 50.0] {
            bike.cog = cog;
            for part in [0.0, 0.25, 0.5, 0.75, 1.0] {
                let compression = part * stroke(&bike);
                let pose = linkage.pose(bike.shock_start + compression).expect("the demo moves");
                let curves = position(&bike, Some(&linkage), compression, 0.0).expect("the demo moves");
                let near = |found: f64, expected: f64, what: &str| {
                    let most = 1e-8 * expected.abs().max(1.0);
                    assert!((found - expected).abs() < most, "{stem}, {what} at {part}: {found} {expected}");
                };
                let expected = share(&bike, &linkage, &pose, 1.0, &Lock::Chain);
                near(curves[Curve::AntiSquat as usize], expected, "anti-squat");
                if braked_body(&linkage).is_some() {
                    braked += 1;
                    let expected = share(&bike, &linkage, &pose, -1.0, &Lock::Pad(60.0));
                    near(curves[Curve::AntiRise as usize], expected, "anti-rise");
                }
            }
        }
    }
    assert_eq!(linkages, 6);
    assert!(idlers > 0 && braked > 0, "an idler on a body that moves, and brakes");
}

/// By where the parts are alone, to a millionth of a micrometre, at 101 positions of the stroke.
#[test]
fn every_joint_of_every_demo_mechanism_closes() {
    let mut linkages = 0;
    for (stem, _) in demo::bikes() {
        let build = Build::new(&demo::bike(stem).expect("a demo bike")).expect("a possible bike");
        let Some(built) = &build.linkage else { continue };
        let bike = build.bike.map(|number| number.value);
        let linkage = built.linkage.map(|number| number.value);
        linkages += 1;
        let poses = linkage.sweep(bike.shock_start, bike.shock_start + stroke(&bike), 101).expect("it moves");
        assert_eq!(poses.len(), 101);
        for pose in &poses {
            for joint in &linkage.layout.joints {
                let [a, b] = joint.bodies.map(|body| pose.bodies[body].place(linkage.points[joint.point]));
                let (x, y) = (b.x - a.x, b.y - a.y);
                // Of a slide, the distance from its line, and both parts turned alike.
                let open = match joint.kind {
                    JointKind::Pivot => x.hypot(y),
                    JointKind::Slide { direction } => {
                        let [(cos, sin), (c, d)] = joint.bodies.map(|body| pose.bodies[body].turn_cos_sin);
                        let angle = linkage.directions[direction] + sin.atan2(cos);
                        (x * angle.sin() - y * angle.cos()).abs().max(200.0 * (cos * d - sin * c).abs())
                    }
                };
                assert!(open < 1e-9, "{stem}, joint at point {}: open by {open} mm", joint.point);
            }
            let [a, b] =
                linkage.layout.eyes.map(|eye| pose.bodies[eye.body].place(linkage.points[eye.point]));
            let length = (a.x - b.x).hypot(a.y - b.y) + pose.compression;
            assert!((length - linkage.drawn_shock()).abs() < 1e-9, "{stem}: {length}");
        }
    }
    assert_eq!(linkages, 6);
}
