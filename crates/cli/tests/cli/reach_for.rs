//! `reach-for`: from a wanted result to parts.

use crate::run::{Folder, flat, run};
use crate::words;

const ASK: [&str; 4] = ["reach-for", "demo:larch-150", "grip stack -12", "grip reach unchanged ± 3"];

#[test]
fn options_come_with_how_near_how_sure_and_how_to_try_them() {
    let ran = run(&ASK).fine();
    for part in
        ["It can be reached", "Wanted", "Stays", "Try first", "combinations of", "Caution", "Sources:"]
    {
        assert!(ran.out.contains(part), "{part}: {}", ran.out);
    }
    words!(ran);
}

#[test]
fn json_has_the_same_options_and_changes_that_what_if_takes() {
    let object = run(&[&ASK[..], &["--json"]].concat()).fine().json();
    let options = object["options"].as_array().expect("a list");
    assert!(!options.is_empty() && options.len() <= 6);
    let first: Vec<&str> =
        options[0]["changes"].as_array().expect("a list").iter().filter_map(|it| it.as_str()).collect();
    let answer = run(&[&["what-if", "demo:larch-150", "--json"][..], &first].concat()).json();
    for reached in options[0]["reached"].as_array().expect("a list") {
        let rows = answer["knock_ons"].as_array().expect("a list");
        let row = rows.iter().find(|row| row["quantity"] == reached["quantity"]).expect("the quantity");
        let [a, b] = [&row["difference"], &reached["difference"]].map(|it| it.as_f64().expect("a number"));
        assert!((a - b).abs() < 1e-9, "{reached} {row}");
    }
}

#[test]
fn a_drawer_another_bike_and_another_size() {
    let ran =
        run(&["reach-for", "demo:larch-150", "grip stack +13", "--stock", "demo:drawer", "--stock-only"])
            .fine();
    assert!(
        ran.out.contains("from the list, line") && ran.out.contains("the list has none left"),
        "{}",
        ran.out
    );
    let ran = run(&["reach-for", "demo:guelder-160", "--like", "demo:larch-150", "--or", "demo:bulrush-150"]);
    assert_eq!(ran.status, 0);
    assert!(ran.out.contains("comes nearer") || ran.out.contains("Both come as near"), "{}", ran.out);
    // What one record does not tell is no reason to call the other bike further off.
    let ran = run(&["reach-for", "demo:guelder-160", "--like", "demo:larch-150", "--or", "demo:sedge"]);
    assert!(ran.out.contains("Not weighed, because one of the records does not tell it"), "{}", ran.out);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 100), "{}", ran.out);
    let ran = run(&["reach-for", "demo:larch-150", "--as", "bar rise 40", "--without", "bar rise 40"]).fine();
    assert!(!ran.out.contains("bar rise 40"), "{}", ran.out);
}

/// 0.883 · 810 = 715.2 and 1.09 · 810 − 170 = 712.9 mm of saddle height: the record's 735 mm comes down.
#[test]
fn a_body_says_where_to_begin_and_that_it_is_no_fitting() {
    let ran = run(&["reach-for", "demo:larch-150", "--body", "inseam 810"]);
    assert_eq!(ran.status, 0);
    assert!(
        ran.err.contains("no fitting and no medical advice") && ran.err.contains("Ask a qualified fitter"),
        "{}",
        ran.err
    );
    assert!(ran.out.contains("saddle height by −"), "{}", ran.out);
    let ran = run(&["reach-for", "demo:larch-150", "--body", "inseem 810"]);
    assert!(ran.status == 2 && ran.err.contains("did you mean `inseam`?"), "{}", ran.err);
}

#[test]
fn side_by_side_in_files() {
    let folder = Folder::new();
    let files = ["--compare", "1,2", "--html", "a.html", "--markdown", "a.md"];
    let ran = folder.run(&[&ASK[..], &files[..]].concat());
    assert!(ran.err.contains("wrote a.html") && ran.err.contains("wrote a.md"), "{}", ran.err);
    let object = folder.run(&[&ASK[..], &["--json"]].concat()).json();
    for file in ["a.html", "a.md"] {
        let text = folder.read(file);
        assert!(
            text.contains("Option 1") && text.contains("Option 2") && !text.contains("Option 3"),
            "{file}"
        );
        let text = flat(&text.replace('\\', "").replace("&#39;", "'"));
        for caution in object["options"][0]["cautions"].as_array().expect("a list") {
            assert!(text.contains(&flat(caution.as_str().expect("a text"))), "{file}: {caution}");
        }
    }
}

#[test]
fn bad_wishes_are_told_all_at_once_with_status_2() {
    let ran =
        run(&["reach-for", "demo:larch-150", "grip stak +15", "grip reach quite far", "--keep", "stern"]);
    assert_eq!(ran.status, 2);
    for words in ["did you mean `grip stack`?", "`quite far` is not a number", "did you mean `stem`?"] {
        assert!(ran.err.contains(words), "{words}: {}", ran.err);
    }
    words!(ran);
    let ran = run(&["reach-for", "demo:larch-150"]);
    assert!(ran.status == 2 && ran.err.contains("nothing is wanted"), "{}", ran.err);
    let ran = run(&[
        "reach-for",
        "demo:larch-150",
        "grip stack +5",
        "--keep",
        "stem",
        "--keep",
        "bar",
        "--keep",
        "roll",
        "--keep",
        "spacers",
    ]);
    assert!(ran.status == 2 && ran.err.contains("nothing that may be touched"), "{}", ran.err);
    let ran = run(&["reach-for", "demo:larch-150", "grip stack +5", "--stock", "no-such.csv"]);
    assert!(ran.status == 2 && ran.err.contains("no-such.csv"), "{}", ran.err);
}

/// Every wish between quotes in an example of help must be one.
#[test]
fn wishes_in_the_examples_are_wishes() {
    let help = run(&["reach-for", "--help"]).fine();
    let mut tried = 0;
    for line in help.out.lines().filter(|line| line.trim_start().starts_with("knockon reach-for")) {
        if line.contains("--as") {
            continue;
        }
        for wish in line.split('"').skip(1).step_by(2) {
            assert!(knockon_trade::backwards::wish::parse(wish).is_ok(), "{wish}");
            tried += 1;
        }
    }
    assert!(tried >= 6, "{tried} wishes");
    words!(help);
}
