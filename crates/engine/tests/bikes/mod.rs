//! Three invented bikes with every measure filled in, level on their own wheels.

use knockon_engine::bike::Bike;

/// A long trail bike, a road bike and a small hardtail.
pub fn bikes() -> [(&'static str, Bike<f64>); 3] {
    [("trail", trail()), ("road", road()), ("hardtail", hardtail())]
}

fn trail() -> Bike<f64> {
    let mut bike = common();
    (bike.reach, bike.head_tube, bike.lower_stack, bike.upper_stack) = (455.0, 115.0, 1.0, 12.0);
    (bike.head_angle, bike.seat_angle) = (64.5_f64.to_radians(), 77_f64.to_radians());
    (bike.chainstay, bike.bottom_bracket_drop) = (440.0, 28.0);
    (bike.axle_to_crown, bike.fork_offset, bike.fork_travel) = (556.0, 44.0, 160.0);
    (bike.front_radius, bike.rear_radius) = (372.0, 372.0);
    (bike.front_tyre_width, bike.rear_tyre_width) = (61.0, 61.0);
    level(bike)
}

fn road() -> Bike<f64> {
    let mut bike = common();
    (bike.reach, bike.head_tube, bike.lower_stack, bike.upper_stack) = (388.0, 150.0, 0.5, 8.0);
    (bike.head_angle, bike.seat_angle) = (73_f64.to_radians(), 73.5_f64.to_radians());
    (bike.chainstay, bike.bottom_bracket_drop) = (412.0, 70.0);
    (bike.axle_to_crown, bike.fork_offset, bike.fork_travel) = (375.0, 45.0, 0.0);
    (bike.front_radius, bike.rear_radius) = (339.0, 339.0);
    (bike.front_tyre_width, bike.rear_tyre_width) = (28.0, 28.0);
    (bike.stem_length, bike.stem_angle) = (100.0, -6_f64.to_radians());
    (bike.bar_rise, bike.bar_width, bike.bar_reach) = (0.0, 420.0, 80.0);
    (bike.bar_back_sweep, bike.bar_up_sweep) = (0.0, 0.0);
    level(bike)
}

fn hardtail() -> Bike<f64> {
    let mut bike = common();
    (bike.reach, bike.head_tube, bike.lower_stack, bike.upper_stack) = (400.0, 105.0, 12.0, 10.0);
    (bike.head_angle, bike.seat_angle) = (67_f64.to_radians(), 74_f64.to_radians());
    (bike.chainstay, bike.bottom_bracket_drop) = (430.0, 45.0);
    (bike.axle_to_crown, bike.fork_offset, bike.fork_travel) = (490.0, 42.0, 100.0);
    (bike.front_radius, bike.rear_radius) = (368.0, 349.0);
    (bike.front_tyre_width, bike.rear_tyre_width) = (57.0, 57.0);
    level(bike)
}

/// Everything that the frames above do not say.
fn common() -> Bike<f64> {
    let mut bike = Bike::from_fn(|_| 0.0);
    bike.section_ratio = 1.0;
    (bike.spacers_below, bike.spacers_above, bike.steerer_length, bike.top_cap_gap) = (20.0, 5.0, 210.0, 3.0);
    (bike.stem_length, bike.stem_clamp_height, bike.stem_bar_clamp, bike.bar_clamp) =
        (50.0, 40.0, 31.8, 31.8);
    (bike.bar_rise, bike.bar_width, bike.bar_bend, bike.hand_inset) = (25.0, 780.0, 90.0, 60.0);
    (bike.bar_back_sweep, bike.bar_up_sweep) = (8_f64.to_radians(), 5_f64.to_radians());
    (bike.saddle_height, bike.saddle_setback, bike.crank_length) = (720.0, 60.0, 170.0);
    (bike.eye_to_eye, bike.shock_stroke, bike.rear_travel) = (210.0, 55.0, 150.0);
    (bike.leverage_at_start, bike.leverage_at_end) = (1.12, 0.92);
    (bike.shock_sag, bike.fork_sag, bike.air_exponent) = (0.29, 0.2, 1.05);
    (bike.coil_rate, bike.shock_pressure) = (f64::NAN, f64::NAN);
    (bike.fork_coil_rate, bike.fork_pressure) = (f64::NAN, f64::NAN);
    (bike.ring, bike.cog) = (32.0, 21.0);
    (bike.bike_mass, bike.rider_mass, bike.front_unsprung, bike.rear_unsprung) = (15.0, 78.0, 3.5, 4.5);
    (bike.shock_stroke_most, bike.rear_bottom_clearance) = (57.0, 14.0);
    (bike.standover_above, bike.standover_place) = (400.0, 120.0);
    (bike.thigh, bike.lower_leg, bike.torso) = (440.0, 500.0, 520.0);
    (bike.upper_arm, bike.forearm, bike.torso_lean) = (310.0, 330.0, 50_f64.to_radians());
    (bike.mass_ahead, bike.mass_above) = (40.0, 750.0);
    (bike.axle_to_crown_least, bike.axle_to_crown_most) = (350.0, 570.0);
    (bike.spacers_allowed, bike.front_clearance, bike.rear_clearance) = (40.0, 12.0, 12.0);
    bike
}

/// The stack that lets the bike stand level: by how much the front axle then lies above the rear axle is the difference of
/// the radii. From the bottom bracket down the steering axis and forward by the offset, plane trigonometry.
fn level(mut bike: Bike<f64>) -> Bike<f64> {
    let (sin, cos) = bike.head_angle.sin_cos();
    let along = bike.head_tube + bike.lower_stack + bike.axle_to_crown;
    let front_axle = bike.bottom_bracket_drop + bike.front_radius - bike.rear_radius;
    bike.stack = front_axle + along * sin - bike.fork_offset * cos;
    bike
}
