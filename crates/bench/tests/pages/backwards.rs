//! "Work backwards" as pages: what is wanted, the options, and up to four side by side.

use knockon_trade::demo;

use crate::bench::Bench;

fn larch(bench: &Bench) -> String {
    let text = demo::bikes().iter().find(|(name, _)| *name == "larch-150").expect("a demo bike").1;
    bench.bike(text).to_string()
}

#[tokio::test]
async fn what_is_wanted_leads_to_options_with_every_caution() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    bench
        .get("/backwards")
        .await
        .is(200)
        .says("Choose a bike")
        .says("the options appear here")
        .says_not("Caution");
    let page = bench
        .get(&format!("/backwards?bike={bike}&by_grip_stack=-12&wishes=grip+reach+unchanged+%C2%B1+3"))
        .await;
    page.is(200).says("It can be reached").says("Option 1").says("Try first").says("combinations of");
    page.says("Caution").says("Keep it as a question");
    // What was said stays.
    page.says("grip reach unchanged ± 3").says("value=\"-12\"");
    // The script gets the same options without the page around them.
    let live = bench
        .get(&format!("/backwards/live?bike={bike}&by_grip_stack=-12&wishes=grip+reach+unchanged+%C2%B1+3"))
        .await;
    live.is(200).says("Option 1").says("Caution").says_not("<form");
}

#[tokio::test]
async fn what_is_not_accepted_or_cannot_be_read_is_heard() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    let page = bench.get(&format!("/backwards?bike={bike}&wishes=grip+stak+%2B15%0Akeep+stem")).await;
    page.is(200).says("Please mend this").says("Did you mean “grip stack”?").says("keep stem");
    bench.get("/backwards?wishes=grip+stack+%2B15").await.is(200).says("Which bike?");
    bench.get("/backwards?bike=999&by_grip_stack=5").await.is(404);
    bench
        .get(&format!("/backwards?bike={bike}&wishes=keep+stem"))
        .await
        .is(200)
        .says("the options appear here");
    let all_kept = "keep+stem%0Akeep+bar%0Akeep+roll%0Akeep+spacers";
    let page = bench.get(&format!("/backwards?bike={bike}&by_grip_stack=5&wishes={all_kept}")).await;
    page.is(200).says("Nothing that may be touched moves what is wanted.");
    // What is no number is as if nothing was wanted.
    bench
        .get(&format!("/backwards?bike={bike}&by_grip_stack=high"))
        .await
        .is(200)
        .says("the options appear here");
}

#[tokio::test]
async fn a_list_of_parts_is_sent_and_what_it_lacks_is_told() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    let list = "part,bar rise,price,count,colour\nHigh bar,38,25,1,black\nLow bar,10,20,0,grey\nBad bar,high,9,1,red";
    let fields = [("bike", bike.as_str()), ("by_grip_stack", "13"), ("stock", list), ("stock_only", "yes")];
    for path in ["/backwards", "/backwards/live"] {
        let page = bench.post(path, &fields).await;
        page.is(200).says("High bar").says("from the list, line 2").says("about 25 to buy");
        page.says("Low bar: the list has none left")
            .says("Not everything of the list could be read")
            .says("bar rise high");
    }
}

#[tokio::test]
async fn up_to_four_stand_side_by_side() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    let query = format!("bike={bike}&by_grip_stack=15&by_grip_reach=-4&compare=1&compare=3");
    let page = bench.get(&format!("/backwards/compare?{query}")).await;
    page.is(200).says("Option 1").says("Option 3").says_not("Option 2").says("Does it fit?").says("Cautions");
    let file = bench.get(&format!("/backwards/compare.html?{query}")).await;
    file.is(200).says("<!DOCTYPE html>").says("Option 3").says("Sources");
    // Its style is inside: the policy of our own pages would leave it bare.
    assert!(file.header("content-security-policy").contains("style-src 'unsafe-inline'"));
    bench.get("/backwards/compare.html").await.is(422);
    bench.get(&format!("/backwards/compare?bike={bike}")).await.is(200).says("the options appear here");
}

#[tokio::test]
async fn the_position_of_another_bike_is_asked_for() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    let other = demo::bikes().iter().find(|(name, _)| *name == "guelder-160").expect("a demo bike").1;
    let other = bench.bike(other).to_string();
    let page = bench.get(&format!("/backwards?bike={other}&like={bike}")).await;
    page.is(200).says("Wanted").says("Grip stack").says("Option 1");
}

#[tokio::test]
async fn of_two_bikes_the_nearer_is_told_and_each_has_its_options() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    let [guelder, bulrush] = ["guelder-160", "bulrush-150"].map(|name| {
        let text = demo::bikes().iter().find(|(known, _)| *known == name).expect("a demo bike").1;
        bench.bike(text).to_string()
    });
    let page = bench.get(&format!("/backwards?bike={guelder}&like={bike}&or={bulrush}")).await;
    page.is(200).says("Which comes nearer").says("noticeable steps off").says("Options for ");
    page.says(&format!("?bike={bulrush}&amp;like={bike}&amp;or={guelder}"));
    // What is kept of the other bike's options is a question about the other bike.
    page.says(&format!("/questions/new?bike={bulrush}&amp;changes="));
    // A bike is no rival of its own.
    let page = bench.get(&format!("/backwards?bike={guelder}&like={bike}&or={guelder}")).await;
    page.is(200).says("Option 1").says_not("Which comes nearer");
    // Where the other cannot be weighed, that is said, and the first has its options all the same.
    let bare = bench.bike("name = \"Bare\"\n").to_string();
    let page = bench.get(&format!("/backwards?bike={guelder}&like={bike}&or={bare}")).await;
    page.is(200).says("The other bike: ").says("Option 1");
}

#[tokio::test]
async fn every_rule_that_a_bike_shows_can_be_asked_for() {
    let bench = Bench::empty();
    let text = demo::bikes().iter().find(|(known, _)| *known == "guelder-160").expect("a demo bike").1;
    let bike = bench.bike(text).to_string();
    let form = bench.get(&format!("/backwards?bike={bike}")).await;
    form.is(200);
    for (rule, by) in
        [("rear_sag", "-4"), ("lowest_development", "-0.1"), ("head_angle", "-0.5"), ("fork_sag", "5")]
    {
        form.says(&format!("name=\"by_{rule}\""));
        bench.get(&format!("/backwards/live?bike={bike}&by_{rule}={by}")).await.is(200).says("Option 1");
    }
}

#[tokio::test]
async fn the_same_result_without_what_cannot_be_got() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    let page =
        bench.get(&format!("/backwards?bike={bike}&as_with=bar+rise+45&wishes=without+bar+rise+45")).await;
    page.is(200).says("Option 1").says_not("<li>bar rise 45");
    let page = bench.get(&format!("/backwards?bike={bike}&as_with=bar+rize+45")).await;
    page.is(200).says("Please mend this").says("bar rize 45");
}

/// As many parts as fill a list of 150 kB: more than a form takes elsewhere, and far more than an address does.
#[tokio::test]
async fn a_long_list_goes_along_to_the_comparison_and_its_page() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    let mut list = "part,bar rise,price,count\n".to_owned();
    for number in 0..4000 {
        list.push_str(&format!(
            "Bar {number} of an invented drawer,{}.{:02},{},1\n",
            number % 50,
            number % 100,
            10 + number % 90
        ));
    }
    assert!(list.len() > 128 << 10, "{}", list.len());
    let fields = [
        ("bike", bike.as_str()),
        ("by_grip_stack", "13"),
        ("stock", &list),
        ("stock_only", "yes"),
        ("compare", "1"),
        ("compare", "2"),
    ];
    bench.post("/backwards", &fields).await.is(200).says("from the list, line").says("formmethod=\"post\"");
    let page = bench.post("/backwards/compare", &fields).await;
    page.is(200).says("Option 2").says_not("Option 3").says("from the list, line");
    // The way back and the way on take the list along.
    page.says("action=\"/backwards\"").says("action=\"/backwards/compare.html\"").says("Bar 3999 of");
    let file = bench.post("/backwards/compare.html", &fields).await;
    file.is(200).says("<!DOCTYPE html>").says("Option 2").says("from the list, line");
}

/// 0.883 · 810 = 715.2 mm of saddle height, 1.09 · 810 = 882.9 mm from the pedal: the record's 735 mm comes down.
#[tokio::test]
async fn the_body_says_where_to_begin_and_what_is_known_against_it() {
    let bench = Bench::empty();
    let bike = larch(&bench);
    let page = bench.get(&format!("/backwards?bike={bike}&body=inseam+810%0Ashoulder+width+400")).await;
    page.is(200)
        .says("no fitting and no medical advice")
        .says("715 mm")
        .says("Known against it")
        .says("Ask a qualified fitter");
    page.says("saddle height by");
    let page = bench.get(&format!("/backwards?bike={bike}&body=inseem+810")).await;
    page.is(200).says("Please mend this").says("Did you mean “inseam”?");
}
