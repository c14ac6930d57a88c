//! What a form of the working page does to the lines, and the saving of them.
//!
//! One function reads every form, with or without a script: fields that differ from what they were change their line, then
//! the button that was pressed does its work. The page with the script asks the same of `live`, which saves nothing.

use axum::Json;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use knockon_desk::{Draft, Question, QuestionId};
use knockon_trade::change::{parse, slider, with_amount};
use knockon_trade::units::literal;
use serde::Serialize;

use super::changes;
use super::state::{Side, Ways, lines};
use crate::app::App;
use crate::errors::Fault;
use crate::visitor::Writer;

/// Longest text of one way, bytes: ten times what the most changes need, and as an address still short enough.
const LONGEST: usize = 8_000;

/// The fields of a form or query, in order.
#[derive(Clone, Debug, Default)]
pub struct Fields(Vec<(String, String)>);

impl From<Vec<(String, String)>> for Fields {
    fn from(fields: Vec<(String, String)>) -> Self {
        Self(fields)
    }
}

impl Fields {
    /// Reads a query.
    pub fn of_query(query: &str) -> Self {
        Self(form_urlencoded::parse(query.as_bytes()).into_owned().collect())
    }

    /// The first value of a field.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// The lines that the form asks for.
    ///
    /// # Errors
    /// When there are more than anybody means to send.
    pub fn ways(&self, saved: &Ways) -> Result<Ways, Fault> {
        if ["do", "or"].iter().any(|name| self.get(name).is_some_and(|text| text.len() > LONGEST)) {
            return Err(Fault::not_usable(
                "These are more lines than a question can hold.",
                "Ask in several questions.",
            ));
        }
        let mut ways = match (self.get("do"), self.get("or")) {
            (None, None) => saved.clone(),
            (first, or) => {
                Ways { first: first.map_or_else(|| saved.first.clone(), lines), instead: or.map(lines) }
            }
        };
        self.change(Side::First, &mut ways.first);
        if let Some(instead) = &mut ways.instead {
            self.change(Side::Instead, instead);
        }
        match self.get("instead") {
            Some("open") if ways.instead.is_none() => ways.instead = Some(ways.first.clone()),
            Some("close") => ways.instead = None,
            Some("take") => ways.first = ways.instead.take().unwrap_or_default(),
            _ => {}
        }
        Ok(ways)
    }

    /// Does to one way's lines what the fields and the button say.
    fn change(&self, side: Side, lines_now: &mut Vec<String>) {
        let prefix = side.prefix();
        let (step, remove, repair) =
            (self.pressed("step", side), self.pressed("remove", side), self.pressed("repair", side));
        let mut out: Vec<Vec<String>> = lines_now.iter().map(|line| vec![line.clone()]).collect();
        let mut taken = vec![false; lines_now.len()];
        for index in 0..lines_now.len() {
            // A line that was edited as text since is not the line that the fields speak of.
            let Some(shown) = self.get(&format!("{prefix}line{index}")) else { continue };
            let place = (0..lines_now.len()).find(|at| !taken[*at] && lines_now[*at] == shown);
            let Some(at) = place else { continue };
            taken[at] = true;
            let mut line = self.new_words(prefix, index, shown);
            if let Some((_, count)) = step.filter(|(row, _)| *row == index) {
                line = stepped(&line, count).unwrap_or(line);
            }
            if repair.is_some_and(|(row, _)| row == index) {
                line = mended(&line).unwrap_or(line);
            }
            out[at] = if remove.is_some_and(|(row, _)| row == index) { Vec::new() } else { lines(&line) };
        }
        out.push(self.get(&format!("{prefix}add")).map(lines).unwrap_or_default());
        *lines_now = out.concat();
    }

    /// A line with its number or its words as the fields have them.
    fn new_words(&self, prefix: &str, index: usize, shown: &str) -> String {
        let field = |name: &str| self.get(&format!("{prefix}{name}{index}"));
        if let Some(words) = field("t").filter(|words| *words != shown) {
            return words.to_owned();
        }
        match (field("v"), field("was")) {
            (Some(new), Some(was)) if new != was => literal(new.trim())
                .and_then(|(amount, _)| with_amount(shown, amount))
                .unwrap_or_else(|| shown.to_owned()),
            _ => shown.to_owned(),
        }
    }

    /// The row of this way that a button named `name` belongs to, and how many steps it goes.
    fn pressed(&self, name: &str, side: Side) -> Option<(usize, f64)> {
        let value = self.get(name)?;
        let own = match value.strip_prefix(Side::Instead.prefix()) {
            Some(rest) if side == Side::Instead => rest,
            None if side == Side::First => value,
            _ => return None,
        };
        let (row, count) = own.split_once(':').unwrap_or((own, "0"));
        Some((row.parse().ok()?, count.parse().ok().filter(|count: &f64| count.is_finite())?))
    }
}

/// A line whose number has gone some steps of its slider.
fn stepped(line: &str, count: f64) -> Option<String> {
    let change = parse(line).ok()?.change;
    let slider = slider(&change, None)?;
    with_amount(line, slider.now + count * slider.step)
}

fn mended(line: &str) -> Option<String> {
    changes::repaired(line, &parse(line).err()?)
}

/// Where drafts are saved, undone and redone.
#[derive(Serialize)]
struct Kept {
    /// Lines of the first way.
    #[serde(rename = "do")]
    first: String,
    /// Lines of the second way.
    or: Option<String>,
    /// True where there is a draft before this one.
    can_undo: bool,
    /// True where there is one after it.
    can_redo: bool,
}

/// Saves the lines.
pub async fn save(
    State(app): State<App>,
    Writer(visitor): Writer,
    Path(id): Path<QuestionId>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    let fields = Fields::from(form);
    let (fields, _) = store(&app, id, fields, visitor.stamp()).await?;
    kept(&app, id, &fields).await
}

/// Stores what the form asks for; gives the form back.
pub async fn store(
    app: &App,
    id: QuestionId,
    fields: Fields,
    stamp: knockon_desk::Stamp,
) -> Result<(Fields, Draft), Fault> {
    let saved = saved(&app.desk(move |desk| desk.question(id)).await?);
    let ways = fields.ways(&saved)?;
    let draft = app
        .desk(move |desk| {
            let (first, instead) = ways.texts();
            desk.save_draft(id, &first, instead.as_deref(), &stamp)
        })
        .await?;
    Ok((fields, draft))
}

/// Goes back one draft.
pub async fn undo(
    State(app): State<App>,
    Writer(_): Writer,
    Path(id): Path<QuestionId>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    app.desk(move |desk| desk.undo(id)).await?;
    kept(&app, id, &Fields::from(form)).await
}

/// Goes forward again.
pub async fn redo(
    State(app): State<App>,
    Writer(_): Writer,
    Path(id): Path<QuestionId>,
    Form(form): Form<Vec<(String, String)>>,
) -> Result<Response, Fault> {
    app.desk(move |desk| desk.redo(id)).await?;
    kept(&app, id, &Fields::from(form)).await
}

/// The lines of the saved draft.
pub fn saved(question: &Question) -> Ways {
    Ways::of(&question.draft.changes, question.draft.instead.as_deref())
}

/// Back to the page; the script is only told what is kept now.
async fn kept(app: &App, id: QuestionId, fields: &Fields) -> Result<Response, Fault> {
    if fields.get("quiet").is_none() {
        let place = if fields.get("add").is_some_and(|add| !add.is_empty()) { "#add" } else { "" };
        return Ok(Redirect::to(&format!("/questions/{id}{place}")).into_response());
    }
    let question = app.desk(move |desk| desk.question(id)).await?;
    let (first, or) = saved(&question).texts();
    Ok(Json(Kept { first, or, can_undo: question.can_undo, can_redo: question.can_redo }).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ways(fields: &[(&str, &str)]) -> Ways {
        let fields: Vec<(String, String)> =
            fields.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
        Fields::from(fields).ways(&Ways::of("saved line", None)).unwrap()
    }

    const TWO: [(&str, &str); 7] = [
        ("do", "fork travel by +20\nbar rise 1.5 in ± 1 mm"),
        ("line0", "fork travel by +20"),
        ("was0", "20"),
        ("v0", "20"),
        ("line1", "bar rise 1.5 in ± 1 mm"),
        ("was1", "38.1"),
        ("v1", "38.1"),
    ];

    fn two(more: &[(&str, &str)]) -> Vec<String> {
        // A field that is given again stands in for the one before it.
        let kept = TWO.iter().filter(|(key, _)| !more.iter().any(|(other, _)| other == key));
        ways(&kept.chain(more).copied().collect::<Vec<_>>()).first
    }

    #[test]
    fn fields_that_are_as_they_were_change_nothing() {
        assert_eq!(two(&[]), ["fork travel by +20", "bar rise 1.5 in ± 1 mm"]);
    }

    #[test]
    fn a_new_number_stands_where_the_old_one_stood() {
        assert_eq!(two(&[("v1", "25.4")]), ["fork travel by +20", "bar rise 1 in ± 1 mm"]);
        assert_eq!(two(&[("v0", "")])[0], "fork travel by +20");
    }

    #[test]
    fn steppers_go_by_the_step_of_their_slider() {
        assert_eq!(two(&[("step", "0:+1")])[0], "fork travel by +21");
        assert_eq!(two(&[("step", "0:-1"), ("v0", "30")])[0], "fork travel by +29");
        assert_eq!(two(&[("step", "7:-1")]), two(&[]));
        assert_eq!(two(&[("step", "0:inf")]), two(&[]));
    }

    #[test]
    fn lines_come_and_go() {
        assert_eq!(two(&[("remove", "0")]), ["bar rise 1.5 in ± 1 mm"]);
        assert_eq!(two(&[("add", "stem length 40; nonsense")]).len(), 4);
        assert_eq!(two(&[("instead", "close"), ("add", " ")]).len(), 2);
    }

    #[test]
    fn a_line_edited_as_text_is_not_overruled_by_its_old_number() {
        let edited = two(&[("do", "fork travel by +20\nbar rise 30"), ("v1", "25.4"), ("step", "1:+1")]);
        assert_eq!(edited, ["fork travel by +20", "bar rise 30"]);
    }

    #[test]
    fn a_bad_line_is_kept_edited_and_mended() {
        let bad = [("do", "stem lenght 40"), ("line0", "stem lenght 40")];
        let with = |more: (&str, &str)| ways(&[bad[0], bad[1], more]).first;
        assert_eq!(with(("t0", "stem lenght 40")), ["stem lenght 40"]);
        assert_eq!(with(("t0", "stem len 40")), ["stem len 40"]);
        assert_eq!(with(("repair", "0")), ["stem length 40"]);
    }

    #[test]
    fn the_second_way_is_opened_changed_taken_and_closed() {
        let opened = ways(&[("do", "bar rise 40"), ("instead", "open")]);
        assert_eq!(opened, Ways::of("bar rise 40", Some("bar rise 40")));
        let both = [("do", "bar rise 40"), ("or", "stem length 40"), ("or-line0", "stem length 40")];
        let with = |more: &[(&str, &str)]| ways(&both.iter().chain(more).copied().collect::<Vec<_>>());
        let changed = with(&[("or-was0", "40"), ("or-v0", "35")]);
        assert_eq!(changed, Ways::of("bar rise 40", Some("stem length 35")));
        assert_eq!(with(&[("step", "or-0:-1")]), Ways::of("bar rise 40", Some("stem length 39")));
        assert_eq!(with(&[("step", "0:-1")]), Ways::of("bar rise 40", Some("stem length 40")));
        assert_eq!(with(&[("or-add", "bar roll 5")]).instead.unwrap().len(), 2);
        assert_eq!(with(&[("instead", "take")]), Ways::of("stem length 40", None));
        assert_eq!(with(&[("instead", "close")]), Ways::of("bar rise 40", None));
    }

    #[test]
    fn two_equal_lines_are_told_apart_by_their_order() {
        let twice = ways(&[
            ("do", "bar rise by 5\nbar rise by 5"),
            ("line0", "bar rise by 5"),
            ("line1", "bar rise by 5"),
            ("v1", "7"),
            ("was1", "5"),
        ]);
        assert_eq!(twice.first, ["bar rise by 5", "bar rise by 7"]);
    }

    #[test]
    fn without_lines_the_saved_draft_is_meant_and_too_many_are_refused() {
        assert_eq!(ways(&[]), Ways::of("saved line", None));
        let long = Fields::from(vec![("do".to_owned(), "x".repeat(LONGEST + 1))]);
        assert!(long.ways(&Ways::default()).is_err());
    }
}
