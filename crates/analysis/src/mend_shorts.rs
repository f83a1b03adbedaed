//! Repairs against what the checks on short circuits find: a fuse that cannot break, a wire that burns
//! first. A study of all short circuits takes longer than all checks together, so a mended record is
//! studied again only at the wires that failed, and only when a repair changes wiring or protection.

use std::collections::{BTreeMap, BTreeSet};

use checks::Check;
use model::{Change, Finding, Place, Signal, Vehicle, Verdict};

use crate::case::Case;
use crate::mends::{Judged, Key};

type Fails = BTreeMap<Key, (Signal, &'static Check, Finding)>;

/// What the checks on short circuits find in a record.
pub(crate) struct ShortFails {
    fails: Fails,
    /// The wires that have to be shorted again to see whether it is cured.
    wires: BTreeSet<String>,
}

impl ShortFails {
    /// Of a record, put among what else fails there.
    pub(crate) fn of(case: &Case, judged: &mut Judged) -> ShortFails {
        let fails = fails_of(case, &case.shorts());
        let places = fails.values().flat_map(|(.., finding)| {
            std::iter::once(&finding.place).chain(&finding.related).copied()
        });
        let wires = places.filter_map(|place| wire_name(case.vehicle(), place)).collect();
        judged.fails.extend(fails.clone());
        ShortFails { fails, wires }
    }

    /// What of it is left, or new, in a mended record.
    pub(crate) fn left_in(&self, mended: &Case, changes: &[Change]) -> Fails {
        if self.fails.is_empty() || !changes.iter().any(changes_what_flows) {
            return self.fails.clone();
        }
        let all = mended.vehicle().wires.iter();
        let wires = all.filter(|(_, wire)| self.wires.contains(&wire.name)).map(|(id, _)| id);
        fails_of(mended, &mended.shorts_of(&wires.collect()))
    }
}

fn fails_of(case: &Case, shorts: &[checks::Short]) -> Fails {
    let mut fails = Fails::new();
    for (check, outcome) in case.outcomes_of_shorts(shorts) {
        let failing =
            outcome.findings.into_iter().filter(|of| matches!(of.verdict, Verdict::Fails(_)));
        for finding in failing {
            let key = (check.slug, case.vehicle().place_name(finding.place));
            fails.entry(key).or_insert((finding.signal, check, finding));
        }
    }
    fails
}

fn wire_name(vehicle: &Vehicle, place: Place) -> Option<String> {
    match place {
        Place::Wire(id) => Some(vehicle.wires[id].name.clone()),
        _ => None,
    }
}

fn changes_what_flows(change: &Change) -> bool {
    change.path.first().is_some_and(|section| ["wires", "devices"].contains(&section.as_str()))
}
