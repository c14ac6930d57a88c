//! The page's form: a bike, rules to drag, wishes to write, a list of parts.

use knockon_engine::quantity::{Quantities, evaluate};
use knockon_trade::build::Build;
use knockon_trade::findings::unit;
use knockon_trade::record::Record;
use knockon_trade::tables;
use maud::{Markup, html};

use super::asked::{Asked, RULED, Ruled};
use crate::pages::question::rule::{self, Scale, figure};
use crate::pages::questions::choice::Bikes;

/// So many rules stand open.
const OPEN: usize = 2;

pub fn page(asked: &Asked, bikes: &Bikes, record: Option<&Record>, stock: &str, told: &Markup) -> Markup {
    let now = record.and_then(now);
    html! {
        h1 { "Work backwards" }
        p.quiet { "Say what is wanted; every combination of parts that is worth it is weighed, what is on the bike costs nothing." }
        div.backwards {
            form #backwards.backwards-form method="get" action="/backwards" data-live="/backwards/live" {
                div.field {
                    label for="bike" { "Bike" }
                    (bikes.select("bike", "bike", asked.bike, "Choose a bike"))
                }
                @if let Some(now) = &now {
                    ul.changes.rules { @for ruled in RULED.iter().take(OPEN) { (row(asked, ruled, now)) } }
                    details open[RULED.iter().skip(OPEN).any(|ruled| asked.step(ruled.quantity) != 0.0)] {
                        summary { "More that can be dragged" }
                        ul.changes.rules { @for ruled in RULED.iter().skip(OPEN) { (row(asked, ruled, now)) } }
                    }
                }
                div.field {
                    label for="wishes" { "In words, one a line" }
                    textarea id="wishes" name="wishes" rows="4" maxlength="4000" spellcheck="false" autocomplete="off"
                        placeholder="grip reach unchanged ± 3\nno spacers\nbar rise at most 30\nkeep stem\nkeep position\nprice at most 120" { (asked.wishes) }
                    p.quiet.small {
                        "A quantity and what is wanted of it, or what is not accepted. What nobody mentions stays as near as it can to what it is."
                    }
                }
                div.field {
                    label for="like" { "The same position as on" }
                    (bikes.select("like", "like", asked.like, "No other bike"))
                }
                details open[asked.or.is_some() || !asked.as_with.is_empty()] {
                    summary { "Which of two, or what cannot be got" }
                    div.field {
                        label for="or" { "Would this one come nearer?" }
                        (bikes.select("or", "or", asked.or, "No other bike"))
                        p.quiet.small { "Another size, or another bike: both are brought as near as they come." }
                    }
                    div.field {
                        label for="as_with" { "The same result as with, one a line" }
                        textarea id="as_with" name="as_with" rows="2" maxlength="4000" spellcheck="false" autocomplete="off"
                            placeholder="bar rise 40" { (asked.as_with) }
                        p.quiet.small { "By other parts; what cannot be got goes above, as “without bar rise 40”." }
                    }
                }
                details open[!asked.body.is_empty()] {
                    summary { "From the rider’s body" }
                    div.field {
                        label for="body" { "Measures, one a line" }
                        textarea id="body" name="body" rows="3" maxlength="1000" spellcheck="false" autocomplete="off"
                            placeholder="inseam 830\nshoulder width 400\nthigh 420\nlower leg 480" { (asked.body) }
                        p.quiet.small { "Starting points for saddle, cranks and bar; no fitting and no medical advice." }
                    }
                }
                // On a phone the options stand below the form.
                button.primary formaction="/backwards#reached" { "Find the parts" }
                details.drawer open[!asked.stock.is_empty()] {
                    summary { "Parts that are there" }
                    div.field {
                        label for="stock" { "Table, as a spreadsheet copies it" }
                        textarea id="stock" name="stock" rows="6" spellcheck="false" wrap="off" { @if !asked.stock.is_empty() { (asked.stock) } }
                        p.quiet.small {
                            "The first line names the columns: first the part, then phrases of changes such as “stem length” or “bar rise”, then “price” and “count”."
                        }
                    }
                    p { label { input type="checkbox" name="stock_only" value="yes" checked[asked.stock_only]; " Nothing but these" } }
                    button formmethod="post" formaction="/backwards#reached" { "Find with this list" }
                    @if asked.stock.is_empty() && !stock.is_empty() {
                        details { summary { "An invented list to try it with" } pre.sample { (stock) } }
                    }
                }
            }
            div {
                p #reached-state.quiet role="status" {}
                section #reached.reached aria-live="polite" aria-label="Options" { (told) }
            }
        }
    }
}

/// What the bike is now; `None` where its record describes no possible bike.
fn now(record: &Record) -> Option<Quantities<f64>> {
    let build = Build::new(record).ok()?;
    let bike = build.bike.map(|number| number.value);
    let linkage = build.linkage.as_ref().map(|built| built.linkage.map(|number| number.value));
    Some(evaluate(&bike, linkage.as_ref()))
}

/// A rule for one quantity: how far it is to move from where it is.
fn row(asked: &Asked, ruled: &Ruled, now: &Quantities<f64>) -> Markup {
    let Ruled { quantity, far, step } = ruled;
    let known = now[*quantity as usize].is_finite();
    let value = asked.step(*quantity);
    let label = &tables::quantity(*quantity).label;
    let unit = unit(quantity.dimension());
    let id = format!("by_{}", quantity.id());
    let scale = Scale { least: -far, most: *far, value: value.clamp(-far, *far), was: Some(0.0) };
    html! {
        @if known {
            li.change-head.wish data-row=(quantity.id()) {
                span.name { label for=(id) { (label) } }
                span.stepper {
                    button.js-only type="button" data-step="-1" aria-label={ (label) ": " (figure(*step)) " " (unit) " less" } { "−" }
                    input type="number" inputmode="decimal" id=(id) name=(id) value=(value) step=(step) autocomplete="off";
                    button.js-only type="button" data-step="1" aria-label={ (label) ": " (figure(*step)) " " (unit) " more" } { "+" }
                    span.unit { (unit) }
                }
                div.on-rule {
                    (rule::drawing(&scale))
                    input.js-only type="range" min=(scale.least) max=(scale.most) step=(step) value=(scale.value)
                        data-for=(id) data-unit=(unit) aria-label={ (label) ", change wanted" };
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::RULED;

    #[test]
    fn every_rule_holds_whole_steps() {
        for ruled in &RULED {
            let steps = ruled.far / ruled.step;
            assert!((steps - steps.round()).abs() < 1e-9, "{:?}", ruled.quantity);
        }
    }
}
