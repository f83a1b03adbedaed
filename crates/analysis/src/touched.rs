//! Which observations a repair touches: those that a defect where it was made could have moved. The others
//! tell of the vehicle after it as they did before.

use model::{DeviceId, Place, Shows, StateId, Vehicle};

use crate::search::Search;

/// Something that was observed, by its name.
pub(crate) struct Observed {
    pub(crate) name: String,
    /// Equipment that was watched; nothing: a reading.
    watched: Option<(DeviceId, StateId)>,
}

impl Search<'_> {
    /// Observations that count still and that a defect at one of some places could have moved, at its
    /// smallest or at its largest: a reading by more than its meter may err, equipment to do something
    /// else.
    pub(crate) fn touched(&mut self, is_there: impl Fn(Place) -> bool) -> Vec<Observed> {
        let suspects = self.benches.suspects();
        let here: Vec<(usize, f64)> = suspects
            .iter()
            .enumerate()
            .filter(|(_, suspect)| is_there(suspect.place))
            .flat_map(|(at, suspect)| {
                let ends = [suspect.sizes.first(), suspect.sizes.last()];
                ends.into_iter().flatten().map(move |size| (at, *size))
            })
            .collect();
        let vehicle = self.vehicle.clone();
        let counts = |name: &str| !vehicle.history.is_laid_aside(name);
        let mut touched = Vec::new();
        for reading in vehicle.readings.iter().filter(|reading| counts(&reading.name)) {
            let allowed = self.case.allowance(reading);
            let values = |search: &mut Self, faults: &[(usize, f64)]| {
                search.benches.add(reading.state);
                let answered = search.benches.answer(reading.state, faults)?;
                Some(search.benches.values(reading.state, reading.points, &answered))
            };
            let healthy = values(self, &[]);
            let differs = |a: &[f64], b: &[f64]| {
                a.len() != b.len() || a.iter().zip(b).any(|(a, b)| (a - b).abs() > allowed)
            };
            let moved = here.iter().any(|fault| match (&healthy, values(self, &[*fault])) {
                (Some(healthy), Some(values)) => differs(healthy, &values),
                (healthy, values) => healthy.is_some() != values.is_some(),
            });
            if moved {
                touched.push(Observed { name: reading.name.clone(), watched: None });
            }
        }
        for symptom in vehicle.symptoms.iter().filter(|symptom| counts(&symptom.name)) {
            let (Some(device), Some(state)) = (symptom.device, symptom.state) else { continue };
            let healthy = self.does(device, state, &[]);
            if here.iter().any(|fault| self.does(device, state, &[*fault]) != healthy) {
                let watched = Some((device, state));
                touched.push(Observed { name: symptom.name.clone(), watched });
            }
        }
        touched
    }

    /// Equipment of these observations that works by the record once nothing is wrong there, each once.
    pub(crate) fn works_again(&mut self, touched: &[Observed]) -> Vec<(DeviceId, StateId)> {
        let mut cured: Vec<(DeviceId, StateId)> = Vec::new();
        for (device, state) in touched.iter().filter_map(|observed| observed.watched) {
            let is_new = !cured.contains(&(device, state));
            if is_new && self.does(device, state, &[]) == Some(Shows::Works) {
                cured.push((device, state));
            }
        }
        cured
    }

    fn does(&mut self, device: DeviceId, state: StateId, faults: &[(usize, f64)]) -> Option<Shows> {
        self.benches.add(state);
        let answered = self.benches.answer(state, faults)?;
        self.benches.shows(state, device, &answered)
    }
}

/// What a place is called in the paths of a record: a joint also by its wire, its terminal, its device.
pub(crate) fn called(vehicle: &Vehicle, place: Place) -> Vec<String> {
    let device = |id: DeviceId| vehicle.devices[id].name.clone();
    let of_wire = |id: model::WireId| {
        let name = &vehicle.wires[id].name;
        let cable = name.split_once('/').map(|(cable, _)| cable.to_owned());
        std::iter::once(name.clone()).chain(cable)
    };
    match place {
        Place::Device(id) => vec![device(id)],
        Place::Terminal(id) => {
            vec![vehicle.terminal_name(id), device(vehicle.terminals[id].device)]
        }
        Place::Wire(id) => of_wire(id).collect(),
        Place::Joint(id) => {
            let joint = &vehicle.joints[id];
            let mut names: Vec<String> = of_wire(joint.wire).collect();
            if let Some(terminal) = vehicle.wires[joint.wire].terminal(joint.end) {
                let at =
                    [vehicle.terminal_name(terminal), device(vehicle.terminals[terminal].device)];
                let joints: Vec<String> = names
                    .iter()
                    .flat_map(|wire| at.iter().map(move |at| format!("{wire} at {at}")))
                    .collect();
                names.extend(joints);
                names.extend(at);
            }
            names
        }
        Place::Vehicle | Place::Part(_) | Place::Spot(_) | Place::State(_) => Vec::new(),
    }
}
