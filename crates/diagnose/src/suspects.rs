//! Everything that may be wrong with a vehicle, with its odds before anything was read. The odds come
//! from the catalog: classes of causes share them, elements of a class by their rates, and the
//! history moves whole classes.

use catalog::{Befalls, Catalog, Effect, FaultMode};
use model::{Attribute, DeviceId, Place, Pole, Role, TerminalId, Vehicle};

use crate::fault::{Fault, Thing, is_return, landings};

/// Terminals a wire's end may lie on by mistake, tried for each end.
const WRONG_LANDINGS: usize = 3;

/// One thing that may be wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// What is wrong.
    pub fault: Fault,
    /// Where.
    pub place: Place,
    /// Name of the class of causes.
    pub class: String,
    /// In words.
    pub words: String,
    /// What puts it right.
    pub remedy: String,
    /// Minutes that takes with its proof, opening apart.
    pub minutes: f64,
    /// Key of the source of the odds.
    pub source: String,
    /// Probability before anything was read.
    pub prior: f64,
    /// Sizes that are tried: ohm, or multiples of a number; one entry where size means nothing.
    pub sizes: Vec<f64>,
}

impl Suspect {
    /// Whether it is an unwanted resistance, which may be of any size.
    pub fn is_series(&self) -> bool {
        matches!(self.fault, Fault::Series(_))
    }
}

/// Every suspect the record gives rise to; their priors and the chance that the cause is not in the
/// record sum to one.
pub fn suspects(vehicle: &Vehicle, catalog: &Catalog) -> Vec<Suspect> {
    let mut list = List { vehicle, catalog, found: Vec::new() };
    list.joints_and_landings();
    list.wires();
    list.devices();
    list.mode(Befalls::Design, Place::Vehicle, "", |_| Some(Fault::AsBuilt));
    list.weighed()
}

struct List<'a> {
    vehicle: &'a Vehicle,
    catalog: &'a Catalog,
    /// Suspects with their odds within their class in place of priors.
    found: Vec<Suspect>,
}

impl List<'_> {
    fn joints_and_landings(&mut self) {
        for (joint, _, _, terminal) in landings(self.vehicle) {
            let place = Place::Joint(joint);
            let name = self.vehicle.joint_name(joint);
            let returns = is_return(self.vehicle, terminal);
            let on = if returns { Befalls::ReturnJoint } else { Befalls::Joint };
            let thing = Thing::Joint(joint);
            self.mode(on, place, &format!("joint {name}"), |mode| of_thing(&mode.effect, thing));
            let wrong = self.wrong_landings(terminal);
            let share = 1.0 / wrong.len().max(1) as f64;
            for other in wrong {
                let words = format!("the wire of joint {name}");
                let before = self.found.len();
                self.mode(Befalls::Landing, place, &words, |_| {
                    Some(Fault::LandsOn { joint, terminal: other })
                });
                for suspect in &mut self.found[before..] {
                    suspect.words =
                        format!("{} {}", suspect.words, self.vehicle.terminal_name(other));
                    suspect.prior *= share;
                }
            }
        }
    }

    /// Terminals one may take for another: of the same device and side first, then of devices that
    /// lie behind the same parts.
    fn wrong_landings(&self, right: TerminalId) -> Vec<TerminalId> {
        let vehicle = self.vehicle;
        let (side, home) = (vehicle.terminals[right].pole, vehicle.terminals[right].device);
        let alike = |id: TerminalId| {
            let pole = vehicle.terminals[id].pole;
            id != right && !pole.is_ac() && (pole == side || pole == Pole::Any || side == Pole::Any)
        };
        let own = vehicle.devices[home].terminals.iter().copied().filter(|id| alike(*id));
        let reach = vehicle.devices[home].reach.value();
        let neighbours = vehicle
            .devices
            .iter()
            .filter(|(id, device)| *id != home && reach.is_some() && device.reach.value() == reach)
            .filter(|(_, device)| {
                matches!(device.role, Role::Junction | Role::Shunt | Role::Battery | Role::FuseBox)
            })
            .flat_map(|(_, device)| device.terminals.iter().copied())
            .filter(|id| alike(*id));
        own.chain(neighbours).take(WRONG_LANDINGS).collect()
    }

    fn wires(&mut self) {
        for (id, wire) in self.vehicle.wires.iter().filter(|(id, _)| !self.vehicle.is_ac(*id)) {
            let words = format!("wire {}", wire.name);
            let thing = Thing::Wire(id);
            self.mode(Befalls::Wire, Place::Wire(id), &words, |mode| of_thing(&mode.effect, thing));
        }
    }

    fn devices(&mut self) {
        for id in self.vehicle.devices.ids() {
            let device = &self.vehicle.devices[id];
            let (place, name) = (Place::Device(id), device.label.clone());
            if device.is_chassis {
                self.thing(Befalls::Body, place, &name, Thing::Inner(id));
            }
            match device.role {
                Role::Fuse | Role::Breaker | Role::FuseBox => {
                    self.contacts(id, Befalls::Protection)
                }
                Role::Switch => self.contacts(id, Befalls::Switch),
                Role::Shunt => self.contacts(id, Befalls::Shunt),
                Role::CombinerRelay => {
                    self.thing(Befalls::CombinerRelay, place, &name, Thing::Inner(id));
                }
                Role::Battery => self.equipment(Befalls::Battery, id),
                Role::Alternator
                | Role::DcDcCharger
                | Role::MainsCharger
                | Role::SolarController
                | Role::SolarModule => {
                    self.equipment(Befalls::Charger, id);
                    if device.number(Attribute::Regulates).is_some() {
                        self.equipment(Befalls::RegulatedSource, id);
                    }
                }
                role if role.is_dc_load() => {
                    self.equipment(Befalls::Load, id);
                    self.mode(Befalls::Poles, place, &name, |_| Some(Fault::Reversed(id)));
                }
                _ => {}
            }
        }
    }

    fn contacts(&mut self, id: DeviceId, on: Befalls) {
        let device = &self.vehicle.devices[id];
        let ways: Vec<(TerminalId, String)> = match device.role {
            Role::FuseBox => device
                .ways
                .iter()
                .enumerate()
                .filter(|(_, way)| way.label != "empty")
                .map(|(k, way)| (way.terminal, format!("fuse {} of {}", k + 1, device.label)))
                .collect(),
            _ => device.terminals.get(1).map(|t| (*t, device.label.clone())).into_iter().collect(),
        };
        for (terminal, words) in ways {
            let place = match device.role {
                Role::FuseBox => Place::Terminal(terminal),
                _ => Place::Device(id),
            };
            self.thing(on, place, &words, Thing::Contact(id, terminal));
        }
    }

    fn thing(&mut self, on: Befalls, place: Place, words: &str, thing: Thing) {
        self.mode(on, place, words, |mode| of_thing(&mode.effect, thing));
    }

    fn equipment(&mut self, on: Befalls, id: DeviceId) {
        let words = self.vehicle.devices[id].label.clone();
        self.mode(on, Place::Device(id), &words, |mode| match &mode.effect {
            Effect::Factor { number, .. } => Some(Fault::Factor { device: id, number: *number }),
            effect => of_thing(effect, Thing::Port(id)),
        });
    }

    /// Adds every mode that befalls something of this sort.
    fn mode(
        &mut self,
        on: Befalls,
        place: Place,
        what: &str,
        fault: impl Fn(&FaultMode) -> Option<Fault>,
    ) {
        let body = self.vehicle.devices.iter().any(|(_, device)| device.is_chassis);
        for mode in self.catalog.faults.of(on) {
            let Some(fault) = fault(mode) else { continue };
            // Without a recorded body there is nothing to touch.
            if matches!(fault, Fault::ToBody(_)) && !body {
                continue;
            }
            let sizes = match &mode.effect {
                Effect::Series => self.catalog.faults.resistances_ohm.clone(),
                Effect::Factor { factors, .. } => factors.clone(),
                _ => vec![1.0],
            };
            self.found.push(Suspect {
                fault,
                place,
                class: mode.class.clone(),
                words: format!("{what} {}", mode.words).trim().to_owned(),
                remedy: mode.remedy.clone(),
                minutes: mode.minutes,
                source: mode.source.clone(),
                prior: mode.odds,
                sizes,
            });
        }
    }

    /// Odds become priors: the share of the class, moved by the history, divided among its members.
    fn weighed(mut self) -> Vec<Suspect> {
        let faults = &self.catalog.faults;
        let mut shares: Vec<(&str, f64, f64)> = Vec::new();
        for class in &faults.classes {
            let members = self.found.iter().filter(|suspect| suspect.class == class.name);
            let odds: f64 = members.map(|suspect| suspect.prior).sum();
            let answers = &self.vehicle.history.answers;
            let moved: f64 = faults
                .history
                .iter()
                .filter(|row| answers.iter().any(|answer| answer.words() == row.answer))
                .filter_map(|row| row.factors.get(&class.name))
                .product();
            if odds > 0.0 {
                shares.push((&class.name, class.share * moved, odds));
            }
        }
        let total: f64 = shares.iter().map(|share| share.1).sum();
        let known = 1.0 - faults.not_in_record;
        for suspect in &mut self.found {
            let share = shares.iter().find(|share| share.0 == suspect.class);
            let (_, share, odds) = share.expect("a class with a member has odds");
            suspect.prior *= known * share / total / odds;
        }
        self.found
    }
}

fn of_thing(effect: &Effect, thing: Thing) -> Option<Fault> {
    match effect {
        Effect::Open => Some(Fault::Open(thing)),
        Effect::Series => Some(Fault::Series(thing)),
        Effect::ToBody => Some(Fault::ToBody(thing)),
        Effect::Nothing | Effect::LandsElsewhere | Effect::Reversed | Effect::Factor { .. } => None,
    }
}
