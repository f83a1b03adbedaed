//! What holds a part: screws, clips, glue; how their heads are reached and in what condition.

use units::NewtonMetre;

use crate::{Fact, PartId};

/// How the head of a fixing can be reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HeadAccess {
    /// Straight on, with room for the tool.
    Straight,
    /// Only with an angled tool.
    Angled,
    /// Under a cap, a strip or a seam; to be found first.
    Hidden,
    /// No tool gets there.
    Unreachable,
}

impl HeadAccess {
    /// All of them with the word people write before the fixing.
    pub const ALL: [(HeadAccess, &'static str); 4] = [
        (HeadAccess::Straight, "straight"),
        (HeadAccess::Angled, "angled"),
        (HeadAccess::Hidden, "hidden"),
        (HeadAccess::Unreachable, "unreachable"),
    ];
}

/// In what condition a fixing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FixingCondition {
    /// Comes undone as it should.
    Good,
    /// Rusted or stuck fast.
    Seized,
    /// Its head or thread gives no hold.
    Stripped,
    /// Under paint or filler.
    Painted,
}

impl FixingCondition {
    /// All of them with the word people write before the fixing.
    pub const ALL: [(FixingCondition, &'static str); 4] = [
        (FixingCondition::Good, "good"),
        (FixingCondition::Seized, "seized"),
        (FixingCondition::Stripped, "stripped"),
        (FixingCondition::Painted, "painted"),
    ];
}

/// Fixings of one sort on one part.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixing {
    /// How many.
    pub count: u32,
    /// The catalog's fixing: screw, clip, glue bead.
    pub kind: String,
    /// The tool of the catalog that undoes it: the one written, or the usual one of the kind. None:
    /// by hand.
    pub tool: Option<String>,
    /// How the heads are reached.
    pub head: Fact<HeadAccess>,
    /// In what condition they are.
    pub condition: Fact<FixingCondition>,
    /// Torque when they are put back.
    pub torque: Fact<NewtonMetre>,
    /// The part they bite into, if written.
    pub into: Option<PartId>,
}

impl Fixing {
    /// The fixings in a few words: `4 x seized bolt`.
    pub fn words(&self) -> String {
        let word = |words: Option<&str>| words.map_or_else(String::new, |word| format!("{word} "));
        let condition = self.condition.value().filter(|c| **c != FixingCondition::Good);
        let condition = condition.and_then(|condition| word_of(&FixingCondition::ALL, *condition));
        let head = self.head.evidence().filter(|head| **head != HeadAccess::Straight);
        let head = head.and_then(|head| word_of(&HeadAccess::ALL, *head));
        let kind = head.map_or(self.kind.as_str(), |head| {
            self.kind.strip_prefix(head).map_or(self.kind.as_str(), str::trim_start)
        });
        format!("{} x {}{}{kind}", self.count, word(condition), word(head))
    }
}

/// The word of a value in a list of pairs.
fn word_of<T: PartialEq>(all: &[(T, &'static str)], wanted: T) -> Option<&'static str> {
    all.iter().find(|(value, _)| *value == wanted).map(|(_, word)| *word)
}
