//! Variants that had to be solved in full, remembered by what equipment sees of them: a poor contact
//! anywhere in one line is the same to all of it, and need not be solved in full again.

use std::sync::{Mutex, PoisonError};

use circuit::{BranchId, Circuit};

use super::base::Base;
use super::plan::Plan;
use super::reduced::{Found, Reduced};
use crate::OperatingPoint;

/// So many are remembered, the latest.
const KEPT: usize = 256;
/// Voltages this close, as a part (at least 1 V), are the same.
const SAME_PART: f64 = 1e-9;
/// Iterations from what is remembered: its digits are those of a full solve.
const ITERATIONS: u32 = 3;

/// What is remembered of a variant.
struct Variant {
    /// Voltages of the ports with all of them on their lines in the base.
    start_v: Vec<f64>,
    /// And as the full solve found them.
    volts: Vec<f64>,
    /// Converters that have lost their feed.
    collapsed: Vec<BranchId>,
}

/// The variants of a base that are remembered.
#[derive(Default)]
pub(super) struct Known {
    variants: Mutex<Vec<Variant>>,
}

impl Known {
    /// Keeps a variant that was solved in full.
    pub(super) fn keep(&self, circuit: &Circuit, base: &Base, plan: &Plan, point: &OperatingPoint) {
        let volts = base.port_nodes(circuit).into_iter().map(|(a, b)| point.between(a, b));
        let (Some(volts), Some(start_v)) = (volts.collect(), start(base, plan)) else { return };
        let mut variants = self.variants.lock().unwrap_or_else(PoisonError::into_inner);
        if variants.len() >= KEPT {
            variants.remove(0);
        }
        variants.push(Variant { start_v, volts, collapsed: point.collapsed.clone() });
    }

    /// The answer, if a variant that is remembered is the same to every port; with the plan it is the
    /// answer of, in which converters without feed are the resistors they are to it.
    pub(super) fn answer(
        &self,
        circuit: &Circuit,
        base: &Base,
        mut plan: Plan,
    ) -> Option<(Plan, Found)> {
        let start_v = start(base, &plan)?;
        let variants = self.variants.lock().unwrap_or_else(PoisonError::into_inner);
        let variant = variants.iter().rev().find(|known| are_same(&known.start_v, &start_v))?;
        plan.collapse(circuit, base, &variant.collapsed)?;
        let found = Reduced::new(base, &plan).ok()?.come_to_rest(&variant.volts, ITERATIONS)?;
        are_same(&found.volts, &variant.volts).then_some((plan, found))
    }
}

/// Voltages of the ports with all of them on their lines in the base; `None` if the change moves laws
/// or islands, as which variants are the same is then not told by these.
fn start(base: &Base, plan: &Plan) -> Option<Vec<f64>> {
    if !plan.changes_no_law() || plan.joins_islands(base) {
        return None;
    }
    Reduced::new(base, plan).ok().map(Reduced::into_start_v)
}

fn are_same(a: &[f64], b: &[f64]) -> bool {
    let mut pairs = a.iter().zip(b);
    a.len() == b.len() && pairs.all(|(a, b)| (a - b).abs() <= SAME_PART * b.abs().max(1.0))
}
