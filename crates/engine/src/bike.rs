//! The parameters of one bike. One table: the struct, the enum of names and the index come from it.

use crate::Scalar;

macro_rules! parameters {
    ($($(#[$doc:meta])* $field:ident : $name:ident),+ $(,)?) => {
        /// The measures of one bike, in the chart pose: level ground, suspension fully extended.
        ///
        /// A measure that nobody knows is NaN, and so is then everything that depends on it.
        ///
        /// ```
        /// use knockon_engine::bike::{Bike, Parameter};
        /// let mut bike = Bike::unknown();
        /// bike.stem_length = 50.0;
        /// assert_eq!(*bike.get(Parameter::StemLength), 50.0);
        /// assert!(bike.reach.is_nan());
        /// ```
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct Bike<T> { $($(#[$doc])* pub $field: T,)+ }

        /// Name of one field of [`Bike`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Parameter { $($(#[$doc])* $name,)+ }

        impl Parameter {
            /// Every parameter, in the order of [`Bike`]'s fields.
            pub const ALL: &'static [Parameter] = &[$(Parameter::$name,)+];

            /// Field name, in snake case.
            pub fn name(self) -> &'static str {
                match self { $(Parameter::$name => stringify!($field),)+ }
            }
        }

        impl<T> Bike<T> {
            /// The value of one parameter.
            pub fn get(&self, parameter: Parameter) -> &T {
                match parameter { $(Parameter::$name => &self.$field,)+ }
            }

            /// The place of one parameter.
            pub fn get_mut(&mut self, parameter: Parameter) -> &mut T {
                match parameter { $(Parameter::$name => &mut self.$field,)+ }
            }

            /// The same bike with every value converted.
            pub fn map<U>(&self, mut convert: impl FnMut(&T) -> U) -> Bike<U> {
                Bike { $($field: convert(&self.$field),)+ }
            }

            /// A bike made by asking for every parameter in turn.
            pub fn from_fn(mut value: impl FnMut(Parameter) -> T) -> Bike<T> {
                Bike { $($field: value(Parameter::$name),)+ }
            }
        }
    };
}

parameters! {
    /// Bottom bracket to top of head tube, upward, mm.
    stack: Stack,
    /// Bottom bracket to top of head tube, forward, mm.
    reach: Reach,
    /// Steering axis from the ground, radians; smaller is slacker.
    head_angle: HeadAngle,
    /// Effective seat line (bottom bracket to saddle) from the ground, radians.
    seat_angle: SeatAngle,
    /// Head tube, end to end along the steering axis, mm.
    head_tube: HeadTube,
    /// Rear axle to bottom bracket, straight, mm.
    chainstay: Chainstay,
    /// Bottom bracket below the rear axle, mm; positive when below.
    bottom_bracket_drop: BottomBracketDrop,
    /// Crown race seat to front axle along the steering axis, fork fully extended, mm.
    axle_to_crown: AxleToCrown,
    /// Front axle ahead of the steering axis, square to it, mm.
    fork_offset: ForkOffset,
    /// Fork travel, mm.
    fork_travel: ForkTravel,
    /// Lower external headset height: end of head tube to crown race seat, mm.
    lower_stack: LowerStack,
    /// Upper headset height: end of head tube to the lowest spacer, mm.
    upper_stack: UpperStack,
    /// Tilt of an angled headset, radians; negative is slacker.
    headset_angle: HeadsetAngle,
    /// Outer radius of the front tyre, mm.
    front_radius: FrontRadius,
    /// Outer radius of the rear tyre, mm.
    rear_radius: RearRadius,
    /// Inflated width of the front tyre, mm.
    front_tyre_width: FrontTyreWidth,
    /// Inflated width of the rear tyre, mm.
    rear_tyre_width: RearTyreWidth,
    /// Height of a tyre above its bead seat over the height that its marking implies, a plain number near 1.
    section_ratio: SectionRatio,
    /// Spacers below the stem, mm.
    spacers_below: SpacersBelow,
    /// Spacers above the stem, mm.
    spacers_above: SpacersAbove,
    /// Crown race seat to top of steerer, mm.
    steerer_length: SteererLength,
    /// Least gap from the steerer's top to the top cap's seat that lets the cap preload, mm.
    top_cap_gap: TopCapGap,
    /// Stem: steerer centre to bar centre along its own axis, mm.
    stem_length: StemLength,
    /// Stem: angle from the normal to the steerer, radians; positive rises.
    stem_angle: StemAngle,
    /// Height of the stem's steerer clamp, along the steerer, mm.
    stem_clamp_height: StemClampHeight,
    /// Bore of the stem's bar clamp, mm.
    stem_bar_clamp: StemBarClamp,
    /// Bar diameter where the stem clamps it, mm.
    bar_clamp: BarClamp,
    /// Bar rise at its end, mm.
    bar_rise: BarRise,
    /// Bar width, end to end, mm.
    bar_width: BarWidth,
    /// Back sweep from the bend outward, radians.
    bar_back_sweep: BarBackSweep,
    /// Up sweep from the bend outward, radians.
    bar_up_sweep: BarUpSweep,
    /// Lean of the bar's rise direction from the vertical, in the chart pose, radians; positive toward the rider.
    bar_roll: BarRoll,
    /// Middle of the bar to where the sweeps begin, mm.
    bar_bend: BarBend,
    /// Hands ahead of the clamp on a drop bar, square to the rise direction, mm; 0 on a flat bar.
    bar_reach: BarReach,
    /// Bar end to middle of the hand, along the bar's width, mm.
    hand_inset: HandInset,
    /// Bottom bracket to top of saddle along the effective seat line, mm.
    saddle_height: SaddleHeight,
    /// Bottom bracket to the saddle's reference point, backward and level, mm.
    saddle_setback: SaddleSetback,
    /// Crank, bottom bracket to pedal axle, mm.
    crank_length: CrankLength,
    /// Shock, eye to eye, fully extended, mm.
    eye_to_eye: EyeToEye,
    /// Shock stroke, mm.
    shock_stroke: ShockStroke,
    /// Rear wheel travel, vertical, mm.
    rear_travel: RearTravel,
    /// Leverage ratio at full extension over the mean ratio, a plain number near 1.
    leverage_at_start: LeverageAtStart,
    /// Leverage ratio at the end of the stroke over the mean ratio, a plain number near 1.
    leverage_at_end: LeverageAtEnd,
    /// Inner spacer that shortens the shock's stroke, mm.
    shock_spacer: ShockSpacer,
    /// By how much offset bushings bring the shock's mounts together, both eyes added, mm.
    bushing_offset: BushingOffset,
    /// Longest stroke of a shock that the frame's maker permits, mm.
    shock_stroke_most: ShockStrokeMost,
    /// Smallest gap between tyre, links and frame with the rear suspension fully compressed, measured, mm.
    rear_bottom_clearance: RearBottomClearance,
    /// Rate of the shock's coil spring, N/mm.
    coil_rate: CoilRate,
    /// Preload of the shock's coil spring: how far it is pressed together at full extension, mm.
    coil_preload: CoilPreload,
    /// Pressure of the shock's air spring at full extension, above that of the atmosphere, bar.
    shock_pressure: ShockPressure,
    /// Area of the shock's air piston, mm².
    shock_air_area: ShockAirArea,
    /// Length of the shock's air chamber at full extension with no spacers in it: its volume over its area, mm.
    shock_air_length: ShockAirLength,
    /// Volume that spacers take from the shock's air chamber, cm³.
    shock_volume_spacer: ShockVolumeSpacer,
    /// Area of the shock's negative air piston, mm².
    shock_negative_area: ShockNegativeArea,
    /// Length of the shock's negative air chamber at full extension, mm.
    shock_negative_length: ShockNegativeLength,
    /// Rate of the fork's coil spring, N/mm.
    fork_coil_rate: ForkCoilRate,
    /// Preload of the fork's coil spring, mm.
    fork_coil_preload: ForkCoilPreload,
    /// Pressure of the fork's air spring at full extension, above that of the atmosphere, bar.
    fork_pressure: ForkPressure,
    /// Area of the fork's air piston, mm².
    fork_air_area: ForkAirArea,
    /// Length of the fork's air chamber at full extension with no spacers in it, mm.
    fork_air_length: ForkAirLength,
    /// Volume that spacers take from the fork's air chamber, cm³.
    fork_volume_spacer: ForkVolumeSpacer,
    /// Area of the fork's negative air piston, mm².
    fork_negative_area: ForkNegativeArea,
    /// Length of the fork's negative air chamber at full extension, mm.
    fork_negative_length: ForkNegativeLength,
    /// Polytropic exponent of the air in both springs, a plain number: near 1 for slow strokes, up to 1.4 for fast ones.
    air_exponent: AirExponent,
    /// Sag of the shock that it is set up with, over its stroke, a plain number.
    shock_sag: ShockSag,
    /// Sag of the fork that it is set up with, over its travel, a plain number.
    fork_sag: ForkSag,
    /// Teeth of the ring that the chain is on.
    ring: Ring,
    /// Teeth of the cog that the chain is on.
    cog: Cog,
    /// Teeth of the smallest ring.
    ring_smallest: RingSmallest,
    /// Teeth of the largest ring.
    ring_largest: RingLargest,
    /// How many rings there are.
    ring_count: RingCount,
    /// Distance between neighbouring rings, middle to middle, mm.
    ring_spacing: RingSpacing,
    /// Teeth of the smallest cog.
    cog_smallest: CogSmallest,
    /// Teeth of the largest cog.
    cog_largest: CogLargest,
    /// How many cogs there are.
    cog_count: CogCount,
    /// Distance between neighbouring cogs, middle to middle, mm.
    cog_spacing: CogSpacing,
    /// Lowest ratio of a hub gear or gearbox, a plain number; 1 without one.
    inner_lowest: InnerLowest,
    /// Highest ratio of a hub gear or gearbox, a plain number; 1 without one.
    inner_highest: InnerHighest,
    /// Middle of the rings from the frame's middle plane, mm.
    front_chainline: FrontChainline,
    /// Middle of the cogs from the frame's middle plane, mm.
    rear_chainline: RearChainline,
    /// Pieces of chain, each of half an inch.
    chain_pieces: ChainPieces,
    /// By how much the chain's way grows over the rear suspension's travel where nobody measured a linkage, mm.
    chain_growth: ChainGrowth,
    /// Teeth that the derailleur takes up between its tightest and its slackest gear.
    derailleur_capacity: DerailleurCapacity,
    /// Teeth of the largest cog that the derailleur goes around.
    derailleur_cog_most: DerailleurCogMost,
    /// Power that the rider holds for a long climb, W.
    rider_power: RiderPower,
    /// Slowest turning of the cranks that the rider climbs with, turns per second.
    climbing_cadence: ClimbingCadence,
    /// Rolling resistance over load, a plain number.
    rolling: Rolling,
    /// Drag coefficient times frontal area of bike and rider, m².
    drag_area: DragArea,
    /// Diameter of the front rotor, mm.
    front_rotor: FrontRotor,
    /// Diameter of the rear rotor, mm.
    rear_rotor: RearRotor,
    /// Height of the brake pads, along the rotor's radius, mm.
    pad_height: PadHeight,
    /// Inner width of the front rim, mm.
    front_rim_inner: FrontRimInner,
    /// Inner width of the rear rim, mm.
    rear_rim_inner: RearRimInner,
    /// What the rule for the pressure is worth: a plain number near 1 that it is multiplied with.
    pressure_rule: PressureRule,
    /// Least pressure that front tyre and rim permit, bar.
    front_pressure_least: FrontPressureLeast,
    /// Most pressure that front tyre and rim permit, bar.
    front_pressure_most: FrontPressureMost,
    /// Least pressure that rear tyre and rim permit, bar.
    rear_pressure_least: RearPressureLeast,
    /// Most pressure that rear tyre and rim permit, bar.
    rear_pressure_most: RearPressureMost,
    /// Mass of the bike, kg.
    bike_mass: BikeMass,
    /// Mass of the rider, dressed to ride, kg.
    rider_mass: RiderMass,
    /// Mass of what is carried beside the rider's own clothes: pack, bags, load, kg.
    kit_mass: KitMass,
    /// Part of the bike's mass that the front wheel carries by itself, without the fork's spring: wheel, lower legs, kg.
    front_unsprung: FrontUnsprung,
    /// Part of the bike's mass that the rear wheel carries by itself, kg.
    rear_unsprung: RearUnsprung,
    /// Top tube above the bottom bracket where the rider stands over it, mm.
    standover_above: StandoverAbove,
    /// Bottom bracket to that place, forward, mm.
    standover_place: StandoverPlace,
    /// Rider: hip to knee, mm.
    thigh: Thigh,
    /// Rider: knee to pedal axle through the shoe, mm.
    lower_leg: LowerLeg,
    /// Rider: hip to shoulder, mm.
    torso: Torso,
    /// Rider: shoulder to elbow, mm.
    upper_arm: UpperArm,
    /// Rider: elbow to middle of the hand, mm.
    forearm: Forearm,
    /// Rider: torso from level, radians.
    torso_lean: TorsoLean,
    /// Centre of mass of bike and rider: ahead of the bottom bracket, mm.
    mass_ahead: MassAhead,
    /// Centre of mass of bike and rider: above the bottom bracket, mm.
    mass_above: MassAbove,
    /// Least axle to crown that the frame's maker permits, mm.
    axle_to_crown_least: AxleToCrownLeast,
    /// Most axle to crown that the frame's maker permits, mm.
    axle_to_crown_most: AxleToCrownMost,
    /// Most spacers below the stem that the fork's maker permits, mm.
    spacers_allowed: SpacersAllowed,
    /// Smallest gap around the front tyre, measured, mm.
    front_clearance: FrontClearance,
    /// Smallest gap around the rear tyre, measured, mm.
    rear_clearance: RearClearance,
    /// Derived by a change: how far the steering axis has been turned in the head tube, radians; negative is slacker.
    headset_turn: HeadsetTurn,
    /// Derived by a change: how far a shorter shock has raised the rear axle in frame axes, mm.
    rear_axle_lift: RearAxleLift,
    /// Derived by a change: how far ahead of its chainstay's arc the rear axle then lies in frame axes, mm.
    rear_axle_shift: RearAxleShift,
    /// Derived by a change: how far the shock as it is now, fully extended, presses the linkage together beyond the pose
    /// that it was drawn in, mm; negative for a longer shock.
    shock_start: ShockStart,
}

impl Bike<f64> {
    /// A bike of which nothing is known. The derived parameters start at zero.
    pub fn unknown() -> Self {
        Bike::from_fn(|parameter| match parameter {
            Parameter::HeadsetTurn
            | Parameter::RearAxleLift
            | Parameter::RearAxleShift
            | Parameter::ShockStart => 0.0,
            _ => f64::NAN,
        })
    }
}

impl<T: Scalar> Bike<T> {
    /// The same bike with constants for values: no derivatives.
    pub fn constant(bike: &Bike<f64>) -> Self {
        bike.map(|&value| T::from(value))
    }
}
