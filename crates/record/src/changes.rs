//! Changes put into a record's text, each only where what stood there still does.
//!
//! Knows paths and values, not what they mean.

use std::fmt;

use model::{Change, Was};

use crate::edit;
use crate::merge;
use crate::patch::{PatchError, quoted};

/// Why a change does not go into a record. Nothing of it was put in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Something else stands there by now.
    Changed {
        /// Where.
        path: String,
        /// What stood there when the change was thought of; nothing: nothing did.
        was: Option<String>,
        /// What stands there now.
        now: Option<String>,
    },
    /// There is no place for it.
    NoPlace {
        /// Where.
        path: String,
        /// Why.
        why: PatchError,
    },
}

impl fmt::Display for Refusal {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let shown = |value: &Option<String>| match value {
            Some(value) => format!("`{value}`"),
            None => "nothing".to_owned(),
        };
        match self {
            Refusal::Changed { path, was, now } => write!(
                out,
                "the record has changed at `{path}`: {} stood there, now {}",
                shown(was),
                shown(now)
            ),
            Refusal::NoPlace { path, why } => write!(out, "`{path}`: {why}"),
        }
    }
}

impl std::error::Error for Refusal {}

/// The text with changes put in, one after the other. What stands there already is left as it is, so
/// that putting a change in twice changes nothing. A list that has been changed since (a stack, a joint,
/// the ways of a box) takes the change where the two do not meet.
///
/// # Errors
/// The first change that does not fit; the text given stays as it is.
pub fn put_in(text: &str, changes: &[Change]) -> Result<String, Refusal> {
    changes.iter().try_fold(text.to_owned(), |text, change| one(&text, change))
}

/// The text as it was before changes went into it: what [`put_in`] changed stands again as it did.
///
/// # Errors
/// The first change that cannot be undone: what stood there was not written down, or something else
/// stands there by now. The text given stays as it is.
pub fn put_back(text: &str, changes: &[Change]) -> Result<String, Refusal> {
    changes.iter().rev().try_fold(text.to_owned(), |text, change| {
        let is = match &change.was {
            Was::Value(was) => Some(was.clone()),
            Was::Nothing => None,
            Was::NotSaid => {
                let path = edit::join_path(&change.path);
                return Err(Refusal::Changed { path, was: None, now: change.is.clone() });
            }
        };
        let was = change.is.clone().map_or(Was::Nothing, Was::Value);
        one(&text, &Change { path: change.path.clone(), was, is })
    })
}

fn one(text: &str, change: &Change) -> Result<String, Refusal> {
    let keys: Vec<&str> = change.path.iter().map(String::as_str).collect();
    let path = edit::join_path(&keys);
    let parsed = edit::Parsed::of(text);
    let now = parsed.value(&keys);
    if now == change.is {
        return Ok(text.to_owned());
    }
    let is_as_it_was = match &change.was {
        Was::NotSaid => now.is_some(),
        Was::Nothing => now.is_none(),
        Was::Value(was) => now.as_ref() == Some(was),
    };
    let merged = || {
        let (Was::Value(was), Some(now), Some(is)) = (&change.was, &now, &change.is) else {
            return None;
        };
        merge::takes_several(&keys).then(|| merge::merged(was, now, is))?
    };
    if !is_as_it_was && let Some(both) = merged() {
        return parsed.set(&keys, &both).map_err(|why| Refusal::NoPlace { path, why });
    }
    if !is_as_it_was {
        let was = match &change.was {
            Was::Value(was) => Some(was.clone()),
            Was::NotSaid | Was::Nothing => None,
        };
        return Err(Refusal::Changed { path, was, now });
    }
    let put = match &change.is {
        Some(is) => parsed.set(&keys, is),
        None => parsed.remove(&keys),
    };
    put.map_err(|why| Refusal::NoPlace { path, why })
}

/// A mend as a line of `[mends]`: its name, `=`, and everything it changes with what stood there.
pub fn mend_line(name: &str, words: &str, changes: &[Change]) -> String {
    let pair = |path: &str, value: &str| format!("{} = {}", quoted(path), quoted(value));
    let path = |change: &Change| change.path.join(".");
    let (mut sets, mut adds, mut removes, mut was) = (vec![], vec![], vec![], vec![]);
    for change in changes {
        match (&change.is, &change.was) {
            (Some(is), Was::Nothing) => adds.push(pair(&path(change), is)),
            (Some(is), _) => sets.push(pair(&path(change), is)),
            (None, _) => removes.push(quoted(&path(change))),
        }
        if let Was::Value(old) = &change.was {
            was.push(pair(&path(change), old));
        }
    }
    let mut fields = vec![format!("words = {}", quoted(words))];
    let mut table = |key: &str, pairs: Vec<String>| {
        if !pairs.is_empty() {
            fields.push(format!("{key} = {{ {} }}", pairs.join(", ")));
        }
    };
    table("sets", sets);
    table("adds", adds);
    table("was", was);
    if !removes.is_empty() {
        fields.push(format!("removes = [{}]", removes.join(", ")));
    }
    format!("{name} = {{ {} }}", fields.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "[devices]\nbox = { kind = \"blade fuse box\", ways = [\"15 A fridge\"] }\n[wires]\nw = \"a to b, 2.5 mm2\"\n[joints]\n\"w at b\" = \"lug, loose\"\n";

    fn change(path: [&str; 2], was: Was, is: Option<&str>) -> Change {
        let path = path.map(str::to_owned).to_vec();
        Change { path, was, is: is.map(str::to_owned) }
    }

    /// A value that changes, one that is new, one that goes.
    fn three() -> [Change; 3] {
        let was = |text: &str| Was::Value(text.to_owned());
        [
            change(["wires", "w"], was("a to b, 2.5 mm2"), Some("a to b, 6 mm2")),
            change(["wires", "v"], Was::Nothing, Some("b to c, 6 mm2")),
            change(["joints", "w at b"], was("lug, loose"), None),
        ]
    }

    #[test]
    fn changes_go_in_and_a_second_time_change_nothing() {
        let changes = three();
        let mended = put_in(TEXT, &changes).unwrap();
        assert!(mended.contains("w = \"a to b, 6 mm2\"\nv = \"b to c, 6 mm2\"\n"), "{mended}");
        assert!(!mended.contains("loose"), "{mended}");
        assert_eq!(put_in(&mended, &changes), Ok(mended));
    }

    #[test]
    fn what_went_in_comes_out_again() {
        let changes = three();
        let mended = put_in(TEXT, &changes).unwrap();
        assert_ne!(mended, TEXT);
        assert_eq!(put_back(&mended, &changes).as_deref(), Ok(TEXT));
        let unsaid = [change(["wires", "w"], Was::NotSaid, Some("a to b, 6 mm2"))];
        let mended = put_in(TEXT, &unsaid).unwrap();
        assert!(matches!(put_back(&mended, &unsaid), Err(Refusal::Changed { .. })));
    }

    #[test]
    fn a_changed_record_is_named_and_left_as_it_is() {
        let stale =
            change(["wires", "w"], Was::Value("a to b, 4 mm2".into()), Some("a to b, 6 mm2"));
        let refused = put_in(TEXT, &[stale]).unwrap_err();
        let words = refused.to_string();
        assert!(words.contains("wires.w") && words.contains("4 mm2"), "{words}");
        assert!(words.contains("2.5 mm2"), "{words}");
        let taken = change(["wires", "w"], Was::Nothing, Some("b to c, 6 mm2"));
        assert!(matches!(put_in(TEXT, &[taken]), Err(Refusal::Changed { was: None, .. })));
        let gone = change(["wires", "x"], Was::NotSaid, None);
        assert_eq!(put_in(TEXT, &[gone]).as_deref(), Ok(TEXT), "it is out already");
    }

    #[test]
    fn a_mend_is_read_back_from_its_line() {
        let changes = [
            change(["joints", "w at b"], Was::Value("lug, loose".into()), Some("lug, good")),
            change(["wires", "v"], Was::Nothing, Some("b to \"c\", 6 mm2")),
            change(["wires", "w"], Was::Value("a to b, 2.5 mm2".into()), None),
        ];
        let text = format!("{TEXT}[mends]\n{}\n", mend_line("remake", "Remake it", &changes));
        let record = crate::read(&text, &catalog::Catalog::embedded());
        let mend = &record.vehicle.mends[0];
        assert_eq!((mend.name.as_str(), mend.words.as_str()), ("remake", "Remake it"));
        let mut read = mend.changes.clone();
        read.sort_by(|a, b| a.path.cmp(&b.path));
        assert_eq!(read, changes);
    }
}
