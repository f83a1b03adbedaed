//! One way in to several things at once, and the way back: who, with what, in which order, what goes
//! into which bag, why, and what else it would cost.

use access::vehicle::{SetupKind, removal_id, target};
use access::{
    Because, Effort, NoPlan, Otherwise, Percentile, Permitted, Plan, Target, Why, plan_reachable,
};
use model::{
    Damage, Fact, Fixing, FixingCondition, Origin, PartId, Place, Reach, Removal, RemovalId,
};
use units::Money;

use crate::case::Case;
use crate::opening_view::{
    Bag, FixingView, Opening, OpeningStep, OpeningTarget, PutBack, Ready, Supply,
};
use crate::service_view::{proof_words, tenth};

/// A thing asked for, found in the record.
struct Wanted {
    name: String,
    label: String,
    reach: Fact<Reach>,
}

/// A removal of a plan with its number among the steps that are shown.
struct Shown<'c> {
    number: usize,
    /// Its position in the plan.
    step: usize,
    id: RemovalId,
    removal: &'c Removal,
    bag: Option<usize>,
}

impl Case {
    /// Starts from a state of opening: these parts are out, these positions taken. What the record
    /// says is out stays out.
    ///
    /// # Errors
    /// The names that are no part and no position; nothing is changed then.
    pub fn with_out(&mut self, names: &[String]) -> Result<(), Vec<String>> {
        let find = |name: &String| self.vehicle().parts.find(|part| part.name == *name);
        let unknown: Vec<String> =
            names.iter().filter(|name| find(name).is_none()).cloned().collect();
        if !unknown.is_empty() {
            return Err(unknown);
        }
        let ids: Vec<PartId> = names.iter().filter_map(|name| Some(find(name)?.0)).collect();
        for id in ids {
            self.record.vehicle.parts[id].is_out = true;
        }
        self.plan_anew();
        Ok(())
    }

    /// The names of all parts and positions.
    pub fn part_names(&self) -> Vec<&str> {
        self.vehicle().parts.iter().map(|(_, part)| part.name.as_str()).collect()
    }

    /// One way in to all of these, and the way back.
    ///
    /// # Errors
    /// The names that are no device, spot, part or wire.
    pub fn opening(&self, names: &[String]) -> Result<Opening, Vec<String>> {
        let found: Vec<Option<Wanted>> = names.iter().map(|name| self.asked_for(name)).collect();
        let unknown = names.iter().zip(&found).filter(|(_, wanted)| wanted.is_none());
        let unknown: Vec<String> = unknown.map(|(name, _)| name.clone()).collect();
        if !unknown.is_empty() {
            return Err(unknown);
        }
        let wanted: Vec<Wanted> = found.into_iter().flatten().collect();
        let targets: Vec<Target> = wanted
            .iter()
            .filter_map(|wanted| Some(target(&wanted.name, wanted.reach.value()?)))
            .collect();
        let costing = self.costing(Permitted::Anything);
        let partial = plan_reachable(&self.problem, &targets, &costing, Effort::USUAL);
        Ok(match partial {
            Ok(partial) => {
                let mut opening = self.opened(&partial.plan, &targets);
                opening.targets = self.outcomes(&wanted, &partial.unreachable);
                opening
            }
            Err(NoPlan::Unreachable(stuck)) => Opening {
                targets: self.outcomes(&wanted, &stuck),
                already_out: self.already_out(),
                ..Opening::default()
            },
            Err(reason) => Opening {
                targets: wanted.iter().map(|wanted| not_planned(wanted, &reason)).collect(),
                ..Opening::default()
            },
        })
    }

    fn asked_for(&self, name: &str) -> Option<Wanted> {
        let way = self.way_in(name)?;
        let reach = self.reach_named(name);
        let reach = reach.map_or(Fact::Unknown, |reach| Fact::known(reach, Origin::seen()));
        Some(Wanted { name: name.to_owned(), label: way.label, reach })
    }

    fn outcomes(&self, wanted: &[Wanted], stuck: &[access::Unreachable]) -> Vec<OpeningTarget> {
        let mut planned = 0;
        wanted
            .iter()
            .map(|wanted| {
                let mut view = OpeningTarget {
                    target: wanted.name.clone(),
                    label: wanted.label.clone(),
                    ..OpeningTarget::default()
                };
                let Some(reach) = wanted.reach.value() else {
                    view.outcome = "not known".to_owned();
                    view.words = "what hides it is not recorded: find out what has to come out \
                                  first"
                        .to_owned();
                    return view;
                };
                let index = planned;
                planned += 1;
                match stuck.iter().find(|stuck| stuck.target.0 == index) {
                    Some(stuck) => {
                        view.outcome = "cannot be reached".to_owned();
                        view.words = stuck.reason.to_string();
                        let parts = stuck.reason.blocked.iter().map(|b| b.part);
                        view.lines = parts.map(|part| self.line_of(part)).collect();
                    }
                    None => {
                        let opens = |set: &Vec<PartId>| set.iter().all(|part| self.is_open(*part));
                        let now = reach.iter().any(opens);
                        view.outcome = if now { "reachable now" } else { "way found" }.to_owned();
                    }
                }
                view
            })
            .collect()
    }

    fn is_open(&self, part: PartId) -> bool {
        use model::Id;
        self.problem.parts[part.index()].presence == access::Presence::Out
    }

    fn line_of(&self, part: access::PartIdx) -> usize {
        let place = Place::Part(access::vehicle::part_id(part));
        record::line_column(&self.text, self.record.sources.span(place).start).line
    }

    fn opened(&self, plan: &Plan, targets: &[Target]) -> Opening {
        let shown = self.shown(plan);
        let minutes = plan.minutes(&self.problem);
        let costing = self.costing(Permitted::Anything);
        let steps = shown.iter().map(|shown| {
            let why = access::why(&self.problem, targets, &costing, plan, shown.step);
            self.step_view(plan, targets, shown, why.as_ref())
        });
        Opening {
            targets: Vec::new(),
            already_out: self.already_out(),
            ready: self.ready(plan, &shown),
            steps: steps.collect(),
            bags: shown.iter().filter_map(|shown| self.bag(shown)).collect(),
            back: shown.iter().rev().map(|shown| self.put_back(shown)).collect(),
            supplies: self.supplies(&shown),
            cost: Some(self.cost(plan)),
            minutes_p50: Some(tenth(minutes.percentile(Percentile::P50))),
            minutes_p80: Some(tenth(minutes.percentile(Percentile::P80))),
            proof: proof_words(plan.proof),
        }
    }

    /// The removals of a plan, without positions that come free.
    fn shown(&self, plan: &Plan) -> Vec<Shown<'_>> {
        let vehicle = self.vehicle();
        let mut bags = 0;
        let mut shown = Vec::new();
        for (step, removal) in plan.steps.iter().map(|step| step.removal).enumerate() {
            let Some(id) = removal_id(vehicle, removal) else { continue };
            let removal = &vehicle.removals[id];
            let bag = removal.fixings.iter().any(|fixing| self.is_loose(fixing)).then(|| {
                bags += 1;
                bags
            });
            shown.push(Shown { number: shown.len() + 1, step, id, removal, bag });
        }
        shown
    }

    fn step_view(
        &self,
        plan: &Plan,
        targets: &[Target],
        shown: &Shown<'_>,
        why: Option<&Why>,
    ) -> OpeningStep {
        let removal = shown.removal;
        let part = &self.vehicle().parts[removal.part];
        let task = &self.problem.removals[plan.steps[shown.step].removal.0];
        let two = removal.second_person.value() == Some(&true);
        OpeningStep {
            number: shown.number,
            part: part.name.clone(),
            label: part.label.clone(),
            line: self.line_of(plan.steps[shown.step].part),
            how: removal.label.clone(),
            fixings: removal.fixings.iter().map(|fixing| self.fixing_view(fixing)).collect(),
            bag: shown.bag,
            tools: self.catalog.tools_out(removal),
            position: removal.position.value().map_or("", |p| p.word()).to_owned(),
            people: if two { 2 } else { 1 },
            people_because: match removal.second_person.origin() {
                Some(Origin::Assumed { why }) if two => format!("suggested: {why}"),
                _ => String::new(),
            },
            minutes_out: tenth(task.minutes_out.mean_min()),
            minutes_back: tenth(task.minutes_back.mean_min()),
            minutes_from: self.minutes_from(shown),
            damage: crate::ways::damage(removal),
            because: self.because(plan, targets, shown),
            hides: self.hides(plan, targets, shown),
            otherwise: why.map_or_else(String::new, |why| self.otherwise(plan, shown, why)),
        }
    }

    fn minutes_from(&self, shown: &Shown<'_>) -> String {
        let learned = self.refined_words(shown.id);
        if !learned.is_empty() {
            return learned;
        }
        match (&shown.removal.origin, &shown.removal.back_origin) {
            (out, back) if out == back => origin_words(out),
            (out, back) => format!("out {}, back {}", origin_words(out), origin_words(back)),
        }
    }

    fn hides(&self, plan: &Plan, targets: &[Target], shown: &Shown<'_>) -> Vec<String> {
        let part = |part| self.vehicle().parts[access::vehicle::part_id(part)].name.clone();
        let names = plan.steps[shown.step].because.iter().map(|because| match because {
            Because::Target(index) => targets[index.0].name.clone(),
            Because::Part(index) => part(*index),
        });
        names.collect()
    }

    fn because(&self, plan: &Plan, targets: &[Target], shown: &Shown<'_>) -> String {
        let vehicle = self.vehicle();
        let own = shown.removal.part;
        let words = plan.steps[shown.step].because.iter().map(|because| match because {
            Because::Target(index) => {
                let name = &targets[index.0].name;
                if vehicle.parts[own].name == *name {
                    "it is what is wanted".to_owned()
                } else {
                    format!("it hides {}", self.way_in(name).map_or(name.clone(), |way| way.label))
                }
            }
            Because::Part(part) => {
                let part = &vehicle.parts[access::vehicle::part_id(*part)];
                match part.moved {
                    // A position that comes free once this very part is out.
                    Some(whole) if whole == own => format!("what is behind `{}`", part.name),
                    _ => format!("it is in the way of {}", part.label),
                }
            }
        });
        words.collect::<Vec<_>>().join("; ")
    }

    /// What leaving the part in place, and what another way of taking it out, would cost.
    fn otherwise(&self, plan: &Plan, shown: &Shown<'_>, why: &Why) -> String {
        let mut words = Vec::new();
        match &why.part_stays {
            Otherwise::NoOtherWay => words.push("there is no way round it".to_owned()),
            Otherwise::Instead { plan: other, more_minor } => {
                let instead = self.instead(plan, other);
                words.push(format!("leaving it {}{instead}", self.more(*more_minor)));
            }
        }
        if let Otherwise::Instead { plan: other, more_minor } = &why.other_removal {
            let removals = other.steps.iter().filter_map(|step| {
                Some(&self.vehicle().removals[removal_id(self.vehicle(), step.removal)?])
            });
            let same = removals.into_iter().find(|other| other.part == shown.removal.part);
            if let Some(same) = same {
                let how = if same.label == shown.removal.label {
                    "another order".to_owned()
                } else {
                    format!("to {}", same.label)
                };
                words.push(format!("{how} {}", self.more(*more_minor)));
            }
        }
        words.join("; ")
    }

    fn more(&self, more_minor: f64) -> String {
        let cents = more_minor.round() as i64;
        if cents <= 0 {
            return "costs the same".to_owned();
        }
        format!("costs {} more", Money::from_cents(cents, self.currency()))
    }

    /// The parts another plan takes out that this one does not.
    fn instead(&self, plan: &Plan, other: &Plan) -> String {
        let taken = |part| plan.steps.iter().any(|step| step.part == part);
        let names: Vec<&str> = other
            .steps
            .iter()
            .filter(|step| !taken(step.part))
            .filter(|step| removal_id(self.vehicle(), step.removal).is_some())
            .map(|step| self.problem.parts[step.part.0].name.as_str())
            .collect();
        if names.is_empty() { String::new() } else { format!(" (by {})", names.join(", ")) }
    }

    fn ready(&self, plan: &Plan, shown: &[Shown<'_>]) -> Vec<Ready> {
        let number = |step: usize| shown.iter().find(|s| s.step == step).map(|s| s.number);
        let views = plan.setups.iter().map(|used| {
            let setup = &self.problem.setups[used.setup.0];
            let kind = match &self.setups[used.setup.0] {
                SetupKind::Tool(_) => "tool",
                SetupKind::ToolForBack(_) => "tool for the way back",
                SetupKind::Position(_) => "position",
                SetupKind::SecondPerson => "second person",
                SetupKind::Mess(_) => "cleaning up",
                SetupKind::ForHeads(_) => "tool nobody has",
            };
            Ready {
                kind: kind.to_owned(),
                name: setup.name.clone(),
                steps: used.steps.iter().filter_map(|step| number(*step)).collect(),
                minutes_out: tenth(setup.minutes_out.mean_min()),
                minutes_back: tenth(setup.minutes_back.mean_min()),
            }
        });
        views.collect()
    }

    fn bag(&self, shown: &Shown<'_>) -> Option<Bag> {
        let part = &self.vehicle().parts[shown.removal.part];
        let fixings = shown.removal.fixings.iter().filter(|fixing| self.is_loose(fixing));
        let fixings: Vec<FixingView> = fixings.map(|fixing| self.fixing_view(fixing)).collect();
        Some(Bag {
            number: shown.bag?,
            part: part.name.clone(),
            label: part.label.clone(),
            count: fixings.iter().map(|fixing| fixing.count).sum(),
            fixings,
        })
    }

    fn put_back(&self, shown: &Shown<'_>) -> PutBack {
        PutBack { step: Some(shown.number), bag: shown.bag, ..self.put_back_by(shown.removal) }
    }

    fn put_back_by(&self, removal: &Removal) -> PutBack {
        let part = &self.vehicle().parts[removal.part];
        let hands = if removal.second_person.value() == Some(&true) { 2.0 } else { 1.0 };
        let back = removal.back;
        let mean_min =
            access::Spread { low_min: back.low, likely_min: back.likely, high_min: back.high }
                .mean_min();
        let mut new: Vec<String> = removal
            .fixings
            .iter()
            .filter_map(|fixing| self.used_up(fixing))
            .map(|supply| supply.words)
            .collect();
        if removal.damage == Damage::Destroys {
            let price = removal.price.map_or_else(String::new, |price| format!(", {price}"));
            new.push(format!("a new part{price}"));
        }
        PutBack {
            part: part.name.clone(),
            label: part.label.clone(),
            step: None,
            bag: None,
            fixings: removal.fixings.iter().map(|fixing| self.fixing_view(fixing)).collect(),
            tools: self.catalog.tools_back(removal),
            minutes: tenth(hands * mean_min),
            new,
        }
    }

    /// What was out before; how it goes back is taken from its first recorded way.
    fn already_out(&self) -> Vec<PutBack> {
        let vehicle = self.vehicle();
        let out = vehicle.parts.iter().filter(|(_, part)| part.is_out);
        out.map(|(_, part)| match part.removals.first() {
            Some(way) => self.put_back_by(&vehicle.removals[*way]),
            None => {
                PutBack { part: part.name.clone(), label: part.label.clone(), ..PutBack::default() }
            }
        })
        .collect()
    }

    fn is_loose(&self, fixing: &Fixing) -> bool {
        self.catalog.fixings.find(&fixing.kind).is_some_and(|(_, kind)| !kind.stays)
    }

    fn fixing_view(&self, fixing: &Fixing) -> FixingView {
        FixingView {
            count: fixing.count,
            kind: fixing.kind.clone(),
            loose: self.is_loose(fixing),
            words: fixing.words(),
            torque: fixing.torque.value().map_or_else(String::new, ToString::to_string),
        }
    }

    /// What is used up of some fixings; `None` when nothing is expected to be.
    fn used_up(&self, fixing: &Fixing) -> Option<Supply> {
        let (_, kind) = self.catalog.fixings.find(&fixing.kind)?;
        let condition = fixing.condition.value().copied().unwrap_or(FixingCondition::Good);
        let share = kind.spent.max(self.catalog.fixings.condition(condition).fails);
        let what = if kind.supply.is_empty() { &fixing.kind } else { &kind.supply };
        (share > 0.0).then(|| supply(what, share * f64::from(fixing.count), fixing.count))
    }

    fn supplies(&self, shown: &[Shown<'_>]) -> Vec<Supply> {
        let mut all: Vec<Supply> = Vec::new();
        let fixings = shown.iter().flat_map(|shown| &shown.removal.fixings);
        for more in fixings.filter_map(|fixing| self.used_up(fixing)) {
            match all.iter_mut().find(|known| known.what == more.what) {
                Some(known) => {
                    let expected = known.expected + more.expected;
                    *known = supply(&known.what, expected, known.of + more.of);
                }
                None => all.push(more),
            }
        }
        all
    }
}

fn not_planned(wanted: &Wanted, reason: &NoPlan) -> OpeningTarget {
    OpeningTarget {
        target: wanted.name.clone(),
        label: wanted.label.clone(),
        outcome: "cannot be reached".to_owned(),
        words: reason.to_string(),
        lines: Vec::new(),
    }
}

fn origin_words(origin: &Origin) -> String {
    match origin {
        Origin::Assumed { why } => format!("assumed ({why})"),
        other => other.word().to_owned(),
    }
}

/// So many of one thing used up: `about 1 x clip (of 9)`, `2 x bead of sealant`.
fn supply(what: &str, expected: f64, of: u32) -> Supply {
    let count = expected.ceil();
    let words = if expected < f64::from(of) {
        format!("about {count:.0} x {what} (of {of})")
    } else {
        format!("{count:.0} x {what}")
    };
    Supply { what: what.to_owned(), expected: tenth(expected), of, words }
}
