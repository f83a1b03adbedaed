//! How far predictions may be off: what the sums leave open of a reading, of what a fault makes of it,
//! and of points that nothing joins.

use circuit::{BranchId, Circuit, Element, Parameter};
use model::{ReadingPoints, Vehicle};
use network::Network;
use solve::{Outcome, sensitivity};

use crate::evidence::Prediction;

/// Amperes below which the sums do not tell two predictions apart (estimate, no source).
pub(crate) const LEAST_A: f64 = 0.02;

/// How far the sums may be off.
struct Spread {
    /// Share of a wire's or joint's resistance.
    resistance: f64,
    /// Share of what a load draws.
    load: f64,
    /// A battery at rest may stand so far beside its curve, V.
    battery_v: f64,
    /// Volts below which the sums do not tell two predictions apart.
    least_v: f64,
    /// What a voltmeter shows on points that nothing joins lies around zero by this much, V.
    floating: f64,
}

/// Estimates, no source.
const SPREAD: Spread =
    Spread { resistance: 0.10, load: 0.10, battery_v: 0.05, least_v: 0.005, floating: 0.15 };

/// Standard deviation that a prediction has because it stands apart from the vehicle as written:
/// what a fault makes appear follows the battery (volts) or what loads draw (amperes), and the
/// slopes of the vehicle as written know nothing of it. `s = 0.1 |d|` for amperes, `d` the change.
/// For volts `s^2 = (50 mV |d| / U)^2 + (0.1 |d| (1 - |d| / U))^2`, `U` the nominal voltage: what a
/// resistance takes from a load moves with the battery and, as the middle of a divider, with the
/// resistance of the load (`dV / d ln R = V (1 - V / U)`). First order, own choice.
pub fn spread_of_change(points: ReadingPoints, change: f64, nominal_v: f64) -> f64 {
    match points {
        ReadingPoints::Between(..) | ReadingPoints::Over(_) => {
            let share = (change.abs() / nominal_v).min(1.0);
            (SPREAD.battery_v * share).hypot(SPREAD.load * change.abs() * (1.0 - share))
        }
        ReadingPoints::In(_) | ReadingPoints::On(_) => SPREAD.load * change.abs(),
    }
}

/// What a voltmeter shows on points that nothing joins: a ghost around zero.
pub fn ghost() -> Prediction {
    Prediction { expected: 0.0, per_parameter: Vec::new(), own_spread: SPREAD.floating }
}

/// How readings of the vehicle as written follow the numbers of its circuit.
pub(crate) struct Slopes {
    batteries: Vec<BranchId>,
    at: Option<sensitivity::Sensitivities>,
}

impl Slopes {
    pub(crate) fn of(network: &Network) -> Slopes {
        let circuit = &network.circuit;
        let is_battery = |branch: &&(BranchId, &circuit::Branch)| {
            matches!(branch.1.element, Element::Battery { .. })
        };
        let batteries = circuit.branches().filter(|b| is_battery(&b)).map(|(id, _)| id).collect();
        let positions = match solve::settle(circuit) {
            Outcome::Settled(point) => Some(point.guards),
            Outcome::Hunts { between, .. } => Some(between[0].guards.clone()),
            Outcome::Trouble(_) => None,
        };
        let at = positions.and_then(|at| sensitivity::Sensitivities::at(circuit, &at).ok());
        Slopes { batteries, at }
    }

    /// First-order spreads of a reading: batteries' rest voltages are shared parameters, in the order
    /// of the circuit's batteries; resistances and loads are a reading's own.
    pub(crate) fn spread(
        &mut self,
        vehicle: &Vehicle,
        network: &Network,
        points: ReadingPoints,
    ) -> (Vec<f64>, f64) {
        let mut of = || {
            let shown = network::reading::shown(vehicle, network, points)?;
            let derivatives = self.at.as_mut()?.of(shown.reading)?;
            let least = least(points);
            Some(first_order(&network.circuit, &self.batteries, &derivatives, shown.times, least))
        };
        of().unwrap_or_else(|| (vec![0.0; self.batteries.len()], least(points)))
    }
}

fn least(points: ReadingPoints) -> f64 {
    match points {
        ReadingPoints::Between(..) | ReadingPoints::Over(_) => SPREAD.least_v,
        ReadingPoints::In(_) | ReadingPoints::On(_) => LEAST_A,
    }
}

fn first_order(
    circuit: &Circuit,
    batteries: &[BranchId],
    derivatives: &[(BranchId, Parameter, f64)],
    times: f64,
    least: f64,
) -> (Vec<f64>, f64) {
    let mut per_parameter = vec![0.0; batteries.len()];
    let mut own = least * least;
    for &(branch, parameter, slope) in derivatives {
        let slope = slope * times;
        let share = match parameter {
            Parameter::RestVolt => {
                let battery = batteries.iter().position(|id| *id == branch);
                battery.into_iter().for_each(|k| per_parameter[k] = SPREAD.battery_v * slope);
                continue;
            }
            Parameter::Ohm | Parameter::DischargeOhm => SPREAD.resistance,
            Parameter::Watt | Parameter::RatedAmpere | Parameter::BackEmfVolt => SPREAD.load,
            _ => continue,
        };
        let value = circuit.branch(branch).element.value(parameter).unwrap_or(0.0);
        // What has no limit, and moves nothing, spreads nothing.
        if slope.abs() > 0.0 {
            own += (share * value * slope).powi(2);
        }
    }
    (per_parameter, own.sqrt())
}
