//! A text changed by two people since they both had it, put together: line by line, and within a line
//! piece by piece between its commas. Knows lines and commas, nothing of a record.

use std::ops::Range;

use similar::{Algorithm, DiffOp, DiffTag, capture_diff_slices};

/// Two changes that cannot both stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Clash {
    /// The lines that stand, with their line ends.
    pub(crate) present: String,
    /// The lines that the other text has there.
    pub(crate) other: String,
}

/// What came of putting texts together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Merged {
    /// The text; where there is a clash, what stood stands.
    pub(crate) text: String,
    /// Where both changed the same thing differently.
    pub(crate) clashes: Vec<Clash>,
}

/// Puts together what two texts changed of a third. `present` stands where they clash.
pub(crate) fn merge(base: &str, present: &str, other: &str) -> Merged {
    let mut out = Merged { text: String::new(), clashes: Vec::new() };
    let (base, present, other) = (lines(base), lines(present), lines(other));
    for [b, p, o] in regions(&base, &present, &other) {
        let (b, p, o) = (&base[b], &present[p], &other[o]);
        if b.len() == p.len() && b.len() == o.len() {
            // Lines changed one by one.
            for ((b, p), o) in b.iter().zip(p).zip(o) {
                join(b, p, o, &mut out);
            }
        } else {
            join(&b.concat(), &p.concat(), &o.concat(), &mut out);
        }
    }
    out
}

fn join(base: &str, present: &str, other: &str, out: &mut Merged) {
    match one_of(base, present, other) {
        Some(stands) => out.text.push_str(stands),
        None => match by_pieces(base, present, other) {
            Some(both) => out.text.push_str(&both),
            None => {
                out.text.push_str(present);
                out.clashes.push(Clash { present: present.to_owned(), other: other.to_owned() });
            }
        },
    }
}

/// What stands where only one side changed something, or both the same.
fn one_of<'a>(base: &str, present: &'a str, other: &'a str) -> Option<&'a str> {
    if present == other || other == base {
        Some(present)
    } else if present == base {
        Some(other)
    } else {
        None
    }
}

/// The pieces of one line between commas put together.
fn by_pieces(base: &str, present: &str, other: &str) -> Option<String> {
    let [b, p, o] = [base, present, other].map(pieces);
    if [base, present, other].iter().any(|text| text.matches('\n').count() > 1) {
        return None;
    }
    let regions = regions(&b, &p, &o).into_iter();
    regions
        .map(|[rb, rp, ro]| {
            let (b, p, o) = (b[rb].concat(), p[rp].concat(), o[ro].concat());
            one_of(&b, &p, &o).map(str::to_owned)
        })
        .collect()
}

fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

fn pieces(line: &str) -> Vec<&str> {
    line.split_inclusive(',').collect()
}

/// Stretches of the three texts that belong together: stretches that all three share stand alone, so
/// whatever lies between them was changed by one or both.
fn regions(base: &[&str], present: &[&str], other: &[&str]) -> Vec<[Range<usize>; 3]> {
    let (to_present, to_other) = (kept(base, present), kept(base, other));
    let mut out = Vec::new();
    let mut at = [0, 0, 0];
    let mut index = 0;
    while index < base.len() {
        let (Some(p), Some(o)) = (to_present[index], to_other[index]) else {
            index += 1;
            continue;
        };
        push(&mut out, [at[0]..index, at[1]..p, at[2]..o]);
        push(&mut out, [index..index + 1, p..p + 1, o..o + 1]);
        at = [index + 1, p + 1, o + 1];
        index += 1;
    }
    push(&mut out, [at[0]..base.len(), at[1]..present.len(), at[2]..other.len()]);
    out
}

fn push(out: &mut Vec<[Range<usize>; 3]>, region: [Range<usize>; 3]) {
    if region.iter().any(|range| !range.is_empty()) {
        out.push(region);
    }
}

/// For each line of the base, where it is in the changed text, if it was kept.
fn kept(base: &[&str], changed: &[&str]) -> Vec<Option<usize>> {
    let mut out = vec![None; base.len()];
    let equal = |op: &DiffOp| op.tag() == DiffTag::Equal;
    for op in capture_diff_slices(Algorithm::Myers, base, changed).iter().filter(|op| equal(op)) {
        for (old, new) in op.old_range().zip(op.new_range()) {
            out[old] = Some(new);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    //! Expected texts are written by hand from what a three-way merge has to do (diff3: what only one
    //! side changed is taken, what both changed alike is taken once, the rest clashes).
    use super::*;

    const BASE: &str = "one\ntwo\nthree\nfour\nfive\n";

    fn clean(present: &str, other: &str) -> String {
        let merged = merge(BASE, present, other);
        assert_eq!(merged.clashes, [], "{present:?} {other:?}");
        merged.text
    }

    #[test]
    fn changes_at_different_lines_both_stand() {
        assert_eq!(
            clean("one\n2\nthree\nfour\nfive\n", "one\ntwo\nthree\n4\nfive\nsix\n"),
            "one\n2\nthree\n4\nfive\nsix\n"
        );
        assert_eq!(
            clean("zero\none\ntwo\nthree\nfour\nfive\n", "one\ntwo\nfour\nfive\n"),
            "zero\none\ntwo\nfour\nfive\n"
        );
        assert_eq!(clean(BASE, ""), "");
        assert_eq!(clean("", BASE), "");
    }

    #[test]
    fn the_same_change_stands_once() {
        let both = "one\nTWO\nthree\nfour\nfive\n";
        assert_eq!(clean(both, both), both);
    }

    #[test]
    fn pieces_of_one_line_are_put_together() {
        let base = "w1 = \"a to b, 2.5 mm2, red, 3 m\"\n";
        let merged = merge(base, &base.replace("2.5", "4"), &base.replace("3 m", "measured 3.4 m"));
        assert_eq!(merged.text, "w1 = \"a to b, 4 mm2, red, measured 3.4 m\"\n");
        assert_eq!(merged.clashes, []);
    }

    #[test]
    fn two_changes_of_one_thing_clash_and_what_stood_stands() {
        let present = BASE.replace("three", "drei");
        let merged = merge(BASE, &present, &BASE.replace("three", "trois").replace("five", "cinq"));
        assert_eq!(merged.text, present.replace("five", "cinq"));
        assert_eq!(merged.clashes, [Clash { present: "drei\n".into(), other: "trois\n".into() }]);
        let merged = merge(BASE, &present, &BASE.replace("three\n", ""));
        assert_eq!(merged.text, present);
        assert_eq!(merged.clashes, [Clash { present: "drei\n".into(), other: String::new() }]);
    }
}
