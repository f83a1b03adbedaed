//! Two changes of one list, both put in: what stands on a stud, what is said of a joint, the ways of a box.
//! What one exchanges, takes out or adds, the other leaves alone. Where both touch the same, neither goes
//! into the other.
//!
//! Knows commas, not what is between them.

/// Whether a value is a list that takes several changes.
pub(crate) fn takes_several(path: &[impl AsRef<str>]) -> bool {
    let path: Vec<&str> = path.iter().map(AsRef::as_ref).collect();
    matches!(path.as_slice(), ["stacks" | "joints", _] | ["devices", _, "ways"])
}

/// Whether a change of a list and another one of the same list go in together.
pub fn both_go_in(path: &[impl AsRef<str>], was: &str, one: &str, other: &str) -> bool {
    takes_several(path) && (merged(was, one, other).is_some() || merged(was, other, one).is_some())
}

/// The list as it is now, with a change put in that was thought of when it was another; none where
/// that would touch what has been changed since.
pub(crate) fn merged(was: &str, now: &str, is: &str) -> Option<String> {
    let [was, now, is] = [was, now, is].map(pieces);
    if is_in(&was, &now, &is) {
        return Some(now.join(", "));
    }
    let list = in_place(&was, &now, &is)
        .or_else(|| exchanged(&was, &is, &now))
        .or_else(|| exchanged(&was, &now, &is))
        .or_else(|| carried(&was, &is, &now))
        .or_else(|| carried(&was, &now, &is))?;
    Some(list.join(", "))
}

fn pieces(list: &str) -> Vec<&str> {
    list.split(',').map(str::trim).collect()
}

/// Nothing of the change is left to do.
fn is_in(was: &[&str], now: &[&str], is: &[&str]) -> bool {
    let gone = |piece: &&&str| !is.contains(piece);
    let new = |piece: &&&str| !was.contains(piece);
    // Something else stands where a piece was that goes: that is not how it was to go.
    let is_other =
        |(old, other): (&&str, &&str)| old != other && !is.contains(old) && !is.contains(other);
    let has_other = was.len() == now.len() && was.iter().zip(now).any(is_other);
    !has_other
        && was.iter().filter(gone).all(|piece| !now.contains(piece))
        && is.iter().filter(new).all(|piece| now.contains(piece))
        && common(is, now) == common(now, is)
}

/// Pieces of the first list that the second has too, in order.
fn common<'l>(list: &[&'l str], other: &[&str]) -> Vec<&'l str> {
    list.iter().copied().filter(|piece| other.contains(piece)).collect()
}

/// Exchanged at the same places, where nothing else has changed.
fn in_place<'l>(was: &[&'l str], now: &[&'l str], is: &[&'l str]) -> Option<Vec<&'l str>> {
    if was.len() != now.len() || was.len() != is.len() || is_order_only(was, is) {
        return None;
    }
    let each = was.iter().zip(now).zip(is).map(|((was, now), is)| match (was == is, was == now) {
        (true, _) => Some(*now),
        (false, true) => Some(*is),
        (false, false) => None,
    });
    each.collect()
}

fn is_order_only(one: &[&str], other: &[&str]) -> bool {
    let [mut one, mut other] = [one.to_vec(), other.to_vec()];
    one.sort_unstable();
    other.sort_unstable();
    one == other
}

/// A list with the pieces exchanged that a change exchanges; none for a change of another sort.
fn exchanged<'l>(was: &[&'l str], is: &[&'l str], list: &[&'l str]) -> Option<Vec<&'l str>> {
    let pairs = || was.iter().zip(is).filter(|(was, is)| was != is);
    if was.len() != is.len() || pairs().any(|(old, new)| is.contains(old) || was.contains(new)) {
        return None;
    }
    let mut list = list.to_vec();
    for (old, new) in pairs() {
        let at = only(&list, old)?;
        list[at] = new;
    }
    Some(list)
}

/// A list with the pieces taken out and put in that a change takes out and puts in, where it leaves the
/// others in their order.
fn carried<'l>(was: &[&'l str], is: &[&'l str], list: &[&'l str]) -> Option<Vec<&'l str>> {
    if common(was, is) != common(is, was) {
        return None;
    }
    let mut list = list.to_vec();
    for old in was.iter().filter(|piece| !is.contains(piece)) {
        let at = only(&list, old)?;
        list.remove(at);
    }
    for (at, new) in is.iter().enumerate().filter(|(_, piece)| !was.contains(piece)) {
        if list.contains(new) {
            continue;
        }
        // Behind the nearest piece before it that is there.
        let before = is[..at].iter().rev().find_map(|piece| only(&list, piece));
        list.insert(before.map_or(0, |before| before + 1), new);
    }
    Some(list)
}

/// Where a piece stands that is there once.
fn only(list: &[&str], piece: &str) -> Option<usize> {
    let mut at = list.iter().enumerate().filter(|(_, other)| **other == piece);
    let (first, _) = at.next()?;
    at.next().is_none().then_some(first)
}

#[cfg(test)]
mod tests {
    use super::{both_go_in, merged};

    const POST: &str = "post, steel washer, h1, c2, s1, nut";

    #[test]
    fn two_leads_go_into_one_stack() {
        let now = "post, steel washer, h1, c2-lead, s1, nut";
        let is = "post, steel washer, h1, c2, s1-lead, nut";
        let both = "post, steel washer, h1, c2-lead, s1-lead, nut";
        assert_eq!(merged(POST, now, is).as_deref(), Some(both));
        assert_eq!(merged(POST, is, now).as_deref(), Some(both));
        assert_eq!(merged(POST, both, is).as_deref(), Some(both), "it is in already");
    }

    #[test]
    fn a_stack_is_put_in_order_and_has_another_lug() {
        let order = "post, c2, h1, s1, steel washer, nut";
        let lead = "post, steel washer, h1, c2-lead, s1, nut";
        let both = "post, c2-lead, h1, s1, steel washer, nut";
        assert_eq!(merged(POST, lead, order).as_deref(), Some(both));
        assert_eq!(merged(POST, order, lead).as_deref(), Some(both));
        let less = "post, steel washer, c2, s1, nut";
        let both = "post, c2, s1, steel washer, nut";
        assert_eq!(merged(POST, order, less).as_deref(), Some(both));
        assert_eq!(merged(POST, less, order).as_deref(), Some(both));
    }

    #[test]
    fn what_is_said_of_a_joint_takes_a_grip_and_new_ends() {
        let grip = "lug, loose, strain relief, own entry";
        let made = merged("lug, loose", grip, "lug, good, crimped");
        assert_eq!(made.as_deref(), Some("lug, good, crimped, strain relief, own entry"));
    }

    #[test]
    fn ways_alike_are_told_apart_by_their_place() {
        let was = "[\"15 A pump\", \"15 A pump\", \"empty\"]";
        let now = "[\"15 A pump\", \"7.5 A pump\", \"empty\"]";
        let is = "[\"10 A pump\", \"15 A pump\", \"empty\"]";
        let both = "[\"10 A pump\", \"7.5 A pump\", \"empty\"]";
        assert_eq!(merged(was, now, is).as_deref(), Some(both));
    }

    #[test]
    fn what_both_touch_goes_in_once_only() {
        let one = "post, steel washer, h1, c2-lead, s1, nut";
        let other = "post, steel washer, h1, c2-long, s1, nut";
        assert_eq!(merged(POST, one, other), None);
        let gone = "post, steel washer, h1, s1, nut";
        assert_eq!(merged(POST, gone, other), None);
        let turned = ["post, s1, h1, c2, steel washer, nut", "post, h1, s1, c2, steel washer, nut"];
        assert_eq!(merged(POST, turned[0], turned[1]), None);
        assert!(!both_go_in(&["stacks", "a.+"], POST, one, gone));
        assert!(!both_go_in(&["wires", "w"], "a to b, red", "a to b, blue", "a to c, red"));
    }
}
