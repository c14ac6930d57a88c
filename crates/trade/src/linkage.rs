//! A record's linkage completed to numbers: its points in frame axes, each moving with what was measured.

use std::sync::Arc;

use knockon_engine::bike::Bike;
use knockon_engine::geometry::point::FramePoint;
use knockon_engine::suspension::linkage::{Idler, Joint, JointKind, Layout, Linkage, Mount, Stuck};
use knockon_engine::suspension::network::{self, NetworkError, Site, Tape};
use knockon_engine::tolerance::Uncertain;

use crate::build::{Input, Origin};
use crate::fact::Fact;
use crate::record::{self, Record};
use crate::units::shown;

/// A linkage completed to numbers.
#[derive(Clone, Debug)]
pub struct BuiltLinkage {
    /// The linkage; every number moves with the inputs.
    pub linkage: Linkage<Uncertain>,
    /// Names of its points, in the engine's order, which is that of the record.
    pub points: Vec<String>,
    /// Names of its parts; the first is the front triangle.
    pub parts: Vec<String>,
    /// Names of its joints: that of each joint's point.
    pub joints: Vec<String>,
    /// Every distance that was measured, with what the points say of it.
    pub adjusted: Vec<Adjusted>,
}

/// A measured distance beside the adjusted points.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjusted {
    /// Its name: "distance main pivot to axle".
    pub label: String,
    /// As the record tells it, mm.
    pub given: f64,
    /// Between the adjusted points, mm.
    pub fitted: f64,
    /// Given minus fitted over the standard deviation that this has; `None` when nothing checks the distance.
    pub normalised: Option<f64>,
}

/// Why a record's linkage gives no numbers.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LinkageError {
    /// The chart leaves the rear axle without a place, so that nothing can be put beside it.
    #[error("the chart does not say where the rear axle is")]
    NoAxle,
    /// Nothing says where a point is.
    #[error("nothing says where \"{point}\" is")]
    Undetermined {
        /// Name of the point.
        point: String,
    },
    /// The distances contradict each other, or one cannot be.
    #[error("the distances contradict each other; the {distance} is the farthest off")]
    Contradictory {
        /// The distance that is missed most: "distance main pivot to axle".
        distance: String,
    },
}

/// Least uncertainty of a coordinate or distance, mm, so that a tolerance of nought does not break the weights: a hundredth
/// of a millimetre, as for a chart's rows.
const SHARPEST: f64 = 1e-2;

/// Completes a record's linkage, `None` where it has none. The rear axle is that of the solved chart, and every coordinate,
/// line and distance becomes an input of its own.
///
/// Where distances were measured, the points are adjusted to them by least squares ([`network`]). A shock's length that the
/// record tells counts as the distance of its eyes, less what offset bushings take off it.
///
/// # Errors
/// When the chart gives no rear axle, or the distances contradict each other beyond reconciling.
///
/// ```
/// use knockon_trade::{build::Build, demo};
/// let build = Build::new(&demo::bike("medlar-140").unwrap()).unwrap();
/// let linkage = build.linkage.unwrap();
/// assert_eq!(linkage.parts, ["frame", "swing arm"]);
/// assert_eq!(linkage.joints, ["main pivot"]);
/// ```
pub fn complete(
    record: &Record,
    bike: &Bike<Uncertain>,
    inputs: &mut Vec<Input>,
) -> Result<Option<BuiltLinkage>, LinkageError> {
    let Some(told) = &record.linkage else { return Ok(None) };
    let axle = rear_axle(bike).ok_or(LinkageError::NoAxle)?;
    let mut seen = Vec::with_capacity(told.points.len());
    let mut directions = Vec::new();
    for point in &told.points {
        let mut coordinate = |fact: &Fact, word: &str| {
            let (key, label) = (format!("linkage.{}.{word}", point.name), format!("{}, {word}", point.name));
            observed(fact, SHARPEST, key, label, inputs)
        };
        seen.push(FramePoint { x: coordinate(&point.x, "forward"), y: coordinate(&point.y, "up") });
        if let Some(line) = &point.slides {
            let (key, label) = (format!("linkage.{}.line", point.name), format!("line of {}", point.name));
            directions.push(observed(line, 0.0, key, label, inputs));
        }
    }
    let taped = taped(record, told, bike, inputs);
    let names: Vec<String> = told.points.iter().map(|point| point.name.clone()).collect();
    let (points, adjusted) =
        if taped.is_empty() { (seen, Vec::new()) } else { adjusted(&seen, &axle, taped, &names)? };
    let linkage = Linkage { layout: Arc::new(layout(told)), points, directions, axle };
    let joints = linkage.layout.joints.iter().map(|joint| told.points[joint.point].name.clone()).collect();
    Ok(Some(BuiltLinkage {
        linkage,
        points: names,
        parts: told.parts().into_iter().map(str::to_owned).collect(),
        joints,
        adjusted,
    }))
}

/// A fact as an input of its own, and the number that moves with it.
fn observed(fact: &Fact, sharpest: f64, key: String, label: String, inputs: &mut Vec<Input>) -> Uncertain {
    let (value, uncertainty) = (fact.value, fact.uncertainty.max(sharpest));
    inputs.push(Input { key, label, value, uncertainty, origin: Origin::Record(fact.known) });
    let moves = if uncertainty > 0.0 { vec![(inputs.len() - 1, uncertainty)] } else { Vec::new() };
    Uncertain { value, moves }
}

/// A measured distance: its name, the sites that it is between, and the number.
struct Taped {
    label: String,
    between: [usize; 2],
    length: Uncertain,
}

/// Every distance that the record tells. The rear axle and the bottom bracket are the sites behind the points.
fn taped(
    record: &Record,
    told: &record::linkage::Linkage,
    bike: &Bike<Uncertain>,
    inputs: &mut Vec<Input>,
) -> Vec<Taped> {
    let site = |name: &str| match name {
        record::linkage::AXLE => told.points.len(),
        record::linkage::BOTTOM_BRACKET => told.points.len() + 1,
        _ => told.point(name).unwrap_or(0),
    };
    let mut taped: Vec<Taped> = told
        .distances
        .iter()
        .map(|distance| {
            let [a, b] = &distance.between;
            let (key, label) = (format!("linkage.distance.{a}.{b}"), format!("distance {a} to {b}"));
            let length = observed(&distance.value, SHARPEST, key, label.clone(), inputs);
            Taped { label, between: [site(a), site(b)], length }
        })
        .collect();
    if record.fact("shock.eye_to_eye").is_some() {
        let (eyes, offset) = (&bike.eye_to_eye, &bike.bushing_offset);
        let length = if offset.value.is_finite() {
            Uncertain::combined(eyes.value - offset.value, [(eyes, 1.0), (offset, -1.0)])
        } else {
            eyes.clone()
        };
        let between = [0, 1].map(|eye| site(&told.shock[eye]));
        taped.push(Taped { label: "shock's length eye to eye".to_owned(), between, length });
    }
    taped
}

/// Standard uncertainty of a number, no sharper than weights can bear.
fn spread(number: &Uncertain) -> f64 {
    number.standard_uncertainty().max(SHARPEST)
}

/// The points, adjusted to the distances.
fn adjusted(
    seen: &[FramePoint<Uncertain>],
    axle: &FramePoint<Uncertain>,
    taped: Vec<Taped>,
    names: &[String],
) -> Result<(Vec<FramePoint<Uncertain>>, Vec<Adjusted>), LinkageError> {
    let value = |point: &FramePoint<Uncertain>| FramePoint { x: point.x.value, y: point.y.value };
    let mut sites: Vec<Site> = seen
        .iter()
        .map(|point| Site::Seen { place: value(point), uncertainty: [spread(&point.x), spread(&point.y)] })
        .collect();
    sites.extend([Site::Given(value(axle)), Site::Given(FramePoint { x: 0.0, y: 0.0 })]);
    let tapes: Vec<Tape> = taped
        .iter()
        .map(|it| Tape { between: it.between, length: it.length.value, uncertainty: spread(&it.length) })
        .collect();
    let net = network::adjust(&sites, &tapes).map_err(|error| match error {
        NetworkError::Undetermined { point } => match names.get(point) {
            Some(name) => LinkageError::Undetermined { point: name.clone() },
            None => LinkageError::NoAxle,
        },
        NetworkError::Improper { tape } | NetworkError::Impossible { tape } => {
            LinkageError::Contradictory { distance: taped[tape].label.clone() }
        }
    })?;
    // Columns of the movements with what each is an observation of.
    let observations: Vec<(usize, &Uncertain)> = taped
        .iter()
        .map(|it| &it.length)
        .enumerate()
        .chain(seen.iter().enumerate().flat_map(|(at, point)| {
            let column = net.seen_column(at).unwrap_or_default();
            [(column, &point.x), (column + 1, &point.y)]
        }))
        .collect();
    let given = net.given_column(seen.len()).unwrap_or_default();
    let coordinate = |row: usize, value: f64| {
        let seen = observations.iter().map(|(column, it)| (*it, net.movement[(row, *column)] / spread(it)));
        let fixed = [(given, &axle.x), (given + 1, &axle.y)];
        Uncertain::combined(value, seen.chain(fixed.map(|(column, it)| (it, net.by_given[(row, column)]))))
    };
    let points = (0..seen.len()).map(|at| FramePoint {
        x: coordinate(2 * at, net.points[at].x),
        y: coordinate(2 * at + 1, net.points[at].y),
    });
    let points = points.collect();
    let adjusted = taped.into_iter().zip(&net.checks).map(|(it, check)| Adjusted {
        label: it.label,
        given: it.length.value,
        fitted: check.fitted,
        normalised: check.normalised,
    });
    Ok((points, adjusted.collect()))
}

/// The rear axle of the chart: drop above the bottom bracket and behind it x = −√(chainstay² − drop²), which moves by
/// (chainstay·d chainstay − drop·d drop)/x. Pythagoras.
fn rear_axle(bike: &Bike<Uncertain>) -> Option<FramePoint<Uncertain>> {
    let (chainstay, drop) = (&bike.chainstay, &bike.bottom_bracket_drop);
    let x = -(chainstay.value.powi(2) - drop.value.powi(2)).sqrt();
    if !(x < 0.0 && drop.value.is_finite()) {
        return None;
    }
    let place = Uncertain::combined(x, [(chainstay, chainstay.value / x), (drop, -drop.value / x)]);
    Some(FramePoint { x: place, y: drop.clone() })
}

/// Bodies and joints, in the record's order.
fn layout(told: &record::linkage::Linkage) -> Layout {
    let parts = told.parts();
    let body = |name: &str| parts.iter().position(|part| *part == name).unwrap_or(0);
    // Where a point is on two parts it is a pivot, and goes where either of them takes it.
    let mount = |point: usize| Mount { body: body(&told.points[point].on[0]), point };
    let mut directions = 0..;
    let joints = told.points.iter().enumerate().filter(|(_, point)| point.is_joint()).map(|(at, point)| {
        let kind = match (&point.slides, directions.start) {
            (Some(_), direction) => {
                directions.start += 1;
                JointKind::Slide { direction }
            }
            (None, _) => JointKind::Pivot,
        };
        Joint { bodies: [body(&point.on[0]), body(&point.on[1])], point: at, kind }
    });
    let idlers = told.points.iter().enumerate().filter_map(|(at, point)| {
        point.idler.map(|idler| Idler { mount: mount(at), teeth: idler.teeth, over: idler.over })
    });
    Layout {
        bodies: parts.len(),
        joints: joints.collect(),
        eyes: [0, 1].map(|eye| mount(told.point(&told.shock[eye]).unwrap_or(0))),
        axle: body(&told.axle),
        caliper: told.caliper.as_deref().map(body),
        idlers: idlers.collect(),
    }
}

/// Why a linkage has no position, in the technician's words: joints by the names of their points, the shock by its length.
pub fn words(stuck: &Stuck, built: &BuiltLinkage) -> String {
    let joint = |joint: usize| match built.joints.get(joint) {
        Some(name) => format!("\"{name}\""),
        None => "the shock's eyes".to_owned(),
    };
    let shock = |compression: f64| {
        let drawn = built.linkage.map(|number| number.value).drawn_shock();
        shown(((drawn - compression) * 10.0).round() / 10.0, "mm")
    };
    match *stuck {
        Stuck::Freedoms { freedoms } if freedoms > 1 => {
            format!("the parts can move in {freedoms} ways; a suspension has one: a link or pivot is missing")
        }
        Stuck::Freedoms { .. } => "the parts cannot move at all: there is a pivot too many".to_owned(),
        Stuck::Loose { body } => {
            let part = built.parts.get(body).map_or("a part", String::as_str);
            format!("nothing joins the part \"{part}\" to the frame")
        }
        Stuck::TooMany { bodies } => format!("{bodies} parts are more than can be computed"),
        Stuck::Misplaced { joint: Some(at) } => {
            format!("{} lies where its part has another pivot, or has no place", joint(at))
        }
        Stuck::Misplaced { joint: None } => {
            "the shock's two eyes lie at the same place, or have none".to_owned()
        }
        Stuck::CannotClose { joint: at, compression } => {
            format!(
                "with the shock at {} eye to eye the parts no longer reach each other at {}",
                shock(compression),
                joint(at)
            )
        }
        Stuck::DeadPoint { joint: at, compression } => format!(
            "with the shock at {} eye to eye the linkage stands at a dead point: {} could go either way",
            shock(compression),
            joint(at)
        ),
    }
}
