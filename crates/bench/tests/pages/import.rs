//! A geometry table becomes bikes.

use crate::bench::Bench;

const TABLE: &str = "Invented\tS\tM\nReach\t430\t455\nStack\t600\t616\nColour\tred\tblue";

#[tokio::test]
async fn what_was_understood_is_shown_and_nothing_is_kept() {
    let bench = Bench::empty();
    bench.get("/bikes/import").await.is(200).says("multipart/form-data");
    let page = bench
        .upload("/bikes/import", &[("table", TABLE.as_bytes()), ("name", b""), ("kind", b"hardtail")])
        .await;
    page.is(200).says("2 sizes understood, not kept yet").says("Colour").says("Not understood");
    page.says("Invented, size M").says("reach = 455").says("kind = &quot;hardtail&quot;");
    page.says("Reach\t430\t455");
    assert!(bench.desk.bikes("", 0, 5).expect("a list").is_empty());
}

#[tokio::test]
async fn the_chosen_sizes_are_kept() {
    let bench = Bench::empty();
    let record = |size: &str| format!("name = \"Invented\"\r\nsize = \"{size}\"\r\n");
    let (small, medium) = (record("S"), record("M"));
    let fields = [("record0", small.as_str()), ("record1", medium.as_str()), ("taken1", "yes")];
    let reply = bench.post("/bikes/import/keep", &fields).await;
    assert_eq!(reply.leads_to(), "/bikes/1");
    let kept = bench.desk.bike("1".parse().expect("an id")).expect("the bike");
    assert_eq!(
        (kept.text.as_str(), kept.why.as_str()),
        (medium.replace("\r\n", "\n").as_str(), "read from a geometry table")
    );
    let both = [fields.as_slice(), &[("taken0", "yes")]].concat();
    let reply = bench.post("/bikes/import/keep", &both).await;
    assert_eq!(reply.leads_to(), "/bikes?kept=2");
    bench.get(reply.leads_to()).await.says("2 bikes are kept.");
    // The second time they are known already, and not chosen of themselves.
    let page = bench.upload("/bikes/import", &[("table", TABLE.as_bytes())]).await;
    page.says("There is already a bike of this name").says_not("checked");
}

#[tokio::test]
async fn a_file_may_come_in_the_encoding_of_a_spreadsheet() {
    let bench = Bench::empty();
    let page = bench
        .upload("/bikes/import", &[("table", b""), ("file", b"Gr\xF6\xDFe;M\nLenkwinkel;64,5\xB0\n")])
        .await;
    page.is(200).says("1 size understood").says("head_angle = 64.5");
    let record = b"# Mine.\nname = \"Whole\"\n[stem]\nlength = 50\n";
    bench.upload("/bikes/import", &[("file", record)]).await.is(200).says("# Mine.");
}

#[tokio::test]
async fn a_fault_keeps_the_table() {
    let bench = Bench::empty();
    bench.upload("/bikes/import", &[("table", b" ")]).await.is(422).says("Paste the table, or choose a file");
    let page = bench.upload("/bikes/import", &[("table", b"no <table> here"), ("name", b"Mine")]).await;
    page.is(422).says("No size was understood").says("no &lt;table&gt; here</textarea>");
    assert_eq!(page.value_of("name"), "Mine");
    let page = bench.upload("/bikes/import", &[("table", TABLE.as_bytes()), ("file", b"Reach;1")]).await;
    page.is(422).says("came together").says("Reach\t430\t455");
    let page = bench
        .post(
            "/bikes/import/keep",
            &[
                ("record0", "[stem]\nlength = 4000"),
                ("taken0", "yes"),
                ("record1", "name = \"B\""),
                ("taken1", "yes"),
            ],
        )
        .await;
    page.is(422)
        .says("Line 2, column")
        .says("length = 4000</textarea>")
        .says("name = &quot;B&quot;</textarea>");
    bench
        .post("/bikes/import/keep", &[("record0", "name = \"B\"")])
        .await
        .is(422)
        .says("Choose at least one size.");
    assert!(bench.desk.bikes("", 0, 5).expect("a list").is_empty(), "all or nothing");
}
