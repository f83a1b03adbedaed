//! A check in words: what it is, where the probes go, how it is made, what to mind before.

use diagnose::{Offered, What};
use model::{Engine, Origin, ReadingPoints, Role, Shore, StateId, TerminalId, WireEnd};
use units::System;

use crate::search::Search;

impl Search<'_> {
    /// How a check is made; of one that was made before, why it is made again.
    pub(crate) fn how(&self, check: &Offered) -> String {
        let steps = &self.case.catalog.checking.of(check.method).steps;
        match self.before(check) {
            Some(before) => format!(
                "Once more: it was {before} before, and some of the causes can only be true if that was \
                 a slip. {steps}"
            ),
            None => steps.clone(),
        }
    }

    /// What a check showed that the record or this search holds already.
    fn before(&self, check: &Offered) -> Option<String> {
        match check.what {
            What::Read(points) => {
                let is_it =
                    |r: &&model::Reading| r.points == points && Some(r.state) == check.state;
                let reading = self.vehicle.readings.iter().find(is_it)?;
                Some(units::format(reading.value, reading.dimension, System::Metric))
            }
            What::Watch(device) => {
                let is_it = |s: &&model::Symptom| {
                    let told = matches!(s.shows.origin(), None | Some(Origin::Told { .. }));
                    !told && s.device == Some(device) && s.state == check.state
                };
                let seen = self.vehicle.symptoms.iter().find(is_it)?;
                Some(format!("`{}`", seen.shows.value()?.word()))
            }
            What::Look(_) => None,
        }
    }

    pub(crate) fn check_title(&self, check: &Offered) -> String {
        let vehicle = &self.vehicle;
        match check.what {
            What::Read(ReadingPoints::Between(a, b)) => {
                format!("Volts from {} to {}", vehicle.terminal_name(a), vehicle.terminal_name(b))
            }
            What::Read(ReadingPoints::In(wire)) => {
                format!("Clamp round wire {}", vehicle.wires[wire].name)
            }
            What::Read(ReadingPoints::On(device)) => {
                format!("Read the display of {}", vehicle.devices[device].label)
            }
            What::Read(ReadingPoints::Over(joint)) => {
                format!("Drop over the joint of {}", vehicle.joint_name(joint))
            }
            What::Watch(device) => format!("Watch {}", vehicle.devices[device].label),
            What::Look(joint) => format!("Look at the joint of {}", vehicle.joint_name(joint)),
        }
    }

    pub(crate) fn check_places(&self, check: &Offered) -> Vec<String> {
        let vehicle = &self.vehicle;
        let terminal = |id: TerminalId| {
            let device = &vehicle.devices[vehicle.terminals[id].device];
            let at = match device.place_words.as_str() {
                "" => String::new(),
                at => format!(", {at}"),
            };
            format!("{} ({}{at})", vehicle.terminal_name(id), device.label)
        };
        let joint_at = |joint: model::JointId| {
            let of = &vehicle.joints[joint];
            vehicle.wires[of.wire].terminal(of.end)
        };
        match check.what {
            What::Read(ReadingPoints::Between(a, b)) => vec![
                format!("red probe on {}", terminal(a)),
                format!("black probe on {}", terminal(b)),
            ],
            What::Read(ReadingPoints::Over(joint)) => {
                let on = joint_at(joint).map_or_else(String::new, terminal);
                vec![
                    format!("one probe on the stud or screw of {on}"),
                    format!(
                        "the other on bare metal of wire {} past its lug or crimp",
                        vehicle.wires[vehicle.joints[joint].wire].name
                    ),
                ]
            }
            What::Read(ReadingPoints::In(wire)) => WireEnd::BOTH
                .into_iter()
                .filter_map(|end| vehicle.wires[wire].terminal(end))
                .map(|at| format!("it ends on {}", terminal(at)))
                .collect(),
            What::Read(ReadingPoints::On(device)) | What::Watch(device) => {
                let at = &vehicle.devices[device].place_words;
                (!at.is_empty()).then(|| format!("it is at: {at}")).into_iter().collect()
            }
            What::Look(joint) => joint_at(joint).into_iter().map(terminal).collect(),
        }
    }

    pub(crate) fn state_words(&self, state: StateId) -> String {
        let of = &self.vehicle.states[state];
        format!("{}: {}", of.name, crate::states::words(&self.vehicle, of))
    }

    pub(crate) fn cautions(&self, check: &Offered) -> Vec<String> {
        let mut cautions = Vec::new();
        let touched: Vec<TerminalId> = match check.what {
            What::Read(ReadingPoints::Between(a, b)) => vec![a, b],
            What::Read(ReadingPoints::Over(joint)) | What::Look(joint) => {
                let of = &self.vehicle.joints[joint];
                self.vehicle.wires[of.wire].terminal(of.end).into_iter().collect()
            }
            What::Read(_) | What::Watch(_) => Vec::new(),
        };
        let on_battery = touched.iter().any(|id| {
            self.vehicle.devices[self.vehicle.terminals[*id].device].role == Role::Battery
        });
        if on_battery {
            cautions.push(
                "Battery posts: rings and watch off, cover the other post, one probe at a time."
                    .to_owned(),
            );
        }
        if let Some(state) = check.state.map(|state| &self.vehicle.states[state]) {
            if state.engine == Engine::Running {
                cautions.push(
                    "Engine running: exhaust to the open air, brake on, hands and leads clear of \
                     belts and fans."
                        .to_owned(),
                );
            }
            if state.shore != Shore::Unplugged || self.has_inverter_on(state) {
                cautions.push(
                    "Mains is live in this state: touch nothing of the mains side; work on it is for \
                     licensed people under the local code."
                        .to_owned(),
                );
            }
        }
        if matches!(check.what, What::Look(_)) {
            cautions.push("Make the circuit dead and prove it before you pull.".to_owned());
        }
        cautions
    }

    fn has_inverter_on(&self, state: &model::State) -> bool {
        state.on.iter().any(|id| self.vehicle.devices[*id].role == Role::Inverter)
    }
}
