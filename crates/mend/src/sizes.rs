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

/// A piece of wire on a way that loses too much.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// What it loses, V.
    pub volt: f64,
    /// Its cross-section.
    pub area: SquareMillimetre,
    /// Larger sizes that are sold, smallest first; empty where it cannot be told.
    pub larger: Vec<Size>,
}

/// The least copper that brings a way below a drop: always the run that loses most by one size.
///
/// `V' = V A/A'` at the same current, summed over the way, until `sum V' <= limit`. Symbols: drops
/// \[V\], cross-sections `A` as it is and `A'` as it will be \[mm²\]. Source: `R = ρ l / A`. Valid for
/// loads that draw no more at a higher voltage; whether it cures is seen by solving again. `None` where
/// no size that is sold does it; for each run its new size, none where it stays. Checked by
/// `tests::sizes` against AC 43.13-1B.
pub fn least_copper(runs: &[Run], limit_v: f64) -> Option<Vec<Option<Size>>> {
    // How many sizes each goes up.
    let mut steps = vec![0_usize; runs.len()];
    let volt = |run: &Run, up: usize| match up.checked_sub(1) {
        Some(at) => run.volt * run.area.si() / run.larger[at].area.si(),
        None => run.volt,
    };
    loop {
        let now: Vec<f64> = runs.iter().zip(&steps).map(|(run, up)| volt(run, *up)).collect();
        if now.iter().sum::<f64>() <= limit_v {
            let size = |(run, up): (&Run, &usize)| run.larger.get(up.checked_sub(1)?).cloned();
            return Some(runs.iter().zip(&steps).map(size).collect());
        }
        let can = (0..runs.len()).filter(|at| steps[*at] < runs[*at].larger.len());
        let most = can.max_by(|a, b| now[*a].total_cmp(&now[*b]))?;
        steps[most] += 1;
    }
}

#[cfg(test)]
#[path = "sizes_tests.rs"]
mod tests;
