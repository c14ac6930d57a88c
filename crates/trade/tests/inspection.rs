//! Every protocol, walked exhaustively: every path ends, nothing that carries, steers or stops is merely cosmetic without the
//! observations that allow it, a worse observation never comes out milder, and "cannot tell" never comes out milder than the worst
//! answer still possible. The walks here are written anew over the data, beside the engine's own.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use knockon_trade::inspection::protocol::{Answer, CANNOT_TELL, Class, Kind};
use knockon_trade::inspection::{Given, Grade, Observation, Protocol, Step, judge, protocols};
use knockon_trade::tables;
use proptest::prelude::*;

/// Place of the step that an answer leads to; the count of steps is the end.
fn leads(protocol: &Protocol, at: usize, answer: Option<&Answer>) -> usize {
    match answer.and_then(|answer| answer.next.as_deref()) {
        None => at + 1,
        Some("end") => protocol.steps.len(),
        Some(id) => protocol.steps.iter().position(|step| step.id == id).unwrap(),
    }
}

/// Every grade that a protocol can come out with from a step on.
fn outcomes(
    protocol: &Protocol,
    at: usize,
    grade: Grade,
    known: &mut HashMap<(usize, Grade), BTreeSet<Grade>>,
) -> BTreeSet<Grade> {
    if at >= protocol.steps.len() || grade == Grade::DoNotRide {
        return BTreeSet::from([grade]);
    }
    if let Some(known) = known.get(&(at, grade)) {
        return known.clone();
    }
    let step = &protocol.steps[at];
    let mut all = BTreeSet::new();
    if step.kind == Kind::Photo {
        all.extend(outcomes(protocol, at + 1, grade, known));
    }
    for answer in &step.answers {
        let next = leads(protocol, at, Some(answer));
        assert!(next > at, "{} {} {}: a path that goes back may not end", protocol.id, step.id, answer.id);
        all.extend(outcomes(protocol, next, grade.max(answer.grade), known));
    }
    known.insert((at, grade), all.clone());
    all
}

#[test]
fn every_path_ends_in_a_grade_that_the_protocol_explains() {
    for protocol in protocols() {
        let reached = outcomes(protocol, 0, protocol.mildest, &mut HashMap::new());
        let explained: BTreeSet<Grade> = protocol.grades().collect();
        assert_eq!(reached, explained, "{}", protocol.id);
    }
}

/// All runs that come out with "cosmetic", each as answers by step.
fn cosmetic(
    protocol: &Protocol,
    at: usize,
    run: &mut Vec<(usize, usize)>,
    all: &mut Vec<Vec<(usize, usize)>>,
) {
    let Some(step) = protocol.steps.get(at) else {
        all.push(run.clone());
        return;
    };
    if step.kind == Kind::Photo {
        return cosmetic(protocol, at + 1, run, all);
    }
    for (index, answer) in
        step.answers.iter().enumerate().filter(|(_, answer)| answer.grade == Grade::Cosmetic)
    {
        run.push((at, index));
        cosmetic(protocol, leads(protocol, at, Some(answer)), run, all);
        run.pop();
    }
}

#[test]
fn what_carries_steers_or_stops_is_cosmetic_only_by_every_observation_that_allows_it() {
    let mut guarded = 0;
    for protocol in protocols().iter().filter(|protocol| protocol.class.is_guarded()) {
        guarded += 1;
        let mut runs = Vec::new();
        if protocol.mildest == Grade::Cosmetic {
            cosmetic(protocol, 0, &mut Vec::new(), &mut runs);
        }
        for run in &runs {
            let seen: BTreeSet<&str> = run.iter().map(|(at, _)| protocol.steps[*at].id.as_str()).collect();
            // Whatever the file says: it was seen whole, nothing happened to it, and somebody qualified had it in hand.
            let needed: &[&str] = if protocol.class == Class::Helmet {
                &["happened", "who"]
            } else {
                &["clean", "happened", "who"]
            };
            for id in needed {
                assert!(seen.contains(*id), "{}: cosmetic without `{id}`: {seen:?}", protocol.id);
            }
            let missing: Vec<&String> =
                protocol.allows.iter().filter(|id| !seen.contains(id.as_str())).collect();
            assert!(missing.is_empty(), "{}: cosmetic without {missing:?}", protocol.id);
            let who = run.iter().find(|(at, _)| protocol.steps[*at].id == "who").unwrap();
            assert_eq!(protocol.steps[who.0].answers[who.1].id, "qualified-in-hand", "{}", protocol.id);
            let happened = run.iter().find(|(at, _)| protocol.steps[*at].id == "happened").unwrap();
            assert!(
                !["knock", "nobody-knows"]
                    .contains(&protocol.steps[happened.0].answers[happened.1].id.as_str())
            );
            // And with any one of them not told, or never asked, it is not cosmetic any more.
            let picked = protocol.steps.iter().enumerate().map(|(at, step)| {
                (step.id.as_str(), run.iter().find(|(other, _)| *other == at).map(|(_, index)| *index))
            });
            let whole = observations(protocol, &picked.collect());
            assert_eq!(judge(protocol, &whole).grade, Grade::Cosmetic, "{}", protocol.id);
            for id in &protocol.allows {
                let untold: Vec<Observation> = whole.iter().filter(|it| it.step != *id).cloned().collect();
                assert!(judge(protocol, &untold).grade > Grade::Cosmetic, "{} without {id}", protocol.id);
            }
        }
    }
    assert!(guarded >= 15, "{guarded}");
}

/// What picks one answer of a step, of a number a reading well within it; `None` is "cannot tell". A number that is counted from
/// another one is counted from zero here.
fn given(step: &Step, index: Option<usize>) -> Given {
    match (step.kind, index) {
        (Kind::Photo, _) => Given::Photo,
        (_, None) => Given::CannotTell,
        (Kind::Number, Some(index)) => Given::Number { value: step.reading_within(index), pm: 0.0 },
        (_, Some(index)) => Given::Choice(index),
    }
}

/// A place in a protocol, and the worst grade on the way there.
type Stand = (usize, Grade);

/// Walks both ways at once: whether, for every assignment of answers to the steps, the first comes out no worse than the second.
fn no_worse(protocol: &Protocol, a: Stand, b: Stand, known: &mut HashMap<(Stand, Stand), bool>) -> bool {
    let end = protocol.steps.len();
    if b.1 == Grade::DoNotRide {
        return true;
    }
    // From one place on the same answers are asked: the worse floor stays the worse.
    if a.0 == b.0 || a.0 >= end {
        return a.1 <= b.1
            || (a.0 != b.0 && outcomes(protocol, b.0, b.1, &mut HashMap::new()).iter().all(|it| a.1 <= *it));
    }
    if let Some(known) = known.get(&(a, b)) {
        return *known;
    }
    let at = a.0.min(b.0);
    let step = &protocol.steps[at];
    let moved = |place: (usize, Grade), answer: Option<&Answer>| {
        if place.0 == at {
            (leads(protocol, at, answer), answer.map_or(place.1, |answer| place.1.max(answer.grade)))
        } else {
            place
        }
    };
    let holds = if step.kind == Kind::Photo {
        no_worse(protocol, moved(a, None), moved(b, None), known)
    } else {
        step.answers
            .iter()
            .all(|answer| no_worse(protocol, moved(a, Some(answer)), moved(b, Some(answer)), known))
    };
    known.insert((a, b), holds);
    holds
}

#[test]
fn a_worse_observation_never_comes_out_milder() {
    let mut pairs = 0;
    for protocol in protocols() {
        for (at, step) in protocol.steps.iter().enumerate().filter(|(_, step)| step.kind != Kind::Which) {
            for (mild, bad) in step.answers.iter().zip(step.answers.iter().skip(1)) {
                let place = |answer| (leads(protocol, at, Some(answer)), protocol.mildest.max(answer.grade));
                let holds = no_worse(protocol, place(mild), place(bad), &mut HashMap::new());
                assert!(
                    holds,
                    "{}, {}: {} can come out milder than {}",
                    protocol.id, step.id, bad.id, mild.id
                );
                pairs += 1;
            }
        }
    }
    assert!(pairs > 100, "{pairs}");
}

/// The worst that can still come out, by trying every answer where none is known: what the engine does with sets, done one by one.
fn worst(protocol: &Protocol, at: usize, grade: Grade, answers: &BTreeMap<&str, Option<usize>>) -> Grade {
    if at >= protocol.steps.len() || grade == Grade::DoNotRide {
        return grade;
    }
    let step = &protocol.steps[at];
    if step.kind == Kind::Photo {
        return worst(protocol, at + 1, grade, answers);
    }
    let follow = |index: usize| {
        let answer = &step.answers[index];
        worst(protocol, leads(protocol, at, Some(answer)), grade.max(answer.grade), answers)
    };
    match answers.get(step.id.as_str()).copied().flatten() {
        Some(index) => follow(index),
        None => (0..step.answers.len()).map(follow).max().unwrap(),
    }
}

/// Answers to all steps of a protocol out of random numbers; about a fifth of them "cannot tell".
fn assigned<'a>(protocol: &'a Protocol, random: &[usize]) -> BTreeMap<&'a str, Option<usize>> {
    let steps = protocol.steps.iter().filter(|step| step.kind != Kind::Photo);
    steps
        .zip(random)
        .map(|(step, random)| {
            let index = (random % 5 > 0).then_some(random / 5 % step.answers.len());
            (step.id.as_str(), index)
        })
        .collect()
}

fn observations(protocol: &Protocol, answers: &BTreeMap<&str, Option<usize>>) -> Vec<Observation> {
    let of = |step: &Step| {
        let mut given = given(step, answers[step.id.as_str()]);
        // What is counted from another reading stands that much further on.
        if let (Given::Number { value, .. }, Some(against)) = (&mut given, &step.against) {
            let from = protocol.step(against).unwrap();
            if let Some(index) = answers[from.id.as_str()] {
                *value += from.reading_within(index);
            }
        }
        Observation { step: step.id.clone(), given, note: String::new() }
    };
    let photo = |step: &Step| Observation { step: step.id.clone(), given: Given::Photo, note: String::new() };
    protocol.steps.iter().map(|step| if step.kind == Kind::Photo { photo(step) } else { of(step) }).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn the_grade_is_the_worst_that_is_still_possible(pick in any::<usize>(), random in prop::collection::vec(any::<usize>(), 40)) {
        let protocol = &protocols()[pick % protocols().len()];
        let answers = assigned(protocol, &random);
        // A reading that is counted from one which nobody told can be anything.
        let mut known = answers.clone();
        for step in &protocol.steps {
            if step.against.as_ref().is_some_and(|from| answers[from.as_str()].is_none()) {
                known.insert(&step.id, None);
            }
        }
        let judged = judge(protocol, &observations(protocol, &answers));
        prop_assert_eq!(judged.grade, worst(protocol, 0, protocol.mildest, &known), "{}: {:?}", protocol.id, answers);
        prop_assert!(judged.is_finished());
    }

    #[test]
    fn cannot_tell_is_no_milder_than_any_answer(pick in any::<usize>(), which in any::<usize>(), random in prop::collection::vec(any::<usize>(), 40)) {
        let protocol = &protocols()[pick % protocols().len()];
        let mut answers = assigned(protocol, &random);
        let asked: Vec<&Step> = protocol.steps.iter().filter(|step| step.kind != Kind::Photo).collect();
        let step = asked[which % asked.len()];
        answers.insert(&step.id, None);
        let untold = judge(protocol, &observations(protocol, &answers));
        for index in 0..step.answers.len() {
            answers.insert(&step.id, Some(index));
            let told = judge(protocol, &observations(protocol, &answers));
            prop_assert!(untold.grade >= told.grade, "{} {} {}", protocol.id, step.id, step.answers[index].id);
        }
        // Not asked at all is the same, and asked for next where it is reached.
        let mut silent = observations(protocol, &answers);
        silent.retain(|it| it.step != step.id);
        prop_assert_eq!(judge(protocol, &silent).grade, untold.grade);
    }

    #[test]
    fn more_observations_never_take_a_caution_away(pick in any::<usize>(), random in prop::collection::vec(any::<usize>(), 40)) {
        let protocol = &protocols()[pick % protocols().len()];
        let all = observations(protocol, &assigned(protocol, &random));
        let mut before: BTreeSet<&str> = BTreeSet::new();
        for count in 0..=all.len() {
            let judged = judge(protocol, &all[..count]);
            // What the answers and the protocol itself bring stays; what a grade brings goes with the grade.
            let of_answers: BTreeSet<&str> = judged.found.iter().flat_map(|found| match found.given {
                Given::Choice(at) => found.step.answers[at].cautions.iter().map(String::as_str).collect(),
                _ => Vec::new(),
            }).chain(protocol.cautions.iter().map(String::as_str)).collect();
            let told: BTreeSet<&str> = judged.cautions.iter().map(|caution| caution.id.as_str()).collect();
            prop_assert!(of_answers.is_subset(&told), "{}: {:?}", protocol.id, of_answers);
            prop_assert!(before.is_subset(&of_answers));
            before = of_answers;
            let ranks: Vec<u32> = judged.cautions.iter().map(|caution| caution.rank).collect();
            prop_assert!(ranks.is_sorted());
        }
    }
}

#[test]
fn a_tolerance_that_reaches_across_a_limit_counts_as_beyond_it() {
    for protocol in protocols() {
        for step in protocol.steps.iter().filter(|step| step.kind == Kind::Number && step.against.is_none()) {
            for (index, answer) in step.answers.iter().enumerate().take(step.answers.len() - 1) {
                let limit = answer.until.unwrap();
                let value = if step.smaller_is_worse { limit + 0.5 } else { limit - 0.5 };
                let judged = |pm: f64| {
                    let given = Given::Number { value, pm };
                    let observation = Observation { step: step.id.clone(), given, note: String::new() };
                    let found = judge(protocol, &[observation]).found;
                    found.first().map(|found| found.grade)
                };
                let beyond = step.answers[index + 1].grade;
                if let Some(grade) = judged(0.6) {
                    assert!(grade >= beyond, "{} {}", protocol.id, step.id);
                }
            }
        }
    }
}

/// Most questions that one run can take, from a step on.
fn longest(protocol: &Protocol, at: usize) -> usize {
    let Some(step) = protocol.steps.get(at) else { return 0 };
    let next = step.answers.iter().map(|answer| leads(protocol, at, Some(answer)));
    let photo = (step.kind == Kind::Photo).then_some(at + 1);
    1 + next.chain(photo).map(|next| longest(protocol, next)).max().unwrap_or(0)
}

#[test]
fn every_protocol_reads_well_on_a_phone_and_says_where_it_comes_from() {
    let mut areas = Vec::new();
    for protocol in protocols() {
        let id = &protocol.id;
        if areas.last() != Some(&&protocol.area) {
            assert!(
                !areas.contains(&&protocol.area),
                "{id}: the area {} is listed in two places",
                protocol.area
            );
            areas.push(&protocol.area);
        }
        assert!(!protocol.qualified.is_empty() && !protocol.not_seen.is_empty(), "{id}");
        assert!(
            !protocol.class.is_guarded() || protocol.cautions.iter().any(|it| it == "no_clearance"),
            "{id}"
        );
        assert!(
            (3..=12).contains(&longest(protocol, 0)),
            "{id} asks up to {} questions",
            longest(protocol, 0)
        );
        for step in &protocol.steps {
            assert!(step.ask.chars().count() <= 90, "{id} {}: too long to be read standing", step.id);
            assert_ne!(step.id, CANNOT_TELL);
            for answer in &step.answers {
                assert!(
                    answer.say.chars().count() <= 90,
                    "{id} {} {}: too long for a button",
                    step.id,
                    answer.id
                );
                assert!(
                    answer.grade <= protocol.mildest || answer.why.is_some(),
                    "{id} {} {}",
                    step.id,
                    answer.id
                );
            }
        }
        for mark in &protocol.words {
            assert!(tables::urgent().iter().any(|row| row.word == *mark), "{id}: {mark}");
        }
        for key in &protocol.conditions {
            assert!(tables::detail(key).is_some(), "{id}: {key}");
        }
    }
}
