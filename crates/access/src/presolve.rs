//! Takes away what cannot matter before the search starts: removals that can never be done, that
//! lead to nothing wanted, that need their own part, or that another removal always beats.
//!
//! Every step keeps at least one cheapest plan. Deliberately does not know how the search works.

use crate::task::Task;

/// The reduced task, or `None` when the goal is out of reach.
pub(crate) fn reduced(task: &Task) -> Option<Task> {
    let reached = task.reached(|_| true);
    if !reached[task.goal] {
        return None;
    }
    let doable: Vec<bool> =
        task.actions.iter().map(|a| a.needs.iter().all(|need| reached[*need])).collect();
    let mut task = task.restricted(&doable);
    loop {
        task = task.restricted(&leading_to_goal(&task));
        let keep = undominated(&task);
        if keep.iter().all(|keep| *keep) {
            return Some(task);
        }
        task = task.restricted(&keep);
    }
}

/// By action: whether the goal may need it.
fn leading_to_goal(task: &Task) -> Vec<bool> {
    let mut wanted = vec![false; task.facts];
    let mut keep = vec![false; task.actions.len()];
    let mut queue = vec![task.goal];
    wanted[task.goal] = true;
    while let Some(fact) = queue.pop() {
        for &action in &task.achievers[fact] {
            keep[action] = true;
            for &need in &task.actions[action].needs {
                if !wanted[need] {
                    wanted[need] = true;
                    queue.push(need);
                }
            }
        }
    }
    keep
}

/// By action: whether no other action for the same fact is at least as cheap while needing
/// nothing that this one would not have needed anyway.
fn undominated(task: &Task) -> Vec<bool> {
    let always = always_out_before(task);
    let before: Vec<Bits> = task.actions.iter().map(|a| union(&a.needs, &always)).collect();
    let mut keep = vec![true; task.actions.len()];
    for (index, action) in task.actions.iter().enumerate() {
        if before[index].has(action.gives) {
            keep[index] = false; // only possible once its own part is out
            continue;
        }
        let beaten = task.achievers[action.gives].iter().any(|&other| {
            let rival = &task.actions[other];
            (rival.cost, other) < (action.cost, index)
                && !before[other].has(rival.gives)
                && rival.needs.iter().all(|need| before[index].has(*need))
        });
        keep[index] = !beaten;
    }
    keep
}

/// By fact: the facts that are true before or with it in every plan (itself included). Greatest
/// solution of: own + common to all achievers of (all needs of the achiever).
fn always_out_before(task: &Task) -> Vec<Bits> {
    let mut always: Vec<Bits> = (0..task.facts).map(|_| Bits::full(task.facts)).collect();
    always[task.start] = Bits::empty(task.facts);
    always[task.start].set(task.start);
    let mut queued = vec![true; task.actions.len()];
    let mut queue: std::collections::VecDeque<usize> = (0..task.actions.len()).collect();
    while let Some(index) = queue.pop_front() {
        queued[index] = false;
        let action = &task.actions[index];
        let mut offer = union(&action.needs, &always);
        offer.set(action.gives);
        if always[action.gives].keep_only(&offer) == Changed::Yes {
            for &user in &task.users[action.gives] {
                if !queued[user] {
                    queued[user] = true;
                    queue.push_back(user);
                }
            }
        }
    }
    always
}

fn union(facts: &[usize], sets: &[Bits]) -> Bits {
    let mut all = Bits::empty(sets.len());
    for &fact in facts {
        all.add_all(&sets[fact]);
    }
    all
}

/// A set of facts.
#[derive(Clone, Debug)]
struct Bits(Vec<u64>);

#[derive(PartialEq, Eq)]
enum Changed {
    Yes,
    No,
}

impl Bits {
    fn empty(size: usize) -> Self {
        Self(vec![0; size.div_ceil(64)])
    }

    fn full(size: usize) -> Self {
        Self(vec![u64::MAX; size.div_ceil(64)])
    }

    fn set(&mut self, fact: usize) {
        self.0[fact / 64] |= 1 << (fact % 64);
    }

    fn has(&self, fact: usize) -> bool {
        self.0[fact / 64] & (1 << (fact % 64)) != 0
    }

    fn add_all(&mut self, other: &Self) {
        for (mine, theirs) in self.0.iter_mut().zip(&other.0) {
            *mine |= theirs;
        }
    }

    fn keep_only(&mut self, other: &Self) -> Changed {
        let mut changed = Changed::No;
        for (mine, theirs) in self.0.iter_mut().zip(&other.0) {
            if *mine & !theirs != 0 {
                changed = Changed::Yes;
                *mine &= theirs;
            }
        }
        changed
    }
}
