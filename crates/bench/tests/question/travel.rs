//! The rear suspension on the page: there for a bike that has one, the same digits as on the sheet, rows for its changes.

use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::sheet::Sheet;
use knockon_trade::demo;
use knockon_trade::findings::answer;
use knockon_trade::question::{Question, read_changes};

use crate::bench::{Bench, read};
use crate::form::{attribute, encoded, fields, of, value, with};

const PART: &str = "class=\"travel\"";

fn sheet(stem: &str, lines: &[&str]) -> Sheet {
    let changes = read_changes(lines).expect("the changes can be read").changes;
    let record = demo::bike(stem).expect("a bike of the demo");
    let question = Question { asked: String::new(), record, changes, inspections: Vec::new() };
    compose(&answer(question).expect("an answer"), &Heading::default())
}

/// What stands in the attribute of the suspension's part.
fn motion(page: &str) -> serde_json::Value {
    let tag = page.split('<').find(|tag| tag.contains(PART)).expect("the part is there");
    let text = attribute(tag.split('>').next().unwrap_or_default(), "data-travel").expect("what it moves by");
    serde_json::from_str(&text).expect("JSON")
}

#[test]
fn page_and_live_have_the_suspension_with_the_digits_of_the_sheet() {
    let (bench, bike) = Bench::with_bike("bulrush-150");
    let lines = ["point main pivot forward by 5", "point main pivot up by -3"];
    let id = bench.ask("Pivot higher?", Some(bike), &lines.join("\n"));
    let sheet = sheet("bulrush-150", &lines);
    let ride = sheet.ride.as_ref().expect("a full suspension");
    assert!(ride.linkage.is_some() && ride.rows.len() > 5);
    for address in [format!("/questions/{id}"), format!("/questions/{id}/live?width=desk")] {
        let page = bench.page(&address);
        assert_eq!(page.matches(PART).count(), 1, "{address}");
        let part = page.split_once(PART).expect("the part").1;
        let rows: Vec<String> = part.split("<tr").map(|row| read(&format!("<tr{row}"))).collect();
        for told in &ride.rows {
            let row = rows.iter().find(|row| row.starts_with(&told.label));
            let row = row.unwrap_or_else(|| panic!("{address} has no row {}", told.label));
            for figure in told.cells.iter().flat_map(|cell| [&cell.before, &cell.after, &cell.plus_minus]) {
                assert!(row.contains(figure.as_str()), "{address}, {}: {figure} in {row}", told.label);
            }
        }
        for chart in &ride.charts {
            assert!(part.contains(&format!("data-curve=\"{}\"", chart.id)), "{address}: {}", chart.label);
        }
    }
}

#[test]
fn the_script_is_told_every_point_by_the_name_that_a_change_knows() {
    let (bench, bike) = Bench::with_bike("bulrush-150");
    let id = bench.ask("Pivot higher?", Some(bike), "");
    let motion = motion(&bench.page(&format!("/questions/{id}/live")));
    let record = demo::bike("bulrush-150").expect("a bike");
    let told = motion["points"].as_array().expect("points");
    let linkage = record.linkage.expect("a linkage");
    assert_eq!(told.len(), linkage.points.len());
    for (told, known) in told.iter().zip(&linkage.points) {
        assert_eq!(told["name"].as_str(), Some(known.name.as_str()));
        assert!(read_changes(&[&format!("point {} up by 1", known.name)]).is_ok());
        let at = |axis: usize| told["at"][axis].as_f64().expect("a number");
        // The points of a photo are adjusted to what was taped, by no more than a photo is off: two standard deviations.
        let off = (at(0) - known.x.value).hypot(at(1) - known.y.value);
        assert!(off < 30.0, "{}: {off} mm off", known.name);
    }
    // The frame's own numbers stay where the record has them.
    for (axis, published) in [-5.5, 53.5].into_iter().enumerate() {
        let off = told[0]["at"][axis].as_f64().expect("a number") - published;
        assert!(off.abs() < 0.01, "{off}");
    }
    let labels: Vec<&str> =
        motion["shown"].as_array().expect("rows").iter().filter_map(|row| row["label"].as_str()).collect();
    assert_eq!(labels[0], "Vertical travel");
    for label in
        ["Leverage ratio", "Anti-squat", "Pedal kickback", "Head angle", "Trail", "Bottom bracket height"]
    {
        assert!(labels.contains(&label), "{label} in {labels:?}");
    }
    // 150 mm of travel, as the record says, to a millimetre.
    let travel = motion["shown"][0]["values"].as_array().expect("values");
    assert!((travel.last().and_then(serde_json::Value::as_f64).expect("a number") - 150.0).abs() < 2.5);
}

#[test]
fn a_hardtail_has_none_and_two_ways_have_two() {
    let (bench, bike) = Bench::with_bike("sedge");
    assert!(sheet("sedge", &[]).ride.is_none(), "the demo's bike without a rear suspension");
    let id = bench.ask("Higher bar?", Some(bike), "bar rise 40");
    for address in [format!("/questions/{id}"), format!("/questions/{id}/live")] {
        assert!(!bench.page(&address).contains(PART), "{address}");
    }
    let bike = bench.bike("bulrush-150");
    let id = bench.ask("Pivot?", Some(bike), "point main pivot up by 3");
    let two = encoded(&of(&[("do", "point main pivot up by 3"), ("or", "point main pivot forward by 3")]));
    for address in [format!("/questions/{id}?{two}"), format!("/questions/{id}/live?{two}")] {
        let page = bench.page(&address);
        assert_eq!(page.matches(PART).count(), 2, "{address}");
        assert!(page.contains("data-lines=\"do\"") && page.contains("data-lines=\"or\""), "{address}");
    }
}

#[test]
fn a_point_has_a_rule_and_stepper_and_what_names_the_records_own_places_stays_a_line() {
    let (bench, bike) = Bench::with_bike("bulrush-150");
    let id = bench.ask("Pivot?", Some(bike), "point main pivot up by 3\nchip low");
    let address = format!("/questions/{id}");
    let page = bench.page(&address);
    assert!(page.contains("aria-label=\"Point main pivot, up, by\""));
    assert!(page.contains("min=\"-20\" max=\"20\" step=\"1\" value=\"3\""));
    assert!(page.contains("aria-label=\"Point main pivot, up: 1 mm more\""));
    let form = fields(&page, "work");
    assert_eq!((value(&form, "v0"), value(&form, "t1")), ("3", "chip low"));
    let page = bench.submit(&format!("{address}/draft"), &with(&with(&form, "v0", "-4"), "t1", "chip high"));
    let form = fields(&page, "work");
    assert_eq!(value(&form, "do"), "point main pivot up by -4\nchip high");
    let page = bench.page(&format!("{address}?do=idler+off"));
    assert_eq!(value(&fields(&page, "work"), "t0"), "idler off");
}

#[test]
fn the_published_sheet_has_the_part_and_no_script() {
    let (bench, bike) = Bench::with_bike("bulrush-150");
    let id = bench.ask("Pivot?", Some(bike), "point main pivot up by 3");
    let reply = bench.get(&format!("/questions/{id}/sheet.html"));
    let page = reply.text();
    assert!(page.contains(PART) && !page.contains("<script") && !page.contains("type=\"range\""));
    assert!(!reply.policy.contains("script-src"));
}

#[test]
fn a_record_s_own_names_are_words_wherever_they_stand() {
    let hostile = "\\\"><script>alert(1)</script>&";
    let text = demo::bikes().iter().find(|(stem, _)| *stem == "bulrush-150").expect("a bike").1;
    let text = text.replace("\"main pivot\"", &format!("\"{hostile}\""));
    let bench = Bench::empty();
    let bike = bench.desk.add_bike(&text, "for a test", &crate::bench::stamp()).expect("a bike is kept");
    let id = bench.ask("Pivot?", Some(bike), "");
    for address in [format!("/questions/{id}"), format!("/bikes/{bike}")] {
        let page = bench.page(&address);
        assert!(page.contains("script&gt;alert(1)") && !page.contains("<script>alert"), "{address}");
    }
}
