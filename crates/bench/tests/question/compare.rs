//! Two ways side by side.

use crate::bench::{Bench, read};
use crate::form::{encoded, fields, of, value, with};

const FIRST: &str = "bar rise 40";
const INSTEAD: &str = "rear tyre 64-622";

#[test]
fn both_ways_show_their_drawings_verdicts_figures_and_cautions() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("This or that?", Some(bike), FIRST);
    let sheets = [FIRST, INSTEAD].map(|lines| bench.desk.answer_of(id, lines).unwrap().sheet);
    let query = encoded(&of(&[("do", FIRST), ("or", INSTEAD)]));
    for address in [format!("/questions/{id}?{query}"), format!("/questions/{id}/live?{query}")] {
        let page = bench.page(&address);
        let text = read(&page);
        assert_eq!(page.matches("class=\"kd kd-phone\"").count(), 2, "{address}");
        for sheet in &sheets {
            for caution in &sheet.cautions {
                assert!(text.contains(&caution.text), "{address} lost: {}", caution.text);
            }
            assert!(text.contains(&sheet.answer.headline) && text.contains(&sheet.answer.sentences[0]));
            for row in &sheet.knock_ons {
                assert!(text.contains(&format!(
                    "{}{}",
                    row.difference,
                    if row.unit == "mm" { "" } else { &row.unit }
                )));
            }
        }
        // Each has cautions that the other lacks; one that both have stands once.
        let both = sheets[0]
            .cautions
            .iter()
            .find(|note| sheets[1].cautions.iter().any(|other| other.text == note.text));
        assert_eq!(text.matches(&both.expect("the maker's caution is always there").text).count(), 1);
    }
}

#[test]
fn a_second_way_is_opened_worked_on_and_taken() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask("This or that?", Some(bike), FIRST);
    let (address, draft) = (format!("/questions/{id}"), format!("/questions/{id}/draft"));
    let form = fields(&bench.page(&address), "work");
    let page = bench.submit(&draft, &with(&form, "instead", "open"));
    let form = fields(&page, "work");
    assert_eq!((value(&form, "do"), value(&form, "or")), (FIRST, FIRST));
    let page = bench.submit(&draft, &with(&form, "or-v0", "20"));
    let form = fields(&page, "work");
    assert_eq!((value(&form, "do"), value(&form, "or")), (FIRST, "bar rise 20"));
    let page = bench.submit(&draft, &with(&form, "step", "or-0:+1"));
    let form = fields(&page, "work");
    assert_eq!(value(&form, "or"), "bar rise 21");
    let page = bench.submit(&draft, &with(&form, "instead", "take"));
    let form = fields(&page, "work");
    assert_eq!(value(&form, "do"), "bar rise 21");
    assert!(!form.iter().any(|(name, _)| name == "or"));
    let page = bench.submit(&format!("{address}/undo"), &form);
    assert_eq!(value(&fields(&page, "work"), "or"), "bar rise 21");
}
