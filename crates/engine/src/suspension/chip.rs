//! A chip at a pivot: the hole moves in one of the two parts that it joins, and every part finds a new place.
//!
//! No solver of its own. The part with the chip gets a carrier that slides in it, the way of the chip, and holds the pivot; a
//! strut takes the shock's place at the length that it has. Such a linkage moves in one way, driven by the carrier, and
//! where it is after the chip's way is the new drawn pose, with exact derivatives like any pose.

use std::sync::Arc;

use crate::Scalar;
use crate::geometry::point::{FramePoint, FrameVector};

use super::linkage::{Joint, JointKind, Layout, Linkage, Mount, Pose, Stuck};

/// Length that the driver of the carrier is drawn with, mm: any would do that is longer than a chip's way.
const DRIVER: f64 = 200.0;

impl<T: Scalar> Linkage<T> {
    /// The linkage after a pivot's hole has moved in one of its two parts, by `x` forward and `y` upward in the drawn pose, mm;
    /// in the other part it stays where it is. The shock keeps its length.
    ///
    /// A level swing arm 100 mm above the bottom bracket, its shock upright 150 mm behind the pivot; the hole in the frame goes up by
    /// 10 mm.
    ///
    /// ```
    /// use std::sync::Arc;
    /// use knockon_engine::geometry::point::FramePoint;
    /// use knockon_engine::suspension::linkage::{Joint, JointKind, Layout, Linkage, Mount};
    ///
    /// let layout = Layout {
    ///     bodies: 2,
    ///     joints: vec![Joint { bodies: [0, 1], point: 0, kind: JointKind::Pivot }],
    ///     eyes: [Mount { body: 0, point: 1 }, Mount { body: 1, point: 2 }],
    ///     axle: 1, caliper: None, idlers: vec![],
    /// };
    /// let at = |x: f64, y: f64| FramePoint { x, y };
    /// let points = vec![at(0.0, 100.0), at(-150.0, 300.0), at(-150.0, 100.0)];
    /// let linkage = Linkage { layout: Arc::new(layout), points, directions: vec![], axle: at(-440.0, 100.0) };
    /// let moved = linkage.rehung(0, 0, 0.0, 10.0)?;
    /// assert!((moved.points[0].y - 110.0).abs() < 1e-9);
    /// // Arm and shock keep their lengths.
    /// let apart = |a: FramePoint<f64>, b: FramePoint<f64>| (a.x - b.x).hypot(a.y - b.y);
    /// assert!((apart(moved.points[0], moved.axle) - 440.0).abs() < 1e-9);
    /// assert!((moved.drawn_shock() - 200.0).abs() < 1e-9);
    /// # Ok::<(), knockon_engine::suspension::linkage::Stuck>(())
    /// ```
    ///
    /// # Errors
    /// [`Stuck::Misplaced`] where the joint is no pivot of that body; as [`Linkage::pose`] where the parts do not reach each
    /// other.
    pub fn rehung(&self, joint: usize, body: usize, x: T, y: T) -> Result<Self, Stuck> {
        let misplaced = Stuck::Misplaced { joint: Some(joint) };
        let pivot = *self.layout.joints.get(joint).ok_or(misplaced)?;
        let other = match pivot.bodies {
            [one, other] | [other, one] if one == body => other,
            _ => return Err(misplaced),
        };
        if pivot.kind != JointKind::Pivot {
            return Err(misplaced);
        }
        let way = (x * x + y * y).sqrt();
        if way.re() == 0.0 {
            return Ok(self.clone());
        }
        let driven = self.driven(joint, [body, other], FrameVector { x: x / way, y: y / way });
        let pose = driven.pose(-way)?;
        let mut drawn = self.redrawn(&pose);
        drawn.points[pivot.point] = pose.bodies[other].place(self.points[pivot.point]);
        Ok(drawn)
    }

    /// The linkage with a carrier between a pivot's two parts and a strut for a shock.
    fn driven(&self, joint: usize, [body, other]: [usize; 2], along: FrameVector<T>) -> Self {
        let layout = &*self.layout;
        let (carrier, strut) = (layout.bodies, layout.bodies + 1);
        let point = layout.joints[joint].point;
        let mut joints = layout.joints.clone();
        joints[joint] = Joint {
            bodies: [body, carrier],
            point,
            kind: JointKind::Slide { direction: self.directions.len() },
        };
        joints.push(Joint { bodies: [carrier, other], point, kind: JointKind::Pivot });
        let held = layout.eyes.map(|eye| Joint {
            bodies: [eye.body, strut],
            point: eye.point,
            kind: JointKind::Pivot,
        });
        joints.extend(held);
        let mut points = self.points.clone();
        let foot = points[point].along(along, T::from(-DRIVER));
        points.push(foot);
        let mut directions = self.directions.clone();
        directions.push(along.y.atan2(along.x));
        let eyes = [Mount { body, point: points.len() - 1 }, Mount { body: carrier, point }];
        let layout = Layout { bodies: layout.bodies + 2, joints, eyes, idlers: Vec::new(), ..layout.clone() };
        Linkage { layout: Arc::new(layout), points, directions, axle: self.axle }
    }

    /// This linkage with every part where `pose`, of the linkage that was driven there, has it; the pivot with the chip, which is
    /// in two places there, follows from one of its parts.
    fn redrawn(&self, pose: &Pose<T>) -> Self {
        let layout = &*self.layout;
        let mut drawn = self.clone();
        let place =
            |body: usize, point: usize| -> FramePoint<T> { pose.bodies[body].place(self.points[point]) };
        // A joint is in one place on both of its parts; on a slide the second one carries the point.
        for joint in &layout.joints {
            let [first, second] = joint.bodies;
            drawn.points[joint.point] = place(second, joint.point);
            if let JointKind::Slide { direction } = joint.kind {
                let (cos, sin) = pose.bodies[first].turn_cos_sin;
                drawn.directions[direction] = self.directions[direction] + sin.atan2(cos);
            }
        }
        for mount in layout.eyes.iter().chain(layout.idlers.iter().map(|idler| &idler.mount)) {
            drawn.points[mount.point] = place(mount.body, mount.point);
        }
        drawn.axle = pose.axle;
        drawn
    }
}
