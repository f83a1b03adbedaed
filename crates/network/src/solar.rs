//! Solar modules from what their labels say, and the strings behind a controller.

use circuit::{Element, SingleDiode};
use model::{Attribute, DeviceId, Pole, Role};

use crate::build::{Builder, Group};
use crate::devices::Pair;
use crate::graph::{Link, Passage, Point, Walk};

/// Ideality of a crystalline silicon cell, and its open-circuit voltage, V (estimates).
const IDEALITY: f64 = 1.1;
const CELL_OPEN_V: f64 = 0.61;

/// Thermal voltage `k T / q` at 25 °C, V (CODATA constants, exact since 2019).
const THERMAL_25C_V: f64 = 0.025_692_579_1;

/// Shunt resistance as a multiple of `Voc / Isc` (estimate; its effect on a sound module is small).
const SHUNT_MULTIPLE: f64 = 100.0;

/// Standard test irradiance, W/m² (IEC 60904-3), and temperature, °C.
const STANDARD_SUN: f64 = 1000.0;

/// Resistance that holds a tracking controller's input at the best voltage, ohm.
const HOLD_OHM: f64 = 0.01;

/// Single-diode parameters that meet a label's short-circuit current, open-circuit voltage and
/// power at standard conditions.
///
/// `a = n Ns kT/q`, `I0 = Isc / (exp(Voc/a) - 1)`, `Rsh = 100 Voc/Isc`, and `Rs` such that the
/// greatest `V I` is the label's power (bisection; it falls as `Rs` grows). Symbols: `Ns` cells in
/// series from `Voc`. Source: the single-diode equation; the choice of `n` and `Rsh` is ours.
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
    let (mut low, mut high) = (1e-4, open_v / short_a);
    for _ in 0..60 {
        diode.series_ohm = f64::midpoint(low, high);
        if solve::maximum_power_point(&diode).watt > power_w {
            low = diode.series_ohm;
        } else {
            high = diode.series_ohm;
        }
    }
    diode
}

impl Builder<'_> {
    /// The module in the light of this state. Light current follows the light; the temperature of
    /// the cells is left at 25 °C in this model.
    fn module(&mut self, id: DeviceId) -> SingleDiode {
        let short_a = self.number(id, Attribute::ShortCurrent, 6.0).max(1e-3);
        let open_v = self.number(id, Attribute::OpenVoltage, 22.0).max(1.0);
        let power_w = self.number(id, Attribute::Power, 100.0).max(1e-2);
        let mut diode = from_label(short_a, open_v, power_w);
        diode.light_a *= self.state.sun.si() / STANDARD_SUN;
        diode
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
        let diode = self.module(id);
        let element = Element::SolarModule { plus: pair.plus_node, minus: pair.minus_node, diode };
        let branch = self.network.circuit.add(self.name(id).to_owned(), element);
        self.pass(id, plus, minus, Passage::Source);
        self.port(id, Group::Source, pair, branch, None);
    }

    /// A tracking controller: its input holds the string at its best voltage, its output delivers
    /// what the modules give there less its loss.
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
        if self.state.sun.si() > 0.0 && self.has_battery(output) {
            self.tracker(id, input, output);
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
        let (mut watt, mut best_v) = (0.0, 0.0f64);
        for module in &modules {
            let best = solve::maximum_power_point(&self.module(*module));
            watt += best.watt;
            best_v = best_v.max(best.volt);
        }
        if modules.is_empty() {
            return;
        }
        let hold_v = best_v * series as f64;
        let efficiency = self.number(id, Attribute::Efficiency, 0.96).clamp(0.05, 1.0);
        let element = Element::PowerSource {
            plus: output.plus_node,
            minus: output.minus_node,
            watt: efficiency * watt,
            set_v: self.number(id, Attribute::Regulates, 1.2 * self.nominal_v()),
            droop_ohm: self.number(id, Attribute::Droop, 0.01).max(1e-5),
            limit_a: self.limit_a(id),
        };
        let name = self.name(id).to_owned();
        let branch = self.network.circuit.add(name, element);
        self.port(id, Group::Source, output, branch, None);
        let hold = Element::Motor {
            plus: input.plus_node,
            minus: input.minus_node,
            armature_ohm: HOLD_OHM,
            back_emf_v: hold_v,
        };
        self.network.circuit.add(format!("{} input", self.name(id)), hold);
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
