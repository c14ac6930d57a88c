//! A peer of the solver: the equations as a general solver gets them, three coordinates per moving body.

use knockon_engine::geometry::point::FramePoint;
use knockon_engine::suspension::linkage::{JointKind, Linkage};
use nalgebra::{DMatrix, DVector};

/// The bodies' places: shift and turn of each that moves.
struct Problem<'a> {
    linkage: &'a Linkage<f64>,
    compression: f64,
    at: DVector<f64>,
}

impl<'a> Problem<'a> {
    fn new(linkage: &'a Linkage<f64>) -> Self {
        Problem { linkage, compression: 0.0, at: DVector::zeros(3 * (linkage.layout.bodies - 1)) }
    }

    /// Where a body carries a point, and by how much it carries it on per radian.
    fn place(&self, body: usize, point: FramePoint<f64>) -> (f64, f64, f64, f64) {
        if body == 0 {
            return (point.x, point.y, 0.0, 0.0);
        }
        let at = self.at.rows(3 * (body - 1), 3);
        let (sin, cos) = at[2].sin_cos();
        let (x, y) = (point.x * cos - point.y * sin, point.x * sin + point.y * cos);
        (x + at[0], y + at[1], -y, x)
    }

    fn turn(&self, body: usize) -> f64 {
        if body == 0 { 0.0 } else { self.at[3 * body - 1] }
    }

    fn equations(&self) -> (DVector<f64>, DMatrix<f64>) {
        let layout = &self.linkage.layout;
        let count = self.at.len();
        let (mut missed, mut by) = (DVector::zeros(count), DMatrix::zeros(count, count));
        let mut add = |row: usize, body: usize, x: f64, y: f64, turn: f64| {
            if body > 0 {
                by[(row, 3 * body - 3)] += x;
                by[(row, 3 * body - 2)] += y;
                by[(row, 3 * body - 1)] += turn;
            }
        };
        for (index, joint) in layout.joints.iter().enumerate() {
            let (row, [first, second]) = (2 * index, joint.bodies);
            let point = self.linkage.points[joint.point];
            let (a, b) = (self.place(first, point), self.place(second, point));
            let (x, y) = (b.0 - a.0, b.1 - a.1);
            match joint.kind {
                JointKind::Pivot => {
                    (missed[row], missed[row + 1]) = (x, y);
                    add(row, first, -1.0, 0.0, -a.2);
                    add(row + 1, first, 0.0, -1.0, -a.3);
                    add(row, second, 1.0, 0.0, b.2);
                    add(row + 1, second, 0.0, 1.0, b.3);
                }
                JointKind::Slide { direction } => {
                    let (sin, cos) = (self.linkage.directions[direction] + self.turn(first)).sin_cos();
                    missed[row] = cos * y - sin * x;
                    missed[row + 1] = 100.0 * (self.turn(second) - self.turn(first));
                    add(row, first, sin, -cos, sin * a.2 - cos * a.3 - cos * x - sin * y);
                    add(row, second, -sin, cos, cos * b.3 - sin * b.2);
                    add(row + 1, first, 0.0, 0.0, -100.0);
                    add(row + 1, second, 0.0, 0.0, 100.0);
                }
            }
        }
        let [a, b] = layout.eyes.map(|eye| self.place(eye.body, self.linkage.points[eye.point]));
        let (x, y) = (b.0 - a.0, b.1 - a.1);
        let length = x.hypot(y);
        let (x, y) = (x / length, y / length);
        missed[count - 1] = length - self.linkage.drawn_shock() + self.compression;
        add(count - 1, layout.eyes[0].body, -x, -y, -x * a.2 - y * a.3);
        add(count - 1, layout.eyes[1].body, x, y, x * b.2 + y * b.3);
        (missed, by)
    }

    fn axle(&self) -> (f64, f64) {
        let (x, y, ..) = self.place(self.linkage.layout.axle, self.linkage.axle);
        (x, y)
    }
}

/// Newton's iteration from the last position; velocities from the last factorisation, as the engine gives them.
pub fn newton(linkage: &Linkage<f64>, stroke: f64, count: usize) -> Vec<(f64, f64, DVector<f64>)> {
    let mut problem = Problem::new(linkage);
    let mut driven = DVector::zeros(problem.at.len());
    driven[problem.at.len() - 1] = -1.0;
    let position = |index| {
        problem.compression = stroke * index as f64 / (count - 1) as f64;
        loop {
            let (missed, by) = problem.equations();
            let factors = by.lu();
            if missed.amax() < 1e-11 {
                let (x, y) = problem.axle();
                return (x, y, factors.solve(&driven).expect("the example has no dead point"));
            }
            problem.at -= factors.solve(&missed).expect("the example has no dead point");
        }
    };
    (0..count).map(position).collect()
}
