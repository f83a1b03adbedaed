//! What the eye sees of a wire, a joint or a device: questions with two answers, each a few words
//! of the trade. One list for the record, its schema, the checks and every page.

use std::collections::BTreeMap;

use crate::Fact;

/// A question that one look answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Look {
    /// A grommet or rolled edge wherever a wire passes metal.
    Grommets,
    /// A wire keeps clear of exhaust, heater, hot pipes.
    HeatClear,
    /// A wire keeps clear of gas pipe and hose.
    GasClear,
    /// A wire keeps clear of fuel pipe and hose.
    FuelClear,
    /// A wire is held on its way.
    Supported,
    /// A wire does not lie in foam or glue.
    NotFoamed,
    /// A wire keeps clear of the screws of panels.
    ScrewsClear,
    /// A wire stays where it is when something slides, swings or is pulled out.
    Still,
    /// A wire that moves has a loop to spare.
    Loop,
    /// The insulation of a wire is whole.
    Whole,
    /// Low voltage and mains do not lie in one run.
    MainsApart,
    /// Clear of airbags, belt tensioners and their wiring.
    AirbagsClear,
    /// The barrel of a terminal is crimped.
    Crimped,
    /// Fine strands end in a ferrule.
    Ferrule,
    /// Tightened to a torque with a tool that shows it.
    Torqued,
    /// A live terminal is covered.
    Covered,
    /// A lug is tinned.
    Tinned,
    /// A cable has an entry of its own.
    OwnEntry,
    /// A battery's gases lead outside.
    Vented,
    /// It stands apart from where people sit and sleep.
    OutsideLiving,
    /// It carries a label that says what it is or does.
    Labelled,
    /// No water pipe, tank or hatch above it.
    WaterClear,
    /// Air can pass around it.
    Air,
    /// It can be reached from a door opening, standing outside.
    FromDoor,
    /// It does not hang loose.
    Fixed,
    /// Its joints are inside an enclosure.
    Boxed,
}

/// What a look is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LookedAt {
    /// The way of a wire.
    Wire,
    /// A joint.
    Joint,
    /// A device.
    Device,
}

/// A look with its two answers.
#[derive(Clone, Copy, Debug)]
pub struct LookWords {
    /// The question.
    pub look: Look,
    /// What may be looked at in this way.
    pub of: &'static [LookedAt],
    /// The answer when it is as it should be.
    pub good: &'static str,
    /// The other.
    pub bad: &'static str,
}

const WIRE: &[LookedAt] = &[LookedAt::Wire];
const JOINT: &[LookedAt] = &[LookedAt::Joint];
const DEVICE: &[LookedAt] = &[LookedAt::Device];
const WIRE_OR_DEVICE: &[LookedAt] = &[LookedAt::Wire, LookedAt::Device];

const fn row(
    look: Look,
    of: &'static [LookedAt],
    good: &'static str,
    bad: &'static str,
) -> LookWords {
    LookWords { look, of, good, bad }
}

impl Look {
    /// Every look, in the order of [`Look`].
    pub const ALL: [LookWords; 26] = [
        row(Look::Grommets, WIRE, "grommets", "no grommet"),
        row(Look::HeatClear, WIRE, "clear of heat", "near heat"),
        row(Look::GasClear, WIRE, "clear of gas line", "on gas line"),
        row(Look::FuelClear, WIRE, "clear of fuel line", "on fuel line"),
        row(Look::Supported, WIRE, "supported", "unsupported"),
        row(Look::NotFoamed, WIRE, "not foamed in", "foamed in"),
        row(Look::ScrewsClear, WIRE, "clear of screws", "in drill zone"),
        row(Look::Still, WIRE, "still", "moves"),
        row(Look::Loop, WIRE, "with loop", "no loop"),
        row(Look::Whole, WIRE, "insulation whole", "chafed"),
        row(Look::MainsApart, WIRE, "apart from mains", "with mains"),
        row(Look::AirbagsClear, WIRE_OR_DEVICE, "clear of airbags", "in airbag zone"),
        row(Look::Crimped, JOINT, "crimped", "not crimped"),
        row(Look::Ferrule, JOINT, "ferrule", "no ferrule"),
        row(Look::Torqued, JOINT, "torqued", "not torqued"),
        row(Look::Covered, JOINT, "covered", "uncovered"),
        row(Look::Tinned, JOINT, "tinned", "bare copper"),
        row(Look::OwnEntry, JOINT, "own entry", "shared entry"),
        row(Look::Vented, DEVICE, "vented outside", "not vented"),
        row(Look::OutsideLiving, DEVICE, "outside living space", "in living space"),
        row(Look::Labelled, DEVICE, "labelled", "no label"),
        row(Look::WaterClear, DEVICE, "clear of water", "below water"),
        row(Look::Air, DEVICE, "air around it", "no air around it"),
        row(Look::FromDoor, DEVICE, "from the door", "not from the door"),
        row(Look::Fixed, DEVICE, "fixed", "loose"),
        row(Look::Boxed, DEVICE, "boxed", "no box"),
    ];

    /// The look with its answers.
    pub fn words(self) -> &'static LookWords {
        &Look::ALL[self as usize]
    }

    /// The look that words answer for something, and whether it is as it should be.
    pub fn answered(words: &str, of: LookedAt) -> Option<(Look, bool)> {
        let rows = Look::ALL.iter().filter(|row| row.of.contains(&of));
        let mut answers = rows.flat_map(|row| [(row.good, row, true), (row.bad, row, false)]);
        answers.find(|(answer, ..)| *answer == words).map(|(_, row, good)| (row.look, good))
    }

    /// Every answer that may be given for something.
    pub fn answers(of: LookedAt) -> impl Iterator<Item = &'static str> {
        let rows = Look::ALL.iter().filter(move |row| row.of.contains(&of));
        rows.flat_map(|row| [row.good, row.bad])
    }
}

impl LookWords {
    /// The words of an answer.
    pub fn answer(&self, good: &bool) -> &'static str {
        if *good { self.good } else { self.bad }
    }
}

/// What was seen of one thing. A question nobody answered is unknown.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Looks(BTreeMap<Look, Fact<bool>>);

impl Looks {
    /// Whether it is as it should be.
    pub fn get(&self, look: Look) -> &Fact<bool> {
        self.0.get(&look).unwrap_or(&Fact::Unknown)
    }

    /// Puts an answer in.
    pub fn set(&mut self, look: Look, fact: Fact<bool>) {
        self.0.insert(look, fact);
    }

    /// Takes over what `others` know and these do not.
    pub fn fill(&mut self, others: &Looks) {
        for (look, fact) in &others.0 {
            if self.get(*look).is_unknown() {
                self.0.insert(*look, fact.clone());
            }
        }
    }

    /// Every answered look.
    pub fn iter(&self) -> impl Iterator<Item = (Look, &Fact<bool>)> {
        self.0.iter().map(|(look, fact)| (*look, fact))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_look_stands_in_its_own_row_and_its_answers_are_read_back() {
        for (at, row) in Look::ALL.iter().enumerate() {
            assert_eq!(row.look as usize, at, "{}", row.good);
            for of in row.of {
                assert_eq!(Look::answered(row.good, *of), Some((row.look, true)));
                assert_eq!(Look::answered(row.bad, *of), Some((row.look, false)));
            }
        }
        assert_eq!(Look::answered("no grommet", LookedAt::Joint), None);
    }

    #[test]
    fn what_is_known_is_not_overwritten_by_what_is_usual() {
        let mut own = Looks::default();
        own.set(Look::Grommets, Fact::known(false, crate::Origin::seen()));
        let mut usual = Looks::default();
        usual.set(Look::Grommets, Fact::assumed(true, "usual"));
        usual.set(Look::Supported, Fact::assumed(true, "usual"));
        own.fill(&usual);
        assert_eq!(own.get(Look::Grommets).evidence(), Some(&false));
        assert!(own.get(Look::Supported).is_assumed());
    }
}
