//! Six invented linkages, one of each kind, for tests of words and drawings. They close and move as real ones do, by a few
//! steps of Newton's method with differences for slopes; nothing is checked against them but where things stand.

use knockon_engine::bike::Bike;
use knockon_engine::suspension::curve::Curve;

use knockon_trade::findings::{Drawn, DrawnPart, DrawnPoint, Springs, Suspension, Travel};

use super::Given;
use crate::ride::Ride;
use crate::units::Units;

/// How many positions the travel is told at.
pub(crate) const COUNT: usize = 21;

/// One kind of linkage: a name, parts with their points, points, and the stroke.
struct Kind {
    name: &'static str,
    parts: &'static [(&'static str, &'static [usize])],
    points: &'static [(f64, f64)],
    eyes: [usize; 2],
    eye_parts: [usize; 2],
    axle: (usize, (f64, f64)),
    slide: Option<(usize, f64)>,
    idler: Option<(usize, f64)>,
    stroke: f64,
}

/// The first part of each is the front triangle.
const KINDS: [Kind; 6] = [
    Kind {
        name: "single pivot",
        parts: &[("front triangle", &[0, 1]), ("swing arm", &[0, 2])],
        points: &[(-10.0, 70.0), (150.0, 250.0), (-60.0, 190.0)],
        eyes: [1, 2],
        eye_parts: [0, 1],
        axle: (1, (-438.0, 28.0)),
        slide: None,
        idler: None,
        stroke: 55.0,
    },
    Kind {
        name: "single pivot with a rocker",
        parts: &[
            ("front triangle", &[0, 3, 5]),
            ("swing arm", &[0, 1]),
            ("seat stay", &[1, 2]),
            ("rocker", &[2, 3, 4]),
        ],
        points: &[
            (5.0, 60.0),
            (-405.0, 45.0),
            (-165.0, 285.0),
            (-70.0, 300.0),
            (-28.0, 318.0),
            (20.0, 130.0),
        ],
        eyes: [5, 4],
        eye_parts: [0, 3],
        axle: (1, (-440.0, 30.0)),
        slide: None,
        idler: None,
        stroke: 45.0,
    },
    Kind {
        name: "four-bar",
        parts: &[
            ("front triangle", &[0, 3, 5]),
            ("chainstay", &[0, 1]),
            ("seat stay", &[1, 2]),
            ("rocker", &[2, 3, 4]),
        ],
        points: &[(0.0, 45.0), (-400.0, 5.0), (-165.0, 280.0), (-70.0, 295.0), (-28.0, 312.0), (25.0, 125.0)],
        eyes: [5, 4],
        eye_parts: [0, 3],
        axle: (2, (-440.0, 25.0)),
        slide: None,
        idler: None,
        stroke: 41.0,
    },
    Kind {
        name: "two short links",
        parts: &[
            ("front triangle", &[0, 2, 5]),
            ("lower link", &[0, 1]),
            ("rear triangle", &[1, 3]),
            ("upper link", &[2, 3, 4]),
        ],
        points: &[(-5.0, 40.0), (-75.0, 15.0), (-20.0, 290.0), (-115.0, 268.0), (35.0, 305.0), (70.0, 130.0)],
        eyes: [4, 5],
        eye_parts: [3, 0],
        axle: (2, (-435.0, 20.0)),
        slide: None,
        idler: None,
        stroke: 40.0,
    },
    Kind {
        name: "slide",
        parts: &[
            ("front triangle", &[0, 1, 4]),
            ("carriage", &[1, 2]),
            ("swing arm", &[2, 3]),
            ("link", &[0, 3, 5]),
        ],
        points: &[(-50.0, 300.0), (-40.0, 60.0), (-65.0, 50.0), (-150.0, 290.0), (30.0, 130.0), (0.0, 312.0)],
        eyes: [4, 5],
        eye_parts: [0, 3],
        axle: (2, (-435.0, 15.0)),
        slide: Some((1, 95.0)),
        idler: None,
        stroke: 40.0,
    },
    Kind {
        name: "high pivot with an idler",
        parts: &[
            ("front triangle", &[0, 3, 5, 6]),
            ("swing arm", &[0, 1]),
            ("drag link", &[1, 2]),
            ("rocker", &[2, 3, 4]),
        ],
        points: &[
            (-25.0, 170.0),
            (-190.0, 190.0),
            (-160.0, 60.0),
            (-45.0, 40.0),
            (-25.0, 115.0),
            (150.0, 60.0),
            (-30.0, 150.0),
        ],
        eyes: [5, 4],
        eye_parts: [0, 3],
        axle: (1, (-430.0, 15.0)),
        slide: None,
        idler: Some((6, 16.0)),
        stroke: 36.0,
    },
];

type Place = [f64; 3];

fn moved(at: (f64, f64), place: Place) -> (f64, f64) {
    let (sin, cos) = place[2].sin_cos();
    (cos * at.0 - sin * at.1 + place[0], sin * at.0 + cos * at.1 + place[1])
}

impl Kind {
    fn on(&self, point: usize) -> Vec<usize> {
        (0..self.parts.len()).filter(|part| self.parts[*part].1.contains(&point)).collect()
    }

    fn place(places: &[f64], part: usize) -> Place {
        if part == 0 { [0.0; 3] } else { [places[part * 3 - 3], places[part * 3 - 2], places[part * 3 - 1]] }
    }

    /// By how much every joint and the shock are open.
    fn open(&self, points: &[(f64, f64)], places: &[f64], shock: f64) -> Vec<f64> {
        let at = |part: usize, point: usize| moved(points[point], Self::place(places, part));
        let mut open = Vec::new();
        for point in 0..points.len() {
            let on = self.on(point);
            for pair in on.windows(2).filter(|_| self.slide.is_none_or(|(slides, _)| slides != point)) {
                let (a, b) = (at(pair[0], point), at(pair[1], point));
                open.extend([a.0 - b.0, a.1 - b.1]);
            }
        }
        if let Some((point, degrees)) = self.slide {
            let on = self.on(point);
            let (a, b) = (at(on[0], point), at(on[1], point));
            let (sin, cos) = degrees.to_radians().sin_cos();
            open.push((b.1 - a.1) * cos - (b.0 - a.0) * sin);
            open.push((Self::place(places, on[1])[2] - Self::place(places, on[0])[2]) * 100.0);
        }
        let eye = |end: usize| at(self.eye_parts[end], self.eyes[end]);
        let (a, b) = (eye(0), eye(1));
        open.push((a.0 - b.0).hypot(a.1 - b.1) - shock);
        open
    }

    fn solve(&self, points: &[(f64, f64)], places: &mut [f64], shock: f64) {
        for _ in 0..30 {
            let open = self.open(points, places, shock);
            if open.iter().all(|gap| gap.abs() < 1e-9) {
                return;
            }
            let mut rows: Vec<Vec<f64>> = open.iter().map(|gap| vec![*gap]).collect();
            for unknown in (0..places.len()).rev() {
                let kept = places[unknown];
                let step = if unknown % 3 == 2 { 1e-7 } else { 1e-5 };
                places[unknown] = kept + step;
                let there = self.open(points, places, shock);
                places[unknown] = kept;
                for (row, (there, here)) in rows.iter_mut().zip(there.iter().zip(&open)) {
                    row.insert(0, (there - here) / step);
                }
            }
            for (place, move_by) in places.iter_mut().zip(eliminated(rows)) {
                *place -= move_by;
            }
        }
        panic!("{} does not close at {shock}", self.name);
    }

    fn travel(&self, points: &[(f64, f64)], scale: f64) -> Travel {
        let [a, b] = self.eyes.map(|eye| points[eye]);
        let length = (a.0 - b.0).hypot(a.1 - b.1);
        let mut places = vec![0.0; (self.parts.len() - 1) * 3];
        let mut travel = Travel {
            values: Vec::new(),
            plus_minus: Vec::new(),
            measure_next: vec![None; Curve::COUNT],
            sag: Some(self.stroke * 0.3),
            sag_pm: 1.0,
            bodies: Vec::new(),
            axle: Vec::new(),
            standing: Vec::new(),
            chain: Vec::new(),
        };
        let start = self.axle.1;
        for index in 0..COUNT {
            let s = self.stroke * index as f64 / (COUNT - 1) as f64;
            self.solve(points, &mut places, length - s - 0.5);
            let ahead = self.axle_at(&places);
            self.solve(points, &mut places, length - s);
            let at = self.axle_at(&places);
            let rise = at.1 - start.1;
            let mut values = [f64::NAN; Curve::COUNT];
            let leverage = (ahead.1 - at.1) / 0.5;
            let growth = ((at.0).hypot(at.1) - start.0.hypot(start.1)) * scale;
            for (curve, value) in [
                (Curve::Compression, s),
                (Curve::Travel, rise),
                (Curve::PathTravel, rise),
                (Curve::AxleForward, at.0 - start.0),
                (Curve::Leverage, leverage),
                (Curve::AntiSquat, 118.0 * scale - 0.35 * rise - 0.0006 * rise * rise),
                (Curve::AntiRise, 62.0 + 0.12 * rise),
                (Curve::Kickback, 0.07 * rise * scale + 0.0004 * rise * rise),
                (Curve::TightRun, growth),
                (Curve::ChainGrowth, growth + 0.08 * rise),
                (Curve::ShockForce, 80.0 * s),
                (Curve::WheelForce, 80.0 * s / leverage + 12.0 * (s / self.stroke).powi(6)),
                (Curve::HeadAngle, 64.5 + 0.02 * rise),
                (Curve::Trail, 128.0 - 0.1 * rise),
                (Curve::BottomBracketHeight, 348.0 - 0.65 * rise),
                (Curve::Wheelbase, 1240.0 - 0.05 * rise),
                (Curve::GripStack, 730.0),
                (Curve::GripReach, 445.0),
            ] {
                values[curve as usize] = value;
            }
            let mut plus_minus = [1.0; Curve::COUNT];
            plus_minus[Curve::Compression as usize] = 0.0;
            plus_minus[Curve::Leverage as usize] = 0.05;
            plus_minus[Curve::AntiSquat as usize] = 9.0;
            plus_minus[Curve::AntiRise as usize] = 6.0;
            plus_minus[Curve::Kickback as usize] = 0.01 * rise;
            plus_minus[Curve::WheelForce as usize] = 0.08 * values[Curve::WheelForce as usize];
            travel.values.push(values);
            travel.plus_minus.push(plus_minus);
            travel.bodies.push(
                (0..self.parts.len())
                    .map(|part| {
                        let place = Self::place(&places, part);
                        [place[2].cos(), place[2].sin(), place[0], place[1]]
                    })
                    .collect(),
            );
            travel.axle.push([at.0, at.1]);
            let tip = 0.0004 * rise;
            travel.standing.push([tip.cos(), tip.sin(), 0.0, 348.0 - 0.65 * rise]);
            // Straight from top to top and from bottom to bottom: where it is drawn, not how long it is.
            let run = |radius: f64| vec![[[0.0, radius], [at.0, at.1 + radius]]];
            travel.chain.push([run(55.0), run(-55.0)]);
        }
        travel
    }

    fn axle_at(&self, places: &[f64]) -> (f64, f64) {
        moved(self.axle.1, Self::place(places, self.axle.0))
    }
}

/// Solution of a system of linear equations whose rows end in their right sides.
fn eliminated(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let count = rows.len();
    for column in 0..count {
        let best = (column..count)
            .max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))
            .unwrap_or(column);
        rows.swap(column, best);
        let pivot = rows[column].clone();
        for (_, row) in rows.iter_mut().enumerate().filter(|(index, _)| *index != column) {
            let factor = row[column] / pivot[column];
            for (value, of_pivot) in row.iter_mut().zip(&pivot) {
                *value -= factor * of_pivot;
            }
        }
    }
    rows.iter().enumerate().map(|(index, row)| row[count] / row[index]).collect()
}

/// The bike that they belong to.
pub(crate) fn bike() -> Bike<f64> {
    let mut bike = Bike::unknown();
    bike.rear_radius = 368.0;
    bike.rear_tyre_width = 60.0;
    bike.ring = 32.0;
    bike.cog = 21.0;
    bike
}

/// The part of an answer that a linkage makes.
pub(crate) fn ride(name: &str, changed: bool) -> Ride {
    let (bike, suspension) = (bike(), linkage(name, changed));
    let given = Given {
        suspension: &suspension,
        bikes: (&bike, &bike),
        outline: None,
        springs: Vec::new(),
        units: Units::default(),
    };
    super::ride(&given, |_| 1).expect("a ride")
}

/// Names of the kinds.
pub(crate) fn names() -> Vec<&'static str> {
    KINDS.iter().map(|kind| kind.name).collect()
}

/// A linkage of a kind; `changed` moves the shock's second eye by 4 mm and the chain's figures with it.
pub(crate) fn linkage(name: &str, changed: bool) -> Suspension {
    let kind = KINDS.iter().find(|kind| kind.name == name).expect("a kind");
    let points: Vec<(f64, f64)> = kind.points.to_vec();
    let mut after = points.clone();
    if changed {
        after[kind.eyes[0]].0 += 4.0;
        after[kind.eyes[0]].1 -= 3.0;
    }
    let scale = if changed { 1.12 } else { 1.0 };
    let drawn = Drawn {
        points: points
            .iter()
            .enumerate()
            .map(|(index, at)| DrawnPoint {
                name: format!("point {index}"),
                at: [at.0, at.1],
                on: kind.on(index),
                teeth: kind.idler.filter(|(point, _)| *point == index).map(|(_, teeth)| teeth),
                slides: kind.slide.filter(|(point, _)| *point == index).map(|(_, degrees)| degrees),
                over: true,
            })
            .collect(),
        parts: kind
            .parts
            .iter()
            .map(|(name, points)| DrawnPart { name: (*name).to_owned(), points: points.to_vec() })
            .collect(),
        eyes: kind.eyes,
        eye_parts: kind.eye_parts,
        axle_part: kind.axle.0,
        points_after: after.iter().map(|at| [at.0, at.1]).collect(),
        axles: [[kind.axle.1.0, kind.axle.1.1]; 2],
    };
    let springs = Springs {
        rear_load: Some(560.0),
        rear_by_spring: true,
        coil_rate: Some(80.0),
        rear_frequency: Some(1.9),
        ..Springs::default()
    };
    Suspension {
        before: kind.travel(&points, 1.0),
        after: kind.travel(&after, scale),
        linkage: Some(drawn),
        springs: [springs.clone(), springs],
        stuck: None,
    }
}

/// A bike with no linkage in its record: travel and leverage only.
pub(crate) fn bare() -> Suspension {
    let mut suspension = linkage("single pivot", true);
    suspension.linkage = None;
    suspension.springs = [Springs::default(), Springs::default()];
    for travel in [&mut suspension.before, &mut suspension.after] {
        travel.bodies.clear();
        for values in &mut travel.values {
            for curve in [
                Curve::AntiSquat,
                Curve::AntiRise,
                Curve::Kickback,
                Curve::TightRun,
                Curve::ChainGrowth,
                Curve::ShockForce,
                Curve::WheelForce,
            ] {
                values[curve as usize] = f64::NAN;
            }
        }
    }
    suspension
}
