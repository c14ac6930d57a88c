//! `inspect` and `clean`.

use knockon_trade::inspection::protocols;
use knockon_trade::tables;

use crate::run::{Folder, run};

/// Text without white space, so that lines may break where they like.
fn flat(text: &str) -> String {
    text.split_whitespace().collect()
}

#[test]
fn without_a_name_every_protocol_is_listed() {
    let ran = run(&["inspect"]).fine();
    let json = run(&["inspect", "--json"]).fine().json();
    for (index, protocol) in protocols().iter().enumerate() {
        assert!(
            ran.out.contains(&protocol.id) && flat(&ran.out).contains(&flat(&protocol.title)),
            "{}",
            protocol.id
        );
        assert_eq!(json[index]["protocol"], protocol.id);
    }
}

#[test]
fn it_asks_until_the_answer_is_clear() {
    let folder = Folder::new();
    // A slip, a step back, notes where something is to be written down, and a number of an answer.
    let typed = "all\nknock\nat home\nlime\nb\n2\nbought used\njagged\n40 mm\n";
    let ran = folder.run_with_input(&["inspect", "carbon-frame", "--part", "down tube"], typed);
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert!(ran.out.contains("⊘ Do not ride this frame."), "{}", ran.out);
    for words in ["down tube", "40 mm", "bought used"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    assert!(!ran.out.contains("at home"), "{}", ran.out);
    assert!(
        ran.err.contains("is no answer to this step") && ran.err.contains("Before you look"),
        "{}",
        ran.err
    );
    // Whoever stops has not been told that it is fine.
    let ran = folder.run_with_input(&["inspect", "carbon-frame"], "all\nq\n");
    assert_eq!(ran.status, 1);
    assert!(
        ran.out.contains("This inspection is not finished") && ran.out.contains("Not checked"),
        "{}",
        ran.out
    );
    let ran = folder.run_with_input(&["inspect", "carbon-frame"], "");
    assert_eq!(ran.status, 1);
}

#[test]
fn a_file_of_answers_gives_the_same_and_can_be_written() {
    let folder = Folder::new();
    folder.write(
        "rotor.toml",
        "protocol = \"rotor\"\nbike = \"Larch 150\"\nby = \"Sam\"\n[answers]\ncrack = \"none\"\nbolts = \"tight\"\n\
         heat = \"none\"\nmatch = \"match\"\nmark = \"none\"\nthickness = { answer = \"1.78 mm ± 0.02\", note = \"three places\" }\n\
         runout = 0.1\nphoto = \"none\"\nwho = \"qualified-in-hand\"\n",
    );
    let ran = folder.run(&[
        "inspect",
        "--answers",
        "rotor.toml",
        "--save",
        "again.toml",
        "--html",
        "a.html",
        "--markdown",
        "a.md",
    ]);
    assert_eq!(ran.status, 0, "{}{}", ran.out, ran.err);
    assert!(ran.out.contains("Ride with a check") && ran.out.contains("Larch 150"), "{}", ran.out);
    assert!(folder.read("a.html").contains("Looked at by") && folder.read("a.md").contains("## Caution"));
    let first = folder.run(&["inspect", "rotor", "--answers", "rotor.toml", "--json"]).fine().json();
    let again = folder.run(&["inspect", "rotor", "--answers", "again.toml", "--json"]).fine().json();
    assert_eq!(first, again);
    assert_eq!((&first["grade"], &first["finished"]), (&"ride-with-check".into(), &true.into()));
    // Every caution is in every format.
    for caution in first["cautions"].as_array().expect("a list") {
        let text = flat(caution["text"].as_str().expect("a text"));
        assert!(flat(&ran.out).contains(&text), "{text}");
        assert!(flat(&folder.read("a.md").replace('\\', "")).contains(&text), "{text}");
        let message = folder.run(&["inspect", "--answers", "rotor.toml", "--message"]).fine();
        assert!(flat(&message.out).contains(&text), "{text}");
    }
    // 1.5 mm is the limit where the maker says none; a reading whose tolerance reaches it counts as beyond it.
    let worn = folder.read("rotor.toml").replace("1.78 mm ± 0.02", "1.52 ± 0.05");
    folder.write("worn.toml", worn);
    let ran = folder.run(&["inspect", "--answers", "worn.toml", "--json"]);
    assert_eq!((ran.status, &ran.json()["grade"]), (1, &"do-not-ride".into()));
}

#[test]
fn faults_of_a_file_are_told_with_their_places() {
    let folder = Folder::new();
    folder.write(
        "a.toml",
        "protocol = \"rotor\"\n[answers]\ncrak = \"none\"\nthickness = \"thick\"\nheat = true\n",
    );
    let ran = folder.run(&["inspect", "--answers", "a.toml"]).refused();
    assert!(ran.err.contains("did you mean `crack`?") && ran.err.contains("no number"), "{}", ran.err);
    let ran = folder.run(&["inspect", "hub", "--answers", "a.toml"]).refused();
    assert!(ran.err.contains("this answers `rotor`, not `hub`"), "{}", ran.err);
    let ran = run(&["inspect", "roter"]).refused();
    assert!(ran.err.contains("did you mean `rotor`?"), "{}", ran.err);
    run(&["inspect", "--blank", "x.html"]).refused();
}

#[test]
fn the_form_to_fill_in_by_hand_asks_everything() {
    let folder = Folder::new();
    let ran = folder.run(&["inspect", "helmet", "--blank", "form.html"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let form = folder.read("form.html");
    for step in &knockon_trade::inspection::protocol("helmet").expect("it is there").steps {
        assert!(flat(&form.replace('\u{a0}', " ")).contains(&flat(&step.ask)), "{}", step.ask);
    }
}

#[test]
fn cleaners_and_surfaces_are_told_with_every_caution() {
    let ran = run(&["clean"]).fine();
    assert!(ran.out.contains("isopropyl alcohol") && ran.out.contains("bed-in"), "{}", ran.out);
    let ran = run(&["clean", "brake cleaner", "pads"]);
    // "Brake cleaner" alone could be the bicycle's or the car's: the car's is the one that does harm.
    let json = run(&["clean", "brake-cleaner", "pads", "--json"]).fine().json();
    for caution in json["cautions"].as_array().expect("a list") {
        assert!(flat(&ran.out).contains(&flat(caution.as_str().expect("a text"))), "{caution}");
    }
    let ran = run(&["clean", "wash"]).fine();
    for step in &tables::routines()[0].steps {
        assert!(flat(&ran.out).contains(&flat(&step.action)), "{}", step.action);
    }
    assert_eq!(run(&["clean", "--json"]).fine().json()["contacts"].as_array().expect("a list").len(), 280);
    let ran = run(&["clean", "isopropil alcohol"]).refused();
    assert!(ran.err.contains("did you mean \"Isopropyl alcohol\"?"), "{}", ran.err);
    run(&["clean", "rotor", "pads"]).refused();
    run(&["clean", "wash", "rotor"]).refused();
}
