//! A target dragged: every move of the pointer searches the parts anew.

use std::ops::ControlFlow;

use knockon_sheet::compose::Heading;
use knockon_sheet::compose::backwards::options;
use knockon_trade::backwards::{Asked, reach, wish};

use crate::client::{Client, escape};
use crate::figures::{Figures, Times};
use crate::seed::Seeded;
use crate::server::Server;

/// Steps of grip stack, mm, to either side.
const FAR: i32 = 60;

/// Measures the options that follow one hand.
pub async fn measure(server: &Server, seeded: &Seeded, figures: &mut Figures) {
    let mut client = Client::connect(&server.host).await.expect("the server is there");
    let page = client.get(&format!("/backwards?bike={}", seeded.bike)).await;
    figures.check(page.status.is_success(), || format!("the page of targets: {}", page.status));
    let reach_stays = format!("&wishes={}", escape("grip reach unchanged"));
    let alone = [
        ("a target dragged by one user: options for it", ""),
        ("the same with a second target", &*reach_stays),
    ];
    for (what, also) in alone {
        let mut times = Times::new();
        for by in (-FAR..=FAR).filter(|by| *by != 0) {
            let path = format!("/backwards/live?bike={}&by_grip_stack={by}{also}", seeded.bike);
            let answer = client.get(&path).await;
            times.add(answer.took);
            let proofs = proofs(seeded, by, !also.is_empty());
            let right =
                answer.status.as_u16() == 200 && proofs.iter().all(|proof| answer.body.contains(proof));
            figures.check(right, || format!("{path}: {}, or not all of {proofs:?}", answer.status));
        }
        figures.times(what, &times, "≤ 100");
    }
}

/// What the answer has to hold: its verdict and what each option does, worked out in this process.
fn proofs(seeded: &Seeded, by: i32, reach_stays: bool) -> Vec<String> {
    let record = seeded.record();
    let lines = [Some(format!("grip stack by {by}")), reach_stays.then(|| "grip reach unchanged".to_owned())];
    let wishes = lines.iter().flatten().map(|line| wish::parse(line).expect("a wish"));
    let asked = Asked { most: 6, ..Asked::of(wishes.collect()) };
    let reached = reach(&record, &asked, &mut |_| ControlFlow::Continue(())).expect("options");
    let options = options(&reached, &Heading::default());
    assert!(!options.options.is_empty(), "{by}: nothing moves the grips");
    let done = options.options.iter().flat_map(|option| &option.things).map(|done| done.what.clone());
    [options.verdict.clone()].into_iter().chain(done).collect()
}
