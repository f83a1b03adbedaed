//! Why a target cannot be reached, in terms of parts.
//!
//! Deliberately does not know costs: a target out of reach is so whatever one is willing to pay.

use std::collections::{BTreeMap, BTreeSet};

use crate::problem::{Part, PartIdx, Permitted, Presence, Problem, Target, TargetIdx};
use crate::task::{Task, is_usable};

/// Reasons of up to this many parts are cut down until no part can be left out of them.
const SHRINK_LIMIT: usize = 200;

/// A target that cannot be reached, and the parts that keep it so.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("`{target_name}` cannot be reached: {}", sentence(.blocked, .circle))]
pub struct Unreachable {
    /// Which target.
    pub target: TargetIdx,
    /// Its name.
    pub target_name: String,
    /// The parts in the way, nearest the target first. Together they are the whole reason, and
    /// (up to 200 parts) none of them can be left out of it.
    pub blocked: Vec<Blocked>,
    /// Parts that wait for each other in a circle, each for the next and the last for the first;
    /// empty when the reason is not a circle.
    pub circle: Vec<PartIdx>,
}

/// One part of the reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Blocked {
    /// The part.
    pub part: PartIdx,
    /// Its name.
    pub name: String,
    /// Why it cannot come out.
    pub blocker: Blocker,
}

/// Why a part cannot come out.
#[derive(Clone, Debug, PartialEq)]
pub enum Blocker {
    /// No removal is known for it: find out how it comes out.
    NoRemoval,
    /// It comes out only by destroying it, which was not permitted.
    OnlyByDestroying,
    /// Every removal needs one of these first, and they cannot come out either.
    Behind(Vec<PartIdx>),
}

/// All targets that cannot be reached; empty when all can. The problem must be free of faults.
pub(crate) fn unreachable(
    problem: &Problem,
    targets: &[Target],
    allow: Permitted,
    task: &Task,
) -> Vec<Unreachable> {
    let view = View::new(problem, allow, task);
    let shut = |target: &Target| target.ways.iter().all(|way| view.first_stuck(way).is_some());
    let stuck = targets.iter().enumerate().filter(|(_, target)| shut(target));
    stuck.map(|(index, target)| view.explain(TargetIdx(index), target)).collect()
}

struct View<'p> {
    problem: &'p Problem,
    /// By part: the needs of its usable removals.
    removals: Vec<Vec<&'p [PartIdx]>>,
    /// By part: how many steps of reason it takes to show that it is stuck; `None` if it can come
    /// out, `Some(usize::MAX)` if only a circle shows it.
    stuck: Vec<Option<usize>>,
}

impl<'p> View<'p> {
    fn new(problem: &'p Problem, allow: Permitted, task: &Task) -> Self {
        let mut removals = vec![Vec::new(); problem.parts.len()];
        for removal in problem.removals.iter().filter(|r| is_usable(problem, r, allow)) {
            removals[removal.part.0].push(removal.needs.as_slice());
        }
        let reached = task.reached(|_| true);
        let out = |(part, reached): (&Part, &bool)| *reached || part.presence == Presence::Out;
        let out: Vec<bool> = problem.parts.iter().zip(&reached).map(out).collect();
        let stuck = depth_of_reason(&removals, &out);
        Self { problem, removals, stuck }
    }

    fn is_stuck(&self, part: PartIdx) -> bool {
        self.stuck[part.0].is_some()
    }

    /// The stuck part of a set with the shortest reason.
    fn first_stuck(&self, set: &[PartIdx]) -> Option<PartIdx> {
        let stuck = set.iter().filter(|part| self.is_stuck(**part));
        stuck.min_by_key(|part| (self.stuck[part.0], **part)).copied()
    }

    fn explain(&self, index: TargetIdx, target: &Target) -> Unreachable {
        let mut reason = self.gather(target);
        if reason.len() <= SHRINK_LIMIT {
            reason = self.shrink(reason, target);
        }
        let set: BTreeSet<PartIdx> = reason.iter().copied().collect();
        let blocked: Vec<Blocked> = reason.iter().map(|part| self.blocked(*part, &set)).collect();
        let circle = circle_in(&blocked);
        Unreachable { target: index, target_name: target.name.clone(), blocked, circle }
    }

    /// A reason, nearest first: for each way, and each removal in turn, one part that is stuck.
    fn gather(&self, target: &Target) -> Vec<PartIdx> {
        let mut reason: Vec<PartIdx> = Vec::new();
        let mut seen = BTreeSet::new();
        self.add_blockers(target.ways.iter().map(Vec::as_slice), &mut seen, &mut reason);
        let mut next = 0;
        while let Some(&part) = reason.get(next) {
            next += 1;
            self.add_blockers(self.removals[part.0].iter().copied(), &mut seen, &mut reason);
        }
        reason
    }

    fn add_blockers<'s>(
        &self,
        sets: impl Iterator<Item = &'s [PartIdx]>,
        seen: &mut BTreeSet<PartIdx>,
        reason: &mut Vec<PartIdx>,
    ) {
        for set in sets {
            if set.iter().any(|part| seen.contains(part)) {
                continue;
            }
            if let Some(part) = self.first_stuck(set) {
                seen.insert(part);
                reason.push(part);
            }
        }
    }

    /// Leaves out parts one by one as long as the rest is still a reason.
    fn shrink(&self, mut reason: Vec<PartIdx>, target: &Target) -> Vec<PartIdx> {
        for part in reason.clone() {
            let mut rest: BTreeSet<PartIdx> = reason.iter().copied().collect();
            if rest.remove(&part) {
                self.drop_unsupported(&mut rest);
                if target.ways.iter().all(|way| meets(way, &rest)) {
                    reason.retain(|part| rest.contains(part));
                }
            }
        }
        reason
    }

    /// Takes out parts that would come out if only the given parts were stuck.
    fn drop_unsupported(&self, stuck: &mut BTreeSet<PartIdx>) {
        loop {
            let freed = stuck
                .iter()
                .copied()
                .find(|part| self.removals[part.0].iter().any(|needs| !meets(needs, stuck)));
            match freed {
                Some(part) => stuck.remove(&part),
                None => return,
            };
        }
    }

    fn blocked(&self, part: PartIdx, reason: &BTreeSet<PartIdx>) -> Blocked {
        let all = self.problem.removals.iter().filter(|removal| removal.part == part).count();
        let usable = &self.removals[part.0];
        let blocker = match (all, usable.len()) {
            (0, _) => Blocker::NoRemoval,
            (_, 0) => Blocker::OnlyByDestroying,
            _ => {
                let needs = usable.iter().flat_map(|needs| needs.iter());
                let stuck: BTreeSet<PartIdx> =
                    needs.filter(|need| reason.contains(need)).copied().collect();
                Blocker::Behind(stuck.into_iter().collect())
            }
        };
        Blocked { part, name: self.problem.parts[part.0].name.clone(), blocker }
    }
}

fn meets(set: &[PartIdx], other: &BTreeSet<PartIdx>) -> bool {
    set.iter().any(|part| other.contains(part))
}

/// By part: `None` if it comes out, else the length of the shortest reason why not.
fn depth_of_reason(removals: &[Vec<&[PartIdx]>], out: &[bool]) -> Vec<Option<usize>> {
    let mut depth: Vec<Option<usize>> =
        out.iter().map(|out| (!out).then_some(usize::MAX)).collect();
    for level in 0..removals.len() {
        let mut found = Vec::new();
        for (part, sets) in removals.iter().enumerate() {
            let shown = |need: &PartIdx| depth[need.0].is_some_and(|depth| depth < level);
            if depth[part] == Some(usize::MAX) && sets.iter().all(|needs| needs.iter().any(shown)) {
                found.push(part);
            }
        }
        if found.is_empty() {
            break;
        }
        for part in found {
            depth[part] = Some(level);
        }
    }
    depth
}

/// A circle of parts, each behind the next, if there is one among the blocked.
fn circle_in(blocked: &[Blocked]) -> Vec<PartIdx> {
    let mut behind: BTreeMap<PartIdx, &[PartIdx]> = BTreeMap::new();
    for entry in blocked {
        if let Blocker::Behind(parts) = &entry.blocker {
            behind.insert(entry.part, parts);
        }
    }
    // What waits only for parts outside the map is not in a circle.
    while let Some(end) = behind
        .iter()
        .find(|(_, parts)| !parts.iter().any(|part| behind.contains_key(part)))
        .map(|(part, _)| *part)
    {
        behind.remove(&end);
    }
    let Some(first) = blocked.iter().map(|b| b.part).find(|part| behind.contains_key(part)) else {
        return Vec::new();
    };
    let mut path = vec![first];
    while let Some(next) = path
        .last()
        .and_then(|last| behind.get(last))
        .and_then(|parts| parts.iter().find(|part| behind.contains_key(part)))
    {
        if let Some(start) = path.iter().position(|part| part == next) {
            return path.split_off(start);
        }
        path.push(*next);
    }
    Vec::new()
}

/// The reason in words, for the error message.
fn sentence(blocked: &[Blocked], circle: &[PartIdx]) -> String {
    let name = |part: &PartIdx| {
        let entry = blocked.iter().find(|entry| entry.part == *part);
        entry.map_or_else(|| format!("part number {}", part.0), |b| format!("`{}`", b.name))
    };
    let mut clauses: Vec<String> = blocked
        .iter()
        .map(|entry| match &entry.blocker {
            Blocker::NoRemoval => {
                format!("no removal is known for `{}` (find out how it comes out)", entry.name)
            }
            Blocker::OnlyByDestroying => {
                format!("`{}` comes out only by destroying it, which is not permitted", entry.name)
            }
            Blocker::Behind(parts) => {
                let parts: Vec<String> = parts.iter().map(name).collect();
                format!("`{}` is behind {}", entry.name, parts.join(" and "))
            }
        })
        .collect();
    if !circle.is_empty() {
        let parts: Vec<String> = circle.iter().map(name).collect();
        clauses.push(format!("{} wait for each other in a circle", parts.join(", ")));
    }
    clauses.join("; ")
}
