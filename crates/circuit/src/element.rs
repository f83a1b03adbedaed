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
    Resistor {
        /// First terminal.
        a: NodeId,
        /// Second terminal.
        b: NodeId,
        /// Resistance, ohm.
        ohm: f64,
    },
    /// Ideal source: `v_plus - v_minus = volt`; its current is an unknown of its own.
    Voltage {
        /// Positive terminal.
        plus: NodeId,
        /// Negative terminal.
        minus: NodeId,
        /// Voltage of `plus` against `minus`, V.
        volt: f64,
    },
    /// Battery in steady state: `i = (v - rest_v) / charge_ohm` for `v >= rest_v` (it takes
    /// charge), else `i = (v - rest_v) / discharge_ohm` (negative: it delivers), `v` of `plus`
    /// against `minus`. A full lead-acid battery takes little long after it could deliver much,
    /// so `charge_ohm` is a matter of its charge, `discharge_ohm` one of its plates and posts.
    Battery {
        /// Positive terminal.
        plus: NodeId,
        /// Negative terminal.
        minus: NodeId,
        /// Voltage without current, V.
        rest_v: f64,
        /// Fall of voltage per ampere delivered, ohm.
        discharge_ohm: f64,
        /// Rise of voltage per ampere accepted, ohm.
        charge_ohm: f64,
    },
    /// Ideal source: `ampere` flows from `from` through the branch to `to`.
    Current {
        /// Terminal the current leaves.
        from: NodeId,
        /// Terminal the current enters.
        to: NodeId,
        /// Current, A.
        ampere: f64,
    },
    /// `i = saturation_a (exp(v / (emission k T / q)) - 1)` at 27 degrees Celsius.
    Diode {
        /// Anode.
        anode: NodeId,
        /// Cathode.
        cathode: NodeId,
        /// Saturation current, A.
        saturation_a: f64,
        /// Emission coefficient.
        emission: f64,
    },
    /// `i = v / ohm` for `v >= 0`, `v` of `from` against `to`, else `v / blocked_ohm`: a transistor
    /// that passes one way (low-loss isolator, one half of a battery's protection board).
    OneWay {
        /// Where current enters.
        from: NodeId,
        /// Where it leaves.
        to: NodeId,
        /// Resistance forward, ohm.
        ohm: f64,
        /// Resistance backward, ohm.
        blocked_ohm: f64,
    },
    /// `i = watt / v` for `v >= cut_out_v`, else `watt v / cut_out_v^2` (the equipment has cut
    /// out; a solution that rests there is reported as such). Negative power delivers.
    ConstantPower {
        /// Positive terminal.
        plus: NodeId,
        /// Negative terminal.
        minus: NodeId,
        /// Power, W.
        watt: f64,
        /// Voltage below which the equipment has cut out, V.
        cut_out_v: f64,
    },
    /// Filament: `i = rated_a (v / rated_v)^exponent`, odd in `v`, straight below 1 % of `rated_v`.
    Lamp {
        /// First terminal.
        a: NodeId,
        /// Second terminal.
        b: NodeId,
        /// Current at the rated voltage, A.
        rated_a: f64,
        /// Rated voltage, V.
        rated_v: f64,
        /// Exponent of current over voltage.
        exponent: f64,
    },
    /// Regulated and current-limited source (alternator, mains charger): delivers
    /// `clamp((set_v - v) / droop_ohm, 0, limit_a)` out of `plus`.
    LimitedSource {
        /// Positive terminal.
        plus: NodeId,
        /// Negative terminal.
        minus: NodeId,
        /// Regulated voltage, V.
        set_v: f64,
        /// Fall of voltage per ampere delivered, ohm.
        droop_ohm: f64,
        /// Most current delivered, A.
        limit_a: f64,
    },
    /// DC-DC converter: the output is a [`Element::PowerSource`] (constant voltage up to a constant
    /// current, and to a power where it has such a limit); the input draws
    /// `(v_out i_out / efficiency + idle_w) / max(v_in, 1 V)`. Its two ports have no common node
    /// unless the circuit gives them one.
    Converter {
        /// Positive input.
        in_plus: NodeId,
        /// Negative input.
        in_minus: NodeId,
        /// Positive output.
        out_plus: NodeId,
        /// Negative output.
        out_minus: NodeId,
        /// Regulated voltage, V.
        set_v: f64,
        /// Fall of voltage per ampere delivered, ohm.
        droop_ohm: f64,
        /// Most current delivered, A.
        limit_a: f64,
        /// Most power delivered, W; infinite where only the current is limited.
        power_w: f64,
        /// Output power over input power, idle power apart.
        efficiency: f64,
        /// Power drawn without output, W.
        idle_w: f64,
    },
    /// Solar module by the single-diode model; `plus` is the module's positive terminal.
    SolarModule {
        /// Positive terminal.
        plus: NodeId,
        /// Negative terminal.
        minus: NodeId,
        /// Parameters at the operating conditions.
        diode: SingleDiode,
    },
    /// Power source with a ceiling (tracking solar controller's output):
    /// `i_out = clamp((set_v - v) / droop_ohm, 0, min(limit_a, watt / max(v, 1 V)))`.
    PowerSource {
        /// Positive terminal.
        plus: NodeId,
        /// Negative terminal.
        minus: NodeId,
        /// Power, W.
        watt: f64,
        /// Regulated voltage, V.
        set_v: f64,
        /// Fall of voltage per ampere delivered, ohm.
        droop_ohm: f64,
        /// Most current delivered, A.
        limit_a: f64,
    },
    /// Direct-current motor at a given speed: `v = armature_ohm i + back_emf_v` (0 V: stalled).
    Motor {
        /// Positive terminal.
        plus: NodeId,
        /// Negative terminal.
        minus: NodeId,
        /// Armature resistance, ohm.
        armature_ohm: f64,
        /// Back-EMF at the given speed, V.
        back_emf_v: f64,
    },
}

impl Element {
    /// Every node the element touches, port by port.
    pub fn nodes(&self) -> Vec<NodeId> {
        match *self {
            Element::Resistor { a, b, .. } | Element::Lamp { a, b, .. } => vec![a, b],
            Element::Voltage { plus, minus, .. }
            | Element::Battery { plus, minus, .. }
            | Element::ConstantPower { plus, minus, .. }
            | Element::LimitedSource { plus, minus, .. }
            | Element::SolarModule { plus, minus, .. }
            | Element::PowerSource { plus, minus, .. }
            | Element::Motor { plus, minus, .. } => vec![plus, minus],
            Element::Current { from, to, .. } => vec![from, to],
            Element::Diode { anode, cathode, .. } => vec![anode, cathode],
            Element::OneWay { from, to, .. } => vec![from, to],
            Element::Converter { in_plus, in_minus, out_plus, out_minus, .. } => {
                vec![in_plus, in_minus, out_plus, out_minus]
            }
        }
    }

    /// Every node the element touches, to be changed; the order of [`Element::nodes`].
    pub fn nodes_mut(&mut self) -> Vec<&mut NodeId> {
        match self {
            Element::Resistor { a, b, .. } | Element::Lamp { a, b, .. } => vec![a, b],
            Element::Voltage { plus, minus, .. }
            | Element::Battery { plus, minus, .. }
            | Element::ConstantPower { plus, minus, .. }
            | Element::LimitedSource { plus, minus, .. }
            | Element::SolarModule { plus, minus, .. }
            | Element::PowerSource { plus, minus, .. }
            | Element::Motor { plus, minus, .. } => vec![plus, minus],
            Element::Current { from, to, .. } => vec![from, to],
            Element::Diode { anode, cathode, .. } => vec![anode, cathode],
            Element::OneWay { from, to, .. } => vec![from, to],
            Element::Converter { in_plus, in_minus, out_plus, out_minus, .. } => {
                vec![in_plus, in_minus, out_plus, out_minus]
            }
        }
    }
}
