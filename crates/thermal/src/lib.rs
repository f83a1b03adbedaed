//! How warm the wires and joints of a vehicle get in a state, and whether they may carry what they
//! carry: physics of the cable in still air beside the published tables. The stricter decides and
//! says why.
//!
//! Does not solve, print or read a record. Bundles are counted by published factors only.
//!
//! | file | what it holds |
//! |---|---|
//! | `build.rs` | the cables a wire may be, from its size: thin and thick wall, most and least copper |
//! | `wires.rs` | temperature, table and verdict of every wire |
//! | `joints.rs` | drop, power, rise and margin of every joint |
//! | `profile.rs` | temperature along a wire, with the joints at its ends |

mod build;
mod joints;
mod profile;
mod wires;

#[cfg(test)]
mod tests;

use circuit::BranchId;
use model::State;
use network::Network;
use solve::OperatingPoint;
use units::{Ampere, Celsius};

pub use joints::{JointHeat, joints};
pub use profile::{Profile, WarmPlace, profile};
pub use wires::{Rule, TableSays, Warmth, WireHeat, wires};

/// Below this a branch carries nothing, A.
const NOTHING_A: f64 = 1e-3;

/// Room for rounding, as a part of a limit.
const SLACK: f64 = 1e-9;

/// A state with its network and what the sums gave.
#[derive(Clone, Copy, Debug)]
pub struct Solved<'a> {
    /// The state.
    pub state: &'a State,
    /// Its network.
    pub network: &'a Network,
    /// Its operating points: one when it settles, several when it hunts, none without an answer.
    pub points: &'a [OperatingPoint],
    /// The same state with everything off whose power or limit is only assumed: what flows in any
    /// case.
    pub sure: (&'a Network, &'a [OperatingPoint]),
}

/// Whether a thing may stay as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Within the limit.
    Holds,
    /// A fact is missing, or only assumed.
    CannotTell,
    /// Beyond the limit.
    Fails,
}

impl Solved<'_> {
    /// The largest current of a branch over the operating points; `None` when it carries nothing.
    fn current(&self, branch: impl Fn(&Network) -> Option<BranchId>) -> Option<Ampere> {
        let most = largest(self.points, branch(self.network)?);
        (most > NOTHING_A).then_some(Ampere::from_si(most))
    }

    /// Between which currents the truth lies if what is only assumed draws nothing, or as many times
    /// as much as counts ([`catalog::ASSUMED_COUNTS_UP_TO`]).
    fn bounds(
        &self,
        current: Ampere,
        branch: impl Fn(&Network) -> Option<BranchId>,
    ) -> (Ampere, Ampere) {
        let sure = branch(self.sure.0).map_or(0.0, |branch| largest(self.sure.1, branch));
        let (least, brought) = (current.si().min(sure), (current.si() - sure).abs());
        let most = current.si().max(least + catalog::ASSUMED_COUNTS_UP_TO * brought);
        (Ampere::from_si(least), Ampere::from_si(most))
    }
}

fn largest(points: &[OperatingPoint], branch: BranchId) -> f64 {
    let amperes = points.iter().map(|point| point.current(branch).abs());
    amperes.filter(|ampere| ampere.is_finite()).fold(0.0, f64::max)
}

/// What a verdict becomes that would be another one if what is only assumed were otherwise: `None` if
/// it stands.
fn shaken(verdict: Verdict, at_least: Verdict, at_most: Verdict) -> Option<Verdict> {
    let stands = match verdict {
        Verdict::Holds => at_most == Verdict::Holds,
        Verdict::Fails => at_least == Verdict::Fails,
        Verdict::CannotTell => true,
    };
    (!stands).then_some(Verdict::CannotTell)
}

/// The words for that, and what to find out.
const SHAKEN: (&str, &str) =
    ("rests on assumed powers", "find out what the equipment behind it really draws");

/// The air that counts: that of the state, but not cooler than the tables' own, and at least what an
/// engine space counts as.
fn air(solved: &Solved<'_>, base: Celsius, engine: Option<Celsius>) -> Celsius {
    let warmer = |a: Celsius, b: Celsius| if b > a { b } else { a };
    let air = warmer(base, solved.state.temperature);
    engine.map_or(air, |engine| warmer(air, engine))
}
