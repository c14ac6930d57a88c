//! Which two points a dimension joins, and on which side of the bike its line stands.

use kurbo::{Point, Vec2};

use crate::picture::{DimensionKind, Outline};

/// Side of the bike on which a dimension line stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Above, measured across.
    Top,
    /// At the front, measured up.
    Right,
    /// Below the ground, measured across.
    Bottom,
    /// At the rear, measured up.
    Left,
}

impl Side {
    /// True where the dimension line is level.
    pub fn is_level(self) -> bool {
        matches!(self, Self::Top | Self::Bottom)
    }
}

/// How a dimension lies on the bike, in bike millimetres.
#[derive(Clone, Copy, Debug)]
pub enum Measure {
    /// A distance across or up, between two points.
    Distance(Side, Point, Point),
    /// An angle at a point on the ground, between the ground behind it and this direction.
    Angle(Point, Vec2),
}

impl Measure {
    /// Side on which it is told; an angle without a free place near its arc is told below the ground.
    pub fn side(&self) -> Side {
        match self {
            Self::Distance(side, ..) => *side,
            Self::Angle(..) => Side::Bottom,
        }
    }
}

/// How `kind` lies on `outline`; none when the outline lacks a point.
pub fn measure(kind: DimensionKind, outline: &Outline) -> Option<Measure> {
    use Measure::{Angle, Distance};
    let bb = outline.bottom_bracket;
    let head = outline.head_tube_top;
    let grip = outline.cockpit.as_ref().map(|cockpit| cockpit.grip);
    let saddle = outline.saddle_top;
    Some(match kind {
        DimensionKind::GripReach => Distance(Side::Top, bb, grip?),
        DimensionKind::Reach => Distance(Side::Top, bb, head),
        DimensionKind::SaddleToGripReach => Distance(Side::Top, saddle?, grip?),
        DimensionKind::GripStack => Distance(Side::Right, bb, grip?),
        DimensionKind::Stack => Distance(Side::Right, bb, head),
        DimensionKind::SaddleToGripDrop => Distance(Side::Left, saddle?, grip?),
        DimensionKind::BottomBracketHeight => {
            let ground = Point::new(outline.rear_axle.x - outline.rear_radius, 0.0);
            Distance(Side::Left, ground, bb)
        }
        DimensionKind::Wheelbase => {
            let ground = |axle: Point| Point::new(axle.x, 0.0);
            Distance(Side::Bottom, ground(outline.rear_axle), ground(outline.front_axle))
        }
        DimensionKind::Trail => {
            let contact = Point::new(outline.front_axle.x, 0.0);
            Distance(Side::Bottom, contact, axis_on_ground(outline)?)
        }
        DimensionKind::HeadAngle => Angle(axis_on_ground(outline)?, -outline.axis_down),
        DimensionKind::SeatAngle => Angle(on_ground(bb, outline.seat_up)?, outline.seat_up),
    })
}

/// Where the steering axis meets the ground.
pub fn axis_on_ground(outline: &Outline) -> Option<Point> {
    on_ground(outline.crown, outline.axis_down)
}

/// Where the line through `point` along `direction` meets the ground; none when it hardly falls.
fn on_ground(point: Point, direction: Vec2) -> Option<Point> {
    let steep = direction.y.abs() > 0.3 * direction.hypot();
    steep.then(|| point - direction * (point.y / direction.y))
}
