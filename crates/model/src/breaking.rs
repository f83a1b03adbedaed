//! Whether a protective device can break what flows in a short circuit.

/// Whether a device can break the current of the greatest fault through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Breaking {
    /// It can.
    Enough {
        /// What it breaks, A.
        breaks_a: f64,
        /// The greatest current through it, A.
        fault_a: f64,
    },
    /// It cannot.
    TooLittle {
        /// What it breaks, A.
        breaks_a: f64,
        /// The least that flows through it in the fault right behind it, A.
        fault_a: f64,
    },
    /// Not known, with what is known.
    Unknown {
        /// What it breaks, A, as far as known.
        breaks_a: Option<f64>,
        /// The greatest current through it, A.
        fault_a: f64,
    },
}
