//! Against guessing passwords: attempts are rationed per account name and per network address, and few passwords are
//! checked at once, because each check is made to be expensive.
//!
//! Each key may make a handful of attempts at once and then one per interval. A right password gives its attempt back, so
//! whoever knows theirs is not held up by their own typing. Behind a proxy all visitors share its address; what a visitor
//! claims about their own address is not believed.

use std::collections::HashMap;
use std::hash::{BuildHasher, Hash, RandomState};
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::{Semaphore, SemaphorePermit};

/// Attempts per account name: five, then one a minute.
const PER_NAME: Ration = Ration { at_once: 5, interval: Duration::from_mins(1) };

/// Attempts per network address: twenty, then one in fifteen seconds.
const PER_ADDRESS: Ration = Ration { at_once: 20, interval: Duration::from_secs(15) };

/// Most keys that are remembered, so that made-up names cannot fill the memory.
const MOST_KEYS: usize = 4096;

/// Passwords that are checked at once: one check takes some 20 MB and a core for a moment.
const CHECKS_AT_ONCE: usize = 2;

/// How long an attempt waits for its turn to be checked.
const PATIENCE: Duration = Duration::from_secs(10);

/// How often something may happen.
#[derive(Clone, Copy, Debug)]
struct Ration {
    at_once: u32,
    interval: Duration,
}

/// The brake on guessing passwords.
#[derive(Debug)]
pub struct LogInLimit {
    table: Mutex<Table>,
    checks: Semaphore,
}

impl Default for LogInLimit {
    fn default() -> Self {
        Self { table: Mutex::default(), checks: Semaphore::new(CHECKS_AT_ONCE) }
    }
}

impl LogInLimit {
    /// Counts an attempt; refused, it says after how long the next one is heard.
    pub fn attempt(&self, name: &str, address: IpAddr, now: Instant) -> Result<(), Duration> {
        self.table.lock().unwrap_or_else(PoisonError::into_inner).attempt(name, address, now)
    }

    /// Gives an attempt back: the password was right.
    pub fn succeeded(&self, name: &str, address: IpAddr) {
        self.table.lock().unwrap_or_else(PoisonError::into_inner).give_back(name, address);
    }

    /// A turn at checking a password; none when too many wait.
    pub async fn turn(&self) -> Option<SemaphorePermit<'_>> {
        tokio::time::timeout(PATIENCE, self.checks.acquire()).await.ok()?.ok()
    }
}

/// For each key the moment from which on all its attempts are free again. Keys are digests, so each takes the same room.
#[derive(Debug, Default)]
struct Table {
    free_at: HashMap<u64, Instant>,
    digest: RandomState,
}

impl Table {
    fn attempt(&mut self, name: &str, address: IpAddr, now: Instant) -> Result<(), Duration> {
        let keys = self.keys(name, address);
        for (key, ration) in keys {
            self.wait(key, ration, now).map_or(Ok(()), Err)?;
        }
        for (key, ration) in keys {
            self.make_room(now);
            let free_at = self.free_at.entry(key).or_insert(now);
            *free_at = (*free_at).max(now) + ration.interval;
        }
        Ok(())
    }

    fn give_back(&mut self, name: &str, address: IpAddr) {
        for (key, ration) in self.keys(name, address) {
            if let Some(free_at) = self.free_at.get_mut(&key) {
                *free_at = free_at.checked_sub(ration.interval).unwrap_or(*free_at);
            }
        }
    }

    /// How long until the key's next attempt, if it has none left.
    fn wait(&self, key: u64, ration: Ration, now: Instant) -> Option<Duration> {
        let used = self.free_at.get(&key)?.saturating_duration_since(now);
        let wait = (used + ration.interval).saturating_sub(ration.interval * ration.at_once);
        (wait > Duration::ZERO).then_some(wait)
    }

    /// Forgets what no longer matters and, if that is not enough, whoever is soonest free: never the one who is guessing
    /// hardest.
    fn make_room(&mut self, now: Instant) {
        if self.free_at.len() < MOST_KEYS {
            return;
        }
        self.free_at.retain(|_, free_at| *free_at > now);
        while self.free_at.len() >= MOST_KEYS {
            let Some(soonest) = self.free_at.iter().min_by_key(|(_, free_at)| **free_at).map(|(key, _)| *key)
            else {
                return;
            };
            self.free_at.remove(&soonest);
        }
    }

    fn keys(&self, name: &str, address: IpAddr) -> [(u64, Ration); 2] {
        let name = ("name", name.trim().to_lowercase());
        [(self.digest(name), PER_NAME), (self.digest(("address", network(address))), PER_ADDRESS)]
    }

    fn digest(&self, key: impl Hash) -> u64 {
        self.digest.hash_one(key)
    }
}

/// What one visitor has for themselves: an IPv4 address, or the first half of an IPv6 address.
fn network(address: IpAddr) -> u128 {
    match address.to_canonical() {
        IpAddr::V4(address) => u128::from(address.to_bits()),
        IpAddr::V6(address) => address.to_bits() >> 64 << 64,
    }
}

#[cfg(test)]
mod tests {
    use std::net::{Ipv4Addr, Ipv6Addr};

    use super::*;

    const HERE: IpAddr = IpAddr::V4(Ipv4Addr::LOCALHOST);

    fn address(number: u32) -> IpAddr {
        IpAddr::V4(Ipv4Addr::from_bits(0x0a00_0000 + number))
    }

    #[test]
    fn a_name_has_five_attempts_and_then_one_a_minute() {
        let (mut table, start) = (Table::default(), Instant::now());
        for number in 0..5 {
            assert_eq!(table.attempt("Kim", address(number), start), Ok(()));
        }
        assert_eq!(table.attempt(" kim ", address(9), start), Err(Duration::from_mins(1)));
        let later = start + Duration::from_mins(1);
        assert_eq!(table.attempt("kim", address(9), later), Ok(()));
        assert_eq!(table.attempt("kim", address(9), later), Err(Duration::from_mins(1)));
        assert_eq!(table.attempt("lee", address(9), later), Ok(()), "another name is not held up");
    }

    #[test]
    fn an_address_that_tries_many_names_is_held_up() {
        let (mut table, start) = (Table::default(), Instant::now());
        for number in 0..20 {
            assert_eq!(table.attempt(&format!("name {number}"), HERE, start), Ok(()));
        }
        assert_eq!(table.attempt("one more", HERE, start), Err(Duration::from_secs(15)));
    }

    #[test]
    fn a_neighbour_in_the_same_ipv6_network_is_the_same_visitor() {
        let one: Ipv6Addr = "2001:db8::1".parse().expect("an address");
        let two: Ipv6Addr = "2001:db8::2:1".parse().expect("an address");
        let other: Ipv6Addr = "2001:db8:0:1::1".parse().expect("an address");
        assert_eq!(network(one.into()), network(two.into()));
        assert_ne!(network(one.into()), network(other.into()));
        let mapped: Ipv6Addr = "::ffff:192.0.2.4".parse().expect("an address");
        assert_eq!(network(mapped.into()), network(Ipv4Addr::new(192, 0, 2, 4).into()));
    }

    #[test]
    fn a_right_password_costs_nothing() {
        let (mut table, start) = (Table::default(), Instant::now());
        for _ in 0..100 {
            assert_eq!(table.attempt("kim", HERE, start), Ok(()));
            table.give_back("kim", HERE);
        }
    }

    #[test]
    fn made_up_names_fill_no_memory_and_do_not_wash_out_the_guessed_one() {
        let (mut table, start) = (Table::default(), Instant::now());
        for number in 0..5 {
            table.attempt("kim", address(number), start).expect("five are free");
        }
        for number in 0..3 * MOST_KEYS as u32 {
            let _ = table.attempt(&format!("made up {number}"), address(1000 + number), start);
        }
        assert!(table.free_at.len() <= MOST_KEYS, "{}", table.free_at.len());
        assert!(table.attempt("kim", address(99_999), start).is_err());
    }
}
