//! What lists of questions, bikes and sheets have in common: pages of fifty, and addresses that keep the filter.

use maud::{Markup, html};

/// Rows on one page of a list.
pub const ROWS: u32 = 50;

/// Furthest page that an address may ask for; beyond it the search is the better way.
const LAST: u32 = 100_000;

/// The search over a list at `address` of what is called `what`: "Bikes".
pub fn finder(what: &str, address: &str, words: &str) -> Markup {
    html! {
        form.finder role="search" aria-label=(what) method="get" action=(address) {
            div.field {
                label for="words" { "Words in " (what.to_lowercase()) }
                input id="words" type="search" name="words" value=(words) maxlength="200" autocomplete="off" data-slash;
            }
            button { "Show" }
            @if !words.is_empty() { a href=(address) { "Show all again" } }
        }
    }
}

/// Where a page's rows begin, for a page counted from 1.
pub fn offset(page: Option<u32>) -> u32 {
    (number(page) - 1) * ROWS
}

/// The page's number, from 1.
pub fn number(page: Option<u32>) -> u32 {
    page.unwrap_or(1).clamp(1, LAST)
}

/// An address with the parameters that say something. Escaped for an address; the template escapes it for the page.
pub fn address(path: &str, parameters: &[(&str, &str)]) -> String {
    let said: Vec<(&str, &str)> = parameters.iter().filter(|(_, value)| !value.is_empty()).copied().collect();
    if said.is_empty() { path.to_owned() } else { format!("{path}?{}", query(&said)) }
}

/// Name and value pairs as a browser's form would send them.
fn query(pairs: &[(&str, &str)]) -> String {
    pairs
        .iter()
        .map(|(name, value)| format!("{}={}", encoded(name), encoded(value)))
        .collect::<Vec<_>>()
        .join("&")
}

fn encoded(text: &str) -> String {
    text.bytes().fold(String::with_capacity(text.len()), |mut out, byte| {
        match byte {
            b' ' => out.push('+'),
            byte if byte.is_ascii_alphanumeric() || b"-_.*".contains(&byte) => out.push(char::from(byte)),
            byte => out.push_str(&format!("%{byte:02X}")),
        }
        out
    })
}

/// Links to the pages before and after this one. `to` is the address of a page.
pub fn pager(page: u32, more: bool, to: impl Fn(u32) -> String) -> Markup {
    html! {
        @if page > 1 || more {
            nav.pager aria-label="Pages of the list" {
                @if page > 1 { a.button rel="prev" href=(to(page - 1)) { "← Newer" } }
                span { "Page " (page) }
                @if more { a.button rel="next" href=(to(page + 1)) { "Older →" } }
            }
        }
    }
}

/// "1 question", "2 questions".
pub fn counted(count: u32, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// The beginning of a text, cut between words, on one line.
pub fn beginning(text: &str, most: usize) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if line.chars().count() <= most {
        return line;
    }
    let cut: String = line.chars().take(most).collect();
    let cut = cut.rsplit_once(' ').map_or(cut.as_str(), |(whole, _)| whole);
    format!("{} …", cut.trim_end_matches([',', ';', ':', '.', ' ']))
}

/// A value that a form sends, or nothing when the field was left empty.
pub fn filled(value: Option<&str>) -> Option<&str> {
    value.map(str::trim).filter(|value| !value.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_says_only_what_was_chosen() {
        assert_eq!(address("/questions", &[("words", ""), ("state", "")]), "/questions");
        assert_eq!(
            address("/questions", &[("words", "50 & \"é\""), ("state", ""), ("page", "2")]),
            "/questions?words=50+%26+%22%C3%A9%22&page=2"
        );
    }

    #[test]
    fn no_page_is_out_of_reach_or_before_the_first() {
        assert_eq!((offset(None), offset(Some(0)), offset(Some(3))), (0, 0, 100));
        assert!(offset(Some(u32::MAX)) < u32::MAX, "no overflow");
    }

    #[test]
    fn a_beginning_ends_with_a_whole_word() {
        assert_eq!(beginning("  a\n b  c ", 20), "a b c");
        assert_eq!(beginning("longer fork, stem down", 14), "longer fork …");
        assert_eq!(beginning("äöüäöüäöü", 4), "äöüä …");
    }

    #[test]
    fn the_only_page_has_no_links() {
        assert!(pager(1, false, |_| String::new()).into_string().is_empty());
        let middle = pager(2, true, |page| format!("/x?page={page}")).into_string();
        assert!(middle.contains("/x?page=1") && middle.contains("/x?page=3"));
        assert!(!pager(2, false, |_| String::new()).into_string().contains("Older"));
    }
}
