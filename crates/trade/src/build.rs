//! A record completed to numbers: the solved chart, the declared assumptions, and every input by name.

use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::change::Step;
use knockon_engine::chart::{self, ChartError, Observes, Row, Solved, Suspect, UNKNOWNS};
use knockon_engine::tolerance::Uncertain;

use crate::fact::{Fact, Known};
use crate::linkage::{self, BuiltLinkage, LinkageError};
use crate::record::{ForkMeasured, Kind, Record};
use crate::tables::{self, Assumption};
use crate::units::Dimension;

/// One independent input: a fact of the record, or an assumption where it is silent.
#[derive(Clone, Debug)]
pub struct Input {
    /// Key in the record.
    pub key: String,
    /// Name in a sentence.
    pub label: String,
    /// Value, mm or radians.
    pub value: f64,
    /// Standard uncertainty.
    pub uncertainty: f64,
    /// Where it comes from.
    pub origin: Origin,
}

/// Where an input comes from.
#[derive(Clone, Copy, Debug)]
pub enum Origin {
    /// The record.
    Record(Known),
    /// A row of the table of assumptions.
    Assumed(&'static Assumption),
    /// A change's new value or step.
    Change,
}

impl Input {
    /// Whether it is only a placeholder for a fact that nobody has told.
    pub fn is_placeholder(&self) -> bool {
        matches!(self.origin, Origin::Assumed(assumption) if !assumption.convention)
    }
}

/// One row of the chart, as the audit shows it.
#[derive(Clone, Debug)]
pub struct ChartRow {
    /// Key in the record.
    pub key: String,
    /// Name in a table.
    pub label: String,
    /// What the engine was given.
    pub row: Row,
    /// Index of its input.
    pub input: usize,
}

/// A record completed to numbers.
#[derive(Clone, Debug)]
pub struct Build {
    /// The bike; every number moves with the inputs.
    pub bike: Bike<Uncertain>,
    /// The inputs that the numbers move with.
    pub inputs: Vec<Input>,
    /// The rear linkage, where the record has one.
    pub linkage: Option<BuiltLinkage>,
    /// How fork lengths are told for this bike; a new fork's is told in the same way.
    pub fork_measured: Option<ForkMeasured>,
    /// The rows that the chart was solved from, assumptions included.
    pub chart: Vec<ChartRow>,
    /// The solved chart.
    pub solved: Solved,
    /// Rows that the others speak against.
    pub suspects: Vec<Suspect>,
    /// Factor by which a chart that contradicts itself widens its own tolerance; 1 when it does not.
    pub widened: f64,
}

/// Why a record describes no possible bike.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BuildError {
    /// Its chart cannot be.
    #[error("the record's chart cannot be solved: {0}")]
    Chart(#[from] ChartError),
    /// Its linkage cannot be.
    #[error("the record's linkage cannot be put together: {0}")]
    Linkage(#[from] LinkageError),
}

impl BuildError {
    /// How to mend it.
    pub fn help(&self) -> String {
        match self {
            BuildError::Chart(_) => "check stack, reach, angles and lengths for a slip of the pen".to_owned(),
            BuildError::Linkage(_) => "check the points and distances of the linkage".to_owned(),
        }
    }
}

impl Build {
    /// Completes a record.
    ///
    /// # Errors
    /// When the chart's rows, or the linkage's points and distances, describe no possible bike.
    pub fn new(record: &Record) -> Result<Build, BuildError> {
        let mut builder = Builder {
            record,
            inputs: Vec::new(),
            bike: Bike::unknown().map(|&value| Uncertain::exact(value)),
        };
        let chart = builder.chart_rows();
        let rows: Vec<Row> = chart.iter().map(|row| row.row).collect();
        let solved = chart::solve(&rows)?;
        let suspects = chart::suspects(&rows)?;
        // A chart that contradicts itself is not as good as its rounding says (Birge's ratio).
        let widened = if suspects.is_empty() || solved.redundancy <= 0.0 {
            1.0
        } else {
            (solved.chi_squared / solved.redundancy).sqrt().max(1.0)
        };
        for (index, parameter) in UNKNOWNS.iter().enumerate() {
            let moves = (0..rows.len())
                .map(|row| (chart[row].input, solved.movement[(index, row)] * widened))
                .filter(|(_, by)| *by != 0.0)
                .collect();
            *builder.bike.get_mut(*parameter) = Uncertain { value: solved.values[index], moves };
        }
        builder.other_parameters();
        builder.standover();
        let Builder { bike, mut inputs, .. } = builder;
        let linkage = linkage::complete(record, &bike, &mut inputs)?;
        let fork_measured = record.axle_to_crown_measured;
        let mut build = Build { bike, inputs, linkage, fork_measured, chart, solved, suspects, widened };
        if let Some([least, most]) = record.axle_to_crown_allowed {
            // The frame's maker is taken to measure forks as the record does.
            build.bike.axle_to_crown_least = build.fork_along_axis(Uncertain::exact(least));
            build.bike.axle_to_crown_most = build.fork_along_axis(Uncertain::exact(most));
        }
        Ok(build)
    }

    /// A new fork's length along the axis, told in the same way as the record's own: both were measured straight, or along
    /// the axis, or nobody knows, and then the midpoint of the two readings is taken.
    pub fn fork_along_axis(&self, told: Uncertain) -> Uncertain {
        let along = along_axis(told.value, self.bike.fork_offset.value);
        let value = match self.fork_measured {
            Some(ForkMeasured::AlongAxis) => return told,
            Some(ForkMeasured::Straight) => along,
            None => f64::midpoint(told.value, along),
        };
        Uncertain { value, ..told }
    }

    /// The other way: a length along the axis, told as the record tells fork lengths.
    pub fn fork_as_told(&self, along: f64) -> f64 {
        let straight = along.hypot(self.bike.fork_offset.value);
        match self.fork_measured {
            Some(ForkMeasured::AlongAxis) => along,
            Some(ForkMeasured::Straight) => straight,
            None => f64::midpoint(along, straight),
        }
    }

    /// Distance between neighbouring cogs of a cassette that is not on the bike yet, with an input of its own.
    pub fn spacing_of(&mut self, cogs: usize, label: &str) -> Uncertain {
        let row = tables::assumptions()
            .iter()
            .find(|row| row.key == "drivetrain.cog_spacing" && row.cogs == Some(cogs));
        let Some(row) = row else { return Uncertain::exact(f64::NAN) };
        self.inputs.push(Input {
            key: row.key.clone(),
            label: label.to_owned(),
            value: row.value,
            uncertainty: row.pm / 2.0,
            origin: Origin::Assumed(row),
        });
        moving(row.value, row.pm / 2.0, self.inputs.len() - 1)
    }

    /// Adds an input for a change and returns the number that moves with it.
    pub fn changed(&mut self, key: &str, label: &str, amount: &Fact) -> Uncertain {
        self.inputs.push(Input {
            key: key.to_owned(),
            label: label.to_owned(),
            value: amount.value,
            uncertainty: amount.uncertainty,
            origin: Origin::Change,
        });
        moving(amount.value, amount.uncertainty, self.inputs.len() - 1)
    }
}

/// The bike with the tolerance left out of what nothing known hangs on after these steps: of gears that nobody has told, of what they
/// ask of a rider whose weight is not known, of rotors that there are not. It moves no figure, and need not be carried through all of them.
pub fn held_still(bike: &Bike<Uncertain>, steps: &[Step<Uncertain>]) -> Bike<Uncertain> {
    use Parameter as P;
    let told = |parameter: P| {
        bike.get(parameter).value.is_finite() || steps.iter().any(|step| step.touches(parameter))
    };
    let geared = told(P::RingLargest) || steps.iter().any(|step| matches!(step, Step::Row { .. }));
    let idle: [(bool, &[P]); 3] = [
        (
            !geared,
            &[
                P::RingSpacing,
                P::CogSpacing,
                P::FrontChainline,
                P::RearChainline,
                P::ChainGrowth,
                P::ClimbingCadence,
            ],
        ),
        (!geared || !told(P::RiderMass), &[P::RiderPower, P::Rolling, P::DragArea]),
        (!told(P::FrontRotor) && !told(P::RearRotor), &[P::PadHeight]),
    ];
    let mut still = bike.clone();
    for parameter in idle.iter().filter(|(idle, _)| *idle).flat_map(|(_, parameters)| *parameters) {
        still.get_mut(*parameter).moves.clear();
    }
    if !told(P::RiderMass) {
        still.pressure_rule.moves.clear();
    }
    still
}

/// Axle to crown along the axis for a length that was measured straight.
fn along_axis(straight: f64, offset: f64) -> f64 {
    (straight.powi(2) - offset.powi(2)).max(0.0).sqrt()
}

fn moving(value: f64, uncertainty: f64, input: usize) -> Uncertain {
    let moves = if uncertainty > 0.0 { vec![(input, uncertainty)] } else { Vec::new() };
    Uncertain { value, moves }
}

/// The smallest uncertainty that a chart row can claim: a hundredth of a millimetre or of a milliradian, so that a row
/// with a tolerance of zero does not break the weights.
fn sharpest(key: &str) -> f64 {
    let plain = key == "wheel.section_ratio";
    let angle = tables::property(key).is_some_and(|property| property.dimension == Dimension::Angle);
    if plain || angle { 1e-5 } else { 1e-2 }
}

struct Builder<'a> {
    record: &'a Record,
    inputs: Vec<Input>,
    bike: Bike<Uncertain>,
}

impl Builder<'_> {
    fn input(&mut self, key: &str, label: &str, value: f64, uncertainty: f64, origin: Origin) -> usize {
        self.inputs.push(Input { key: key.to_owned(), label: label.to_owned(), value, uncertainty, origin });
        self.inputs.len() - 1
    }

    fn assumption(&self, key: &str) -> Option<&'static Assumption> {
        let kind = self.record.kind.map(Kind::word);
        let cogs = self.record.cogs();
        tables::assumptions()
            .iter()
            .filter(|row| row.key == key && (row.kind.is_none() || row.kind.as_deref() == kind))
            .filter(|row| row.cogs.is_none() || row.cogs == cogs)
            .find(|row| {
                let fact = |plus: &String| self.record.fact(plus).is_some_and(|fact| fact.value > 0.0);
                row.plus.as_ref().is_none_or(fact)
            })
    }

    /// Every row that says something about the chart's unknowns: the record's, and priors where it has none.
    fn chart_rows(&mut self) -> Vec<ChartRow> {
        let mut rows = Vec::new();
        for property in tables::properties() {
            let unknown = property.parameter().filter(|parameter| UNKNOWNS.contains(parameter));
            let observed = property.observes();
            if unknown.is_none() && observed.is_none() {
                continue;
            }
            let key = property.key.as_str();
            let tyre = match key {
                "wheel.front.radius" => self.record.front_tyre.clone(),
                "wheel.rear.radius" => self.record.rear_tyre.clone(),
                _ => None,
            };
            if let Some(fact) = self.record.fact(key).cloned() {
                let observes = match (unknown, observed) {
                    (Some(parameter), _) => Observes::Parameter(parameter),
                    (None, Some(quantity)) => Observes::Quantity(quantity),
                    (None, None) => continue,
                };
                let (observes, value, uncertainty) = self.fork_reading(key, observes, &fact);
                self.push_row(
                    &mut rows,
                    key,
                    &property.label,
                    observes,
                    value,
                    uncertainty,
                    Origin::Record(fact.known),
                );
            } else if let Some(tyre) = tyre {
                let bead_seat_radius = tyre.bead_seat_radius();
                let (observes, tyre_key) = if key == "wheel.front.radius" {
                    (Observes::FrontTyre { bead_seat_radius }, "wheel.front.tyre")
                } else {
                    (Observes::RearTyre { bead_seat_radius }, "wheel.rear.tyre")
                };
                let label =
                    format!("{} size", if key == "wheel.front.radius" { "Front tyre" } else { "Rear tyre" });
                let (value, uncertainty) = (tyre.width, tyre.width_uncertainty());
                self.push_row(
                    &mut rows,
                    tyre_key,
                    &label,
                    observes,
                    value,
                    uncertainty,
                    Origin::Record(Known::Published),
                );
            } else if let Some(parameter) = unknown {
                self.push_prior(&mut rows, key, &property.label, parameter);
            }
        }
        self.push_prior(&mut rows, "wheel.section_ratio", "Tyre height over width", Parameter::SectionRatio);
        rows
    }

    /// A fork length that was measured straight, or nobody knows how, is another observation than one along the axis.
    fn fork_reading(&self, key: &str, observes: Observes, fact: &Fact) -> (Observes, f64, f64) {
        if key != "fork.axle_to_crown" {
            return (observes, fact.value, fact.uncertainty);
        }
        match self.record.axle_to_crown_measured {
            Some(ForkMeasured::AlongAxis) => (observes, fact.value, fact.uncertainty),
            Some(ForkMeasured::Straight) => (Observes::AxleToCrownStraight, fact.value, fact.uncertainty),
            None => {
                // Midpoint of the two readings, with a rectangular uncertainty over their difference.
                let told = self.record.fact("fork.offset").map(|offset| offset.value);
                let assumed = || self.assumption("fork.offset").map(|row| row.value);
                let offset = told.or_else(assumed).unwrap_or(f64::NAN);
                let along = along_axis(fact.value, offset);
                let spread = (fact.value - along) / 12.0_f64.sqrt();
                (observes, f64::midpoint(fact.value, along), fact.uncertainty.hypot(spread))
            }
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn push_row(
        &mut self,
        rows: &mut Vec<ChartRow>,
        key: &str,
        label: &str,
        observes: Observes,
        value: f64,
        uncertainty: f64,
        origin: Origin,
    ) {
        let uncertainty = uncertainty.max(sharpest(key));
        let input = self.input(key, label, value, uncertainty, origin);
        rows.push(ChartRow {
            key: key.to_owned(),
            label: label.to_owned(),
            row: Row { observes, value, uncertainty },
            input,
        });
    }

    fn push_prior(&mut self, rows: &mut Vec<ChartRow>, key: &str, label: &str, parameter: Parameter) {
        let Some(assumption) = self.assumption(key) else { return };
        let factor = tables::property(key).map_or(1.0, |property| property.dimension.edge_factor());
        let added =
            assumption.plus.as_deref().and_then(|plus| self.record.fact(plus)).map_or(0.0, |fact| fact.value);
        let (value, pm) = (assumption.value * factor + added, assumption.pm * factor);
        self.push_row(
            rows,
            key,
            label,
            Observes::Parameter(parameter),
            value,
            pm / 2.0,
            Origin::Assumed(assumption),
        );
    }

    /// Every parameter that the chart does not determine.
    fn other_parameters(&mut self) {
        for property in tables::properties() {
            let Some(parameter) = property.parameter().filter(|parameter| !UNKNOWNS.contains(parameter))
            else {
                continue;
            };
            let fact = self.record.fact(&property.key).map(|fact| (fact.value, fact.uncertainty, fact.known));
            if let Some((value, uncertainty, known)) = fact {
                // Teeth and pieces are counted, not rounded.
                let counted = property.dimension.is_counted();
                let uncertainty = if counted { 0.0 } else { uncertainty };
                let input =
                    self.input(&property.key, &property.label, value, uncertainty, Origin::Record(known));
                *self.bike.get_mut(parameter) = moving(value, uncertainty, input);
            } else {
                self.assume(&property.key, &property.label, parameter, property.dimension.edge_factor());
            }
        }
        self.assume("shock.leverage_at_start", "Leverage at full extension", Parameter::LeverageAtStart, 1.0);
        self.assume(
            "shock.leverage_at_end",
            "Leverage at the end of the stroke",
            Parameter::LeverageAtEnd,
            1.0,
        );
        self.rows_of_gears();
        for (key, label, parameter) in [
            ("climb.rolling", "Rolling resistance", Parameter::Rolling),
            ("climb.drag_area", "Drag area of bike and rider", Parameter::DragArea),
            ("brake.pad_height", "Height of the brake pads", Parameter::PadHeight),
            ("wheel.pressure_rule", "What the rule for the pressure is worth", Parameter::PressureRule),
        ] {
            self.assume(key, label, parameter, 1.0);
        }
        self.assume("air.exponent", "Exponent of the air's pressure", Parameter::AirExponent, 1.0);
        for (parameter, key, tyre) in [
            (Parameter::FrontTyreWidth, "wheel.front.tyre", &self.record.front_tyre),
            (Parameter::RearTyreWidth, "wheel.rear.tyre", &self.record.rear_tyre),
        ] {
            if let Some(tyre) = tyre {
                // The marking's own input when the chart has it; a measured radius leaves the marking without one.
                let input = self.inputs.iter().position(|input| input.key == key);
                *self.bike.get_mut(parameter) = match input {
                    Some(input) => moving(tyre.width, tyre.width_uncertainty(), input),
                    None => Uncertain::exact(tyre.width),
                };
            }
        }
    }

    /// Teeth of rings and cogs, ratios of a hub gear: counted, so exact.
    fn rows_of_gears(&mut self) {
        use Parameter as P;
        let exact = Uncertain::exact;
        let bike = &mut self.bike;
        let rows = [
            ("drivetrain.ring_teeth", [P::RingSmallest, P::RingLargest], Some((P::RingCount, P::Ring))),
            ("drivetrain.cog_teeth", [P::CogSmallest, P::CogLargest], Some((P::CogCount, P::Cog))),
            ("drivetrain.inner_ratios", [P::InnerLowest, P::InnerHighest], None),
        ];
        for (key, [least, most], counted) in rows {
            let Some(series) = self.record.series.get(key) else { continue };
            *bike.get_mut(least) = exact(series.least());
            *bike.get_mut(most) = exact(series.most());
            if let (Some((count, on)), Some(number)) = (counted, series.count()) {
                *bike.get_mut(count) = exact(number as f64);
                if number == 1 && bike.get(on).value.is_nan() {
                    *bike.get_mut(on) = exact(series.most());
                }
            }
        }
        if bike.cog_count.value.is_nan()
            && let Some(cogs) = self.record.cogs()
        {
            bike.cog_count = exact(cogs as f64);
        }
        if bike.inner_lowest.value.is_nan() && self.record.series.contains_key("drivetrain.cog_teeth") {
            (bike.inner_lowest, bike.inner_highest) = (exact(1.0), exact(1.0));
        }
    }

    fn assume(&mut self, key: &str, label: &str, parameter: Parameter, factor: f64) {
        let Some(assumption) = self.assumption(key) else { return };
        let (value, uncertainty) = (assumption.value * factor, assumption.pm * factor / 2.0);
        let input = self.input(key, label, value, uncertainty, Origin::Assumed(assumption));
        *self.bike.get_mut(parameter) = moving(value, uncertainty, input);
    }

    /// Standover is told from the ground; the engine wants it from the bottom bracket.
    fn standover(&mut self) {
        let Some(fact) = self.record.fact("chart.standover") else { return };
        let (value, uncertainty, known) = (fact.value, fact.uncertainty, fact.known);
        let input = self.input("chart.standover", "Standover", value, uncertainty, Origin::Record(known));
        let (radius, drop) = (&self.bike.rear_radius, &self.bike.bottom_bracket_drop);
        let told = moving(value, uncertainty, input);
        let above = value - radius.value + drop.value;
        self.bike.standover_above = Uncertain::combined(above, [(&told, 1.0), (radius, -1.0), (drop, 1.0)]);
    }
}
