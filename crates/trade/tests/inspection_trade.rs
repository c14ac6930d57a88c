//! Facts of the trade and published rules as runs of protocols. What is said of each: where it comes from. All steps that a test does
//! not name are answered by their mildest answer.

use knockon_trade::inspection::protocol::Kind;
use knockon_trade::inspection::{Given, Grade, Judgement, Observation, Protocol, Step, judge, protocol};

/// The mildest answer to a step; of a number a reading well on the good side.
fn mildest(step: &Step) -> Given {
    match step.kind {
        Kind::Photo => Given::Photo,
        Kind::Choice | Kind::Which => Given::Choice(0),
        Kind::Number => {
            let [least, most] = step.possible.unwrap();
            let good = if step.smaller_is_worse { most } else { least.max(0.0) };
            Given::Number { value: good, pm: 0.0 }
        }
    }
}

fn run(id: &str, told: &[(&str, &str)]) -> Judgement {
    let protocol: &'static Protocol = protocol(id).unwrap_or_else(|| panic!("no protocol {id}"));
    for (step, _) in told {
        assert!(protocol.step(step).is_some(), "{id} has no step {step}");
    }
    let observed = protocol.steps.iter().map(|step| {
        let told = told.iter().find(|(id, _)| *id == step.id).map(|(_, answer)| *answer);
        let read =
            |answer| Given::read(step, answer).unwrap_or_else(|fault| panic!("{id} {}: {fault:?}", step.id));
        Observation {
            step: step.id.clone(),
            given: told.map_or_else(|| mildest(step), read),
            note: String::new(),
        }
    });
    judge(protocol, &observed.collect::<Vec<_>>())
}

fn grade(id: &str, told: &[(&str, &str)]) -> Grade {
    run(id, told).grade
}

/// Common practice, no source: a crack in the paint only tends to be straight and clean, a jagged line suggests the laminate below; that
/// is a hint and never a clearance. A true paint chip is cosmetic, once somebody qualified has had it in hand.
#[test]
fn a_line_in_carbon_is_never_cleared() {
    assert_eq!(grade("carbon-frame", &[]), Grade::Cosmetic);
    assert_eq!(grade("carbon-frame", &[("who", "other-in-hand")]), Grade::Inspect);
    assert_eq!(grade("carbon-frame", &[("who", "from-afar")]), Grade::Inspect);
    assert_eq!(grade("carbon-frame", &[("line", "straight")]), Grade::Inspect);
    assert_eq!(grade("carbon-frame", &[("line", "jagged")]), Grade::DoNotRide);
    // A clear sound on tapping proves nothing (FAA AC 43.13-1B, 5-105: subjective, thin skins only): it takes nothing back.
    assert_eq!(grade("carbon-frame", &[("line", "straight"), ("sound", "same")]), Grade::Inspect);
    assert_eq!(grade("carbon-frame", &[("happened", "knock")]), Grade::Inspect);
    for step in ["fibres", "soft", "line", "sound"] {
        assert_eq!(grade("carbon-frame", &[(step, "cannot tell")]), Grade::DoNotRide, "{step}");
    }
}

/// Common practice, no source: carbon has its own failure, metal bends; either way a crack at a joint ends the matter, and what was bent
/// is not straightened.
#[test]
fn a_crack_in_metal_ends_the_matter() {
    assert_eq!(grade("metal-frame", &[("crack", "joint")]), Grade::DoNotRide);
    for (material, step) in
        [("aluminium", "dent-aluminium"), ("steel", "dent-steel"), ("titanium", "dent-titanium")]
    {
        assert_eq!(
            grade("metal-frame", &[("material", material), (step, "sharp")]),
            Grade::DoNotRide,
            "{material}"
        );
        assert_eq!(grade("metal-frame", &[("material", material)]), Grade::Cosmetic, "{material}");
    }
    // The material decides what a smooth dent means, so not knowing it leaves the worst of the three.
    let untold = grade("metal-frame", &[("material", "cannot tell"), ("dent-aluminium", "smooth")]);
    assert!(untold >= grade("metal-frame", &[("material", "aluminium"), ("dent-aluminium", "smooth")]));
}

/// Common practice, no source: plain water does not contaminate a disc; pads that took up oil are replaced; a leak stops the bike.
#[test]
fn water_is_no_contamination_and_oil_is() {
    assert_eq!(grade("brake-contamination", &[("what", "water")]), Grade::RideWithCheck);
    assert_eq!(grade("brake-contamination", &[("what", "oil"), ("pads", "organic")]), Grade::DoNotRide);
    assert_eq!(grade("brake-contamination", &[("what", "oil"), ("pads", "soaked")]), Grade::DoNotRide);
    assert!(grade("brake-contamination", &[("what", "oil"), ("rotor", "other")]) >= Grade::Inspect);
    assert_eq!(grade("brake-contamination", &[("leak", "leaks")]), Grade::DoNotRide);
    assert_eq!(
        grade("brake-contamination", &[("what", "cannot tell"), ("pads", "soaked")]),
        Grade::DoNotRide
    );
}

/// The least thickness is the one that the rotor's maker stamps on it; 1.5 mm where there is none, from memory, unverified.
#[test]
fn a_rotor_is_held_to_its_own_mark() {
    let marked = |stamped: &str, measured: &str| {
        grade("rotor", &[("mark", "readable"), ("marked", stamped), ("measured", measured)])
    };
    assert_eq!(marked("1.6 ± 0", "1.8 ± 0.02"), Grade::RideWithCheck);
    assert_eq!(marked("1.6 ± 0", "1.58 ± 0"), Grade::DoNotRide);
    // 1.62 less 1.60 is within what ± 0.05 can tell.
    assert_eq!(marked("1.6 ± 0", "1.62 ± 0.05"), Grade::DoNotRide);
    assert_eq!(marked("cannot tell", "1.8"), Grade::DoNotRide);
    let bare = |measured: &str| grade("rotor", &[("mark", "none"), ("thickness", measured)]);
    assert_eq!(bare("1.8 ± 0.02"), Grade::RideWithCheck);
    assert_eq!(bare("1.55 ± 0.02"), Grade::Inspect);
    assert_eq!(bare("1.45 ± 0.02"), Grade::DoNotRide);
    // 0.06 in are 1.524 mm: units as they are typed.
    assert_eq!(bare("0.06 in ± 0.0001 in"), Grade::Inspect);
}

/// 49 CFR 571.116, S4: glycol brake fluid and hydraulic mineral oil are meant for other rubbers. Common practice: never mixed.
#[test]
fn fluid_families_are_never_mixed() {
    for family in ["mineral", "glycol", "silicone"] {
        let judged = run("brake-fluid", &[("family", family), ("filled", "wrong")]);
        assert_eq!(judged.grade, Grade::DoNotRide, "{family}");
        assert!(judged.cautions.iter().any(|caution| caution.text.contains("never mixed")));
    }
    assert!(grade("brake-fluid", &[("family", "unmarked")]) >= Grade::Inspect);
    assert_eq!(grade("brake-fluid", &[("kit", "shared")]), Grade::DoNotRide);
}

/// 16 CFR 1512.11: no spoke may be missing (a), the tyre clears fork and frame by at least 1.6 mm (b).
#[test]
fn wheels_keep_the_federal_rule() {
    assert_eq!(grade("spokes", &[("broken", "broken")]), Grade::DoNotRide);
    assert_eq!(grade("spokes", &[("clearance", "1.5 ± 0")]), Grade::DoNotRide);
    assert!(grade("spokes", &[("clearance", "5 ± 0")]) < Grade::Inspect);
}

/// 16 CFR 1512.15(b): a seat post has a permanent mark of its least insertion. Common practice: past it, it is not ridden.
#[test]
fn a_post_past_its_mark_is_not_ridden() {
    assert_eq!(grade("seat-post", &[("mark", "out")]), Grade::DoNotRide);
    let measured =
        |inserted: &str| grade("seat-post", &[("mark", "measure"), ("least", "80"), ("inserted", inserted)]);
    assert_eq!(measured("70"), Grade::DoNotRide);
    assert!(measured("110") < Grade::Inspect);
}

/// 16 CFR 1203.6(a)(4): after an impact a helmet may no longer protect, and the damage may not be visible; (a)(5): common substances may
/// harm it unseen.
#[test]
fn a_helmet_is_not_worn_after_an_impact() {
    let judged = run("helmet", &[("happened", "crash")]);
    assert_eq!(judged.grade, Grade::DoNotRide);
    assert!(grade("helmet", &[("happened", "dropped")]) >= Grade::Inspect);
    assert!(grade("helmet", &[("chemicals", "perhaps")]) >= Grade::Inspect);
    assert_eq!(grade("helmet", &[]), Grade::Cosmetic);
}

/// The issue of batteries is deferred at once: no protocol of ours clears one (UN 38.3, EN 50604-1 and EN 15194 test new packs).
#[test]
fn a_battery_is_never_cleared() {
    let battery = protocol("battery").unwrap();
    assert!(battery.mildest >= Grade::Inspect);
    assert_eq!(battery.steps[0].id, "danger");
    assert_eq!(grade("battery", &[("danger", "yes")]), Grade::DoNotRide);
    assert_eq!(grade("battery", &[("water", "under")]), Grade::DoNotRide);
    assert_eq!(grade("battery", &[]), Grade::Inspect);
}

/// This program has no recall list, and says so in every run.
#[test]
fn a_recall_is_asked_of_the_maker() {
    let nobody = run("recall", &[("asked", "nobody")]);
    assert!(nobody.grade >= Grade::Inspect);
    assert_eq!(grade("recall", &[("answer", "stop")]), Grade::DoNotRide);
    assert!(nobody.cautions.iter().any(|caution| caution.text.contains("holds no list of recalls")));
}

/// Chain growth of 0.5 and 0.75 % as limits by the number of cogs: from memory, unverified. A pitch is 12.7 mm, so 24 of them are 304.8 mm
/// when new (ISO 9633, title from memory), and 0.5 % of that is 1.524 mm.
#[test]
fn a_chain_is_measured_against_the_number_of_its_cogs() {
    let grown = |kind: &str, step: &str, share: &str| {
        let judged = run("drivetrain", &[("kind", kind), (step, share)]);
        judged.found.iter().find(|found| found.step.id == step).expect("it was asked").grade
    };
    assert_eq!(grown("narrow", "narrow", "0.4 % ± 0.05 %"), Grade::Cosmetic);
    assert_eq!(grown("narrow", "narrow", "0.6 % ± 0.05 %"), Grade::RideWithCheck);
    assert_eq!(grown("middle", "middle", "0.6 % ± 0.05 %"), Grade::Cosmetic);
    assert_eq!(grown("middle", "middle", "1.2 % ± 0.05 %"), Grade::Inspect);
    assert_eq!(grade("drivetrain", &[("links", "damaged")]), Grade::DoNotRide);
}

/// TBIS 4210-2:2018, 4.7.4: at most 5 mm from the top of the stem to the top of the steerer. 4.7.5: steering without tight spots or slack.
#[test]
fn steering_that_binds_or_slips_is_not_ridden() {
    assert_eq!(grade("headset", &[("gap", "low")]), Grade::DoNotRide);
    assert_eq!(grade("headset", &[("turn", "binds")]), Grade::DoNotRide);
    assert_eq!(grade("headset", &[("hold", "slips")]), Grade::DoNotRide);
    assert!(grade("cockpit-crash", &[]) >= Grade::RideWithCheck);
}

/// Common practice, no source: a lever that reaches the bar, sinks or leaks is not ridden.
#[test]
fn a_brake_that_does_not_hold_is_not_ridden() {
    for (step, answer) in [("reach", "bar"), ("hold", "sinks"), ("leak", "leaks"), ("pads", "worn")] {
        assert_eq!(grade("spongy-lever", &[(step, answer)]), Grade::DoNotRide, "{step}");
    }
    assert_eq!(grade("spongy-lever", &[("kind", "cable"), ("cable", "frayed")]), Grade::DoNotRide);
}

/// Ways to look into fibre composites, by the review in Front. Mater. 9:986645 (2022): acoustic emission, ultrasound, eddy current,
/// thermography, terahertz, digital image correlation, shearography, radiography. Whoever judges carbon must have one.
#[test]
fn whoever_judges_carbon_can_look_below_its_surface() {
    let families = [
        "acoustic emission",
        "ultrasound",
        "eddy current",
        "thermography",
        "terahertz",
        "image correlation",
        "shearography",
        "radiography",
    ];
    for id in ["carbon-frame", "carbon-fork", "carbon-bar"] {
        let protocol = protocol(id).unwrap();
        assert!(protocol.qualified.contains("look below the surface"), "{id}");
        let told =
            run(id, &[]).cautions.iter().map(|caution| caution.text.to_lowercase()).collect::<String>();
        let named =
            families.iter().filter(|family| told.contains(**family) || protocol.qualified.contains(**family));
        assert!(named.count() >= 2, "{id}");
    }
}

/// TBIS 4210-2:2018, 4.4: a crack is made visible by a standard way, dye penetrant after ISO 3452 for one; AC 43.13-1B, tables 5-1 and 5-5:
/// it shows only what is open to a bare surface, and brushing may smear it shut.
#[test]
fn a_crack_in_metal_is_made_visible_by_the_standards_way() {
    let outcome = protocol("metal-frame").unwrap().outcome(Grade::Inspect).unwrap();
    let said = outcome.actions.join(" ");
    assert!(said.contains("dye penetrant") && said.contains("not with a wire brush"), "{said}");
    assert!(
        outcome.source.contains("ISO 3452-1") && outcome.source.contains("TBIS 4210-2:2018, 4.4"),
        "{}",
        outcome.source
    );
}

/// TBIS 4210-2:2018, 4.6.1: there should be a warning before the wear limit of pad, rim and rotor; 49 CFR 570.59(b), for motor vehicles: the
/// limit embossed on the part holds, else its maker's. So the part's own mark is asked for before any figure of ours.
#[test]
fn a_parts_own_mark_comes_before_any_figure_of_ours() {
    for (id, mark, own, general) in [
        ("rotor", "mark", "measured", "thickness"),
        ("pads", "mark", "left", "thickness"),
        ("rim", "brake", "wear", "wall"),
    ] {
        let protocol = protocol(id).unwrap();
        let place = |step: &str| protocol.steps.iter().position(|known| known.id == step).unwrap();
        assert!(place(mark) < place(own) && place(own) < place(general), "{id}");
        let general = protocol.step(general).unwrap();
        assert!(general.source.contains("from memory, unverified"), "{id}: {}", general.source);
        // Near the limit is told before it: the step has a grade between good and gone.
        let grades: Vec<Grade> = general.answers.iter().map(|answer| answer.grade).collect();
        assert!(grades.iter().any(|grade| *grade > grades[0] && *grade < grades[grades.len() - 1]), "{id}");
    }
}
