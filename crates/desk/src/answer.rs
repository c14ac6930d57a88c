//! From a stored question to its answer. This is the one way: pages, the interface for programs and published sheets all
//! come through here.

use knockon_sheet::compose::{Heading, compose};
use knockon_sheet::inspection::{self as inspection_sheet, Photo};
use knockon_sheet::sheet::Sheet;
use knockon_sheet::units::Units;
use knockon_trade::findings::{Findings, answer};
use knockon_trade::inspection::mark::read_marks;
use knockon_trade::problem::Problem;
use knockon_trade::question::{Question as Asked, read_changes};
use rusqlite::Connection;

use crate::{
    BikeVersion, Desk, DeskError, Inspection, InspectionId, PhotoId, PhotoRow, Question, QuestionId, Result,
    Settings, bike, inspection, photo, publish, question, settings,
};

/// An answer to a stored question.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The question, as it was answered.
    pub question: Asked,
    /// The answer in numbers.
    pub findings: Findings,
    /// The answer in words, ready to be drawn.
    pub sheet: Sheet,
    /// Values that are possible but out of the usual.
    pub warnings: Vec<Problem>,
}

/// What an answer is made from.
pub(crate) struct Basis {
    pub(crate) question: Question,
    /// None where nobody has chosen one: an inspection needs no bike on record.
    pub(crate) bike: Option<BikeVersion>,
    pub(crate) inspections: Vec<Inspection>,
    pub(crate) photos: Vec<PhotoRow>,
    pub(crate) settings: Settings,
}

/// The record that stands for a bike which the workshop does not have.
const NO_BIKE: &str = "name = \"Bike not on record\"";

impl Desk {
    /// Answers a stored question with these changes, on its bike as it is now, with the workshop's settings.
    ///
    /// # Errors
    /// [`DeskError::Changes`] with every fault of the lines, [`DeskError::Answer`] when the bike or the changes are
    /// impossible, [`DeskError::Refused`] when no bike was chosen yet.
    pub fn answer_of(&self, id: QuestionId, changes: &str) -> Result<Answered> {
        let basis = self.read(|connection| Basis::read(connection, id))?;
        basis.answer(changes, &format!("{id:04}"), String::new(), &address)
    }
}

impl Desk {
    /// The same with every photo in the sheet itself, for a page that stands alone.
    ///
    /// # Errors
    /// As [`Desk::answer_of`].
    pub fn answer_to_print(&self, id: QuestionId, changes: &str) -> Result<Answered> {
        let basis = self.read(|connection| Basis::read(connection, id))?;
        basis.answer(changes, &format!("{id:04}"), String::new(), &|id| self.printed(id))
    }
}

impl Desk {
    /// The sheet of one inspection, its photos in itself.
    ///
    /// # Errors
    /// [`DeskError::NotFound`]; [`DeskError::Refused`] for a protocol that this program does not have.
    pub fn inspection_sheet(
        &self,
        id: InspectionId,
    ) -> Result<(inspection_sheet::Inspection, inspection_sheet::Heading)> {
        let (kept, question, bike, photos, settings) = self.read(|connection| {
            let kept = inspection::read(connection, id)?;
            let question = question::read(connection, kept.question)?;
            let bike = question.bike.map(|bike| bike::title_of(connection, bike)).transpose()?;
            let photos = photo::list(connection, kept.question)?;
            Ok((kept, question, bike, photos, settings::read(connection)?))
        })?;
        let inspected = kept.inspected().ok_or_else(|| inspection::no_protocol(&kept.protocol))?;
        let mut part = inspection_sheet::compose(&inspected, &inspected.judgement());
        part.photos = pictures(&photos, id, &|id| self.printed(id))?;
        let named = [bike.unwrap_or_default(), question.rider].into_iter().filter(|words| !words.is_empty());
        let about = inspection_sheet::Heading {
            workshop: settings.workshop,
            bike: named.collect::<Vec<_>>().join(" · "),
            drawn: publish::drawn(&kept.stamp),
        };
        Ok((part, about))
    }
}

impl Basis {
    pub(crate) fn read(connection: &Connection, id: QuestionId) -> Result<Basis> {
        let question = question::read(connection, id)?;
        let inspections = inspection::of_question(connection, id)?;
        if question.bike.is_none() && inspections.is_empty() {
            return Err(DeskError::refused(
                "no bike was chosen for this question yet",
                "choose one of the workshop's bikes, or add the rider's",
            ));
        }
        let bike = question.bike.map(|bike| bike::newest(connection, bike)).transpose()?;
        let photos = photo::list(connection, id)?;
        Ok(Basis { question, bike, inspections, photos, settings: settings::read(connection)? })
    }

    /// The answer; `picture` says where a photo's picture is.
    pub(crate) fn answer(
        &self,
        changes: &str,
        sheet: &str,
        drawn: String,
        picture: &dyn Fn(PhotoId) -> Result<String>,
    ) -> Result<Answered> {
        let lines: Vec<&str> = changes.lines().collect();
        let read = read_changes(&lines).map_err(DeskError::Changes)?;
        let record = match &self.bike {
            Some(bike) => bike.record()?,
            None => bike::read_record("no bike", NO_BIKE)?,
        };
        let known: Vec<&Inspection> = self.inspections.iter().filter(|it| it.known().is_some()).collect();
        let question = Asked {
            asked: self.question.asked.clone(),
            record: record.with_tolerances(&self.settings.tolerances),
            changes: read.changes,
            inspections: known.iter().filter_map(|it| it.inspected()).collect(),
        };
        let findings = answer(question.clone())?;
        let settings = &self.settings;
        let heading = Heading {
            workshop: settings.workshop.clone(),
            drawn,
            sheet: sheet.to_owned(),
            units: Units { length: settings.length, language: settings.label_language },
        };
        let mut sheet = compose(&findings, &heading);
        for (part, kept) in sheet.inspections.iter_mut().zip(known) {
            part.photos = pictures(&self.photos, kept.id, picture)?;
        }
        Ok(Answered { question, findings, sheet, warnings: read.warnings })
    }
}

/// The photos of an inspection, ready for a sheet.
fn pictures(
    photos: &[PhotoRow],
    inspection: InspectionId,
    picture: &dyn Fn(PhotoId) -> Result<String>,
) -> Result<Vec<Photo>> {
    let of_inspection = photos.iter().filter(|photo| photo.inspection == Some(inspection));
    of_inspection
        .map(|photo| {
            Ok(Photo {
                href: picture(photo.id)?,
                width: photo.width,
                height: photo.height,
                caption: photo.caption.clone(),
                marks: read_marks(&photo.marks).unwrap_or_default(),
            })
        })
        .collect()
}

/// Where the web app shows a photo.
#[allow(clippy::unnecessary_wraps)]
fn address(id: PhotoId) -> Result<String> {
    Ok(format!("/photos/{id}"))
}
