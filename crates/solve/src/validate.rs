//! Values no circuit may hold: not a number, infinite, or of the wrong sign. Runs before
//! anything is assembled, so that the iteration never meets them.

use circuit::{Branch, BranchId, Circuit, Element, Guard, Sense, SingleDiode, Trip};

use crate::Trouble;

/// Refuses the first value out of range, by name.
pub(crate) fn check(circuit: &Circuit) -> Result<(), Trouble> {
    for (id, branch) in circuit.branches() {
        check_branch(id, branch)?;
    }
    circuit.guards().iter().try_for_each(check_guard)
}

struct Values<'a> {
    id: BranchId,
    branch: &'a Branch,
}

impl Values<'_> {
    fn require(&self, fits: bool, what: &str, value: f64, must: &str) -> Result<(), Trouble> {
        if fits {
            return Ok(());
        }
        Err(Trouble::BadValue {
            branch: self.id,
            name: self.branch.name.clone(),
            what: format!("{what} is {value}; it must be {must}"),
        })
    }

    fn positive(&self, what: &str, value: f64) -> Result<(), Trouble> {
        self.require(value.is_finite() && value > 0.0, what, value, "a number above zero")
    }

    fn not_negative(&self, what: &str, value: f64) -> Result<(), Trouble> {
        self.require(value.is_finite() && value >= 0.0, what, value, "a number, zero or above")
    }

    fn number(&self, what: &str, value: f64) -> Result<(), Trouble> {
        self.require(value.is_finite(), what, value, "a number")
    }

    fn regulator(&self, set_v: f64, droop_ohm: f64, limit_a: f64) -> Result<(), Trouble> {
        self.number("set voltage (V)", set_v)?;
        self.positive("droop (ohm)", droop_ohm)?;
        self.not_negative("current limit (A)", limit_a)
    }

    fn module(&self, diode: &SingleDiode) -> Result<(), Trouble> {
        self.not_negative("light current (A)", diode.light_a)?;
        self.positive("saturation current (A)", diode.saturation_a)?;
        self.not_negative("series resistance (ohm)", diode.series_ohm)?;
        let shunt_fits = diode.shunt_ohm > 0.0;
        self.require(shunt_fits, "shunt resistance (ohm)", diode.shunt_ohm, "above zero")?;
        self.positive("modified ideality (V)", diode.modified_ideality_v)
    }
}

/// Whether an element holds only values that a real part may have.
pub(crate) fn fits(element: &Element) -> bool {
    let branch = Branch { name: String::new(), element: element.clone(), while_on: None };
    check_branch(BranchId(0), &branch).is_ok()
}

fn check_branch(id: BranchId, branch: &Branch) -> Result<(), Trouble> {
    let values = Values { id, branch };
    match branch.element {
        Element::Resistor { ohm, .. } => values.positive("resistance (ohm)", ohm),
        Element::Voltage { volt, .. } => values.number("voltage (V)", volt),
        Element::Battery { rest_v, discharge_ohm, charge_ohm, .. } => {
            values.number("rest voltage (V)", rest_v)?;
            values.positive("resistance to discharge (ohm)", discharge_ohm)?;
            values.positive("resistance to charge (ohm)", charge_ohm)
        }
        Element::Current { ampere, .. } => values.number("current (A)", ampere),
        Element::Diode { saturation_a, emission, .. } => {
            values.positive("saturation current (A)", saturation_a)?;
            values.positive("emission coefficient", emission)
        }
        Element::OneWay { ohm, blocked_ohm, .. } => {
            values.positive("resistance forward (ohm)", ohm)?;
            values.positive("resistance backward (ohm)", blocked_ohm)?;
            let fits = blocked_ohm >= ohm;
            values.require(fits, "resistance backward (ohm)", blocked_ohm, "at least that forward")
        }
        Element::ConstantPower { watt, cut_out_v, .. } => {
            values.number("power (W)", watt)?;
            values.positive("cut-out voltage (V)", cut_out_v)
        }
        Element::Lamp { rated_a, rated_v, exponent, .. } => {
            values.positive("rated current (A)", rated_a)?;
            values.positive("rated voltage (V)", rated_v)?;
            values.positive("exponent", exponent)
        }
        Element::LimitedSource { set_v, droop_ohm, limit_a, .. } => {
            values.regulator(set_v, droop_ohm, limit_a)
        }
        Element::Converter { set_v, droop_ohm, limit_a, power_w, efficiency, idle_w, .. } => {
            values.regulator(set_v, droop_ohm, limit_a)?;
            values.require(power_w >= 0.0, "power limit (W)", power_w, "zero or above")?;
            let fits = efficiency > 0.0 && efficiency <= 1.0;
            values.require(fits, "efficiency", efficiency, "above 0 and at most 1")?;
            values.not_negative("idle power (W)", idle_w)
        }
        Element::SolarModule { ref diode, .. } => values.module(diode),
        Element::PowerSource { watt, set_v, droop_ohm, limit_a, .. } => {
            values.not_negative("power (W)", watt)?;
            values.regulator(set_v, droop_ohm, limit_a)
        }
        Element::Motor { armature_ohm, back_emf_v, .. } => {
            values.positive("armature resistance (ohm)", armature_ohm)?;
            values.number("back-EMF (V)", back_emf_v)
        }
    }
}

fn check_guard(guard: &Guard) -> Result<(), Trouble> {
    let bad = |what: &str| Err(Trouble::BadGuard { name: guard.name.clone(), what: what.into() });
    let watches_current = matches!(guard.sense, Sense::Into(_) | Sense::OutOf(_));
    if watches_current != matches!(guard.trip, Trip::HighCurrent { .. }) {
        return bad("it compares a voltage with a current");
    }
    let (low_v, high_v, must) = match guard.trip {
        Trip::LowVoltage { off_below_v, on_from_v } => {
            (off_below_v, on_from_v, "the off threshold must not lie above the on threshold")
        }
        Trip::HighVoltage { off_above_v, on_up_to_v } => {
            (on_up_to_v, off_above_v, "the on threshold must not lie above the off threshold")
        }
        Trip::HighCurrent { off_above_a } => {
            (0.0, off_above_a, "the off threshold must not lie below zero")
        }
    };
    if !(low_v.is_finite() && high_v.is_finite()) {
        return bad("a threshold is not a number");
    }
    if low_v > high_v { bad(must) } else { Ok(()) }
}
