//! From a question to its findings: the one way, whatever asks and whatever prints.

mod claim;
mod knock_on;
mod missing;
mod notes;
mod suspension;
mod verdict;

use knockon_engine::attribution::shapley;
use knockon_engine::bike::Bike;
use knockon_engine::change::{LinkagePoint, Row, Step};
use knockon_engine::comparison::{Assessment, Given, assess};
use knockon_engine::quantity::{Quantities, Quantity, evaluate};
use knockon_engine::requirement::{Allowances, Outcome, Requirement};
use knockon_engine::suspension::linkage::{Linkage, Stuck};
use knockon_engine::tolerance::Uncertain;

pub use knock_on::{KnockOn, Noticed, edge, unit};
pub use missing::Missing;
pub(crate) use notes::cautions_of;
pub use notes::{Assumed, Sources};
pub use suspension::{ChainRun, Drawn, DrawnPart, DrawnPoint, Springs, Suspension, Travel};
pub(crate) use verdict::{Judging, told as limits_told};

use crate::audit::{Audit, audit};
use crate::build::{Build, BuildError, held_still};
use crate::change::{Axis, Change, normal};
use crate::fact::Fact;
use crate::fit::condition;
use crate::fit::shopping::{Shopping, shopping};
use crate::fit::{Fitting, Judged};
use crate::inspection::{Inspected, Judgement, inspected};
use crate::problem::nearest;
use crate::question::Question;
use crate::record::Record;
use crate::series::Series;
use crate::tables::{self, Caution};
use crate::units::shown;
use crate::verdict::Verdict;
use crate::words::plain;
use crate::workings::braking::Way;
use crate::workings::{self, Told, Workings};

/// The answer in numbers. Values are in the units of the edge: mm, degrees, percent.
#[derive(Clone, Debug)]
pub struct Findings {
    /// What was asked.
    pub question: Question,
    /// The changes as lettered revisions.
    pub revisions: Vec<Revision>,
    /// Every quantity that the record suffices for, in the engine's order, moved or not.
    pub knock_ons: Vec<KnockOn>,
    /// Limits that the changes touch, worst first.
    pub verdicts: Vec<Verdict>,
    /// Every connection of parts, limit and condition of which something is known, told on the answer or not.
    pub fits: Vec<Judged>,
    /// The fewest things that make the parts go together.
    pub shopping: Shopping,
    /// What the protocols say, in the order of the question's inspections.
    pub judgements: Vec<Judgement>,
    /// Facts to ask for.
    pub missing: Vec<Missing>,
    /// Cautions, strongest first.
    pub cautions: Vec<(&'static Caution, usize)>,
    /// Assumptions that matter to what moved.
    pub assumptions: Vec<Assumed>,
    /// What the differences would be without the revisions that break a limit; none when no limit is broken or nothing
    /// would be left.
    pub without: Option<Without>,
    /// Steerer that stands above what is stacked on it after the changes, and ±; spacers above the stem take it up.
    pub steerer_surplus: Option<(f64, f64)>,
    /// Record keys that a placeholder stands in for.
    pub untold: Vec<String>,
    /// The rear suspension through its travel; `None` for a bike without one, or of which too little is known.
    pub suspension: Option<Suspension>,
    /// Gears, chain, brakes and wheels in depth.
    pub workings: Workings,
    /// What the chart's rows disagree about.
    pub audit: Audit,
    /// The numbered sources.
    pub sources: Sources,
    /// The bike as it is, and as it would be, in the engine's units.
    pub bikes: (Bike<f64>, Bike<f64>),
}

/// One lettered revision.
#[derive(Clone, Debug, PartialEq)]
pub struct Revision {
    /// A, B, C …
    pub letter: char,
    /// The change.
    pub change: Change,
    /// Value before, as printed; "?" when it is not known.
    pub before: String,
    /// Value after, as printed.
    pub after: String,
    /// Unit of both; empty for a tyre size.
    pub unit: &'static str,
}

/// The differences that would remain without some revisions.
#[derive(Clone, Debug, PartialEq)]
pub struct Without {
    /// The revisions that are left out.
    pub letters: Vec<char>,
    /// Difference of each quantity, in the units of the edge.
    pub differences: Vec<(Quantity, f64)>,
}

/// Letter of the revision at an index.
pub fn letter(index: usize) -> char {
    char::from(b'A' + u8::try_from(index % 26).unwrap_or(0))
}

/// Answers a question.
///
/// ```
/// use knockon_trade::{findings::answer, question::{Question, read_changes}, record::parse};
/// let record = parse("bike", "[chart]\nhead_angle = 65\n[cockpit]\nspacers_below = 20").unwrap().record;
/// let changes = read_changes(&["spacers below by -10"]).unwrap().changes;
/// let findings = answer(Question { asked: String::new(), record, changes, inspections: Vec::new() }).unwrap();
/// let grip = findings.knock_ons.iter().find(|knock_on| knock_on.quantity.id() == "grip_stack").unwrap();
/// // 10 mm of spacers at 65°: down by 10·sin 65° = 9.06 mm, whatever stem and bar are.
/// assert!((grip.difference.unwrap() + 9.06).abs() < 0.1);
/// assert!(grip.before.is_none());
/// ```
///
/// # Errors
/// When the record's chart describes no possible bike, or a step leaves a part at an impossible measure.
pub fn answer(question: Question) -> Result<Findings, AnswerError> {
    answer_in_depth(question, Told::Touched, &Way::usual())
}

/// [`answer`] with the workings that are asked for, and the brakes on a given way down.
///
/// # Errors
/// As [`answer`].
pub fn answer_in_depth(question: Question, told: Told, way: &Way) -> Result<Findings, AnswerError> {
    let mut build = Build::new(&question.record)?;
    let audit = audit(&build);
    let steps = steps(&mut build, &question)?;
    let linkage = build.linkage.as_ref().map(|built| &built.linkage);
    let given = Given { linkage, steps: &steps };
    let moving = held_still(&build.bike, &steps);
    let assessment = assess(&moving, given, &allowances(), build.inputs.len());
    let before = build.bike.map(|number| number.value);
    let drawn = linkage.map(|linkage| linkage.map(|number| number.value));
    let values: Vec<Step<f64>> = steps.iter().map(|step| step.map(|number| number.value)).collect();
    let (after, drawn_after) = before.after_on(drawn.as_ref(), &values);
    within_possible(&question.changes, &build, &after)?;
    let fitting = Fitting::new(&question.record, &question.changes);
    let case = Case {
        question: &question,
        fitting: &fitting,
        build: &build,
        given,
        assessment: &assessment,
        before: &before,
        after: &after,
        linkages: [drawn.as_ref(), drawn_after.as_ref()],
    };
    let suspension = suspension::through_the_travel(&case)?;
    let shares = shares(&before, drawn.as_ref(), &values);
    let mut sources = Sources::default();
    let knock_ons = knock_on::all(&case, &shares, &mut sources);
    let mut verdicts = verdict::all(&case.judging(), &mut sources);
    verdicts.extend(claim::judge(&case, &mut sources));
    let fits = fitting.judge();
    let mut shopping = shopping(&fitting, &fits);
    shopping.add_limits(&fitting, &verdicts);
    let worth_telling = fits.iter().filter(|it| fitting.tells(&it.verdict));
    verdicts
        .extend(worth_telling.map(|it| Verdict { source: sources.number(it.source), ..it.verdict.clone() }));
    let brought = cautions_of(question.changes.iter(), &question.asked);
    let of_words = condition::of_words(&brought).filter(|_| !question.changes.is_empty());
    verdicts.extend(of_words.map(|it| Verdict { source: sources.number(it.source), ..it.verdict }));
    let judgements: Vec<Judgement> = question.inspections.iter().map(Inspected::judgement).collect();
    let inspected = question.inspections.iter().zip(&judgements);
    let inspected = inspected.filter_map(|(it, judgement)| inspected::verdict(it, judgement));
    verdicts.extend(inspected.map(|it| Verdict { source: sources.number(it.source), ..it.verdict }));
    verdicts.sort_by_key(Verdict::rank);
    let missing = missing::all(&case, &knock_ons, &verdicts);
    let workings = workings::all(
        &workings::Given {
            fitting: &fitting,
            build: &build,
            bikes: [&before, &after],
            linkages: case.linkages,
        },
        told,
        way,
    );
    let brought = notes::with_keys(brought, &workings.keys());
    let brought = notes::with_inspections(brought, &judgements);
    let cautions = notes::numbered(brought, &mut sources);
    for source in judgements.iter().flat_map(|judgement| &judgement.sources) {
        sources.number(source);
    }
    let assumptions = notes::assumptions(&case, &knock_ons, &mut sources);
    let without = without(&case, &verdicts, &values);
    let steerer_surplus = steerer_surplus(&case);
    let revisions = question
        .changes
        .iter()
        .enumerate()
        .map(|(index, change)| revision(&case, index, change, &values[..index]))
        .collect();
    let untold =
        build.inputs.iter().filter(|input| input.is_placeholder()).map(|input| input.key.clone()).collect();
    Ok(Findings {
        untold,
        revisions,
        knock_ons,
        verdicts,
        fits,
        shopping,
        judgements,
        missing,
        cautions,
        assumptions,
        without,
        steerer_surplus,
        suspension,
        workings,
        audit,
        sources,
        bikes: (before, after),
        question,
    })
}

/// Why a question cannot be answered.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AnswerError {
    /// The record describes no possible bike.
    #[error(transparent)]
    Build(#[from] BuildError),
    /// A change speaks of a linkage that the record does not have.
    #[error("`{change}` needs a linkage, and the record has none")]
    NoLinkage {
        /// The change.
        change: String,
    },
    /// A change names a point or a chip's place that the linkage does not have, or that does not move by itself.
    #[error("`{change}`: {why}")]
    NoSuchPlace {
        /// The change.
        change: String,
        /// What is wrong with it.
        why: String,
        /// How to mend it.
        help: String,
    },
    /// The changes leave a linkage that cannot move through its stroke.
    #[error("with these changes the rear suspension cannot move through its stroke: {0}")]
    Stuck(String),
    /// A step leaves a part at an impossible measure.
    #[error("`{change}` leaves {left}, which cannot be")]
    Impossible {
        /// The step.
        change: String,
        /// What it leaves: "spacers below at −5 mm".
        left: String,
        /// What is possible: "0 mm to 150 mm".
        possible: String,
    },
}

impl AnswerError {
    /// How to mend it.
    pub fn help(&self) -> String {
        match self {
            AnswerError::Build(error) => error.help(),
            AnswerError::NoLinkage { .. } => {
                "measure its pivots and write them under [linkage] in the record".to_owned()
            }
            AnswerError::NoSuchPlace { help, .. } => help.clone(),
            AnswerError::Stuck(_) => "try a smaller change, or check the points of the linkage".to_owned(),
            AnswerError::Impossible { possible, .. } => format!("possible is {possible}"),
        }
    }
}

/// A new value is checked where it is read; what a step leaves can only be checked here. What a step leaves of a fact that
/// nobody has told is not checked.
fn within_possible(changes: &[Change], build: &Build, after: &Bike<f64>) -> Result<(), AnswerError> {
    for change in changes {
        let Change::Number { property, by: true, .. } = change else { continue };
        let untold = build.inputs.iter().any(|input| input.key == property.key && input.is_placeholder());
        let Some(parameter) = property.parameter().filter(|_| !untold) else { continue };
        let left = *after.get(parameter) / property.dimension.edge_factor();
        let [least, most] = property.possible;
        // A hair of room: degrees have been through radians, and a chart's rows through each other.
        if left < least - 0.05 || left > most + 0.05 {
            let unit = property.dimension.edge_unit();
            return Err(AnswerError::Impossible {
                change: change.to_string(),
                left: format!("{} at {}", property.say[0], shown((left * 10.0).round() / 10.0, unit)),
                possible: format!("{} to {}", shown(least, unit), shown(most, unit)),
            });
        }
    }
    Ok(())
}

/// Everything that the parts of an answer look at.
struct Case<'a> {
    question: &'a Question,
    fitting: &'a Fitting<'a>,
    build: &'a Build,
    given: Given<'a>,
    assessment: &'a Assessment,
    before: &'a Bike<f64>,
    after: &'a Bike<f64>,
    /// The linkage before and after, where somebody measured one.
    linkages: [Option<&'a Linkage<f64>>; 2],
}

impl Case<'_> {
    /// Whether a change is about one of these record keys.
    fn touches(&self, keys: &[String]) -> bool {
        self.question.touches(keys)
    }

    fn judging(&self) -> Judging<'_> {
        Judging {
            question: self.question,
            fitting: self.fitting,
            build: self.build,
            before: self.before,
            after: self.after,
            linkages: self.linkages,
            margins: &self.assessment.margins,
        }
    }
}

/// The figures that the limits carry, from their table.
pub fn allowances() -> Allowances {
    let figure =
        |requirement: Requirement| tables::requirements()[requirement as usize].figure.unwrap_or(f64::NAN);
    Allowances {
        same_clamp: figure(Requirement::BarClamp),
        tyre_gap: figure(Requirement::FrontClearance),
        bottom_gap: figure(Requirement::BottomClearance),
    }
}

/// The changes as the engine's steps; each new value becomes an input of the build.
///
/// # Errors
/// When a change names a part of the linkage that the record does not have.
pub fn steps(build: &mut Build, question: &Question) -> Result<Vec<Step<Uncertain>>, AnswerError> {
    let changes = question.changes.iter().enumerate();
    let claim = claim::place(&question.changes);
    changes
        .map(|(index, change)| match claim {
            Some(claim) if claim == index => Ok(Step::Nothing),
            _ => step(build, &question.record, index, change),
        })
        .collect()
}

fn step(
    build: &mut Build,
    record: &Record,
    index: usize,
    change: &Change,
) -> Result<Step<Uncertain>, AnswerError> {
    let key = format!("revision {}", letter(index));
    Ok(match change {
        Change::Number { property, by, amount } => {
            let step = if *by { "step of the" } else { "new" };
            let label = format!("{step} {} (revision {})", property.label.to_lowercase(), letter(index));
            // Teeth are counted, not rounded.
            let exact = Fact { uncertainty: 0.0, ..amount.clone() };
            let amount = if property.dimension.is_counted() { &exact } else { amount };
            let mut amount = build.changed(&key, &label, amount);
            if property.key == "fork.axle_to_crown" && !by {
                amount = build.fork_along_axis(amount);
            }
            match (property.parameter(), by) {
                (Some(parameter), true) => Step::By(parameter, amount),
                (Some(parameter), false) => Step::Set(parameter, amount),
                // Judged by a limit alone: it moves nothing.
                (None, _) => Step::Nothing,
            }
        }
        Change::Tyre { wheel, tyre } => {
            let fact = crate::fact::Fact {
                value: tyre.width,
                uncertainty: tyre.width_uncertainty(),
                known: crate::fact::Known::Published,
                with: None,
                text: tyre.to_string(),
                tolerance: None,
            };
            let width = build.changed(
                &key,
                &format!("inflated width of the new tyre (revision {})", letter(index)),
                &fact,
            );
            let bead_seat_radius = Uncertain::exact(tyre.bead_seat_radius());
            Step::Tyre { wheel: *wheel, bead_seat_radius, width }
        }
        Change::Point { name, axis, amount } => {
            let point = linkage_point(build, change, name)?;
            let label = format!("step of the {name} (revision {})", letter(index));
            let by = build.changed(&key, &label, amount);
            let none = Uncertain::exact(0.0);
            match axis {
                Axis::Forward => Step::Move { point, x: by, y: none },
                Axis::Up => Step::Move { point, x: none, y: by },
            }
        }
        Change::Chip { place } => chip(build, record, &key, change, place)?,
        Change::End { .. } => Step::Nothing,
        Change::Series { row, series } => row_of_gears(build, &row.key, series, index),
        Change::NoIdler => match &record.linkage {
            Some(linkage) if linkage.points.iter().any(|point| point.idler.is_some()) => Step::NoIdlers,
            Some(_) => {
                return Err(AnswerError::NoSuchPlace {
                    change: change.to_string(),
                    why: "the linkage has no idler".to_owned(),
                    help: "a point with `teeth` is an idler".to_owned(),
                });
            }
            None => return Err(AnswerError::NoLinkage { change: change.to_string() }),
        },
    })
}

/// Other rings, cogs or inner gears. Rings of another number are taken to be as far apart as those before.
fn row_of_gears(build: &mut Build, key: &str, series: &Series, index: usize) -> Step<Uncertain> {
    let row = match key {
        "drivetrain.ring_teeth" => Row::Rings,
        "drivetrain.cog_teeth" => Row::Cogs,
        _ => Row::Inner,
    };
    let same = |count: &f64| row == Row::Cogs && *count == build.bike.cog_count.value;
    let told = series.count().map(|count| count as f64);
    // Of a cassette that only its ends are told of, the number of cogs stays what it was.
    let count = told.unwrap_or(if row == Row::Cogs { build.bike.cog_count.value } else { f64::NAN });
    let spacing = match row {
        Row::Rings => build.bike.ring_spacing.clone(),
        Row::Cogs if same(&count) => build.bike.cog_spacing.clone(),
        Row::Cogs if count.is_finite() => {
            let label = format!("distance between the new cogs (revision {})", letter(index));
            build.spacing_of(count as usize, &label)
        }
        _ => Uncertain::exact(f64::NAN),
    };
    let exact = Uncertain::exact;
    Step::Row { row, least: exact(series.least()), most: exact(series.most()), count: exact(count), spacing }
}

/// The point of the linkage that a change names.
fn linkage_point(build: &Build, change: &Change, name: &str) -> Result<LinkagePoint, AnswerError> {
    let Some(built) = &build.linkage else {
        return Err(AnswerError::NoLinkage { change: change.to_string() });
    };
    if name == "axle" {
        return Ok(LinkagePoint::Axle);
    }
    let place = built.points.iter().position(|known| normal(known) == name);
    place.map(LinkagePoint::Listed).ok_or_else(|| AnswerError::NoSuchPlace {
        change: change.to_string(),
        why: format!("the linkage has no point `{name}`"),
        help: nearest(name, built.points.iter().map(String::as_str)).map_or_else(
            || format!("it has {}", built.points.join(", ")),
            |near| format!("did you mean `{near}`?"),
        ),
    })
}

/// What moving a chip to another of its places does to the point that it holds.
fn chip(
    build: &mut Build,
    record: &Record,
    key: &str,
    change: &Change,
    place: &str,
) -> Result<Step<Uncertain>, AnswerError> {
    let refuse =
        |why: String, help: String| Err(AnswerError::NoSuchPlace { change: change.to_string(), why, help });
    let Some(linkage) = &record.linkage else {
        return Err(AnswerError::NoLinkage { change: change.to_string() });
    };
    let Some(chip) = &linkage.chip else {
        return refuse(
            "the linkage has no chip".to_owned(),
            "write under [linkage.chip] which point it moves, and where to".to_owned(),
        );
    };
    let Some(found) = chip.places.iter().find(|known| normal(&known.name) == place) else {
        let names: Vec<&str> = chip.places.iter().map(|place| place.name.as_str()).collect();
        return refuse(format!("the chip has no place `{place}`"), format!("it has {}", names.join(", ")));
    };
    let point = linkage_point(build, change, &normal(&chip.moves))?;
    let [x, y] = [(&found.x, "forward"), (&found.y, "upward")].map(|(fact, way)| {
        let label = format!("move of the {} {way} to the chip's place {}", chip.moves, found.name);
        build.changed(key, &label, fact)
    });
    let LinkagePoint::Listed(index) = point else { return Ok(Step::Move { point, x, y }) };
    let hole = build.linkage.as_ref().and_then(|built| {
        let joint = built.linkage.layout.joints.iter().position(|joint| joint.point == index)?;
        let part = chip.part.as_ref()?;
        Some((&built.linkage, joint, built.parts.iter().position(|known| known == part)?))
    });
    let Some((drawn, joint, body)) = hole else { return Ok(Step::Move { point, x, y }) };
    let plain = drawn.map(|number| number.value);
    match plain.rehung(joint, body, x.value, y.value) {
        Ok(_) => Ok(Step::Hole { joint, body, x, y }),
        Err(Stuck::TooMany { .. }) => refuse(
            "a chip at a pivot of so many parts cannot be worked out".to_owned(),
            "write a second record for the other place".to_owned(),
        ),
        Err(_) => refuse(
            format!("with `{}` there the parts do not reach each other", chip.moves),
            "check the points of the linkage and how far the chip moves".to_owned(),
        ),
    }
}

/// Each change's share of every difference. What moves nothing has no share in anything (the null player of Shapley's axioms), and
/// twice as many subsets for each such change would be computed for nothing.
fn shares(before: &Bike<f64>, linkage: Option<&Linkage<f64>>, steps: &[Step<f64>]) -> Vec<Quantities<f64>> {
    let moves = |step: &&Step<f64>| !matches!(step, Step::Nothing);
    let movers: Vec<Step<f64>> = steps.iter().filter(moves).copied().collect();
    let mut shares = shapley(movers.len(), |mask| {
        let (bike, linkage) = before.after_on(linkage, &subset(&movers, mask));
        evaluate(&bike, linkage.as_ref())
    })
    .into_iter();
    // Not a number where the quantity is none.
    let nothing = evaluate(before, linkage).map(|value| if value.is_finite() { 0.0 } else { f64::NAN });
    steps.iter().map(|step| if moves(&step) { shares.next().unwrap_or(nothing) } else { nothing }).collect()
}

fn subset(steps: &[Step<f64>], mask: usize) -> Vec<Step<f64>> {
    steps.iter().enumerate().filter(|(index, _)| mask >> index & 1 == 1).map(|(_, step)| *step).collect()
}

fn revision(case: &Case<'_>, index: usize, change: &Change, earlier: &[Step<f64>]) -> Revision {
    let (before, after, unit) = match change {
        Change::Number { property, by, amount } => {
            let factor = property.dimension.edge_factor();
            // A step starts from what the revisions before it left; what nobody has touched yet is shown as the record
            // says it, not as the solved chart does.
            let claimed = claim::place(&case.question.changes) == Some(index);
            let earlier = if claimed { &[] } else { earlier };
            let start = case.before.after_on(case.linkages[0], earlier).0;
            let old = property.parameter().map_or(f64::NAN, |parameter| {
                let (now, first) = (*start.get(parameter), *case.before.get(parameter));
                told(&case.question.record, &property.key).filter(|_| now == first).unwrap_or(now)
            });
            // What moves nothing has no parameter and is as the record says.
            let old = if property.parameter().is_some() {
                old
            } else {
                told(&case.question.record, &property.key).unwrap_or(f64::NAN)
            };
            let record = &case.question.record;
            let tyre_says = match property.key.as_str() {
                "wheel.front.radius" => record.front_tyre.is_some(),
                "wheel.rear.radius" => record.rear_tyre.is_some(),
                _ => false,
            };
            let known =
                record.fact(&property.key).is_some() || tyre_says || !is_placeholder(case, &property.key);
            let new = if *by { old + amount.value } else { amount.value };
            let say = |value: f64, known: bool| {
                if known && value.is_finite() { plain(value / factor) } else { "?".to_owned() }
            };
            (say(old, known), say(new, known || !by), property.dimension.edge_unit())
        }
        Change::Tyre { wheel, tyre } => {
            let old = match wheel {
                knockon_engine::change::Wheel::Front => &case.question.record.front_tyre,
                knockon_engine::change::Wheel::Rear => &case.question.record.rear_tyre,
            };
            (old.as_ref().map_or_else(|| "?".to_owned(), ToString::to_string), tyre.to_string(), "")
        }
        Change::Point { amount, .. } => ("0".to_owned(), plain(amount.value), "mm"),
        Change::Series { row, series } => {
            let was = case.question.record.series.get(row.key.as_str());
            (was.map_or_else(|| "?".to_owned(), ToString::to_string), series.to_string(), "")
        }
        Change::End { end, standard } => {
            let was = case.question.record.ends.get(end.key.as_str());
            (was.map_or_else(|| "?".to_owned(), ToString::to_string), (*standard).to_owned(), "")
        }
        Change::NoIdler => ("on".to_owned(), "off".to_owned(), ""),
        Change::Chip { place } => {
            let chip = case.question.record.linkage.as_ref().and_then(|linkage| linkage.chip.as_ref());
            (chip.map_or_else(|| "?".to_owned(), |chip| chip.now.clone()), place.clone(), "")
        }
    };
    Revision { letter: letter(index), change: change.clone(), before, after, unit }
}

/// What the record says of a parameter; `None` when it is silent.
fn told(record: &Record, key: &str) -> Option<f64> {
    record.fact(key).map(|fact| fact.value)
}

fn is_placeholder(case: &Case<'_>, key: &str) -> bool {
    case.build.inputs.iter().any(|input| input.key == key && input.is_placeholder())
}

fn without(case: &Case<'_>, verdicts: &[Verdict], steps: &[Step<f64>]) -> Option<Without> {
    let changes = &case.question.changes;
    let broken: Vec<usize> = (0..changes.len())
        .filter(|index| {
            verdicts.iter().filter(|verdict| verdict.outcome == Outcome::DoesNotFit).any(|verdict| {
                verdict
                    .touched_by
                    .iter()
                    .any(|key| key == changes[*index].key() || key == changes[*index].subject())
            })
        })
        .collect();
    if broken.is_empty() || broken.len() == changes.len() {
        return None;
    }
    let rest: Vec<Step<f64>> = steps
        .iter()
        .enumerate()
        .filter(|(index, _)| !broken.contains(index))
        .map(|(_, step)| *step)
        .collect();
    let (after, linkage) = case.before.after_on(case.linkages[0], &rest);
    let (start, end) = (evaluate(case.before, case.linkages[0]), evaluate(&after, linkage.as_ref()));
    let differences = Quantity::ALL
        .iter()
        .map(|quantity| {
            (
                *quantity,
                (end[*quantity as usize] - start[*quantity as usize]) * knock_on::edge(quantity.dimension()),
            )
        })
        .filter(|(_, difference)| difference.is_finite())
        .collect();
    Some(Without { letters: broken.into_iter().map(letter).collect(), differences })
}

fn steerer_surplus(case: &Case<'_>) -> Option<(f64, f64)> {
    let row = Requirement::SteererLength as usize;
    let keys = &tables::requirements()[row].touched_by;
    let margins = &case.assessment.margins;
    let (surplus, pm) = (margins.value(row), margins.plus_minus(row));
    let known = !verdict::rests_on_placeholder(&case.judging(), row);
    (case.touches(keys) && known && surplus.is_finite() && surplus - pm > 1.0).then_some((surplus, pm))
}
