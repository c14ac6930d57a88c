//! Chart solving and data snooping against an adjustment that is written anew here, from plain trigonometry and a stacked
//! least-squares problem.

mod bikes;

use knockon_engine::bike::{Bike, Parameter};
use knockon_engine::chart::{CRITICAL, ChartError, Observes, Row, UNKNOWNS, solve, suspects};
use knockon_engine::geometry::Stance;
use knockon_engine::quantity::Quantity;
use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ContinuousCDF, Normal};

/// Baarda's critical value is the two-sided normal quantile at α = 0.001 (attribution from memory); the quantile itself
/// comes from a statistics library here.
#[test]
fn critical_value() {
    let normal = Normal::standard();
    assert!((normal.inverse_cdf(1.0 - 0.001 / 2.0) - CRITICAL).abs() < 1e-9);
    assert!((2.0 * (1.0 - normal.cdf(CRITICAL)) - 0.001).abs() < 1e-12);
}

const MILLIMETRE: f64 = 0.288_675_134_594_812_9;

/// A chart of the bike, as a maker would print it: rounded to whole millimetres and tenths of a degree.
fn chart(bike: &Bike<f64>) -> Vec<Row> {
    let printed = |observes: Observes, step: f64| {
        let value = (predict(observes, &unknowns(bike)) / step).round() * step;
        Row { observes, value, uncertainty: step * MILLIMETRE }
    };
    let mut rows: Vec<Row> = UNKNOWNS
        .iter()
        .filter(|unknown| {
            !matches!(unknown, Parameter::FrontRadius | Parameter::RearRadius | Parameter::SectionRatio)
        })
        .map(|unknown| match unknown {
            Parameter::HeadAngle | Parameter::SeatAngle => {
                printed(Observes::Parameter(*unknown), 0.1_f64.to_radians())
            }
            _ => printed(Observes::Parameter(*unknown), 1.0),
        })
        .collect();
    for quantity in [
        Quantity::Wheelbase,
        Quantity::FrontCentre,
        Quantity::BottomBracketHeight,
        Quantity::EffectiveTopTube,
        Quantity::Trail,
    ] {
        rows.push(printed(Observes::Quantity(quantity), 1.0));
    }
    let width = bike.front_radius - 311.0;
    rows.push(Row {
        observes: Observes::FrontTyre { bead_seat_radius: 311.0 },
        value: width,
        uncertainty: 0.75,
    });
    let width = bike.rear_radius - 311.0;
    rows.push(Row {
        observes: Observes::RearTyre { bead_seat_radius: 311.0 },
        value: width,
        uncertainty: 0.75,
    });
    rows.push(Row { observes: Observes::Parameter(Parameter::SectionRatio), value: 1.0, uncertainty: 0.03 });
    rows
}

fn unknowns(bike: &Bike<f64>) -> [f64; 13] {
    UNKNOWNS.map(|unknown| *bike.get(unknown))
}

/// What a level bike shows in a row, by plane trigonometry from bottom bracket to axles.
fn predict(observes: Observes, x: &[f64; 13]) -> f64 {
    let [stack, reach, ha, sa, head_tube, lower, length, offset, chainstay, drop, front, rear, ratio] = *x;
    // Level, the front axle lies drop + front − rear above the bottom bracket.
    let down = head_tube + lower + length;
    let front_x = reach + down * ha.cos() + offset * ha.sin();
    let front_y = stack - down * ha.sin() + offset * ha.cos();
    match observes {
        Observes::Parameter(parameter) => {
            x[UNKNOWNS.iter().position(|unknown| *unknown == parameter).unwrap()]
        }
        Observes::AxleToCrownStraight => length.hypot(offset),
        // Tyres of more than 28 mm: as high as they are wide.
        Observes::FrontTyre { bead_seat_radius } => (front - bead_seat_radius) / ratio,
        Observes::RearTyre { bead_seat_radius } => (rear - bead_seat_radius) / ratio,
        Observes::Quantity(Quantity::Wheelbase) => {
            let apart = (front_x + (chainstay.powi(2) - drop.powi(2)).sqrt()).hypot(front_y - drop);
            (apart.powi(2) - (front - rear).powi(2)).sqrt()
        }
        Observes::Quantity(Quantity::FrontCentre) => front_x.hypot(front_y),
        Observes::Quantity(Quantity::BottomBracketHeight) => rear - drop,
        Observes::Quantity(Quantity::EffectiveTopTube) => reach + stack / sa.tan(),
        Observes::Quantity(Quantity::Trail) => (front * ha.cos() - offset) / ha.sin(),
        Observes::Quantity(other) => panic!("{} is not in these charts", other.id()),
    }
}

/// How far the front axle is from where a level bike has it, mm.
fn off_level(x: &[f64; 13]) -> f64 {
    let [stack, _, ha, _, head_tube, lower, length, offset, _, drop, front, rear, _] = *x;
    stack - (head_tube + lower + length) * ha.sin() + offset * ha.cos() - drop - (front - rear)
}

struct Adjusted {
    values: [f64; 13],
    normalised: Vec<f64>,
    redundancy: f64,
    chi_squared: f64,
}

/// Weighted least squares by singular values of the stacked problem; the level condition is one more observation that is
/// known to a hundred-thousandth of a millimetre. Derivatives by central differences.
fn adjust(rows: &[Row]) -> Adjusted {
    let mut x = UNKNOWNS.map(|unknown| {
        let row = rows.iter().find(|row| row.observes.unknown() == Some(unknown)).unwrap();
        match row.observes {
            Observes::FrontTyre { bead_seat_radius } | Observes::RearTyre { bead_seat_radius } => {
                bead_seat_radius + row.value
            }
            _ => row.value,
        }
    });
    let model = |x: &[f64; 13]| {
        let weighted = rows.iter().map(|row| predict(row.observes, x) / row.uncertainty);
        DVector::from_iterator(rows.len() + 1, weighted.chain([off_level(x) / 1e-5]))
    };
    let observed = rows.iter().map(|row| row.value / row.uncertainty).chain([0.0]);
    let observed = DVector::from_iterator(rows.len() + 1, observed);
    let mut hat = DMatrix::zeros(0, 0);
    for _ in 0..8 {
        let mut jacobian = DMatrix::zeros(rows.len() + 1, 13);
        for column in 0..13 {
            let by = if x[column] < 10.0 { 1e-5 } else { 1e-2 };
            let (mut more, mut less) = (x, x);
            (more[column], less[column]) = (x[column] + by, x[column] - by);
            jacobian.set_column(column, &((model(&more) - model(&less)) / (2.0 * by)));
        }
        let sizes: Vec<f64> = jacobian.column_iter().map(|column| column.norm()).collect();
        for (column, size) in sizes.iter().enumerate() {
            jacobian.column_mut(column).scale_mut(size.recip());
        }
        let misclosure = &observed - model(&x);
        let svd = jacobian.svd(true, true);
        let step = svd.solve(&misclosure, 0.0).unwrap();
        for (column, size) in sizes.iter().enumerate() {
            x[column] += step[column] / size;
        }
        let left = svd.u.unwrap();
        hat = &left * left.transpose();
    }
    let residuals = &observed - model(&x);
    let shares: Vec<f64> = (0..rows.len()).map(|row| 1.0 - hat[(row, row)]).collect();
    Adjusted {
        values: x,
        normalised: shares.iter().enumerate().map(|(row, share)| residuals[row] / share.sqrt()).collect(),
        redundancy: shares.iter().sum(),
        chi_squared: residuals.rows(0, rows.len()).norm_squared(),
    }
}

fn index(rows: &[Row], parameter: Parameter) -> usize {
    rows.iter().position(|row| row.observes.unknown() == Some(parameter)).unwrap()
}

fn quantity_index(rows: &[Row], quantity: Quantity) -> usize {
    rows.iter().position(|row| row.observes == Observes::Quantity(quantity)).unwrap()
}

#[test]
fn two_adjustments_agree() {
    for (name, bike) in bikes::bikes() {
        let mut rows = chart(&bike);
        for (parameter, error) in
            [(Parameter::Stack, 0.0), (Parameter::Stack, 12.0), (Parameter::Chainstay, 9.0)]
        {
            let at = index(&rows, parameter);
            rows[at].value += error;
            let (solved, expected) = (solve(&rows).unwrap(), adjust(&rows));
            for (unknown, (value, other)) in UNKNOWNS.iter().zip(solved.values.iter().zip(expected.values)) {
                assert!((value - other).abs() < 1e-5, "{name} {unknown:?}: {value} {other}");
                assert_eq!(solved.value(*unknown), Some(*value));
            }
            for (at, check) in solved.checks.iter().enumerate() {
                let (value, other) = (check.normalised.unwrap(), expected.normalised[at]);
                assert!(
                    (value - other).abs() < 1e-5 * other.abs().max(10.0),
                    "{name} row {at}: {value} {other}"
                );
                let fitted = predict(rows[at].observes, &solved.values);
                assert!((check.fitted - fitted).abs() < 1e-9, "{name} row {at}");
                assert!((check.residual - (rows[at].value - fitted)).abs() < 1e-9, "{name} row {at}");
            }
            assert!((solved.redundancy - expected.redundancy).abs() < 1e-5, "{name}");
            // 18 rows and one condition for 13 unknowns.
            assert!((solved.redundancy - (rows.len() as f64 + 1.0 - 13.0)).abs() < 1e-6, "{name}");
            assert!((solved.chi_squared / expected.chi_squared - 1.0).abs() < 1e-5, "{name}");
        }
    }
}

#[test]
fn unknowns_move_with_their_rows_as_a_second_solution_says() {
    let (_, bike) = bikes::bikes()[0];
    let rows = chart(&bike);
    let solved = solve(&rows).unwrap();
    for at in 0..rows.len() {
        let (mut more, mut less) = (rows.clone(), rows.clone());
        more[at].value += rows[at].uncertainty * 0.1;
        less[at].value -= rows[at].uncertainty * 0.1;
        let (more, less) = (adjust(&more), adjust(&less));
        for (unknown, parameter) in UNKNOWNS.iter().enumerate() {
            let expected = (more.values[unknown] - less.values[unknown]) / 0.2;
            // A tyre's row is not quite linear in radius and ratio.
            let off = (solved.movement[(unknown, at)] - expected).abs();
            assert!(off < 2e-3, "{parameter:?} by row {at}: {expected}");
        }
    }
}

#[test]
fn a_rounded_chart_has_no_suspects_and_a_wrong_stack_is_one() {
    for (name, bike) in bikes::bikes() {
        let mut rows = chart(&bike);
        assert_eq!(suspects(&rows).unwrap(), [], "{name}");
        let stack = index(&rows, Parameter::Stack);
        let right = rows[stack].value;
        rows[stack].value += 12.0;
        let found = suspects(&rows).unwrap();
        let first = &found[0];
        assert!(first.row == stack || first.alike.contains(&stack), "{name}: {first:?}");
        assert!(first.normalised.abs() > CRITICAL);
        if first.row == stack {
            // Without the row, the others say what it should have been.
            let (expected, uncertainty) = first.expected;
            assert!((expected - right).abs() < 3.0 * uncertainty.hypot(MILLIMETRE), "{name}: {first:?}");
            assert_eq!(found.len(), 1, "{name}: {found:?}");
        }
    }
}

#[test]
fn the_effective_top_tube_tells_a_wrong_stack_from_a_wrong_fork() {
    // On the trail bike effective top tube and level condition both speak against the stack, and nothing else is in both.
    let (_, bike) = bikes::bikes()[0];
    let mut rows = chart(&bike);
    let stack = index(&rows, Parameter::Stack);
    rows[stack].value += 12.0;
    let found = suspects(&rows).unwrap();
    assert_eq!((found[0].row, found.len()), (stack, 1), "{found:?}");
    assert_eq!(found[0].alike, []);
}

#[test]
fn the_solution_stands_level_although_the_rows_disagree() {
    for (name, bike) in bikes::bikes() {
        for error in [-30.0, -12.0, 12.0, 30.0] {
            let mut rows = chart(&bike);
            let stack = index(&rows, Parameter::Stack);
            rows[stack].value += error;
            let solved = solve(&rows).unwrap();
            let mut level = Bike::unknown();
            for (unknown, value) in UNKNOWNS.iter().zip(solved.values) {
                *level.get_mut(*unknown) = value;
            }
            let turn = Stance::new(&level, 0.0).turn;
            assert!(turn.abs() < 1e-9, "{name}: {turn}");
            assert!(off_level(&solved.values).abs() < 1e-9, "{name}");
        }
    }
}

/// Without rows to spare, the level condition alone checks those that stand in it; nothing checks the others.
#[test]
fn a_row_that_nothing_checks_says_so() {
    let (_, bike) = bikes::bikes()[0];
    let rows: Vec<Row> = chart(&bike).into_iter().filter(|row| row.observes.unknown().is_some()).collect();
    assert_eq!(rows.len(), 13);
    let solved = solve(&rows).unwrap();
    assert!((solved.redundancy - 1.0).abs() < 1e-9);
    for parameter in [Parameter::Reach, Parameter::SeatAngle, Parameter::Chainstay] {
        assert_eq!(solved.checks[index(&rows, parameter)].normalised, None, "{parameter:?}");
    }
    for parameter in [Parameter::Stack, Parameter::HeadTube, Parameter::BottomBracketDrop] {
        assert!(solved.checks[index(&rows, parameter)].normalised.is_some(), "{parameter:?}");
    }
    // An unknown stack takes up whatever the condition could have said.
    let mut free = rows;
    let stack = index(&free, Parameter::Stack);
    free[stack].uncertainty = 1e5;
    let solved = solve(&free).unwrap();
    for (at, check) in solved.checks.iter().enumerate().filter(|(at, _)| *at != stack) {
        assert_eq!(check.normalised, None, "row {at}");
    }
}

#[test]
fn rows_that_cannot_be_told_apart_are_named_together() {
    let (_, bike) = bikes::bikes()[0];
    // Without the bottom bracket's height and the trail, which would tell them apart.
    let rows: Vec<Row> = chart(&bike)
        .into_iter()
        .filter(|row| {
            let dropped = [Quantity::BottomBracketHeight, Quantity::Trail];
            !dropped.iter().any(|quantity| row.observes == Observes::Quantity(*quantity))
        })
        .collect();
    let solved = solve(&rows).unwrap();
    let (wheelbase, chainstay) =
        (quantity_index(&rows, Quantity::Wheelbase), index(&rows, Parameter::Chainstay));
    assert_eq!(solved.alike(wheelbase), [chainstay]);
    assert_eq!(solved.alike(chainstay), [wheelbase]);
    let mut group = [Parameter::AxleToCrown, Parameter::HeadTube, Parameter::LowerStack]
        .map(|row| index(&rows, row))
        .to_vec();
    group.sort_unstable();
    for row in &group {
        let mut together = solved.alike(*row);
        together.push(*row);
        together.sort_unstable();
        assert_eq!(together, group);
    }
    // So a wrong wheelbase is reported with the chainstay beside it.
    let mut wrong = rows;
    wrong[wheelbase].value += 12.0;
    let found = suspects(&wrong).unwrap();
    let mut named = found[0].alike.clone();
    named.push(found[0].row);
    named.sort_unstable();
    let mut expected = vec![wheelbase, chainstay];
    expected.sort_unstable();
    assert_eq!(named, expected, "{found:?}");
}

#[test]
fn two_rows_of_one_unknown_may_both_be_suspects() {
    let (_, bike) = bikes::bikes()[0];
    let mut rows = chart(&bike);
    let stack = index(&rows, Parameter::Stack);
    rows[stack].value += 40.0;
    rows.push(Row { value: rows[stack].value + 30.0, ..rows[stack] });
    let found: Vec<usize> = suspects(&rows).unwrap().iter().map(|suspect| suspect.row).collect();
    assert!(found.contains(&stack) && found.contains(&(rows.len() - 1)), "{found:?}");
}

#[test]
fn an_unknown_without_a_row_is_named() {
    let (_, bike) = bikes::bikes()[0];
    for unknown in UNKNOWNS {
        let rows: Vec<Row> =
            chart(&bike).into_iter().filter(|row| row.observes.unknown() != Some(unknown)).collect();
        assert_eq!(solve(&rows).unwrap_err(), ChartError::Undetermined(unknown));
    }
}
