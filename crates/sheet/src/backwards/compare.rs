//! Up to four options side by side: as a page, as its parts for another page, and in Markdown.

use maud::{DOCTYPE, Markup, PreEscaped, html as markup};

use super::text::AS_GOOD;
use super::{MOST_COMPARED, Options, Proposed, Reached};
use crate::drawing::{Page, drawing_css};
use crate::html::{Parts, mark, style_of_sheets};
use crate::lettering::font_face_css;
use crate::markdown::escape::escaped;
use crate::sheet::KnockOnRow;
use crate::tie::tied;
use crate::tone;

/// Look of the comparison, wherever it stands. Rows of all options stand on one line: how many there are is a class, since a page may not
/// allow styles in its markup.
pub fn compare_css() -> String {
    let spans = (FIXED_ROWS..=MOST_ROWS)
        .map(|rows| format!("  .options.rows-{rows} > .option {{ grid-row: span {rows}; }}\n"));
    let spans: String = spans.collect();
    format!("{}@media (min-width: 60rem), print {{\n{spans}}}\n", include_str!("compare.css"))
}

/// Number, drawing, what is done, price, fit, trial.
const FIXED_ROWS: usize = 6;
/// More rows than there can be: one for every quantity.
const MOST_ROWS: usize = FIXED_ROWS + 40;

/// So many of the other quantities that move get a row.
const MOST_OTHERS: usize = 8;

/// The chosen options, by their numbers and in that order; at most [`MOST_COMPARED`], each once.
fn chosen<'a>(options: &'a Options, numbers: &[usize]) -> Vec<&'a Proposed> {
    let mut chosen: Vec<&Proposed> = Vec::new();
    for number in numbers {
        let found = options.options.iter().find(|option| option.number == *number);
        if let Some(option) = found.filter(|option| chosen.iter().all(|it| it.number != option.number)) {
            chosen.push(option);
        }
    }
    chosen.truncate(MOST_COMPARED);
    chosen
}

/// What moves beside what is wanted: quantities that some option moves noticeably, each option's row where it has one.
fn others<'a>(chosen: &[&'a Proposed]) -> Vec<(&'a str, Vec<Option<&'a KnockOnRow>>)> {
    let mut labels: Vec<&str> = Vec::new();
    for option in chosen {
        let wanted = |label: &str| option.reached.iter().any(|it| it.row == label);
        for row in option.sheet.knock_ons.iter().filter(|row| !wanted(&row.label)) {
            if !labels.contains(&row.label.as_str()) {
                labels.push(&row.label);
            }
        }
    }
    labels.truncate(MOST_OTHERS);
    let of = |label: &str| {
        chosen.iter().map(|option| option.sheet.knock_ons.iter().find(|row| row.label == label)).collect()
    };
    labels.into_iter().map(|label| (label, of(label))).collect()
}

/// The page, whole and self-contained.
pub fn comparison(options: &Options, numbers: &[usize], workshop: &str, drawn: &str) -> String {
    let markup = markup! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "Options side by side – " (tied(&options.bike)) }
                style { (PreEscaped(font_face_css())) (PreEscaped(style_of_sheets())) (PreEscaped(drawing_css())) (PreEscaped(compare_css())) }
            }
            body {
                main.comparison {
                    header.head {
                        h1 { (tied(&options.verdict)) }
                        p { (tied(&options.bike)) }
                        @for line in [workshop, drawn].into_iter().filter(|line| !line.is_empty()) { p { (tied(line)) } }
                    }
                    (comparison_parts(options, numbers))
                }
            }
        }
    };
    markup.into_string()
}

/// What was wanted, the options side by side, and every caution.
pub fn comparison_parts(options: &Options, numbers: &[usize]) -> Markup {
    let chosen = chosen(options, numbers);
    let others = others(&chosen);
    markup! {
        (wanted(options))
        div class={ "options of-" (chosen.len().max(1)) " rows-" (rows(options, others.len())) } {
            @for (at, option) in chosen.iter().enumerate() {
                (column(option, &others, at))
            }
        }
        (cautions(options))
    }
}

/// What was asked for, what stays, and how the bike stands to that.
fn wanted(options: &Options) -> Markup {
    markup! {
        dl.wanted {
            div { dt { "Wanted" } dd { (tied(&options.wanted.join("; "))) } }
            @if !options.stays.is_empty() {
                div { dt { "Stays" } dd { (tied(&options.stays.join(", "))) ", because nothing else was said" } }
            }
            @for note in &options.notes { div { dt { "Note" } dd { (tied(note)) } } }
        }
    }
}

/// One row for each quantity, and those that are always there.
fn rows(options: &Options, others: usize) -> usize {
    (FIXED_ROWS + options.now.len() + others).min(MOST_ROWS)
}

fn column(option: &Proposed, others: &[(&str, Vec<Option<&KnockOnRow>>)], at: usize) -> Markup {
    let ids = format!("option-{}-", option.number);
    let parts = Parts::of(&option.sheet).with_ids(&ids);
    let row = |label: &str, content: Markup| markup! { div.row { span.label { (label) } div { (content) } } };
    markup! {
        section.option aria-labelledby={ "option-" (option.number) } {
            h2 id={ "option-" (option.number) } {
                "Option " (option.number) ": " (option.title)
                @if option.as_good { small { (AS_GOOD) } }
            }
            div.drawing { (parts.elevation(Page::Phone)) }
            (row("What is done", things(option)))
            (row("Price", markup! { (tied(&option.price)) }))
            @for reached in &option.reached { (row(&reached.label, reached_cell(reached))) }
            @for (label, cells) in others {
                (row(label, markup! {
                    @match cells.get(at).copied().flatten() {
                        Some(cell) => { (with_unit(&cell.difference, &cell.unit)) " " small { "±" (with_unit(&cell.plus_minus, &cell.unit)) } }
                        None => { span.still { "no change" } }
                    }
                }))
            }
            (row("Does it fit?", markup! { ul.limits { (fit(option)) } }))
            (row("Try first", trial(option)))
        }
    }
}

/// A figure that stands alone in its cell.
fn with_unit(text: &str, unit: &str) -> String {
    match unit {
        "" => text.to_owned(),
        "°" => format!("{text}°"),
        unit => format!("{text}\u{a0}{unit}"),
    }
}

fn things(option: &Proposed) -> Markup {
    markup! {
        ul.things {
            @for done in &option.things {
                li { b { (done.slot) } (tied(&done.what)) " " small { (tied(&done.from)) } }
            }
        }
    }
}

fn reached_cell(reached: &Reached) -> Markup {
    markup! {
        b { (tied(&reached.difference)) } " " small { (tied(&reached.plus_minus)) }
        " " span class=[(!reached.met).then_some("off")] { (tied(&reached.off)) }
    }
}

/// How it fits: every limit that does not simply hold, or that all hold, or that none is touched.
pub fn fit(option: &Proposed) -> Markup {
    let told: Vec<_> = option.open_limits().collect();
    let whole = option.sheet.answer.tone;
    markup! {
        @if told.is_empty() {
            li class={ "tone " (tone::class(whole)) } { (mark(whole)) " " (tone::words(whole)) }
        }
        @for verdict in told {
            li class={ "tone " (tone::class(verdict.tone)) } { (mark(verdict.tone)) " " (tied(&verdict.sentence)) }
        }
    }
}

fn trial(option: &Proposed) -> Markup {
    markup! {
        @match &option.trial {
            Some(trial) => { (tied(&trial.sentence())) }
            None => { span.still { "–" } }
        }
    }
}

/// Cautions, what it rests on and the sources, as one numbered column.
fn cautions(options: &Options) -> Markup {
    markup! {
        section.notes {
            h2 { "Cautions" }
            ol { @for caution in &options.cautions { li.caution { (tied(&caution.text)) " [" (caution.source) "]" } } }
            h2 { "How sure" }
            ul { @for line in &options.rests_on { li { (tied(line)) } } }
            h2 { "Sources" }
            ol { @for source in &options.sources { li { (tied(source)) } } }
        }
    }
}

/// The same as a table in Markdown.
pub fn comparison_markdown(options: &Options, numbers: &[usize]) -> String {
    let chosen = chosen(options, numbers);
    let others = others(&chosen);
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut row = |label: &str, cells: Vec<String>| {
        rows.push(std::iter::once(label.to_owned()).chain(cells).collect());
    };
    let each = |cell: &dyn Fn(&Proposed) -> String| {
        chosen.iter().map(|option| cell(option)).collect::<Vec<String>>()
    };
    row("", each(&|option| format!("Option {}: {}", option.number, option.title)));
    row(
        "What is done",
        each(&|option| {
            let done = |it: &super::Done| format!("{}{} ({})", it.slot, it.what, it.from);
            option.things.iter().map(done).collect::<Vec<_>>().join("; ")
        }),
    );
    row("Price", each(&|option| option.price.clone()));
    for at in 0..options.now.len() {
        row(
            &options.now[at].label,
            each(&|option| {
                option
                    .reached
                    .get(at)
                    .map_or_else(String::new, |it| format!("{} {}: {}", it.difference, it.plus_minus, it.off))
            }),
        );
    }
    for (label, cells) in &others {
        let cell = |cell: Option<&KnockOnRow>| {
            cell.map_or_else(
                || "no change".to_owned(),
                |row| {
                    format!(
                        "{} ±{}",
                        with_unit(&row.difference, &row.unit),
                        with_unit(&row.plus_minus, &row.unit)
                    )
                },
            )
        };
        row(label, cells.iter().map(|it| cell(*it)).collect());
    }
    row(
        "Does it fit?",
        each(&|option| {
            let told: Vec<&str> = option.open_limits().map(|it| it.sentence.as_str()).collect();
            if told.is_empty() { tone::words(option.sheet.answer.tone).to_owned() } else { told.join(" ") }
        }),
    );
    row(
        "Try first",
        each(&|option| option.trial.as_ref().map_or_else(|| "–".to_owned(), super::Trial::sentence)),
    );
    let mut out = format!(
        "# {}\n\n- Bike: {}\n- Wanted: {}\n\n",
        escaped(&options.verdict),
        escaped(&options.bike),
        escaped(&options.wanted.join("; "))
    );
    for (at, cells) in rows.iter().enumerate() {
        let cells: Vec<String> = cells.iter().map(|cell| escaped(cell)).collect();
        out.push_str(&format!("| {} |\n", cells.join(" | ")));
        if at == 0 {
            out.push_str(&format!("|{}\n", " --- |".repeat(cells.len())));
        }
    }
    let numbered = |lines: Vec<String>| {
        let all = lines.iter().zip(1..);
        all.fold(String::new(), |text, (line, number)| format!("{text}{number}. {}\n", escaped(line)))
    };
    out.push_str(&format!(
        "\n## Cautions\n\n{}",
        numbered(options.cautions.iter().map(|it| it.text.clone()).collect())
    ));
    out.push_str(&format!("\n## Sources\n\n{}", numbered(options.sources.clone())));
    out
}
