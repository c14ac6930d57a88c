//! Several pasted messages at once: how they were parted is shown first, and can be changed, before anything is stored.

use axum::extract::{Form, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{BikeId, NewQuestion, QuestionId, QuestionRow, Stamp};
use maud::{Markup, html};
use serde::Deserialize;

use super::choice::Bikes;
use super::{alike, new, split};
use crate::app::App;
use crate::errors::Fault;
use crate::pages::form::Wrongs;
use crate::pages::layout::{self, Room};
use crate::pages::listing::counted;
use crate::visitor::{Visitor, Writer};

/// Most messages that are taken at once.
const MOST: usize = 100;

/// What was pasted.
#[derive(Deserialize)]
pub struct Pasted {
    #[serde(default)]
    pasted: String,
}

/// One message of the pile, on its way to becoming a question.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Message {
    asked: String,
    rider: String,
    bike: Option<BikeId>,
    /// False for a message that is not to be kept.
    taken: bool,
    /// True for one that is the rest of the message above it.
    joined: bool,
}

/// A message with what was found out about it.
struct Shown {
    message: Message,
    words: Vec<String>,
    alike: Vec<QuestionRow>,
}

/// Shows how the pile was parted. Nothing is stored.
pub async fn preview(
    State(app): State<App>,
    writer: Writer,
    Form(pile): Form<Pasted>,
) -> Result<Response, Fault> {
    let messages = split::messages(&pile.pasted);
    let wrong = match messages.len() {
        0 => Some("Paste at least one message.".to_owned()),
        1..=MOST => None,
        many => Some(format!(
            "These are {many} messages; at most {MOST} are taken at once. Cut the rest out and paste it afterwards."
        )),
    };
    if let Some(wrong) = wrong {
        let pile = new::Pile { text: &pile.pasted, wrongs: Wrongs::one("pasted", wrong) };
        return new::pile_again(&app, &writer.0, &pile).await;
    }
    let fresh = |asked: String| Message { asked, taken: true, ..Message::default() };
    let messages = messages.into_iter().map(fresh).collect();
    Ok(show(&app, &writer.0, messages, true, &Wrongs::default()).await?.into_response())
}

/// Stores the messages that are taken, or shows them once more with the joined ones as one.
pub async fn keep(
    State(app): State<App>,
    writer: Writer,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let messages = joined(read(&fields));
    let again = fields.iter().any(|(name, value)| name == "step" && value == "look");
    if again {
        return Ok(show(&app, &writer.0, messages, false, &Wrongs::default()).await?.into_response());
    }
    let stamp = writer.0.stamp();
    let taken: Vec<(NewQuestion, Stamp)> = messages
        .iter()
        .filter(|message| message.taken)
        .map(|message| (message.question(), stamp.clone()))
        .collect();
    if taken.is_empty() {
        let wrongs =
            Wrongs::one("taken0", "Choose at least one message, or go back to the list of questions.");
        return Ok(refused(show(&app, &writer.0, messages, false, &wrongs).await?));
    }
    // All or none: after a fault, nothing has to be found out about what is stored already.
    match app.try_desk(move |desk| desk.ask_all(&taken)).await? {
        Ok(ids) => Ok(stored(&ids)),
        Err(error) => {
            let fault = Fault::from(error);
            if fault.status.is_server_error() {
                return Err(fault);
            }
            let wrongs = Wrongs::one("asked0", format!("Nothing is kept yet. {}", new::said(&fault)));
            Ok(refused(show(&app, &writer.0, messages, false, &wrongs).await?))
        }
    }
}

/// To the question, or to the list when there are several.
fn stored(ids: &[QuestionId]) -> Response {
    match ids {
        [one] => Redirect::to(&format!("/questions/{one}")).into_response(),
        many => Redirect::to(&format!("/questions?state=new&kept={}", many.len())).into_response(),
    }
}

fn refused(page: Markup) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

impl Message {
    fn question(&self) -> NewQuestion {
        NewQuestion {
            asked: self.asked.clone(),
            rider: self.rider.clone(),
            bike: self.bike,
            changes: String::new(),
        }
    }
}

/// The messages of a form, in order. One whose text was emptied is gone.
fn read(fields: &[(String, String)]) -> Vec<Message> {
    let value = |name: &str| fields.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str());
    (0..MOST)
        .map_while(|nth| Some((nth, value(&format!("asked{nth}"))?)))
        .filter(|(_, asked)| !asked.trim().is_empty())
        .map(|(nth, asked)| Message {
            asked: asked.trim().replace("\r\n", "\n"),
            rider: value(&format!("rider{nth}")).unwrap_or_default().trim().to_owned(),
            bike: value(&format!("bike{nth}")).and_then(|bike| bike.parse().ok()),
            taken: value(&format!("taken{nth}")).is_some(),
            joined: value(&format!("joined{nth}")).is_some(),
        })
        .collect()
}

/// Each message that is the rest of the one above it, put there.
fn joined(messages: Vec<Message>) -> Vec<Message> {
    let mut whole: Vec<Message> = Vec::new();
    for message in messages {
        match whole.last_mut() {
            Some(above) if message.joined => {
                above.asked = format!("{}\n\n{}", above.asked, message.asked);
                above.bike = above.bike.or(message.bike);
                // What was chosen is kept, with what it belongs to.
                above.taken |= message.taken;
                if above.rider.is_empty() {
                    above.rider = message.rider;
                }
            }
            _ => whole.push(Message { joined: false, ..message }),
        }
    }
    whole
}

/// The page with the parted messages. Bikes are only guessed for `fresh` ones: later it is the technician's choice.
async fn show(
    app: &App,
    visitor: &Visitor,
    messages: Vec<Message>,
    fresh: bool,
    wrongs: &Wrongs,
) -> Result<Markup, Fault> {
    let (bikes, shown) = app
        .desk(move |desk| {
            let bikes = Bikes::load(desk, None)?;
            let mut shown = Vec::new();
            for mut message in messages {
                if fresh {
                    message.bike = bikes.named_in(&message.asked);
                }
                let alike = desk.alike_text(&message.asked, alike::MOST)?;
                shown.push(Shown { words: alike::words_in(&message.asked), alike, message });
            }
            Ok((bikes, shown))
        })
        .await?;
    let count = u32::try_from(shown.len()).unwrap_or(u32::MAX);
    let urgent = shown.iter().filter(|one| !one.words.is_empty()).count();
    let title = format!("{}, not kept yet", counted(count, "message", "messages"));
    let body = html! {
        h1 { (title) }
        (wrongs.summary())
        p {
            @match urgent {
                0 => "None has a safety word. ",
                1 => "One has a safety word. ",
                many => { (many) " have a safety word. " }
            }
            "Look how the pile was parted, then keep the messages."
        }
        form method="post" action="/questions/new/pile/keep" {
            ol.pile.bare { @for (nth, one) in shown.iter().enumerate() { (item(nth, one, &bikes, wrongs)) } }
            div.actions {
                button.primary name="step" value="keep" { "Keep the chosen ones" }
                button name="step" value="look" { "Join and look again" }
                a href="/questions/new#pile" { "Start again" }
            }
        }
    };
    Ok(layout::page(visitor, Room::Questions, &title, body))
}

/// One message with its controls, its safety words and the answered questions that it resembles.
fn item(nth: usize, one: &Shown, bikes: &Bikes, wrongs: &Wrongs) -> Markup {
    let id = |name: &str| format!("{name}{nth}");
    let Shown { message, words, alike } = one;
    let lines = message.asked.lines().count().clamp(2, 10);
    html! {
        li.message {
            h2 { "Message " (nth + 1) }
            div.field {
                label for=(id("asked")) { "The rider’s words" }
                textarea id=(id("asked")) name=(id("asked")) rows=(lines) autocomplete="off"
                    aria-invalid=[wrongs.of(&id("asked")).map(|_| "true")] { "\n" (message.asked) }
                (wrongs.below(&id("asked")))
            }
            div.fields {
                div.row {
                    div.field {
                        label for=(id("rider")) { "Rider" }
                        input id=(id("rider")) name=(id("rider")) value=(message.rider) maxlength="200" autocomplete="off";
                    }
                    div.field {
                        label for=(id("bike")) { "Bike" }
                        (bikes.select(&id("bike"), &id("bike"), message.bike, "Not known yet"))
                    }
                }
            }
            p {
                label.choice {
                    input type="checkbox" id=(id("taken")) name=(id("taken")) value="yes" checked[message.taken];
                    "Keep it"
                }
                @if nth > 0 {
                    label.choice {
                        input type="checkbox" name=(id("joined")) value="yes";
                        "It belongs to the message above"
                    }
                }
            }
            (wrongs.below(&id("taken")))
            (alike::safety(words))
            (alike::found(alike))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn message(asked: &str, taken: bool, joined: bool) -> Message {
        Message { asked: asked.into(), taken, joined, ..Message::default() }
    }

    #[test]
    fn a_form_gives_back_its_messages_in_order() {
        let fields = [
            ("asked0", " one\r\ntwo "),
            ("taken0", "yes"),
            ("asked1", " "),
            ("asked2", "three"),
            ("joined2", "yes"),
        ];
        let fields: Vec<(String, String)> =
            fields.map(|(name, value)| (name.to_owned(), value.to_owned())).to_vec();
        assert_eq!(read(&fields), [message("one\ntwo", true, false), message("three", false, true)]);
    }

    #[test]
    fn a_joined_message_is_a_paragraph_of_the_one_above() {
        let pile =
            vec![message("one", true, true), message("more", true, true), message("two", false, false)];
        assert_eq!(joined(pile), [message("one\n\nmore", true, false), message("two", false, false)]);
        let chosen_below = vec![message("one", false, false), message("more", true, true)];
        assert_eq!(joined(chosen_below), [message("one\n\nmore", true, false)]);
    }
}
