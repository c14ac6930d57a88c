//! Exact derivatives of sag, loads and wanted springs against differences.

mod bikes;
mod linkages;

use knockon_engine::Scalar;
use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::suspension::linkage::Linkage;
use knockon_engine::suspension::sag::{Frequencies, coil_rate_for, pressure_for, sag};
use linkages::examples;
use num_dual::{Dual2_64, Dual64};

fn sprung() -> Bike<f64> {
    let mut bike = bikes::bikes()[0].1;
    (bike.kit_mass, bike.shock_spacer, bike.shock_stroke) = (2.0, 0.0, 55.0);
    (bike.coil_rate, bike.coil_preload) = (85.0, 1.0);
    (bike.shock_air_area, bike.shock_air_length, bike.shock_volume_spacer) = (1400.0, 85.0, 8.0);
    (bike.fork_pressure, bike.fork_air_area, bike.fork_air_length) = (5.5, 700.0, 210.0);
    (bike.fork_volume_spacer, bike.fork_negative_area, bike.fork_negative_length) = (10.0, 640.0, 30.0);
    bike
}

fn results<T: Scalar>(bike: &Bike<T>, linkage: &Linkage<T>) -> [T; 8] {
    let sag = sag(bike, Some(linkage)).unwrap();
    let frequencies = Frequencies::at(bike, Some(linkage), &sag).unwrap();
    let rate = coil_rate_for(bike, Some(linkage), T::from(0.3)).unwrap();
    let pressure = pressure_for(bike, Some(linkage), T::from(0.3)).unwrap();
    [sag.shock, sag.fork, sag.rear_load, sag.front_load, rate, pressure, frequencies.rear, frequencies.front]
}

const STEPS: [(Parameter, f64); 12] = [
    (Parameter::RiderMass, 0.05),
    (Parameter::RearUnsprung, 0.05),
    (Parameter::CoilRate, 0.05),
    (Parameter::CoilPreload, 0.01),
    (Parameter::ForkPressure, 0.005),
    (Parameter::ForkNegativeLength, 0.02),
    (Parameter::AirExponent, 1e-4),
    (Parameter::MassAhead, 0.1),
    (Parameter::HeadAngle, 1e-4),
    (Parameter::RearRadius, 0.1),
    (Parameter::ShockStart, 0.01),
    (Parameter::ShockStroke, 0.05),
];

/// First derivatives by central differences, and second ones by central differences of the exact first ones.
#[test]
fn in_parameters() {
    let linkage = &examples()[1].linkage;
    let first = |parameter: Parameter, by: f64| {
        let mut bike = sprung().map(|value| Dual64::from(*value));
        let place = bike.get_mut(parameter);
        *place = (*place + by).derivative();
        results(&bike, &linkage.map(|value| Dual64::from(*value)))
    };
    for (parameter, step) in STEPS {
        let (below, here, above) = (first(parameter, -step), first(parameter, 0.0), first(parameter, step));
        let mut bike = sprung().map(|value| Dual2_64::from(*value));
        let place = bike.get_mut(parameter);
        *place = place.derivative();
        let second = results(&bike, &linkage.map(|value| Dual2_64::from(*value)));
        for result in 0..here.len() {
            let slope = (above[result].re - below[result].re) / (2.0 * step);
            let exact = here[result].eps;
            let name = parameter.name();
            assert!((slope - exact).abs() <= 1e-4 * exact.abs() + 1e-7, "{name} {result}: {slope} {exact}");
            assert!((second[result].v1 - exact).abs() <= 1e-9 * exact.abs() + 1e-12, "{name} {result}");
            let bend = (above[result].eps - below[result].eps) / (2.0 * step);
            let exact = second[result].v2;
            let small = 1e-4 * here[result].eps.abs() + 1e-7;
            assert!((bend - exact).abs() <= 1e-3 * exact.abs() + small, "{name} {result}: {bend} {exact}");
        }
    }
}

#[test]
fn in_points_of_the_linkage() {
    let linkage = &examples()[3].linkage;
    let bike = sprung();
    let count = linkage.numbers().len();
    let moved = |which: usize, by: f64| {
        let mut number = 0;
        linkage.map(|value| {
            number += 1;
            if number - 1 == which { *value + by } else { *value }
        })
    };
    for which in 0..count {
        let step = 1e-3;
        let plain = [-step, step].map(|by| results(&bike, &moved(which, by)));
        let mut number = 0;
        let dual = linkage.map(|value| {
            number += 1;
            if number - 1 == which { Dual64::from(*value).derivative() } else { Dual64::from(*value) }
        });
        let exact = results(&bike.map(|value| Dual64::from(*value)), &dual);
        for (result, exact) in exact.iter().enumerate() {
            let slope = (plain[1][result] - plain[0][result]) / (2.0 * step);
            assert!(
                (slope - exact.eps).abs() <= 1e-4 * exact.eps.abs() + 1e-5,
                "{which} {result}: {slope} {}",
                exact.eps
            );
        }
    }
}

/// On the bump stop the compression is the stroke, whatever the masses; told sag is its share of the stroke.
#[test]
fn at_the_stops() {
    let with = |parameter: Parameter, bike: Bike<f64>| {
        let mut bike = bike.map(|value| Dual64::from(*value));
        let place = bike.get_mut(parameter);
        *place = place.derivative();
        sag(&bike, None).unwrap()
    };
    let soft = Bike { coil_rate: 1.0, ..sprung() };
    assert_eq!(with(Parameter::ShockStroke, soft).shock.eps, 1.0);
    assert_eq!(with(Parameter::RiderMass, soft).shock.eps, 0.0);
    assert!(with(Parameter::RiderMass, soft).fork.eps > 0.0);
    let stiff = Bike { coil_preload: 5000.0, ..sprung() };
    assert_eq!(with(Parameter::ShockStroke, stiff).shock.eps, 0.0);
    let told = Bike { coil_rate: f64::NAN, ..sprung() };
    assert!((with(Parameter::ShockStroke, told).shock.eps - 0.29).abs() < 1e-12);
    assert!((with(Parameter::ShockSag, told).shock.eps - 55.0).abs() < 1e-12);
}
