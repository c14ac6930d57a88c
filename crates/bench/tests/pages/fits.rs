//! "Does it fit?" as a page: a few parts, or a whole list.

use crate::bench::Bench;

const BIKE: &str = "name = \"Invented\"\n[frame]\nseat_tube = 31.6\n[fork]\naxle = \"15 × 110\"\n[wheel.front]\naxle = \"15 × 110\"\n\
                    [brake.front]\nmount = \"post mount\"\n";

#[tokio::test]
async fn parts_are_judged_with_what_it_takes_and_every_caution() {
    let bench = Bench::empty();
    let bike = bench.bike(BIKE);
    bench.get("/fits").await.is(200).says("Does it fit?").says("Choose a bike").says_not("Caution");
    let page = bench.get(&format!("/fits?bike={bike}&parts=front+hub+15x100%0D%0Aseat+post+27.2")).await;
    page.is(200)
        .says("Not as it is: it takes what is listed below, and more is still open.")
        .says("A spacer set of 5 mm a side");
    page.says("shim from 27.2 to 31.6").says("can come out").says("it clears no damaged part");
    // What was typed stays, and the address is the state.
    page.says("front hub 15x100").says("seat post 27.2");
    // From here it goes on as a question.
    let next = format!("/questions/new?bike={bike}&changes=front%20hub%2015x100%0Aseat%20post%2027.2");
    page.says("Keep it as a question");
    bench
        .get(&next)
        .await
        .is(200)
        .says("front hub 15x100")
        .says(&format!("<option value=\"{bike}\" selected>"));
    // The bike as it stands.
    let page = bench.get(&format!("/fits?bike={bike}&parts=")).await;
    page.is(200).says("It cannot be said yet.").says("front caliper is post mount");
    let page = bench.get(&format!("/fits?bike={bike}&parts=seat+post+34.9")).await;
    page.is(200).says("It does not go together.").says("Nothing in the tables mends");
}

#[tokio::test]
async fn what_cannot_be_read_stays_and_says_why() {
    let bench = Bench::empty();
    let bike = bench.bike(BIKE);
    let page = bench.get(&format!("/fits?bike={bike}&parts=fork+axle+15x111")).await;
    page.is(200).says("Please mend this").says("15 × 110").says("fork axle 15x111");
    bench.get("/fits?parts=seat+post+27.2").await.is(200).says("Which bike?");
    bench.get("/fits?bike=999&parts=").await.is(404);
    bench.get("/fits?bike=none&parts=seat+post+27.2").await.is(200).says("Which bike?");
}

#[tokio::test]
async fn a_list_is_held_against_the_bike() {
    let bench = Bench::empty();
    let bike = bench.bike(BIKE).to_string();
    let list =
        "part,front hub,seat post,price\nOne,15 × 110,,3\nTwo,20 × 110,,4\nThree,,27.2,5\nBad,15 × 111,,6";
    let page = bench.post("/fits", &[("bike", &bike), ("list", list)]).await;
    page.is(200).says("1 fits, 1 fits with something in between, 1 does not fit");
    page.says("Not everything could be read").says("15 × 111");
    page.says("It takes a shim from 27.2 to 31.6.").says("can come out");
    // The list stays.
    page.says("Three,,27.2,5");
    bench.post("/fits", &[("bike", ""), ("list", list)]).await.is(200).says("Which bike?");
    bench.post("/fits", &[("bike", &bike), ("list", "")]).await.is(200).says("The list is empty");
}

/// Nothing that is typed becomes markup.
#[tokio::test]
async fn what_is_typed_is_words() {
    let bench = Bench::empty();
    let bike = bench.bike(BIKE);
    let page = bench.get(&format!("/fits?bike={bike}&parts=%3Cb%3Ex%22")).await;
    page.is(200).says_not("<b>x").says("&lt;b&gt;x&quot;");
    let page = bench
        .post("/fits", &[("bike", &bike.to_string()), ("list", "part,<i>x</i>,seat post\n<b>One</b>,2,27.2")])
        .await;
    page.is(200).says_not("<b>One").says_not("<i>x").says("&lt;b&gt;One&lt;/b&gt;");
}
