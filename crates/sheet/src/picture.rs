//! What the drawing shows, in bike millimetres: the finished thing that the drawing code lays out on paper.
//!
//! Axes of every point: x forward, y up, origin where the rear tyre touches the ground, seen from the
//! rider's right, so the bike faces right. "Before" and "after" share that origin.

use kurbo::{Point, Vec2};

/// Everything a drawing of the answer needs.
#[derive(Clone, Debug)]
pub struct Picture {
    /// The bike as it is.
    pub before: Outline,
    /// The bike with every revision done. Equal to `before` where nothing was changed.
    pub after: Outline,
    /// One flag per revision.
    pub flags: Vec<Flag>,
    /// Dimensions worth drawing, the one that moved most first. A small sheet draws only the first few.
    pub dimensions: Vec<Dimension>,
}

/// The parts of one bike, where they stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Rear axle.
    pub rear_axle: Point,
    /// Front axle.
    pub front_axle: Point,
    /// Bottom-bracket centre.
    pub bottom_bracket: Point,
    /// Top end of the head tube, on the steering axis.
    pub head_tube_top: Point,
    /// Bottom end of the head tube, on the steering axis.
    pub head_tube_bottom: Point,
    /// Crown race seat, on the steering axis.
    pub crown: Point,
    /// Unit vector down the steering axis.
    pub axis_down: Vec2,
    /// Outer radius of the rear tyre.
    pub rear_radius: f64,
    /// Outer radius of the front tyre.
    pub front_radius: f64,
    /// Bead seat radius of the rear rim, when known.
    pub rear_rim_radius: Option<f64>,
    /// Bead seat radius of the front rim, when known.
    pub front_rim_radius: Option<f64>,
    /// Height of the upper headset part above the head tube, along the axis.
    pub upper_stack: f64,
    /// Direction of the effective seat line, unit vector from the bottom bracket upward.
    pub seat_up: Vec2,
    /// Top of the saddle on the seat line, when the record has a saddle.
    pub saddle_top: Option<Point>,
    /// Angle by which the saddle is tipped from level, radians, counter-clockwise positive (nose up).
    pub saddle_tip: f64,
    /// Stem, spacers and bar, when the record has them.
    pub cockpit: Option<CockpitOutline>,
    /// Crank length.
    pub crank: Option<f64>,
    /// Telescopic fork with this travel; `None` draws a rigid fork.
    pub fork_travel: Option<f64>,
    /// True when the rear wheel is sprung: draws a swing-arm and shock hint instead of a rigid triangle.
    pub rear_suspension: bool,
}

/// The parts above the head tube.
#[derive(Clone, Debug, PartialEq)]
pub struct CockpitOutline {
    /// Height of the spacers below the stem, along the axis.
    pub spacers_below: f64,
    /// Height of the spacers above the stem.
    pub spacers_above: f64,
    /// Height of the stem's steerer clamp.
    pub clamp_height: f64,
    /// Middle of the steerer clamp, on the steering axis.
    pub stem_clamp: Point,
    /// Centre of the bar clamp.
    pub bar_clamp: Point,
    /// Outer diameter of the bar at the clamp.
    pub bar_diameter: f64,
    /// Middle of the hand.
    pub grip: Point,
    /// Drop bar: hands forward of the clamp; `false` draws a flat bar's grip.
    pub drop_bar: bool,
}

/// A lettered revision and the part it belongs to.
#[derive(Clone, Debug, PartialEq)]
pub struct Flag {
    /// A, B, C …
    pub letter: char,
    /// The part that the flag points at.
    pub part: Part,
}

/// Parts that a flag can point at; the drawing code knows where each lies on an [`Outline`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Part {
    Bar,
    Stem,
    Spacers,
    UpperHeadset,
    LowerHeadset,
    HeadTube,
    Fork,
    FrontWheel,
    RearWheel,
    Saddle,
    Crank,
    Shock,
    Chainstay,
    BottomBracket,
}

/// A dimension on the elevation, told in the words of the knock-on table.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// What is measured and how it lies on the outline.
    pub kind: DimensionKind,
    /// "grip stack 733".
    pub text: String,
    /// "+8 ±2", and, when several revisions share it, ": A +10, B −14, C +15"; empty when nothing moved.
    pub change: String,
}

/// How a dimension lies: which two points, along which direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum DimensionKind {
    /// Horizontal, bottom bracket to hand.
    GripReach,
    /// Vertical, bottom bracket to hand.
    GripStack,
    /// Horizontal, bottom bracket to top of head tube.
    Reach,
    /// Vertical, bottom bracket to top of head tube.
    Stack,
    /// Horizontal, rear axle to front axle, below the ground line.
    Wheelbase,
    /// Vertical, ground to bottom bracket.
    BottomBracketHeight,
    /// Horizontal, saddle to hand.
    SaddleToGripReach,
    /// Vertical, saddle to hand.
    SaddleToGripDrop,
    /// Angle between ground and steering axis, at the front.
    HeadAngle,
    /// Angle between ground and seat line.
    SeatAngle,
    /// Horizontal on the ground, contact point to where the steering axis meets it.
    Trail,
}
