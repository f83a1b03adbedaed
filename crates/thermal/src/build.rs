//! The cables a wire may be. A record gives the size of the copper, never the wall or the true
//! resistance, so a wire is a range of cables.

use catalog::Cables;
use heat::{Cable, Metal};
use model::{Core, Fact};
use units::copper::solid_ohm_per_metre_20c;
use units::{Celsius, Conductor, Metre, SquareMillimetre, conductor_ohm_per_metre};

/// The range of cables a wire of a size may be.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Builds {
    /// Full copper, thin and thick wall.
    pub(crate) best: [Cable; 2],
    /// As much resistance as the standard allows, thin and thick wall.
    pub(crate) worst: [Cable; 2],
}

/// Where resistances are stated.
const REFERENCE: Celsius = Celsius::new(20.0);

impl Builds {
    /// The cables a wire of a size and core may be; a core nobody looked at counts as fine, which
    /// resists most. `None` for sizes no cable has.
    pub(crate) fn of(cables: &Cables, area: SquareMillimetre, core: &Fact<Core>) -> Option<Builds> {
        let class = match core.evidence() {
            Some(Core::Solid) => Conductor::Solid,
            Some(Core::Stranded) => Conductor::Stranded,
            Some(Core::Fine) | None => Conductor::Flexible,
        };
        let most = conductor_ohm_per_metre(area, class, REFERENCE).ok()?;
        let least = solid_ohm_per_metre_20c(area).min(most);
        let spread = if class == Conductor::Solid { 1.0 } else { cables.strands_over_solid };
        let diameter = spread * area.diameter();
        let walls = cables.walls(area)?;
        let cable = |ohm_per_metre_20c: f64, wall: Metre| {
            let metal = Metal { ohm_per_metre_20c, area, diameter };
            let outside = diameter + 2.0 * wall;
            Cable::new(metal, outside, cables.insulation_w_per_mk, cables.emissivity)
        };
        let [thin, thick] = walls;
        Some(Builds {
            best: [cable(least, thin)?, cable(least, thick)?],
            worst: [cable(most, thin)?, cable(most, thick)?],
        })
    }

    /// Outside diameters, thin and thick wall.
    pub(crate) fn outsides(&self) -> [Metre; 2] {
        self.worst.map(|cable| cable.outside())
    }
}
