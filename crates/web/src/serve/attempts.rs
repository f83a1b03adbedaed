//! How often somebody may be wrong at the door: after some wrong passwords each further one has to wait
//! longer. Counted for an address, and for a name at an address, so that nobody can lock others out.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

/// Wrong passwords for one name from one address before one has to wait. Our choice.
const FREE_NAME: u32 = 5;

/// Wrong passwords from one address before one has to wait. Our choice.
const FREE_ADDRESS: u32 = 20;

/// Longest wait, in seconds. Our choice.
const LONGEST_S: i64 = 900;

/// After this long nothing is remembered, in seconds. Our choice.
const FORGOTTEN_S: i64 = 3600;

/// Most that is remembered.
const MOST: usize = 10_000;

/// What is remembered of wrong passwords.
#[derive(Debug, Default)]
pub(crate) struct Attempts(Mutex<HashMap<String, Wrong>>);

#[derive(Clone, Copy, Debug)]
struct Wrong {
    times: u32,
    last_s: i64,
    until_s: i64,
}

impl Attempts {
    /// How many seconds this name has to wait at this address; nothing if it need not.
    pub(crate) fn wait_s(&self, address: &str, name: &str, now_s: i64) -> Option<i64> {
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let wait = |key: &String| known.get(key).map(|wrong| wrong.until_s - now_s);
        keys(address, name).iter().filter_map(wait).max().filter(|wait| *wait > 0)
    }

    /// A wrong password.
    pub(crate) fn wrong(&self, address: &str, name: &str, now_s: i64) {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if known.len() >= MOST {
            known.retain(|_, wrong| wrong.last_s + FORGOTTEN_S > now_s);
        }
        if known.len() >= MOST {
            known.clear();
        }
        for (key, free) in keys(address, name).into_iter().zip([FREE_ADDRESS, FREE_NAME]) {
            let wrong = known.entry(key).or_insert(Wrong { times: 0, last_s: now_s, until_s: 0 });
            if wrong.last_s + FORGOTTEN_S <= now_s {
                wrong.times = 0;
            }
            wrong.times += 1;
            wrong.last_s = now_s;
            let over = wrong.times.saturating_sub(free);
            if over > 0 {
                wrong.until_s = now_s + LONGEST_S.min(1 << over.min(20));
            }
        }
    }

    /// The right password: what was wrong of this name here is forgotten.
    pub(crate) fn right(&self, address: &str, name: &str) {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        known.remove(&keys(address, name)[1]);
    }
}

fn keys(address: &str, name: &str) -> [String; 2] {
    [address.to_owned(), format!("{address} {name}")]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_is_wrong_too_often_waits_longer_each_time_and_only_there() {
        let attempts = Attempts::default();
        for _ in 0..FREE_NAME {
            assert_eq!(attempts.wait_s("10.0.0.1", "ana", 0), None);
            attempts.wrong("10.0.0.1", "ana", 0);
        }
        assert_eq!(attempts.wait_s("10.0.0.1", "ana", 0), None);
        attempts.wrong("10.0.0.1", "ana", 0);
        assert_eq!(attempts.wait_s("10.0.0.1", "ana", 0), Some(2));
        assert_eq!(attempts.wait_s("10.0.0.1", "ana", 2), None);
        attempts.wrong("10.0.0.1", "ana", 2);
        assert_eq!(attempts.wait_s("10.0.0.1", "ana", 2), Some(4));
        assert_eq!(attempts.wait_s("10.0.0.2", "ana", 2), None);
        for _ in 0..30 {
            attempts.wrong("10.0.0.1", "ben", 2);
        }
        assert_eq!(attempts.wait_s("10.0.0.1", "cleo", 2), Some(LONGEST_S));
        assert_eq!(attempts.wait_s("10.0.0.1", "cleo", 2 + LONGEST_S), None);
        attempts.right("10.0.0.1", "ana");
        attempts.wrong("10.0.0.1", "ana", 2 + 2 * FORGOTTEN_S);
        assert_eq!(attempts.wait_s("10.0.0.1", "ana", 2 + 2 * FORGOTTEN_S), None);
    }
}
