//! Every page, and how to get there.

use knockon_desk::{NewQuestion, Role, Stamp, Way};

use crate::page::Page;
use crate::site::Site;

/// A page of the site.
pub struct Place<'site> {
    /// What it is called in messages and file names.
    pub name: &'static str,
    way: Box<dyn Fn(&Page) + 'site>,
}

impl<'site> Place<'site> {
    /// Goes there and waits until it is complete.
    #[track_caller]
    pub fn open(&self, page: &Page) {
        (self.way)(page);
        page.loaded();
    }

    fn at(name: &'static str, path: String) -> Place<'site> {
        Place { name, way: Box::new(move |page| page.go(&path)) }
    }

    fn by(name: &'static str, way: impl Fn(&Page) + 'site) -> Place<'site> {
        Place { name, way: Box::new(way) }
    }
}

/// All of them, with something on each.
pub fn every(site: &Site) -> Vec<Place<'_>> {
    [questions(site), bikes(site), sheets(site), others(site)].into_iter().flatten().collect()
}

fn questions(site: &Site) -> Vec<Place<'_>> {
    let lines = "fork axle-to-crown 576\nspacers below 5\nbar rise 40";
    let full = site.ask("Longer fork, stem down, higher bar? The old one has a crack.", "Larch", lines);
    let without_bike = site.desk.ask(
        &NewQuestion {
            asked: "Shorter stem?".into(),
            changes: "stem length 40".into(),
            ..NewQuestion::default()
        },
        &Stamp::now("the tests"),
    );
    let without_bike = without_bike.expect("a question without a bike is kept");
    let linkage = site.ask("The pivot higher?", "Bulrush", "point main pivot up by 4\nchip low");
    vec![
        Place::at("questions", "/questions".into()),
        Place::at("questions-found", "/questions?words=fork".into()),
        Place::at("questions-none", "/questions?words=zzyzx".into()),
        Place::at("question-new", "/questions/new".into()),
        Place::by("question-new-refused", |page| {
            page.expect_trouble("422");
            page.go("/questions/new");
            page.find("button", "Keep and open").click();
            page.reads("Write down what the rider asks");
        }),
        Place::by("question-pile", |page| {
            page.go("/questions/new");
            page.find("textbox", "Messages, pasted").fill(
                "Is a wider tyre all right on my Larch 150?\n\nThe fork is cracked, can I ride home?\n\nHigher bar?",
            );
            page.find("button", "Part the pile").click();
            page.reads("not kept yet");
        }),
        Place::at("question", format!("/questions/{full}")),
        Place::at("question-two-ways", format!("/questions/{full}?do=spacers+below+5&or=bar+rise+40")),
        Place::at("question-bad-line", format!("/questions/{full}?do=stem+lenght+40%0Abar+rise+40")),
        Place::at("question-without-bike", format!("/questions/{without_bike}")),
        Place::at("question-sheet", format!("/questions/{full}/sheet")),
        Place::at("question-linkage", format!("/questions/{linkage}")),
        Place::by("question-linkage-at-sag", move |page| {
            page.go(&format!("/questions/{linkage}?do=point+main+pivot+up+by+4&or=chip+low"));
            page.find("button", "At sag").click();
            page.find("application", "main pivot").js("this.focus()");
        }),
    ]
}

fn bikes(site: &Site) -> Vec<Place<'_>> {
    let bike = site.bike("Larch");
    let linkage = site.bike("Bulrush");
    vec![
        Place::at("bikes", "/bikes".into()),
        Place::at("bike-new", "/bikes/new".into()),
        Place::at("bike-import", "/bikes/import".into()),
        Place::at("bike", format!("/bikes/{bike}")),
        Place::at("bike-linkage", format!("/bikes/{linkage}")),
        Place::at("bike-text", format!("/bikes/{bike}/text")),
        Place::at("bike-history", format!("/bikes/{bike}/history")),
    ]
}

fn sheets(site: &Site) -> Vec<Place<'_>> {
    let stamp = Stamp::now("the tests");
    let question = site.ask("Higher bar?", "Larch", "bar rise 40");
    let code = site.desk.publish(question, Way::First, &stamp).expect("a sheet is published").code;
    site.desk.save_draft(question, "bar rise 35", None, &stamp).expect("a draft is saved");
    site.desk.publish(question, Way::First, &stamp).expect("a revision is published");
    vec![
        Place::at("sheets", "/sheets".into()),
        Place::at("sheet", format!("/s/{code}")),
        Place::at("sheet-replaced", format!("/s/{code}/1")),
    ]
}

fn others(site: &Site) -> Vec<Place<'_>> {
    let run =
        site.inspect("rotor", "A rotor that rubs, is it worn?", &[("crack", "none"), ("bolts", "tight")]);
    let number = site.inspect(
        "rotor",
        "Is the rotor too thin?",
        &[("crack", "none"), ("bolts", "tight"), ("heat", "none"), ("match", "match"), ("mark", "none")],
    );
    let ended =
        site.inspect("carbon-frame", "A crack in the frame?", &[("clean", "all"), ("line", "jagged")]);
    site.desk
        .observe(ended, "happened", "knock", "in a car park", &Stamp::now("the tests"))
        .expect("an answer");
    let photo = site.photo(ended);
    vec![
        Place::at("inspect", "/inspect".into()),
        Place::at("inspect-protocol", "/inspect/carbon-frame".into()),
        Place::at("inspect-form", "/inspect/helmet/form".into()),
        Place::at("inspection-asks", format!("/inspections/{run}")),
        Place::at(
            "inspection-asks-a-number",
            format!("/inspections/{number}?at=thickness&typed=thick&note=three+places"),
        ),
        Place::at("inspection-ended", format!("/inspections/{ended}")),
        Place::at("inspection-sheet", format!("/inspections/{ended}/sheet")),
        Place::at("photo-marks", format!("/photos/{photo}/marks")),
        Place::at("cleaning", "/cleaning".into()),
        Place::at("cleaning-pair", "/cleaning?agent=brake-cleaner&surface=pad".into()),
        Place::at("cleaning-surface", "/cleaning?surface=rotor".into()),
        Place::at("cleaning-routine", "/cleaning?routine=wash".into()),
        Place::at(
            "fits",
            format!(
                "/fits?bike={}&parts=fork+axle-to-crown+560%0Afork+axle+20x110%0Aseat+post+27.2",
                site.bike("Bulrush")
            ),
        ),
        Place::at(
            "workings",
            format!("/workings?bike={}&changes=rings+28-44%0Afront+rotor+180", site.bike("Yarrow")),
        ),
        Place::at("workings-untold", format!("/workings?bike={}&speed=0", site.bike("Sedge"))),
        Place::at("backwards", format!("/backwards?bike={}", site.bike("Larch"))),
        Place::at(
            "backwards-options",
            format!(
                "/backwards?bike={}&by_grip_stack=15&wishes=grip+reach+unchanged+%C2%B1+3",
                site.bike("Larch")
            ),
        ),
        Place::at(
            "backwards-side-by-side",
            format!("/backwards/compare?bike={}&by_grip_stack=15&by_grip_reach=-4", site.bike("Larch")),
        ),
        Place::at(
            "backwards-page-of-its-own",
            format!("/backwards/compare.html?bike={}&by_grip_stack=15&by_grip_reach=-4", site.bike("Larch")),
        ),
        Place::at(
            "backwards-which-of-two",
            format!(
                "/backwards?bike={}&like={}&or={}",
                site.bike("Guelder"),
                site.bike("Larch"),
                site.bike("Bulrush")
            ),
        ),
        Place::at("bolts", "/bolts?joint=stem&thread=M5&torque=5".into()),
        Place::at("gauge", "/gauge?measure=shell_bore&value=41&measure=&value=".into()),
        Place::at("settings", "/settings".into()),
        Place::at("problems", "/problems".into()),
        Place::by("fault", |page| {
            page.expect_trouble("404");
            page.go("/questions/999999");
        }),
        Place::by("log-in", |page| {
            site.desk
                .add_account("Ada Invented", "a long password", Role::Answer, &Stamp::now("the tests"))
                .expect("an account");
            page.go("/log-in");
            page.find("button", "Log in");
            site.desk.remove_account("Ada Invented").expect("the account goes");
        }),
    ]
}
