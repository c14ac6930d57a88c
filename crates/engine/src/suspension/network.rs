//! Points of a linkage from what a tape can measure: distances between them, and roughly where they are.
//!
//! The points are a network as surveyors have it. Some are given (bottom bracket, rear axle); of every other somebody has seen about
//! where it is, in a photo, say, which also settles which of two mirror images is meant. Distances are adjusted to each other
//! by weighted least squares (Newton and Gauss–Newton, damped after Levenberg and Marquardt), as a chart's rows are in
//! [`crate::chart`], and judged in the same way.

use nalgebra::{DMatrix, DVector};

use crate::chart::{CRITICAL, Check};
use crate::geometry::point::FramePoint;

/// What is known of a point's place beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Site {
    /// It is given, in frame axes. Its tolerance is somebody else's matter; see [`Network::by_given`].
    Given(FramePoint<f64>),
    /// It has been seen about there.
    Seen {
        /// Where, in frame axes.
        place: FramePoint<f64>,
        /// Standard uncertainty of both coordinates, forward and up, mm; positive. Infinity: no more than where to begin.
        uncertainty: [f64; 2],
    },
}

/// A measured distance of two points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tape {
    /// The points, by their places in the list.
    pub between: [usize; 2],
    /// The distance, mm; positive.
    pub length: f64,
    /// Its standard uncertainty, mm; positive.
    pub uncertainty: f64,
}

/// An adjusted network. A coordinate is counted as `2·point` (forward) and `2·point + 1` (up).
#[derive(Clone, Debug)]
pub struct Network {
    /// All points, in the order in which they were listed; the given ones where they were given.
    pub points: Vec<FramePoint<f64>>,
    /// `movement[(coordinate, observation)]`: how far a coordinate moves, mm, per standard uncertainty of an observation:
    /// the tapes, then both coordinates of every seen point, in order (see [`Network::seen_column`]).
    pub movement: DMatrix<f64>,
    /// `by_given[(coordinate, column)]`: derivative of a coordinate by one of a given point, mm per mm: both coordinates of
    /// every given point, in order (see [`Network::given_column`]). A given point moves with itself.
    pub by_given: DMatrix<f64>,
    /// One check per tape.
    pub checks: Vec<Check>,
    /// Sum of squared weighted residuals, seen places included.
    pub chi_squared: f64,
    /// Number of conditions that the observations over-determine.
    pub redundancy: usize,
    residual_cofactors: DMatrix<f64>,
    seen_columns: Vec<Option<usize>>,
    given_columns: Vec<Option<usize>>,
}

/// Why a network cannot be adjusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NetworkError {
    /// Neither tapes nor what was seen say where this point is.
    #[error("nothing says where point {point} is")]
    Undetermined {
        /// The point.
        point: usize,
    },
    /// This distance cannot be: not positive, not finite, of a point to itself or to one that is not listed; or its uncertainty
    /// is not positive and finite.
    #[error("distance {tape} cannot be")]
    Improper {
        /// The tape.
        tape: usize,
    },
    /// The distances contradict each other so strongly that no places come near them.
    #[error("the distances contradict each other; {tape} is the farthest off")]
    Impossible {
        /// The tape whose distance is missed most.
        tape: usize,
    },
}

/// Most steps.
const MOST_STEPS: usize = 200;
/// A coordinate has settled when it moves by no more than this, mm.
const SETTLED: f64 = 1e-9;
/// Shortest step that counts as arrived where rounding keeps a shorter one from lowering the sum of squares, mm.
const NEARLY: f64 = 1e-5;
/// Least damping that is tried, as a share of the normal matrix's diagonal.
const STIFF: f64 = 1e-4;
/// With more damping than this a step leads nowhere.
const STIFFEST: f64 = 1e12;
/// Two sums of squares may differ by this much for nothing but rounding.
const ROUNDING: f64 = 1e-12;
/// A way to move that changes the observations by no more than this share of what other ways do is free.
const FREE: f64 = 1e-11;
/// A tape with less redundancy than this is checked by nothing.
const UNCHECKED: f64 = 1e-6;
/// Tapes whose residuals correlate beyond this cannot be told apart.
const ALIKE: f64 = 0.995;

/// Adjusts a network.
///
/// Range: places that are seen well enough that tapes across them point about the right way, say within a third of the
/// distance. Uncertainties follow by JCGM 100:2008 from the derivatives, which are those of the adjusted places themselves,
/// with the curvature of the distances. Given points may have tapes between them; those are checks and no more.
///
/// # Errors
/// When a distance cannot be, a point is not determined, or the steps do not settle.
///
/// ```
/// use knockon_engine::geometry::point::FramePoint;
/// use knockon_engine::suspension::network::{Site, Tape, adjust};
/// let given = |x, y| Site::Given(FramePoint { x, y });
/// // Seen above the line from (0, 0) to (500, 0); the tape says 300 mm and 400 mm: a 3-4-5 triangle.
/// let seen = Site::Seen { place: FramePoint { x: 190.0, y: 250.0 }, uncertainty: [f64::INFINITY; 2] };
/// let tape = |a, b, length| Tape { between: [a, b], length, uncertainty: 1.0 };
/// let net = adjust(&[given(0.0, 0.0), given(500.0, 0.0), seen], &[tape(0, 2, 300.0), tape(2, 1, 400.0)]).unwrap();
/// assert!((net.points[2].x - 180.0).abs() < 1e-6); // 300 · 3/5
/// assert!((net.points[2].y - 240.0).abs() < 1e-6); // 300 · 4/5
/// ```
pub fn adjust(sites: &[Site], tapes: &[Tape]) -> Result<Network, NetworkError> {
    check(sites, tapes)?;
    let survey = Survey::new(sites, tapes);
    let mut points: Vec<FramePoint<f64>> = sites.iter().map(Site::place).collect();
    if let Some(tape) = tapes.iter().find(|tape| direction(&points, tape).1 <= 0.0) {
        return Err(NetworkError::Undetermined { point: tape.between[1] });
    }
    let mut misses = survey.misses(&points);
    let mut damping = 0.0;
    for _ in 0..MOST_STEPS {
        let Some(step) = survey.step(&points, &misses, damping) else {
            // Undamped, some way to move is free of all observations: here only, or everywhere, as the end will tell.
            damping = f64::max(damping * 5.0, STIFF);
            if damping > STIFFEST {
                break;
            }
            continue;
        };
        let longest = step.amax();
        let next = survey.moved(&points, &step);
        let there = survey.misses(&next);
        let (cost, next_cost) = (misses.norm_squared(), there.norm_squared());
        if next_cost <= cost * (1.0 + ROUNDING) + ROUNDING {
            (points, misses) = (next, there);
            if damping <= STIFF && longest <= SETTLED {
                return survey.conclude(points, &misses);
            }
            damping = if damping <= STIFF { 0.0 } else { damping * 0.2 };
        } else if longest <= NEARLY {
            return survey.conclude(points, &misses);
        } else {
            damping = f64::max(damping * 5.0, STIFF);
            if damping > STIFFEST {
                break;
            }
        }
    }
    let worst = (0..tapes.len()).max_by(|a, b| misses[*a].abs().total_cmp(&misses[*b].abs()));
    // What settles slowly for want of observations is not determined rather than impossible.
    survey.conclude(points, &misses).and(Err(NetworkError::Impossible { tape: worst.unwrap_or(0) }))
}

fn check(sites: &[Site], tapes: &[Tape]) -> Result<(), NetworkError> {
    let sure = |site: &Site| match site {
        Site::Given(place) => place.x.is_finite() && place.y.is_finite(),
        Site::Seen { place, uncertainty } => {
            place.x.is_finite() && place.y.is_finite() && uncertainty.iter().all(|it| *it > 0.0)
        }
    };
    if let Some(point) = sites.iter().position(|site| !sure(site)) {
        return Err(NetworkError::Undetermined { point });
    }
    let positive = |number: f64| number > 0.0 && number.is_finite();
    let proper = |tape: &Tape| {
        let [a, b] = tape.between;
        a != b && a.max(b) < sites.len() && positive(tape.length) && positive(tape.uncertainty)
    };
    match tapes.iter().position(|tape| !proper(tape)) {
        Some(tape) => Err(NetworkError::Improper { tape }),
        None => Ok(()),
    }
}

/// A tape that the others speak against.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// The tape.
    pub tape: usize,
    /// Its normalised residual when it was found.
    pub normalised: f64,
    /// What the rest without it say that the distance should be, mm.
    pub expected: f64,
    /// Tapes whose residuals cannot be told apart from this one's.
    pub alike: Vec<usize>,
}

/// Names the tapes beyond [`CRITICAL`], one at a time, the largest first: each is set aside before the next is looked for. Nothing
/// is dropped from an adjustment. Ends where the rest no longer determines the points.
///
/// # Errors
/// As [`adjust`].
pub fn suspects(sites: &[Site], tapes: &[Tape]) -> Result<Vec<Suspect>, NetworkError> {
    let mut kept: Vec<usize> = (0..tapes.len()).collect();
    let mut found = Vec::new();
    let of = |kept: &[usize]| -> Vec<Tape> { kept.iter().map(|tape| tapes[*tape]).collect() };
    let mut network = adjust(sites, tapes)?;
    loop {
        let worst = (0..kept.len())
            .filter_map(|tape| Some((tape, network.checks[tape].normalised?)))
            .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        let Some((worst, normalised)) = worst.filter(|(_, it)| it.abs() > CRITICAL) else {
            return Ok(found);
        };
        let alike = network.alike(worst).into_iter().map(|tape| kept[tape]).collect();
        let tape = kept.remove(worst);
        let Ok(rest) = adjust(sites, &of(&kept)) else { return Ok(found) };
        let expected = direction(&rest.points, &tapes[tape]).1;
        found.push(Suspect { tape, normalised, expected, alike });
        network = rest;
    }
}

impl Network {
    /// Standard uncertainty of a coordinate (see [`Network`]), mm; that of the given points left out.
    pub fn uncertainty(&self, coordinate: usize) -> f64 {
        self.movement.row(coordinate).norm()
    }

    /// Column of [`Network::movement`] that holds the forward coordinate of a seen point; the upward one is next. `None` for
    /// a given point.
    pub fn seen_column(&self, point: usize) -> Option<usize> {
        self.seen_columns[point]
    }

    /// Column of [`Network::by_given`] that holds the forward coordinate of a given point; the upward one is next. `None` for
    /// a seen point.
    pub fn given_column(&self, point: usize) -> Option<usize> {
        self.given_columns[point]
    }

    /// Tapes whose residuals are tied to this one's, so that an error in one shows equally in all of them.
    pub fn alike(&self, tape: usize) -> Vec<usize> {
        let q = &self.residual_cofactors;
        (0..q.nrows())
            .filter(|other| *other != tape && self.checks[*other].normalised.is_some())
            .filter(|other| {
                (q[(tape, *other)] / (q[(tape, tape)] * q[(*other, *other)]).sqrt()).abs() > ALIKE
            })
            .collect()
    }
}

impl Site {
    fn place(&self) -> FramePoint<f64> {
        match self {
            Site::Given(place) | Site::Seen { place, .. } => *place,
        }
    }
}

/// Unit vector from the first to the second point of a tape, and their distance.
fn direction(points: &[FramePoint<f64>], tape: &Tape) -> ([f64; 2], f64) {
    let [a, b] = tape.between.map(|point| points[point]);
    let length = (b.x - a.x).hypot(b.y - a.y);
    ([(b.x - a.x) / length, (b.y - a.y) / length], length)
}

/// What is observed. Every matrix has the coordinates of all points, the given ones too, until a step needs the free ones
/// alone.
struct Survey<'a> {
    sites: &'a [Site],
    tapes: &'a [Tape],
    /// Coordinates of seen points, in order.
    free: Vec<usize>,
    /// Coordinates of given points, in order.
    given: Vec<usize>,
}

impl<'a> Survey<'a> {
    fn new(sites: &'a [Site], tapes: &'a [Tape]) -> Self {
        let of = |seen: bool| {
            let places = sites.iter().enumerate();
            let wanted = places.filter(|(_, site)| matches!(site, Site::Seen { .. }) == seen);
            wanted.flat_map(|(point, _)| [2 * point, 2 * point + 1]).collect()
        };
        Survey { sites, tapes, free: of(true), given: of(false) }
    }

    /// Observed minus computed over the standard uncertainty: tapes, then seen coordinates.
    fn misses(&self, points: &[FramePoint<f64>]) -> DVector<f64> {
        let tapes =
            self.tapes.iter().map(|tape| (tape.length - direction(points, tape).1) / tape.uncertainty);
        let seen = self.sites.iter().zip(points).flat_map(|(site, point)| match site {
            Site::Given(_) => [None; 2],
            Site::Seen { place, uncertainty: [x, y] } => {
                [Some((place.x - point.x) / x), Some((place.y - point.y) / y)]
            }
        });
        DVector::from_iterator(self.tapes.len() + self.free.len(), tapes.chain(seen.flatten()))
    }

    /// Derivatives of the computed values over their standard uncertainties, by all coordinates.
    fn design(&self, points: &[FramePoint<f64>]) -> DMatrix<f64> {
        let count = self.tapes.len();
        let mut design = DMatrix::zeros(count + self.free.len(), 2 * points.len());
        for (row, tape) in self.tapes.iter().enumerate() {
            let (along, _) = direction(points, tape);
            for axis in 0..2 {
                design[(row, 2 * tape.between[0] + axis)] = -along[axis] / tape.uncertainty;
                design[(row, 2 * tape.between[1] + axis)] = along[axis] / tape.uncertainty;
            }
        }
        for (row, coordinate) in self.free.iter().enumerate() {
            if let Site::Seen { uncertainty, .. } = &self.sites[coordinate / 2] {
                design[(count + row, *coordinate)] = uncertainty[coordinate % 2].recip();
            }
        }
        design
    }

    /// Newton's step, with the bend of the distances, where that leads down; Gauss and Newton's where it does not.
    fn step(&self, points: &[FramePoint<f64>], misses: &DVector<f64>, damping: f64) -> Option<DVector<f64>> {
        let design = self.design(points);
        let bent = self.free_block(&(design.tr_mul(&design) - self.curvature(points, misses)));
        let design = design.select_columns(&self.free);
        let normal = if bent.clone().cholesky().is_some() { bent } else { design.tr_mul(&design) };
        Some(inverse(&normal, damping)? * design.tr_mul(misses))
    }

    fn free_block(&self, matrix: &DMatrix<f64>) -> DMatrix<f64> {
        matrix.select_rows(&self.free).select_columns(&self.free)
    }

    fn moved(&self, points: &[FramePoint<f64>], step: &DVector<f64>) -> Vec<FramePoint<f64>> {
        let mut points = points.to_vec();
        for (coordinate, by) in self.free.iter().zip(step) {
            let point = &mut points[coordinate / 2];
            *(if coordinate % 2 == 0 { &mut point.x } else { &mut point.y }) += by;
        }
        points
    }

    fn conclude(&self, points: Vec<FramePoint<f64>>, misses: &DVector<f64>) -> Result<Network, NetworkError> {
        let design = self.design(&points);
        let free = design.select_columns(&self.free);
        let normal = free.tr_mul(&free);
        if let Some(coordinate) = loose(&normal) {
            return Err(NetworkError::Undetermined { point: self.free[coordinate] / 2 });
        }
        let lost = NetworkError::Undetermined { point: self.free.first().map_or(0, |it| it / 2) };
        let cofactors = inverse(&normal, 0.0).ok_or(lost)?;

        // Where the gradient of the sum of squares vanishes: its derivatives by all coordinates decide how the free ones follow.
        let bent = design.tr_mul(&design) - self.curvature(&points, misses);
        let follow = inverse(&self.free_block(&bent), 0.0).ok_or(lost)?;
        let by_observation = &follow * free.transpose();
        let by_given = -&follow * bent.select_rows(&self.free).select_columns(&self.given);
        let mut network = Network {
            movement: DMatrix::zeros(2 * points.len(), misses.len()),
            by_given: DMatrix::zeros(2 * points.len(), self.given.len()),
            checks: Vec::new(),
            chi_squared: misses.norm_squared(),
            redundancy: 0,
            residual_cofactors: DMatrix::zeros(0, 0),
            seen_columns: self.columns(&self.free, self.tapes.len()),
            given_columns: self.columns(&self.given, 0),
            points,
        };
        for (row, coordinate) in self.free.iter().enumerate() {
            network.movement.row_mut(*coordinate).copy_from(&by_observation.row(row));
            network.by_given.row_mut(*coordinate).copy_from(&by_given.row(row));
        }
        for (column, coordinate) in self.given.iter().enumerate() {
            network.by_given[(*coordinate, column)] = 1.0;
        }
        self.judge(&mut network, misses, &free, &cofactors);
        Ok(network)
    }

    /// What the bend of the distances takes off the derivatives of the gradient: a tape that is missed by `v` standard
    /// uncertainties `σ` pulls across its own direction with `v/(σ·d)` per mm.
    fn curvature(&self, points: &[FramePoint<f64>], misses: &DVector<f64>) -> DMatrix<f64> {
        let mut curvature = DMatrix::zeros(2 * points.len(), 2 * points.len());
        for (tape, miss) in self.tapes.iter().zip(misses) {
            let ([x, y], length) = direction(points, tape);
            let across = [-y, x];
            let pull = miss / (tape.uncertainty * length);
            for (one, other) in [(0, 0), (1, 1), (0, 1), (1, 0)] {
                let sign = if one == other { pull } else { -pull };
                for row in 0..2 {
                    for column in 0..2 {
                        curvature[(2 * tape.between[one] + row, 2 * tape.between[other] + column)] +=
                            sign * across[row] * across[column];
                    }
                }
            }
        }
        curvature
    }

    /// Checks of the tapes by the cofactors of their residuals, as in a chart's.
    fn judge(
        &self,
        network: &mut Network,
        misses: &DVector<f64>,
        design: &DMatrix<f64>,
        cofactors: &DMatrix<f64>,
    ) {
        let count = self.tapes.len();
        let rows = design.rows(0, count);
        // In squared standard uncertainties of the tapes.
        let shares = DMatrix::identity(count, count) - rows * cofactors * rows.transpose();
        network.checks = self
            .tapes
            .iter()
            .enumerate()
            .map(|(row, tape)| Check {
                fitted: tape.length - misses[row] * tape.uncertainty,
                residual: misses[row] * tape.uncertainty,
                redundancy: shares[(row, row)],
                normalised: (shares[(row, row)] > UNCHECKED).then(|| misses[row] / shares[(row, row)].sqrt()),
            })
            .collect();
        let weighty = |site: &Site| match site {
            Site::Given(_) => 0,
            Site::Seen { uncertainty, .. } => uncertainty.iter().filter(|it| it.is_finite()).count(),
        };
        let observations = count + self.sites.iter().map(weighty).sum::<usize>();
        network.redundancy = observations.saturating_sub(self.free.len());
        network.residual_cofactors = shares;
    }

    /// Column of each point's forward coordinate, the first one at `from`.
    fn columns(&self, coordinates: &[usize], from: usize) -> Vec<Option<usize>> {
        (0..self.sites.len())
            .map(|point| coordinates.iter().position(|it| *it == 2 * point).map(|column| from + column))
            .collect()
    }
}

/// Inverse of a normal matrix, scaled to a unit diagonal meanwhile; `None` where it has none.
fn inverse(normal: &DMatrix<f64>, damping: f64) -> Option<DMatrix<f64>> {
    let (mut scaled, scale) = scaled(normal)?;
    for index in 0..scaled.nrows() {
        scaled[(index, index)] += damping;
    }
    let inverse = scaled.try_inverse().filter(|it| it.iter().all(|number| number.is_finite()))?;
    Some(DMatrix::from_fn(normal.nrows(), normal.ncols(), |i, j| inverse[(i, j)] * scale[i] * scale[j]))
}

fn scaled(normal: &DMatrix<f64>) -> Option<(DMatrix<f64>, Vec<f64>)> {
    let scale: Vec<f64> = normal.diagonal().iter().map(|it| it.sqrt().recip()).collect();
    let known = scale.iter().all(|it| it.is_finite());
    known.then(|| {
        (DMatrix::from_fn(normal.nrows(), normal.ncols(), |i, j| normal[(i, j)] * scale[i] * scale[j]), scale)
    })
}

/// The coordinate that moves most in a way that no observation feels.
fn loose(normal: &DMatrix<f64>) -> Option<usize> {
    let Some((scaled, _)) = scaled(normal) else {
        return normal.diagonal().iter().position(|it| !(*it > 0.0 && it.is_finite()));
    };
    if scaled.nrows() == 0 {
        return None;
    }
    let eigen = scaled.symmetric_eigen();
    let least = eigen.eigenvalues.imin();
    let vector = eigen.eigenvectors.column(least);
    (eigen.eigenvalues[least] < FREE).then(|| vector.iamax())
}
