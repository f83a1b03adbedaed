//! How the current of one element follows its own numbers at fixed voltage: the derivative of
//! every law of `circuit::Element`, term by term.

use circuit::{Circuit, Element, Parameter, SingleDiode};

use crate::assemble::{Pair, Setting, System};
use crate::laws::{Law, Regulator, THERMAL_V};
use crate::newton::LEAST_INPUT_V;
use crate::solar;

/// Where a branch stands in the equations.
#[derive(Clone, Copy)]
pub(super) enum Place {
    /// A current between two unknowns.
    Pair(Pair, Slope),
    /// A voltage-defined branch: its unknown current.
    Row(u32),
    /// A running converter.
    Converter(usize),
}

/// The slope of a branch's current over its voltage.
#[derive(Clone, Copy)]
pub(super) enum Slope {
    Siemens(f64),
    /// That of the port's tangent.
    Port(usize),
}

/// What one unit more of a number does at fixed unknowns.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct By {
    /// Current of the first port, A per unit.
    pub(super) first_a: f64,
    /// Current of a converter's output port (into it), A per unit.
    pub(super) second_a: f64,
    /// Left-over of the equation of a voltage-defined branch, V per unit.
    pub(super) miss_v: f64,
}

/// Every branch's place. Converters that have collapsed count as without numbers.
pub(super) fn places(circuit: &Circuit, system: &System, setting: &Setting) -> Vec<Option<Place>> {
    let mut places = vec![None; circuit.branch_count()];
    for c in &system.conductances {
        if !setting.collapsed.contains(&c.branch) {
            let slope = Slope::Siemens(c.siemens);
            places[c.branch.0 as usize] = Some(Place::Pair(c.pair, slope));
        }
    }
    for row in &system.rows {
        places[row.branch.0 as usize] = Some(Place::Row(row.row));
    }
    for j in &system.injections {
        places[j.branch.0 as usize] = Some(Place::Pair(j.pair, Slope::Siemens(0.0)));
    }
    for (k, port) in system.ports.iter().enumerate() {
        places[port.branch.0 as usize] = Some(Place::Pair(port.pair, Slope::Port(k)));
    }
    for (k, c) in system.converters.iter().enumerate() {
        places[c.branch.0 as usize] = Some(Place::Converter(k));
    }
    places
}

/// `v - ohm i - volt`, by its numbers.
pub(super) fn of_row(element: &Element, ampere: f64) -> Vec<(Parameter, By)> {
    let miss = |parameter, miss_v| (parameter, By { miss_v, ..By::default() });
    match element {
        Element::Voltage { .. } => vec![miss(Parameter::Volt, -1.0)],
        Element::Resistor { .. } => vec![miss(Parameter::Ohm, -ampere)],
        Element::Motor { .. } => {
            vec![miss(Parameter::ArmatureOhm, -ampere), miss(Parameter::BackEmfVolt, -1.0)]
        }
        _ => Vec::new(),
    }
}

/// The current of a two-terminal element at voltage `v`, by its numbers.
pub(super) fn of_pair(element: &Element, v: f64) -> Vec<(Parameter, By)> {
    use Parameter as P;
    let all = |terms: &[(P, f64)]| {
        let by = |(p, first_a): &(P, f64)| (*p, By { first_a: *first_a, ..By::default() });
        terms.iter().map(by).collect()
    };
    match *element {
        Element::Resistor { ohm, .. } => all(&[(P::Ohm, -v / (ohm * ohm))]),
        Element::Current { .. } => all(&[(P::Ampere, 1.0)]),
        Element::Motor { armature_ohm, back_emf_v, .. } => all(&[
            (P::ArmatureOhm, -(v - back_emf_v) / (armature_ohm * armature_ohm)),
            (P::BackEmfVolt, -1.0 / armature_ohm),
        ]),
        Element::Battery { rest_v, discharge_ohm, charge_ohm, .. } => {
            let takes = v >= rest_v;
            let (ohm, part) = if takes { (charge_ohm, 1.0) } else { (discharge_ohm, 0.0) };
            let by_ohm = -(v - rest_v) / (ohm * ohm);
            all(&[
                (P::RestVolt, -1.0 / ohm),
                (P::DischargeOhm, (1.0 - part) * by_ohm),
                (P::ChargeOhm, part * by_ohm),
            ])
        }
        Element::OneWay { ohm, blocked_ohm, .. } => {
            let (forward, backward) = if v >= 0.0 { (1.0, 0.0) } else { (0.0, 1.0) };
            all(&[
                (P::Ohm, -forward * v / (ohm * ohm)),
                (P::BlockedOhm, -backward * v / (blocked_ohm * blocked_ohm)),
            ])
        }
        Element::Diode { saturation_a, emission, .. } => {
            let exponent = v / (emission * THERMAL_V);
            all(&[
                (P::SaturationAmpere, exponent.exp_m1()),
                (P::Emission, -saturation_a * exponent.exp() * exponent / emission),
            ])
        }
        Element::ConstantPower { cut_out_v, .. } if v >= cut_out_v => {
            all(&[(P::Watt, 1.0 / v), (P::CutOutVolt, 0.0)])
        }
        Element::ConstantPower { watt, cut_out_v, .. } => all(&[
            (P::Watt, v / (cut_out_v * cut_out_v)),
            (P::CutOutVolt, -2.0 * watt * v / cut_out_v.powi(3)),
        ]),
        Element::Lamp { rated_a, rated_v, exponent, .. } => {
            all(&lamp(v, rated_a, rated_v, exponent))
        }
        Element::LimitedSource { set_v, droop_ohm, limit_a, .. } => {
            let regulator = Regulator { set_v, droop_ohm, limit_a, power_w: f64::INFINITY };
            let by = delivered(&regulator, v);
            all(&by.map(|(p, a)| (p, -a)))
        }
        Element::PowerSource { watt, set_v, droop_ohm, limit_a, .. } => {
            let regulator = Regulator { set_v, droop_ohm, limit_a, power_w: watt };
            let terms = with_power(&regulator, v);
            all(&terms.map(|(p, a)| (p, -a)))
        }
        Element::SolarModule { ref diode, .. } => all(&module(diode, v).map(|(p, a)| (p, -a))),
        Element::Voltage { .. } | Element::Converter { .. } => Vec::new(),
    }
}

/// `rated_a (|v|/rated_v)^exponent`, straight below a hundredth of the rated voltage.
fn lamp(v: f64, rated_a: f64, rated_v: f64, exponent: f64) -> [(Parameter, f64); 3] {
    let ampere = Law::Lamp { rated_a, rated_v, exponent }.line(v, 1.0).ampere;
    // In the straight piece i = rated_a v/rated_v 0.01^(exponent - 1).
    let part = v.abs() / rated_v;
    let (power, log) = if part < 0.01 { (1.0, 0.01_f64.ln()) } else { (exponent, part.ln()) };
    [
        (Parameter::RatedAmpere, ampere / rated_a),
        (Parameter::RatedVolt, -power * ampere / rated_v),
        (Parameter::Exponent, ampere * log),
    ]
}

/// `clamp((set - v)/droop, 0, min(limit, watt/max(v, 1 V)))`.
fn with_power(regulator: &Regulator, v: f64) -> [(Parameter, f64); 4] {
    let unlimited = Regulator { power_w: f64::INFINITY, ..*regulator };
    let is_capped = unlimited.delivers(v, 1.0).0 > regulator.power_w / v.max(1.0);
    let capped = f64::from(u8::from(is_capped));
    let [set, droop, limit] = delivered(&unlimited, v).map(|(p, a)| (p, (1.0 - capped) * a));
    [(Parameter::Watt, capped / v.max(1.0)), set, droop, limit]
}

/// `clamp((set - v)/droop, 0, limit)`.
fn delivered(regulator: &Regulator, v: f64) -> [(Parameter, f64); 3] {
    let (ampere, slope_s) = regulator.delivers(v, 1.0);
    let is_at_limit = slope_s >= 0.0 && ampere > 0.0;
    [
        (Parameter::SetVolt, -slope_s),
        (Parameter::DroopOhm, slope_s * ampere),
        (Parameter::LimitAmpere, f64::from(u8::from(is_at_limit))),
    ]
}

/// The single-diode model, delivered: with `f = IL - I0 (e - 1) - (V + I Rs)/Rsh - I = 0`,
/// `dI/dp = (df/dp)/(1 + Rs (I0 e/a + 1/Rsh))`, `e = exp((V + I Rs)/a)`.
fn module(diode: &SingleDiode, v: f64) -> [(Parameter, f64); 5] {
    let SingleDiode { saturation_a, series_ohm, shunt_ohm, modified_ideality_v, .. } = *diode;
    let ampere = solar::current_a(diode, v);
    let inner_v = v + ampere * series_ohm;
    let growth = (inner_v / modified_ideality_v).exp();
    let inner_s = saturation_a * growth / modified_ideality_v + 1.0 / shunt_ohm;
    let divide = |by: f64| by / (1.0 + series_ohm * inner_s);
    [
        (Parameter::LightAmpere, divide(1.0)),
        (Parameter::SaturationAmpere, divide(1.0 - growth)),
        (Parameter::SeriesOhm, divide(-ampere * inner_s)),
        (Parameter::ShuntOhm, divide(inner_v / (shunt_ohm * shunt_ohm))),
        (
            Parameter::ModifiedIdealityVolt,
            divide(saturation_a * growth * inner_v / modified_ideality_v.powi(2)),
        ),
    ]
}

/// Input and output current of a running converter.
pub(super) fn of_converter(element: &Element, in_v: f64, out_v: f64) -> Vec<(Parameter, By)> {
    let &Element::Converter { set_v, droop_ohm, limit_a, power_w, efficiency, .. } = element else {
        return Vec::new();
    };
    let regulator = Regulator { set_v, droop_ohm, limit_a, power_w };
    let out_a = regulator.delivers(out_v, 1.0).0;
    let fed_v = in_v.max(LEAST_INPUT_V);
    let mut terms: Vec<(Parameter, By)> = with_power(&regulator, out_v)
        .into_iter()
        .map(|(p, by_a)| {
            let first_a = out_v * by_a / (efficiency * fed_v);
            (p, By { first_a, second_a: -by_a, miss_v: 0.0 })
        })
        .collect();
    let first = |first_a| By { first_a, ..By::default() };
    let by_efficiency = -out_v * out_a / (efficiency * efficiency * fed_v);
    terms.push((Parameter::Efficiency, first(by_efficiency)));
    terms.push((Parameter::IdleWatt, first(1.0 / fed_v)));
    terms
}
