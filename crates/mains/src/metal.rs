//! What metal joins on the mains side in a state: wires, closed poles, changeover relays. Bonds
//! and loads are no metal here. Knows no voltages.

use model::{DeviceId, Id, Pole, Role, Shore, State, TerminalId, Vehicle, WireEnd, WireId};

/// A piece of metal between two terminals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Join {
    /// A wire with its two joints.
    Wire(WireId, TerminalId, TerminalId),
    /// A closed pole of a device, from its input to its output.
    Pole(DeviceId, TerminalId, TerminalId),
}

impl Join {
    fn ends(self) -> (TerminalId, TerminalId) {
        match self {
            Join::Wire(_, a, b) | Join::Pole(_, a, b) => (a, b),
        }
    }
}

/// What is joined to what.
pub(crate) struct Metal {
    /// Every join.
    pub(crate) joins: Vec<Join>,
    /// Inverters whose changeover relay stands on their input.
    pub(crate) passing: Vec<DeviceId>,
    root: Vec<usize>,
    size: Vec<usize>,
}

impl Metal {
    /// Wires and closed poles of a state, then relays of inverters whose input is fed.
    pub(crate) fn of(vehicle: &Vehicle, state: &State) -> Metal {
        let mut metal = Metal {
            joins: Vec::new(),
            passing: Vec::new(),
            root: (0..=vehicle.terminals.len()).collect(),
            size: vec![1; vehicle.terminals.len() + 1],
        };
        for (id, wire) in vehicle.wires.iter() {
            let [Some(a), Some(b)] = WireEnd::BOTH.map(|end| wire.terminal(end)) else { continue };
            if vehicle.is_ac(id) {
                metal.join(Join::Wire(id, a, b));
            }
        }
        for (id, device) in vehicle.devices.iter() {
            let open = state.open.contains(&id);
            for (a, b) in poles(vehicle, id).filter(|_| device.role == Role::AcBreaker) {
                // Protective earth is never switched.
                if !open || vehicle.terminals[a].pole == Pole::Earth {
                    metal.join(Join::Pole(id, a, b));
                }
            }
            for terminal in &device.terminals {
                if on_body(vehicle, *terminal) {
                    metal.unite(terminal.index(), vehicle.terminals.len());
                }
            }
        }
        metal.relays(vehicle, state);
        metal
    }

    /// Protective earth passes an inverter always; line and neutral while its input is fed.
    fn relays(&mut self, vehicle: &Vehicle, state: &State) {
        for (id, device) in vehicle.devices.iter().filter(|(_, d)| d.role == Role::Inverter) {
            let feeding: Vec<TerminalId> = fed_lines(vehicle, state).collect();
            let is_fed = device.terminals.iter().any(|input| {
                let row = &vehicle.terminals[*input];
                row.pole == Pole::Line
                    && row.name.starts_with("in.")
                    && feeding.iter().any(|line| self.joined(*input, *line))
            });
            for (a, b) in poles(vehicle, id) {
                if is_fed || vehicle.terminals[a].pole == Pole::Earth {
                    self.join(Join::Pole(id, a, b));
                }
            }
            if is_fed {
                self.passing.push(id);
            }
        }
    }

    fn join(&mut self, join: Join) {
        let (a, b) = join.ends();
        self.joins.push(join);
        self.unite(a.index(), b.index());
    }

    fn unite(&mut self, a: usize, b: usize) {
        let (a, b) = (self.top(a), self.top(b));
        if self.size[a] > self.size[b] {
            self.root[b] = a;
            self.size[a] += self.size[b];
        } else if a != b {
            self.root[a] = b;
            self.size[b] += self.size[a];
        }
    }

    /// What stands for a piece of metal; the larger piece took the smaller in, so the way is short.
    fn top(&self, mut at: usize) -> usize {
        while self.root[at] != at {
            at = self.root[at];
        }
        at
    }

    /// True when metal joins two terminals.
    pub(crate) fn joined(&self, a: TerminalId, b: TerminalId) -> bool {
        self.top(a.index()) == self.top(b.index())
    }

    /// True when metal joins a terminal to the body.
    pub(crate) fn on_body(&self, terminal: TerminalId) -> bool {
        self.top(terminal.index()) == self.top(self.root.len() - 1)
    }
}

/// Line terminals from which shore power or a running generator comes in.
fn fed_lines<'v>(vehicle: &'v Vehicle, state: &'v State) -> impl Iterator<Item = TerminalId> + 'v {
    let feeds = |id: DeviceId, role: Role| match role {
        Role::ShoreInlet => state.shore == Shore::Plugged,
        Role::Generator => state.on.contains(&id),
        _ => false,
    };
    vehicle
        .devices
        .iter()
        .filter(move |(id, device)| feeds(*id, device.role))
        .flat_map(|(id, _)| of_pole(vehicle, id, Pole::Line, ""))
}

/// Terminals of a device on a pole whose name begins with a group.
pub(crate) fn of_pole<'v>(
    vehicle: &'v Vehicle,
    device: DeviceId,
    pole: Pole,
    group: &'v str,
) -> impl Iterator<Item = TerminalId> + 'v {
    vehicle.devices[device].terminals.iter().copied().filter(move |id| {
        let row = &vehicle.terminals[*id];
        row.pole == pole && row.name.starts_with(group)
    })
}

/// Pairs of input and output of a device that has both.
fn poles(vehicle: &Vehicle, id: DeviceId) -> impl Iterator<Item = (TerminalId, TerminalId)> + '_ {
    vehicle.devices[id].terminals.iter().filter_map(move |input| {
        let core = vehicle.terminals[*input].name.strip_prefix("in.")?;
        Some((*input, vehicle.terminal_of(id, &format!("out.{core}"))?))
    })
}

/// An earth stud or chassis point: what lands on it is on the body.
pub(crate) fn on_body(vehicle: &Vehicle, terminal: TerminalId) -> bool {
    let row = &vehicle.terminals[terminal];
    let device = &vehicle.devices[row.device];
    device.role == Role::Junction && (device.is_chassis || row.pole == Pole::Earth)
}
