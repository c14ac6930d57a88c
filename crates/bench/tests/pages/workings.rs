//! Gears, chain, brakes, wheels and bolts as pages.

use crate::bench::Bench;

const BIKE: &str = "name = \"Invented\"\nkind = \"rigid\"\n[chart]\nchainstay = 430\nbottom_bracket_drop = 70\n[wheel.front]\ntyre = \"40-622\"\n\
                    [wheel.rear]\ntyre = \"40-622\"\n[crank]\nlength = 170\n[brake.front]\nrotor = 160\n[drivetrain]\nring_teeth = 40\n\
                    cog_teeth = \"11-13-15-18-21-24-28-32-36-42\"\n[rider]\nmass = 80\n";

#[tokio::test]
async fn a_bike_in_depth_with_what_is_tried_on_it() {
    let bench = Bench::empty();
    let bike = bench.bike(BIKE);
    bench.get("/workings").await.is(200).says("Workings").says("Choose a bike").says_not("lowest first");
    let page = bench.get(&format!("/workings?bike={bike}&changes=rings+38&gradient=12&speed=20")).await;
    page.is(200)
        .says("Every gear by its development")
        .says("38 × 42")
        .says("Down 12\u{a0}%")
        .says("it clears no damaged part");
    page.says("Ways to lay the chain").says("Keep it as a question").says("value=\"12\"");
    // A bike's own page leads here.
    bench.get(&format!("/bikes/{bike}")).await.is(200).says(&format!("/workings?bike={bike}"));
}

#[tokio::test]
async fn what_cannot_be_worked_out_says_why() {
    let bench = Bench::empty();
    let bike = bench.bike(BIKE);
    let page = bench.get(&format!("/workings?bike={bike}&speed=0")).await;
    page.is(200).says("That is no way down.").says("A speed of 0 km/h is out of range").says("value=\"0\"");
    let page = bench.get(&format!("/workings?bike={bike}&length=long")).await;
    page.is(200).says("`long` is not a number for the length");
    let page = bench.get(&format!("/workings?bike={bike}&changes=rigns+38")).await;
    page.is(200).says("Please mend this").says("rings");
    let empty = bench.bike("name = \"Nothing\"\n");
    bench.get(&format!("/workings?bike={empty}")).await.is(200).says("says too little");
    bench.get("/workings?changes=rings+38").await.is(200).says("Which bike?");
}

#[tokio::test]
async fn bolts_with_every_caution() {
    let bench = Bench::empty();
    let page = bench.get("/bolts").await;
    page.is(200)
        .says("Stem faceplate")
        .says("left-hand")
        .says("always wins")
        .says("check by hand that nothing turns");
    let page = bench.get("/bolts?joint=faceplate").await;
    page.is(200).says("4 to 6").says_not("Cassette lockring");
    bench.get("/bolts?joint=facplate").await.is(200).says("did you mean");
    let page = bench.get("/bolts?thread=M5&class=8.8&state=greased&torque=5,5").await;
    page.is(200).says("A bolt M5 8.8, greased").says("At 5.5 N·m it clamps with");
    bench.get("/bolts?thread=M5&torque=a+lot").await.is(200).says("`a lot` is not a number for the torque");
    bench
        .get("/bolts?thread=%3Cb%3E")
        .await
        .is(200)
        .says("o thread is called")
        .says("&lt;b&gt;")
        .says_not("<b>");
}
