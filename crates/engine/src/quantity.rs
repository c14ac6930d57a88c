//! Every quantity that can be a knock-on, and their joint evaluation.

use crate::Scalar;
use crate::bike::Bike;
use crate::brake::stop::Load;
use crate::cockpit::Cockpit;
use crate::geometry::point::FramePoint;
use crate::geometry::steering::Steering;
use crate::geometry::{FramePoints, Stance};
use crate::named::named_numbers;
use crate::rider;
use crate::suspension::linkage::Linkage;
use crate::suspension::placed::Placed;
use crate::suspension::ride::ride;
use crate::suspension::sag::Rests;
use crate::{brake, drivetrain, wheel};

/// What kind of number a quantity is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// Millimetres.
    Length,
    /// Radians.
    Angle,
    /// A plain number; shown in percent.
    Share,
    /// A plain number, shown as it is.
    Ratio,
    /// Newtons.
    Force,
    /// Newtons per millimetre.
    Rate,
    /// Bar above the atmosphere.
    Pressure,
    /// Millimetres; shown in metres.
    Distance,
    /// Metres per second squared.
    Acceleration,
    /// Pieces of chain, each of half an inch.
    Pieces,
    /// Teeth of rings and cogs.
    Teeth,
}

named_numbers! {
    /// One quantity that a change may move. Lengths in mm, angles in radians, shares as plain numbers.
    Quantity {
        /// Steering axis from the ground.
        HeadAngle = "head_angle", Angle;
        /// Effective seat line from the ground.
        SeatAngle = "seat_angle", Angle;
        /// Bottom bracket to top of head tube, upward.
        Stack = "stack", Length;
        /// Bottom bracket to top of head tube, forward.
        Reach = "reach", Length;
        /// Level line from the top of the head tube back to the effective seat line.
        EffectiveTopTube = "effective_top_tube", Length;
        /// Level distance between the axles.
        Wheelbase = "wheelbase", Length;
        /// Straight distance from bottom bracket to front axle.
        FrontCentre = "front_centre", Length;
        /// Ground to bottom bracket.
        BottomBracketHeight = "bottom_bracket_height", Length;
        /// Contact patch behind the steering axis, on the ground.
        Trail = "trail", Length;
        /// Contact patch behind the steering axis, square to it.
        MechanicalTrail = "mechanical_trail", Length;
        /// Arm with which the front wheel's load turns the bars, per radian of steer.
        WheelFlop = "wheel_flop", Length;
        /// Bottom bracket to middle of the hand, upward.
        GripStack = "grip_stack", Length;
        /// Bottom bracket to middle of the hand, forward.
        GripReach = "grip_reach", Length;
        /// Between the middles of the hands.
        GripWidth = "grip_width", Length;
        /// Saddle reference to middle of the hand, forward.
        SaddleToGripReach = "saddle_to_grip_reach", Length;
        /// Saddle above the hand; negative when the hand is higher.
        SaddleToGripDrop = "saddle_to_grip_drop", Length;
        /// Saddle reference behind the bottom bracket.
        SaddleSetback = "saddle_setback", Length;
        /// Top of saddle to pedal axle at the bottom of the stroke.
        SaddleToPedal = "saddle_to_pedal", Length;
        /// Ground to pedal axle at the bottom of the stroke.
        PedalToGroundClearance = "pedal_to_ground_clearance", Length;
        /// Ground to top tube where the rider stands over it.
        Standover = "standover", Length;
        /// Fork travel.
        ForkTravel = "fork_travel", Length;
        /// Vertical rear wheel travel.
        RearTravel = "rear_travel", Length;
        /// Share of the weight on the front wheel.
        FrontLoadShare = "front_load_share", Share;
        /// Knee flexion at the bottom of the stroke, 0 for a straight leg.
        KneeFlexion = "knee_flexion", Angle;
        /// Torso to thigh at the top of the stroke.
        HipAngle = "hip_angle", Angle;
        /// Upper arm to forearm, 180° for a straight arm.
        ElbowAngle = "elbow_angle", Angle;
        /// Spacer inside the shock that shortens its stroke.
        InnerSpacer = "inner_spacer", Length;
        /// Vertical rear travel over the shock's stroke.
        LeverageMean = "leverage_mean", Ratio;
        /// Fall of the leverage ratio from full extension to full travel, over that at full extension.
        Progression = "progression", Share;
        /// Anti-squat at sag, in the gear that the bike is in.
        AntiSquatAtSag = "anti_squat_at_sag", Share;
        /// Anti-rise at sag.
        AntiRiseAtSag = "anti_rise_at_sag", Share;
        /// Backward turn of the cranks from full extension to full travel.
        PedalKickback = "pedal_kickback", Angle;
        /// Growth of the chain's whole loop from full extension to full travel.
        ChainGrowth = "chain_growth", Length;
        /// Vertical rear travel that the rider's weight uses up.
        RearSag = "rear_sag", Length;
        /// Part of the shock's stroke that the rider's weight uses up.
        ShockSag = "shock_sag", Share;
        /// Fork travel that the rider's weight uses up.
        ForkSag = "fork_sag", Length;
        /// Head angle with the rider on the bike.
        HeadAngleAtSag = "head_angle_at_sag", Angle;
        /// Trail with the rider on the bike.
        TrailAtSag = "trail_at_sag", Length;
        /// Bottom-bracket height with the rider on the bike.
        BottomBracketHeightAtSag = "bottom_bracket_height_at_sag", Length;
        /// Grip stack with the rider on the bike.
        GripStackAtSag = "grip_stack_at_sag", Length;
        /// Grip reach with the rider on the bike.
        GripReachAtSag = "grip_reach_at_sag", Length;
        /// Vertical force at the rear axle that the spring carries at full travel.
        WheelForceAtEnd = "wheel_force_at_end", Force;
        /// Rate of a coil spring that gives the wanted sag.
        CoilRateForSag = "coil_rate_for_sag", Rate;
        /// Pressure in the shock that gives the wanted sag.
        PressureForSag = "pressure_for_sag", Pressure;
        /// Rate of a coil spring in the fork that gives the wanted sag.
        ForkCoilRateForSag = "fork_coil_rate_for_sag", Rate;
        /// Pressure in the fork that gives the wanted sag.
        ForkPressureForSag = "fork_pressure_for_sag", Pressure;
        /// Way of the bike in one turn of the cranks, in the lowest gear.
        LowestDevelopment = "lowest_development", Distance;
        /// Way of the bike in one turn of the cranks, in the highest gear.
        HighestDevelopment = "highest_development", Distance;
        /// Way of the bike over way of the foot, in the lowest gear.
        LowestGainRatio = "lowest_gain_ratio", Ratio;
        /// Highest gear over lowest.
        GearRange = "gear_range", Share;
        /// Steepest slope, rise over level run, that the rider's power climbs in the lowest gear.
        SteepestClimb = "steepest_climb", Share;
        /// Angle of the chain at the most askew that it can be shifted.
        ChainlineAngle = "chainline_angle", Angle;
        /// Pieces of chain that the largest ring and the largest cog ask for.
        ChainNeeded = "chain_needed", Pieces;
        /// Teeth that the derailleur has to take up.
        CapacityNeeded = "capacity_needed", Teeth;
        /// Effective radius of the front rotor over the wheel's.
        FrontRotorLeverage = "front_rotor_leverage", Share;
        /// Effective radius of the rear rotor over the wheel's.
        RearRotorLeverage = "rear_rotor_leverage", Share;
        /// Deceleration on level ground at which the rear wheel lifts.
        TipOver = "tip_over", Acceleration;
        /// Pressure that lets the front tyre sink by as much as a published rule wants.
        FrontPressureSuggested = "front_pressure_suggested", Pressure;
        /// Pressure that lets the rear tyre sink by as much as a published rule wants.
        RearPressureSuggested = "rear_pressure_suggested", Pressure;
    }
}

/// One number per [`Quantity`], in the order of [`Quantity::ALL`]; NaN where the bike does not suffice.
pub type Quantities<T> = [T; Quantity::COUNT];

/// Every quantity of `bike` on level ground, its rear wheel held by `linkage` where somebody measured one.
///
/// ```
/// # use knockon_engine::{bike::Bike, quantity::{evaluate, Quantity}};
/// let mut bike = Bike::unknown();
/// bike.fork_travel = 160.0;
/// assert_eq!(evaluate(&bike, None)[Quantity::ForkTravel as usize], 160.0);
/// assert!(evaluate(&bike, None)[Quantity::Wheelbase as usize].is_nan());
/// ```
pub fn evaluate<T: Scalar>(bike: &Bike<T>, linkage: Option<&Linkage<T>>) -> Quantities<T> {
    evaluate_at(bike, linkage, Rests::find(bike, linkage).ok().as_ref())
}

/// [`evaluate`] where it is known where the bike rests; `None` leaves what holds at sag NaN.
pub fn evaluate_at<T: Scalar>(
    bike: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    rests: Option<&Rests>,
) -> Quantities<T> {
    let placed = Placed::new(bike, linkage);
    let cockpit = Cockpit::new(bike, &placed.points);
    evaluate_placed(&placed, cockpit.grip, cockpit.hand_out, rests)
}

/// [`evaluate_at`] with the hand where it is said to be, whatever stem and bar are.
pub(crate) fn evaluate_placed<T: Scalar>(
    placed: &Placed<'_, T>,
    grip: FramePoint<T>,
    hand_out: T,
    rests: Option<&Rests>,
) -> Quantities<T> {
    let (bike, linkage) = (placed.bike, placed.linkage);
    let (mut quantities, load) = standing_on(bike, &placed.points, grip, hand_out);
    drivetrain::quantities::put(bike, linkage, &mut quantities);
    brake::quantities::put(bike, &load, &mut quantities);
    wheel::quantities::put(bike, &mut quantities);
    ride(placed, grip, rests, &mut quantities);
    quantities
}

/// Geometry and position with the suspension extended; the other quantities are NaN.
pub fn standing<T: Scalar>(bike: &Bike<T>) -> Quantities<T> {
    let points = FramePoints::new(bike, T::from(0.0));
    let cockpit = Cockpit::new(bike, &points);
    standing_on(bike, &points, cockpit.grip, cockpit.hand_out).0
}

/// The same, and where the centre of mass of bike and rider is.
pub(crate) fn standing_on<T: Scalar>(
    bike: &Bike<T>,
    points: &FramePoints<T>,
    grip: FramePoint<T>,
    hand_out: T,
) -> (Quantities<T>, Load<T>) {
    let mut quantities = [T::from(f64::NAN); Quantity::COUNT];
    let stance = Stance::on(bike, points.front_axle, points.rear_axle);
    let head_angle = bike.head_angle + bike.headset_turn - stance.turn;
    let seat_angle = bike.seat_angle - stance.turn;
    let steering = Steering::new(head_angle, bike.front_radius, bike.fork_offset);
    let head_tube_top = stance.from_bottom_bracket(points.head_tube_top);
    let (fx, fy) = (points.front_axle.x, points.front_axle.y);
    let bottom_bracket_height = stance.bottom_bracket_height();
    let wheelbase = stance.wheelbase();

    let grip = stance.from_bottom_bracket(grip);
    let hip = stance.from_bottom_bracket(rider::saddle_top(bike));
    let saddle = stance.from_bottom_bracket(rider::saddle_reference(bike));
    let mass = stance.from_bottom_bracket(FramePoint { x: bike.mass_ahead, y: bike.mass_above });
    let rear = stance.from_bottom_bracket(points.rear_axle);
    let standover = FramePoint { x: bike.standover_place, y: bike.standover_above };
    let standing = [
        head_angle,
        seat_angle,
        head_tube_top.y,
        head_tube_top.x,
        head_tube_top.x + head_tube_top.y / seat_angle.tan(),
        wheelbase,
        (fx * fx + fy * fy).sqrt(),
        bottom_bracket_height,
        steering.trail,
        steering.mechanical_trail,
        steering.wheel_flop,
        grip.y,
        grip.x,
        hand_out * 2.0,
        grip.x - saddle.x,
        saddle.y - grip.y,
        -saddle.x,
        bike.saddle_height + bike.crank_length,
        bottom_bracket_height - bike.crank_length,
        stance.from_bottom_bracket(standover).y + bottom_bracket_height,
        bike.fork_travel,
        bike.rear_travel,
        rider::front_load_share(mass.x - rear.x, wheelbase),
        rider::knee_flexion(bike),
        rider::hip_angle(bike, seat_angle),
        rider::elbow_angle(bike, hip, grip),
    ];
    quantities[..standing.len()].copy_from_slice(&standing);
    let height = mass.y + bottom_bracket_height;
    (quantities, Load { to_front: wheelbase - (mass.x - rear.x), height, wheelbase })
}
