//! Newton iteration on the equations of a [`System`], with seeded start and junction
//! limiting; when that fails, the circuit is followed as it would settle in time, then a leak to
//! ground is stepped down, then the sources are stepped up. Knows no circuit elements beyond
//! their lines.

use crate::assemble::{ConverterPorts, Pair, Port, System, full_power_w};
use crate::laws::{FLAT_SLOPE_S, Line, Stride};
use crate::sparse::{Factors, NO_SLOT};

/// Iterations given to the seeded start.
const SEEDED_ITERATIONS: u32 = 40;
/// Iterations given to every stage of the fallbacks.
const STAGE_ITERATIONS: u32 = 100;
/// From this iteration on, steps that change pieces are halved.
const LATE_ITERATION: u32 = 12;
/// Step cap of nonlinear elements, V; a tenth of the highest source if that is more.
const STEP_CAP_V: f64 = 5.0;
/// Leaks to ground tried in turn, S; the last stage has none.
const LEAKS_S: [f64; 4] = [1e-1, 1e-3, 1e-6, 0.0];
/// Steps in which the sources are raised.
const SOURCE_STEPS: u32 = 10;
/// Conductance of the first step in time, S (a farad and a hundredth of a second, say).
const FIRST_PULL_S: f64 = 100.0;
/// Below this conductance time no longer matters, S.
const LAST_PULL_S: f64 = 1e-3;
/// Steps in time tried, and iterations given to each.
const TIME_STEPS: u32 = 200;
const STEP_ITERATIONS: u32 = 12;
/// Imbalance a node may keep, as a part of the currents that meet there.
const BALANCE_PART: f64 = 1e-11;
/// Imbalance a node may keep in any case, A.
const BALANCE_FLOOR_A: f64 = 1e-15;
/// Miss a voltage-defined branch may keep, as a part of the voltages around it.
const MISS_PART: f64 = 1e-13;
/// Rounding steps allowed on `conductance x voltage` when currents are summed.
const ROUNDINGS: f64 = 4.0;
/// A last step below this part of the voltage ends the iteration too.
const STEP_PART: f64 = 1e-14;
/// A converter's input current is reckoned at no less than this, V.
pub(crate) const LEAST_INPUT_V: f64 = 1.0;

/// Unknowns that satisfy a system, and the linear solves spent.
pub(crate) struct Solution {
    pub(crate) x: Vec<f64>,
    pub(crate) iterations: u32,
}

/// Nothing found after so many linear solves.
pub(crate) struct NotFound {
    pub(crate) iterations: u32,
}

/// Finds the unknowns: seeded start first, then as the circuit would settle in time, then
/// leak stepping, then source stepping.
///
/// In a circuit with a battery that takes charge less easily than it delivers, a seeded start that
/// ends with equipment off is not believed before the circuit has been followed in time: beside a
/// source at its limit and such a battery, a load of constant power can throw the iteration past
/// the voltage at which it would have run.
pub(crate) fn solve(system: &System) -> Result<Solution, NotFound> {
    let Some(mut newton) = Newton::new(system) else { return Err(NotFound { iterations: 0 }) };
    let seeded = Stage { is_seeded: true, ..Stage::PLAIN };
    let start = newton.run(seeded, SEEDED_ITERATIONS).map(|()| newton.x.clone());
    let is_doubtful = system.ports.iter().any(|p| p.law.is_bent()) && newton.has_something_off();
    let found = start.is_some() && !is_doubtful
        || newton.settle_in_time().is_some()
        || !newton.lost_feed
            && (newton.take(start).is_some()
                || newton.step_leak().is_some()
                || newton.step_sources().is_some());
    let iterations = newton.iterations;
    if found { Ok(Solution { x: newton.x, iterations }) } else { Err(NotFound { iterations }) }
}

/// A converter's input current and its partials: `(ampere, d/dv_in, d/dv_out)`.
///
/// `i = (v_out i_out / efficiency + idle) / max(v_in, 1 V)`.
pub(crate) fn converter_input(
    converter: &ConverterPorts,
    in_v: f64,
    out_v: f64,
    strength: f64,
) -> (f64, f64, f64) {
    let (out_a, out_slope_s) = converter.regulator.delivers(out_v, strength);
    let watt = out_v * out_a / converter.efficiency + converter.idle_w;
    let watt_per_v = (out_a + out_v * out_slope_s) / converter.efficiency;
    let fed_v = in_v.max(LEAST_INPUT_V);
    let ampere = watt / fed_v;
    let slope_s = if in_v > LEAST_INPUT_V { -ampere / fed_v } else { 0.0 };
    (ampere, slope_s, watt_per_v / fed_v)
}

#[derive(Clone, Copy)]
struct Stage {
    /// The first iteration uses the elements' seeds instead of the last unknowns.
    is_seeded: bool,
    /// Constant-power loads and converter inputs stay the resistors they are seeded with.
    holds_power: bool,
    leak_s: f64,
    /// Conductance that pulls every node to where it stood before (a capacitor's, in one step).
    pull_s: f64,
    strength: f64,
}

impl Stage {
    const PLAIN: Stage =
        Stage { is_seeded: false, holds_power: false, leak_s: 0.0, pull_s: 0.0, strength: 1.0 };
}

#[derive(Clone, Copy, Default)]
struct ConverterLines {
    input: Line,
    output: Line,
    cross_s: f64,
}

struct Newton<'a> {
    system: &'a System,
    factors: Factors,
    values: Vec<f64>,
    x: Vec<f64>,
    step: Vec<f64>,
    balance: Vec<f64>,
    /// Sum of currents meeting at an unknown, A.
    traffic: Vec<f64>,
    /// Sum of conductance times voltage at an unknown, A: what rounding acts on.
    rounding: Vec<f64>,
    ports: Vec<Line>,
    /// Unknowns before the present step in time.
    anchor: Vec<f64>,
    converters: Vec<ConverterLines>,
    iterations: u32,
    cap_v: f64,
    /// A converter lost its feed when the circuit was followed in time.
    lost_feed: bool,
}

impl<'a> Newton<'a> {
    fn new(system: &'a System) -> Option<Newton<'a>> {
        let size = system.size;
        Some(Newton {
            system,
            factors: Factors::new(&system.pattern)?,
            values: vec![0.0; system.base.len()],
            x: vec![0.0; size],
            step: vec![0.0; size],
            balance: vec![0.0; size],
            traffic: vec![0.0; size],
            rounding: vec![0.0; size],
            ports: vec![Line::default(); system.ports.len()],
            anchor: vec![0.0; size],
            converters: vec![ConverterLines::default(); system.converters.len()],
            iterations: 0,
            cap_v: STEP_CAP_V.max(0.1 * system.highest_v),
            lost_feed: false,
        })
    }

    fn take(&mut self, start: Option<Vec<f64>>) -> Option<()> {
        self.x = start?;
        Some(())
    }

    /// Whether a load rests below its cut-out or a converter is without feed.
    fn has_something_off(&self) -> bool {
        let cut_out = |port: &Port| port.law.has_cut_out(port.pair.volt(&self.x));
        self.system.ports.iter().any(cut_out) || self.has_unfed()
    }

    fn has_unfed(&self) -> bool {
        let unfed = |c: &ConverterPorts| c.input.volt(&self.x) < LEAST_INPUT_V;
        self.system.converters.iter().any(unfed)
    }

    /// Follows the circuit as it would settle with a capacitor at every node, from the state in
    /// which all loads are resistors: where a load asks more than can be brought, its voltage
    /// falls until it cuts out, as it would in the vehicle. Implicit Euler steps, each longer
    /// than the last as long as they succeed (pseudo-transient continuation).
    fn settle_in_time(&mut self) -> Option<()> {
        let held = Stage { is_seeded: true, holds_power: true, ..Stage::PLAIN };
        self.run(held, STAGE_ITERATIONS)?;
        let mut pull_s = FIRST_PULL_S;
        for _ in 0..TIME_STEPS {
            self.anchor.copy_from_slice(&self.x);
            let stage = Stage { pull_s, ..Stage::PLAIN };
            if self.run(stage, STEP_ITERATIONS).is_some() {
                // A converter that loses its feed on the way has shut down; looking for a point in
                // which it would run is long and in vain.
                if self.has_unfed() {
                    self.lost_feed = true;
                    return None;
                }
                pull_s *= 0.5;
                if pull_s < LAST_PULL_S {
                    return self.run(Stage::PLAIN, SEEDED_ITERATIONS);
                }
            } else {
                self.x.copy_from_slice(&self.anchor);
                pull_s *= 8.0;
            }
        }
        None
    }

    fn step_leak(&mut self) -> Option<()> {
        self.x.fill(0.0);
        for (k, leak_s) in LEAKS_S.into_iter().enumerate() {
            let stage = Stage { is_seeded: k == 0, holds_power: true, leak_s, ..Stage::PLAIN };
            self.run(stage, STAGE_ITERATIONS)?;
        }
        self.run(Stage::PLAIN, STAGE_ITERATIONS)
    }

    fn step_sources(&mut self) -> Option<()> {
        self.x.fill(0.0);
        for k in 1..=SOURCE_STEPS {
            let strength = f64::from(k) / f64::from(SOURCE_STEPS);
            let stage = Stage { is_seeded: k == 1, holds_power: true, strength, ..Stage::PLAIN };
            self.run(stage, STAGE_ITERATIONS)?;
        }
        self.run(Stage::PLAIN, STAGE_ITERATIONS)
    }

    /// Iterates until currents balance. `None`: not within the limit, or singular.
    fn run(&mut self, stage: Stage, limit: u32) -> Option<()> {
        let mut held_back = stage.is_seeded;
        if stage.is_seeded {
            self.x.fill(0.0);
            self.seed(stage);
        } else {
            self.relinearise(stage, f64::INFINITY, false);
        }
        for iteration in 0..limit {
            self.take_balance(stage);
            if !held_back && self.is_balanced() {
                return Some(());
            }
            self.take_step(stage)?;
            let is_first = stage.is_seeded && iteration == 0;
            let cap_v = if is_first { f64::INFINITY } else { self.cap_v };
            held_back = self.relinearise(stage, cap_v, iteration >= LATE_ITERATION);
            if !held_back && self.step_is_nothing() {
                return Some(());
            }
        }
        None
    }

    fn seed(&mut self, stage: Stage) {
        for (line, port) in self.ports.iter_mut().zip(&self.system.ports) {
            *line = port.law.seed(port.source_v, stage.strength);
        }
        for (lines, converter) in self.converters.iter_mut().zip(&self.system.converters) {
            *lines = ConverterLines {
                input: light_input(converter),
                output: Line {
                    at_v: stage.strength * converter.regulator.set_v,
                    ampere: 0.0,
                    slope_s: 1.0 / converter.regulator.droop_ohm,
                },
                cross_s: 0.0,
            };
        }
    }

    /// Moves every linearisation towards the present unknowns; true if any was held back.
    fn relinearise(&mut self, stage: Stage, cap_v: f64, late: bool) -> bool {
        let stride = Stride { cap_v, late };
        let is_free = cap_v.is_infinite();
        let mut held_back = false;
        for (line, port) in self.ports.iter_mut().zip(&self.system.ports) {
            if stage.holds_power && port.law.cut_out_v().is_some() {
                *line = port.law.seed(port.source_v, stage.strength);
                continue;
            }
            let volt = port.pair.volt(&self.x);
            let at_v = port.law.limit(line.at_v, volt, stride);
            held_back |= differs(at_v, volt);
            *line = port.law.line(at_v, stage.strength);
        }
        for (lines, converter) in self.converters.iter_mut().zip(&self.system.converters) {
            let (in_v, out_v) = (converter.input.volt(&self.x), converter.output.volt(&self.x));
            let out_at_v = converter.regulator.limit(lines.output.at_v, out_v, stride);
            let out_at_v = if is_free {
                out_at_v
            } else {
                out_at_v.clamp(lines.output.at_v - cap_v, lines.output.at_v + cap_v)
            };
            let in_at_v = if is_free || stage.holds_power {
                in_v
            } else {
                in_v.clamp(lines.input.at_v - cap_v, lines.input.at_v + cap_v)
            };
            held_back |= differs(out_at_v, out_v) || differs(in_at_v, in_v);
            *lines = converter_lines(converter, in_at_v, out_at_v, stage);
        }
        held_back
    }

    /// Sums currents leaving every node, and misses of voltage-defined branches.
    fn take_balance(&mut self, stage: Stage) {
        self.balance.fill(0.0);
        self.traffic.fill(0.0);
        self.rounding.fill(0.0);
        let system = self.system;
        for c in &system.conductances {
            let volt = c.pair.volt(&self.x) - stage.strength * c.emf_v;
            self.flow(c.pair, c.siemens * volt, c.siemens);
        }
        for j in &system.injections {
            self.flow(j.pair, stage.strength * j.ampere, 0.0);
        }
        for row in &system.rows {
            let ampere = self.x[row.row as usize];
            self.flow(row.pair, ampere, 0.0);
            let volt = row.pair.volt(&self.x);
            let miss_v = volt - row.ohm * ampere - stage.strength * row.volt;
            self.balance[row.row as usize] = miss_v;
        }
        for k in 0..system.ports.len() {
            let (pair, line) = (system.ports[k].pair, self.ports[k]);
            self.flow(pair, line.ampere_at(pair.volt(&self.x)), line.slope_s);
        }
        for (k, converter) in system.converters.iter().enumerate() {
            let ConverterLines { input, output, cross_s } = self.converters[k];
            let (in_v, out_v) = (converter.input.volt(&self.x), converter.output.volt(&self.x));
            let in_a = input.ampere_at(in_v) + cross_s * (out_v - output.at_v);
            self.flow(converter.input, in_a, input.slope_s);
            self.flow(converter.output, output.ampere_at(out_v), output.slope_s);
        }
        for unknown in 0..system.node_unknowns {
            let (volt, was) = (self.x[unknown], self.anchor[unknown]);
            let extra_a = stage.leak_s * volt + stage.pull_s * (volt - was);
            self.balance[unknown] += extra_a;
            self.traffic[unknown] += extra_a.abs();
        }
    }

    fn flow(&mut self, pair: Pair, ampere: f64, siemens: f64) {
        for (unknown, out_a) in [(pair.a, ampere), (pair.b, -ampere)] {
            if unknown != NO_SLOT {
                let at = unknown as usize;
                self.balance[at] += out_a;
                self.traffic[at] += ampere.abs();
                self.rounding[at] += siemens.abs() * self.x[at].abs();
            }
        }
    }

    fn is_balanced(&self) -> bool {
        let nodes = self.system.node_unknowns;
        let at_nodes = (0..nodes).all(|n| {
            let allowed_a = BALANCE_FLOOR_A
                + BALANCE_PART * self.traffic[n]
                + ROUNDINGS * f64::EPSILON * self.rounding[n];
            self.balance[n].abs() <= allowed_a
        });
        at_nodes
            && self.system.rows.iter().all(|row| {
                let around_v = row.pair.size(&self.x) + row.volt.abs();
                self.balance[row.row as usize].abs() <= MISS_PART * around_v
            })
    }

    fn take_step(&mut self, stage: Stage) -> Option<()> {
        self.values.copy_from_slice(&self.system.base);
        for (port, line) in self.system.ports.iter().zip(&self.ports) {
            add(&mut self.values, port.slots, steep(line.slope_s));
        }
        for (converter, lines) in self.system.converters.iter().zip(&self.converters) {
            add(&mut self.values, converter.input_slots, steep(lines.input.slope_s));
            add(&mut self.values, converter.output_slots, steep(lines.output.slope_s));
            add(&mut self.values, converter.cross_slots, lines.cross_s);
        }
        let extra_s = stage.leak_s + stage.pull_s;
        if extra_s > 0.0 {
            for &slot in &self.system.diagonal {
                self.values[slot as usize] += extra_s;
            }
        }
        for (step, balance) in self.step.iter_mut().zip(&self.balance) {
            *step = -balance;
        }
        self.iterations += 1;
        self.factors.solve(&self.system.pattern, &self.values, &mut self.step)?;
        for (x, step) in self.x.iter_mut().zip(&self.step) {
            *x += step;
        }
        Some(())
    }

    fn step_is_nothing(&self) -> bool {
        self.x.iter().zip(&self.step).all(|(x, step)| step.abs() <= STEP_PART * x.abs().max(1e-3))
    }
}

impl Pair {
    /// Sum of the two voltages' sizes: what rounding acts on.
    fn size(self, x: &[f64]) -> f64 {
        crate::assemble::value(x, self.a).abs() + crate::assemble::value(x, self.b).abs()
    }
}

/// A converter's input before anything is known of its output: almost no load, so that the
/// iteration comes down on the upper of the two voltages that give the same power.
fn light_input(converter: &ConverterPorts) -> Line {
    let full_w = full_power_w(&converter.regulator, converter.efficiency, converter.idle_w);
    let open_v = converter.source_v.max(LEAST_INPUT_V);
    let watt = converter.idle_w + 0.01 * full_w;
    Line { at_v: 0.0, ampere: 0.0, slope_s: watt / (open_v * open_v) }
}

fn converter_lines(
    converter: &ConverterPorts,
    in_v: f64,
    out_v: f64,
    stage: Stage,
) -> ConverterLines {
    let (out_a, out_slope_s) = converter.regulator.delivers(out_v, stage.strength);
    let output = Line { at_v: out_v, ampere: -out_a, slope_s: -out_slope_s };
    if stage.holds_power {
        return ConverterLines { input: light_input(converter), output, cross_s: 0.0 };
    }
    let (ampere, slope_s, cross_s) = converter_input(converter, in_v, out_v, stage.strength);
    ConverterLines { input: Line { at_v: in_v, ampere, slope_s }, output, cross_s }
}

fn differs(a_v: f64, b_v: f64) -> bool {
    (a_v - b_v).abs() > 1e-12 * b_v.abs()
}

/// Flat pieces get a trace of slope in the matrix, so that it stays regular.
fn steep(slope_s: f64) -> f64 {
    if slope_s.abs() < 1e-18 { FLAT_SLOPE_S } else { slope_s }
}

pub(crate) fn add(values: &mut [f64], slots: [u32; 4], siemens: f64) {
    for (slot, sign) in slots.into_iter().zip([1.0, -1.0, -1.0, 1.0]) {
        if slot != NO_SLOT {
            values[slot as usize] += sign * siemens;
        }
    }
}
