//! A variant solved in the small space of its ports: the added currents are eliminated
//! (Sherman, Morrison, Woodbury), then Newton's iteration runs on the ports whose slope has moved;
//! the others follow by the slope they had. Knows no names and no islands.

use super::Why;
use super::base::Base;
use super::dense::Dense;
use super::plan::{Plan, Rule};
use crate::assemble::ConverterPorts;
use crate::laws::{Law, Line, Stride};
use crate::newton::{LEAST_INPUT_V, converter_input};

/// Iterations tried.
const ITERATIONS: u32 = 40;
/// From this iteration on, steps that change pieces are halved.
const LATE_ITERATION: u32 = 12;
/// Step cap of nonlinear elements, V; a tenth of the highest source if that is more.
const STEP_CAP_V: f64 = 5.0;
/// A port whose change of slope moves its own voltage by more than this part is iterated.
const ACTIVE_PART: f64 = 3e-3;
/// A load asks so much of its feed that its first step is that of a resistor.
const HEAVY_PART: f64 = 0.3;
/// Miss of a port's voltage that ends the iteration, as a part of its voltage (at least 1 V),
/// times as much as the last step was longer than the miss it mended.
const MISS_PART: f64 = 1e-10;
/// An answer found in so many iterations came straight down; later ones must have come to rest.
const EASY_ITERATIONS: u32 = 5;
/// Step that is none, for answers that took longer.
const REST_PART: f64 = 1e-12;
/// Voltages beyond this, before the ports follow, would cost digits when they come back.
const MOST_START_V: f64 = 1e4;
/// Currents that move no port by this are left out of sums, V.
const NOTHING_V: f64 = 1e-15;
/// How clearly a load that has cut out must be unable to run.
const CLEAR_PART: f64 = 0.02;
/// Least response of an ideal source's own current that tells it from none, S.
const LEAST_RESPONSE_S: f64 = 1e-9;

/// A solved variant: what its currents are beyond the base's lines.
pub(super) struct Found {
    /// Voltage of every port, the added ones last, V.
    pub(super) volts: Vec<f64>,
    /// Current of every port beyond its line in the base, A.
    pub(super) beyond_a: Vec<f64>,
    /// Added currents, A.
    pub(super) added_a: Vec<f64>,
    /// Iterations spent.
    pub(super) iterations: u32,
}

/// One variant on its way.
pub(super) struct Reduced<'a> {
    base: &'a Base,
    plan: &'a Plan,
    /// Ports of the base, and all ports.
    own: usize,
    all: usize,
    added: Option<Dense>,
    /// `at[j * all + p]`: fall of port `p` per ampere of added current `j`.
    at: Vec<f64>,
    /// `weight[j * all + q]`: added current `j` per ampere taken at port `q`, negative.
    weight: Vec<f64>,
    /// What an ampere at each added port does to all ports.
    extras: Vec<Vec<f64>>,
    state: State,
}

#[derive(Default)]
struct State {
    /// Voltages with every port on its line in the base.
    start_v: Vec<f64>,
    start_added_a: Vec<f64>,
    at_v: Vec<f64>,
    beyond_a: Vec<f64>,
    slope_s: Vec<f64>,
    /// Slope of a converter's input over its output.
    cross_s: Vec<f64>,
    active: Vec<usize>,
}

/// Solves a variant, or says why it has to be solved in full.
pub(super) fn solve(base: &Base, plan: &Plan) -> Result<Found, Why> {
    let mut reduced = Reduced::new(base, plan)?;
    let found = match reduced.iterate(HEAVY_PART) {
        // Where the feed of many loads is gone, all of them start as resistors.
        Err(Why::NoConvergence) => reduced.iterate(0.0)?,
        found => found?,
    };
    reduced.check_modes(&found)?;
    Ok(found)
}

impl<'a> Reduced<'a> {
    /// Voltages of the ports with all of them on their lines in the base.
    pub(super) fn into_start_v(self) -> Vec<f64> {
        self.state.start_v
    }

    pub(super) fn new(base: &'a Base, plan: &'a Plan) -> Result<Reduced<'a>, Why> {
        let own = base.port_count();
        let all = own + plan.extras.len();
        let mut reduced = Reduced {
            base,
            plan,
            own,
            all,
            added: None,
            at: Vec::new(),
            weight: Vec::new(),
            extras: Vec::new(),
            state: State::default(),
        };
        reduced.place_extras()?;
        reduced.place_added()?;
        Ok(reduced)
    }

    fn place_extras(&mut self) -> Result<(), Why> {
        for extra in &self.plan.extras {
            let column = self.base.column(extra.place.touch).ok_or(Why::Inexact)?;
            let mut at: Vec<f64> = column.at_ports.iter().map(|v| v * extra.place.sign).collect();
            at.extend(self.plan.extras.iter().map(|e| e.place.of(&column.x) * extra.place.sign));
            self.extras.push(at);
        }
        Ok(())
    }

    /// Sets up and factors the equations of the added currents.
    fn place_added(&mut self) -> Result<(), Why> {
        let (base, added) = (self.base, &self.plan.added);
        let count = added.len();
        self.state.start_v = self.base.pairs.iter().map(|pair| pair.volt(&base.x)).collect();
        self.state.start_v.extend(self.plan.extras.iter().map(|e| e.place.of(&base.x)));
        if count == 0 {
            return Ok(());
        }
        let mut rows = vec![0.0; count * count];
        let mut scale = vec![0.0; count];
        self.at = vec![0.0; count * self.all];
        self.weight = vec![0.0; count * self.all];
        let mut drive = vec![0.0; count];
        for (j, here) in added.iter().enumerate() {
            let column = base.column(here.place.touch).ok_or(Why::Inexact)?;
            let sign = here.place.sign;
            for (p, v) in column.at_ports.iter().enumerate() {
                self.at[j * self.all + p] = sign * v;
            }
            for (e, extra) in self.plan.extras.iter().enumerate() {
                self.at[j * self.all + self.own + e] = sign * extra.place.of(&column.x);
            }
            for (k, there) in added.iter().enumerate() {
                if matches!(there.rule, Rule::Ohm { .. }) {
                    rows[k * count + j] = sign * there.place.of(&column.x);
                }
            }
            let Rule::Ohm { ohm, emf_v } = here.rule else {
                (rows[j * count + j], scale[j]) = (1.0, 1.0);
                let Rule::Fixed(ampere) = here.rule else { continue };
                drive[j] = ampere;
                continue;
            };
            drive[j] = here.place.of(&base.x) - emf_v;
            for (q, v) in column.from_ports.iter().enumerate() {
                self.weight[j * self.all + q] = sign * v;
            }
            for (e, extra) in self.plan.extras.iter().enumerate() {
                let other = base.column(extra.place.touch).ok_or(Why::Inexact)?;
                self.weight[j * self.all + self.own + e] =
                    extra.place.sign * here.place.of(&other.x);
            }
            scale[j] = ohm.abs() + (here.place.of(&column.x) * sign).abs();
        }
        self.finish_added(rows, scale, drive)
    }

    fn finish_added(
        &mut self,
        mut rows: Vec<f64>,
        mut scale: Vec<f64>,
        mut drive: Vec<f64>,
    ) -> Result<(), Why> {
        let count = drive.len();
        for (j, here) in self.plan.added.iter().enumerate() {
            let row = &mut rows[j * count..(j + 1) * count];
            if let Rule::Ohm { ohm, .. } = here.rule {
                row[j] += ohm;
                let largest = row.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
                scale[j] = scale[j].max(largest);
                if ohm.abs() <= 0.0 {
                    scale[j] = scale[j].max(LEAST_RESPONSE_S);
                }
            }
        }
        let factors = Dense::factor(count, rows, &scale).ok_or(Why::Singular)?;
        factors.solve(&mut drive);
        for (j, ampere) in drive.iter().enumerate() {
            for p in 0..self.all {
                self.state.start_v[p] -= self.at[j * self.all + p] * ampere;
            }
        }
        let mut column = vec![0.0; count];
        for q in 0..self.all {
            for (j, entry) in column.iter_mut().enumerate() {
                *entry = self.weight[j * self.all + q];
            }
            factors.solve(&mut column);
            for (j, entry) in column.iter().enumerate() {
                self.weight[j * self.all + q] = *entry;
            }
        }
        self.state.start_added_a = drive;
        self.added = Some(factors);
        Ok(())
    }

    /// Fall of port `p` per ampere taken at port `q`, with the change in place.
    fn response(&self, p: usize, q: usize) -> f64 {
        let own = if q < self.own {
            if p < self.own {
                self.base.response[q * self.own + p]
            } else {
                self.plan.extras[p - self.own].place.of(&self.base.port_columns[q].x)
            }
        } else {
            self.extras[q - self.own][p]
        };
        let count = self.plan.added.len();
        let by_added: f64 =
            (0..count).map(|j| self.at[j * self.all + p] * self.weight[j * self.all + q]).sum();
        own - by_added
    }

    /// Subtracts from `volts` what an ampere-vector at the ports makes them fall.
    fn fall(&self, ampere: &[f64], volts: &mut [f64]) {
        let count = self.plan.added.len();
        let mut added = vec![0.0; count];
        for (q, &a) in ampere.iter().enumerate() {
            if a.abs() * self.own_response(q) < NOTHING_V {
                continue;
            }
            if q < self.own {
                let column = &self.base.response[q * self.own..(q + 1) * self.own];
                for (v, z) in volts.iter_mut().zip(column) {
                    *v -= z * a;
                }
                for (e, extra) in self.plan.extras.iter().enumerate() {
                    volts[self.own + e] -= a * extra.place.of(&self.base.port_columns[q].x);
                }
            } else {
                for (v, z) in volts.iter_mut().zip(&self.extras[q - self.own]) {
                    *v -= z * a;
                }
            }
            for (j, sum) in added.iter_mut().enumerate() {
                *sum += self.weight[j * self.all + q] * a;
            }
        }
        for (j, sum) in added.into_iter().enumerate() {
            for (v, z) in volts.iter_mut().zip(&self.at[j * self.all..(j + 1) * self.all]) {
                *v += z * sum;
            }
        }
    }

    /// Size of a port's response to its own current, the change apart.
    fn own_response(&self, q: usize) -> f64 {
        let own = if q < self.own {
            self.base.response[q * self.own + q]
        } else {
            self.extras[q - self.own][q]
        };
        let count = self.plan.added.len();
        let largest = |j: usize| (self.at[j * self.all + q] * self.weight[j * self.all + q]).abs();
        (0..count).map(largest).fold(own.abs(), f64::max)
    }

    fn begin(&mut self, at_v: Vec<f64>) {
        self.state.at_v = at_v;
        self.state.beyond_a = vec![0.0; self.all];
        self.state.slope_s = vec![0.0; self.all];
        self.state.cross_s = vec![0.0; self.base.cross_s.len()];
    }

    fn iterate(&mut self, heavy_part: f64) -> Result<Found, Why> {
        let on_lines = self.base.lines.iter().map(|line| line.at_v);
        self.begin(on_lines.chain(self.state.start_v[self.own..].iter().copied()).collect());
        if self.state.start_v.iter().any(|v| v.abs() > MOST_START_V) {
            return Err(Why::Singular);
        }
        let (mut held_back, mut stretch) = (false, 1.0);
        for iteration in 0..ITERATIONS {
            self.evaluate();
            let mut volts = self.state.start_v.clone();
            self.fall(&self.state.beyond_a, &mut volts);
            let miss = self.miss(&volts);
            // How far a miss reaches is known from the second iteration on.
            let is_told = (iteration > 0 || self.all == 0) && iteration <= EASY_ITERATIONS;
            if !held_back && is_told && miss * stretch <= MISS_PART {
                return Ok(self.found(iteration));
            }
            if iteration == 0 {
                self.ease_heavy_loads(heavy_part);
            }
            self.choose_active();
            self.step(&mut volts)?;
            if !volts.iter().all(|v| v.is_finite()) {
                return Err(Why::NoConvergence);
            }
            let moved = self.miss(&volts);
            if !held_back && moved <= REST_PART {
                return Ok(self.found(iteration));
            }
            stretch = f64::max(1.0, moved / miss.max(f64::MIN_POSITIVE));
            let is_first = iteration == 0;
            held_back = self.move_to(&volts, is_first, iteration >= LATE_ITERATION);
        }
        Err(Why::NoConvergence)
    }

    /// Iterates from voltages that are all but the answer; `None` if they are not.
    pub(super) fn come_to_rest(&mut self, from_v: &[f64], iterations: u32) -> Option<Found> {
        self.begin(from_v.to_vec());
        for iteration in 0..iterations {
            self.evaluate();
            let mut volts = self.state.start_v.clone();
            self.fall(&self.state.beyond_a, &mut volts);
            if self.miss(&volts) <= MISS_PART {
                return Some(self.found(iteration));
            }
            self.choose_active();
            self.step(&mut volts).ok()?;
            self.move_to(&volts, false, false);
        }
        None
    }

    /// By how much laws and network disagree on any port's voltage, as a part of it (at least
    /// 1 V): the check of the answer.
    fn miss(&self, volts: &[f64]) -> f64 {
        let pairs = volts.iter().zip(&self.state.at_v);
        pairs.map(|(v, at)| (v - at).abs() / at.abs().max(1.0)).fold(0.0, f64::max)
    }

    fn found(&mut self, iterations: u32) -> Found {
        let state = std::mem::take(&mut self.state);
        let mut added_a = state.start_added_a.clone();
        for (j, ampere) in added_a.iter_mut().enumerate() {
            let weights = &self.weight[j * self.all..(j + 1) * self.all];
            *ampere -= weights.iter().zip(&state.beyond_a).map(|(w, a)| w * a).sum::<f64>();
        }
        let found = Found {
            volts: state.at_v.clone(),
            beyond_a: state.beyond_a.clone(),
            added_a,
            iterations,
        };
        self.state = state;
        found
    }

    /// The law of a port now; `None` where it carries nothing.
    fn law(&self, port: usize) -> Option<&Law> {
        if port >= self.own {
            return Some(&self.plan.extras[port - self.own].law);
        }
        match self.plan.laws.iter().find(|(p, _)| *p == port) {
            Some((_, law)) => law.as_ref(),
            None => self.base.law(port),
        }
    }

    fn converter(&self, k: usize) -> Option<&ConverterPorts> {
        match self.plan.converters.iter().find(|(c, _)| *c == k) {
            Some((_, converter)) => converter.as_ref(),
            None => Some(&self.base.system.converters[k]),
        }
    }

    /// Currents and slopes beyond the base's lines, at the present voltages.
    fn evaluate(&mut self) {
        let two_poles = self.base.system.ports.len();
        for port in (0..two_poles).chain(self.own..self.all) {
            let at_v = self.state.at_v[port];
            let line = self.law(port).map(|law| law.line(at_v, 1.0)).unwrap_or_default();
            self.note(port, line.ampere, line.slope_s);
        }
        for k in 0..self.base.cross_s.len() {
            let input = two_poles + 2 * k;
            let (in_v, out_v) = (self.state.at_v[input], self.state.at_v[input + 1]);
            let (mut taken, mut given) = ((0.0, 0.0, 0.0), (0.0, 0.0));
            if let Some(converter) = self.converter(k) {
                taken = converter_input(converter, in_v, out_v, 1.0);
                given = converter.regulator.delivers(out_v, 1.0);
            }
            self.note(input, taken.0, taken.1);
            self.note(input + 1, -given.0, -given.1);
            let was_s = self.base.cross_s[k];
            self.state.beyond_a[input] -= was_s * (out_v - self.base.lines[input + 1].at_v);
            self.state.cross_s[k] = taken.2 - was_s;
        }
    }

    fn note(&mut self, port: usize, ampere: f64, slope_s: f64) {
        let line = self.base.lines.get(port).copied().unwrap_or_default();
        self.state.beyond_a[port] = ampere - line.ampere_at(self.state.at_v[port]);
        self.state.slope_s[port] = slope_s - line.slope_s;
    }

    /// A load whose feed has become thin would be thrown past its voltage by its own slope, which
    /// is negative; its first step is that of the resistor that takes the same current.
    fn ease_heavy_loads(&mut self, heavy_part: f64) {
        for port in 0..self.base.system.ports.len() {
            let Some(Law::ConstantPower { watt, .. }) = self.law(port) else { continue };
            let at_v = self.state.at_v[port];
            let slope_s = self.base.lines[port].slope_s + self.state.slope_s[port];
            let is_heavy =
                slope_s < 0.0 && (slope_s * self.response(port, port)).abs() >= heavy_part;
            if is_heavy {
                self.state.slope_s[port] = watt / (at_v * at_v) - self.base.lines[port].slope_s;
            }
        }
    }

    fn choose_active(&mut self) {
        let mut active = std::mem::take(&mut self.state.active);
        active.clear();
        for port in 0..self.all {
            let slope_s = self.state.slope_s[port];
            let matters = |s: f64| s.abs() * self.own_response(port) > ACTIVE_PART;
            let crosses = self.cross_of_output(port).is_some_and(|(_, cross_s)| matters(cross_s));
            if matters(slope_s) || crosses {
                active.push(port);
            } else {
                self.state.slope_s[port] = 0.0;
                if let Some((k, _)) = self.cross_of_output(port) {
                    self.state.cross_s[k] = 0.0;
                }
            }
        }
        self.state.active = active;
    }

    /// The converter a port is the output of, with the slope of its input over it.
    fn cross_of_output(&self, port: usize) -> Option<(usize, f64)> {
        let past = port.checked_sub(self.base.system.ports.len())?;
        let is_output = port < self.own && past % 2 == 1;
        is_output.then(|| (past / 2, self.state.cross_s[past / 2]))
    }

    /// Fall of port `p` per volt by which active port `q` moves, by its change of slope.
    fn gain(&self, p: usize, q: usize) -> f64 {
        let own = self.response(p, q) * self.state.slope_s[q];
        match self.cross_of_output(q) {
            Some((_, cross_s)) => own + self.response(p, q - 1) * cross_s,
            None => own,
        }
    }

    /// The equations of the active ports: `(1 + response slope) v = ...`.
    fn active_factors(&self) -> Result<Dense, Why> {
        let active = &self.state.active;
        let count = active.len();
        let (mut rows, mut scale) = (vec![0.0; count * count], vec![1.0; count]);
        for (i, &p) in active.iter().enumerate() {
            for (j, &q) in active.iter().enumerate() {
                let gain = self.gain(p, q);
                rows[i * count + j] = gain + f64::from(u8::from(i == j));
                scale[i] = f64::max(scale[i], gain.abs());
            }
        }
        Dense::factor(count, rows, &scale).ok_or(Why::Singular)
    }

    /// From the voltages the present currents give to those of the next iteration.
    fn step(&self, volts: &mut [f64]) -> Result<(), Why> {
        let active = &self.state.active;
        if active.is_empty() {
            return Ok(());
        }
        // volts = start - Z s(at); the step solves v - at = (volts - at) - Z D (v - at).
        let factors = self.active_factors()?;
        let mut moved: Vec<f64> = active.iter().map(|&p| volts[p] - self.state.at_v[p]).collect();
        factors.solve(&mut moved);
        let mut ampere = vec![0.0; self.all];
        for (&q, by_v) in active.iter().zip(&moved) {
            ampere[q] += self.state.slope_s[q] * by_v;
            if let Some((_, cross_s)) = self.cross_of_output(q) {
                ampere[q - 1] += cross_s * by_v;
            }
        }
        self.fall(&ampere, volts);
        Ok(())
    }

    /// Moves every linearisation towards new voltages; true if one was held back.
    fn move_to(&mut self, volts: &[f64], is_first: bool, late: bool) -> bool {
        let most_v = STEP_CAP_V.max(0.1 * self.base.system.highest_v);
        let stride = Stride { cap_v: if is_first { f64::INFINITY } else { most_v }, late };
        let two_poles = self.base.system.ports.len();
        let mut held_back = false;
        for (port, &volt) in volts.iter().enumerate() {
            let old_v = self.state.at_v[port];
            let at_v = if port >= two_poles && port < self.own {
                let k = (port - two_poles) / 2;
                let is_output = (port - two_poles) % 2 == 1;
                let regulated = self.converter(k).filter(|_| is_output);
                let to_v = regulated.map_or(volt, |c| c.regulator.limit(old_v, volt, stride));
                to_v.clamp(old_v - stride.cap_v, old_v + stride.cap_v)
            } else {
                self.law(port).map_or(volt, |law| law.limit(old_v, volt, stride))
            };
            held_back |= (at_v - volt).abs() > 1e-12 * volt.abs();
            self.state.at_v[port] = at_v;
        }
        held_back
    }

    /// Whether the answer is the one a full solve would give: loads may have two.
    fn check_modes(&mut self, found: &Found) -> Result<(), Why> {
        let two_poles = self.base.system.ports.len();
        for k in 0..self.base.cross_s.len() {
            let is_fed = found.volts[two_poles + 2 * k] >= LEAST_INPUT_V;
            if self.converter(k).is_some() && !is_fed {
                return Err(Why::Mode);
            }
        }
        self.evaluate();
        self.choose_active();
        if self.is_on_falling_branch()? {
            return Err(Why::Mode);
        }
        let mut undecided = 0;
        for port in (0..two_poles).chain(self.own..self.all) {
            let Some(&Law::ConstantPower { watt, cut_out_v }) = self.law(port) else { continue };
            let volt = found.volts[port];
            if volt >= cut_out_v {
                continue;
            }
            if watt < 0.0 {
                return Err(Why::Mode);
            }
            let line = self.law(port).map(|law| law.line(volt, 1.0)).unwrap_or_default();
            undecided += u32::from(self.could_run(port, line, watt, cut_out_v)?);
        }
        // One load alone is told by what its feed can bring; several may take turns.
        if undecided > 1 { Err(Why::Mode) } else { Ok(()) }
    }

    /// Whether a load that has cut out has a feed that could hold it above its cut-out without
    /// load. Where that feed could also bring its power, the full solve must decide.
    fn could_run(&self, port: usize, line: Line, watt: f64, cut_out_v: f64) -> Result<bool, Why> {
        let own_v = self.loaded_response(port)?;
        let feed_s = 1.0 / own_v - line.slope_s;
        if own_v <= 0.0 || feed_s <= 1e-9 * line.slope_s {
            // Nothing feeds it: it rests where it is because it is cut off.
            return Ok(line.at_v.abs() > 0.9 * cut_out_v);
        }
        let feed_ohm = 1.0 / feed_s;
        let open_v = line.at_v + feed_ohm * line.ampere;
        if open_v < (1.0 - CLEAR_PART) * cut_out_v {
            return Ok(false);
        }
        // Roots of v (open - v) = feed watt.
        let under_root = open_v * open_v - 4.0 * feed_ohm * watt;
        let upper_v = 0.5 * (open_v + under_root.max(0.0).sqrt());
        let is_clear =
            under_root < -CLEAR_PART * open_v * open_v || upper_v < (1.0 - CLEAR_PART) * cut_out_v;
        if is_clear { Ok(true) } else { Err(Why::Mode) }
    }

    /// Fall of a port per ampere taken there, all other ports following by their slopes.
    fn loaded_response(&self, port: usize) -> Result<f64, Why> {
        let own = self.response(port, port);
        if self.state.active.is_empty() {
            return Ok(own);
        }
        let factors = self.active_factors()?;
        let mut moved: Vec<f64> =
            self.state.active.iter().map(|&p| self.response(p, port)).collect();
        factors.solve(&mut moved);
        let active = self.state.active.iter().zip(&moved);
        Ok(own - active.map(|(&q, by_v)| self.gain(port, q) * by_v).sum::<f64>())
    }

    /// Whether the answer lies where more current would go with more voltage at a load's feed: the
    /// determinant of the equations has changed its sign against the base.
    fn is_on_falling_branch(&self) -> Result<bool, Why> {
        let mut is_negative = self.added.as_ref().is_some_and(Dense::is_negative);
        for added in &self.plan.added {
            if let Rule::Ohm { ohm, .. } = added.rule {
                let is_row = matches!(added.place.touch, super::base::Touch::Row(_));
                is_negative ^= ohm < 0.0 || (is_row && ohm.abs() <= 0.0);
            }
        }
        is_negative ^= self.active_factors()?.is_negative();
        Ok(is_negative)
    }
}
