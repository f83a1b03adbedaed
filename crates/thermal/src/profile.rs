//! Temperature along a wire: what its conductor runs at, and on top of it the rise of the joints at
//! both ends, fading towards the middle.

use catalog::Catalog;
use heat::Cable;
use heat::joint::Fin;
use model::{Vehicle, WireEnd};
use units::{Celsius, Metre};

use crate::build::Builds;
use crate::{JointHeat, WireHeat};

/// Temperature along a wire.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// From its first end to its second.
    pub places: Vec<WarmPlace>,
    /// Its length is known; otherwise only its ends are told, each as far as its rise is felt.
    pub is_whole: bool,
    /// Hotter than the laws are used for: the hottest figures are the end of the laws and more.
    pub is_past: bool,
}

/// The temperature at a place of a wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WarmPlace {
    /// From the first end.
    pub at: Metre,
    /// The coolest it may be.
    pub coolest: Celsius,
    /// The hottest it may be.
    pub hottest: Celsius,
}

/// Places along a wire, each end counted.
const PLACES: u32 = 97;

/// The temperature along a wire whose heat and joints were worked out for the same state.
///
/// Symbols: `T` conductor temperature, °C; `dT1`, `dT2` rise of the joints at its ends, K; `f` what is
/// left of a rise along the wire ([`Fin::left_along`]); `L` length, m. Equation:
/// `T(x) = T + dT1 f(x) + dT2 f(L - x)`: the fin's equation is linear, so rises add. Coolest: thick
/// wall, endless wire; hottest: thin wall, recorded length. Source and range: [`Fin::of`]. Without a
/// size or a figure for the conductor: `None`; a joint without a figure adds nothing. Checked by
/// `tests::the_profile_of_a_wire_begins_at_its_joint_and_ends_at_its_conductor`.
pub fn profile(
    vehicle: &Vehicle,
    catalog: &Catalog,
    wire: &WireHeat,
    joints: &[JointHeat],
) -> Option<Profile> {
    let record = &vehicle.wires[wire.wire];
    let area = *record.area.value()?;
    let warmth = wire.warmth?;
    let [thin, thick] = Builds::of(&catalog.cables, area, &record.core)?.outsides();
    let (cool, hot) = (Fin::of(area, thick)?, Fin::of(area, thin)?);
    let rise = |end: WireEnd| {
        let joint = joints.iter().find(|heat| heat.joint == record.end(end).joint);
        joint.and_then(|heat| heat.rise_k).unwrap_or((0.0, 0.0))
    };
    let known = record.length.value().copied();
    let length = known.unwrap_or(2.0 * cool.reach());
    let (first, second) = (rise(WireEnd::From), rise(WireEnd::To));
    let hottest = warmth.high.unwrap_or(Cable::HOTTEST);
    let place = |step: u32| {
        let at = length * (f64::from(step) / f64::from(PLACES - 1));
        let back = length - at;
        let fades = |at: Metre| match known {
            Some(length) => hot.left_along(length, at),
            None => hot.left_at(at),
        };
        let low_k = first.0 * cool.left_at(at) + second.0 * cool.left_at(back);
        let high_k = first.1 * fades(at) + second.1 * fades(back);
        WarmPlace {
            at,
            coolest: Celsius::new(warmth.low.degrees() + low_k),
            hottest: Celsius::new(hottest.degrees() + high_k.max(low_k)),
        }
    };
    Some(Profile {
        places: (0..PLACES).map(place).collect(),
        is_whole: known.is_some(),
        is_past: warmth.high.is_none(),
    })
}
