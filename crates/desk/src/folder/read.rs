//! The files on the way in: each is read and checked on its own, and every fault is told with its place.

use std::collections::BTreeMap;
use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use knockon_trade::problem::Problem;
use knockon_trade::record::{Record, parse};
use serde::de::DeserializeOwned;

use super::forms::{FORM, History, Question, Sheet, Workshop};
use super::{BIKES, HISTORY, PHOTOS, QUESTIONS, SHEETS, WORKSHOP};
use crate::{DeskError, Format, Result};

/// Largest file that is read, in bytes; a photo is the largest.
const LARGEST: u64 = 12 * 1024 * 1024;

/// Most faults that are told.
const MOST_FAULTS: usize = 50;

/// Everything that was found, read but not yet put together.
pub(super) struct Found {
    pub(super) workshop: Option<Workshop>,
    /// By the name of the file.
    pub(super) bikes: BTreeMap<String, Bike>,
    /// By number.
    pub(super) questions: BTreeMap<i64, File<Question>>,
    /// By number of the question and revision.
    pub(super) sheets: BTreeMap<(i64, u32), FoundSheet>,
    /// Paths by number.
    pub(super) photos: BTreeMap<i64, PathBuf>,
}

/// A bike's versions, oldest first.
pub(super) struct Bike {
    pub(super) history: Option<History>,
    pub(super) texts: Vec<String>,
    /// The newest text, read.
    pub(super) record: Record,
}

/// A sheet with its files.
pub(super) struct FoundSheet {
    pub(super) code: String,
    pub(super) form: File<Sheet>,
    pub(super) record: String,
    pub(super) files: [(Format, String); 5],
}

/// What a file says, with the text to point at.
pub(super) struct File<T> {
    pub(super) path: PathBuf,
    pub(super) text: Arc<str>,
    pub(super) form: T,
}

impl<T> File<T> {
    /// A fault at a place of this file.
    pub(super) fn fault(&self, place: Range<usize>, message: impl Into<String>) -> Problem {
        Problem::error(&self.path.to_string_lossy(), &self.text, place, message)
    }
}

/// Reads every file of a folder.
pub(super) fn all(folder: &Path) -> Result<Found> {
    let ours = [BIKES, QUESTIONS].iter().any(|name| folder.join(name).is_dir());
    if !ours && !folder.join(WORKSHOP).is_file() {
        return Err(DeskError::refused(
            format!("{} holds no workshop: neither {WORKSHOP} nor {BIKES} nor {QUESTIONS}", folder.display()),
            "name a folder that `knockon export` wrote",
        ));
    }
    let mut reader = Reader { faults: Vec::new() };
    let found = Found {
        workshop: reader.workshop(folder)?,
        bikes: reader.bikes(&folder.join(BIKES))?,
        questions: reader.questions(&folder.join(QUESTIONS))?,
        sheets: reader.sheets(&folder.join(SHEETS))?,
        photos: reader.photos(&folder.join(PHOTOS))?,
    };
    if reader.faults.is_empty() { Ok(found) } else { Err(told(reader.faults)) }
}

/// The faults of a folder, as many as anybody reads.
pub(super) fn told(mut faults: Vec<Problem>) -> DeskError {
    faults.truncate(MOST_FAULTS);
    DeskError::Folder(faults)
}

struct Reader {
    faults: Vec<Problem>,
}

impl Reader {
    fn workshop(&mut self, folder: &Path) -> Result<Option<Workshop>> {
        let path = folder.join(WORKSHOP);
        if !path.is_file() {
            return Ok(None);
        }
        let Some(file) = self.form::<Workshop>(&path)? else { return Ok(None) };
        let form = *file.form.form.get_ref();
        if !(1..=FORM).contains(&form) {
            let message = format!("the folder has form {form}, this program reads forms 1 to {FORM}");
            let help = "take it in with the program that wrote it, or a newer one";
            self.faults.push(file.fault(file.form.form.span(), message).with_help(help));
        }
        Ok(Some(file.form))
    }

    fn bikes(&mut self, folder: &Path) -> Result<BTreeMap<String, Bike>> {
        let mut bikes = BTreeMap::new();
        for path in files(folder, "toml")? {
            let Some(stem) = stem(&path) else { continue };
            let text = text(&path)?;
            let record = match parse(&path.to_string_lossy(), &text) {
                Ok(parsed) => parsed.record,
                Err(faults) => {
                    self.faults.extend(faults);
                    continue;
                }
            };
            let mut bike = Bike { history: None, texts: Vec::new(), record };
            let beside = folder.join(&stem);
            let history = beside.join(HISTORY);
            if history.is_file()
                && let Some(file) = self.form::<History>(&history)?
            {
                self.versions(&file, &beside, &mut bike.texts)?;
                bike.history = Some(file.form);
            }
            bike.texts.push(text);
            bikes.insert(stem, bike);
        }
        Ok(bikes)
    }

    /// The earlier texts of a bike, whose versions must count from 1.
    fn versions(&mut self, file: &File<History>, folder: &Path, texts: &mut Vec<String>) -> Result<()> {
        let versions = &file.form.versions;
        if versions.is_empty() {
            self.faults.push(file.fault(0..0, "a history has at least one version"));
        }
        for (index, version) in versions.iter().enumerate() {
            let number = *version.number.get_ref();
            if number as usize != index + 1 {
                let message = format!("version {} must stand here, not {number}", index + 1);
                self.faults.push(file.fault(version.number.span(), message));
            } else if index + 1 < versions.len() {
                texts.push(text(&folder.join(format!("{number:04}.toml")))?);
            }
        }
        Ok(())
    }

    fn questions(&mut self, folder: &Path) -> Result<BTreeMap<i64, File<Question>>> {
        let mut questions: BTreeMap<i64, File<Question>> = BTreeMap::new();
        for path in files(folder, "toml")? {
            let Some(file) = self.form::<Question>(&path)? else { continue };
            // "0042" or, written by hand, "42-longer-fork".
            let stem = stem(&path).unwrap_or_default();
            let number = stem.split('-').next().and_then(|digits| digits.parse::<i64>().ok());
            match number.filter(|number| (1..=MOST_NUMBER).contains(number)) {
                None => self.faults.push(
                    file.fault(0..0, "the file's name must begin with the question's number")
                        .with_help("call it for example 0042.toml"),
                ),
                Some(number) => {
                    if let Some(other) = questions.get(&number) {
                        let message = format!("{} has the number {number} already", other.path.display());
                        self.faults.push(file.fault(0..0, message));
                    } else {
                        questions.insert(number, file);
                    }
                }
            }
        }
        Ok(questions)
    }

    fn sheets(&mut self, folder: &Path) -> Result<BTreeMap<(i64, u32), FoundSheet>> {
        let mut sheets: BTreeMap<(i64, u32), FoundSheet> = BTreeMap::new();
        for code_folder in folders(folder)? {
            let Some(code) = stem(&code_folder) else { continue };
            for path in files(&code_folder, "toml")? {
                let Some(revision) = stem(&path).and_then(|stem| stem.parse::<u32>().ok()) else { continue };
                let Some(form) = self.form::<Sheet>(&path)? else { continue };
                let beside = |ending: &str| text(&code_folder.join(format!("{revision}.{ending}")));
                let record = beside("record.toml")?;
                let file = |format: Format| Ok::<_, DeskError>((format, beside(format.extension())?));
                let [html, svg, markdown, text, json] = Format::ALL.map(file);
                let files = [html?, svg?, markdown?, text?, json?];
                let question = *form.form.question.get_ref();
                let place = form.form.question.span();
                if let Some(other) = sheets.get(&(question, revision)) {
                    let message =
                        format!("{} is revision {revision} of it already", other.form.path.display());
                    self.faults.push(form.fault(place, message));
                } else {
                    let code = code.clone();
                    sheets.insert((question, revision), FoundSheet { code, form, record, files });
                }
            }
        }
        Ok(sheets)
    }

    fn photos(&mut self, folder: &Path) -> Result<BTreeMap<i64, PathBuf>> {
        let mut photos = BTreeMap::new();
        for path in files(folder, "jpg")? {
            match stem(&path).and_then(|stem| stem.parse::<i64>().ok()) {
                Some(number) if (1..=MOST_NUMBER).contains(&number) => {
                    photos.insert(number, path);
                }
                _ => self.faults.push(whole(&path, "the file's name must be the photo's number")),
            }
        }
        Ok(photos)
    }

    /// Reads one form; nothing, and a fault, when it cannot be read.
    fn form<T: DeserializeOwned>(&mut self, path: &Path) -> Result<Option<File<T>>> {
        let text = text(path)?;
        match toml::from_str(&text) {
            Ok(form) => Ok(Some(File { path: path.to_owned(), text: text.into(), form })),
            Err(error) => {
                let text: Arc<str> = text.into();
                let place = error.span().unwrap_or(0..0);
                let message = error.message().trim().to_owned();
                self.faults.push(Problem::error(&path.to_string_lossy(), &text, place, message));
                Ok(None)
            }
        }
    }
}

/// Largest number of a question; far beyond any workshop.
pub(super) const MOST_NUMBER: i64 = 1_000_000_000;

/// A fault of a file that is no text.
pub(super) fn whole(path: &Path, message: &str) -> Problem {
    Problem::error(&path.to_string_lossy(), &Arc::from(""), 0..0, message)
}

fn stem(path: &Path) -> Option<String> {
    path.file_stem().and_then(|stem| stem.to_str()).map(str::to_owned)
}

/// The content of a file, if it is not too large.
pub(super) fn bytes(path: &Path) -> Result<Vec<u8>> {
    // A link could bring in, and so publish, any file of the machine; a device has no end.
    let found = fs::symlink_metadata(path).map_err(DeskError::file(path))?;
    if !found.is_file() {
        return Err(told(vec![whole(path, "this is no ordinary file")]));
    }
    if found.len() > LARGEST {
        return Err(told(vec![whole(path, "the file has more than 12 MB")]));
    }
    fs::read(path).map_err(DeskError::file(path))
}

fn text(path: &Path) -> Result<String> {
    String::from_utf8(bytes(path)?).map_err(|_| told(vec![whole(path, "the file is no UTF-8 text")]))
}

/// Files with an ending, in the order of their names; none when there is no such folder. What begins with a dot is not ours.
fn files(folder: &Path, ending: &str) -> Result<Vec<PathBuf>> {
    let mut paths = entries(folder)?;
    paths.retain(|path| path.extension().is_some_and(|found| found == ending));
    Ok(paths)
}

fn folders(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut paths = entries(folder)?;
    paths.retain(|path| path.is_dir() && !path.is_symlink());
    Ok(paths)
}

fn entries(folder: &Path) -> Result<Vec<PathBuf>> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.map_err(DeskError::file(folder))?,
    };
    let mut paths = Vec::new();
    for entry in entries {
        let path = entry.map_err(DeskError::file(folder))?.path();
        let hidden = path.file_name().is_none_or(|name| name.to_string_lossy().starts_with('.'));
        if !hidden {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}
