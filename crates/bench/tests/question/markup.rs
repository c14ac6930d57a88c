//! The markup itself: nothing that the page's policy forbids, nothing that breaks out, every label and reference in place.

use std::collections::HashSet;

use axum::http::StatusCode;

use crate::bench::{Bench, read};
use crate::form::{attribute, encoded, of};

const HOSTILE: &str = "\"><script>alert(1)</script><img src=x onerror=alert(2)> ' & é";

/// Every opening tag of a page, as written.
fn tags(page: &str) -> Vec<&str> {
    page.split('<')
        .skip(1)
        .filter_map(|rest| rest.split('>').next())
        .filter(|tag| !tag.starts_with(['/', '!']))
        .collect()
}

fn pages() -> Vec<(String, String)> {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask(
        "Longer fork? There is a crack.",
        Some(bike),
        "fork axle-to-crown 576\nspacers below by -5\nrear tyre 64-622",
    );
    let bare = bench.ask("", None, "stem length 40");
    let hostile = bench.ask(HOSTILE, Some(bike), &format!("{HOSTILE}\nbar rise 40"));
    let two = encoded(&of(&[("do", "bar rise 40\nstem lenght 3"), ("or", "stem length 40")]));
    [
        format!("/questions/{id}"),
        format!("/questions/{id}?{two}"),
        format!("/questions/{bare}"),
        format!("/questions/{hostile}"),
        format!("/questions/{hostile}/sheet"),
    ]
    .into_iter()
    .map(|address| (address.clone(), bench.page(&address)))
    .collect()
}

#[test]
fn nothing_in_the_markup_needs_what_the_policy_forbids() {
    for (address, page) in pages() {
        for tag in tags(&page) {
            // Quoted values are words; names of attributes stand between them.
            let names: String = tag.split('"').step_by(2).collect::<Vec<_>>().join(" ");
            assert!(!names.contains(" style="), "{address}: <{tag}>");
            assert!(
                !tag.starts_with("style") && (!tag.starts_with("script") || tag.contains(" src=\"/assets/")),
                "{address}: <{tag}>"
            );
            assert!(!names.split_whitespace().any(|word| word.starts_with("on")), "{address}: <{tag}>");
        }
    }
}

#[test]
fn ids_are_unique_and_every_reference_finds_one() {
    for (address, page) in pages() {
        let all: Vec<String> = tags(&page).into_iter().filter_map(|tag| attribute(tag, "id")).collect();
        let ids: HashSet<&String> = all.iter().collect();
        assert_eq!(ids.len(), all.len(), "{address}: {all:?}");
        for tag in tags(&page) {
            for name in
                ["for", "aria-labelledby", "aria-describedby", "data-for", "list", "form", "data-copy"]
            {
                for reference in attribute(tag, name).iter().flat_map(|value| value.split(' ')) {
                    assert!(ids.contains(&reference.to_owned()), "{address}: {reference} in <{tag}>");
                }
            }
            if let Some(anchor) =
                attribute(tag, "href").and_then(|href| href.strip_prefix('#').map(str::to_owned))
            {
                assert!(ids.contains(&anchor), "{address}: #{anchor}");
            }
        }
    }
}

#[test]
fn every_control_has_a_name_for_those_who_hear_the_page() {
    for (address, page) in pages() {
        let labelled: HashSet<String> =
            tags(&page).into_iter().filter_map(|tag| attribute(tag, "for")).collect();
        for tag in tags(&page) {
            let control = ["input", "select", "textarea"]
                .iter()
                .any(|name| tag.split_whitespace().next() == Some(name));
            let kind = attribute(tag, "type").unwrap_or_default();
            if control && kind != "hidden" && kind != "checkbox" {
                let named = attribute(tag, "aria-label").is_some()
                    || attribute(tag, "id").is_some_and(|id| labelled.contains(&id));
                assert!(named, "{address}: <{tag}>");
            }
        }
    }
}

#[test]
fn headings_go_down_one_step_at_a_time() {
    for (address, page) in pages() {
        let levels: Vec<u32> = tags(&page)
            .into_iter()
            .filter_map(|tag| tag.split_whitespace().next()?.strip_prefix('h')?.parse().ok())
            .collect();
        assert_eq!(levels.iter().filter(|level| **level == 1).count(), 1, "{address}: {levels:?}");
        assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{address}: {levels:?}");
    }
}

#[test]
fn hostile_words_are_read_as_words_wherever_they_stand() {
    let (bench, bike) = Bench::with_bike("larch-150");
    let id = bench.ask(HOSTILE, Some(bike), &format!("{HOSTILE}\nbar rise 40"));
    let address = format!("/questions/{id}");
    bench.submit(
        &format!("{address}/edit"),
        &of(&[
            ("asked", HOSTILE),
            ("rider", HOSTILE),
            ("notes", HOSTILE),
            ("bike", &bike.to_string()),
            ("state", "new"),
            ("version", "1"),
        ]),
    );
    let query = encoded(&of(&[
        ("do", HOSTILE),
        ("or", HOSTILE),
        ("add", HOSTILE),
        ("line0", HOSTILE),
        ("t0", HOSTILE),
    ]));
    for place in [
        format!("{address}?{query}"),
        address.clone(),
        format!("{address}/live?{query}"),
        format!("{address}/sheet"),
    ] {
        let page = bench.page(&place);
        assert!(place.ends_with("/sheet") || read(&page).contains("<script>alert(1)</script>"), "{place}");
        assert!(tags(&page).iter().all(|tag| !tag.starts_with("img src=x") && *tag != "script"));
    }
    let sheet = bench.get(&format!("{address}/sheet.html?do=bar+rise+40"));
    assert_eq!(sheet.status, StatusCode::OK);
    assert!(tags(&sheet.text()).iter().all(|tag| !tag.starts_with("script") && !tag.starts_with("img")));
}
