//! From files to rows.

use std::collections::{BTreeMap, BTreeSet};

use knockon_trade::inspection::mark::read_marks;
use knockon_trade::inspection::script::suggestion;
use knockon_trade::inspection::{Given, protocol};
use knockon_trade::problem::Problem;
use rusqlite::{Transaction, params};

use super::forms::{Question, text};
use super::read::{Bike, File, Found, FoundSheet, MOST_NUMBER, bytes, told, whole};
use crate::publish::Rendered;
use crate::{
    BikeId, Desk, DeskError, Inspection, InspectionAnswer, InspectionId, PhotoId, QuestionEdit, QuestionId,
    Result, Settings, Stamp, bike, draft, inspection, photo, publish, question, search, settings,
};

/// Takes everything in, or nothing when there is any fault.
pub(super) fn all(
    desk: &Desk,
    tx: &Transaction<'_>,
    found: &Found,
    stamp: &Stamp,
    mut progress: impl FnMut(u64, u64),
) -> Result<()> {
    let total = (found.bikes.len() + found.questions.len() + found.sheets.len() + found.photos.len()) as u64;
    let mut done = 0..=total;
    let mut step = || progress(done.next().unwrap_or(total), total);
    step();
    let mut faults = Vec::new();
    take_settings(tx, found, stamp)?;
    let bikes = take_bikes(tx, found, stamp, &mut step)?;
    let (mut photos, mut inspections) = (BTreeSet::new(), BTreeSet::new());
    for (number, file) in &found.questions {
        take_question(tx, *number, file, &bikes, stamp, &mut faults)?;
        take_inspections(tx, *number, file, &mut inspections, &mut faults)?;
        for photo in &file.form.photos {
            let number = *photo.number.get_ref();
            let known = found.photos.contains_key(&number);
            if let (Err(problems), Some(marks)) = (read_marks(&photo.marked()), &photo.marks) {
                let first = problems.first().map(ToString::to_string).unwrap_or_default();
                faults.push(file.fault(marks.span(), format!("these marks cannot be used: {first}")));
            }
            if let Some(wanted) = &photo.inspection
                && !file.form.inspections.iter().any(|it| it.number.get_ref() == wanted.get_ref())
            {
                let message = format!("this question has no inspection {}", wanted.get_ref());
                faults.push(file.fault(wanted.span(), message));
            }
            if !known || !photos.insert(number) {
                let why = if known { "stands twice" } else { "is not in the folder `photos`" };
                faults.push(file.fault(photo.number.span(), format!("photo {number} {why}")));
            }
        }
        step();
    }
    for ((number, revision), sheet) in &found.sheets {
        take_sheet(tx, *number, *revision, sheet, found, &mut faults)?;
        step();
    }
    for (_, path) in found.photos.iter().filter(|(number, _)| !photos.contains(number)) {
        faults.push(whole(path, "no question names this photo"));
    }
    if !faults.is_empty() {
        return Err(told(faults));
    }
    for (number, file) in &found.questions {
        take_photos(desk, tx, *number, file, found, &mut step)?;
        search::mirror_question(tx, QuestionId(*number))?;
    }
    Ok(())
}

fn take_settings(tx: &Transaction<'_>, found: &Found, stamp: &Stamp) -> Result<()> {
    let Some(form) = &found.workshop else { return Ok(()) };
    let own = Settings {
        workshop: form.name.clone(),
        drawn_by: form.drawn_by.clone(),
        length: form.length,
        label_language: form.label_language,
        tolerances: form.tolerances.clone(),
    };
    settings::write(tx, &own, stamp)
}

/// Bikes by the names of their files. Those with a number of their own come first, so that the others do not take it.
fn take_bikes<'a>(
    tx: &Transaction<'_>,
    found: &'a Found,
    stamp: &Stamp,
    step: &mut impl FnMut(),
) -> Result<BTreeMap<&'a str, BikeId>> {
    let mut ids = BTreeMap::new();
    let mut taken = BTreeMap::new();
    let numbered = found.bikes.iter().filter(|(_, bike)| bike.history.is_some());
    let others = found.bikes.iter().filter(|(_, bike)| bike.history.is_none());
    for (stem, bike) in numbered.chain(others) {
        let number = bike.history.as_ref().map(|history| *history.bike.get_ref());
        if number.is_some_and(|number| !(1..=MOST_NUMBER).contains(&number)) {
            return Err(DeskError::refused(
                format!("the bike `{stem}` has a number that is not from 1 to {MOST_NUMBER}"),
                "give it another number in its history.toml",
            ));
        }
        if let Some(number) = number
            && let Some(other) = taken.insert(number, stem)
        {
            return Err(DeskError::refused(
                format!("the bikes `{other}` and `{stem}` both have the number {number}"),
                "give one of them another number in its history.toml",
            ));
        }
        ids.insert(stem.as_str(), take_bike(tx, number, bike, stamp)?);
        step();
    }
    Ok(ids)
}

const ADD_BIKE: &str = "INSERT INTO bike (id, title, kind, version, at, who) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";

fn take_bike(tx: &Transaction<'_>, number: Option<i64>, found: &Bike, stamp: &Stamp) -> Result<BikeId> {
    let versions = found.history.as_ref().map_or(&[][..], |history| &history.versions);
    let stamp_of = |index: usize| {
        versions
            .get(index)
            .map_or_else(|| stamp.clone(), |version| Stamp { at: version.at, who: version.who.clone() })
    };
    let record = &found.record;
    let kind = record.kind.map(knockon_trade::record::Kind::word);
    let newest = stamp_of(found.texts.len() - 1);
    let count = found.texts.len() as u32;
    tx.prepare_cached(ADD_BIKE)?.execute(params![
        number,
        record.title(),
        kind,
        count,
        newest.millis(),
        newest.who
    ])?;
    let id = BikeId(tx.last_insert_rowid());
    for (index, text) in found.texts.iter().enumerate() {
        let why = versions.get(index).map_or("", |version| version.why.as_str());
        bike::add_version(tx, id, index as u32 + 1, text, why, &stamp_of(index))?;
    }
    search::mirror_bike(tx, id, record)?;
    Ok(id)
}

fn take_question(
    tx: &Transaction<'_>,
    number: i64,
    file: &File<Question>,
    bikes: &BTreeMap<&str, BikeId>,
    stamp: &Stamp,
    faults: &mut Vec<Problem>,
) -> Result<()> {
    let form = &file.form;
    let bike = form.bike.as_ref().map(|stem| (stem, bikes.get(stem.get_ref().as_str()).copied()));
    if let Some((stem, None)) = bike {
        let message = format!("there is no bike `{}`", stem.get_ref());
        let near = knockon_trade::problem::nearest(stem.get_ref(), bikes.keys().copied());
        let help = near.map_or_else(
            || "name a file of the folder `bikes`, without its ending".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        faults.push(file.fault(stem.span(), message).with_help(help));
    }
    if form.asked.trim().is_empty() && form.changes.is_empty() {
        faults.push(file.fault(0..0, "nothing was asked and no change is named"));
    }
    let edit = QuestionEdit {
        asked: form.asked.clone(),
        rider: form.rider.clone(),
        bike: bike.and_then(|(_, bike)| bike),
        notes: form.notes.clone(),
        state: form.state.0,
    };
    question::check(&edit.asked, &edit.rider, &edit.notes)?;
    let or = |at: Option<jiff::Timestamp>, who: Option<&String>, otherwise: &Stamp| Stamp {
        at: at.unwrap_or(otherwise.at),
        who: who.unwrap_or(&otherwise.who).clone(),
    };
    let edited = or(form.at, form.who.as_ref(), stamp);
    let id = question::add(tx, Some(QuestionId(number)), &edit, form.came.unwrap_or(edited.at), &edited)?;
    let tried = or(form.tried_at, form.tried_by.as_ref(), &edited);
    let (changes, instead) = (text(&form.changes), form.instead.as_deref().map(text));
    draft::check(&changes)?;
    draft::check(instead.as_deref().unwrap_or_default())?;
    draft::add(tx, id, 1, &changes, instead.as_deref(), &tried)
}

/// Inspections keep their numbers, which are of the whole workshop.
fn take_inspections(
    tx: &Transaction<'_>,
    number: i64,
    file: &File<Question>,
    taken: &mut BTreeSet<i64>,
    faults: &mut Vec<Problem>,
) -> Result<()> {
    for form in &file.form.inspections {
        let own = *form.number.get_ref();
        if !(1..=MOST_NUMBER).contains(&own) || !taken.insert(own) {
            let message = format!("inspection {own} stands twice, or is not from 1 to {MOST_NUMBER}");
            faults.push(file.fault(form.number.span(), message));
            continue;
        }
        let Some(protocol) = protocol(form.protocol.get_ref()) else {
            let message = format!("there is no protocol `{}`", form.protocol.get_ref());
            faults.push(
                file.fault(form.protocol.span(), message).with_help(suggestion(form.protocol.get_ref())),
            );
            continue;
        };
        inspection::check_words("the part", &form.part)?;
        let mut steps = BTreeSet::new();
        for answer in &form.answers {
            let Some(step) = protocol.step(answer.step.get_ref()) else {
                // A protocol may have lost a step since: its answer is kept, and counts for nothing.
                continue;
            };
            if !steps.insert(&step.id) {
                faults.push(file.fault(answer.step.span(), format!("step `{}` is answered twice", step.id)));
            }
            if let Err(fault) = Given::read(step, answer.answer.get_ref()) {
                faults.push(file.fault(answer.answer.span(), fault.why).with_help(fault.help));
            }
        }
        if form.signed_at.is_some() != form.signed_by.is_some() {
            faults.push(file.fault(form.number.span(), "a signature has a name and a time"));
            continue;
        }
        let signed = form.signed_at.zip(form.signed_by.clone()).map(|(at, who)| Stamp { at, who });
        let answers = form.answers.iter().map(|answer| InspectionAnswer {
            step: answer.step.get_ref().clone(),
            answer: answer.answer.get_ref().clone(),
            note: answer.note.clone(),
            stamp: Stamp { at: answer.at, who: answer.who.clone() },
        });
        let new = Inspection {
            id: InspectionId(own),
            question: QuestionId(number),
            protocol: protocol.id.clone(),
            edition: form.edition.max(1),
            part: form.part.clone(),
            signed,
            answers: answers.collect(),
            stamp: Stamp { at: form.at, who: form.who.clone() },
        };
        inspection::add(tx, Some(new.id), &new)?;
    }
    Ok(())
}

fn take_sheet(
    tx: &Transaction<'_>,
    number: i64,
    revision: u32,
    sheet: &FoundSheet,
    found: &Found,
    faults: &mut Vec<Problem>,
) -> Result<()> {
    let file = &sheet.form;
    let form = &file.form;
    let place = form.question.span();
    if !found.questions.contains_key(&number) {
        faults.push(file.fault(place, format!("there is no question {number}")));
        return Ok(());
    }
    // Sheets come in the order of their revisions.
    let next = publish::next_revision(tx, QuestionId(number))?;
    if revision != next {
        faults.push(file.fault(0..0, format!("revision {next} of this sheet is not there")));
        return Ok(());
    }
    if !publish::is_code(&sheet.code) {
        faults
            .push(file.fault(0..0, format!("`{}` is no address: it takes 8 letters and digits", sheet.code)));
        return Ok(());
    }
    if !publish::is_free(tx, QuestionId(number), &sheet.code)? {
        faults.push(
            file.fault(place, "all revisions of one question have one address, and no other question has it"),
        );
        return Ok(());
    }
    let rendered = Rendered {
        way: form.way.0,
        title: form.title.clone(),
        bike: form.bike.clone(),
        headline: form.headline.clone(),
        sentences: form.sentences.clone(),
        record: sheet.record.clone(),
        changes: text(&form.changes),
        files: sheet.files.clone(),
    };
    let stamp = Stamp { at: form.at, who: form.who.clone() };
    publish::add(tx, QuestionId(number), Some(&sheet.code), &rendered, revision, &stamp)
}

fn take_photos(
    desk: &Desk,
    tx: &Transaction<'_>,
    number: i64,
    file: &File<Question>,
    found: &Found,
    step: &mut impl FnMut(),
) -> Result<()> {
    for form in &file.form.photos {
        let number_of_photo = *form.number.get_ref();
        let Some(path) = found.photos.get(&number_of_photo) else { continue };
        photo::check_caption(&form.caption)?;
        let picture = match desk.reprint(bytes(path)?) {
            Err(DeskError::Refused { why, help }) => {
                return Err(told(vec![whole(path, &why).with_help(help)]));
            }
            picture => picture?,
        };
        let stamp = Stamp { at: form.at, who: form.who.clone() };
        let id = Some(PhotoId(number_of_photo));
        let about = photo::About {
            caption: &form.caption,
            inspection: form.inspection.as_ref().map(|number| InspectionId(*number.get_ref())),
            marks: &form.marked(),
        };
        photo::add(tx, id, QuestionId(number), &picture, &about, &stamp)?;
        step();
    }
    Ok(())
}
