//! The way out: from rows to files.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, params};
use serde::Serialize;
use toml::Spanned;

use super::forms::{
    FORM, FoundAt, History, Inspection, Photo, Question, Sheet, StateWord, Version, WayWord, Workshop, lines,
};
use super::{BIKES, HISTORY, PHOTOS, QUESTIONS, SHEETS, WORKSHOP};
use crate::error::broken;
use crate::{
    BikeId, DeskError, Format, QuestionId, Result, Stamp, Way, bike, inspection, photo, question, settings,
};

const BIKE_IDS: &str = "SELECT id FROM bike ORDER BY id";
const QUESTION_IDS: &str = "SELECT id FROM question ORDER BY id";
const SHEET_IDS: &str = "SELECT code, sheet.question, revision FROM publication
    JOIN sheet ON sheet.question = publication.question ORDER BY sheet.question, revision";
const SHEET: &str = "SELECT way, title, bike, headline, sentences, record, changes, at, who FROM sheet
    WHERE question = ?1 AND revision = ?2";
const SHEET_FILE: &str =
    "SELECT content FROM sheet_file WHERE question = ?1 AND revision = ?2 AND format = ?3";

/// Writes everything.
pub(super) fn all(connection: &Connection, folder: &Path, mut progress: impl FnMut(u64, u64)) -> Result<()> {
    let earlier = is_export(folder)?;
    let bikes = ids::<BikeId>(connection, BIKE_IDS)?;
    let questions = ids::<QuestionId>(connection, QUESTION_IDS)?;
    let sheets = sheets(connection)?;
    let total = (bikes.len() + questions.len() + sheets.len()) as u64;
    let mut done = 0..=total;
    let mut step = || progress(done.next().unwrap_or(total), total);
    let mut out = Out { folder: folder.to_owned(), written: BTreeSet::new() };
    step();
    workshop(connection, &mut out)?;
    let mut stems = BTreeMap::new();
    for id in bikes {
        write_bike(connection, &mut out, id, &mut stems)?;
        step();
    }
    for id in questions {
        write_question(connection, &mut out, id, &stems)?;
        step();
    }
    for (code, id, revision) in sheets {
        write_sheet(connection, &mut out, &code, id, revision)?;
        step();
    }
    if earlier { out.sweep() } else { Ok(()) }
}

/// Whether a folder holds an earlier export. One that is not there, or empty, holds none.
fn is_export(folder: &Path) -> Result<bool> {
    if folder.join(WORKSHOP).is_file() {
        return Ok(true);
    }
    match fs::read_dir(folder).map(|mut entries| entries.next().is_some()) {
        Ok(true) => Err(DeskError::refused(
            format!("{} holds other files, and no {WORKSHOP}; nothing was written", folder.display()),
            "name an empty folder, one that is not there yet, or one with an earlier export",
        )),
        Ok(false) => Ok(false),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(DeskError::file(folder)(error)),
    }
}

fn ids<T: rusqlite::types::FromSql>(connection: &Connection, sql: &str) -> Result<Vec<T>> {
    let mut statement = connection.prepare(sql)?;
    let rows = statement.query_map([], |row| row.get(0))?;
    Ok(rows.collect::<rusqlite::Result<_>>()?)
}

fn sheets(connection: &Connection) -> Result<Vec<(String, QuestionId, u32)>> {
    let mut statement = connection.prepare(SHEET_IDS)?;
    let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    Ok(rows.collect::<rusqlite::Result<_>>()?)
}

fn workshop(connection: &Connection, out: &mut Out) -> Result<()> {
    let own = settings::read(connection)?;
    out.form(
        Path::new(WORKSHOP),
        &Workshop {
            form: bare(FORM),
            name: own.workshop,
            drawn_by: own.drawn_by,
            length: own.length,
            label_language: own.label_language,
            tolerances: own.tolerances,
        },
    )
}

fn write_bike(
    connection: &Connection,
    out: &mut Out,
    id: BikeId,
    stems: &mut BTreeMap<BikeId, String>,
) -> Result<()> {
    let history = bike::history(connection, id)?;
    let stem = free_stem(&bike::title_of(connection, id)?, &stems.values().collect());
    let folder = Path::new(BIKES).join(&stem);
    let versions = history.iter().rev().map(|version| Version {
        number: bare(version.number),
        at: version.stamp.at,
        who: version.stamp.who.clone(),
        why: version.why.clone(),
    });
    out.form(&folder.join(HISTORY), &History { bike: bare(id.0), versions: versions.collect() })?;
    for (index, version) in history.iter().enumerate() {
        let path = match index {
            0 => Path::new(BIKES).join(format!("{stem}.toml")),
            _ => folder.join(format!("{:04}.toml", version.number)),
        };
        out.file(&path, version.text.as_bytes())?;
    }
    stems.insert(id, stem);
    Ok(())
}

fn write_question(
    connection: &Connection,
    out: &mut Out,
    id: QuestionId,
    stems: &BTreeMap<BikeId, String>,
) -> Result<()> {
    let question = question::read(connection, id)?;
    let photos = photo::list(connection, id)?;
    for row in &photos {
        let path = Path::new(PHOTOS).join(format!("{:04}.jpg", row.id));
        out.file(&path, &photo::jpeg(connection, row.id)?)?;
    }
    let photos = photos.into_iter().map(|row| Photo {
        number: bare(row.id.0),
        caption: row.caption,
        inspection: row.inspection.map(|inspection| bare(inspection.0)),
        marks: (!row.marks.is_empty()).then(|| bare(lines(&row.marks))),
        at: row.stamp.at,
        who: row.stamp.who,
    });
    let form = Question {
        asked: question.asked,
        rider: question.rider,
        bike: question.bike.and_then(|bike| stems.get(&bike)).cloned().map(bare),
        changes: lines(&question.draft.changes),
        instead: question.draft.instead.as_deref().map(lines),
        tried_at: Some(question.draft.stamp.at),
        tried_by: Some(question.draft.stamp.who),
        state: StateWord(question.state),
        notes: question.notes,
        came: Some(question.came),
        at: Some(question.stamp.at),
        who: Some(question.stamp.who),
        photos: photos.collect(),
        inspections: inspection::of_question(connection, id)?.into_iter().map(inspection_form).collect(),
    };
    out.form(&Path::new(QUESTIONS).join(format!("{id:04}.toml")), &form)
}

fn inspection_form(kept: crate::Inspection) -> Inspection {
    let answers = kept.answers.into_iter().map(|answer| FoundAt {
        step: bare(answer.step),
        answer: bare(answer.answer),
        note: answer.note,
        at: answer.stamp.at,
        who: answer.stamp.who,
    });
    Inspection {
        number: bare(kept.id.0),
        protocol: bare(kept.protocol),
        edition: kept.edition,
        part: kept.part,
        signed_at: kept.signed.as_ref().map(|stamp| stamp.at),
        signed_by: kept.signed.map(|stamp| stamp.who),
        at: kept.stamp.at,
        who: kept.stamp.who,
        answers: answers.collect(),
    }
}

fn write_sheet(
    connection: &Connection,
    out: &mut Out,
    code: &str,
    id: QuestionId,
    revision: u32,
) -> Result<()> {
    let folder = Path::new(SHEETS).join(code);
    let mut statement = connection.prepare_cached(SHEET)?;
    let mut rows = statement.query(params![id, revision])?;
    let row = rows.next()?.ok_or_else(|| broken("a sheet without its row"))?;
    let Stamp { at, who } = Stamp::read(row, 7)?;
    let way: String = row.get(0)?;
    let form = Sheet {
        question: bare(id.0),
        way: WayWord(Way::of_key(&way).ok_or_else(|| broken("an unknown way"))?),
        title: row.get(1)?,
        bike: row.get(2)?,
        headline: row.get(3)?,
        sentences: row.get(4)?,
        changes: lines(&row.get::<_, String>(6)?),
        at,
        who,
    };
    out.form(&folder.join(format!("{revision}.toml")), &form)?;
    out.file(&folder.join(format!("{revision}.record.toml")), row.get::<_, String>(5)?.as_bytes())?;
    let mut file = connection.prepare_cached(SHEET_FILE)?;
    for format in Format::ALL {
        let content: String = file.query_row(params![id, revision, format.extension()], |row| row.get(0))?;
        out.file(&folder.join(format!("{revision}.{}", format.extension())), content.as_bytes())?;
    }
    Ok(())
}

/// A value that stands nowhere yet.
fn bare<T>(value: T) -> Spanned<T> {
    Spanned::new(0..0, value)
}

/// Names that some systems keep for devices.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// A file's name from a bike's title: small letters, digits and hyphens, for every file system and every shell.
fn free_stem(title: &str, taken: &BTreeSet<&String>) -> String {
    let plain = title.to_lowercase().replace(|c: char| !c.is_ascii_alphanumeric(), " ");
    let mut stem: String = plain.split_whitespace().collect::<Vec<_>>().join("-").chars().take(60).collect();
    if stem.is_empty() || DEVICES.contains(&stem.trim_end_matches(|c: char| c.is_ascii_digit())) {
        stem = format!("bike-{stem}").trim_end_matches('-').to_owned();
    }
    let first = stem.clone();
    let mut number = 2;
    while taken.contains(&stem) {
        stem = format!("{first}-{number}");
        number += 1;
    }
    stem
}

/// The folder that is written.
struct Out {
    folder: PathBuf,
    written: BTreeSet<PathBuf>,
}

impl Out {
    fn form(&mut self, path: &Path, form: &impl Serialize) -> Result<()> {
        let text = toml::to_string_pretty(form).map_err(|error| broken(&error.to_string()))?;
        self.file(path, text.as_bytes())
    }

    fn file(&mut self, path: &Path, content: &[u8]) -> Result<()> {
        let path = self.folder.join(path);
        if let Some(folder) = path.parent() {
            no_link(folder)?;
            fs::create_dir_all(folder).map_err(DeskError::file(folder))?;
        }
        no_link(&path)?;
        fs::write(&path, content).map_err(DeskError::file(&path))?;
        self.written.insert(path);
        Ok(())
    }

    /// Removes what an earlier export left and this one did not write: files that are called as ours are, in our folders.
    fn sweep(&self) -> Result<()> {
        for folder in [BIKES, QUESTIONS, PHOTOS, SHEETS] {
            let folder = self.folder.join(folder);
            no_link(&folder)?;
            self.sweep_folder(&folder, true)?;
            // Fails, and rightly, where something is left in it.
            let _ = fs::remove_dir(&folder);
        }
        Ok(())
    }

    fn sweep_folder(&self, folder: &Path, deeper: bool) -> Result<()> {
        let Ok(entries) = fs::read_dir(folder) else { return Ok(()) };
        for entry in entries {
            let entry = entry.map_err(DeskError::file(folder))?;
            let path = entry.path();
            let kind = entry.file_type().map_err(DeskError::file(&path))?;
            if kind.is_dir() && deeper {
                self.sweep_folder(&path, false)?;
                let _ = fs::remove_dir(&path);
            } else if kind.is_file() && is_ours(&self.folder, &path) && !self.written.contains(&path) {
                fs::remove_file(&path).map_err(DeskError::file(&path))?;
            }
        }
        Ok(())
    }
}

/// A link would lead out of the folder, to files that are not ours to write or remove.
fn no_link(path: &Path) -> Result<()> {
    if path.is_symlink() {
        return Err(DeskError::refused(
            format!("{} is a link; the export stops there", path.display()),
            "take the link away, or name another folder",
        ));
    }
    Ok(())
}

/// Whether a file of the folder is called as an export calls one.
fn is_ours(folder: &Path, path: &Path) -> bool {
    let Ok(inside) = path.strip_prefix(folder) else { return false };
    let parts: Vec<&str> = inside.iter().filter_map(|part| part.to_str()).collect();
    let number = |name: &str, ending: &str| {
        name.strip_suffix(ending)
            .is_some_and(|stem| !stem.is_empty() && stem.bytes().all(|c| c.is_ascii_digit()))
    };
    match parts.as_slice() {
        [QUESTIONS, name] => number(name, ".toml"),
        [PHOTOS, name] => number(name, ".jpg"),
        // A record that an export wrote has its history beside it.
        [BIKES, name] => name
            .strip_suffix(".toml")
            .is_some_and(|stem| folder.join(BIKES).join(stem).join(HISTORY).is_file()),
        [BIKES, _, name] => *name == HISTORY || number(name, ".toml"),
        [SHEETS, code, name] => {
            let endings = Format::ALL.iter().map(|format| format!(".{}", format.extension()));
            code.len() == 8
                && endings.chain([".toml".into(), ".record.toml".into()]).any(|one| number(name, &one))
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_files_suit_every_system() {
        let none = BTreeSet::new();
        for (title, stem) in [
            ("Larch 150, size M", "larch-150-size-m"),
            ("../../etc/passwd", "etc-passwd"),
            ("", "bike"),
            ("λλ", "bike"),
            ("CON", "bike-con"),
            ("com1", "bike-com1"),
            ("Écrin", "crin"),
        ] {
            assert_eq!(free_stem(title, &none), stem, "{title}");
        }
        assert_eq!(free_stem(&"x".repeat(500), &none).len(), 60);
        let taken = ["larch".to_owned(), "larch-2".to_owned()];
        assert_eq!(free_stem("Larch", &taken.iter().collect()), "larch-3");
    }
}
