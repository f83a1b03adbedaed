//! In which words and units a drawing speaks: the words it puts in by itself, told in a language. What
//! its maker hands over is told already.

use std::collections::BTreeMap;

use units::System;

/// Every word that a drawing puts in by itself. What stands in braces is filled in.
pub const OWN_WORDS: &[&str] = &[
    // Wiring.
    "sheet {a} of {b}",
    "also {a}",
    "not seen",
    "live",
    "may be live",
    "return",
    "floating: no voltage is known",
    "not reached: prove dead",
    "thicker: more current (40 A)",
    "goes out of sight behind {a}",
    "nobody has seen where this ends",
    "back to {a}",
    "{a} {b} devices and ends, {c} wires; every one has its own words.",
    "DANGER",
    "WARNING",
    "CAUTION",
    "NOTICE",
    // The colours a key may name.
    "black",
    "brown",
    "red",
    "orange",
    "yellow",
    "green",
    "blue",
    "violet",
    "grey",
    "white",
    "pink",
    "silver",
    "green and yellow",
    // Charts.
    "holds",
    "within rating",
    "fails",
    "cannot tell",
    "what is usually borne for what is wanted so often (common practice)",
    "% of cases in each {a}",
    "up to P50: half of the cases need no more",
    "up to P80: eight of ten cases need no more",
    "beyond: two of ten cases need more",
    "current in the wire, A",
    "time, s",
    "{a}: opens within this band; broken edges rest on recalled figures",
    "opens no later than this, by figures that were read",
    "{a}: stands the current for so long, I²t = k²S²; dotted beyond {b}\u{a0}s, where it gives off heat and stands longer",
    "where device and wire come closest",
    "Opening times of {a} and what {b} stands, over the current. {c}.",
    "place along the wire, {a}",
    "the conductor: hottest (wide line) and coolest it may be",
    "the air around: {a}",
    "past a limit: filled where it is in any case, hatched where it may be",
    "{a} to {b}",
    "{a}: {b}; in the middle {c}; {d}: {e}. Air {f}. Limits: {g}.",
    "none known",
    // The vehicle.
    "front",
    "rear",
    "left",
    "right",
    "Plan, from above",
    "Left half, seen from the middle of the vehicle",
    "Right half, seen from the middle of the vehicle",
    "Isometric",
    "Isometric, from above, the {a} and the {b}",
    "{a} (no position recorded)",
    "wanted: {a}",
    "dashed: behind something else in that view",
    "dotted: the ceiling, looked through",
    "a wire from a place to a place: which way it takes between is not recorded",
    "lost to sight behind a part, or its end is not known",
    "what holds it falls short this way",
    "cannot be told this way: see what to find out",
    "not past a rating that somebody stated",
    "work area: all that comes out and is wanted lies within {a} along, {b} across, {c} in height",
    "To be reached: {a}.",
    "Numbered: {a}.",
    // The order of removal.
    "An arrow leads from what comes out first to what it hides.",
    "After each part what has to be out before it; a part without that can come out first.",
    "{a}: after {b}",
    "Order of removal. {a}.",
    "{a} hides {b}",
];

/// The words of [`OWN_WORDS`] in a language, and the units drawn scales count in. As it comes: English
/// and metric.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Speech {
    told: BTreeMap<&'static str, String>,
    system: System,
}

impl Speech {
    /// Every word as somebody tells it; what stands in braces must stay.
    pub fn told(system: System, tell: impl Fn(&str) -> String) -> Speech {
        let told = OWN_WORDS.iter().map(|word| (*word, tell(word))).collect();
        Speech { told, system }
    }

    /// A word as it is to be drawn.
    pub(crate) fn say<'a>(&'a self, english: &'a str) -> &'a str {
        debug_assert!(OWN_WORDS.contains(&english), "`{english}` is not among the own words");
        self.told.get(english).map_or(english, String::as_str)
    }

    /// The same with what is put in, for `{a}`, `{b}` and so on.
    pub(crate) fn fill(&self, english: &str, values: &[&str]) -> String {
        let mut out = String::new();
        let mut rest = self.say(english);
        while let Some((before, after)) = rest.split_once('{') {
            out.push_str(before);
            let gap = after.chars().next().and_then(|letter| "abcdefg".find(letter));
            let value = gap.and_then(|at| values.get(at));
            let Some((_, behind)) = after.split_once('}') else { break };
            out.push_str(value.copied().unwrap_or_default());
            rest = behind;
        }
        out.push_str(rest);
        out
    }

    /// A quantity of the program, written metric, in the units that scales count in.
    pub(crate) fn quantity(&self, metric: &str) -> String {
        units::restate(metric, self.system)
    }

    /// The units that scales count in.
    pub(crate) fn system(&self) -> System {
        self.system
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_put_in_stands_where_the_language_wants_it() {
        let english = Speech::default();
        assert_eq!(english.fill("{a} hides {b}", &["lid", "box {a}"]), "lid hides box {a}");
        let turned = Speech::told(System::Metric, |word| match word {
            "{a} hides {b}" => "{b} detrás de {a}".to_owned(),
            other => other.to_owned(),
        });
        assert_eq!(turned.fill("{a} hides {b}", &["lid", "box"]), "box detrás de lid");
        assert_eq!(turned.say("front"), "front");
    }
}
