//! Current and slope of every nonlinear two-terminal element, its starting line, and how far its
//! linearisation may move in one iteration. Knows voltages across an element, never nodes.

use circuit::{Element, SingleDiode};

use crate::solar;

/// `k T / q` at 27 degrees Celsius, V: 1.380649e-23 J/K x 300.15 K / 1.602176634e-19 C (the 2019
/// SI values of k and q, from memory; the diode equation's temperature is fixed by `circuit`).
pub(crate) const THERMAL_V: f64 = 1.380_649e-23 * 300.15 / 1.602_176_634e-19;
/// Leak kept across every diode, S, so that a wire between two blocking diodes has a voltage.
/// A thousandth of what the best insulation tester could show on an ordinary circuit.
const DIODE_LEAK_S: f64 = 1e-15;
/// Slope given to flat pieces in the matrix only, never in the balance of currents, S.
pub(crate) const FLAT_SLOPE_S: f64 = 1e-12;
/// A regulator without load rests at its set point, to within rounding on either side of it; so far
/// above, as a part of it, it still counts as regulating.
const AT_SET_POINT_PART: f64 = 1e-12;
/// Leak kept into a regulator that is held above its set point, S, so that one without load has a
/// voltage: its set point.
pub(crate) const REGULATOR_LEAK_S: f64 = 1e-12;
/// Bound on the exponent of a diode, beyond any current a vehicle can hold.
const MAX_EXPONENT: f64 = 200.0;
/// A lamp is straight below this part of its rated voltage.
const LAMP_STRAIGHT_PART: f64 = 0.01;

/// A straight line through a point of a characteristic: `ampere + slope_s (v - at_v)`.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Line {
    pub(crate) at_v: f64,
    pub(crate) ampere: f64,
    pub(crate) slope_s: f64,
}

impl Line {
    pub(crate) fn ampere_at(&self, volt: f64) -> f64 {
        self.ampere + self.slope_s * (volt - self.at_v)
    }

    fn resistor(siemens: f64) -> Line {
        Line { at_v: 0.0, ampere: 0.0, slope_s: siemens }
    }
}

/// A regulated, limited source; its branch current is the negative of what it delivers.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Regulator {
    pub(crate) set_v: f64,
    pub(crate) droop_ohm: f64,
    pub(crate) limit_a: f64,
    /// Infinite where only the current is limited.
    pub(crate) power_w: f64,
}

impl Regulator {
    /// Delivered current and its slope at a voltage:
    /// `clamp((set_v - v)/droop_ohm, 0, min(limit_a, power_w/max(v, 1 V)))`, and a leak above `set_v`.
    pub(crate) fn delivers(&self, volt: f64, strength: f64) -> (f64, f64) {
        let (ampere, slope_s) = self.without_power_limit(volt, strength);
        let ceiling_a = self.power_w * strength / volt.max(1.0);
        if ampere <= ceiling_a {
            (ampere, slope_s)
        } else if volt > 1.0 {
            (ceiling_a, -ceiling_a / volt)
        } else {
            (ceiling_a, 0.0)
        }
    }

    fn without_power_limit(&self, volt: f64, strength: f64) -> (f64, f64) {
        let (set_v, limit_a) = (self.set_v * strength, self.limit_a * strength);
        let wanted_a = (set_v - volt) / self.droop_ohm;
        if volt > set_v * (1.0 + AT_SET_POINT_PART) {
            (REGULATOR_LEAK_S * (set_v - volt), -REGULATOR_LEAK_S)
        } else if wanted_a > limit_a {
            (limit_a, 0.0)
        } else {
            (wanted_a, -1.0 / self.droop_ohm)
        }
    }

    /// Where it regulates: from the voltage at which its droop meets the limit of current or of power
    /// (`v (set_v - v) = droop_ohm power_w`) up to its set point.
    fn band_v(&self) -> (f64, f64) {
        let by_current_v = self.set_v - self.limit_a * self.droop_ohm;
        let under_root = self.set_v * self.set_v - 4.0 * self.droop_ohm * self.power_w;
        let low_v = match under_root > 0.0 {
            true => by_current_v.max(0.5 * (self.set_v + under_root.sqrt())),
            false => by_current_v,
        };
        (low_v, self.set_v)
    }

    /// Leaping over the whole regulating band lands in its middle instead.
    pub(crate) fn limit(&self, old_v: f64, new_v: f64, stride: Stride) -> f64 {
        let (low_v, high_v) = self.band_v();
        let side = |v: f64| i8::from(v > high_v) - i8::from(v < low_v);
        let (old, new) = (side(old_v), side(new_v));
        if old * new < 0 {
            0.5 * (low_v + high_v)
        } else if stride.late && old != new {
            0.5 * (old_v + new_v)
        } else {
            new_v
        }
    }
}

/// How far a linearisation may move in one iteration.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stride {
    pub(crate) cap_v: f64,
    /// Many iterations are spent: halve steps that change from one piece to another.
    pub(crate) late: bool,
}

/// The current through an element from its first to its second terminal, as a law of voltage.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Law {
    Diode { saturation_a: f64, scale_v: f64 },
    Battery { rest_v: f64, discharge_ohm: f64, charge_ohm: f64 },
    ConstantPower { watt: f64, cut_out_v: f64 },
    Lamp { rated_a: f64, rated_v: f64, exponent: f64 },
    Regulated(Regulator),
    OneWay { ohm: f64, blocked_ohm: f64 },
    Solar { diode: SingleDiode, open_v: f64 },
}

impl Law {
    /// The law of a nonlinear two-terminal element; `None` for any other.
    pub(crate) fn of(element: &Element) -> Option<Law> {
        Some(match *element {
            Element::Battery { rest_v, discharge_ohm, charge_ohm, .. } => {
                Law::Battery { rest_v, discharge_ohm, charge_ohm }
            }
            Element::Diode { saturation_a, emission, .. } => {
                Law::Diode { saturation_a, scale_v: emission * THERMAL_V }
            }
            Element::ConstantPower { watt, cut_out_v, .. } => {
                Law::ConstantPower { watt, cut_out_v }
            }
            Element::Lamp { rated_a, rated_v, exponent, .. } => {
                Law::Lamp { rated_a, rated_v, exponent }
            }
            Element::LimitedSource { set_v, droop_ohm, limit_a, .. } => {
                let power_w = f64::INFINITY;
                Law::Regulated(Regulator { set_v, droop_ohm, limit_a, power_w })
            }
            Element::PowerSource { watt, set_v, droop_ohm, limit_a, .. } => {
                Law::Regulated(Regulator { set_v, droop_ohm, limit_a, power_w: watt })
            }
            Element::OneWay { ohm, blocked_ohm, .. } => Law::OneWay { ohm, blocked_ohm },
            Element::SolarModule { diode, .. } => {
                Law::Solar { diode, open_v: solar::voltage_v(&diode, 0.0).unwrap_or(0.0) }
            }
            _ => return None,
        })
    }

    /// The tangent at a voltage, sources at a part `strength` of their full value.
    pub(crate) fn line(&self, at_v: f64, strength: f64) -> Line {
        let (ampere, slope_s) = match *self {
            Law::Diode { saturation_a, scale_v } => diode(saturation_a, scale_v, at_v),
            Law::Battery { rest_v, discharge_ohm, charge_ohm } => {
                battery(rest_v * strength, discharge_ohm, charge_ohm, at_v)
            }
            Law::ConstantPower { watt, cut_out_v } => constant_power(watt, cut_out_v, at_v),
            Law::Lamp { rated_a, rated_v, exponent } => lamp(rated_a, rated_v, exponent, at_v),
            Law::Regulated(regulator) => negated(regulator.delivers(at_v, strength)),
            Law::OneWay { ohm, blocked_ohm } => one_way(ohm, blocked_ohm, at_v),
            Law::Solar { diode, .. } => {
                let lit = SingleDiode { light_a: diode.light_a * strength, ..diode };
                negated(solar::current_and_slope(&lit, at_v))
            }
        };
        Line { at_v, ampere, slope_s }
    }

    /// The line the iteration starts from; `source_v` is the highest source of the island.
    pub(crate) fn seed(&self, source_v: f64, strength: f64) -> Line {
        match *self {
            Law::Diode { .. } | Law::Solar { .. } => self.line(self.knee_v(), strength),
            Law::Battery { rest_v, discharge_ohm, .. } => {
                Line { at_v: strength * rest_v, ampere: 0.0, slope_s: 1.0 / discharge_ohm }
            }
            Law::ConstantPower { watt, cut_out_v } => {
                // Equipment is fed well above its cut-out in the ordinary case; this also covers
                // a battery built of many small sources.
                let fed_v = source_v.max(1.2 * cut_out_v);
                if watt < 0.0 {
                    return Line { ampere: strength * watt / fed_v, ..Line::default() };
                }
                Line::resistor(watt / (fed_v * fed_v))
            }
            Law::Lamp { rated_a, rated_v, .. } => Line::resistor(rated_a / rated_v),
            Law::OneWay { ohm, .. } => Line::resistor(1.0 / ohm),
            Law::Regulated(regulator) => Line {
                at_v: strength * regulator.set_v,
                ampere: 0.0,
                slope_s: 1.0 / regulator.droop_ohm,
            },
        }
    }

    /// Where the element may be linearised next, coming from `old_v` and wanting `new_v`.
    pub(crate) fn limit(&self, old_v: f64, new_v: f64, stride: Stride) -> f64 {
        match *self {
            Law::Diode { scale_v, .. } => junction_limit(scale_v, self.knee_v(), old_v, new_v),
            Law::Solar { diode, open_v } => {
                let scale_v = diode.modified_ideality_v;
                junction_limit(scale_v, self.knee_v().max(open_v), old_v, new_v)
            }
            Law::Regulated(regulator) => {
                capped(old_v, regulator.limit(old_v, new_v, stride), stride)
            }
            // Two straight pieces: any leap is right unless it keeps changing from one to the other.
            Law::Battery { rest_v, .. } => {
                let crosses = (old_v < rest_v) != (new_v < rest_v);
                halved_if(crosses && stride.late, old_v, new_v)
            }
            Law::OneWay { .. } => {
                let crosses = (old_v < 0.0) != (new_v < 0.0);
                halved_if(crosses && stride.late, old_v, new_v)
            }
            Law::ConstantPower { cut_out_v, .. } => {
                let crosses = (old_v < cut_out_v) != (new_v < cut_out_v);
                halved_if(crosses && stride.late, old_v, capped(old_v, new_v, stride))
            }
            Law::Lamp { .. } => {
                let crosses = old_v * new_v < 0.0;
                halved_if(crosses && stride.late, old_v, capped(old_v, new_v, stride))
            }
        }
    }

    /// The cut-out voltage of a constant-power element; no other has one.
    pub(crate) fn cut_out_v(&self) -> Option<f64> {
        match *self {
            Law::ConstantPower { cut_out_v, .. } => Some(cut_out_v),
            _ => None,
        }
    }

    /// Whether the element rests below its cut-out at a voltage.
    pub(crate) fn has_cut_out(&self, volt: f64) -> bool {
        matches!(*self, Law::ConstantPower { watt, cut_out_v } if watt > 0.0 && volt < cut_out_v)
    }

    /// Whether this is a battery that takes charge less easily than it delivers.
    pub(crate) fn is_bent(&self) -> bool {
        matches!(*self, Law::Battery { discharge_ohm, charge_ohm, .. } if charge_ohm > discharge_ohm)
    }

    /// Below this voltage an exponential may be stepped freely.
    fn knee_v(&self) -> f64 {
        match *self {
            // The critical voltage of junction limiting in SPICE: where curvature is greatest.
            Law::Diode { saturation_a, scale_v } => {
                scale_v * (scale_v / (std::f64::consts::SQRT_2 * saturation_a)).ln()
            }
            Law::Solar { open_v, .. } => 0.8 * open_v,
            _ => 0.0,
        }
    }
}

/// `i = saturation (exp(v/scale) - 1)`, with the leak every diode is given.
fn diode(saturation_a: f64, scale_v: f64, volt: f64) -> (f64, f64) {
    let exponent = (volt / scale_v).min(MAX_EXPONENT);
    let ampere = saturation_a * exponent.exp_m1() + DIODE_LEAK_S * volt;
    (ampere, saturation_a * exponent.exp() / scale_v + DIODE_LEAK_S)
}

/// `i = (v - rest)/charge_ohm` from rest up, `(v - rest)/discharge_ohm` below.
fn battery(rest_v: f64, discharge_ohm: f64, charge_ohm: f64, volt: f64) -> (f64, f64) {
    let siemens = if volt >= rest_v { 1.0 / charge_ohm } else { 1.0 / discharge_ohm };
    (siemens * (volt - rest_v), siemens)
}

/// `i = P/v` from the cut-out up, `P v / cut_out^2` below.
fn constant_power(watt: f64, cut_out_v: f64, volt: f64) -> (f64, f64) {
    if volt >= cut_out_v {
        (watt / volt, -watt / (volt * volt))
    } else {
        let siemens = watt / (cut_out_v * cut_out_v);
        (siemens * volt, siemens)
    }
}

/// `i = rated_a (v/rated_v)^exponent`, odd, straight below a hundredth of the rated voltage.
fn lamp(rated_a: f64, rated_v: f64, exponent: f64, volt: f64) -> (f64, f64) {
    let part = volt.abs() / rated_v;
    if part < LAMP_STRAIGHT_PART {
        let siemens = rated_a / rated_v * LAMP_STRAIGHT_PART.powf(exponent - 1.0);
        return (siemens * volt, siemens);
    }
    let ampere = rated_a * part.powf(exponent);
    (ampere.copysign(volt), exponent * ampere / volt.abs())
}

/// `i = v/ohm` forward, `v/blocked_ohm` backward.
fn one_way(ohm: f64, blocked_ohm: f64, volt: f64) -> (f64, f64) {
    let siemens = if volt >= 0.0 { 1.0 / ohm } else { 1.0 / blocked_ohm };
    (siemens * volt, siemens)
}

fn negated((ampere, slope_s): (f64, f64)) -> (f64, f64) {
    (-ampere, -slope_s)
}

fn capped(old_v: f64, new_v: f64, stride: Stride) -> f64 {
    new_v.clamp(old_v - stride.cap_v, old_v + stride.cap_v)
}

fn halved_if(halve: bool, old_v: f64, new_v: f64) -> f64 {
    if halve { 0.5 * (old_v + new_v) } else { new_v }
}

/// Holds an exponential's voltage back when it would leap past its knee: above the knee, steps
/// longer than `2 scale` shrink to `scale ln(1 + step/scale)`.
fn junction_limit(scale_v: f64, knee_v: f64, old_v: f64, new_v: f64) -> f64 {
    if new_v <= knee_v || (new_v - old_v).abs() <= 2.0 * scale_v {
        return new_v;
    }
    if old_v <= 0.0 {
        return knee_v;
    }
    let steps = (new_v - old_v) / scale_v;
    if steps > -1.0 { old_v + scale_v * steps.ln_1p() } else { knee_v }
}
