//! The elements a branch can be. Each variant documents its equation.

use crate::NodeId;

/// Parameters of the single-diode model of a solar module at its operating conditions.
///
/// `I = light_a - saturation_a (exp((V + I series_ohm)/modified_ideality_v) - 1)
///      - (V + I series_ohm)/shunt_ohm`
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SingleDiode {
    /// Light-generated current, A.
    pub light_a: f64,
    /// Diode saturation current, A.
    pub saturation_a: f64,
    /// Series resistance, ohm.
    pub series_ohm: f64,
    /// Shunt resistance, ohm.
    pub shunt_ohm: f64,
    /// Modified ideality factor `n Ns k T / q`, V.
    pub modified_ideality_v: f64,
}

/// What a branch does. Node order gives the sign of its current (see the crate's page).
#[derive(Clone, Debug, PartialEq)]
pub enum Element {
    /// `i = (v_a - v_b) / ohm`. Wires, joints, fuses, closed switches, shunts.
    Resistor { a: NodeId, b: NodeId, ohm: f64 },
    /// Ideal source: `v_plus - v_minus = volt`; its current is an unknown of its own.
    Voltage { plus: NodeId, minus: NodeId, volt: f64 },
    /// Ideal source: `ampere` flows from `from` through the branch to `to`.
    Current { from: NodeId, to: NodeId, ampere: f64 },
    /// `i = saturation_a (exp(v / (emission k T / q)) - 1)` at 27 degrees Celsius.
    Diode { anode: NodeId, cathode: NodeId, saturation_a: f64, emission: f64 },
    /// `i = watt / v` for `v >= cut_out_v`, else `watt v / cut_out_v^2` (the equipment has cut
    /// out; a solution that rests there is reported as such). Negative power delivers.
    ConstantPower { plus: NodeId, minus: NodeId, watt: f64, cut_out_v: f64 },
    /// Filament: `i = rated_a (v / rated_v)^exponent`, odd in `v`, straight below 1 % of `rated_v`.
    Lamp { a: NodeId, b: NodeId, rated_a: f64, rated_v: f64, exponent: f64 },
    /// Regulated and current-limited source (alternator, mains charger): delivers
    /// `clamp((set_v - v) / droop_ohm, 0, limit_a)` out of `plus`.
    LimitedSource { plus: NodeId, minus: NodeId, set_v: f64, droop_ohm: f64, limit_a: f64 },
    /// DC-DC converter: the output is a [`Element::LimitedSource`]; the input draws
    /// `(v_out i_out / efficiency + idle_w) / max(v_in, 1 V)`. Its two ports have no common node
    /// unless the circuit gives them one.
    Converter {
        in_plus: NodeId,
        in_minus: NodeId,
        out_plus: NodeId,
        out_minus: NodeId,
        set_v: f64,
        droop_ohm: f64,
        limit_a: f64,
        efficiency: f64,
        idle_w: f64,
    },
    /// Solar module by the single-diode model; `plus` is the module's positive terminal.
    SolarModule { plus: NodeId, minus: NodeId, diode: SingleDiode },
    /// Power source with a ceiling (tracking solar controller's output):
    /// `i_out = clamp((set_v - v) / droop_ohm, 0, min(limit_a, watt / max(v, 1 V)))`.
    PowerSource {
        plus: NodeId,
        minus: NodeId,
        watt: f64,
        set_v: f64,
        droop_ohm: f64,
        limit_a: f64,
    },
    /// Direct-current motor at a given speed: `v = armature_ohm i + back_emf_v` (0 V: stalled).
    Motor { plus: NodeId, minus: NodeId, armature_ohm: f64, back_emf_v: f64 },
}

impl Element {
    /// Every node the element touches, port by port.
    pub fn nodes(&self) -> Vec<NodeId> {
        match *self {
            Element::Resistor { a, b, .. } | Element::Lamp { a, b, .. } => vec![a, b],
            Element::Voltage { plus, minus, .. }
            | Element::ConstantPower { plus, minus, .. }
            | Element::LimitedSource { plus, minus, .. }
            | Element::SolarModule { plus, minus, .. }
            | Element::PowerSource { plus, minus, .. }
            | Element::Motor { plus, minus, .. } => vec![plus, minus],
            Element::Current { from, to, .. } => vec![from, to],
            Element::Diode { anode, cathode, .. } => vec![anode, cathode],
            Element::Converter { in_plus, in_minus, out_plus, out_minus, .. } => {
                vec![in_plus, in_minus, out_plus, out_minus]
            }
        }
    }
}
