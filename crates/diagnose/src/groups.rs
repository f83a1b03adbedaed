//! Explanations that begin with the same repair, taken together: what has to be told apart is what to
//! repair next.

use model::Place;

use crate::bench::Sized;
use crate::rank::Ranking;
use crate::suspects::Suspect;

/// Variants of a group that are looked at.
const VARIANTS: usize = 6;

/// What cures: where, and what is done there.
pub type Cure = (Place, String);

/// Explanations with one cure.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// The cure to begin with.
    pub cures: Vec<Cure>,
    /// Minutes for it, opening apart.
    pub minutes: f64,
    /// Probability.
    pub weight: f64,
    /// The explanations, most likely first, by their place in the ranking.
    pub explanations: Vec<usize>,
    /// Suspects with sizes that stand for all that are likely, with shares that sum to one.
    pub variants: Vec<(Vec<Sized>, f64)>,
}

/// The most likely groups, and the probability that is left over.
pub(crate) fn groups(ranking: &Ranking, suspects: &[Suspect], most: usize) -> (Vec<Group>, f64) {
    let mut groups: Vec<Group> = Vec::new();
    for (at, explanation) in ranking.explanations.iter().enumerate() {
        // Of two faults the one that is likelier part of the cause is put right first; the other
        // stays in view, and the proof afterwards tells whether it is there.
        let likelier = |a: &&Sized, b: &&Sized| {
            ranking.part[a.0].total_cmp(&ranking.part[b.0]).then(b.0.cmp(&a.0))
        };
        let Some((first, _)) = explanation.faults.iter().max_by(likelier) else { continue };
        let cures: Vec<Cure> = vec![(suspects[*first].place, suspects[*first].remedy.clone())];
        let weight = explanation.weight;
        let variants = explanation.variants.iter().map(|(f, share)| (f.clone(), share * weight));
        if let Some(group) = groups.iter_mut().find(|group| group.cures == cures) {
            group.weight += weight;
            group.explanations.push(at);
            group.variants.extend(variants);
            continue;
        }
        let minutes = suspects[*first].minutes;
        let (explanations, variants) = (vec![at], variants.collect());
        groups.push(Group { cures, minutes, weight, explanations, variants });
    }
    groups.sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.cures.cmp(&b.cures)));
    groups.truncate(most);
    let rest = (1.0 - groups.iter().map(|group| group.weight).sum::<f64>()).max(0.0);
    for group in &mut groups {
        group.variants.sort_by(|a, b| b.1.total_cmp(&a.1));
        group.variants.truncate(VARIANTS);
        let total: f64 = group.variants.iter().map(|variant| variant.1).sum();
        group.variants.iter_mut().for_each(|variant| variant.1 /= total.max(f64::MIN_POSITIVE));
    }
    (groups, rest)
}
