//! Which conductors are sold, in the system a wire was written in.

use model::{Region, Wire};
use units::{Gauge, SquareMillimetre, iec60228};

/// A size that is sold.
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    /// Its cross-section.
    pub area: SquareMillimetre,
    /// As a record writes it.
    pub words: String,
}

/// The smallest size counted: thinner wire is for signals. Common practice, no source.
const LEAST_MM2: f64 = 0.5;

/// Gauges that are sold from 20 AWG up, thinnest first (even numbers, 1, and the aughts: as in NEC
/// Chapter 9, Table 8).
const GAUGES: [i8; 14] = [20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2];

/// Sizes in the system of a wire, smallest first: gauges where the wire or its region uses them, else
/// the nominal sizes of IEC 60228.
pub(crate) fn sold(wire: &Wire, region: Option<Region>) -> Vec<Size> {
    let is_gauge = wire.size_words.contains("AWG")
        || (wire.size_words.is_empty() && region == Some(Region::NorthAmerica));
    if is_gauge {
        let gauges = GAUGES.iter().copied().chain([Gauge::THICKEST.number()]);
        let sizes = gauges.filter_map(Gauge::new);
        return sizes.map(|gauge| Size { area: gauge.area(), words: gauge.to_string() }).collect();
    }
    let sizes = iec60228::sizes().iter().map(|size| size.area());
    let sizes = sizes.filter(|area| area.si() >= LEAST_MM2);
    sizes.map(|area| Size { area, words: format!("{} mm2", area.si()) }).collect()
}

/// The sizes above that of a wire, smallest first; all of them where its size is not known.
pub(crate) fn above(wire: &Wire, region: Option<Region>) -> Vec<Size> {
    let mut sizes = sold(wire, region);
    if let Some(area) = wire.area.value() {
        sizes.retain(|size| size.area.si() > area.si() * (1.0 + SAME));
    }
    sizes
}

/// Sizes nearer than this are one size, as a part of it.
const SAME: f64 = 1e-3;
