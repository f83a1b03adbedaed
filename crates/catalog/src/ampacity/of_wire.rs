//! What the facts of a wire ask of the tables: with what is known, and at the strictest of what is
//! not known.

use model::{Region, Wire};
use units::{Celsius, SquareMillimetre};

use super::{Ampacity, Question, Space, VoltageBand};

/// The tables' own ambient.
const BASE_AMBIENT: Celsius = Celsius::new(30.0);

/// More conductors than any bundle row starts at.
const ANY_BUNDLE: u32 = u32::MAX;

impl Question {
    /// The question of a wire of a size and rating, with what is known of where it runs; what is
    /// not known counts in its favour. Air cooler than the tables' own 30 °C gives no credit.
    pub fn of_wire(
        wire: &Wire,
        area: SquareMillimetre,
        insulation: Celsius,
        band: VoltageBand,
        region: Option<Region>,
    ) -> Question {
        let space = match wire.engine_space.value() {
            Some(true) => Space::Engine,
            Some(false) | None => Space::Elsewhere,
        };
        Question {
            area,
            insulation,
            ambient: BASE_AMBIENT,
            space,
            together: wire.bundle.value().copied().unwrap_or(1),
            band,
            region,
        }
    }

    /// The same in air of a temperature; cooler than 30 °C gives no credit.
    pub fn in_air(mut self, ambient: Celsius) -> Question {
        if ambient > self.ambient {
            self.ambient = ambient;
        }
        self
    }

    /// The same with everything that is not told, seen or measured at its strictest.
    pub fn strictest(mut self, wire: &Wire) -> Question {
        if wire.bundle.evidence().is_none() {
            self.together = ANY_BUNDLE;
        }
        if wire.engine_space.evidence().is_none() {
            self.space = Space::Engine;
        }
        self
    }
}

impl Ampacity {
    /// The air the tables are printed for.
    pub fn base_ambient(&self) -> Celsius {
        BASE_AMBIENT
    }
}
