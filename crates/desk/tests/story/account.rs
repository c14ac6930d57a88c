use jiff::SignedDuration;
use knockon_desk::Role;

use crate::{Workshop, at, not_found, refused};

const PASSWORD: &str = "four words of mine";

#[test]
fn an_account_logs_in_and_out() {
    let workshop = Workshop::new();
    assert!(!workshop.has_accounts().unwrap());
    let id = workshop.add_account(" Hedda ", PASSWORD, Role::Answer, &at(0)).unwrap();
    workshop.add_account("Apprentice", "just looking here", Role::Read, &at(1)).unwrap();
    assert!(workshop.has_accounts().unwrap());
    let names: Vec<String> = workshop.accounts().unwrap().into_iter().map(|account| account.name).collect();
    assert_eq!(names, ["Apprentice", "Hedda"]);

    let now = at(10).at;
    let token = workshop.log_in("hedda", PASSWORD, now).unwrap().expect("the right password");
    let account = workshop.session(&token, now).unwrap().expect("a session");
    assert_eq!(
        (account.id, account.name.as_str(), account.role, account.made),
        (id, "Hedda", Role::Answer, at(0).at)
    );
    for (name, password) in [("Hedda", "another password"), ("Nobody", PASSWORD), ("Hedda", ""), ("", "")] {
        assert_eq!(workshop.log_in(name, password, now).unwrap(), None, "{name}");
    }
    assert_eq!(workshop.session("", now).unwrap(), None);
    assert_eq!(workshop.session(&token[1..], now).unwrap(), None);
    workshop.log_out(&token).unwrap();
    assert_eq!(workshop.session(&token, now).unwrap(), None);
}

#[test]
fn a_session_ends_when_it_is_not_used_and_after_thirty_days() {
    let workshop = Workshop::new();
    workshop.add_account("Hedda", PASSWORD, Role::Answer, &at(0)).unwrap();
    let token = workshop.log_in("Hedda", PASSWORD, at(0).at).unwrap().unwrap();
    let hours = |hours: i64| at(0).at + SignedDuration::from_hours(hours);
    let alive = |hour: i64| workshop.session(&token, hours(hour)).unwrap().is_some();
    // Used every eleven hours it lives, but not beyond thirty days.
    let last = (0..30 * 24).step_by(11).last().unwrap();
    assert!((0..30 * 24).step_by(11).all(alive));
    assert!(!alive(30 * 24));
    let token = workshop.log_in("Hedda", PASSWORD, hours(last)).unwrap().unwrap();
    assert!(workshop.session(&token, hours(last + 11)).unwrap().is_some());
    assert!(workshop.session(&token, hours(last + 23)).unwrap().is_none());
}

#[test]
fn a_new_password_and_a_removed_account_end_every_session() {
    let workshop = Workshop::new();
    workshop.add_account("Hedda", PASSWORD, Role::Answer, &at(0)).unwrap();
    let now = at(1).at;
    let token = workshop.log_in("Hedda", PASSWORD, now).unwrap().unwrap();
    workshop.set_password("HEDDA", "other words of mine").unwrap();
    assert_eq!(workshop.session(&token, now).unwrap(), None);
    assert_eq!(workshop.log_in("Hedda", PASSWORD, now).unwrap(), None);
    let token = workshop.log_in("Hedda", "other words of mine", now).unwrap().unwrap();
    workshop.remove_account("Hedda").unwrap();
    assert_eq!(workshop.session(&token, now).unwrap(), None);
    not_found(workshop.remove_account("Hedda"));
    not_found(workshop.set_password("Hedda", PASSWORD));
}

#[test]
fn bad_names_and_passwords_are_refused() {
    let workshop = Workshop::new();
    workshop.add_account("Hedda", PASSWORD, Role::Answer, &at(0)).unwrap();
    refused(workshop.add_account("HEDDA", PASSWORD, Role::Read, &at(0)), "already");
    refused(workshop.add_account(" ", PASSWORD, Role::Read, &at(0)), "name");
    refused(workshop.add_account("a\nb", PASSWORD, Role::Read, &at(0)), "name");
    refused(workshop.add_account("Ines", "seven l", Role::Read, &at(0)), "fewer than 10");
    refused(workshop.add_account("Ines", &"x".repeat(1025), Role::Read, &at(0)), "more than 1024");
    assert_eq!(workshop.accounts().unwrap().len(), 1);
}

#[test]
fn neither_password_nor_token_stands_in_the_file() {
    let workshop = Workshop::new();
    workshop.add_account("Hedda", PASSWORD, Role::Answer, &at(0)).unwrap();
    let token = workshop.log_in("Hedda", PASSWORD, at(0).at).unwrap().unwrap();
    let copy = workshop.beside("copy");
    workshop.backup(&copy, |_, _| {}).unwrap();
    let bytes = std::fs::read(copy).unwrap();
    let holds = |text: &str| bytes.windows(text.len()).any(|window| window == text.as_bytes());
    assert!(holds("$argon2id$"), "the hash does");
    assert!(!holds(PASSWORD) && !holds(&token));
}
