//! Parts that can never come out: they wait for each other, no tool gets there, or what they are
//! screwed into is gone.

use diag::Diagnostic;
use model::{Id, Part, PartId, Place};

use crate::reader::Reader;

/// Most parts of a circle named in a message.
const MAX_NAMED: usize = 6;

impl Reader<'_> {
    /// Parts of which each wants the other out first can never come out.
    pub(crate) fn circles(&mut self) {
        let parts = &self.vehicle.parts;
        // A part without a recorded way may come out somehow; that is not known, but no circle.
        let mut free: Vec<bool> =
            parts.iter().map(|(_, part)| part.is_out || part.removals.is_empty()).collect();
        let comes_out = |part: &Part, free: &[bool]| {
            part.moved.is_some_and(|whole| free[whole.index()])
                || part.removals.iter().any(|way| {
                    self.vehicle.removals[*way].needs.iter().all(|need| free[need.index()])
                })
        };
        let mut changed = true;
        while changed {
            changed = false;
            for (id, part) in parts.iter() {
                if !free[id.index()] && comes_out(part, &free) {
                    (free[id.index()], changed) = (true, true);
                }
            }
        }
        let stuck = |id: &PartId| !free[id.index()];
        let needs = |id: PartId| {
            let ways = &self.vehicle.parts[id].removals;
            ways.iter().flat_map(|way| &self.vehicle.removals[*way].needs).copied().find(stuck)
        };
        let faults: Vec<Diagnostic> = circles(parts.ids().filter(stuck), needs, parts.len())
            .into_iter()
            .map(|circle| self.circle_fault(&circle))
            .collect();
        for fault in faults {
            self.report(fault);
        }
    }

    /// Parts of which every way is shut by itself: heads out of reach, or a tool the workshop lacks.
    pub(crate) fn never_out(&mut self) {
        let shut: Vec<Diagnostic> = self
            .vehicle
            .parts
            .iter()
            .filter(|(_, part)| !part.removals.is_empty() && !part.is_out)
            .filter_map(|(id, part)| {
                let ways = part.removals.iter().map(|way| {
                    self.catalog
                        .hindrances(&self.vehicle.removals[*way], self.vehicle.tools.as_deref())
                });
                let mut hindrances: Vec<String> = Vec::new();
                for way in ways {
                    hindrances.push(way.into_iter().next()?);
                }
                hindrances.dedup();
                let message =
                    format!("`{}` can never come out: {}", part.name, hindrances.join("; "));
                Some(
                    Diagnostic::warning("never-out", message, self.sources.span(Place::Part(id)))
                        .help(
                            "write another way with `or`, a destructive one if there is no other",
                        ),
                )
            })
            .collect();
        for fault in shut {
            self.report(fault);
        }
    }

    /// A fixing that bites into a part which is out, of a part that is not, holds nothing.
    pub(crate) fn fixings_on_nothing(&mut self) {
        let mut faults = Vec::new();
        for (id, part) in self.vehicle.parts.iter().filter(|(_, part)| !part.is_out) {
            let into = part.fixings.iter().filter_map(|fixing| Some((fixing, fixing.into?)));
            for (fixing, into) in into {
                let other = &self.vehicle.parts[into];
                let span = self.sources.field(Place::Part(id), "fixings").unwrap_or_default();
                let what = if into == id {
                    "itself".to_owned()
                } else if other.is_out {
                    format!("`{}`, which is out", other.name)
                } else {
                    continue;
                };
                let message = format!("{} of `{}` bites into {what}", fixing.words(), part.name);
                faults.push(
                    Diagnostic::warning("fixing-on-nothing", message, span)
                        .and_at(self.sources.span(Place::Part(into)), "")
                        .help("mend `into`, or say `taken_out` of the part too"),
                );
            }
        }
        for fault in faults {
            self.report(fault);
        }
    }

    fn circle_fault(&self, circle: &[PartId]) -> Diagnostic {
        let name = |id: &PartId| format!("`{}`", self.vehicle.parts[*id].name);
        let mut way: Vec<String> = circle.iter().take(MAX_NAMED).map(name).collect();
        if circle.len() > MAX_NAMED {
            way.push("...".to_owned());
        }
        way.extend(circle.first().map(name));
        let spans: Vec<_> = circle.iter().map(|id| self.sources.span(Place::Part(*id))).collect();
        let first = spans.first().copied().unwrap_or_default();
        let message = format!("these parts wait for each other: {}", way.join(" after "));
        let fault = Diagnostic::warning("part-circle", message, first)
            .help("one of them comes out some other way; write it with `or`, or mend `after`");
        spans.iter().skip(1).take(MAX_NAMED).fold(fault, |fault, span| fault.and_at(*span, ""))
    }
}

/// The circles among the stuck parts: from each, `next` names another it waits for.
fn circles(
    stuck: impl Iterator<Item = PartId>,
    next: impl Fn(PartId) -> Option<PartId>,
    count: usize,
) -> Vec<Vec<PartId>> {
    let mut visit: Vec<Option<PartId>> = vec![None; count];
    let mut circles = Vec::new();
    for start in stuck {
        let (mut at, mut path) = (start, Vec::new());
        loop {
            match visit[at.index()] {
                None => {
                    visit[at.index()] = Some(start);
                    path.push(at);
                }
                Some(visitor) if visitor == start => {
                    let from = path.iter().position(|part| *part == at).unwrap_or(0);
                    circles.push(path.split_off(from));
                    break;
                }
                Some(_) => break,
            }
            let Some(then) = next(at) else { break };
            at = then;
        }
    }
    circles
}
