//! In which order the parts of the vehicle can come out at all: how many have to be out before each.

use model::{PartId, RemovalId};

use crate::case::Case;

/// Every part with its place in the order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RemovalOrder {
    /// The parts, those that come out first first.
    pub parts: Vec<OrderedPart>,
    /// Parts of which no way out is recorded, or whose ways ask for each other in a ring.
    pub no_way: Vec<String>,
}

/// A part in the order.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderedPart {
    /// Its name in the record.
    pub part: String,
    /// What people call it.
    pub label: String,
    /// 1: nothing has to be out before it; 2: something of rank 1; and so on. Of several ways out the
    /// one that asks for least.
    pub rank: usize,
    /// Names of the parts that this way asks to be out first.
    pub after: Vec<String>,
}

impl Case {
    /// The order of all parts; positions that a part can be moved to count as the part.
    pub fn removal_order(&self) -> RemovalOrder {
        let ranks = self.removal_ranks();
        let parts = &self.vehicle().parts;
        let mut order = RemovalOrder::default();
        for (id, part) in parts.iter().filter(|(_, part)| part.moved.is_none()) {
            match ranks[index(id)] {
                Some((rank, removal)) => order.parts.push(OrderedPart {
                    part: part.name.clone(),
                    label: part.label.clone(),
                    rank,
                    after: self.asked_for_by(id, removal),
                }),
                None => order.no_way.push(part.name.clone()),
            }
        }
        order.parts.sort_by_key(|part| part.rank);
        order
    }

    /// Of each part the rank of its easiest way and that way. As many rounds as there are parts settle
    /// every order; a ring never settles and stays without.
    fn removal_ranks(&self) -> Vec<Option<(usize, RemovalId)>> {
        let vehicle = self.vehicle();
        let mut ranks: Vec<Option<(usize, RemovalId)>> =
            vehicle.parts.iter().map(|_| None).collect();
        for _ in 0..=vehicle.parts.iter().count() {
            let mut settled = true;
            for (id, part) in vehicle.parts.iter() {
                let rank_of = |removal: &RemovalId| {
                    let needs = vehicle.removals[*removal].needs.iter();
                    let mut deepest = needs.map(|need| ranks[index(*need)].map(|(rank, _)| rank));
                    let deepest = deepest.try_fold(0, |most, rank| Some(rank?.max(most)))?;
                    // Moving a part is one step of taking it out, not a layer of its own.
                    let step = usize::from(part.moved.is_none());
                    Some((deepest + step, *removal))
                };
                let best = part.removals.iter().filter_map(rank_of).min_by_key(|(rank, _)| *rank);
                if best != ranks[index(id)] {
                    ranks[index(id)] = best;
                    settled = false;
                }
            }
            if settled {
                break;
            }
        }
        ranks
    }

    /// What a way asks for, positions as their parts; what is asked of the part's own position counts.
    fn asked_for_by(&self, part: PartId, removal: RemovalId) -> Vec<String> {
        let vehicle = self.vehicle();
        let mut names: Vec<String> = Vec::new();
        let mut open = vehicle.removals[removal].needs.clone();
        while let Some(need) = open.pop() {
            if vehicle.parts[need].moved == Some(part) {
                let own = vehicle.parts[need].removals.iter();
                open.extend(own.flat_map(|own| vehicle.removals[*own].needs.iter().copied()));
                continue;
            }
            let base = vehicle.parts[need].moved.unwrap_or(need);
            let name = &vehicle.parts[base].name;
            if base != part && !names.contains(name) {
                names.push(name.clone());
            }
        }
        names.sort();
        names
    }
}

fn index(id: PartId) -> usize {
    use model::Id;
    id.index()
}
