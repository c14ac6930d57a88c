//! Every operation is called at least once and answers as it is described.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::bench::{Bench, Reply};
use crate::document::{Operation, as_described, keeps_to, operations, prefix};

/// A picture of one pixel.
const PIXEL: &str =
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==";

/// Calls operations by name and keeps account.
struct Walk {
    bench: Bench,
    operations: std::collections::BTreeMap<String, Operation>,
    called: BTreeSet<String>,
}

impl Walk {
    /// Calls an operation. `place` fills the braces of its path in order, and what follows after `?` is its query.
    async fn call(
        &mut self,
        name: &str,
        place: &[&str],
        query: &str,
        body: Option<Value>,
        status: u16,
    ) -> Reply {
        let operation = self.operations.get(name).unwrap_or_else(|| panic!("no operation {name}")).clone();
        let mut path = operation.template.clone();
        for value in place {
            let (open, close) = (path.find('{').expect("a brace"), path.find('}').expect("a brace"));
            path.replace_range(open..=close, value);
        }
        assert!(!path.contains('{'), "{path}: a value is missing");
        if let Some(body) = &body {
            let schema = &operation.about["requestBody"]["content"]["application/json"]["schema"];
            keeps_to(schema, body, &format!("{name}, request"));
        }
        let path = format!("{}{path}{query}", prefix());
        let reply = self.bench.json(operation.method.clone(), &path, body.as_ref()).await;
        assert_eq!(reply.status.as_u16(), status, "{name}: {}", String::from_utf8_lossy(&reply.body));
        as_described(&operation, &reply, name);
        self.called.insert(name.to_owned());
        reply
    }

    async fn read(&mut self, name: &str, place: &[&str], query: &str) -> Value {
        self.call(name, place, query, None, 200).await.value()
    }

    async fn write(&mut self, name: &str, place: &[&str], body: Value) -> Value {
        self.call(name, place, "", Some(body), 200).await.value()
    }

    async fn make(&mut self, name: &str, place: &[&str], body: Value) -> Value {
        self.call(name, place, "", Some(body), 201).await.value()
    }
}

#[tokio::test]
async fn every_operation_answers_as_it_is_described() {
    let mut walk = Walk { bench: Bench::demo(), operations: operations(), called: BTreeSet::new() };
    let bike = bikes(&mut walk).await;
    let question = questions(&mut walk, &bike).await;
    answers(&mut walk, &bike, &question).await;
    options(&mut walk, &bike).await;
    photos(&mut walk, &question).await;
    inspections(&mut walk, &question).await;
    sheets(&mut walk, &question).await;
    likeness(&mut walk, &question).await;
    the_rest(&mut walk).await;
    let all: BTreeSet<String> = walk.operations.keys().cloned().collect();
    assert_eq!(walk.called, all, "operations that nobody called");
}

async fn bikes(walk: &mut Walk) -> String {
    let list = walk.read("list_bikes", &[], "?limit=2").await;
    assert_eq!((list["bikes"].as_array().map(Vec::len), &list["more"]), (Some(2), &json!(true)));
    let record = "name = \"Willow\"\nsize = \"M\"\n[chart]\nstack = 612\nreach = 430\n";
    let bike = walk.make("add_bike", &[], json!({ "record": record, "why": "from the chart" })).await;
    assert_eq!((&bike["title"], &bike["version"]), (&json!("Willow, size M"), &json!(1)));
    assert_eq!((&bike["record"], &bike["why"]), (&json!(record), &json!("from the chart")));
    let id = bike["id"].to_string();
    let found = walk.read("list_bikes", &[], "?words=willow").await;
    assert_eq!(found["bikes"][0]["id"], bike["id"]);
    let longer = record.replace("430", "440");
    let saved =
        walk.write("save_bike", &[&id], json!({ "record": longer, "why": "measured", "version": 1 })).await;
    assert_eq!((&saved["version"], &saved["record"]), (&json!(2), &json!(longer)));
    assert_eq!(walk.read("bike", &[&id], "").await, saved);
    let restored = walk.write("restore_bike", &[&id], json!({ "version": 1 })).await;
    assert_eq!((&restored["version"], &restored["record"]), (&json!(3), &json!(record)));
    let history = walk.read("bike_history", &[&id], "").await;
    let versions: Vec<&Value> =
        history["versions"].as_array().unwrap().iter().map(|one| &one["version"]).collect();
    assert_eq!(versions, [3, 2, 1]);
    assert_eq!(walk.read("bike_version", &[&id, "2"], "").await["record"], longer.as_str());
    let table = "Size\tS\tM\nReach\t430\t455\nStack\t612\t621\nPaint\tred\tblue\n";
    let shown =
        walk.write("read_table", &[], json!({ "table": table, "name": "Rowan", "kind": "hardtail" })).await;
    assert_eq!(shown["sizes"].as_array().map(Vec::len), Some(2));
    assert_eq!((&shown["sizes"][1]["bike"], &shown["not_understood"][0]["line"]), (&Value::Null, &json!(4)));
    assert_eq!(walk.read("list_bikes", &[], "?words=rowan").await["bikes"], json!([]));
    let kept = walk.write("read_table", &[], json!({ "table": table, "name": "Rowan", "keep": true })).await;
    let added = walk.read("bike", &[&kept["sizes"][1]["bike"].to_string()], "").await;
    assert_eq!((&added["title"], &added["record"]), (&json!("Rowan, size M"), &kept["sizes"][1]["record"]));
    id
}

async fn questions(walk: &mut Walk, bike: &str) -> String {
    let bike: i64 = bike.parse().unwrap();
    let new = json!({ "asked": "Is a shorter stem safe? My bar is cracked.", "rider": "Ash", "bike": bike,
        "changes": "stem length 40" });
    let question = walk.make("ask", &[], new).await;
    assert_eq!((&question["bike"], &question["state"]), (&json!(bike), &json!("new")));
    assert_eq!(question["draft"]["changes"], "stem length 40");
    assert!(!question["urgent"].as_array().unwrap().is_empty(), "a cracked bar is urgent");
    let id = question["id"].to_string();
    let least = walk.make("ask", &[], json!({ "asked": "What fork travel?" })).await;
    assert_eq!((&least["bike"], &least["rider"]), (&Value::Null, &json!("")));
    assert_eq!(walk.read("question", &[&id], "").await, question);
    for query in ["", "?state=new", "?urgent=true", "?words=cracked%20bar", &format!("?bike={bike}")] {
        let list = walk.read("list_questions", &[], query).await;
        let rows = list["questions"].as_array().unwrap();
        assert!(rows.iter().any(|row| row["id"] == question["id"]), "{query}: {list:#}");
    }
    let found = walk.read("list_questions", &[], "?words=cracked").await;
    let pieces = found["questions"][0]["excerpt"].as_array().expect("an excerpt");
    assert!(pieces.iter().any(|piece| piece["hit"] == true));
    let counts = walk.read("counts", &[], "").await;
    assert!(counts["new"].as_u64() >= Some(2) && counts["urgent"].as_u64() >= Some(1), "{counts}");

    let edit = json!({ "asked": question["asked"], "rider": "Ash, by the river", "bike": bike, "notes": "rang back",
        "state": "set-aside", "version": question["version"] });
    let edited = walk.write("edit_question", &[&id], edit).await;
    assert_eq!((&edited["notes"], &edited["state"]), (&json!("rang back"), &json!("set-aside")));
    assert_ne!(edited["version"], question["version"]);
    let listed = walk.read("list_questions", &[], "?state=set-aside").await;
    assert!(listed["questions"].as_array().unwrap().iter().any(|row| row["id"] == question["id"]));

    let draft = json!({ "changes": "stem length 35\nbar rise 40", "instead": "bar rise 50" });
    let saved = walk.write("save_draft", &[&id], draft.clone()).await;
    assert_eq!(
        (&saved["draft"]["changes"], &saved["draft"]["instead"]),
        (&draft["changes"], &draft["instead"])
    );
    assert_eq!((&saved["can_undo"], &saved["can_redo"]), (&json!(true), &json!(false)));
    let undone = walk.read("undo", &[&id], "").await;
    assert_eq!((&undone["draft"]["changes"], &undone["can_redo"]), (&json!("stem length 40"), &json!(true)));
    let redone = walk.read("redo", &[&id], "").await;
    assert_eq!(redone["draft"], saved["draft"]);

    id
}

async fn answers(walk: &mut Walk, bike: &str, question: &str) {
    let bike: i64 = bike.parse().unwrap();
    let changes = json!(["stem length 35", "bar rise 40"]);
    let by_bike = walk.write("answer", &[], json!({ "bike": bike, "changes": changes })).await;
    let record = walk.read("bike", &[&bike.to_string()], "").await["record"].clone();
    let by_record = walk.write("answer", &[], json!({ "record": record, "changes": changes })).await;
    let way = json!({ "gradient": 12, "length": 3, "speed": 20, "front_share": 55, "air": 25 });
    let deep = walk
        .write(
            "answer",
            &[],
            json!({ "record": "[brake.front]\nrotor = 160", "changes": [], "in_depth": true, "way": way }),
        )
        .await;
    assert_eq!(deep["in_depth"]["brakes"]["way"]["gradient"], 12.0);
    assert_eq!(by_bike, by_record);
    let stored = walk.read("answer_of_question", &[question], "").await;
    assert_eq!(stored["knock_ons"], by_bike["knock_ons"]);
    let other = walk.read("answer_of_question", &[question], "?way=instead").await;
    assert_eq!(other["revisions"][0]["change"], "bar rise 50");
    let tried = walk.read("answer_of_question", &[question], "?changes=bar%20rise%2030").await;
    assert_eq!(tried["revisions"][0]["change"], "bar rise 30");
}

async fn options(walk: &mut Walk, bike: &str) {
    let number: i64 = bike.parse().unwrap();
    let wishes = json!(["grip stack +12", "grip reach unchanged ± 3", "keep stem"]);
    let by_bike = walk.write("options", &[], json!({ "bike": number, "wishes": wishes, "most": 3 })).await;
    assert!(by_bike["options"].as_array().unwrap().len() <= 3);
    let record = walk.read("bike", &[bike], "").await["record"].clone();
    let by_record =
        walk.write("options", &[], json!({ "record": record, "wishes": wishes, "most": 3 })).await;
    assert_eq!(by_bike, by_record);
    let stock = "part,bar rise,price,count\nHigh bar,40,20,1";
    let sent = json!({ "bike": number, "wishes": ["grip stack +5"], "stock": stock, "stock_only": true });
    walk.write("options", &[], sent).await;
    // Its chart alone tells of no contact point.
    let reply = walk.call("options", &[], "", Some(json!({ "bike": number, "like": number })), 422).await;
    assert!(String::from_utf8_lossy(&reply.body).contains("no contact point in common"));
    let whole =
        knockon_trade::demo::bikes().iter().find(|(name, _)| *name == "larch-150").expect("a demo bike").1;
    let sent = json!({ "record": whole, "as_with": ["bar rise 40"], "wishes": ["without bar rise 40"] });
    walk.write("options", &[], sent).await;
    for (sent, why) in [
        (json!({ "bike": number, "wishes": ["grip stak +5"] }), "nothing that could be wanted"),
        (json!({ "bike": number, "wishes": [] }), "nothing is wanted"),
        (
            json!({ "bike": number, "wishes": ["grip stack +5"], "stock": "part,bar rise\nBad,high" }),
            "bar rise high",
        ),
        (json!({ "wishes": ["grip stack +5"] }), "one bike"),
    ] {
        let reply = walk.call("options", &[], "", Some(sent), 422).await;
        let told = String::from_utf8_lossy(&reply.body).to_lowercase();
        assert!(told.contains(why), "{told}");
    }
}

async fn photos(walk: &mut Walk, question: &str) {
    let photo = walk.make("add_photo", &[question], json!({ "caption": "the bar", "picture": PIXEL })).await;
    assert_eq!(
        (&photo["caption"], &photo["width"], &photo["height"]),
        (&json!("the bar"), &json!(1), &json!(1))
    );
    let id = photo["id"].to_string();
    assert_eq!(walk.read("list_photos", &[question], "").await["photos"], json!([photo]));
    let picture = walk.call("photo", &[&id], "", None, 200).await;
    assert!(picture.body.starts_with(&[0xff, 0xd8, 0xff]), "a JPEG, whatever was sent");
    walk.call("remove_photo", &[&id], "", None, 204).await;
    assert_eq!(walk.read("list_photos", &[question], "").await["photos"], json!([]));
}

async fn inspections(walk: &mut Walk, question: &str) {
    let list = walk.read("list_protocols", &[], "").await;
    let protocols = list["protocols"].as_array().unwrap();
    assert_eq!(protocols.len(), knockon_trade::inspection::protocols().len());
    let rotor = protocols.iter().find(|it| it["protocol"] == "rotor").unwrap();
    assert!(
        rotor["steps"]
            .as_array()
            .unwrap()
            .iter()
            .any(|step| step["step"] == "thickness" && step["unit"] == "mm")
    );

    let answers = json!({ "crack": { "answer": "none" }, "mark": { "answer": "none" },
        "thickness": { "answer": "1.42 ± 0.02", "note": "three places" } });
    let sent = json!({ "protocol": "rotor", "part": "front", "answers": answers });
    let judged = walk.write("judge", &[], sent.clone()).await;
    assert_eq!((&judged["grade"], &judged["part"]), (&json!("do-not-ride"), &json!("front")));
    assert!(!judged["cautions"].as_array().unwrap().is_empty());

    let kept = walk.make("add_inspection", &[question], sent).await;
    assert_eq!((&kept["protocol"], &kept["grade"]), (&json!("rotor"), &json!("do-not-ride")));
    let listed = walk.read("list_inspections", &[question], "").await;
    assert_eq!(listed["inspections"], json!([kept]));
    let whole = walk.read("inspection", &[&kept["id"].to_string()], "").await;
    assert_eq!((&whole["found"], &whole["grade"]), (&judged["found"], &judged["grade"]));
    let answer = walk.read("answer_of_question", &[question], "").await;
    assert_eq!(
        (&answer["inspections"][0]["grade"], &answer["verdicts"][0]["requirement"]),
        (&json!("do-not-ride"), &json!("inspection"))
    );
}

async fn sheets(walk: &mut Walk, question: &str) {
    let first = walk.make("publish", &[question], json!({})).await;
    let second = walk.make("publish", &[question], json!({ "way": "instead" })).await;
    assert_eq!(first["code"], second["code"]);
    assert_eq!(
        (&first["revision"], &second["revision"], &second["newest"]),
        (&json!(1), &json!(2), &json!(2))
    );
    assert_eq!(walk.read("question", &[question], "").await["state"], "answered");
    let code = first["code"].as_str().unwrap();
    assert_eq!(walk.read("sheet", &[code], "").await, second);
    let old = walk.read("sheet_revision", &[code, "1"], "").await;
    assert_eq!(
        (&old["revision"], &old["newest"], &old["headline"]),
        (&json!(1), &json!(2), &first["headline"])
    );
    let listed = walk.read("list_sheets", &[], "?limit=1").await;
    assert_eq!((&listed["sheets"][0]["code"], &listed["more"]), (&first["code"], &json!(true)));
    for (format, kind, begins) in [
        ("html", "text/html", "<!DOCTYPE html>"),
        ("svg", "image/svg+xml", "<"),
        ("md", "text/markdown", ""),
        ("txt", "text/plain", ""),
        ("json", "application/json", "{"),
    ] {
        let file = walk.call("sheet_file", &[code, "1", format], "", None, 200).await;
        assert_eq!(file.kind(), kind);
        assert!(file.text().starts_with(begins) && file.body.len() > 500, "{format}");
        let disposition = file.headers["content-disposition"].to_str().unwrap();
        assert!(disposition.starts_with("attachment"), "{format}");
    }
}

/// A question like one that was answered is shown that one.
async fn likeness(walk: &mut Walk, answered: &str) {
    let text = "Is%20my%20cracked%20bar%20safe%20with%20a%20shorter%20stem";
    let alike = walk.read("alike_text", &[], &format!("?text={text}&limit=3")).await;
    assert_eq!(alike["questions"][0]["id"].to_string(), answered, "{alike:#}");
    let asked = "A shorter stem on a cracked bar, is that safe?";
    let other = walk.make("ask", &[], json!({ "asked": asked, "changes": "stem length 30" })).await;
    let alike = walk.read("alike", &[&other["id"].to_string()], "?limit=3").await;
    assert_eq!(alike["questions"][0]["id"].to_string(), answered, "{alike:#}");
}

async fn the_rest(walk: &mut Walk) {
    let mut settings = walk.read("settings", &[], "").await;
    settings["drawn_by"] = json!("Kim");
    settings["length"] = json!("inch");
    assert_eq!(walk.write("save_settings", &[], settings.clone()).await, settings);
    assert_eq!(walk.read("settings", &[], "").await, settings);
    assert_eq!(walk.read("health", &[], "").await["visitor"], "Kim");

    let changes = walk.read("list_changes", &[], "").await;
    let changes = changes["changes"].as_array().unwrap();
    for change in changes {
        let example = change["example"].as_str().unwrap();
        let read = knockon_trade::change::parse(example).unwrap_or_else(|error| panic!("{example}: {error}"));
        assert_eq!(change["label"], read.change.label().as_ref(), "{example}");
        assert!(read.warning.is_none(), "{example}");
    }
    assert!(changes.iter().any(|change| change["phrase"] == "rear tyre") && changes.len() > 20);

    let list = walk.read("list_quantities", &[], "").await;
    assert_eq!(list["quantities"].as_array().map(Vec::len), Some(59));
    let flop = walk.read("quantity", &["wheel_flop"], "").await;
    assert_eq!((&flop["label"], &flop["unit"]), (&json!("Wheel flop"), &json!("mm")));
    assert!(list["quantities"].as_array().unwrap().contains(&flop));

    let description = walk.read("own_description", &[], "").await;
    assert_eq!(description, *crate::document::DOCUMENT);
}
