//! Random sensible bikes for properties that hold of every bike.

use knockon_engine::bike::{Bike, Parameter};
use proptest::prelude::*;

/// Whether a parameter is a small number, radians or a ratio, rather than a length in mm.
pub fn is_small(parameter: Parameter) -> bool {
    use Parameter as P;
    matches!(
        parameter,
        P::HeadAngle
            | P::SeatAngle
            | P::HeadsetAngle
            | P::HeadsetTurn
            | P::StemAngle
            | P::BarRoll
            | P::BarBackSweep
            | P::BarUpSweep
            | P::TorsoLean
            | P::SectionRatio
            | P::LeverageAtStart
            | P::LeverageAtEnd
            | P::AirExponent
            | P::ShockSag
            | P::ForkSag
            | P::Rolling
            | P::DragArea
            | P::ClimbingCadence
            | P::InnerLowest
            | P::InnerHighest
            | P::PressureRule
    )
}

/// Ranges about as wide as bikes are, mm and radians. Narrow where a joint would otherwise not close: legs and arms.
fn range(parameter: Parameter) -> (f64, f64) {
    use Parameter as P;
    let degrees = |least: f64, most: f64| (least.to_radians(), most.to_radians());
    match parameter {
        P::Stack => (540.0, 660.0),
        P::Reach => (360.0, 500.0),
        P::HeadAngle => degrees(62.0, 74.0),
        P::SeatAngle => degrees(71.0, 79.0),
        P::HeadTube => (90.0, 180.0),
        P::Chainstay => (400.0, 470.0),
        P::BottomBracketDrop => (-10.0, 80.0),
        P::AxleToCrown => (370.0, 590.0),
        P::ForkOffset => (36.0, 56.0),
        P::ForkTravel => (80.0, 200.0),
        P::LowerStack => (0.5, 15.0),
        P::UpperStack | P::SpacersAbove | P::RearBottomClearance => (3.0, 30.0),
        P::HeadsetAngle | P::HeadsetTurn => degrees(-1.5, 1.5),
        P::FrontRadius | P::RearRadius => (330.0, 380.0),
        P::FrontTyreWidth | P::RearTyreWidth => (30.0, 66.0),
        P::SectionRatio => (0.95, 1.05),
        P::SpacersBelow => (0.0, 35.0),
        P::SteererLength => (150.0, 300.0),
        P::TopCapGap => (2.0, 5.0),
        P::StemLength => (30.0, 120.0),
        P::StemAngle => degrees(-17.0, 17.0),
        P::StemClampHeight => (30.0, 45.0),
        P::StemBarClamp | P::BarClamp => (25.0, 35.0),
        P::BarRise => (0.0, 60.0),
        P::BarWidth => (600.0, 820.0),
        P::BarBackSweep => degrees(3.0, 15.0),
        P::BarUpSweep => degrees(0.5, 7.0),
        P::BarRoll => degrees(-15.0, 25.0),
        P::BarBend => (60.0, 140.0),
        P::BarReach => (0.0, 90.0),
        P::HandInset => (40.0, 90.0),
        P::SaddleHeight => (640.0, 730.0),
        P::SaddleSetback => (-20.0, 100.0),
        P::CrankLength => (155.0, 175.0),
        P::EyeToEye => (190.0, 230.0),
        P::ShockStroke => (45.0, 65.0),
        P::RearTravel => (100.0, 180.0),
        P::LeverageAtStart | P::LeverageAtEnd => (0.85, 1.2),
        P::StandoverAbove => (350.0, 450.0),
        P::StandoverPlace => (20.0, 200.0),
        P::Thigh => (430.0, 470.0),
        P::LowerLeg => (490.0, 530.0),
        P::Torso => (500.0, 560.0),
        P::UpperArm => (310.0, 350.0),
        P::Forearm => (320.0, 360.0),
        P::TorsoLean => degrees(45.0, 60.0),
        P::MassAhead => (0.0, 100.0),
        P::MassAbove => (650.0, 850.0),
        P::AxleToCrownLeast => (360.0, 400.0),
        P::AxleToCrownMost => (560.0, 600.0),
        P::SpacersAllowed => (20.0, 50.0),
        P::FrontClearance | P::RearClearance => (5.0, 15.0),
        P::RearAxleLift => (-10.0, 10.0),
        P::RearAxleShift => (-5.0, 5.0),
        P::ShockStart => (-2.0, 2.0),
        P::ShockSpacer => (0.0, 4.0),
        P::BushingOffset => (-3.0, 3.0),
        P::ShockStrokeMost => (50.0, 70.0),
        // Firm enough that nothing comes to its end at rest.
        P::CoilRate => (90.0, 130.0),
        P::CoilPreload | P::ForkCoilPreload => (0.0, 3.0),
        P::ShockPressure => (8.0, 16.0),
        P::ShockAirArea => (1000.0, 1500.0),
        P::ShockAirLength => (100.0, 140.0),
        P::ShockVolumeSpacer | P::ForkVolumeSpacer => (0.0, 15.0),
        P::ShockNegativeArea => (800.0, 1000.0),
        P::ShockNegativeLength | P::ForkNegativeLength => (20.0, 60.0),
        P::ForkCoilRate => (9.0, 14.0),
        P::ForkPressure => (4.0, 8.0),
        P::ForkAirArea => (600.0, 800.0),
        P::ForkAirLength => (240.0, 300.0),
        P::ForkNegativeArea => (500.0, 600.0),
        P::AirExponent => (1.0, 1.4),
        P::ShockSag | P::ForkSag => (0.15, 0.35),
        P::Ring => (28.0, 40.0),
        P::Cog => (10.0, 50.0),
        P::RingSmallest => (22.0, 34.0),
        P::RingLargest => (36.0, 52.0),
        P::RingCount => (2.0, 3.0),
        P::RingSpacing => (6.0, 9.0),
        P::CogSmallest => (9.0, 13.0),
        P::CogLargest => (28.0, 52.0),
        P::CogCount => (8.0, 12.0),
        P::CogSpacing => (3.5, 4.8),
        P::InnerLowest => (0.5, 0.9),
        P::InnerHighest => (1.1, 1.9),
        // So far apart that the same pair is always the most askew: elsewhere the angle has a kink.
        P::FrontChainline => (41.0, 44.0),
        P::RearChainline => (50.0, 55.0),
        P::ChainPieces => (104.0, 128.0),
        P::ChainGrowth => (0.0, 40.0),
        P::DerailleurCapacity => (30.0, 48.0),
        P::DerailleurCogMost => (32.0, 52.0),
        P::RiderPower => (90.0, 250.0),
        P::ClimbingCadence => (0.8, 1.3),
        P::Rolling => (0.003, 0.015),
        P::DragArea => (0.3, 0.6),
        P::FrontRotor | P::RearRotor => (140.0, 220.0),
        P::PadHeight => (12.0, 16.0),
        P::FrontRimInner | P::RearRimInner => (19.0, 35.0),
        P::PressureRule => (0.8, 1.2),
        // Too low and too high to rule.
        P::FrontPressureLeast | P::RearPressureLeast => (0.1, 0.3),
        P::FrontPressureMost | P::RearPressureMost => (20.0, 30.0),
        P::BikeMass => (10.0, 25.0),
        P::RiderMass => (50.0, 95.0),
        P::KitMass => (0.0, 8.0),
        P::FrontUnsprung | P::RearUnsprung => (2.5, 6.0),
    }
}

/// Any sensible bike; it may stand nose up or down on its wheels.
pub fn any_bike() -> impl Strategy<Value = Bike<f64>> {
    prop::collection::vec(0.0..1.0, Parameter::ALL.len()).prop_map(|places: Vec<f64>| {
        Bike::from_fn(|parameter| {
            let (least, most) = range(parameter);
            least + places[parameter as usize] * (most - least)
        })
    })
}
