//! The sources that drawings and charts name beyond those of the findings.

use std::collections::BTreeSet;

use protect::Word;

use crate::case::Case;
use crate::view::{Review, SourceView};

/// What opening times of fuses are held against: how warm a wire may get in a short circuit.
const WITHSTAND: &str = "iec-60364-4-43-k";

/// How big an opening has to be.
const OPENINGS: &str = "mil-std-1472-openings";

/// Checks that raise a chart of the warmth along a wire, and the limit drawn in it.
const WARM: [&str; 2] = ["joint-too-hot", "conductor-overloaded"];
const WARM_LIMIT: &str = "joint-rise";

impl Case {
    /// What drawings and charts quote, without what the review lists already.
    pub fn chart_sources(&self, review: &Review) -> Vec<SourceView> {
        let mut keys: BTreeSet<&str> = BTreeSet::new();
        let due =
            self.short_circuits().rows.iter().filter(|row| row.verdict.word != Word::Protected);
        for device in due.filter_map(|row| row.device.as_ref()) {
            let gates = self.band(device.device).map(|band| band.gates()).unwrap_or_default();
            keys.extend(gates.iter().map(|gate| gate.source.as_str()));
            keys.insert(WITHSTAND);
        }
        if review.findings.iter().any(|finding| WARM.contains(&finding.check.as_str())) {
            keys.insert(&self.catalog.limits.get(WARM_LIMIT, self.vehicle().region).source);
        }
        if !self.heavy_things().is_empty() {
            let usual = restraint::USUAL.iter();
            let rows = usual.filter_map(|id| self.catalog.restraint.criterion(id));
            keys.extend(rows.map(|row| row.source.as_str()));
        }
        if !review.service_access.is_empty() {
            keys.insert(OPENINGS);
        }
        keys.retain(|key| review.sources.iter().all(|known| known.key != **key));
        keys.into_iter().filter_map(|key| self.source_view(key)).collect()
    }
}
