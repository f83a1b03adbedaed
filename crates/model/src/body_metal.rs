//! The metal of the vehicle's body that a return is joined to.

use units::Metre;

use crate::Fact;

/// A metal of the body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Metal {
    /// Steel.
    Steel,
    /// Stainless steel.
    Stainless,
    /// Aluminium.
    Aluminium,
}

impl Metal {
    /// All of them with the word people write.
    pub const ALL: [(Metal, &'static str); 3] =
        [(Metal::Steel, "steel"), (Metal::Stainless, "stainless"), (Metal::Aluminium, "aluminium")];
}

/// The metal a chassis point is on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BodyMetal {
    /// Which metal.
    pub metal: Fact<Metal>,
    /// How thick.
    pub thickness: Fact<Metre>,
    /// Welded or bolted metal to metal with the rest of the body; not glued, hinged or trim.
    pub joined: Fact<bool>,
}
