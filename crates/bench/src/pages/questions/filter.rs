//! What of the list is shown: tabs by state and by safety words, and a form for words and bike.

use knockon_desk::{BikeId, Counts, Filter, State};
use knockon_trade::words::upper_first;
use maud::{Markup, html};
use serde::Deserialize;

use super::choice::Bikes;
use crate::pages::listing::{self, ROWS, counted};

/// The list as its address asks for it. A value that means nothing is as good as none: an address is edited by hand.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Shown {
    words: String,
    state: String,
    urgent: String,
    bike: String,
    page: String,
    /// How many questions were stored just before.
    kept: String,
}

impl Shown {
    /// The same for the desk.
    pub fn filter(&self) -> Filter {
        Filter {
            words: self.words.clone(),
            state: self.state(),
            urgent: self.urgent(),
            bike: self.bike(),
            offset: listing::offset(self.page.parse().ok()),
            limit: ROWS,
        }
    }

    /// The page's number.
    pub fn page(&self) -> u32 {
        listing::number(self.page.parse().ok())
    }

    fn state(&self) -> Option<State> {
        State::ALL.into_iter().find(|state| state.key() == self.state)
    }

    fn urgent(&self) -> bool {
        !self.urgent.is_empty()
    }

    fn bike(&self) -> Option<BikeId> {
        self.bike.parse().ok()
    }

    /// True where more than a tab was chosen.
    pub fn is_narrowed(&self) -> bool {
        !self.words.trim().is_empty() || self.bike().is_some()
    }

    /// The page's title, which tells it from other tabs of the browser.
    pub fn title(&self) -> String {
        let words = self.words.trim();
        let what = match (self.urgent(), self.state()) {
            (true, _) => "Questions with a safety word".to_owned(),
            (false, Some(state)) => format!("Questions, {}", state.word()),
            (false, None) => "Questions".to_owned(),
        };
        if words.is_empty() { what } else { format!("{what}: {words}") }
    }

    /// The same list at another page.
    pub fn at_page(&self, page: u32) -> String {
        let number = page.to_string();
        let page = if page > 1 { number.as_str() } else { "" };
        self.address(&self.state, &self.urgent, page)
    }

    /// The whole list of the same tab.
    pub fn widened(&self) -> String {
        listing::address("/questions", &[("state", &self.state), ("urgent", &self.urgent)])
    }

    /// A tab with the words and the bike that are chosen.
    fn tab(&self, state: &str, urgent: &str) -> String {
        self.address(state, urgent, "")
    }

    fn address(&self, state: &str, urgent: &str, page: &str) -> String {
        let parameters = [
            ("words", self.words.trim()),
            ("state", state),
            ("urgent", urgent),
            ("bike", &self.bike),
            ("page", page),
        ];
        listing::address("/questions", &parameters)
    }

    /// Why a whole tab is empty.
    pub fn nothing_in_tab(&self) -> &'static str {
        match self.state() {
            _ if self.urgent() => "No open question has a safety word.",
            Some(State::New) => "Nothing is new: every question was looked at.",
            Some(State::Waiting) => "No question waits for its rider.",
            Some(State::Answered) => "No question is answered yet. Publishing a sheet answers its question.",
            Some(State::SetAside) => "No question was set aside.",
            None => "There is no question here.",
        }
    }

    /// What was stored by the form before this page.
    pub fn just_kept(&self) -> Markup {
        let kept = self.kept.parse::<u32>().unwrap_or(0);
        html! {
            @if kept > 0 {
                p.notice role="status" { (counted(kept, "question is", "questions are")) " kept. What has a safety word comes first." }
            }
        }
    }
}

/// One tab for each state, with how many questions there are.
pub fn tabs(shown: &Shown, counts: &Counts) -> Markup {
    let all = counts.new + counts.waiting + counts.answered + counts.set_aside;
    let count = |state| match state {
        State::New => counts.new,
        State::Waiting => counts.waiting,
        State::Answered => counts.answered,
        State::SetAside => counts.set_aside,
    };
    let here = |state: Option<State>| (!shown.urgent() && shown.state() == state).then_some("page");
    html! {
        nav.tabs aria-label="Questions by state" {
            ul {
                li { a href=(shown.tab("", "")) aria-current=[here(None)] { "All" (total(all)) } }
                @if counts.urgent > 0 || shown.urgent() {
                    li {
                        a href=(shown.tab("", "yes")) aria-current=[shown.urgent().then_some("page")] {
                            (super::row::triangle()) "Open, with a safety word" (total(counts.urgent))
                        }
                    }
                }
                @for state in State::ALL {
                    li {
                        a href=(shown.tab(state.key(), "")) aria-current=[here(Some(state))] {
                            (upper_first(state.word())) (total(count(state)))
                        }
                    }
                }
            }
        }
    }
}

fn total(count: u32) -> Markup {
    html! { " " span.total { (count) } }
}

/// A sentence out of a message that has neither capital nor full stop.
pub fn sentence(message: &str) -> String {
    let message = upper_first(&quoted(message.trim()));
    if message.is_empty() || message.ends_with(['.', '?', '!']) { message } else { format!("{message}.") }
}

/// Code marks become quotation marks: a page shows words, not Markdown.
pub fn quoted(message: &str) -> String {
    let mut open = false;
    message
        .chars()
        .map(|letter| {
            if letter == '`' {
                open = !open;
                if open { '“' } else { '”' }
            } else {
                letter
            }
        })
        .collect()
}

/// Words and bike. The tab that is open stays open.
pub fn controls(shown: &Shown, bikes: &Bikes) -> Markup {
    html! {
        form.finder role="search" aria-label="Questions" method="get" action="/questions" {
            @if let Some(state) = shown.state() { input type="hidden" name="state" value=(state.key()); }
            @if shown.urgent() { input type="hidden" name="urgent" value="yes"; }
            div.field {
                label for="words" { "Words in questions and answers" }
                input id="words" type="search" name="words" value=(shown.words) maxlength="200" autocomplete="off" data-slash;
            }
            div.field {
                label for="bike" { "Bike" }
                (bikes.select("bike", "bike", shown.bike(), "Any bike"))
            }
            button { "Show" }
            @if shown.is_narrowed() { a href=(shown.widened()) { "Show all again" } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(words: &str, state: &str, page: &str) -> Shown {
        Shown { words: words.into(), state: state.into(), page: page.into(), ..Shown::default() }
    }

    #[test]
    fn nonsense_in_an_address_means_nothing() {
        let odd = Shown { bike: "x".into(), urgent: String::new(), ..shown("", "lost", "minus one") };
        let filter = odd.filter();
        assert_eq!((filter.offset, filter.limit), (0, 50));
        assert!(filter.state.is_none() && filter.bike.is_none() && !filter.urgent);
    }

    #[test]
    fn a_page_keeps_the_words_and_the_state() {
        let here = shown(" long fork ", State::New.key(), "2");
        assert_eq!(here.filter().offset, 50);
        assert_eq!(here.at_page(3), "/questions?words=long+fork&state=new&page=3");
        assert_eq!(here.at_page(1), "/questions?words=long+fork&state=new");
        assert_eq!(here.widened(), "/questions?state=new");
    }

    #[test]
    fn a_message_becomes_a_sentence() {
        assert_eq!(sentence("did you mean `length`?"), "Did you mean “length”?");
        assert_eq!(sentence("`a` and `b` differ"), "“a” and “b” differ.");
        assert_eq!(sentence(""), "");
    }

    #[test]
    fn a_tab_alone_is_not_narrowed() {
        assert!(!shown("", "new", "").is_narrowed());
        assert!(shown("fork", "", "").is_narrowed());
        assert!(Shown { bike: "3".into(), ..Shown::default() }.is_narrowed());
    }
}
