//! A pile of pasted messages.

use knockon_desk::Filter;

use crate::bench::Bench;

const PILE: &str = "Is a wider tyre all right on my Larch?\r\n\r\nThe fork is cracked, can I ride home?\r\n\r\nAnd the bar too?\r\n";

#[tokio::test]
async fn it_is_shown_how_it_was_parted_before_anything_is_kept() {
    let bench = Bench::empty();
    let bike = bench.bike("name = \"Larch\"\nsize = \"M\"");
    let page = bench.post("/questions/new/pile", &[("pasted", PILE)]).await;
    page.is(200).says("3 messages, not kept yet").says("name=\"asked2\"").says_not("name=\"asked3\"");
    page.says("One has a safety word.").says("<strong>crack</strong>");
    page.says(&format!("<option value=\"{bike}\" selected>"));
    assert_eq!(bench.desk.counts().expect("counts").new, 0);
}

#[tokio::test]
async fn the_chosen_messages_become_questions() {
    let bench = Bench::empty();
    let fields = [
        ("asked0", "One?"),
        ("rider0", "Mara"),
        ("bike0", ""),
        ("taken0", "yes"),
        ("asked1", "Not this."),
        ("rider1", ""),
        ("bike1", ""),
        ("asked2", "Two?"),
        ("taken2", "yes"),
        ("asked3", "still two"),
        ("taken3", "yes"),
        ("joined3", "yes"),
        ("step", "keep"),
    ];
    let reply = bench.post("/questions/new/pile/keep", &fields).await;
    assert_eq!(reply.leads_to(), "/questions?state=new&kept=2");
    let kept = bench.desk.questions(&Filter::default()).expect("a list").rows;
    let kept: Vec<(&str, &str)> = kept.iter().map(|row| (row.asked.as_str(), row.rider.as_str())).collect();
    assert_eq!(kept, [("Two?\n\nstill two", ""), ("One?", "Mara")]);
    bench.get(reply.leads_to()).await.says("2 questions are kept.");
}

#[tokio::test]
async fn messages_can_be_joined_and_looked_at_again() {
    let bench = Bench::empty();
    let fields = [
        ("asked0", "One"),
        ("taken0", "yes"),
        ("asked1", "more"),
        ("taken1", "yes"),
        ("joined1", "yes"),
        ("step", "look"),
    ];
    let page = bench.post("/questions/new/pile/keep", &fields).await;
    page.is(200).says("1 message, not kept yet").says("One\n\nmore</textarea>");
    assert_eq!(bench.desk.counts().expect("counts").new, 0);
}

#[tokio::test]
async fn one_alone_is_opened() {
    let bench = Bench::empty();
    let reply = bench
        .post("/questions/new/pile/keep", &[("asked0", "One?"), ("taken0", "yes"), ("step", "keep")])
        .await;
    assert_eq!(reply.leads_to(), "/questions/1");
}

#[tokio::test]
async fn a_fault_keeps_every_message() {
    let bench = Bench::empty();
    bench
        .post("/questions/new/pile", &[("pasted", " \r\n ")])
        .await
        .is(422)
        .says("Paste at least one message.");
    let many = "one\n---\n".repeat(101);
    let page = bench.post("/questions/new/pile", &[("pasted", &many)]).await;
    page.is(422).says("These are 101 messages");
    assert_eq!(page.body.matches("one\n---").count(), 101);
    let none = bench
        .post("/questions/new/pile/keep", &[("asked0", "One?"), ("rider0", "Mara"), ("step", "keep")])
        .await;
    none.is(422).says("Choose at least one message").says("One?</textarea>").says("value=\"Mara\"");
    // A bike that is gone meanwhile: all or nothing.
    let fields = [
        ("asked0", "One?"),
        ("taken0", "yes"),
        ("asked1", "Two?"),
        ("bike1", "77"),
        ("taken1", "yes"),
        ("step", "keep"),
    ];
    let page = bench.post("/questions/new/pile/keep", &fields).await;
    page.says("Nothing is kept yet.").says("Two?</textarea>");
    assert_eq!(bench.desk.counts().expect("counts").new, 0);
}
