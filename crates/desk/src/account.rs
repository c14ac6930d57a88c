//! Accounts and sessions: who may come in.
//!
//! Passwords are kept as argon2id hashes, sessions as the SHA-256 digests of their tokens: whoever gets hold of the file
//! still cannot log in.

use std::sync::LazyLock;

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use jiff::Timestamp;
use rand::RngExt;
use rusqlite::{OptionalExtension, Row, Transaction, params};
use sha2::{Digest, Sha256};

use crate::error::broken;
use crate::stamp::moment;
use crate::{AccountId, Desk, DeskError, Result, Stamp};

/// What an account may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Read and write.
    Answer,
    /// Read only.
    Read,
}

impl Role {
    /// Every role.
    pub const ALL: [Role; 2] = [Role::Answer, Role::Read];

    /// In a word: "answer".
    pub fn word(self) -> &'static str {
        match self {
            Role::Answer => "answer",
            Role::Read => "read",
        }
    }

    /// The role of a word.
    pub fn of_word(word: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|role| role.word() == word)
    }
}

/// Someone who may come in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Account {
    /// Its number.
    pub id: AccountId,
    /// The name to log in with.
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// When it was made.
    pub made: Timestamp,
}

/// Shortest password, in characters: two more than the least of NIST SP 800-63B, 5.1.1.2 (from memory, unverified), because
/// somebody who has a copy of the file can try them all.
pub const SHORTEST_PASSWORD: usize = 10;

/// Longest password, in bytes: hashing takes time for each.
pub const LONGEST_PASSWORD: usize = 1024;

/// Longest name, in characters.
const LONGEST_NAME: usize = 60;

const HOUR: i64 = 60 * 60 * 1000;
/// A session ends when it was not used for so long.
const IDLE: i64 = 12 * HOUR;
/// A session ends so long after the login, used or not.
const LONGEST_SESSION: i64 = 30 * 24 * HOUR;
/// The last use of a session is written down no more often than this: not every page is a write.
const SEEN_EVERY: i64 = HOUR / 12;

const ADD: &str = "INSERT INTO account (name, password, role, made, who) VALUES (?1, ?2, ?3, ?4, ?5)
    ON CONFLICT (name) DO NOTHING";
const LIST: &str = "SELECT id, name, role, made FROM account ORDER BY name";
const PASSWORD: &str = "SELECT id, password FROM account WHERE name = ?1";
const SET_PASSWORD: &str = "UPDATE account SET password = ?2 WHERE name = ?1";
const END_SESSIONS: &str = "DELETE FROM session WHERE account = (SELECT id FROM account WHERE name = ?1)";
const SESSION: &str = "SELECT account.id, name, role, account.made, session.made, seen
    FROM session JOIN account ON account.id = session.account WHERE digest = ?1";
const ADD_SESSION: &str = "INSERT INTO session (digest, account, made, seen) VALUES (?1, ?2, ?3, ?3)";
const SEEN: &str = "UPDATE session SET seen = ?2 WHERE digest = ?1";
const DROP_OLD: &str = "DELETE FROM session WHERE seen <= ?1 OR made <= ?2";

/// What a password is compared with when nobody has the name: it takes the same time.
static NOBODY: LazyLock<String> = LazyLock::new(|| hash("nobody has this password").unwrap_or_default());

impl Desk {
    /// Adds an account.
    ///
    /// # Errors
    /// [`DeskError::Refused`] for a name that is taken, empty or too long, and for a password that is too short or too long.
    pub fn add_account(&self, name: &str, password: &str, role: Role, stamp: &Stamp) -> Result<AccountId> {
        let name = name.trim();
        check_name(name)?;
        let hash = hash(password)?;
        self.write(|tx| {
            let row = params![name, hash, role.word(), stamp.millis(), stamp.who];
            if tx.execute(ADD, row)? == 0 {
                return Err(DeskError::refused(
                    format!("there is an account `{name}` already"),
                    "choose another name",
                ));
            }
            Ok(AccountId(tx.last_insert_rowid()))
        })
    }

    /// Gives an account another password and ends its sessions.
    pub fn set_password(&self, name: &str, password: &str) -> Result<()> {
        let hash = hash(password)?;
        self.write(|tx| {
            tx.execute(END_SESSIONS, [name.trim()])?;
            found(tx.execute(SET_PASSWORD, params![name.trim(), hash])?, name)
        })
    }

    /// Removes an account and ends its sessions. What was done under its name keeps the name.
    pub fn remove_account(&self, name: &str) -> Result<()> {
        self.write(|tx| found(tx.execute("DELETE FROM account WHERE name = ?1", [name.trim()])?, name))
    }

    /// Every account, by name.
    pub fn accounts(&self) -> Result<Vec<Account>> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(LIST)?;
            let mut rows = statement.query([])?;
            let mut accounts = Vec::new();
            while let Some(row) = rows.next()? {
                accounts.push(account(row)?);
            }
            Ok(accounts)
        })
    }

    /// Whether there is any account.
    pub fn has_accounts(&self) -> Result<bool> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached("SELECT EXISTS (SELECT 1 FROM account)")?;
            Ok(statement.query_row([], |row| row.get(0))?)
        })
    }

    /// A new session's token, when name and password are right. Takes as long when the name is unknown.
    pub fn log_in(&self, name: &str, password: &str, at: Timestamp) -> Result<Option<String>> {
        // Made before anything is looked up, so that the first unknown name does not take longer.
        let nobody = NOBODY.as_str();
        let known: Option<(AccountId, String)> = self.read(|connection| {
            let mut statement = connection.prepare_cached(PASSWORD)?;
            Ok(statement.query_row([name.trim()], |row| Ok((row.get(0)?, row.get(1)?))).optional()?)
        })?;
        let kept = known.as_ref().map_or(nobody, |(_, hash)| hash.as_str());
        let right = password.len() <= LONGEST_PASSWORD && verify(password, kept);
        let Some((id, _)) = known.filter(|_| right) else { return Ok(None) };
        let token = token();
        let now = at.as_millisecond();
        self.write(|tx| {
            tx.execute(DROP_OLD, params![now - IDLE, now - LONGEST_SESSION])?;
            add_session(tx, &token, id, now)
        })?;
        Ok(Some(token))
    }

    /// Whose session it is; none when it has ended: 12 hours after its last use (to the nearest 5 minutes), 30 days after the
    /// login at the latest.
    pub fn session(&self, token: &str, at: Timestamp) -> Result<Option<Account>> {
        let digest = digest(token);
        let now = at.as_millisecond();
        let found = self.read(|connection| {
            let mut statement = connection.prepare_cached(SESSION)?;
            let mut rows = statement.query([digest.as_slice()])?;
            let Some(row) = rows.next()? else { return Ok(None) };
            let (made, seen): (i64, i64) = (row.get(4)?, row.get(5)?);
            let alive = now - seen < IDLE && now - made < LONGEST_SESSION;
            if alive { Ok(Some((account(row)?, seen))) } else { Ok(None) }
        })?;
        let Some((account, seen)) = found else { return Ok(None) };
        if now - seen >= SEEN_EVERY {
            self.write(|tx| Ok(tx.execute(SEEN, params![digest.as_slice(), now])?))?;
        }
        Ok(Some(account))
    }

    /// Ends a session.
    pub fn log_out(&self, token: &str) -> Result<()> {
        self.write(|tx| {
            tx.execute("DELETE FROM session WHERE digest = ?1", [digest(token).as_slice()])?;
            Ok(())
        })
    }
}

fn account(row: &Row<'_>) -> Result<Account> {
    let role: String = row.get(2)?;
    Ok(Account {
        id: row.get(0)?,
        name: row.get(1)?,
        role: Role::of_word(&role).ok_or_else(|| broken("an unknown role"))?,
        made: moment(row.get(3)?)?,
    })
}

fn found(changed: usize, name: &str) -> Result<()> {
    if changed == 0 {
        return Err(DeskError::NotFound { what: "account", id: format!("`{name}`") });
    }
    Ok(())
}

fn check_name(name: &str) -> Result<()> {
    if name.is_empty() || name.chars().count() > LONGEST_NAME || name.chars().any(char::is_control) {
        return Err(DeskError::refused(
            format!("an account's name has 1 to {LONGEST_NAME} characters"),
            "choose another name",
        ));
    }
    Ok(())
}

fn hash(password: &str) -> Result<String> {
    if password.chars().count() < SHORTEST_PASSWORD {
        return Err(DeskError::refused(
            format!("the password has fewer than {SHORTEST_PASSWORD} characters"),
            "choose a longer one; several words are easy to remember",
        ));
    }
    if password.len() > LONGEST_PASSWORD {
        return Err(DeskError::refused(
            format!("the password has more than {LONGEST_PASSWORD} bytes"),
            "choose a shorter one",
        ));
    }
    let hash = Argon2::default().hash_password(password.as_bytes());
    Ok(hash.map_err(|error| broken(&format!("the password cannot be hashed: {error}")))?.to_string())
}

fn verify(password: &str, kept: &str) -> bool {
    PasswordHash::new(kept)
        .is_ok_and(|kept| Argon2::default().verify_password(password.as_bytes(), &kept).is_ok())
}

/// 256 random bits in 64 hexadecimal digits.
fn token() -> String {
    let [high, low]: [u128; 2] = rand::rng().random();
    format!("{high:032x}{low:032x}")
}

fn digest(token: &str) -> [u8; 32] {
    Sha256::digest(token.as_bytes()).into()
}

fn add_session(tx: &Transaction<'_>, token: &str, id: AccountId, now: i64) -> Result<()> {
    tx.execute(ADD_SESSION, params![digest(token).as_slice(), id, now])?;
    Ok(())
}
