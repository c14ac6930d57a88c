//! A notice set before a page that is kept as it was.

use super::clean;
use maud::{Markup, PreEscaped, html as markup};

/// Where the sheet that a notice speaks of is found.
#[derive(Clone, Copy, Debug)]
pub struct Newer<'a> {
    /// Address.
    pub address: &'a str,
    /// Words of the link.
    pub words: &'a str,
}

/// On screen and paper alike: a notice must not be missing on a print of the old sheet.
const STYLE: &str = ".replaced { margin: 0; padding: .75rem 1.125rem; border-bottom: 3px solid var(--caution); \
    color: var(--caution); background: var(--paper); font-weight: 600; font-size: 1.125rem; }";

/// A page of [`html`](super::html) with `notice` at its top, first in reading order.
///
/// ```
/// let page = "<html><head></head><body><main></main></body></html>";
/// let marked = knockon_sheet::html::with_notice(page, "This sheet was replaced by revision 2.");
/// assert!(marked.contains("<body><p class=\"replaced\">This sheet was replaced by revision 2.</p><main>"));
/// ```
pub fn with_notice(page: &str, notice: &str) -> String {
    set_before(page, &markup! { p.replaced { (clean(notice)) } })
}

/// The same with a link behind the notice.
pub fn with_notice_and_link(page: &str, notice: &str, newer: Newer) -> String {
    set_before(
        page,
        &markup! { p.replaced { (clean(notice)) " " a href=(newer.address) { (clean(newer.words)) } } },
    )
}

/// Text in a page is escaped, so the first of each tag is the tag.
fn set_before(page: &str, notice: &Markup) -> String {
    let style = markup! { style { (PreEscaped(STYLE)) } }.into_string();
    let page = page.replacen("</head>", &format!("{style}</head>"), 1);
    match page.split_once("<body>") {
        Some((head, body)) => format!("{head}<body>{}{body}", notice.0),
        None => format!("{}{page}", notice.0),
    }
}

#[cfg(test)]
mod tests {
    use super::{Newer, with_notice, with_notice_and_link};
    use crate::{fixture, html::html};

    #[test]
    fn the_notice_is_the_first_thing_that_is_read() {
        let page = html(&fixture::larch());
        let marked = with_notice(&page, "This sheet was replaced by revision 3.");
        let body = marked.split_once("<body>").unwrap().1;
        assert!(body.starts_with("<p class=\"replaced\">This sheet was replaced by revision 3.</p><main"));
        assert!(marked.ends_with(page.split_once("<body>").unwrap().1));
    }

    #[test]
    fn its_words_are_words_and_its_address_stays_an_address() {
        let page = html(&fixture::hostile());
        let newer = Newer { address: "/s/a\"b", words: "<i>newest</i>" };
        let marked = with_notice_and_link(&page, "<b>old</b>", newer);
        assert!(
            marked.contains("&lt;b&gt;old&lt;/b&gt; <a href=\"/s/a&quot;b\">&lt;i&gt;newest&lt;/i&gt;</a>")
        );
    }

    #[test]
    fn a_page_that_is_not_ours_is_not_lost() {
        assert_eq!(with_notice("only text", "old"), "<p class=\"replaced\">old</p>only text");
    }
}
