//! Trail and wheel flop against a published bicycle and against another way of computing them.

use knockon_engine::geometry::steering::Steering;

fn close(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within, "{value} is not {expected} within {within}");
}

/// Source: Meijaard, Papadopoulos, Ruina and Schwab, Proc. R. Soc. A 463 (2007) 1955–1982, Table 1: trail c = 0.08 m, front
/// wheel radius 0.35 m, tilt of the steering axis λ = π/10 from the vertical. The front axle's offset from the axis is what
/// the same table's geometry gives, (r·sin λ − c·cos λ) = 0.032 071 426 7 m.
#[test]
fn the_published_benchmark_bicycle_has_its_published_trail() {
    let lambda = std::f64::consts::PI / 10.0;
    let head_angle = std::f64::consts::FRAC_PI_2 - lambda;
    let offset = 32.071_426_7;
    close(350.0 * lambda.sin() - 80.0 * lambda.cos(), offset, 5e-8);
    let steering = Steering::new(head_angle, 350.0, offset);
    close(steering.trail, 80.0, 1e-6);
    // Mechanical trail c·cos λ and flop c·cos λ·sin λ of the same bicycle.
    close(steering.mechanical_trail, 76.084_521_3, 1e-6);
    close(steering.wheel_flop, 23.511_410_1, 1e-6);
}

/// Cross-check with another implementation, not published: wheel radius, head angle, offset, then trail, mechanical trail
/// and flop.
#[test]
fn three_bikes_agree_with_another_computation() {
    for [radius, head_angle, offset, trail, mechanical, flop] in [
        [336.0_f64, 73.0, 45.0, 55.669_380, 53.236_893, 15.564_961],
        [350.0, 72.0, 45.0, 66.406_094, 63.155_948, 19.516_261],
        [371.0, 65.0, 44.0, 124.451_513, 112.791_375, 47.667_695],
    ] {
        let steering = Steering::new(head_angle.to_radians(), radius, offset);
        close(steering.trail, trail, 1e-6);
        close(steering.mechanical_trail, mechanical, 1e-6);
        close(steering.wheel_flop, flop, 1e-6);
    }
}
