//! "What do I have?" as a page.

use crate::bench::Bench;

#[tokio::test]
async fn a_reading_lists_the_standards_and_asks_for_the_next() {
    let bench = Bench::empty();
    bench.get("/gauge").await.is(200).says("What do I have?").says("What can be measured, and how");
    let page = bench.get("/gauge?measure=axle_diameter&value=15&measure=&value=").await;
    page.is(200).says("3 standards have these figures").says("15 × 110").says("Measure next: over-locknut");
    // The next row of the form is ready for it, and what was typed stays.
    page.says("value=\"15\"").says("<option value=\"over_locknut\" selected>");
    page.says("its maker’s word goes before it");
    let page = bench.get("/gauge?measure=axle_diameter&value=15&measure=over_locknut&value=110.2").await;
    page.is(200).says("Front axle and hub: 15 × 110").says_not("Measure next");
}

#[tokio::test]
async fn a_reading_that_cannot_be_stays_and_says_why() {
    let bench = Bench::empty();
    let page = bench.get("/gauge?measure=axle_diameter&value=150&measure=over_locknut&value=110").await;
    page.is(200)
        .says("cannot be 150 mm")
        .says("possible is 4 mm to 25 mm")
        .says("value=\"150\"")
        .says("value=\"110\"");
    page.says_not("standards have these figures");
    bench.get("/gauge?measure=&value=27.2").await.is(200).says("Choose what was measured.");
    bench.get("/gauge?measure=nothing&value=27.2").await.is(200).says("Choose what was measured.");
    let page = bench.get("/gauge?measure=post_diameter&value=29.5").await;
    page.is(200).says("No standard has these figures").says("30.0");
    let page = bench.get("/gauge?measure=post_diameter&value=27.2&measure=rotor_diameter&value=160").await;
    page.is(200).says("No part has all of that");
}

/// Nothing that is typed becomes markup.
#[tokio::test]
async fn what_is_typed_is_words() {
    let bench = Bench::empty();
    let page = bench.get("/gauge?measure=axle_diameter&value=%3Cb%3E15%22").await;
    page.is(200).says_not("<b>15").says("&lt;b&gt;15&quot;");
}
