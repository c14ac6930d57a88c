//! From a rider's message to the sheet that the rider reads.

use knockon_desk::{Role, Stamp, State};

use crate::page::Page;
use crate::screen::Screen;
use crate::shown::{DIFFERENCE, exact, shows};
use crate::site::Site;

const ASKED: &str = "Hello, my hands are too low.\nWould a bar with more rise and no spacers fit my Larch?";
const CHANGES: &str = "bar rise 40\nspacers below 5";

/// Asks, publishes and returns the short address.
fn ask_and_publish(site: &Site, page: &Page) -> String {
    page.go("/questions");
    page.find("link", "New question").click();
    page.arrive("the form of a new question", |path| path == "/questions/new");
    page.find("textbox", "The rider’s words").fill(ASKED);
    page.find("textbox", "Rider").fill("Mara Invented");
    page.find("combobox", "Bike").choose("Larch 150");
    page.find("textbox", "Changes").fill(CHANGES);
    page.find("button", "Keep and open").click();
    let path =
        page.arrive("the new question", |path| path.starts_with("/questions/") && path != "/questions/new");

    page.reads("Larch 150, size M");
    shows(page, "Grip stack", DIFFERENCE, exact(site, "Larch", CHANGES, "grip_stack"));
    page.find("button", "Preview").click();
    page.arrive("the preview", |now| now.split('?').next() == Some(&format!("{path}/sheet")));
    page.find("button", "Publish sheet").click();
    page.arrive("the published sheet", |path| path.starts_with("/s/"))
}

/// What a rider has to find on the sheet.
fn read(site: &Site, page: &Page, address: &str) {
    page.go(address);
    page.reads("Grip stack");
    page.reads("hands are too low");
    shows(page, "Grip stack", DIFFERENCE, exact(site, "Larch", CHANGES, "grip_stack"));
    let newest =
        site.desk.questions(&knockon_desk::Filter { limit: 50, ..Default::default() }).expect("a list");
    let question =
        newest.rows.iter().find(|row| row.asked == ASKED).expect("the question is kept as it was pasted");
    assert_eq!(question.state, State::Answered);
    let sheet = site.desk.answer_of(question.id, CHANGES).expect("an answer").sheet;
    assert!(!sheet.cautions.is_empty());
    for caution in sheet.cautions {
        page.reads(&caution.text);
    }
}

/// From here on the site is only for those with an account.
fn close_to_strangers(site: &Site) {
    let stamp = Stamp::now("the tests");
    site.desk
        .add_account("Ada Invented", "a long password", Role::Answer, &stamp)
        .expect("an account is made");
    let stranger = site.page(Screen::PHONE);
    stranger.go("/questions");
    assert!(
        stranger.path().starts_with("/log-in"),
        "a stranger is asked to log in, not sent to {}",
        stranger.path()
    );
}

#[test]
fn a_message_becomes_a_sheet_that_anybody_reads_at_its_short_address() {
    let Some(site) = Site::open() else { return };
    let address = ask_and_publish(&site, &site.page(Screen::DESK));
    assert_eq!(address.trim_start_matches("/s/").len(), 8, "{address}");
    close_to_strangers(&site);
    read(&site, &site.page(Screen::PHONE), &address);
}

#[test]
fn the_whole_path_goes_without_script() {
    let Some(site) = Site::open() else { return };
    let page = site.page(Screen::DESK);
    page.without_script();
    let address = ask_and_publish(&site, &page);
    close_to_strangers(&site);
    let reader = site.page(Screen::PHONE);
    reader.without_script();
    read(&site, &reader, &address);
}

#[test]
fn the_whole_path_goes_on_a_phone() {
    let Some(site) = Site::open() else { return };
    let address = ask_and_publish(&site, &site.page(Screen::PHONE));
    read(&site, &site.page(Screen::PHONE), &address);
}
