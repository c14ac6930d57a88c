//! Choosing a bike.

use knockon_desk::{BikeId, Desk, DeskError};
use maud::{Markup, html};

/// Most bikes that a list to choose from holds; the one that is chosen is in it in any case.
const MOST: u32 = 500;

/// The bikes to choose from, by name.
#[derive(Clone, Debug, Default)]
pub struct Bikes(Vec<(BikeId, String)>);

impl Bikes {
    /// The workshop's bikes, `chosen` among them.
    pub fn load(desk: &Desk, chosen: Option<BikeId>) -> Result<Self, DeskError> {
        let mut bikes: Vec<(BikeId, String)> =
            desk.bikes("", 0, MOST)?.into_iter().map(|row| (row.id, row.title)).collect();
        if let Some(id) = chosen
            && !bikes.iter().any(|(known, _)| *known == id)
            && let Ok(record) = desk.bike(id).and_then(|bike| bike.record())
        {
            bikes.push((id, record.title()));
        }
        bikes.sort_by_key(|(_, title)| title.to_lowercase());
        Ok(Self(bikes))
    }

    /// The control.
    pub fn select(&self, id: &str, name: &str, chosen: Option<BikeId>, none: &str) -> Markup {
        html! {
            select id=(id) name=(name) {
                option value="" { (none) }
                @for (bike, title) in &self.0 {
                    option value=(bike) selected[chosen == Some(*bike)] { (title) }
                }
            }
        }
    }

    /// The one bike that a text names, with its size where there are several; `None` when none or several could be meant.
    pub fn named_in(&self, text: &str) -> Option<BikeId> {
        let text = spaced(text);
        let mentions = |title: &str| {
            let title = spaced(title);
            title.trim().chars().count() >= 4 && text.contains(&title)
        };
        let name = |title: &str| title.split(", size ").next().unwrap_or_default().to_owned();
        let whole: Vec<BikeId> = self
            .0
            .iter()
            .filter(|(_, title)| mentions(&title.replace(", size ", " ")))
            .map(|(id, _)| *id)
            .collect();
        let named = || -> Vec<BikeId> {
            self.0.iter().filter(|(_, title)| mentions(&name(title))).map(|(id, _)| *id).collect()
        };
        match whole.as_slice() {
            [one] => Some(*one),
            [] => match named().as_slice() {
                [one] => Some(*one),
                _ => None,
            },
            _ => None,
        }
    }
}

/// Words in lower case with one space around each, so that only whole words are found.
fn spaced(text: &str) -> String {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.fold(" ".to_owned(), |mut line, word| {
        line.push_str(&word.to_lowercase());
        line.push(' ');
        line
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bikes(titles: &[&str]) -> Bikes {
        let id = |number: usize| number.to_string().parse().expect("an id");
        Bikes(titles.iter().enumerate().map(|(at, title)| (id(at + 1), (*title).to_owned())).collect())
    }

    #[test]
    fn a_bike_is_recognised_by_its_whole_name() {
        let bikes = bikes(&["Larch 150, size M", "Sedge, size 54", "Alder-E, size L"]);
        let found = |text: &str| bikes.named_in(text).map(|id| id.to_string());
        assert_eq!(found("My larch 150 feels long").as_deref(), Some("1"));
        assert_eq!(found("on the alder e, please").as_deref(), Some("3"));
        assert_eq!(found("my Larch 1500"), None);
        assert_eq!(found("a sedgeway"), None);
    }

    #[test]
    fn two_sizes_of_one_bike_are_not_guessed_between() {
        let bikes = bikes(&["Larch 150, size M", "Larch 150, size L"]);
        let found = |text: &str| bikes.named_in(text).map(|id| id.to_string());
        assert_eq!(found("my larch 150"), None);
        assert_eq!(found("my Larch 150 L").as_deref(), Some("2"));
    }
}
