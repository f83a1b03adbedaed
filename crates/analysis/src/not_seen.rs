//! What a plan or a map knows nothing of: what errors of the record keep out, and sources without a wire.
//! Told beside it, because a source that is left out feeds all the same.

use diag::{Diagnostic, Severity};
use model::Role;

use crate::case::Case;

/// Errors told word by word; of more, the count.
const MOST_TOLD: usize = 5;

impl Case {
    /// What is not seen here and may be live, in sentences; nothing where there is none.
    pub fn not_seen(&self) -> Vec<String> {
        self.left_out().into_iter().chain(self.unwired_sources()).collect()
    }

    /// Sources of which the record has no wire at all: they feed something.
    fn unwired_sources(&self) -> Option<String> {
        let vehicle = self.vehicle();
        let feeds = |role: Role| {
            role.is_dc_source()
                || matches!(
                    role,
                    Role::Inverter | Role::Generator | Role::ShoreInlet | Role::OutsideSource
                )
        };
        let is_unwired = |device: &&model::Device| {
            let mut terminals = device.terminals.iter();
            feeds(device.role)
                && !device.restraint_system
                && terminals.all(|terminal| vehicle.wires_at(*terminal).next().is_none())
        };
        let devices = vehicle.devices.iter().map(|(_, device)| device);
        let names: Vec<&str> =
            devices.filter(is_unwired).map(|device| device.label.as_str()).collect();
        (!names.is_empty()).then(|| {
            format!(
                "No wire is recorded on {}: where that feeds is not known. Follow its leads and write \
                 them down; until then treat as live what it may reach.",
                names.join(", ")
            )
        })
    }

    /// That the record has errors, where, and what follows for whoever works by it. None without errors.
    fn left_out(&self) -> Option<String> {
        let faults = &self.record.diagnostics;
        let errors: Vec<&Diagnostic> =
            faults.iter().filter(|fault| fault.severity == Severity::Error).collect();
        if errors.is_empty() {
            return None;
        }
        let told = errors.iter().take(MOST_TOLD).map(|fault| {
            let at = record::line_column(&self.text, fault.place().start);
            format!("line {}: {}", at.line, fault.message)
        });
        let more = errors.len().saturating_sub(MOST_TOLD);
        let more = if more == 0 { String::new() } else { format!("; and {more} more") };
        Some(format!(
            "The record has errors, and what they touch is left out here: a source among it feeds all the \
             same. Put the record right first, or treat all of it as live. {}{more}.",
            told.collect::<Vec<_>>().join("; ")
        ))
    }
}
