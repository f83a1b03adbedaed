//! Sets of things that cannot all be good, and the smallest sets that explain all of them.

/// The minimal sets that share at least one member with every conflict, in order of size and then
/// of their members. Reiter, "A theory of diagnosis from first principles", Artificial Intelligence
/// 32 (1987): minimal diagnoses are the minimal hitting sets of the conflicts. Built conflict by
/// conflict: a set that misses the new conflict is widened by each of its members, supersets are
/// dropped (the incremental rule of de Kleer and Williams, same volume).
///
/// Sets larger than `most` are not followed. An empty conflict cannot be hit: no set is returned.
pub fn minimal_hitting_sets(conflicts: &[Vec<usize>], most: usize) -> Vec<Vec<usize>> {
    let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
    for conflict in conflicts {
        let (hit, missed): (Vec<_>, Vec<_>) =
            sets.into_iter().partition(|set| set.iter().any(|member| conflict.contains(member)));
        sets = hit;
        let mut wider: Vec<Vec<usize>> = Vec::new();
        for set in missed.iter().filter(|set| set.len() < most) {
            for member in conflict {
                let mut set = set.clone();
                set.push(*member);
                set.sort_unstable();
                wider.push(set);
            }
        }
        wider.sort_by(|a, b| a.len().cmp(&b.len()).then(a.cmp(b)));
        wider.dedup();
        for set in wider {
            if !sets.iter().any(|smaller| smaller.iter().all(|member| set.contains(member))) {
                sets.push(set);
            }
        }
    }
    sets.sort_by(|a, b| a.len().cmp(&b.len()).then(a.cmp(b)));
    sets
}
