//! Solar modules from what their labels say, and the strings behind a controller.

use circuit::{BranchId, Element, SingleDiode};
use model::{Attribute, DeviceId, Pole, Role};
use solve::ReferenceModule;
use solve::solar::{Bypass, series_best_point, series_current_a};

use crate::build::{Builder, Group};
use crate::devices::Pair;
use crate::graph::{Item, Link, Passage, Point, Walk};

/// Ideality of a crystalline silicon cell, and its open-circuit voltage, V. De Soto's translation
/// asks for an ideality near one (0.99 and 1.07 for the two modules of the table that ships with
/// pvlib which the tests use): 1.1 would take 0.38 %/K off the voltage, a third too much.
const IDEALITY: f64 = 1.0;
const CELL_OPEN_V: f64 = 0.61;

/// Thermal voltage `k T / q` at 25 °C, V (CODATA constants, exact since 2019).
const THERMAL_25C_V: f64 = 0.025_692_579_1;

/// Shunt resistance as a multiple of `Voc / Isc` (estimate; its effect on a sound module is small).
const SHUNT_MULTIPLE: f64 = 100.0;

/// Least series resistance of a module, ohm, and bound on the steps towards the true one, which end
/// far below it.
const LEAST_SERIES_OHM: f64 = 1e-4;
const MOST_STEPS: usize = 60;

/// Open-circuit voltage up to which a module usually has two bypass diodes, V (36 cells; estimate).
const TWO_GROUPS_UP_TO_V: f64 = 25.0;

/// Resistance from a module's post to its first group, ohm: small enough to change nothing, there
/// so that one branch carries what the module delivers.
const POST_OHM: f64 = 1e-4;

/// Resistance that holds a tracking controller's input at the best voltage, ohm.
const HOLD_OHM: f64 = 0.01;

/// Single-diode parameters that meet a label's short-circuit current, open-circuit voltage and
/// power at standard conditions.
///
/// `a = n Ns kT/q`, `I0 = Isc / (exp(Voc/a) - 1)`, `Rsh = 100 Voc/Isc`, and `Rs` such that the
/// greatest `V I` is the label's power. That greatest power falls as `Rs` grows, by `I^2` at its point
/// (what moves the point itself does not count there), and less steeply the further: so Newton steps
/// from below come up to `Rs` and never past it. Symbols: `Ns` cells in series from `Voc`. Source: the single-diode equation; the choice of `n` and `Rsh` is ours.
/// Valid: fill factors from 0.25 up to that of `Rs = 0`; outside, the nearest end.
/// Checked by: `tests::solar::a_module_gives_what_its_label_says`.
pub(crate) fn from_label(short_a: f64, open_v: f64, power_w: f64) -> SingleDiode {
    let cells = (open_v / CELL_OPEN_V).round().max(1.0);
    let modified_ideality_v = IDEALITY * cells * THERMAL_25C_V;
    let mut diode = SingleDiode {
        light_a: short_a,
        saturation_a: short_a / ((open_v / modified_ideality_v).exp() - 1.0),
        series_ohm: 0.0,
        shunt_ohm: SHUNT_MULTIPLE * open_v / short_a,
        modified_ideality_v,
    };
    let most_ohm = open_v / short_a;
    diode.series_ohm = LEAST_SERIES_OHM;
    for _ in 0..MOST_STEPS {
        let best = solve::maximum_power_point(&diode);
        let more_ohm = (best.watt - power_w) / (best.ampere * best.ampere);
        let next_ohm =
            (diode.series_ohm + more_ohm).clamp(LEAST_SERIES_OHM, most_ohm.max(LEAST_SERIES_OHM));
        let moved_ohm = next_ohm - diode.series_ohm;
        if !moved_ohm.is_finite() {
            break;
        }
        diode.series_ohm = next_ohm;
        if moved_ohm <= 4.0 * f64::EPSILON * next_ohm {
            break;
        }
    }
    diode
}

impl Builder<'_> {
    /// The module in the light and heat of this state (De Soto's translation).
    fn module(&mut self, id: DeviceId) -> SingleDiode {
        let short_a = self.usual(id, Attribute::ShortCurrent).max(1e-3);
        let open_v = self.usual(id, Attribute::OpenVoltage).max(1.0);
        let power_w = self.usual(id, Attribute::Power).max(1e-2);
        let diode = from_label(short_a, open_v, power_w);
        let light_a_per_k = short_a * self.catalog.machines.module_current_per_k;
        let module = ReferenceModule { diode, light_a_per_k };
        let cell_c = self.cell_celsius(id);
        solve::solar::at_conditions(&module, self.state.sun.si(), cell_c)
    }

    /// Temperature of the cells: as the state says, else `Tc = Ta + G/(u0 + u1 v)` (Faiman) with
    /// `Ta` the state's temperature, `G` the light, `v` the wind.
    fn cell_celsius(&mut self, id: DeviceId) -> f64 {
        if let Some(cells) = self.state.cells {
            return cells.si();
        }
        let (constant, each, wind) = self.catalog.machines.module_heat;
        let cell_c = self.state.temperature.si() + self.state.sun.si() / (constant + each * wind);
        let what = format!("cells at {}", units::Celsius::from_si(cell_c));
        self.assume(what, "by sun, air and a light wind (Faiman)", Item::Device(id));
        cell_c
    }

    /// The groups of a module, each with a bypass diode; the first is the one in the shade.
    fn groups(&mut self, id: DeviceId) -> Option<Vec<SingleDiode>> {
        let (_, lost) = self.state.shade.iter().find(|(module, _)| *module == id)?;
        let lost = lost.si();
        let count = self.vehicle.devices[id].number(Attribute::BypassGroups);
        let count = match count {
            Some(count) => self.number(id, Attribute::BypassGroups, count),
            None => {
                let why =
                    "bypass diodes not recorded; two groups are usual up to 36 cells, three above";
                let open_v = self.usual(id, Attribute::OpenVoltage);
                let usual = if open_v > TWO_GROUPS_UP_TO_V { 3.0 } else { 2.0 };
                self.assume(format!("{usual} bypass groups"), why, Item::Device(id));
                usual
            }
        };
        let count = count.round().max(1.0);
        let whole = self.module(id);
        let group = SingleDiode {
            series_ohm: whole.series_ohm / count,
            shunt_ohm: whole.shunt_ohm / count,
            modified_ideality_v: whole.modified_ideality_v / count,
            ..whole
        };
        let mut groups = vec![group; count as usize];
        groups[0].light_a *= 1.0 - lost;
        Some(groups)
    }

    /// A module partly in the shade: its groups in series, a diode past each.
    fn shaded(&mut self, id: DeviceId, pair: Pair, groups: &[SingleDiode]) -> BranchId {
        let (saturation_a, emission) = self.catalog.machines.diode;
        let name = self.name(id).to_owned();
        let mut plus = self.network.circuit.add_node(format!("{name} cells"));
        let post = Element::Resistor { a: pair.plus_node, b: plus, ohm: POST_OHM };
        let whole = self.network.circuit.add(name, post);
        for (at, diode) in groups.iter().enumerate() {
            let is_last = at + 1 == groups.len();
            let name = format!("{} group {}", self.name(id), at + 1);
            let minus = match is_last {
                true => pair.minus_node,
                false => self.network.circuit.add_node(name.clone()),
            };
            let element = Element::SolarModule { plus, minus, diode: *diode };
            self.network.circuit.add(name.clone(), element);
            let bypass = Element::Diode { anode: minus, cathode: plus, saturation_a, emission };
            self.network.circuit.add(format!("{name} bypass"), bypass);
            plus = minus;
        }
        whole
    }

    fn bypass(&self) -> Bypass {
        let (saturation_a, emission) = self.catalog.machines.diode;
        Bypass { saturation_a, scale_v: emission * THERMAL_25C_V }
    }

    pub(crate) fn solar_module(&mut self, id: DeviceId) {
        let (Some(plus), Some(minus)) =
            (self.pole_terminal(id, Pole::Plus), self.pole_terminal(id, Pole::Minus))
        else {
            return;
        };
        let Some(pair) = self.pair(plus, minus) else { return };
        if self.state.sun.si() <= 0.0 {
            self.pass(id, plus, minus, Passage::Load);
            return;
        }
        let branch = match self.groups(id) {
            Some(groups) => self.shaded(id, pair, &groups),
            None => {
                let diode = self.module(id);
                let (plus, minus) = (pair.plus_node, pair.minus_node);
                let element = Element::SolarModule { plus, minus, diode };
                self.network.circuit.add(self.name(id).to_owned(), element)
            }
        };
        self.pass(id, plus, minus, Passage::Source);
        self.port(id, Group::Source, pair, branch, None);
    }

    /// A controller that seeks holds the string at its best voltage and delivers what the modules
    /// give there less its loss; a direct one holds it at the voltage it regulates to and hands the
    /// current on. How far a full battery throttles it is seen at its output only: the wires of the
    /// modules are shown with all they could carry.
    pub(crate) fn solar_controller(&mut self, id: DeviceId) {
        let named = |name| self.vehicle.terminal_of(id, name);
        let (Some(pv_plus), Some(pv_minus), Some(plus), Some(minus)) =
            (named("pv+"), named("pv-"), named("+"), named("-"))
        else {
            return;
        };
        // Common minus is usual; whether energy can come back out of the input is not known.
        self.pass(id, pv_plus, plus, Passage::Maybe);
        self.pass(id, pv_minus, minus, Passage::Metal);
        let (Some(input), Some(output)) = (self.pair(pv_plus, pv_minus), self.pair(plus, minus))
        else {
            return;
        };
        let name = format!("{} common minus", self.name(id));
        self.network
            .circuit
            .add(name, Element::Resistor { a: input.minus_node, b: output.minus_node, ohm: 1e-4 });
        let is_lit = self.state.sun.si() > 0.0;
        if !is_lit || self.leave_out.contains(&id) || !self.has_battery(output) {
            return;
        }
        match self.vehicle.devices[id].role {
            Role::DirectController => self.direct(id, input, output),
            _ => self.tracker(id, input, output),
        }
    }

    /// Metal joins the output to a battery. A controller with nothing to charge takes nothing.
    fn has_battery(&self, output: Pair) -> bool {
        let walk = self.network.graph.walk([self.network.graph.stud(output.plus)], |link, _| {
            matches!(link.passage, Passage::Metal | Passage::OneWay)
        });
        self.vehicle.devices.iter().any(|(id, device)| {
            device.role == Role::Battery
                && self
                    .pole_terminal(id, Pole::Plus)
                    .is_some_and(|t| walk.reaches(self.network.graph.stud(t)))
        })
    }

    fn tracker(&mut self, id: DeviceId, input: Pair, output: Pair) {
        let (modules, series) = self.string(input);
        if modules.is_empty() {
            return;
        }
        let (watt, hold_v) = self.best_of(&modules, series);
        let efficiency = self.usual(id, Attribute::Efficiency).clamp(0.05, 1.0);
        let element = Element::PowerSource {
            plus: output.plus_node,
            minus: output.minus_node,
            watt: efficiency * watt,
            set_v: self.usual(id, Attribute::Regulates),
            droop_ohm: self.usual(id, Attribute::Droop).max(1e-5),
            limit_a: self.limit_a(id),
        };
        let name = self.name(id).to_owned();
        let branch = self.network.circuit.add(name, element);
        self.port(id, Group::Source, output, branch, None);
        self.hold(id, input, hold_v);
    }

    /// Holds a controller's input at a voltage.
    fn hold(&mut self, id: DeviceId, input: Pair, volt: f64) {
        let hold = Element::Motor {
            plus: input.plus_node,
            minus: input.minus_node,
            armature_ohm: HOLD_OHM,
            back_emf_v: volt,
        };
        self.network.circuit.add(format!("{} input", self.name(id)), hold);
    }

    /// Most power of the modules of a string, and the voltage of the string there. In shade, modules
    /// in one row are searched together; rows side by side each at their own best, which is a
    /// little too much.
    fn best_of(&mut self, modules: &[DeviceId], series: usize) -> (f64, f64) {
        let shaded: Vec<Option<Vec<SingleDiode>>> =
            modules.iter().map(|module| self.groups(*module)).collect();
        let bypass = self.bypass();
        if series == modules.len() && shaded.iter().any(Option::is_some) {
            let mut row = Vec::new();
            for (module, groups) in modules.iter().zip(shaded) {
                row.extend(groups.unwrap_or_else(|| vec![self.module(*module)]));
            }
            let best = series_best_point(&row, bypass);
            return (best.watt, best.volt);
        }
        let (mut watt, mut best_v) = (0.0, 0.0f64);
        for (module, groups) in modules.iter().zip(shaded) {
            let best = match groups {
                Some(groups) => series_best_point(&groups, bypass),
                None => solve::maximum_power_point(&self.module(*module)),
            };
            watt += best.watt;
            best_v = best_v.max(best.volt);
        }
        (watt, best_v * series as f64)
    }

    /// Each module gives its current at the voltage of the battery being full, which the modules of
    /// one row share; the current at lower voltages is little more.
    fn direct(&mut self, id: DeviceId, input: Pair, output: Pair) {
        let (modules, series) = self.string(input);
        if modules.is_empty() {
            return;
        }
        let set_v = self.usual(id, Attribute::Regulates);
        let loss_ohm = self.usual(id, Attribute::Resistance);
        let (bypass, each) = (self.bypass(), series as f64);
        let mut sum_a = 0.0;
        for module in &modules {
            let groups = match self.groups(*module) {
                Some(groups) => groups,
                None => vec![self.module(*module)],
            };
            sum_a += series_current_a(&groups, bypass, set_v / each);
        }
        let limit_a = (sum_a / each).min(self.limit_a(id));
        self.hold(id, input, set_v + limit_a * loss_ohm);
        self.regulated_source(id, output, set_v, limit_a);
    }

    /// The modules on a closed way from the plus input to the minus input over metal and other
    /// modules, each crossed from plus to minus; and how many the shortest way crosses. One with a
    /// loose end, or the wrong way round, is none of them.
    fn string(&self, input: Pair) -> (Vec<DeviceId>, usize) {
        let plus = self.network.graph.stud(input.plus);
        let minus = self.network.graph.stud(input.minus);
        // The current comes up through the modules to plus, so from plus it is met head on.
        let down = self.crossings(plus, minus, |studs| studs, |link| link.b);
        let up = self.crossings(minus, plus, |(p, m)| (m, p), |link| link.a);
        let on = |crossings: &[Crossed], end: Point, at: Point| {
            crossings.iter().any(|c| c.metal.reaches(at) && !c.metal.reaches(end))
        };
        let closed =
            |(_, (p, m)): &(DeviceId, (Point, Point))| on(&down, minus, *p) && on(&up, plus, *m);
        let modules = self.modules().filter(closed).map(|(id, _)| id).collect();
        let series = down.iter().find(|c| c.metal.reaches(minus)).map_or(1, |c| c.modules);
        (modules, series.max(1))
    }

    /// Every module with its plus and its minus stud.
    fn modules(&self) -> impl Iterator<Item = (DeviceId, (Point, Point))> {
        let devices = self.vehicle.devices.iter();
        devices.filter(|(_, device)| device.role == Role::SolarModule).filter_map(|(id, _)| {
            let stud = |pole| Some(self.network.graph.stud(self.pole_terminal(id, pole)?));
            Some((id, (stud(Pole::Plus)?, stud(Pole::Minus)?)))
        })
    }

    /// The pieces of metal reached from a point across ever more modules, up to the piece that
    /// holds the end; `way` says from which stud to which a module is crossed, `enter` at which
    /// point a blocking diode is.
    fn crossings(
        &self,
        from: Point,
        end: Point,
        way: impl Fn((Point, Point)) -> (Point, Point),
        enter: impl Fn(&Link) -> Point,
    ) -> Vec<Crossed> {
        let metal_from = |from: Point| {
            self.network.graph.walk([from], |link, at| match link.passage {
                Passage::Metal => true,
                Passage::OneWay => enter(link) == at,
                _ => false,
            })
        };
        let mut pieces = vec![Crossed { metal: metal_from(from), modules: 0 }];
        let mut at = 0;
        while let Some(Crossed { metal, modules }) = pieces.get(at) {
            let next = modules + 1;
            let exits: Vec<Point> = self
                .modules()
                .map(|(_, studs)| way(studs))
                .filter(|(entry, _)| metal.reaches(*entry) && !metal.reaches(end))
                .map(|(_, exit)| exit)
                .collect();
            for exit in exits {
                if !pieces.iter().any(|piece| piece.metal.reaches(exit)) {
                    pieces.push(Crossed { metal: metal_from(exit), modules: next });
                }
            }
            at += 1;
        }
        pieces
    }
}

/// A piece of metal, and how many modules lie before it.
struct Crossed {
    metal: Walk,
    modules: usize,
}
