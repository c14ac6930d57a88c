//! Ten million combinations of cockpit and headset, exactly: the search through boxes, and beside it in the same run a plain nested loop over
//! the same engine and a NumPy program over the same formulas (`benches/peers/reach_for.py`).
//!
//! `cargo bench -p knockon-engine --bench search`. All three must keep the same combinations. The NumPy program is left out, and said to be,
//! where Python or NumPy is not there.

// A bench has a clock, an environment and prints, which the engine itself has not.
#![allow(clippy::disallowed_methods, clippy::disallowed_macros)]

use std::fmt::Write as _;
use std::io::Write as _;
use std::ops::ControlFlow;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use knockon_engine::bike::{Bike, Parameter as P};
use knockon_engine::change::Step;
use knockon_engine::cockpit::steerer_needed;
use knockon_engine::quantity::{Quantity, standing};
use knockon_engine::requirement::Allowances;
use knockon_engine::search::{Aim, Choice, Found, Slot, Wanted, search};

const ALLOW: Allowances = Allowances { same_clamp: 0.15, tyre_gap: 6.0, bottom_gap: 5.0 };
const DEPTH: usize = 3;
const RUNS: usize = 9;

/// Least spacers above the stem, mm.
const ABOVE: f64 = 5.0;

/// A trail bike as its owner rides it: the invented demo's first.
fn bike() -> Bike<f64> {
    let mut bike = Bike::unknown();
    (bike.stack, bike.reach, bike.head_tube) = (616.0, 455.0, 115.0);
    (bike.head_angle, bike.seat_angle) = (64.5_f64.to_radians(), 77_f64.to_radians());
    (bike.chainstay, bike.bottom_bracket_drop) = (440.0, 28.0);
    (bike.axle_to_crown, bike.fork_offset, bike.fork_travel) = (556.0, 44.0, 160.0);
    (bike.lower_stack, bike.upper_stack, bike.headset_angle) = (1.0, 12.0, 0.0);
    (bike.front_radius, bike.rear_radius) = (372.0, 372.0);
    (bike.spacers_below, bike.spacers_above, bike.top_cap_gap) = (20.0, 5.0, 3.0);
    (bike.stem_length, bike.stem_angle, bike.stem_clamp_height) = (50.0, 0.0, 40.0);
    (bike.stem_bar_clamp, bike.bar_clamp) = (31.8, 31.8);
    (bike.bar_rise, bike.bar_width, bike.bar_bend) = (25.0, 780.0, 90.0);
    (bike.bar_back_sweep, bike.bar_up_sweep) = (8_f64.to_radians(), 5_f64.to_radians());
    (bike.bar_roll, bike.bar_reach, bike.hand_inset) = (0.0, 0.0, 60.0);
    (bike.crank_length, bike.saddle_height, bike.saddle_setback) = (170.0, 735.0, 60.0);
    bike.steerer_length = steerer_needed(&bike);
    bike
}

/// What can be chosen, as plain lists for whoever computes it otherwise.
struct Lists {
    spacers: Vec<f64>,
    lengths: Vec<f64>,
    angles: Vec<f64>,
    rises: Vec<f64>,
    widths: Vec<f64>,
    rolls: Vec<f64>,
    turns: Vec<f64>,
}

const PRICES: [(&str, f64); 4] = [("stem", 50.0), ("bar", 70.0), ("width", 70.0), ("headset", 80.0)];

fn lists() -> Lists {
    let steps =
        |from: i32, to: i32, by: f64| (from..=to).map(|step| f64::from(step) * by).collect::<Vec<f64>>();
    Lists {
        spacers: steps(0, 9, 2.0),
        lengths: vec![32.0, 35.0, 40.0, 45.0, 55.0, 60.0, 70.0, 80.0, 90.0, 100.0],
        angles: vec![-17.0, -10.0, -6.0, 0.0, 6.0, 10.0, 17.0],
        rises: vec![0.0, 5.0, 10.0, 15.0, 20.0, 30.0, 35.0, 40.0, 50.0, 60.0, 75.0],
        widths: vec![720.0, 740.0, 760.0, 800.0, 820.0],
        rolls: steps(-10, 10, 1.0).into_iter().filter(|roll| *roll != 0.0).collect(),
        turns: vec![-2.0, -1.5, -1.0, -0.5, 0.5, 1.0, 1.5, 2.0],
    }
}

fn slots(lists: &Lists) -> Vec<Slot> {
    let one = |parameter: P, value: f64, price: f64| Choice {
        steps: vec![Step::Set(parameter, value)],
        touched: 1,
        price,
    };
    let slot =
        |choices: Vec<Choice>| Slot { choices: std::iter::once(Choice::as_it_is()).chain(choices).collect() };
    let each = |parameter: P, values: &[f64], factor: f64, price: f64| {
        slot(values.iter().map(|value| one(parameter, value * factor, price)).collect())
    };
    let stems = lists.lengths.iter().flat_map(|length| {
        lists.angles.iter().map(|angle| Choice {
            steps: vec![Step::Set(P::StemLength, *length), Step::Set(P::StemAngle, angle.to_radians())],
            touched: 1,
            price: PRICES[0].1,
        })
    });
    let degree = 1_f64.to_radians();
    vec![
        each(P::SpacersBelow, &lists.spacers, 1.0, 0.0),
        slot(stems.collect()),
        each(P::BarRise, &lists.rises, 1.0, PRICES[1].1),
        each(P::BarWidth, &lists.widths, 1.0, PRICES[2].1),
        each(P::BarRoll, &lists.rolls, degree, 0.0),
        each(P::HeadsetAngle, &lists.turns, degree, PRICES[3].1),
    ]
}

fn aims(bike: &Bike<f64>) -> Vec<Aim> {
    let now = standing(bike);
    let aim = |quantity: Quantity, by: f64, pm: f64, scale: f64| {
        let at = now[quantity as usize] + by;
        Aim { quantity, range: [at - pm, at + pm], scale }
    };
    vec![
        aim(Quantity::GripStack, 17.3, 0.0, 5.0),
        aim(Quantity::GripReach, -4.1, 0.0, 5.0),
        aim(Quantity::GripWidth, 6.0, 0.0, 20.0),
        aim(Quantity::HeadAngle, -0.7_f64.to_radians(), 0.0, 0.5_f64.to_radians()),
    ]
}

/// What a combination is worth: squared miss, things touched, price.
type Worth = (f64, u32, f64);

/// Keeps those that fewer than [`DEPTH`] others are at least as good as.
fn offer(kept: &mut Vec<Worth>, new: Worth) {
    let dominates = |a: &Worth, b: &Worth| a.0 <= b.0 && a.1 <= b.1 && a.2 <= b.2 && a != b;
    if kept.iter().filter(|it| dominates(it, &new) || **it == new).nth(DEPTH - 1).is_some() {
        return;
    }
    kept.push(new);
    let all = kept.clone();
    kept.retain(|it| all.iter().filter(|other| dominates(other, it)).nth(DEPTH - 1).is_none());
}

/// Every combination by itself, each a whole bike.
fn nested(wanted: &Wanted<'_>) -> Vec<Worth> {
    let mut kept = Vec::new();
    let counts: Vec<usize> = wanted.slots.iter().map(|slot| slot.choices.len()).collect();
    let mut picks = vec![0; counts.len()];
    loop {
        let (mut bike, mut touched, mut price) = (*wanted.bike, 0, 0.0);
        for (slot, pick) in wanted.slots.iter().zip(&picks) {
            let choice = &slot.choices[*pick];
            if !choice.steps.is_empty() {
                bike = bike.after(&choice.steps);
            }
            touched += choice.touched;
            price += choice.price;
        }
        let mount_touched = picks[0] != 0 || picks[1] != 0;
        if mount_touched {
            bike.spacers_above = wanted.above_least;
        }
        if touched <= wanted.most_touched && steerer_needed(&bike) <= bike.steerer_length + 1e-6 {
            let quantities = standing(&bike);
            let miss =
                wanted.aims.iter().map(|aim| aim.miss(quantities[aim.quantity as usize]).powi(2)).sum();
            offer(&mut kept, (miss, touched, price));
        }
        let mut at = 0;
        loop {
            if at == counts.len() {
                return kept;
            }
            picks[at] += 1;
            if picks[at] < counts[at] {
                break;
            }
            picks[at] = 0;
            at += 1;
        }
    }
}

/// What the NumPy program is told.
fn told(bike: &Bike<f64>, lists: &Lists, aims: &[Aim], most: u32) -> String {
    let mut text = String::from("{\"bike\": {");
    let known = P::ALL.iter().filter(|parameter| bike.get(**parameter).is_finite());
    let fields: Vec<String> =
        known.map(|parameter| format!("\"{}\": {:?}", parameter.name(), bike.get(*parameter))).collect();
    let _ = write!(text, "{}}}", fields.join(", "));
    let named = [
        ("spacers", &lists.spacers),
        ("lengths", &lists.lengths),
        ("angles", &lists.angles),
        ("rises", &lists.rises),
        ("widths", &lists.widths),
        ("rolls", &lists.rolls),
        ("turns", &lists.turns),
    ];
    for (name, values) in named {
        let _ = write!(text, ", \"{name}\": {values:?}");
    }
    for (name, price) in PRICES {
        let _ = write!(text, ", \"{name}_price\": {price:?}");
    }
    let aims: Vec<String> = aims
        .iter()
        .map(|aim| {
            format!(
                "{{\"quantity\": \"{}\", \"range\": {:?}, \"scale\": {:?}}}",
                aim.quantity.id(),
                aim.range,
                aim.scale
            )
        })
        .collect();
    let _ = write!(
        text,
        ", \"aims\": [{}], \"above\": {ABOVE:?}, \"most\": {most}, \"depth\": {DEPTH}}}",
        aims.join(", ")
    );
    text
}

/// Time and result of the NumPy program; `None` where it cannot run.
fn numpy(input: &str) -> Option<(Duration, Vec<Worth>)> {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../../benches/peers/reach_for.py");
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let mut child =
        Command::new(python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().ok()?;
    child.stdin.take()?.write_all(input.as_bytes()).ok()?;
    let output = child.wait_with_output().ok().filter(|output| output.status.success())?;
    let text = String::from_utf8(output.stdout).ok()?;
    let mut lines = text.lines();
    let seconds: f64 = lines.next()?.parse().ok()?;
    let worths = lines.filter_map(|line| {
        let mut parts = line.split_whitespace();
        Some((parts.next()?.parse().ok()?, parts.next()?.parse().ok()?, parts.next()?.parse().ok()?))
    });
    Some((Duration::from_secs_f64(seconds), worths.collect()))
}

/// The same worths, in one order.
fn sorted(mut worths: Vec<Worth>) -> Vec<Worth> {
    worths.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.total_cmp(&b.2)));
    worths
}

fn alike(ours: &[Worth], theirs: &[Worth], whose: &str) {
    assert_eq!(ours.len(), theirs.len(), "{whose} keeps another number");
    for (a, b) in ours.iter().zip(theirs) {
        assert!(
            (a.0.sqrt() - b.0.sqrt()).abs() < 1e-6 && a.1 == b.1 && (a.2 - b.2).abs() < 1e-9,
            "{whose}: {a:?}, {b:?}"
        );
    }
}

/// A drawer of a thousand stems and three thousand bars, no two at one price: made of a fixed row of numbers that look random (Lehmer's
/// generator with the constants of Park and Miller, Communications of the ACM 31 (1988), 1192–1201, from memory).
fn drawer() -> Vec<Slot> {
    let mut state = 20_260_131_u64;
    let mut between = |least: f64, most: f64| {
        state = state * 16_807 % 2_147_483_647;
        least + (most - least) * (state as f64 / 2_147_483_647.0)
    };
    let mut slots =
        vec![Slot { choices: vec![Choice::as_it_is()] }, Slot { choices: vec![Choice::as_it_is()] }];
    for _ in 0..1000 {
        let steps = vec![
            Step::Set(P::StemLength, between(32.0, 120.0).round()),
            Step::Set(P::StemAngle, between(-17.0, 17.0).round().to_radians()),
        ];
        slots[0].choices.push(Choice {
            steps,
            touched: 1,
            price: (between(15.0, 120.0) * 100.0).round() / 100.0,
        });
    }
    for _ in 0..3000 {
        let steps = vec![
            Step::Set(P::BarRise, between(0.0, 75.0).round()),
            Step::Set(P::BarWidth, between(680.0, 820.0).round()),
            Step::Set(P::BarBackSweep, between(5.0, 16.0).round().to_radians()),
        ];
        slots[1].choices.push(Choice {
            steps,
            touched: 1,
            price: (between(20.0, 180.0) * 100.0).round() / 100.0,
        });
    }
    let spacers = (0..10).map(|step| Choice {
        steps: vec![Step::Set(P::SpacersBelow, f64::from(step) * 2.0)],
        touched: 1,
        price: 0.0,
    });
    slots.push(Slot { choices: std::iter::once(Choice::as_it_is()).chain(spacers).collect() });
    slots
}

/// The median of several runs of a search, and what it keeps.
fn timed(wanted: &Wanted<'_>) -> (Duration, Vec<Found>) {
    let mut found = Vec::new();
    let mut times: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let begun = Instant::now();
            found = search(wanted, &mut |_| ControlFlow::Continue(())).unwrap_or_default();
            begun.elapsed()
        })
        .collect();
    times.sort();
    (times[RUNS / 2], found)
}

fn main() {
    // `cargo test --benches` asks for nothing to be measured.
    if std::env::args().any(|argument| argument == "--test") {
        return;
    }
    let (bike, lists) = (bike(), lists());
    let (slots, aims) = (slots(&lists), aims(&bike));
    let most = 6;
    let wanted = Wanted {
        bike: &bike,
        linkage: None,
        slots: &slots,
        aims: &aims,
        allow: &ALLOW,
        above_least: ABOVE,
        most_touched: most,
        most_price: f64::INFINITY,
        depth: DEPTH,
    };
    let (ours, found) = timed(&wanted);
    let combinations = wanted.combinations();
    println!(
        "{combinations} combinations, the {} that fewer than {DEPTH} others are as good as",
        found.len()
    );
    println!("  search through boxes           {ours:>10.2?}  (median of {RUNS}, one thread)");
    // The first that is worth showing: a miss of less than half a noticeable step.
    let begun = Instant::now();
    let mut first = None;
    let _ = search(&wanted, &mut |progress| {
        if progress.least_miss < 0.5 && first.is_none() {
            first = Some(begun.elapsed());
        }
        ControlFlow::Continue(())
    });
    println!("  · first useful one             {:>10.2?}", first.unwrap_or(ours));
    let worths = sorted(found.iter().map(|it| (it.miss * it.miss, it.touched, it.price)).collect());
    match numpy(&told(&bike, &lists, &aims, most)) {
        Some((time, theirs)) => {
            alike(&worths, &sorted(theirs), "NumPy");
            println!(
                "  peer: NumPy                    {time:>10.2?}  ratio {:.4}",
                ours.as_secs_f64() / time.as_secs_f64()
            );
        }
        None => println!(
            "  peer: NumPy                    left out: no python3 with numpy here (set PYTHON to one)"
        ),
    }
    let begun = Instant::now();
    let theirs = nested(&wanted);
    let time = begun.elapsed();
    alike(&worths, &sorted(theirs), "the nested loop");
    println!(
        "  peer: nested loop, same engine {time:>10.2?}  ratio {:.4}",
        ours.as_secs_f64() / time.as_secs_f64()
    );
    let drawer = drawer();
    let wanted = Wanted { slots: &drawer, ..wanted };
    let (time, found) = timed(&wanted);
    println!(
        "{} combinations of a drawer where no two parts cost the same, {} kept",
        wanted.combinations(),
        found.len()
    );
    println!("  search through boxes           {time:>10.2?}");
}
