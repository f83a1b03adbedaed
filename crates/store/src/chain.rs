//! The hash of an entry, which holds the hash of the entry before, so that nothing in a journal can be
//! changed, left out or put in between without every later hash being wrong.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};

use crate::entry::Entry;

/// What stands before the first entry.
pub(crate) const BEGINNING: &str =
    "0000000000000000000000000000000000000000000000000000000000000000";

/// Names what is hashed, so that another form can never be taken for this one.
const FORM: &str = "unbury.entry/1";

/// The hash of an entry: SHA-256 (FIPS 180-4) over its fields as a JSON list, the change as the text
/// that is kept.
pub(crate) fn hash(entry: &Entry, change: &str) -> String {
    let fields = serde_json::json!([
        FORM,
        entry.case,
        entry.seq,
        entry.id,
        entry.who,
        entry.device,
        entry.at,
        entry.received,
        entry.base,
        change,
        entry.previous,
    ]);
    hex(&Sha256::digest(fields.to_string().as_bytes()))
}

/// Bytes as hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut out, byte| {
        // Writing to a text cannot fail.
        let _ = write!(out, "{byte:02x}");
        out
    })
}

/// SHA-256 of bytes in hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// The first thing wrong with a journal, with the entry's number; nothing if it is whole.
pub(crate) fn fault(entries: &[(Entry, String)]) -> Option<(u64, String)> {
    let mut previous = BEGINNING.to_owned();
    for (index, (entry, change)) in entries.iter().enumerate() {
        let seq = index as u64 + 1;
        if entry.seq != seq {
            return Some((seq, format!("entry {seq} is missing; the next one is {}", entry.seq)));
        }
        if entry.previous != previous {
            let message =
                format!("entry {seq} does not follow the entry before it: one of them was changed");
            return Some((seq, message));
        }
        if hash(entry, change) != entry.hash {
            return Some((seq, format!("entry {seq} was changed after it was taken in")));
        }
        previous.clone_from(&entry.hash);
    }
    None
}
