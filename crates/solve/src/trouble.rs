//! Why a circuit has no answer, in words a technician can act on. Knows names, not vehicles.

use circuit::BranchId;

/// A circuit that could not be solved. No number leaves the crate together with one of these.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Trouble {
    /// A branch holds a value that no real part has.
    #[error("`{name}`: {what}")]
    BadValue {
        /// The branch.
        branch: BranchId,
        /// Its name.
        name: String,
        /// Which value, what it is, what it must be.
        what: String,
    },
    /// A guard holds thresholds that are not numbers or are the wrong way round.
    #[error("guard `{name}`: {what}")]
    BadGuard {
        /// The guard's name.
        name: String,
        /// Which threshold, what it must be.
        what: String,
    },
    /// Ideal sources form a loop without any resistance: they contradict each other, or share
    /// current in a way nobody can know.
    #[error(
        "these ideal sources are joined in a loop without any resistance, so the current between \
         them has no bounds: {}. Give at least one of them its internal resistance",
        names.join(", ")
    )]
    ContradictorySources {
        /// The sources of the loop.
        branches: Vec<BranchId>,
        /// Their names.
        names: Vec<String>,
    },
    /// Current sources push current into a part of the circuit it cannot leave.
    #[error("the current of {} has no way back: its loop is open", names.join(", "))]
    NoReturn {
        /// The current sources.
        branches: Vec<BranchId>,
        /// Their names.
        names: Vec<String>,
    },
    /// No voltages satisfy all elements at once, or none could be found.
    #[error(
        "no operating point found in {iterations} iterations: some load may ask for more power \
         than its wires can bring, or a value is far out of range"
    )]
    NoOperatingPoint {
        /// Linear solves spent.
        iterations: u32,
    },
    /// The answer did not pass its own check; it is withheld.
    #[error("the answer failed its own check ({what}) and is withheld")]
    FailedCheck {
        /// Which check, by how much.
        what: String,
    },
    /// The list of guard positions does not fit the circuit.
    #[error("{given} guard positions given for a circuit of {expected} guards")]
    WrongPositions {
        /// Guards in the circuit.
        expected: usize,
        /// Positions given.
        given: usize,
    },
    /// Guards kept flipping into positions never seen before.
    #[error("guards still flip into new positions after {limit} flips")]
    TooManyFlips {
        /// [`crate::FLIP_LIMIT`].
        limit: usize,
    },
}
