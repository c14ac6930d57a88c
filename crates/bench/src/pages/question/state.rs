//! The state of a working page as an address carries it: the lines of both ways.
//!
//! An address without lines means the saved draft; one with lines means exactly those, whatever was saved since.

/// One of the two ways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// What was asked.
    First,
    /// What might be done instead.
    Instead,
}

impl Side {
    /// Before every id and field name of this way.
    pub fn prefix(self) -> &'static str {
        match self {
            Side::First => "",
            Side::Instead => "or-",
        }
    }

    /// The field that holds all lines of this way.
    pub fn field(self) -> &'static str {
        match self {
            Side::First => "do",
            Side::Instead => "or",
        }
    }

    /// Its name where two stand side by side.
    pub fn name(self) -> &'static str {
        match self {
            Side::First => "First way",
            Side::Instead => "Or instead",
        }
    }
}

/// The lines of both ways, one change each.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ways {
    /// The first way.
    pub first: Vec<String>,
    /// The second, where somebody compares.
    pub instead: Option<Vec<String>>,
}

impl Ways {
    /// Reads two texts.
    pub fn of(first: &str, instead: Option<&str>) -> Self {
        Self { first: lines(first), instead: instead.map(lines) }
    }

    /// The lines of one way.
    pub fn side(&self, side: Side) -> Option<&[String]> {
        match side {
            Side::First => Some(&self.first),
            Side::Instead => self.instead.as_deref(),
        }
    }

    /// Both ways as texts, as a draft keeps them.
    pub fn texts(&self) -> (String, Option<String>) {
        (self.first.join("\n"), self.instead.as_ref().map(|lines| lines.join("\n")))
    }

    /// The query of an address that opens this state.
    pub fn query(&self) -> String {
        let (first, instead) = self.texts();
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.append_pair("do", &first);
        if let Some(instead) = instead {
            query.append_pair("or", &instead);
        }
        query.finish()
    }
}

/// The lines of a text, one change each: a semicolon separates like a line's end; blank lines are left out.
pub fn lines(text: &str) -> Vec<String> {
    text.split([';', '\n']).map(str::trim).filter(|line| !line.is_empty()).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::question::draft::Fields;

    #[test]
    fn an_address_opens_the_state_that_wrote_it() {
        let ways = Ways::of("fork travel by +20\nbar rise 40 & <more>", Some("stem length 40; bar roll 5°"));
        let opened = Fields::of_query(&ways.query()).ways(&Ways::of("saved", Some("too"))).unwrap();
        assert_eq!(opened, ways);
    }

    #[test]
    fn an_address_without_lines_means_the_saved_draft_and_one_with_none_means_none() {
        let saved = Ways::of("bar rise 40", None);
        let opened = |query: &str| Fields::of_query(query).ways(&saved).unwrap();
        assert_eq!(opened(""), saved);
        assert_eq!(opened("do="), Ways::default());
        assert_eq!(opened("or=bar+rise+20"), Ways::of("bar rise 40", Some("bar rise 20")));
    }
}
