//! Makes the question smaller before the search starts. Takes away what cannot matter: work that
//! can never be done, that leads to nothing wanted, that needs its own part, or that other work
//! always beats. Sets apart what every plan must contain. Splits what is left into pieces that
//! have nothing to do with each other.
//!
//! Every step keeps at least one cheapest plan. Deliberately does not know how the search works.

use crate::task::{Action, Origin, Task};

/// A question made smaller. A cheapest plan is: all of `certain`, and a cheapest plan for each
/// piece.
pub(crate) struct Reduced {
    /// Work that is in every plan that is worth making.
    pub(crate) certain: Vec<Action>,
    /// Questions that share no work. Empty when nothing is left to decide.
    pub(crate) pieces: Vec<Task>,
}

/// The smaller question, or `None` when the goal is out of reach.
pub(crate) fn reduced(task: &Task) -> Option<Reduced> {
    let reached = task.reached(|_| true);
    if !reached[task.goal] {
        return None;
    }
    let doable: Vec<bool> =
        task.actions.iter().map(|a| a.needs.iter().all(|need| reached[*need])).collect();
    let mut task = task.restricted(&doable);
    let mut certain = Vec::new();
    loop {
        task = task.restricted(&leading_to_goal(&task));
        let (easy, simpler) = settled(&task, &without_choice(&task), &mut certain);
        task = easy;
        if simpler == Changed::Yes {
            continue;
        }
        let always = always_true_before(&task);
        let keep = undominated(&task, &always);
        if !keep.iter().all(|keep| *keep) {
            task = task.restricted(&keep);
            continue;
        }
        let in_every_plan: Vec<bool> =
            (0..task.facts).map(|fact| always[task.goal].has(fact)).collect();
        let (next, simpler) = settled(&task, &in_every_plan, &mut certain);
        task = next;
        if simpler == Changed::No {
            return Some(Reduced { certain, pieces: pieces(&task) });
        }
    }
}

/// By fact: whether it follows from the goal without ever having a choice. A quick look at what
/// [`always_true_before`] finds out in full.
fn without_choice(task: &Task) -> Vec<bool> {
    let mut sure = vec![false; task.facts];
    let mut queue = vec![task.goal];
    while let Some(fact) = queue.pop() {
        if !std::mem::replace(&mut sure[fact], true)
            && let [only] = task.achievers[fact][..]
        {
            queue.extend(&task.actions[only].needs);
        }
    }
    sure
}

/// The task once the work that gives facts of every plan is paid for, and detours are gone.
fn settled(task: &Task, in_every_plan: &[bool], certain: &mut Vec<Action>) -> (Task, Changed) {
    let before = certain.len();
    let paid = pay_for_certain(task, in_every_plan, certain);
    let (task, inlined) = without_detours(paid);
    let simpler = before != certain.len() || inlined == Changed::Yes;
    (task, if simpler { Changed::Yes } else { Changed::No })
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
fn undominated(task: &Task, always: &[Bits]) -> Vec<bool> {
    let before: Vec<Bits> = task.actions.iter().map(|a| union(&a.needs, always)).collect();
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

/// Work that alone gives a fact without which there is no goal is in every plan: it is set apart
/// and free from here on.
fn pay_for_certain(task: &Task, in_every_plan: &[bool], certain: &mut Vec<Action>) -> Task {
    let mut actions = task.actions.clone();
    for fact in (0..task.facts).filter(|fact| in_every_plan[*fact]) {
        if let [only] = task.achievers[fact][..]
            && task.is_work(only)
        {
            certain.push(actions[only].clone());
            actions[only] = Action { origin: Origin::Reach, cost: 0, ..actions[only].clone() };
        }
    }
    Task::from_actions(task.facts, task.goal, task.start, actions)
}

/// Where a fact has only one way to come true, and that is free, what the way needs takes the place
/// of the fact.
fn without_detours(task: Task) -> (Task, Changed) {
    let free = |action: &usize| !task.is_work(*action);
    let mut instead: Vec<Option<Vec<usize>>> = vec![None; task.facts];
    for fact in (0..task.facts).filter(|fact| *fact != task.goal) {
        if let [only] = task.achievers[fact][..]
            && free(&only)
        {
            instead[fact] = Some(task.actions[only].needs.clone());
        }
    }
    if instead.iter().all(Option::is_none) {
        return (task, Changed::No);
    }
    let kept = task.actions.iter().filter(|action| instead[action.gives].is_none());
    let actions = kept.map(|action| {
        let needs = expanded(&action.needs, &instead, task.start);
        Action { needs, ..action.clone() }
    });
    let actions = actions.collect();
    (Task::from_actions(task.facts, task.goal, task.start, actions), Changed::Yes)
}

/// Needs with every replaced fact followed to what stands instead of it. Replacements do not
/// circle: everything left can come true, and each has only the one way.
fn expanded(needs: &[usize], instead: &[Option<Vec<usize>>], start: usize) -> Vec<usize> {
    let mut seen = vec![false; instead.len()];
    let mut out = Vec::new();
    let mut queue = needs.to_vec();
    while let Some(fact) = queue.pop() {
        if std::mem::replace(&mut seen[fact], true) {
            continue;
        }
        match &instead[fact] {
            Some(needs) => queue.extend(needs),
            None if fact != start => out.push(fact),
            None => {}
        }
    }
    out.sort_unstable();
    if out.is_empty() {
        out.push(start);
    }
    out
}

/// The task cut where its parts share no action, each with the goals that are its own.
fn pieces(task: &Task) -> Vec<Task> {
    let mut groups = Groups((0..task.facts).collect());
    let inner = |action: &&Action| action.gives != task.goal;
    for action in task.actions.iter().filter(inner) {
        for &need in action.needs.iter().filter(|need| **need != task.start) {
            groups.join(need, action.gives);
        }
    }
    let [finish] = task.achievers[task.goal][..] else { return vec![task.clone()] };
    let mut wanted: std::collections::BTreeMap<usize, Vec<usize>> = Default::default();
    for &need in task.actions[finish].needs.iter().filter(|need| **need != task.start) {
        wanted.entry(groups.of(need)).or_default().push(need);
    }
    wanted
        .into_iter()
        .map(|(group, needs)| {
            let own = task.actions.iter().filter(inner).filter(|a| groups.of(a.gives) == group);
            let finish = Action { needs, ..task.actions[finish].clone() };
            compact(task, own.cloned().chain([finish]).collect())
        })
        .collect()
}

/// The task of these actions, with facts renumbered so that none is idle.
fn compact(task: &Task, mut actions: Vec<Action>) -> Task {
    let mut number = vec![usize::MAX; task.facts];
    let mut facts = 0;
    let mut renumbered = |fact: usize| {
        if number[fact] == usize::MAX {
            number[fact] = facts;
            facts += 1;
        }
        number[fact]
    };
    let (goal, start) = (renumbered(task.goal), renumbered(task.start));
    for action in &mut actions {
        action.gives = renumbered(action.gives);
        for need in &mut action.needs {
            *need = renumbered(*need);
        }
    }
    Task::from_actions(facts, goal, start, actions)
}

/// Sets of facts that belong together, each known by one of its members.
struct Groups(Vec<usize>);

impl Groups {
    fn of(&self, fact: usize) -> usize {
        let mut at = fact;
        while self.0[at] != at {
            at = self.0[at];
        }
        at
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.of(a), self.of(b));
        self.0[a.max(b)] = a.min(b);
    }
}

/// By fact: the facts that are true before or with it in every plan (itself included). Greatest
/// solution of: own + common to all achievers of (all needs of the achiever).
fn always_true_before(task: &Task) -> Vec<Bits> {
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
