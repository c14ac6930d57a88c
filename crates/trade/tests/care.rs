//! The table of cleaners and surfaces: whole, with its sources and cautions, and true to the trade.

use std::collections::BTreeSet;

use knockon_trade::care::{Contact, Named, care, find};
use knockon_trade::tables;

fn contact(agent: &str, surface: &str) -> Contact {
    care(find(tables::agents(), agent).unwrap(), find(tables::surfaces(), surface).unwrap()).contact
}

#[test]
fn every_pair_stands_in_the_table_once() {
    let mut seen = BTreeSet::new();
    for row in tables::care() {
        assert!(row.source.len() > 6, "{}", row.agent);
        assert!(row.effect.ends_with('.') && row.action.ends_with('.'), "{}: {}", row.agent, row.effect);
        for surface in &row.surfaces {
            assert!(
                seen.insert((row.agent.as_str(), surface.as_str())),
                "{} on {surface} stands twice",
                row.agent
            );
        }
    }
    let agents = tables::agents().iter().map(|agent| agent.id.as_str());
    let all: BTreeSet<_> = agents
        .flat_map(|agent| tables::surfaces().iter().map(move |surface| (agent, surface.id.as_str())))
        .collect();
    assert_eq!(seen, all);
    assert!(all.len() >= 200, "{}", all.len());
}

#[test]
fn a_name_means_one_thing() {
    let mut seen = BTreeSet::new();
    let agents = tables::agents().iter().map(|row| (&row.id, row.all_names()));
    let surfaces = tables::surfaces().iter().map(|row| (&row.id, row.all_names()));
    let routines = tables::routines().iter().map(|row| (&row.id, row.all_names()));
    for (id, names) in agents.chain(surfaces).chain(routines) {
        let plain: BTreeSet<String> =
            names.iter().map(|name| name.to_lowercase().replace('-', " ")).collect();
        for name in plain {
            assert!(seen.insert(name.clone()), "{name}, of {id}, means two things");
        }
    }
}

#[test]
fn every_caution_that_a_row_names_is_there() {
    // `cautions` drops what it does not know, so count against the files themselves.
    for (file, key) in [("agents", "agent"), ("care", "care"), ("routines", "routine")] {
        let path = format!("{}/data/{file}.toml", env!("CARGO_MANIFEST_DIR"));
        let table: toml::Table = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
        for row in table[key].as_array().unwrap() {
            for name in row.get("cautions").and_then(toml::Value::as_array).into_iter().flatten() {
                let name = name.as_str().unwrap();
                assert!(
                    tables::cautions().iter().any(|caution| caution.id == name),
                    "{file}: there is no caution {name}"
                );
            }
        }
    }
}

/// Facts of the trade: common practice, no source.
#[test]
fn it_says_what_the_trade_says() {
    // Plain water does not contaminate a rotor; household detergents may.
    assert_eq!(contact("water", "rotor"), Contact::Suits);
    assert!(contact("detergent", "rotor") > Contact::Suits);
    // A rotor is wiped with isopropyl alcohol or a cleaner made for bicycle discs.
    assert_eq!(contact("isopropyl alcohol", "rotor"), Contact::Suits);
    assert_eq!(contact("disc-cleaner", "rotor"), Contact::Suits);
    // Automotive brake cleaner may leave residue or attack seals.
    assert!(contact("brake-cleaner", "rotor") > Contact::Suits);
    assert_eq!(contact("brake-cleaner", "brake-seals"), Contact::KeepOff);
    // Whatever is oily is kept off rotor and pad.
    for agent in [
        "penetrating-oil",
        "chain-oil",
        "grease",
        "suspension-fluid",
        "mineral-oil",
        "dot-fluid",
        "silicone-polish",
        "sealant",
    ] {
        for surface in ["rotor", "pad"] {
            assert_eq!(contact(agent, surface), Contact::KeepOff, "{agent} on {surface}");
        }
    }
    // Glycol brake fluid takes paint off.
    assert_eq!(contact("dot-fluid", "paint"), Contact::KeepOff);
    // Water jets are not pointed at bearings, seals or electrics.
    for surface in ["bearings", "suspension-seals", "electrics"] {
        assert_eq!(contact("pressure-washer", surface), Contact::KeepOff, "{surface}");
    }
}

/// 16 CFR 1203.6(a)(5): common solvents and cleaners may harm a helmet unseen; mild soap and water are used.
#[test]
fn a_helmet_meets_no_solvent() {
    for agent in ["acetone", "brake-cleaner", "degreaser-solvent", "bleach", "dot-fluid", "penetrating-oil"] {
        assert_eq!(contact(agent, "helmet"), Contact::KeepOff, "{agent}");
    }
    assert!(
        contact("water", "helmet") < Contact::KeepOff && contact("detergent", "helmet") < Contact::KeepOff
    );
}

/// 49 CFR 571.116, S4: glycol fluid goes with EPDM, SBR and natural rubber, petroleum fluid with systems that hold none of them; so
/// neither is poured into the other's system, and either is a matter of care even where it belongs.
#[test]
fn no_fluid_suits_every_brake() {
    assert!(contact("dot-fluid", "brake-seals") > Contact::Suits);
    assert!(contact("mineral-oil", "brake-seals") > Contact::Suits);
}

#[test]
fn routines_keep_the_rotors_clean_and_end_with_a_test_of_the_brakes() {
    let wash = find(tables::routines(), "wash").unwrap();
    let said: Vec<String> = wash.steps.iter().map(|step| step.action.to_lowercase()).collect();
    let first = |word: &str| said.iter().position(|action| action.contains(word));
    assert!(
        first("rotor").unwrap() < first("degreas").or(first("drivetrain")).unwrap(),
        "rotors are covered before the drivetrain is cleaned"
    );
    assert!(said.last().unwrap().contains("brake"), "{:?}", said.last());
    for id in ["wash", "clean-rotor", "bed-in", "after-oil-on-disc"] {
        let routine = find(tables::routines(), id).unwrap();
        assert!(
            routine.steps.len() >= 3 && !routine.cautions().is_empty() && routine.source.len() > 6,
            "{id}"
        );
        assert!(routine.steps.iter().all(|step| !step.why.is_empty()), "{id}");
    }
}
