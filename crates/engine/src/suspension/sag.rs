//! Springs and weights in balance: sag, and what springs would give the wanted sag.
//!
//! Bike and rider are one body whose centre of mass is fixed to the front triangle, standing still on level ground, no brake on and
//! no foot on the ground. The balance is that of the bike as it stands in the sagged position (virtual work with freely rolling
//! wheels): the shock carries the rear load times the axle's velocity along the plumb line, which is the leverage ratio but for
//! the frame's turn; the fork carries the front load times the sine of the head angle. Friction of seals and sliding tubes,
//! which can hold sag anywhere within several per cent of the travel, is left out (common practice, no source).

mod settle;

use nalgebra::Matrix2;
use num_dual::DualStruct;

use crate::Scalar;
use crate::bike::Bike;
use crate::geometry::Stance;
use crate::geometry::point::{FramePoint, FrameVector};

use super::curve::{Curve, position};
use super::linkage::{Linkage, Stuck};
use super::placed::Placed;
use super::rear::{RearAxle, stroke};
use super::spring::{self, BAR, Spring, coil_rate_under};

/// Standard gravity, m/s². Source: 3rd CGPM, 1901 (from memory).
pub const GRAVITY: f64 = 9.806_65;

/// How far a bike sinks under its masses, and what its wheels then carry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sag<T> {
    /// Compression of the shock, mm; the whole stroke where it rests on its bump stop.
    pub shock: T,
    /// Compression of the fork, mm; the whole travel where it rests on its bump stop.
    pub fork: T,
    /// What the rear wheel presses on the ground with, N; NaN where masses, their centre or the pose are not known.
    pub rear_load: T,
    /// The same in front.
    pub front_load: T,
    /// Whether the shock's compression is the balance of its spring; else it is the sag that it is said to be set up with.
    pub rear_by_spring: bool,
    /// The same of the fork.
    pub fork_by_spring: bool,
}

/// The sag of `bike`.
///
/// An end whose spring and load are known is brought into balance, within its stroke; any other has the sag that it is said to be
/// set up with, a share of stroke or fork travel, and NaN where nobody said. A `shock_sag` of exactly 0 means a rigid rear, a
/// `fork_sag` or `fork_travel` of exactly 0 a rigid fork, whatever the springs. The unsprung masses load the ground, not
/// the springs. Newton's steps settle within 10⁻¹² of the stroke; derivatives of every order of `T` are those of the
/// balance, and at a bump stop those of the stop.
///
/// # Errors
/// Where the linkage has no position.
///
/// ```
/// # use knockon_engine::bike::Bike;
/// # use knockon_engine::suspension::sag::sag;
/// # let mut bike = Bike::unknown();
/// // Told sags need neither springs nor masses: 30 % of 60 mm, 20 % of 150 mm.
/// (bike.shock_stroke, bike.shock_spacer, bike.shock_sag) = (60.0, 0.0, 0.30);
/// (bike.fork_travel, bike.fork_sag) = (150.0, 0.20);
/// let told = sag(&bike, None).unwrap();
/// assert!((told.shock - 18.0).abs() < 1e-9 && (told.fork - 30.0).abs() < 1e-9);
/// assert!(told.rear_load.is_nan() && !told.rear_by_spring);
/// ```
pub fn sag<T: Scalar>(bike: &Bike<T>, linkage: Option<&Linkage<T>>) -> Result<Sag<T>, Stuck> {
    let placed = Placed::new(bike, linkage);
    let settled = settled(bike, linkage, None)?;
    let problem = Problem::new(&placed, None);
    let [shock, fork] = problem.lift(&settled)?;
    let balance = problem.balance([shock, fork])?;
    let [rear_by_spring, fork_by_spring] = settled.by_spring;
    let [rear_load, front_load] = balance.loads;
    Ok(Sag { shock, fork, rear_load, front_load, rear_by_spring, fork_by_spring })
}

fn settled<T: Scalar>(
    bike: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    told: Option<(End, T)>,
) -> Result<Settled, Stuck> {
    let linkage = linkage.map(|linkage| linkage.map(DualStruct::re));
    let bike = bike.map(DualStruct::re);
    let placed = Placed::new(&bike, linkage.as_ref());
    Problem::new(&placed, told.map(|(end, share)| (end, share.re()))).settle()
}

/// Where a bike rests in plain numbers: with the springs that it has, with the sag that is wanted of its shock, and with that
/// wanted of its fork, where something is known of the fork's spring. Found once, it serves for every set of derivatives.
#[derive(Clone, Copy, Debug)]
pub struct Rests {
    present: Settled,
    in_shock: Settled,
    in_fork: Option<Settled>,
}

impl Rests {
    /// Finds them.
    ///
    /// # Errors
    /// Where the linkage has no position.
    pub fn find<T: Scalar>(bike: &Bike<T>, linkage: Option<&Linkage<T>>) -> Result<Self, Stuck> {
        let linkage = linkage.map(|linkage| linkage.map(DualStruct::re));
        let bike = bike.map(DualStruct::re);
        let placed = Placed::new(&bike, linkage.as_ref());
        let present = Problem::new(&placed, None).settle()?;
        let in_shock = Problem::new(&placed, Some((End::Rear, bike.shock_sag))).settle()?;
        let known = bike.fork_coil_rate.is_finite() || spring::fork_air(&bike, 1.0).is_some();
        let in_fork = known.then(|| Problem::new(&placed, Some((End::Front, bike.fork_sag))).settle());
        Ok(Rests { present, in_shock, in_fork: in_fork.transpose()? })
    }

    /// Compressions of shock and fork at sag, mm, with the derivatives of `T`.
    ///
    /// # Errors
    /// Where the linkage has no position.
    pub(super) fn compressions<T: Scalar>(&self, placed: &Placed<'_, T>) -> Result<[T; 2], Stuck> {
        Problem::new(placed, None).lift(&self.present)
    }

    /// [`coil_rate_for`] the shock's wanted sag.
    ///
    /// # Errors
    /// Where the linkage has no position.
    pub(super) fn coil_rate<T: Scalar>(&self, placed: &Placed<'_, T>) -> Result<T, Stuck> {
        let preload = placed.bike.coil_preload;
        if !preload.re().is_finite() {
            return Ok(preload);
        }
        let (force, compression) = self.wanted(placed)?;
        Ok(coil_rate_under(force, compression, preload))
    }

    /// [`pressure_for`] the shock's wanted sag.
    ///
    /// # Errors
    /// Where the linkage has no position.
    pub(super) fn pressure<T: Scalar>(&self, placed: &Placed<'_, T>) -> Result<T, Stuck> {
        let Some(spring) = any_air(placed.bike) else { return Ok(T::from(f64::NAN)) };
        let (force, compression) = self.wanted(placed)?;
        Ok(spring.pressure_for(force, compression) / BAR)
    }

    fn wanted<T: Scalar>(&self, placed: &Placed<'_, T>) -> Result<(T, T), Stuck> {
        wanted_from(placed, End::Rear, placed.bike.shock_sag, &self.in_shock)
    }

    /// [`fork_coil_rate_for`] the fork's wanted sag where it has a coil, else [`fork_pressure_for`] it; `None` where nothing is
    /// known of its spring.
    ///
    /// # Errors
    /// Where the linkage has no position.
    pub(super) fn in_fork<T: Scalar>(&self, placed: &Placed<'_, T>) -> Option<Result<T, Stuck>> {
        let bike = placed.bike;
        let wanted = wanted_from(placed, End::Front, bike.fork_sag, self.in_fork.as_ref()?);
        if bike.fork_coil_rate.re().is_finite() {
            return Some(wanted.map(|(force, at)| coil_rate_under(force, at, bike.fork_coil_preload)));
        }
        let spring = spring::fork_air(bike, T::from(1.0))?;
        Some(wanted.map(|(force, at)| spring.pressure_for(force, at) / BAR))
    }
}

/// Rate of a shock's coil that gives this share of the stroke as sag under the bike's masses, with the bike's preload, N/mm.
///
/// `(rear load − unsprung)·leverage/(share·stroke + preload)`, in the pose of that sag. NaN where the bike does not suffice or
/// is rigid; the share is taken from above 0 to 1. Friction makes the real sag differ, so this chooses a spring to try, no more.
///
/// # Errors
/// Where the linkage has no position.
///
/// ```
/// # use knockon_engine::bike::Bike;
/// # use knockon_engine::suspension::sag::coil_rate_for;
/// # let mut bike = Bike::unknown();
/// # (bike.stack, bike.reach, bike.head_angle) = (600.0, 400.0, 90_f64.to_radians());
/// # (bike.head_tube, bike.lower_stack, bike.axle_to_crown, bike.fork_offset) = (100.0, 10.0, 490.0, 200.0);
/// # (bike.chainstay, bike.bottom_bracket_drop, bike.front_radius, bike.rear_radius) = (400.0, 0.0, 370.0, 410.0);
/// # (bike.fork_travel, bike.fork_sag, bike.shock_stroke, bike.shock_spacer) = (0.0, 0.0, 40.0, 0.0);
/// # (bike.rear_travel, bike.leverage_at_start, bike.leverage_at_end) = (160.0, 1.0, 1.0);
/// // 100 kg, of which the rear wheel carries 60 %: 588.4 N. Leverage 4, 10 mm of sag, level frame at that sag.
/// (bike.rider_mass, bike.kit_mass, bike.bike_mass) = (85.0, 0.0, 15.0);
/// (bike.rear_unsprung, bike.coil_preload) = (0.0, 0.0);
/// let rear_axle = -(400.0_f64 * 400.0 - 40.0 * 40.0).sqrt(); // the arc, 40 mm up
/// (bike.mass_ahead, bike.mass_above) = (rear_axle + 0.4 * (600.0 - rear_axle), 500.0);
/// let rate = coil_rate_for(&bike, None, 0.25).unwrap();
/// assert!((rate - 588.399 * 4.0 / 10.0).abs() < 1e-6, "{rate}");
/// ```
pub fn coil_rate_for<T: Scalar>(bike: &Bike<T>, linkage: Option<&Linkage<T>>, share: T) -> Result<T, Stuck> {
    let (force, compression) = wanted(bike, linkage, End::Rear, share)?;
    Ok(coil_rate_under(force, compression, bike.coil_preload))
}

/// Rate of a fork's coil that gives this share of the travel as sag, in the way of [`coil_rate_for`], N/mm.
pub fn fork_coil_rate_for<T: Scalar>(
    bike: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    share: T,
) -> Result<T, Stuck> {
    let (force, compression) = wanted(bike, linkage, End::Front, share)?;
    Ok(coil_rate_under(force, compression, bike.fork_coil_preload))
}

/// Pressure in the shock's air spring at full extension that gives this share of the stroke as sag, bar above the atmosphere, in the
/// way of [`coil_rate_for`]; see [`Spring::pressure_for`]. Whether the shock may have that pressure is its maker's to say.
///
/// # Errors
/// Where the linkage has no position.
pub fn pressure_for<T: Scalar>(bike: &Bike<T>, linkage: Option<&Linkage<T>>, share: T) -> Result<T, Stuck> {
    let Some(spring) = any_air(bike) else { return Ok(T::from(f64::NAN)) };
    let (force, compression) = wanted(bike, linkage, End::Rear, share)?;
    Ok(spring.pressure_for(force, compression) / BAR)
}

/// Pressure in the fork's air spring at full extension that gives this share of the travel as sag, in the way of
/// [`pressure_for`], bar.
pub fn fork_pressure_for<T: Scalar>(
    bike: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    share: T,
) -> Result<T, Stuck> {
    let Some(spring) = spring::fork_air(bike, T::from(1.0)) else { return Ok(T::from(f64::NAN)) };
    let (force, compression) = wanted(bike, linkage, End::Front, share)?;
    Ok(spring.pressure_for(force, compression) / BAR)
}

/// One end of the bike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Rear,
    Front,
}

/// Force (N) and compression (mm) that the spring of one end must have for this sag there, the other end at its own.
fn wanted<T: Scalar>(
    bike: &Bike<T>,
    linkage: Option<&Linkage<T>>,
    end: End,
    share: T,
) -> Result<(T, T), Stuck> {
    let settled = settled(bike, linkage, Some((end, share)))?;
    wanted_from(&Placed::new(bike, linkage), end, share, &settled)
}

fn wanted_from<T: Scalar>(
    placed: &Placed<'_, T>,
    end: End,
    share: T,
    settled: &Settled,
) -> Result<(T, T), Stuck> {
    let unknown = T::from(f64::NAN);
    if share.re().is_nan() || share <= T::from(0.0) || !is_weighed(placed.bike, end) {
        return Ok((unknown, unknown));
    }
    let problem = Problem::new(placed, Some((end, share)));
    let compressions = problem.lift(settled)?;
    let balance = problem.balance(compressions)?;
    Ok((balance.forces[end as usize], compressions[end as usize]))
}

/// Whether it is known what the spring of one end carries.
fn is_weighed<T: Scalar>(bike: &Bike<T>, end: End) -> bool {
    let unsprung = [&bike.rear_unsprung, &bike.front_unsprung][end as usize];
    let masses = [&bike.rider_mass, &bike.kit_mass, &bike.bike_mass, unsprung];
    masses.iter().chain(&[&bike.mass_ahead, &bike.mass_above]).all(|number| number.re().is_finite())
}

/// The shock's air spring at some pressure: which one does not matter to the pressure that is wanted.
fn any_air<T: Scalar>(bike: &Bike<T>) -> Option<Spring<T>> {
    spring::shock_air(bike, T::from(1.0))
}

/// What a spring has taken up when it reaches the end of its stroke.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BottomOut<T> {
    /// Energy that the spring takes up from full extension, J.
    pub energy: T,
    /// Its force there, N.
    pub force: T,
}

impl<T: Scalar> BottomOut<T> {
    /// That of the shock's spring over its stroke; damping and the bump stop, which take up more, are left out. NaN where the
    /// spring or the stroke is not known.
    ///
    /// ```
    /// use knockon_engine::{bike::Bike, suspension::sag::BottomOut};
    /// let mut bike = Bike::unknown();
    /// (bike.coil_rate, bike.coil_preload, bike.shock_stroke, bike.shock_spacer) = (80.0, 0.0, 60.0, 0.0);
    /// // 80 N/mm · 60 mm, and half of that over 60 mm
    /// assert_eq!(BottomOut::shock(&bike), BottomOut { energy: 144.0, force: 4800.0 });
    /// ```
    pub fn shock(bike: &Bike<T>) -> Self {
        Self::of(spring::shock(bike), stroke(bike))
    }

    /// That of the fork's spring over its travel.
    pub fn fork(bike: &Bike<T>) -> Self {
        Self::of(spring::fork(bike), bike.fork_travel)
    }

    fn of(spring: Option<Spring<T>>, stroke: T) -> Self {
        const MILLIJOULE: f64 = 1e-3;
        let unknown = T::from(f64::NAN);
        spring.map_or(BottomOut { energy: unknown, force: unknown }, |spring| BottomOut {
            energy: spring.energy(stroke) * MILLIJOULE,
            force: spring.force(stroke),
        })
    }
}

/// Natural frequency of each end at sag by itself, Hz: a measure of how far the two springs suit each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frequencies<T> {
    /// Rear; NaN for a rigid rear.
    pub rear: T,
    /// Front; NaN for a rigid fork.
    pub front: T,
}

impl<T: Scalar> Frequencies<T> {
    /// `√(k/m)/2π` with the wheel rate `k` at sag and the mass `m` that the end's spring carries there. NaN where spring or load
    /// is not known. No damping, and each end as if the other stood still (common practice, no source).
    ///
    /// # Errors
    /// Where the linkage has no position.
    pub fn at(bike: &Bike<T>, linkage: Option<&Linkage<T>>, sag: &Sag<T>) -> Result<Self, Stuck> {
        let unknown = T::from(f64::NAN);
        let sprung = |load: T, unsprung: T| load / GRAVITY - unsprung;
        let placed = Placed::new(bike, linkage);
        let problem = Problem::new(&placed, None);
        let rear = if problem.rigid_rear || !sag.shock.re().is_finite() {
            unknown
        } else {
            let rate = position(bike, linkage, sag.shock, sag.fork)?[Curve::WheelRate as usize];
            frequency(rate, sprung(sag.rear_load, bike.rear_unsprung))
        };
        // A force along the leg is the wheel's times the sine of the head angle, and so is the leg's way.
        let sine = problem.balance([sag.shock, sag.fork])?.arms[End::Front as usize];
        let front = problem.springs[End::Front as usize].map_or(unknown, |spring| {
            frequency(spring.rate(sag.fork) / (sine * sine), sprung(sag.front_load, bike.front_unsprung))
        });
        Ok(Frequencies { rear, front })
    }
}

/// `√(k/m)/2π` of a rate in N/mm and a mass in kg, Hz.
fn frequency<T: Scalar>(rate: T, mass: T) -> T {
    const PER_METRE: f64 = 1e3;
    (rate * PER_METRE / mass).sqrt() / std::f64::consts::TAU
}

/// Springs, told sags and limits of both ends: rear, then front.
struct Problem<'a, T> {
    placed: &'a Placed<'a, T>,
    rigid_rear: bool,
    springs: [Option<Spring<T>>; 2],
    told: [T; 2],
    limits: [T; 2],
}

/// What the masses do at given compressions.
struct Balance<T> {
    /// On the ground, N.
    loads: [T; 2],
    /// What they ask of the springs, N.
    forces: [T; 2],
    /// Force on the spring over what its wheel carries for it, plain numbers.
    arms: [T; 2],
}

/// A balance in plain numbers.
#[derive(Clone, Copy, Debug)]
struct Settled {
    compressions: [f64; 2],
    by_spring: [bool; 2],
    /// Derivatives of what the springs push too much over the compressions.
    jacobian: Matrix2<f64>,
}

impl<'a, T: Scalar> Problem<'a, T> {
    /// `told` sets one end up to a share of its stroke as sag, whatever its spring.
    fn new(placed: &'a Placed<'a, T>, told: Option<(End, T)>) -> Self {
        let (bike, zero) = (placed.bike, T::from(0.0));
        let of = |wanted: End| told.filter(|(end, _)| *end == wanted).map(|(_, share)| share);
        let sags = [of(End::Rear).unwrap_or(bike.shock_sag), of(End::Front).unwrap_or(bike.fork_sag)];
        let rigid = [sags[0] == zero, bike.fork_travel == zero || sags[1] == zero];
        let limits = [stroke(bike), bike.fork_travel];
        let sprung = |end: End| of(end).is_none() && !rigid[end as usize];
        Problem {
            placed,
            rigid_rear: rigid[0],
            springs: [
                sprung(End::Rear).then(|| spring::shock(bike)).flatten(),
                sprung(End::Front).then(|| spring::fork(bike)).flatten(),
            ],
            told: [0, 1].map(|end| if rigid[end] { zero } else { sags[end] * limits[end] }),
            limits,
        }
    }

    fn balance(&self, [shock, fork]: [T; 2]) -> Result<Balance<T>, Stuck> {
        let Placed { bike, linkage, points } = self.placed;
        let unknown = T::from(f64::NAN);
        if !(shock.re().is_finite() && fork.re().is_finite()) {
            return Ok(Balance { loads: [unknown; 2], forces: [unknown; 2], arms: [unknown; 2] });
        }
        let (place, velocity) = if self.rigid_rear {
            (points.rear_axle, FrameVector { x: unknown, y: unknown })
        } else {
            let axle = RearAxle::at(bike, *linkage, shock)?;
            (axle.place, axle.velocity)
        };
        let stance = Stance::on(bike, points.front_axle_after(fork), place);
        let weight = (bike.rider_mass + bike.kit_mass + bike.bike_mass) * GRAVITY;
        let mass = stance.on_ground(FramePoint { x: bike.mass_ahead, y: bike.mass_above });
        let front = weight * mass.x / stance.wheelbase();
        let loads = [weight - front, front];
        let arms = [stance.direction(velocity).y, -stance.direction(points.axis_down).y];
        let forces = [
            (loads[0] - bike.rear_unsprung * GRAVITY) * arms[0],
            (loads[1] - bike.front_unsprung * GRAVITY) * arms[1],
        ];
        Ok(Balance { loads, forces, arms })
    }

    /// What the springs push more than is asked of them, N; 0 at an end that is not in balance by its spring.
    fn surplus(&self, compressions: [T; 2], by_spring: [bool; 2]) -> Result<[T; 2], Stuck> {
        let balance = self.balance(compressions)?;
        let mut surplus = [T::from(0.0); 2];
        for end in 0..2 {
            if let Some(spring) = self.springs[end].filter(|_| by_spring[end]) {
                surplus[end] = spring.force(compressions[end]) - balance.forces[end];
            }
        }
        Ok(surplus)
    }

    /// The balance with its derivatives. What the correction by the plain Jacobian leaves wrong is of one order more each
    /// time, so that as many as `T` has orders are exact.
    fn lift(&self, settled: &Settled) -> Result<[T; 2], Stuck> {
        let mut compressions = settled.compressions.map(T::from);
        let mut free = settled.by_spring;
        for end in 0..2 {
            if !settled.by_spring[end] {
                compressions[end] = self.told[end];
            } else if settled.compressions[end] >= self.limits[end].re() {
                (compressions[end], free[end]) = (self.limits[end], false);
            } else if settled.compressions[end] <= 0.0 {
                free[end] = false;
            }
        }
        if free == [false; 2] {
            return Ok(compressions);
        }
        let Some(inverse) = held(settled.jacobian, free).try_inverse() else {
            return Ok([T::from(f64::NAN); 2]);
        };
        for _ in 0..T::NDERIV {
            let surplus = self.surplus(compressions, free)?;
            for end in 0..2 {
                compressions[end] -= surplus[0] * inverse[(end, 0)] + surplus[1] * inverse[(end, 1)];
            }
        }
        Ok(compressions)
    }
}

/// The Jacobian of those ends that are free to move: the others stay.
fn held(mut jacobian: Matrix2<f64>, free: [bool; 2]) -> Matrix2<f64> {
    for end in 0..2 {
        if !free[end] {
            jacobian.row_mut(end).fill(0.0);
            jacobian[(end, end)] = 1.0;
        }
    }
    jacobian
}
