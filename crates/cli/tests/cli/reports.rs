//! `show`, `audit`, `changes`, `explain`.

use knockon_engine::quantity::Quantity;
use knockon_trade::demo;

use crate::run::{Folder, flat, run};
use crate::words;

#[test]
fn show_tells_what_the_record_says_and_how_it_is_known() {
    let ran = run(&["show", "demo:larch-150"]).fine();
    let row = |name: &str| flat(ran.out.lines().find(|line| line.starts_with(name)).expect(name));
    assert!(row("Stack").starts_with("Stack 616 mm"), "{}", row("Stack"));
    assert!(row("Wheelbase").ends_with("measured, tape"), "{}", row("Wheelbase"));
    assert!(row("Axle to crown allowed").contains("541 to 566 mm"));
}

#[test]
fn every_demo_bike_can_be_shown_and_audited() {
    for (stem, _) in demo::bikes() {
        let name = format!("demo:{stem}");
        for command in ["show", "audit"] {
            let ran = run(&[command, &name]);
            assert_eq!(ran.status, 0, "{command} {name}: {}", ran.err);
            assert!(!ran.out.is_empty());
        }
    }
}

#[test]
fn show_takes_a_record_that_says_nothing() {
    let folder = Folder::new();
    folder.write("empty.toml", "");
    for command in ["show", "audit"] {
        folder.run(&[command, "empty.toml"]).fine();
    }
}

#[test]
fn audit_of_a_chart_that_agrees() {
    let ran = run(&["audit", "demo:larch-150"]).fine();
    assert!(ran.out.contains("agrees with itself"), "{}", ran.out);
    assert!(!ran.out.contains("Suspects"), "{}", ran.out);
}

#[test]
fn audit_of_a_chart_that_contradicts_itself_names_the_suspect() {
    // Its stack was planted 12 mm short.
    let ran = run(&["audit", "demo:bramble"]).fine();
    assert!(ran.out.contains("contradicts itself"), "{}", ran.out);
    let suspects = flat(ran.out.split_once("Suspects").expect("a list of suspects").1);
    assert!(suspects.starts_with("1 Stack is 619.0 mm; the other rows say 631"), "{suspects}");
    words!(ran);
}

#[test]
fn audit_finds_a_wheelbase_with_a_digit_wrong() {
    let folder = Folder::new();
    let larch = include_str!("../../../../demo/bikes/hornbeam-170.toml");
    folder.write("slip.toml", larch.replace("wheelbase = 1266", "wheelbase = 1226"));
    let ran = folder.run(&["audit", "slip.toml"]);
    let suspects = flat(ran.out.split_once("Suspects").expect("a list of suspects").1).to_lowercase();
    assert!(suspects.contains("wheelbase"), "{suspects}");
}

#[test]
fn every_example_of_changes_is_a_change() {
    let ran = run(&["changes"]).fine();
    let table = ran.out.split_once("example\n").expect("a table").1.split("\n\n").next().unwrap();
    let mut examples = Vec::new();
    for line in table.lines() {
        // Two spaces or more stand between two cells.
        let example = line.rsplit("  ").next().unwrap().trim();
        // Points and chips have the names of a record that has them.
        let own = ["chip ", "point "].iter().any(|word| example.starts_with(word));
        let bike = if own { "demo:bulrush-150" } else { "demo:yarrow" };
        let ran = run(&["what-if", bike, example, "--json"]);
        assert!(ran.status < 2, "{example}: {}", ran.err);
        assert_eq!(ran.json()["revisions"][0]["change"], example);
        examples.push(example);
    }
    assert!(examples.len() > 30, "{examples:?}");
    words!(ran);
}

#[test]
fn explain_knows_a_quantity_by_its_name_and_by_its_label() {
    let by_name = run(&["explain", "wheel_flop"]).fine();
    for part in ["Formula", "Convention", "Measure", "Source"] {
        assert!(by_name.out.contains(part), "{part}");
    }
    for other in ["Wheel flop", "wheel-flop", "WHEEL FLOP"] {
        assert_eq!(run(&["explain", other]).fine().out, by_name.out, "{other}");
    }
    words!(by_name);
}

#[test]
fn explain_alone_lists_every_quantity_and_knows_each() {
    let ran = run(&["explain"]).fine();
    let listed: Vec<&str> = ran.out.lines().collect();
    let engine: Vec<&str> = Quantity::ALL.iter().map(|quantity| quantity.id()).collect();
    assert_eq!(listed, engine);
    for name in listed {
        assert!(run(&["explain", name]).fine().out.contains(&format!("({name})")), "{name}");
    }
}

#[test]
fn explain_suggests_the_nearest_name() {
    let ran = run(&["explain", "head_angel"]).refused();
    assert!(ran.err.contains("no quantity is called `head_angel`"), "{}", ran.err);
    assert!(ran.err.contains("did you mean `head_angle`?"), "{}", ran.err);
    let ran = run(&["explain", "zzz"]).refused();
    assert!(ran.err.contains("`knockon explain` lists every quantity"), "{}", ran.err);
}
