//! Which of several devices in one line opens first.

use units::Interval;

use crate::device::Device;

/// In words, for the devices of one line, the nearest to the wire first; empty for a single one.
///
/// The nearer opens alone where it opens at the latest before the next one opens at the earliest, at
/// both ends of the range of currents.
pub(crate) fn words(line: &[(&Device<'_>, f64)], fault_a: Interval) -> String {
    let [(near, near_share), (next, next_share), ..] = line else { return String::new() };
    let both = [fault_a.low(), fault_a.high()];
    let before = |first: &Device<'_>, share: f64, then: &Device<'_>, then_share: f64| {
        both.iter().all(|ampere_a| {
            let latest = first.opening(ampere_a * share).at_most;
            let earliest = then.opening(ampere_a * then_share).at_least;
            matches!((latest, earliest), (Some(latest), Some(earliest)) if latest.si() < earliest.si())
        })
    };
    let recalled =
        if near.is_published() && next.is_published() { "" } else { ", by recalled times" };
    if before(near, *near_share, next, *next_share) {
        format!("{} opens first, {} stays closed{recalled}", near.name, next.name)
    } else if before(next, *next_share, near, *near_share) {
        format!("{} opens first, and with it more than this wire goes dead{recalled}", next.name)
    } else {
        format!("{} or {} may open first, or both", near.name, next.name)
    }
}
