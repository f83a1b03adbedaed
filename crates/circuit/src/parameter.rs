//! The numbers of an element by name, so that one of them can be changed, varied or doubted
//! without knowing which element it is. Knows no usual values and no limits.

use crate::Element;

/// A number of an element. SI units; the field of [`Element`] of the same name says what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Parameter {
    /// Resistance of a resistor, ohm.
    Ohm,
    /// Resistance backward of an element that passes one way, ohm.
    BlockedOhm,
    /// Voltage of an ideal source, V.
    Volt,
    /// Current of an ideal source, A.
    Ampere,
    /// Rest voltage of a battery, V.
    RestVolt,
    /// Fall of voltage per ampere delivered by a battery, ohm.
    DischargeOhm,
    /// Rise of voltage per ampere accepted by a battery, ohm.
    ChargeOhm,
    /// Saturation current of a diode or module, A.
    SaturationAmpere,
    /// Emission coefficient of a diode.
    Emission,
    /// Power of a constant-power load, most power of a power source or converter, W.
    Watt,
    /// Voltage below which a constant-power load has cut out, V.
    CutOutVolt,
    /// Current of a lamp at its rated voltage, A.
    RatedAmpere,
    /// Rated voltage of a lamp, V.
    RatedVolt,
    /// Exponent of a lamp's current over voltage.
    Exponent,
    /// Regulated voltage, V.
    SetVolt,
    /// Fall of regulated voltage per ampere, ohm.
    DroopOhm,
    /// Most current of a regulated source, A.
    LimitAmpere,
    /// Output power of a converter over its input power, idle power apart.
    Efficiency,
    /// Power a converter draws without output, W.
    IdleWatt,
    /// Armature resistance of a motor, ohm.
    ArmatureOhm,
    /// Back-EMF of a motor, V.
    BackEmfVolt,
    /// Light-generated current of a module, A.
    LightAmpere,
    /// Series resistance of a module, ohm.
    SeriesOhm,
    /// Shunt resistance of a module, ohm.
    ShuntOhm,
    /// Modified ideality of a module, V.
    ModifiedIdealityVolt,
}

impl Element {
    /// Every number of the element, in the order of its fields.
    pub fn parameters(&self) -> Vec<(Parameter, f64)> {
        let mut copy = self.clone();
        copy.numbers().into_iter().map(|(parameter, value)| (parameter, *value)).collect()
    }

    /// One number of the element; `None` if it has no such number.
    pub fn value(&self, parameter: Parameter) -> Option<f64> {
        self.parameters().into_iter().find(|(p, _)| *p == parameter).map(|(_, value)| value)
    }

    /// Puts a number in; `None`, and nothing changed, if the element has no such number.
    pub fn set_value(&mut self, parameter: Parameter, value: f64) -> Option<()> {
        let place = self.numbers().into_iter().find(|(p, _)| *p == parameter)?.1;
        *place = value;
        Some(())
    }

    fn numbers(&mut self) -> Vec<(Parameter, &mut f64)> {
        use Parameter as P;
        match self {
            Element::Resistor { ohm, .. } => vec![(P::Ohm, ohm)],
            Element::Voltage { volt, .. } => vec![(P::Volt, volt)],
            Element::Current { ampere, .. } => vec![(P::Ampere, ampere)],
            Element::Battery { rest_v, discharge_ohm, charge_ohm, .. } => vec![
                (P::RestVolt, rest_v),
                (P::DischargeOhm, discharge_ohm),
                (P::ChargeOhm, charge_ohm),
            ],
            Element::Diode { saturation_a, emission, .. } => {
                vec![(P::SaturationAmpere, saturation_a), (P::Emission, emission)]
            }
            Element::OneWay { ohm, blocked_ohm, .. } => {
                vec![(P::Ohm, ohm), (P::BlockedOhm, blocked_ohm)]
            }
            Element::ConstantPower { watt, cut_out_v, .. } => {
                vec![(P::Watt, watt), (P::CutOutVolt, cut_out_v)]
            }
            Element::Lamp { rated_a, rated_v, exponent, .. } => {
                vec![(P::RatedAmpere, rated_a), (P::RatedVolt, rated_v), (P::Exponent, exponent)]
            }
            Element::LimitedSource { set_v, droop_ohm, limit_a, .. } => {
                vec![(P::SetVolt, set_v), (P::DroopOhm, droop_ohm), (P::LimitAmpere, limit_a)]
            }
            Element::Converter {
                set_v, droop_ohm, limit_a, power_w, efficiency, idle_w, ..
            } => vec![
                (P::SetVolt, set_v),
                (P::DroopOhm, droop_ohm),
                (P::LimitAmpere, limit_a),
                (P::Watt, power_w),
                (P::Efficiency, efficiency),
                (P::IdleWatt, idle_w),
            ],
            Element::SolarModule { diode, .. } => vec![
                (P::LightAmpere, &mut diode.light_a),
                (P::SaturationAmpere, &mut diode.saturation_a),
                (P::SeriesOhm, &mut diode.series_ohm),
                (P::ShuntOhm, &mut diode.shunt_ohm),
                (P::ModifiedIdealityVolt, &mut diode.modified_ideality_v),
            ],
            Element::PowerSource { watt, set_v, droop_ohm, limit_a, .. } => vec![
                (P::Watt, watt),
                (P::SetVolt, set_v),
                (P::DroopOhm, droop_ohm),
                (P::LimitAmpere, limit_a),
            ],
            Element::Motor { armature_ohm, back_emf_v, .. } => {
                vec![(P::ArmatureOhm, armature_ohm), (P::BackEmfVolt, back_emf_v)]
            }
        }
    }
}
