//! Why a target cannot be reached, in terms of parts and setups.
//!
//! Deliberately does not know costs: a target out of reach is so whatever one is willing to pay.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::fmt;

use crate::problem::{PartIdx, Presence, SetupIdx, Standing, Target, TargetIdx};
use crate::scope::Scope;

/// Reasons of up to this many members are cut down until none can be left out of them.
const SHRINK_LIMIT: usize = 200;

/// A target that cannot be reached, and what keeps it so.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("`{target_name}` cannot be reached: {reason}")]
pub struct Unreachable {
    /// Which target.
    pub target: TargetIdx,
    /// Its name.
    pub target_name: String,
    /// Why.
    pub reason: Reason,
}

/// A part that can never come out, and why.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("`{name}` can never come out: {reason}")]
pub struct NeverOut {
    /// Which part.
    pub part: PartIdx,
    /// Its name.
    pub name: String,
    /// Why. The part itself is the first of the blocked.
    pub reason: Reason,
}

/// Parts and setups that together keep something shut. Together they are the whole reason, and (up
/// to 200 of them) none can be left out of it; another reason may be shorter still.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Reason {
    /// Parts that cannot come out, nearest first.
    pub blocked: Vec<Blocked>,
    /// Setups that cannot be had.
    pub missing: Vec<MissingSetup>,
    /// Parts that wait for each other in a circle, each for the next and the last for the first;
    /// empty when the reason is not a circle.
    pub circle: Vec<PartIdx>,
}

/// One part of a reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Blocked {
    /// The part.
    pub part: PartIdx,
    /// Its name.
    pub name: String,
    /// Why it cannot come out.
    pub blocker: Blocker,
}

/// A setup that cannot be had.
#[derive(Clone, Debug, PartialEq)]
pub struct MissingSetup {
    /// The setup.
    pub setup: SetupIdx,
    /// Its name.
    pub name: String,
}

/// Why a part cannot come out.
#[derive(Clone, Debug, PartialEq)]
pub enum Blocker {
    /// No removal is known for it: find out how it comes out.
    NoRemoval,
    /// Removals are known, but each has a fault, named elsewhere.
    OnlyFaulty,
    /// It comes out only by destroying it, which was not permitted.
    OnlyByDestroying,
    /// Every removal needs one of these first, and none of them can be had.
    Waits {
        /// Parts in front that cannot come out either.
        parts: Vec<PartIdx>,
        /// Setups that are missing.
        setups: Vec<SetupIdx>,
    },
}

/// All targets with ways that cannot be reached; empty when all can.
pub(crate) fn unreachable(scope: &Scope, targets: &[Target]) -> Vec<Unreachable> {
    let view = View::new(scope);
    let stated = targets.iter().enumerate().filter(|(_, target)| !target.ways.is_empty());
    let stuck = stated.filter_map(|(index, target)| {
        let reason = view.explain(&target.ways)?;
        let target_name = target.name.clone();
        Some(Unreachable { target: TargetIdx(index), target_name, reason })
    });
    stuck.collect()
}

/// All parts that can never come out.
pub(crate) fn never_out(scope: &Scope) -> Vec<NeverOut> {
    let view = View::new(scope);
    let parts = scope.problem.parts.iter().enumerate();
    let stuck = parts.filter_map(|(index, part)| {
        let reason = view.explain(&[vec![PartIdx(index)]])?;
        Some(NeverOut { part: PartIdx(index), name: part.name.clone(), reason })
    });
    stuck.collect()
}

/// The problem as nodes: parts first, then setups. A node needs other nodes.
struct View<'p> {
    scope: &'p Scope<'p>,
    /// By node: the needs of its usable removals.
    removals: Vec<Vec<Vec<usize>>>,
    /// By node: how many steps of reason it takes to show that it is stuck; `None` if it can be
    /// had, `Some(usize::MAX)` if only a circle shows it.
    stuck: Vec<Option<usize>>,
}

impl<'p> View<'p> {
    fn new(scope: &'p Scope<'p>) -> Self {
        let problem = scope.problem;
        let first_setup = problem.parts.len();
        let mut removals = vec![Vec::new(); first_setup + problem.setups.len()];
        for (removal, _) in problem.removals.iter().zip(&scope.usable).filter(|(_, u)| **u) {
            let parts = removal.needs.iter().map(|part| part.0);
            let setups = removal.setups.iter().map(|setup| first_setup + setup.0);
            removals[removal.part.0].push(parts.chain(setups).collect());
        }
        let parts = problem.parts.iter().map(|part| part.presence == Presence::Out);
        let setups = scope.standing.iter().map(|standing| *standing != Standing::Missing);
        let had = all_had(&removals, parts.chain(setups).collect());
        let stuck = depth_of_reason(&removals, &had);
        Self { scope, removals, stuck }
    }

    /// The stuck node of a set with the shortest reason.
    fn first_stuck(&self, set: &[usize]) -> Option<usize> {
        let stuck = set.iter().filter(|node| self.stuck[**node].is_some());
        stuck.min_by_key(|node| (self.stuck[**node], **node)).copied()
    }

    /// Why none of the ways can be opened; `None` if one can.
    fn explain(&self, ways: &[Vec<PartIdx>]) -> Option<Reason> {
        let ways: Vec<Vec<usize>> =
            ways.iter().map(|way| way.iter().map(|part| part.0).collect()).collect();
        if ways.iter().any(|way| self.first_stuck(way).is_none()) {
            return None;
        }
        let mut reason = self.gather(&ways);
        if reason.len() <= SHRINK_LIMIT {
            reason = self.shrink(reason, &ways);
        }
        let set: BTreeSet<usize> = reason.iter().copied().collect();
        let (parts, setups): (Vec<usize>, Vec<usize>) =
            reason.iter().partition(|node| **node < self.first_setup());
        let blocked: Vec<Blocked> = parts.iter().map(|part| self.blocked(*part, &set)).collect();
        let missing = setups.iter().map(|node| {
            let setup = SetupIdx(node - self.first_setup());
            MissingSetup { setup, name: self.scope.problem.setups[setup.0].name.clone() }
        });
        Some(Reason { circle: circle_in(&blocked), missing: missing.collect(), blocked })
    }

    fn first_setup(&self) -> usize {
        self.scope.problem.parts.len()
    }

    /// A reason, nearest first: for each way, and each removal in turn, one node that is stuck.
    fn gather(&self, ways: &[Vec<usize>]) -> Vec<usize> {
        let mut reason: Vec<usize> = Vec::new();
        let mut seen = BTreeSet::new();
        self.add_blockers(ways, &mut seen, &mut reason);
        let mut next = 0;
        while let Some(&node) = reason.get(next) {
            next += 1;
            self.add_blockers(&self.removals[node], &mut seen, &mut reason);
        }
        reason
    }

    fn add_blockers(
        &self,
        sets: &[Vec<usize>],
        seen: &mut BTreeSet<usize>,
        reason: &mut Vec<usize>,
    ) {
        for set in sets {
            if set.iter().any(|node| seen.contains(node)) {
                continue;
            }
            if let Some(node) = self.first_stuck(set) {
                seen.insert(node);
                reason.push(node);
            }
        }
    }

    /// Leaves out members one by one as long as the rest is still a reason.
    fn shrink(&self, mut reason: Vec<usize>, ways: &[Vec<usize>]) -> Vec<usize> {
        for node in reason.clone() {
            let mut rest: BTreeSet<usize> = reason.iter().copied().collect();
            if rest.remove(&node) {
                self.drop_unsupported(&mut rest);
                if ways.iter().all(|way| meets(way, &rest)) {
                    reason.retain(|node| rest.contains(node));
                }
            }
        }
        reason
    }

    /// Takes out nodes that could be had if only the given ones were stuck.
    fn drop_unsupported(&self, stuck: &mut BTreeSet<usize>) {
        loop {
            let freed = stuck
                .iter()
                .copied()
                .find(|node| self.removals[*node].iter().any(|needs| !meets(needs, stuck)));
            match freed {
                Some(node) => stuck.remove(&node),
                None => return,
            };
        }
    }

    fn blocked(&self, part: usize, reason: &BTreeSet<usize>) -> Blocked {
        let problem = self.scope.problem;
        let numbered = problem.removals.iter().enumerate();
        let own: Vec<usize> =
            numbered.filter(|(_, r)| r.part.0 == part).map(|(index, _)| index).collect();
        let blocker = if own.is_empty() {
            Blocker::NoRemoval
        } else if !own.iter().any(|removal| self.scope.sound[*removal]) {
            Blocker::OnlyFaulty
        } else if self.removals[part].is_empty() {
            Blocker::OnlyByDestroying
        } else {
            let needs = self.removals[part].iter().flatten();
            let stuck: BTreeSet<usize> =
                needs.filter(|need| reason.contains(need)).copied().collect();
            let first_setup = self.first_setup();
            let (parts, setups): (Vec<usize>, Vec<usize>) =
                stuck.into_iter().partition(|node| *node < first_setup);
            Blocker::Waits {
                parts: parts.into_iter().map(PartIdx).collect(),
                setups: setups.into_iter().map(|node| SetupIdx(node - first_setup)).collect(),
            }
        };
        Blocked { part: PartIdx(part), name: problem.parts[part].name.clone(), blocker }
    }
}

/// By node: whether it can be had, given those that are had from the start.
fn all_had(removals: &[Vec<Vec<usize>>], mut had: Vec<bool>) -> Vec<bool> {
    let users = users(removals);
    let mut open: Vec<Vec<usize>> =
        removals.iter().map(|sets| sets.iter().map(Vec::len).collect()).collect();
    let mut queue: Vec<usize> = (0..had.len()).filter(|node| had[*node]).collect();
    for (node, sets) in removals.iter().enumerate() {
        if !had[node] && sets.iter().any(Vec::is_empty) {
            had[node] = true;
            queue.push(node);
        }
    }
    while let Some(done) = queue.pop() {
        for &(node, method) in &users[done] {
            open[node][method] -= 1;
            if open[node][method] == 0 && !had[node] {
                had[node] = true;
                queue.push(node);
            }
        }
    }
    had
}

fn meets(set: &[usize], other: &BTreeSet<usize>) -> bool {
    set.iter().any(|node| other.contains(node))
}

/// By node: `None` if it can be had, else the length of the shortest reason why not.
fn depth_of_reason(removals: &[Vec<Vec<usize>>], had: &[bool]) -> Vec<Option<usize>> {
    let mut depth: Vec<Option<usize>> =
        had.iter().map(|had| (!had).then_some(usize::MAX)).collect();
    let users = users(removals);
    let mut shut: Vec<Vec<bool>> = removals.iter().map(|sets| vec![false; sets.len()]).collect();
    let ends = |node: &usize| depth[*node].is_some() && removals[*node].is_empty();
    let mut queue: VecDeque<usize> = (0..had.len()).filter(ends).collect();
    for &end in &queue {
        depth[end] = Some(0);
    }
    while let Some(shown) = queue.pop_front() {
        for &(node, method) in &users[shown] {
            shut[node][method] = true;
            if depth[node] == Some(usize::MAX) && shut[node].iter().all(|shut| *shut) {
                depth[node] = depth[shown].map(|depth| depth + 1);
                queue.push_back(node);
            }
        }
    }
    depth
}

/// By node: the removals that need it, as (node, method).
fn users(removals: &[Vec<Vec<usize>>]) -> Vec<Vec<(usize, usize)>> {
    let mut users = vec![Vec::new(); removals.len()];
    for (node, sets) in removals.iter().enumerate() {
        for (method, set) in sets.iter().enumerate() {
            for need in set {
                users[*need].push((node, method));
            }
        }
    }
    users
}

/// A circle of parts, each behind the next, if there is one among the blocked.
fn circle_in(blocked: &[Blocked]) -> Vec<PartIdx> {
    let mut behind: BTreeMap<PartIdx, &[PartIdx]> = BTreeMap::new();
    for entry in blocked {
        if let Blocker::Waits { parts, .. } = &entry.blocker {
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

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut clauses: Vec<String> =
            self.blocked.iter().map(|entry| self.clause(entry)).collect();
        clauses.extend(self.missing.iter().map(|setup| format!("`{}` is missing", setup.name)));
        if !self.circle.is_empty() {
            let parts: Vec<String> = self.circle.iter().map(|part| self.part_name(*part)).collect();
            clauses.push(format!("{} wait for each other in a circle", parts.join(", ")));
        }
        f.write_str(&clauses.join("; "))
    }
}

impl Reason {
    fn clause(&self, entry: &Blocked) -> String {
        let name = &entry.name;
        match &entry.blocker {
            Blocker::NoRemoval => {
                format!("no removal is known for `{name}` (find out how it comes out)")
            }
            Blocker::OnlyFaulty => {
                format!("every removal of `{name}` is faulty (mend it first)")
            }
            Blocker::OnlyByDestroying => {
                format!("`{name}` comes out only by destroying it, which is not permitted")
            }
            Blocker::Waits { parts, setups } => {
                let parts: Vec<String> = parts.iter().map(|part| self.part_name(*part)).collect();
                let setups: Vec<String> =
                    setups.iter().map(|setup| self.setup_name(*setup)).collect();
                match (parts.as_slice(), setups.as_slice()) {
                    ([], setups) => format!("`{name}` needs {}", setups.join(" or ")),
                    (parts, []) => format!("`{name}` is behind {}", parts.join(" and ")),
                    (parts, setups) => format!(
                        "`{name}` is behind {} or needs {}",
                        parts.join(" and "),
                        setups.join(" or ")
                    ),
                }
            }
        }
    }

    fn part_name(&self, part: PartIdx) -> String {
        let entry = self.blocked.iter().find(|entry| entry.part == part);
        entry.map_or_else(|| format!("part number {}", part.0), |b| format!("`{}`", b.name))
    }

    fn setup_name(&self, setup: SetupIdx) -> String {
        let entry = self.missing.iter().find(|entry| entry.setup == setup);
        entry.map_or_else(|| format!("setup number {}", setup.0), |m| format!("`{}`", m.name))
    }
}
