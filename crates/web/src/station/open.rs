//! What is still open at each station.

use crate::serve::Opened;
use crate::station::{Station, arrival, dead_plan, prove, way_in};

/// How many things are open at each station, in the order of the stations.
pub(crate) fn at_each(case: &Opened) -> [usize; 8] {
    Station::ALL.map(|station| at(case, station))
}

/// How many things are open at a station.
pub(crate) fn at(case: &Opened, station: Station) -> usize {
    let (review, handover) = (case.study.review(), case.study.handover());
    let undone = |list: &str, steps: &mut dyn Iterator<Item = String>| {
        steps.filter(|step| !case.is_ticked(list, step)).count()
    };
    match station {
        Station::Arrival => arrival::missing(case).len(),
        // A plan that is worked on says what is to do; before one is made, the card for everything.
        Station::Dead => dead_plan::undone(case).unwrap_or_else(|| {
            undone("dead", &mut handover.isolation.steps.iter().map(|step| step.key.clone()))
        }),
        Station::Found => review.record_faults.len() + handover.unseen.len(),
        Station::Suspects => match case.as_it_stands().advice() {
            Some(advice) if advice.next.kind != "check" => 0,
            _ => usize::from(!review.vehicle.symptoms.is_empty()),
        },
        Station::WayIn => way_in::out_now(case).len(),
        Station::PutRight => {
            undone("mend", &mut review.findings.iter().map(crate::station::put_right::key))
        }
        Station::Prove => prove::rows(case).iter().filter(|row| !row.is_settled()).count(),
        Station::HandOver => case.kept.conflicts.len(),
    }
}
