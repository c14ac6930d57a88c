//! From what was reached to words and rounded figures.

use std::cmp::Ordering;

use knockon_engine::quantity::Quantity;
use knockon_trade::backwards::choices::{LeftOut, price};
use knockon_trade::backwards::nearer::{Near, nearer as weigh};
use knockon_trade::backwards::wish::Target;
use knockon_trade::backwards::{Proposal, Reach, Reached as Answer, Thing};
use knockon_trade::findings::{edge, unit};
use knockon_trade::tables;
use knockon_trade::words::{join, lower_first, upper_first};

use super::{Heading, compose, figures, row_name};
use crate::backwards::{Done, Options, Proposed, Reached, Trial};
use crate::sheet::Note;
use crate::units::Units;

/// Composes the answer.
pub fn options(answer: &Answer, heading: &Heading) -> Options {
    let units = heading.units;
    let mut sources = Sources(Vec::new());
    // Of one alone it goes without saying.
    let several = answer.proposals.iter().filter(|proposal| proposal.as_good).count() > 1;
    let options: Vec<Proposed> = answer
        .proposals
        .iter()
        .zip(1..)
        .map(|(proposal, number)| proposed(proposal, number, several, heading))
        .collect();
    let mut cautions: Vec<(u32, Note)> = Vec::new();
    for proposal in &answer.proposals {
        for (caution, _) in &proposal.findings.cautions {
            if !cautions.iter().any(|(_, known)| known.text == caution.text) {
                let note = Note { text: caution.text.clone(), source: sources.number(&caution.source) };
                cautions.push((caution.rank, note));
            }
        }
    }
    cautions.sort_by_key(|(rank, _)| *rank);
    let (implied, said): (Vec<&Target>, Vec<&Target>) =
        answer.targets.iter().partition(|target| target.implied);
    let slots: Vec<String> =
        answer.slots.iter().map(|slot| format!("{} ({})", lower_first(slot.label), slot.choices)).collect();
    Options {
        bike: answer.bike.clone(),
        wanted: said.iter().map(|target| wanted(units, target)).collect(),
        stays: implied.iter().map(|target| label(target.quantity)).collect(),
        now: answer.now.iter().map(|reach| reached(units, reach)).collect(),
        weighed: format!(
            "{} combinations of {}, all of them weighed",
            grouped(answer.combinations),
            join(&slots)
        ),
        verdict: verdict(units, answer),
        options,
        left_out: left_out(units, answer),
        notes: answer.notes.clone(),
        cautions: cautions.into_iter().map(|(_, note)| note).collect(),
        rests_on: rests_on(answer, &mut sources),
        sources: sources.0,
    }
}

/// Which of two bikes comes nearer to what is wanted, in a sentence or two.
pub fn nearer(one: &Answer, other: &Answer) -> String {
    let possible = |answer: &Answer| answer.miss_now.is_some() || !answer.proposals.is_empty();
    match (possible(one), possible(other)) {
        (false, false) => return "Neither can be brought there.".to_owned(),
        (true, false) => return format!("{} alone can be brought there.", one.bike),
        (false, true) => return format!("{} alone can be brought there.", other.bike),
        (true, true) => {}
    }
    let Some(weighed) = weigh(one, other) else {
        return "They cannot be weighed against each other: nothing is wanted of both.".to_owned();
    };
    let how = |near: &Near| match near.proposal {
        Some(at) => format!("option {}", at + 1),
        None => "as it is".to_owned(),
    };
    let off = |near: &Near| format!("{:.1} ±{:.1}", near.miss, near.pm);
    let [a, b] = &weighed.bikes;
    let mut said = match weighed.order() {
        Ordering::Equal => format!(
            "Both come as near, as far as anyone can tell: {} ({}) {} and {} ({}) {} noticeable steps off.",
            a.bike,
            how(a),
            off(a),
            b.bike,
            how(b),
            off(b)
        ),
        order => {
            let (near, far) = if order == Ordering::Less { (a, b) } else { (b, a) };
            format!(
                "{} comes nearer ({}): {} noticeable steps off; {} ({}) is {}.",
                near.bike,
                how(near),
                off(near),
                far.bike,
                how(far),
                off(far)
            )
        }
    };
    if !weighed.not_by.is_empty() {
        let what: Vec<String> = weighed.not_by.iter().map(|quantity| label(*quantity)).collect();
        said.push_str(&format!(
            " Not weighed, because one of the records does not tell it: {}.",
            join(&what)
        ));
    }
    said
}

struct Sources(Vec<String>);

impl Sources {
    fn number(&mut self, source: &str) -> usize {
        if let Some(at) = self.0.iter().position(|known| known == source) {
            return at + 1;
        }
        self.0.push(source.to_owned());
        self.0.len()
    }
}

fn label(quantity: Quantity) -> String {
    lower_first(&tables::quantity(quantity).label)
}

/// Decimals of a figure here: what is chosen between differs by less than a whole millimetre.
fn decimals(unit: &str) -> i32 {
    match unit {
        "mm" | "bar" | "N/mm" | "%" => 1,
        "°" | "m" | "" | "m/s²" => 2,
        _ => 0,
    }
}

fn with_unit(units: Units, text: &str, unit: &'static str) -> String {
    match units.label(unit) {
        "" => text.to_owned(),
        "°" => format!("{text}°"),
        unit => format!("{text}\u{a0}{unit}"),
    }
}

fn signed(units: Units, value: f64, unit: &'static str, pm: f64) -> String {
    let text = figures::signed(units.figure(value, unit), units.decimals(unit, decimals(unit), Some(pm)));
    with_unit(units, &text, unit)
}

fn amount(units: Units, value: f64, unit: &'static str) -> String {
    let text = figures::number(units.figure(value.abs(), unit), units.decimals(unit, decimals(unit), None));
    with_unit(units, &text, unit)
}

fn reached(units: Units, reach: &Reach) -> Reached {
    let unit = unit(reach.quantity.dimension());
    // Less than the last digit that is shown is as wanted.
    let least = 0.5 * 0.1_f64.powi(decimals(unit));
    let met = reach.off.abs() < least;
    let pm = || format!("±{}", amount(units, reach.pm.max(least * 2.0), unit));
    let label = &tables::quantity(reach.quantity).label;
    Reached {
        label: label.clone(),
        row: row_name(label, unit),
        difference: signed(units, reach.difference, unit, reach.pm),
        plus_minus: if reach.pm > 0.0 { pm() } else { String::new() },
        off: if met { "as wanted".to_owned() } else { missed(units, reach, unit) },
        met,
        still: met && reach.difference.abs() < least,
    }
}

/// By how much something is not as wanted: too little of a movement, too much of it; too much or too little of a value, or where nothing was to
/// move.
fn missed(units: Units, reach: &Reach, unit: &'static str) -> String {
    // A value is less sure than a step to it: then how far it is off has a tolerance of its own.
    let pm = if reach.off_pm > 1.2 * reach.pm {
        format!(" (±{})", amount(units, reach.off_pm.max(0.1_f64.powi(decimals(unit))), unit))
    } else {
        String::new()
    };
    let by = amount(units, reach.off, unit);
    let [least, most] = reach.wanted;
    let away = if !reach.by {
        None
    } else if least > 0.0 {
        Some(reach.off < 0.0)
    } else if most < 0.0 {
        Some(reach.off > 0.0)
    } else {
        None
    };
    match away {
        Some(true) => format!("{by} short{pm}"),
        Some(false) => format!("{by} too far{pm}"),
        None if reach.off > 0.0 => format!("{by} too much{pm}"),
        None => format!("{by} too little{pm}"),
    }
}

/// What was not tried or dropped: of a slot the parts in one line, with why the first does not go.
fn left_out(units: Units, answer: &Answer) -> Vec<String> {
    let mut slots: Vec<&str> = Vec::new();
    let mut lines = Vec::new();
    for out in &answer.left_out {
        if slots.contains(&out.slot) {
            continue;
        }
        slots.push(out.slot);
        let of_slot: Vec<&LeftOut> = answer.left_out.iter().filter(|it| it.slot == out.slot).collect();
        for reason in
            of_slot.iter().map(|it| without_figures(&it.why)).collect::<std::collections::BTreeSet<String>>()
        {
            let same: Vec<&&LeftOut> =
                of_slot.iter().filter(|it| without_figures(&it.why) == reason).collect();
            let what: Vec<&str> = same.iter().map(|it| it.what.as_str()).collect();
            let why = same.first().map_or(String::new(), |it| units.sentence(&it.why));
            lines.push(format!("{}: {}", join(&what), why));
        }
    }
    lines.extend(answer.refused.iter().map(|out| format!("{}: {}", out.what, units.sentence(&out.why))));
    lines.dedup();
    lines
}

/// A sentence with its figures taken out: two that differ in these alone say the same of two parts.
fn without_figures(sentence: &str) -> String {
    sentence.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect()
}

/// A target in words: "grip stack +15 mm", "trail 110 to 120 mm", "grip reach unchanged ±3 mm".
fn wanted(units: Units, target: &Target) -> String {
    let unit = unit(target.quantity.dimension());
    let factor = edge(target.quantity.dimension());
    let [least, most] = target.range.map(|end| end * factor);
    let fine = units.decimals(unit, decimals(unit), None);
    let figure = |value: f64| {
        let text = if target.by {
            figures::signed(units.figure(value, unit), fine)
        } else {
            figures::number(units.figure(value, unit), fine)
        };
        with_unit(units, trimmed(&text), unit)
    };
    let range = match (least.is_finite(), most.is_finite()) {
        (false, _) if target.by && most == 0.0 => "no more than now".to_owned(),
        (_, false) if target.by && least == 0.0 => "no less than now".to_owned(),
        (false, _) => format!("at most {}", figure(most)),
        (_, false) => format!("at least {}", figure(least)),
        _ if target.by && (least + most).abs() < 1e-9 && most.abs() < 1e-9 => "unchanged".to_owned(),
        _ if target.by && (least + most).abs() < 1e-9 => {
            format!("unchanged ±{}", figure(most).trim_start_matches('+'))
        }
        _ if (most - least).abs() < 1e-9 => figure(most),
        _ => format!("{} to {}", figure(least), figure(most)),
    };
    let weight = if (target.weight - 1.0).abs() < 1e-9 {
        String::new()
    } else {
        format!(", weight {}", price(target.weight))
    };
    format!("{} {range}{weight}", label(target.quantity))
}

/// A figure without zeros at its tail.
fn trimmed(text: &str) -> &str {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

fn proposed(proposal: &Proposal, number: usize, several: bool, heading: &Heading) -> Proposed {
    let units = heading.units;
    let mut sheet = compose(&proposal.findings, heading);
    sheet.title.question = format!("Option {number}");
    Proposed {
        number,
        title: upper_first(&join(
            &proposal.things.iter().map(|thing| lower_first(thing.slot)).collect::<Vec<_>>(),
        )),
        things: proposal.things.iter().map(done).collect(),
        price: if proposal.things.iter().any(|thing| thing.bought || thing.price > 0.0) {
            format!("about {} to buy", price(proposal.price))
        } else {
            "nothing to buy".to_owned()
        },
        reached: proposal.reaches.iter().map(|reach| reached(units, reach)).collect(),
        as_good: proposal.as_good && several,
        front: proposal.front,
        trial: proposal.imitation.as_ref().map(|imitation| Trial {
            how: imitation.changes.iter().map(ToString::to_string).collect(),
            right: imitation.right().map(|it| off_by(units, it)).collect(),
            wrong: imitation.wrong().map(|it| off_by(units, it)).collect(),
        }),
        lines: proposal.changes.iter().map(ToString::to_string).collect(),
        sheet,
    }
}

fn off_by(units: Units, (quantity, off): (Quantity, f64)) -> String {
    let unit = unit(quantity.dimension());
    format!("{} {}", label(quantity), signed(units, off, unit, 0.0))
}

fn done(thing: &Thing) -> Done {
    let from = match (thing.stock_line, thing.bought) {
        (Some(line), _) => format!("from the list, line {line}"),
        (None, true) if thing.price > 0.0 => format!("to buy, about {}", price(thing.price)),
        (None, true) => "to buy".to_owned(),
        (None, false) if thing.price > 0.0 => format!("some more are needed, about {}", price(thing.price)),
        (None, false) => "with what is on the bike".to_owned(),
    };
    // A change says by itself what it is about; a name on a list does not.
    let slot = if thing.stock_line.is_some() { format!("{}: ", thing.slot) } else { String::new() };
    Done { slot, what: thing.what.clone(), from }
}

/// Whether all that was said is reached, and if not, what cannot be and by how much.
fn verdict(units: Units, answer: &Answer) -> String {
    // The first is as good as the nearest, as far as anyone can tell.
    let Some(first) = answer.proposals.first() else {
        return match answer.miss_now {
            Some(miss) if miss < 1e-9 => "The bike is as wanted already.".to_owned(),
            Some(_) => "Nothing that may be touched comes nearer than the bike as it is.".to_owned(),
            None => "Nothing that is accepted can be done.".to_owned(),
        };
    };
    if answer.miss_now.is_some_and(|miss| miss < 1e-9) {
        return "The bike is as wanted already.".to_owned();
    }
    let said = |proposal: &Proposal| -> Vec<Reach> {
        let reaches = proposal.reaches.iter().zip(&answer.targets);
        reaches.filter(|(_, target)| !target.implied).map(|(reach, _)| *reach).collect()
    };
    let meets = |it: &Proposal| said(it).iter().all(|reach| reached(units, reach).met);
    match answer.proposals.iter().position(meets) {
        Some(0) => return "It can be reached.".to_owned(),
        Some(at) => return format!("It can be reached, to the last digit with option {}.", at + 1),
        None => {}
    }
    let said = said(first);
    let short: Vec<String> = said
        .iter()
        .map(|reach| (reach.quantity, reached(units, reach)))
        .filter(|(_, reached)| !reached.met)
        .map(|(quantity, reached)| format!("{} {}", label(quantity), reached.off))
        .collect();
    if said.iter().all(|reach| reach.off.abs() <= reach.off_pm) {
        format!("It can be reached, as far as anyone can tell: option 1 comes {}.", join(&short))
    } else {
        format!("It cannot be reached altogether: option 1 comes {}.", join(&short))
    }
}

/// What parts and prices rest on.
fn rests_on(answer: &Answer, sources: &mut Sources) -> Vec<String> {
    let mut lines = Vec::new();
    for slot in &answer.slots {
        sources.number(slot.source);
    }
    for target in &answer.targets {
        sources.number(&tables::quantity(target.quantity).notice_source);
    }
    let bought = answer
        .proposals
        .iter()
        .flat_map(|proposal| &proposal.things)
        .any(|thing| thing.bought && thing.stock_line.is_none());
    if bought {
        lines.push(
            "Prices of parts that are on no list are round figures from memory, to weigh one against another.".to_owned(),
        );
        lines.push(
            "Of a new part only what is named changes: what is not (a stem's clamp height, a bar's sweep) is taken to be as on the old one."
                .to_owned(),
        );
    }
    lines.push("A miss is counted in steps that a rider notices; what stays within the tolerance of what is known counts as equal.".to_owned());
    lines
}

/// A count with commas between thousands.
fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::grouped;

    #[test]
    fn thousands_are_told_apart() {
        assert_eq!([7, 1234, 41_160, 10_000_000].map(grouped), ["7", "1,234", "41,160", "10,000,000"]);
    }
}
