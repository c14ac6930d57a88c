//! A pasted geometry table becomes records: first they are shown, with what was not understood; then the chosen ones are
//! stored.

use axum::extract::{Form, Multipart, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use knockon_trade::import::{Import, Imported, Line, Options, import};
use knockon_trade::record::{Kind, parse};
use knockon_trade::tables;
use knockon_trade::words::upper_first;
use maud::{Markup, html};

use super::{text, upload};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::form::Wrongs;
use crate::pages::layout::{self, Room};
use crate::pages::listing::{counted, filled};
use crate::visitor::{Visitor, Writer};

/// Most sizes that are stored at once.
const MOST: usize = 60;

/// The empty form.
pub async fn page(writer: Writer) -> Markup {
    ask(&writer.0, &upload::Sent::default(), &Wrongs::default())
}

/// Shows what was understood. Nothing is stored.
pub async fn preview(State(app): State<App>, writer: Writer, form: Multipart) -> Result<Response, Fault> {
    let sent = upload::read(form).await?;
    let wrong = if sent.both {
        Some(
            "A pasted table and a file came together. Send one of them: empty the text, or leave out the file.",
        )
    } else if sent.table.trim().is_empty() {
        Some("Paste the table, or choose a file with it.")
    } else {
        None
    };
    if let Some(wrong) = wrong {
        return Ok(refused(ask(&writer.0, &sent, &Wrongs::one("table", wrong))));
    }
    let read = read(&sent);
    if read.records.is_empty() {
        let wrong = "No size was understood, so there is nothing to keep. What stood in the way is listed below the text.";
        let page = ask_with(&writer.0, &sent, &Wrongs::one("table", wrong), &outcome(&read));
        return Ok(refused(page));
    }
    let known = known_titles(&app, &read).await?;
    Ok(shown(&writer.0, &sent, &read, &known).into_response())
}

/// A table, or a single record's own text.
fn read(sent: &upload::Sent) -> Import {
    if let Ok(parsed) = parse("file", &sent.table)
        && !parsed.record.facts.is_empty()
    {
        let one = Imported {
            size: parsed.record.size.clone().unwrap_or_else(|| "not given".to_owned()),
            file_stem: String::new(),
            toml: sent.table.replace("\r\n", "\n"),
            figures: Vec::new(),
        };
        return Import { records: vec![one], ..Import::default() };
    }
    let given = |text: &str| filled(Some(text)).map(str::to_owned);
    import(&sent.table, &Options { name: given(&sent.name), kind: given(&sent.kind) })
}

/// Titles of the records that the workshop has already.
async fn known_titles(app: &App, read: &Import) -> Result<Vec<String>, Fault> {
    let titles: Vec<String> = read.records.iter().filter_map(|one| title(&one.toml)).collect();
    app.desk(move |desk| {
        let mut known = Vec::new();
        for title in titles {
            if desk.bikes(&title, 0, 20)?.iter().any(|row| row.title == title) {
                known.push(title);
            }
        }
        Ok(known)
    })
    .await
}

fn title(toml: &str) -> Option<String> {
    parse("record", toml).ok().map(|parsed| parsed.record.title())
}

/// Stores the chosen records: all of them, or none and what is wrong with which.
pub async fn keep(
    State(app): State<App>,
    writer: Writer,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let records = sent_records(&fields);
    let chosen: Vec<String> =
        records.iter().filter(|(_, taken)| *taken).map(|(text, _)| text.clone()).collect();
    let mut faults: Vec<(usize, Markup)> = Vec::new();
    for (nth, (text, taken)) in records.iter().enumerate() {
        if *taken && let Err(problems) = parse("record", text) {
            faults.push((nth, text::faults(text, &problems)));
        }
    }
    if chosen.is_empty() {
        faults.push((0, html! { p.wrong { "Choose at least one size." } }));
    }
    if !faults.is_empty() {
        return Ok(refused(again(&writer.0, &records, &faults)));
    }
    let stamp = writer.0.stamp();
    let ids = app.desk(move |desk| desk.add_bikes(&chosen, "read from a geometry table", &stamp)).await?;
    Ok(match ids.as_slice() {
        [one] => Redirect::to(&format!("/bikes/{one}")).into_response(),
        many => Redirect::to(&format!("/bikes?kept={}", many.len())).into_response(),
    })
}

/// The records of a form, each with whether it was chosen.
fn sent_records(fields: &[(String, String)]) -> Vec<(String, bool)> {
    let value = |name: &str| fields.iter().find(|(known, _)| known == name).map(|(_, value)| value);
    (0..MOST)
        .map_while(|nth| {
            let text = value(&format!("record{nth}"))?.replace("\r\n", "\n");
            Some((text, value(&format!("taken{nth}")).is_some()))
        })
        .collect()
}

fn refused(page: Markup) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

fn ask(visitor: &Visitor, sent: &upload::Sent, wrongs: &Wrongs) -> Markup {
    ask_with(visitor, sent, wrongs, &html! {})
}

fn ask_with(visitor: &Visitor, sent: &upload::Sent, wrongs: &Wrongs, below: &Markup) -> Markup {
    let body = html! {
        h1 { "Read a geometry table" }
        p { "Each size becomes a bike. You see what was understood, and what not, before anything is kept." }
        (wrongs.summary())
        (table_form(sent, wrongs, "Read it"))
        (below)
    };
    layout::page(visitor, Room::Bikes, "Read a geometry table", body)
}

fn table_form(sent: &upload::Sent, wrongs: &Wrongs, button: &str) -> Markup {
    html! {
        form.fields method="post" action="/bikes/import" enctype="multipart/form-data" {
            div.field.wide {
                label for="table" { "The table, pasted" }
                textarea.lines id="table" name="table" rows="12" spellcheck="false" autocomplete="off"
                    aria-describedby="table-hint table-wrong" aria-invalid=[wrongs.of("table").map(|_| "true")] { "\n" (sent.table) }
                span.hint id="table-hint" {
                    "As copied from a page or a spreadsheet, in English, German, French, Italian or Spanish; sizes across or down."
                }
                (wrongs.below("table"))
            }
            div.field {
                label for="file" { "Or a file" }
                input id="file" name="file" type="file" accept=".csv,.tsv,.txt,.toml,text/*" aria-describedby="file-hint";
                span.hint id="file-hint" { "Text with commas, semicolons or tabs, or a single bike’s record; up to 1 MB." }
            }
            div.row {
                div.field {
                    label for="name" { "What the bike is called" }
                    input id="name" name="name" value=(sent.name) maxlength="200" autocomplete="off" aria-describedby="name-hint";
                    span.hint id="name-hint" { "Where the table has no title." }
                }
                div.field {
                    label for="kind" { "Kind" }
                    select id="kind" name="kind" {
                        option value="" { "not told" }
                        @for (word, _) in Kind::WORDS { option value=(word) selected[sent.kind == word] { (upper_first(word)) } }
                    }
                }
            }
            div.actions { button.primary { (button) } }
        }
    }
}

fn shown(visitor: &Visitor, sent: &upload::Sent, read: &Import, known: &[String]) -> Markup {
    let count = u32::try_from(read.records.len()).unwrap_or(u32::MAX);
    let title = format!("{} understood, not kept yet", counted(count, "size", "sizes"));
    let all = read.records.len() <= MOST;
    let body = html! {
        h1 { (title) }
        @if !all { p.notice { "Only the first " (MOST) " are shown. Read the others from a second table." } }
        (outcome(read))
        form method="post" action="/bikes/import/keep" {
            ol.sizes.bare {
                @for (nth, one) in read.records.iter().take(MOST).enumerate() { (size(nth, one, known)) }
            }
            div.actions {
                button.primary { "Keep the chosen sizes" }
                a href="/bikes/import" { "Start again" }
            }
        }
        details.mend-table {
            summary { "Mend the table and read it again" }
            (table_form(sent, &Wrongs::default(), "Read it again"))
        }
    };
    layout::page(visitor, Room::Bikes, &title, body)
}

/// One size: its figures, and its record to be mended by hand.
fn size(nth: usize, one: &Imported, known: &[String]) -> Markup {
    let title = title(&one.toml);
    let called = title.clone().unwrap_or_else(|| format!("Size {}", one.size));
    let there = title.is_some_and(|title| known.contains(&title));
    html! {
        li.size {
            h2 {
                label.choice {
                    input type="checkbox" name={ "taken" (nth) } value="yes" checked[!there];
                    span.unseen { "Keep " } (called)
                }
            }
            @if there { p.warned { "There is already a bike of this name, so this one is not chosen." } }
            @if !one.figures.is_empty() {
                dl.figures {
                    @for figure in &one.figures { div { dt { (upper_first(&figure.name)) } dd { (with_unit(&figure.path, &figure.value)) } } }
                }
            }
            (record_text(nth, &one.toml))
        }
    }
}

/// A bare figure with the unit that it has in a record.
fn with_unit(path: &str, value: &str) -> String {
    let unit =
        tables::property(path).filter(|_| value.parse::<f64>().is_ok()).map(|row| row.dimension.edge_unit());
    match unit {
        Some("°") => format!("{value}°"),
        Some(unit) => format!("{value}\u{a0}{unit}"),
        None => value.to_owned(),
    }
}

fn record_text(nth: usize, toml: &str) -> Markup {
    let id = format!("record{nth}");
    html! {
        details {
            summary { "Its record as text" }
            div.field.wide {
                label for=(id) { "Record" }
                textarea.lines id=(id) name=(id) rows=((toml.lines().count() + 1).min(30)) spellcheck="false" autocomplete="off" { "\n" (toml) }
            }
        }
    }
}

/// The records once more, each that has a fault with it.
fn again(visitor: &Visitor, records: &[(String, bool)], faults: &[(usize, Markup)]) -> Markup {
    let body = html! {
        h1 { "Not kept yet" }
        form method="post" action="/bikes/import/keep" {
            ol.sizes.bare {
                @for (nth, (toml, taken)) in records.iter().enumerate() {
                    @let called = title(toml).unwrap_or_else(|| format!("Record {}", nth + 1));
                    li.size {
                        h2 {
                            label.choice {
                                input type="checkbox" name={ "taken" (nth) } value="yes" checked[*taken];
                                span.unseen { "Keep " } (called)
                            }
                        }
                        @for (_, fault) in faults.iter().filter(|(at, _)| *at == nth) { (fault) }
                        div.field.wide {
                            label for={ "record" (nth) } { "Record" }
                            textarea.lines id={ "record" (nth) } name={ "record" (nth) } spellcheck="false" autocomplete="off"
                                rows=((toml.lines().count() + 1).clamp(4, 30)) { "\n" (toml) }
                        }
                    }
                }
            }
            div.actions { button.primary { "Keep the chosen sizes" } a href="/bikes/import" { "Start again" } }
        }
    };
    layout::page(visitor, Room::Bikes, "Not kept yet", body)
}

/// What was not understood and why, and what is worth a second look.
fn outcome(read: &Import) -> Markup {
    let same_reason = |a: &Line, b: &Line| a.why == b.why;
    html! {
        @if read.not_understood.is_empty() {
            @if !read.records.is_empty() { p { "Every line and cell was understood." } }
        } @else {
            section.not-understood {
                h2 { "Not understood, and in no record" }
                ul {
                    @for lines in read.not_understood.chunk_by(same_reason) {
                        li {
                            @for line in lines { p { span.quiet { "Line " (line.number) ": " } code { (line.text) } } }
                            p { (lines[0].why) }
                        }
                    }
                }
            }
        }
        @if !read.remarks.is_empty() {
            section.remarks {
                h2 { "Worth a second look" }
                ul {
                    @for remark in &read.remarks {
                        li { @if let Some(number) = remark.number { span.quiet { "Line " (number) ": " } } (remark.text) }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_is_taken_as_it_is() {
        let text = "# Mine.\nname = \"Invented\"\n[stem]\nlength = 50\n";
        let read = read(&upload::Sent { table: text.into(), ..upload::Sent::default() });
        assert_eq!(read.records.len(), 1);
        assert_eq!(read.records[0].toml, text);
    }

    #[test]
    fn a_table_becomes_sizes() {
        let table = "Invented\tS\tM\nReach\t430\t455\nColour\tred\tblue";
        let read = read(&upload::Sent { table: table.into(), ..upload::Sent::default() });
        assert_eq!(read.records.len(), 2);
        assert!(outcome(&read).into_string().contains("Colour"));
    }

    #[test]
    fn what_was_chosen_comes_back() {
        let fields = [("record0", "a\r\nb"), ("record1", "c"), ("taken1", "yes"), ("record3", "unreached")];
        let fields: Vec<(String, String)> =
            fields.map(|(name, value)| (name.to_owned(), value.to_owned())).to_vec();
        assert_eq!(sent_records(&fields), [("a\nb".to_owned(), false), ("c".to_owned(), true)]);
    }
}
