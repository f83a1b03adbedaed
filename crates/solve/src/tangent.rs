//! The straight lines that touch a circuit's laws at a solved point, and the matrix of its
//! equations there. Solves nothing.

use crate::assemble::System;
use crate::laws::{Law, Line, REGULATOR_LEAK_S};
use crate::newton::{add, converter_input};

/// Slopes below this are flat, S: a source at its limit, or one that delivers nothing.
const FLATTEST_S: f64 = 1e-18;
/// The same of a regulator: held above its set point it only leaks.
const BLOCKED_S: f64 = 2.0 * REGULATOR_LEAK_S;

/// A line for every port: two-pole elements, then input and output of every converter; and the
/// slope of every converter's input over the voltage of its output.
pub(crate) struct Tangent {
    pub(crate) lines: Vec<Line>,
    pub(crate) cross_s: Vec<f64>,
}

impl Tangent {
    /// The lines at the unknowns `x`; flat ones are given the slope `loose_s`.
    pub(crate) fn at(system: &System, x: &[f64], loose_s: f64) -> Tangent {
        let held = |line: Line, flattest_s: f64| match line.slope_s.abs() < flattest_s {
            true => Line { slope_s: loose_s, ..line },
            false => line,
        };
        let mut lines: Vec<Line> = system
            .ports
            .iter()
            .map(|port| {
                let is_regulated = matches!(port.law, Law::Regulated(_));
                let flattest_s = if is_regulated { BLOCKED_S } else { FLATTEST_S };
                held(port.law.line(port.pair.volt(x), 1.0), flattest_s)
            })
            .collect();
        let mut cross_s = Vec::new();
        for c in &system.converters {
            let (in_v, out_v) = (c.input.volt(x), c.output.volt(x));
            let (ampere, slope_s, across_s) = converter_input(c, in_v, out_v, 1.0);
            let (out_a, out_slope_s) = c.regulator.delivers(out_v, 1.0);
            lines.push(held(Line { at_v: in_v, ampere, slope_s }, FLATTEST_S));
            let output = Line { at_v: out_v, ampere: -out_a, slope_s: -out_slope_s };
            lines.push(held(output, BLOCKED_S));
            cross_s.push(across_s);
        }
        Tangent { lines, cross_s }
    }

    /// The matrix of the equations, in the slots of the system's pattern.
    pub(crate) fn matrix(&self, system: &System) -> Vec<f64> {
        let mut values = system.base.clone();
        for (port, line) in system.ports.iter().zip(&self.lines) {
            add(&mut values, port.slots, line.slope_s);
        }
        for (k, converter) in system.converters.iter().enumerate() {
            let at = system.ports.len() + 2 * k;
            add(&mut values, converter.input_slots, self.lines[at].slope_s);
            add(&mut values, converter.output_slots, self.lines[at + 1].slope_s);
            add(&mut values, converter.cross_slots, self.cross_s[k]);
        }
        values
    }
}
