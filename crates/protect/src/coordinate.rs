//! Opening time against the wire, current by current, over the range the fault can have.

use units::{Interval, Second};

use crate::device::Device;
use crate::wire::Stands;

/// Steps per decade of current between the published multiples.
const STEPS_PER_DECADE: f64 = 24.0;
/// Longer than this the wire gives off heat, and the adiabatic law decides nothing, s.
const SHORT_S: f64 = heat::adiabatic::LONGEST.si();

/// How a device and a wire go together.
#[derive(Clone, Debug)]
pub(crate) struct Pairing {
    /// By published figures it opens in time at every current of the range.
    pub(crate) is_in_time: bool,
    /// By all figures, recalled ones too.
    pub(crate) may_be_in_time: bool,
    /// At the largest current of the far fault it still carries, while the wire does not.
    pub(crate) never_opens: bool,
    /// At the critical current the wire is ruined before the device opens at the earliest.
    pub(crate) is_too_late: bool,
    /// Where latest opening time and wire come closest.
    pub(crate) critical_a: f64,
    pub(crate) at_least: Option<Second>,
    pub(crate) at_most: Option<Second>,
    pub(crate) stands: Option<Second>,
}

/// The currents a fault on a wire can have, as one end sees them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Currents {
    /// Fault at the far end, A.
    pub(crate) far_a: Interval,
    /// The largest current of the nearest fault, A.
    pub(crate) near_a: f64,
    /// Nothing is known that keeps the least current up (a length is not known): any is possible.
    pub(crate) any_below: AnyBelow,
    /// The part of it that passes the device.
    pub(crate) share: f64,
    /// So many times what it carries for good the wire may carry until its device opens.
    pub(crate) conventional: f64,
}

/// Whether the least current of a fault is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum AnyBelow {
    /// It is, within its spread.
    No,
    /// It is not: a length or size on the way is not known.
    Yes,
}

/// Whether a lasting overload is cut off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum OverloadCover {
    /// It is: opening later than 5 s is for that rule to judge.
    Holds,
    /// It is not, or not known.
    Open,
}

/// Compares a device with a wire over the currents of a fault.
///
/// In time at a current: the device opens at the latest after `t`, and either `t` is at most 5 s and
/// shorter than the wire stands (adiabatic), or `t` is longer and the wire is covered against lasting
/// overload (rating at most what it carries for good). Where nothing says that it opens, the current
/// must also be at most so many times what the wire carries for good as the limit
/// `conventional-current` says.
pub(crate) fn pair(
    device: &Device<'_>,
    wire: &Stands,
    currents: &Currents,
    cover: OverloadCover,
) -> Pairing {
    let judged: Vec<At> = grid(device, currents)
        .into_iter()
        .map(|ampere_a| At::of(device, wire, ampere_a, currents.share))
        .collect();
    let in_time = |latest: fn(&At) -> Option<f64>| {
        judged.iter().all(|at| match (latest(at), at.stands_s) {
            (_, None) => false,
            (Some(latest_s), Some(stands_s)) if latest_s <= SHORT_S => latest_s <= stands_s,
            (Some(_), Some(_)) => cover == OverloadCover::Holds,
            (None, Some(_)) => {
                cover == OverloadCover::Holds && wire.carries(at.ampere_a / currents.conventional)
            }
        })
    };
    let critical = judged.iter().max_by(|a, b| a.tightness().total_cmp(&b.tightness()));
    let far_high = At::of(device, wire, currents.far_a.high(), currents.share);
    let carried = device
        .carries_a()
        .is_some_and(|carries_a| currents.far_a.high() * currents.share <= carries_a);
    let overheats = wire.allowed_a.is_some_and(|(_, high_a)| currents.far_a.high() > high_a);
    let shown = critical.unwrap_or(&far_high);
    Pairing {
        is_in_time: in_time(|at| at.decided_s),
        may_be_in_time: in_time(|at| at.latest_s),
        never_opens: carried && overheats,
        is_too_late: matches!((far_high.earliest_s, far_high.stands_s),
            (Some(earliest_s), Some(stands_s)) if earliest_s > stands_s && overheats),
        critical_a: shown.ampere_a,
        at_least: shown.earliest_s.map(Second::from_si),
        at_most: shown.latest_s.map(Second::from_si),
        stands: shown.stands_s.map(Second::from_si),
    }
}

/// Device and wire at one current.
struct At {
    ampere_a: f64,
    earliest_s: Option<f64>,
    latest_s: Option<f64>,
    decided_s: Option<f64>,
    stands_s: Option<f64>,
}

impl At {
    fn of(device: &Device<'_>, wire: &Stands, ampere_a: f64, share: f64) -> At {
        let opening = device.opening(ampere_a * share);
        let second = |time: Option<Second>| time.map(Second::si);
        At {
            ampere_a,
            earliest_s: second(opening.at_least),
            latest_s: second(opening.at_most),
            decided_s: second(opening.at_most_decided),
            stands_s: second(wire.time(ampere_a)),
        }
    }

    /// Latest opening time over what the wire stands; a current at which nothing says that it opens
    /// is left to the overload rule.
    fn tightness(&self) -> f64 {
        match (self.latest_s, self.stands_s) {
            (Some(latest_s), Some(stands_s)) if latest_s <= SHORT_S => latest_s / stands_s,
            _ => 0.0,
        }
    }
}

/// Currents to look at: both ends of the range, the published multiples in it, and steps between.
fn grid(device: &Device<'_>, currents: &Currents) -> Vec<f64> {
    let high_a = currents.near_a.max(currents.far_a.high());
    let rated_a = device.rated.map_or(0.0, |rated| rated.si());
    let low_a = match currents.any_below {
        AnyBelow::No => currents.far_a.low(),
        AnyBelow::Yes => (rated_a / currents.share.max(1e-6)).min(currents.far_a.low()),
    };
    if !(low_a > 0.0 && high_a >= low_a) {
        return vec![currents.far_a.high()];
    }
    let mut all = vec![low_a, high_a, currents.far_a.low(), currents.far_a.high()];
    let steps = ((high_a / low_a).log10() * STEPS_PER_DECADE).ceil().max(1.0);
    all.extend((1..steps as u32).map(|k| low_a * (high_a / low_a).powf(f64::from(k) / steps)));
    if let Some(band) = device.band {
        let at = band.multiples().into_iter().map(|m| m * rated_a / currents.share.max(1e-6));
        all.extend(at.filter(|ampere_a| (low_a..=high_a).contains(ampere_a)));
    }
    all.sort_by(f64::total_cmp);
    all
}
