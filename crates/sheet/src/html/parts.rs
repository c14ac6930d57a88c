//! The pieces of a sheet, each as markup.

use super::{answer, clean, depth, elevation, notes, suspension, tables};
use crate::drawing::Page;
use crate::sheet::{Sheet, TitleBlock};
use maud::{Markup, html as markup};

/// The pieces of one sheet. A piece without content is empty.
#[derive(Clone, Copy)]
pub struct Parts<'a> {
    pub(super) sheet: &'a Sheet,
    pub(super) ids: &'a str,
}

impl<'a> Parts<'a> {
    /// The pieces of `sheet`.
    pub fn of(sheet: &'a Sheet) -> Self {
        Parts { sheet, ids: "" }
    }

    /// The same with `ids` before every id, so that two sheets can stand on one page.
    #[must_use]
    pub fn with_ids(self, ids: &'a str) -> Self {
        Parts { ids, ..self }
    }

    /// Mark, headline and sentences, and where the cautions stand.
    pub fn answer(self) -> Markup {
        answer::answer(self, true)
    }

    /// Mark, headline and sentences, for a page that shows the cautions right beside them.
    pub fn verdict(self) -> Markup {
        answer::answer(self, false)
    }

    /// The mark of the outcome and its headline on one line.
    pub fn headline(self) -> Markup {
        answer::headline(self.sheet)
    }

    /// Class that tells the outcome: "fits", "does-not-fit", "measure-first", "cannot-say", "no-limit".
    pub fn tone_class(self) -> &'static str {
        crate::tone::class(self.sheet.answer.tone)
    }

    /// The outcome in words, with the headline: what a screen reader is told.
    pub fn spoken(self) -> String {
        format!("{}: {}", crate::tone::words(self.sheet.answer.tone), clean(&self.sheet.answer.headline))
    }

    /// The limits, worst first.
    pub fn limits(self) -> Markup {
        answer::limits(self)
    }

    /// What to check or measure first.
    pub fn check_first(self) -> Markup {
        answer::check_first(self.sheet)
    }

    /// The lettered changes.
    pub fn revisions(self) -> Markup {
        tables::revisions(&self.sheet.revisions)
    }

    /// What moves, and what does not.
    pub fn knock_ons(self) -> Markup {
        tables::knock_ons(self.sheet)
    }

    /// The facts to ask the rider for.
    pub fn missing(self) -> Markup {
        tables::missing(&self.sheet.missing)
    }

    /// Cautions, certainty, assumptions and sources as one numbered column.
    pub fn general_notes(self) -> Markup {
        notes::general_notes(self)
    }

    /// The cautions alone, numbered from 1.
    pub fn cautions(self) -> Markup {
        notes::cautions(self)
    }

    /// How sure the answer is, numbered on from the cautions.
    pub fn how_sure(self) -> Markup {
        notes::how_sure(self)
    }

    /// Assumptions and sources, numbered on.
    pub fn assumed_and_sources(self) -> Markup {
        notes::assumed_and_sources(self)
    }

    /// A number in brackets, leading to that source; nothing for zero.
    pub fn source(self, number: usize) -> Markup {
        notes::reference(self, number)
    }

    /// One drawing of the bike, before and after; nothing where the record does not suffice for one.
    pub fn elevation(self, page: Page) -> Markup {
        elevation::one(self, page)
    }

    /// The drawing in both sizes; the style sheet shows one and takes the other from the page altogether.
    pub fn elevations(self) -> Markup {
        elevation::both(self)
    }

    /// The whole bike on the ground, small, for a script to move with what [`Parts::suspension`] holds; nothing where it is not
    /// known how the bike stands.
    pub fn standing(self) -> Markup {
        suspension::standing(self)
    }

    /// Inspections of the bike's parts.
    pub fn inspections(self) -> Markup {
        let inspections = &self.sheet.inspections;
        markup! {
            @if !inspections.is_empty() {
                div.inspections { @for inspection in inspections { (crate::inspection::html_section(inspection)) } }
            }
        }
    }

    /// The rear suspension through its travel: the linkage, charts, a table; nothing for a bike without one. The section's
    /// `data-travel` holds what a script needs to move the drawing.
    pub fn suspension(self) -> Markup {
        suspension::part(self, None)
    }

    /// [`Parts::suspension`] with the linkage drawn for one page alone.
    pub fn suspension_on(self, page: Page) -> Markup {
        suspension::part(self, Some(page))
    }

    /// Gears, chain, brakes and wheels in depth; nothing where no change touches them.
    pub fn in_depth(self) -> Markup {
        depth::all(self)
    }

    /// The fields of ISO 7200.
    pub fn title_block(self) -> Markup {
        title_block(&self.sheet.title)
    }
}

/// The fields of ISO 7200, in the corner where a drawing has them.
fn title_block(title: &TitleBlock) -> Markup {
    let field = |class: &str, name: &str, value: &str| {
        let value = if value.is_empty() { "–" } else { value };
        markup! { div class=(class) { dt { (name) } dd { (clean(value)) } } }
    };
    markup! {
        footer.title-block {
            dl {
                (field("question", "Question", &title.question))
                (field("bike", "Bike", &title.bike))
                (field("workshop", "Workshop", &title.workshop))
                (field("third", "Drawn", &title.drawn))
                (field("third", "Sheet", &title.sheet))
                (field("third", "Rev.", &title.revision))
                (field("units", "Units", &format!("{} · ± is 95\u{a0}%", title.units)))
                (field("frame-data", "Frame data", &title.frame_data))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Parts;
    use crate::drawing::Page;
    use crate::fixture;

    #[test]
    fn two_sheets_on_one_page_share_no_id() {
        let sheet = fixture::larch();
        let ids = |parts: Parts| {
            let all = [parts.elevations(), parts.general_notes()].map(maud::PreEscaped::into_string).concat();
            let ids = all.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next());
            ids.map(str::to_owned).collect::<Vec<_>>()
        };
        let (first, second) = (ids(Parts::of(&sheet)), ids(Parts::of(&sheet).with_ids("or-")));
        assert_eq!(first.len(), second.len());
        assert!(!first.is_empty() && second.iter().all(|id| id.starts_with("or-") && !first.contains(id)));
    }

    #[test]
    fn what_a_drawing_refers_to_is_its_own() {
        let sheet = fixture::larch();
        let svg = Parts::of(&sheet).with_ids("or-").elevation(Page::Phone).into_string();
        let defined = |id: &str| svg.contains(&format!(" id=\"{id}\""));
        let clips = svg.split("url(#").skip(1).filter_map(|rest| rest.split(')').next());
        let labels = svg.split("aria-labelledby=\"").skip(1).filter_map(|rest| rest.split('"').next());
        assert!(labels.flat_map(|label| label.split(' ')).chain(clips).all(defined));
    }

    #[test]
    fn the_notes_in_pieces_say_what_the_column_says() {
        let sheet = fixture::larch();
        let parts = Parts::of(&sheet);
        let pieces = [parts.cautions(), parts.how_sure(), parts.assumed_and_sources()]
            .map(maud::PreEscaped::into_string)
            .concat();
        let whole = parts.general_notes().into_string();
        let items = |page: &str| {
            page.split("<li")
                .skip(1)
                .map(|item| item.split("</li>").next().unwrap_or("").to_owned())
                .collect::<Vec<_>>()
        };
        assert_eq!(items(&pieces), items(&whole));
    }
}
