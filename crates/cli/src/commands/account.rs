//! `knockon account`: who may use a workshop that other machines reach.

use std::io::{self, BufRead, Read};
use std::path::Path;

use knockon_desk::{LONGEST_PASSWORD, Role, SHORTEST_PASSWORD, Stamp};

use crate::arguments::{self, Account, Password};
use crate::printer::Printer;
use crate::{BadInput, Ended, workshop};

pub(crate) fn run(account: &Account, printer: &Printer) -> Result<Ended, BadInput> {
    match account {
        Account::Add(new) => {
            let desk = workshop::open(&new.workshop, printer)?;
            let password = password(&new.password, printer)?;
            let role = role(new.role);
            desk.add_account(&new.name, &password, role, &Stamp::now("the command line"))
                .map_err(|error| workshop::refuse(&error, printer))?;
            printer.out(&format!("added {}, who may {}\n", new.name, role.word()));
        }
        Account::Remove { workshop: path, name } => {
            let desk = workshop::open(path, printer)?;
            desk.remove_account(name).map_err(|error| workshop::refuse(&error, printer))?;
            printer.out(&format!("removed {name}\n"));
        }
        Account::Password { workshop: path, name, password: source } => {
            let desk = workshop::open(path, printer)?;
            let password = password(source, printer)?;
            desk.set_password(name, &password).map_err(|error| workshop::refuse(&error, printer))?;
            printer.out(&format!("{name} has another password\n"));
        }
        Account::List { workshop } => list(workshop, printer)?,
    }
    Ok(Ended::Answered)
}

fn list(path: &Path, printer: &Printer) -> Result<(), BadInput> {
    let desk = workshop::open(path, printer)?;
    let accounts = desk.accounts().map_err(|error| workshop::refuse(&error, printer))?;
    if accounts.is_empty() {
        printer.out("no accounts: only this machine can reach the bench\n");
    }
    for account in accounts {
        let made = account.made.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%-d %b %Y");
        printer.out(&format!("{} may {}, since {made}\n", account.name, account.role.word()));
    }
    Ok(())
}

fn role(role: arguments::Role) -> Role {
    match role {
        arguments::Role::Answer => Role::Answer,
        arguments::Role::Read => Role::Read,
    }
}

/// The password, typed twice without being shown, or the first line of standard input.
fn password(source: &Password, printer: &Printer) -> Result<String, BadInput> {
    let password = if source.password_stdin { from_input(printer)? } else { asked(printer)? };
    let length = password.chars().count();
    if length < SHORTEST_PASSWORD {
        return Err(printer.fail(
            &format!("a password has at least {SHORTEST_PASSWORD} characters, this one has {length}"),
            "shorter ones can be guessed by a program; four words that do not belong together are long and easy to keep in mind",
        ));
    }
    Ok(password)
}

fn from_input(printer: &Printer) -> Result<String, BadInput> {
    let mut line = String::new();
    io::stdin().lock().take(LONGEST_PASSWORD as u64).read_line(&mut line).map_err(|error| {
        printer.fail(
            &format!("cannot read the password: {error}"),
            "it is the first line of standard input, in UTF-8",
        )
    })?;
    Ok(line.trim_end_matches(['\n', '\r']).to_owned())
}

fn asked(printer: &Printer) -> Result<String, BadInput> {
    let ask = |prompt: &str| {
        rpassword::prompt_password(prompt).map_err(|error| {
            printer.fail(
                &format!("cannot ask for the password: {error}"),
                "on a terminal it is asked for; elsewhere say --password-stdin and write it to standard input",
            )
        })
    };
    let first = ask("Password: ")?;
    if ask("The same again: ")? == first {
        Ok(first)
    } else {
        Err(printer.fail("the two passwords differ; nothing was changed", "type the same one twice"))
    }
}
