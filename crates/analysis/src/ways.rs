//! What it takes to reach things.

use access::{Because, NoPlan, Percentile, Permitted, Plan};
use model::{DeviceId, Fact, Place, Reach, RemovalId, WireEnd};

use crate::case::Case;
use crate::service_view::{proof_words, tenth};
use crate::view::{AccessCost, StepView, WayIn};

impl Case {
    /// The way in to every device that wants service, dearest first.
    pub fn service_access(&self) -> Vec<WayIn> {
        let mut ways: Vec<WayIn> = self
            .vehicle()
            .devices
            .iter()
            .filter(|(_, device)| device.service.is_some())
            .map(|(id, _)| self.way_to_device(id))
            .collect();
        let minutes =
            |way: &WayIn| way.cost.as_ref().map_or(-1.0, |c| c.minutes_out + c.minutes_back);
        ways.sort_by(|a, b| {
            minutes(b).total_cmp(&minutes(a)).then_with(|| a.target.cmp(&b.target))
        });
        ways
    }

    /// What must be out to touch a device, spot, part or wire; `None` when that is not known.
    pub(crate) fn reach_named(&self, target: &str) -> Option<Reach> {
        let vehicle = self.vehicle();
        if let Some((_, device)) = vehicle.devices.find(|device| device.name == target) {
            return device.reach.value().cloned();
        }
        if let Some((_, spot)) = vehicle.spots.find(|spot| spot.name == target) {
            return spot.reach.value().cloned();
        }
        if let Some((id, _)) = vehicle.parts.find(|part| part.name == target) {
            return Some(vec![vec![id]]);
        }
        let name = target.strip_prefix("wire ").unwrap_or(target);
        let (id, _) = vehicle.wires.find(|wire| wire.name == name)?;
        self.reach_of(Place::Wire(id))
    }

    /// The way in to a device, spot, part or wire by its name; `None` when there is no such thing.
    pub fn way_in(&self, target: &str) -> Option<WayIn> {
        let vehicle = self.vehicle();
        if let Some((id, _)) = vehicle.devices.find(|device| device.name == target) {
            return Some(self.way_to_device(id));
        }
        if let Some((_, spot)) = vehicle.spots.find(|spot| spot.name == target) {
            return Some(self.way(target, &spot.label, "", &spot.reach));
        }
        if let Some((id, part)) = vehicle.parts.find(|part| part.name == target) {
            let reach = Fact::known(vec![vec![id]], model::Origin::seen());
            return Some(self.way(target, &part.label, "", &reach));
        }
        let name = target.strip_prefix("wire ").unwrap_or(target);
        let (id, wire) = vehicle.wires.find(|wire| wire.name == name)?;
        let reach = self.reach_of(Place::Wire(id));
        let label = format!("wire {}", wire.name);
        Some(self.way(
            target,
            &label,
            "",
            &reach.map_or(Fact::Unknown, |r| Fact::known(r, model::Origin::seen())),
        ))
    }

    /// Every name `way_in` understands, for suggestions.
    pub fn way_in_targets(&self) -> Vec<&str> {
        let vehicle = self.vehicle();
        let devices = vehicle.devices.iter().map(|(_, device)| device.name.as_str());
        let spots = vehicle.spots.iter().map(|(_, spot)| spot.name.as_str());
        let parts = vehicle.parts.iter().map(|(_, part)| part.name.as_str());
        let wires = vehicle.wires.iter().map(|(_, wire)| wire.name.as_str());
        devices.chain(spots).chain(parts).chain(wires).collect()
    }

    fn way_to_device(&self, id: DeviceId) -> WayIn {
        let device = &self.vehicle().devices[id];
        let service = device.service.as_ref().map_or("", |service| service.what.as_str());
        self.way(&device.name, &device.label, service, &device.reach)
    }

    fn way(&self, target: &str, label: &str, service: &str, reach: &Fact<Reach>) -> WayIn {
        let mut way = WayIn {
            target: target.to_owned(),
            label: label.to_owned(),
            service: service.to_owned(),
            outcome: "not known".to_owned(),
            words: "what hides it is not recorded: find out what has to come out first".to_owned(),
            steps: Vec::new(),
            cost: None,
            minutes_p50: None,
            minutes_p80: None,
            proof: String::new(),
        };
        let Some(reach) = reach.value() else { return way };
        match self.plan(reach, Permitted::Anything) {
            Ok(plan) => {
                let open = plan.steps.is_empty();
                way.outcome = if open { "reachable now" } else { "way found" }.to_owned();
                way.steps = self.steps(&plan, label);
                let minutes = plan.minutes(&self.problem);
                way.minutes_p50 = Some(tenth(minutes.percentile(Percentile::P50)));
                way.minutes_p80 = Some(tenth(minutes.percentile(Percentile::P80)));
                way.proof = proof_words(plan.proof);
                let cost = self.cost(&plan);
                way.words = cost.words.clone();
                way.cost = Some(cost);
            }
            Err(reason) => {
                way.outcome = "cannot be reached".to_owned();
                way.words = no_way(&reason, target);
            }
        }
        way
    }

    fn steps(&self, plan: &Plan, target: &str) -> Vec<StepView> {
        let vehicle = self.vehicle();
        plan.steps
            .iter()
            .filter_map(|step| {
                let removal_id = access::vehicle::removal_id(vehicle, step.removal)?;
                let removal = &vehicle.removals[removal_id];
                let part = &vehicle.parts[removal.part];
                let because: Vec<String> = step
                    .because
                    .iter()
                    .map(|because| match because {
                        Because::Target(_) if part.label == target => {
                            "it is what is wanted".to_owned()
                        }
                        Because::Target(_) => format!("it hides {target}"),
                        Because::Part(other) => format!(
                            "it is in the way of {}",
                            vehicle.parts[access::vehicle::part_id(*other)].label
                        ),
                    })
                    .collect();
                let task = &self.problem.removals[step.removal.0];
                Some(StepView {
                    part: part.name.clone(),
                    label: part.label.clone(),
                    how: removal.label.clone(),
                    fixings: removal
                        .fixings
                        .iter()
                        .map(model::Fixing::words)
                        .collect::<Vec<_>>()
                        .join(", "),
                    minutes_out: tenth(task.minutes_out.mean_min()),
                    minutes_back: tenth(task.minutes_back.mean_min()),
                    damage: damage(removal),
                    refined: self.refined_words(removal_id),
                    because: because.join("; "),
                })
            })
            .collect()
    }

    /// What jobs taught about a way of taking a part out; empty when none was done.
    pub(crate) fn refined_words(&self, removal: RemovalId) -> String {
        let refined = self.refined.iter().find(|way| way.removal == removal);
        refined.map_or_else(String::new, |way| way.words.clone())
    }

    pub(crate) fn cost(&self, plan: &Plan) -> AccessCost {
        let (out, back) = (plan.out.mean_min, plan.back.mean_min);
        let destroys = plan
            .steps
            .iter()
            .any(|step| self.problem.removals[step.removal.0].damage == access::Damage::Destroys);
        let mut words = if plan.steps.is_empty() {
            "reachable now".to_owned()
        } else {
            format!("{out:.0} min in, {back:.0} min back")
        };
        if plan.breakage_minor >= 0.5 {
            let cents = plan.breakage_minor.round() as i64;
            words.push_str(&format!(
                ", {} expected breakage",
                units::Money::from_cents(cents, self.currency())
            ));
        }
        if destroys {
            words.push_str(", destroys something");
        }
        AccessCost {
            words,
            minutes_out: tenth(out),
            minutes_back: tenth(back),
            destroys,
            parts: plan
                .steps
                .iter()
                .filter(|step| access::vehicle::removal_id(self.vehicle(), step.removal).is_some())
                .map(|step| self.vehicle().parts[access::vehicle::part_id(step.part)].name.clone())
                .collect(),
        }
    }

    /// The currency of the record: that of the first price written.
    pub(crate) fn currency(&self) -> Option<units::Currency> {
        self.vehicle().removals.iter().find_map(|(_, removal)| removal.price?.currency())
    }

    /// What it costs to get to a place; `None` when that is not recorded or there is no way.
    pub(crate) fn access_to(&self, place: Place) -> Option<AccessCost> {
        let reach = self.reach_of(place)?;
        self.plan(&reach, Permitted::Anything).ok().map(|plan| self.cost(&plan))
    }

    /// What must be out to touch a place. A wire is touched at the easier of its ends.
    fn reach_of(&self, place: Place) -> Option<Reach> {
        let vehicle = self.vehicle();
        let of_device = |id: DeviceId| vehicle.devices[id].reach.value().cloned();
        match place {
            Place::Device(id) => of_device(id),
            Place::Terminal(id) => of_device(vehicle.terminals[id].device),
            Place::Joint(id) => {
                let joint = &vehicle.joints[id];
                let terminal = vehicle.wires[joint.wire].terminal(joint.end)?;
                of_device(vehicle.terminals[terminal].device)
            }
            Place::Wire(id) => {
                let wire = &vehicle.wires[id];
                let mut reach: Reach = WireEnd::BOTH
                    .into_iter()
                    .filter_map(|end| of_device(vehicle.terminals[wire.terminal(end)?].device))
                    .flatten()
                    .collect();
                reach.sort();
                reach.dedup();
                (!reach.is_empty()).then_some(reach)
            }
            Place::Spot(id) => vehicle.spots[id].reach.value().cloned(),
            Place::Part(_) | Place::State(_) | Place::Vehicle => None,
        }
    }
}

pub(crate) fn damage(removal: &model::Removal) -> String {
    let price = removal.price.map_or_else(String::new, |price| format!(", {price}"));
    match removal.damage {
        model::Damage::None => String::new(),
        model::Damage::MayBreak => format!("breaks in {} of cases{price}", removal.breaks),
        model::Damage::Destroys => format!("is destroyed{price}"),
    }
}

pub(crate) fn no_way(reason: &NoPlan, target: &str) -> String {
    reason.to_string().replace("`target`", &format!("`{target}`"))
}
