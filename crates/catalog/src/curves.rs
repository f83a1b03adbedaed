//! Tabulated curves: battery rest voltage and acceptance against charge, battery resistance against
//! temperature, blade-fuse resistance against rating.

use std::collections::BTreeMap;

use model::Chemistry;
use serde::Deserialize;
use units::{Ampere, Fraction, Ohm, Volt};

/// Key of the acceptance of lead-acid batteries.
const LEAD_ACCEPTANCE: &str = "lead_acceptance";

/// The curves.
#[derive(Clone, Debug)]
pub struct Curves(BTreeMap<String, Curve>);

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Curve {
    nominal: Option<f64>,
    /// Voltage the acceptance is given at.
    absorption: Option<f64>,
    source: String,
    #[allow(dead_code, reason = "a remark for whoever reads the data")]
    note: Option<String>,
    points: Vec<(f64, f64)>,
}

/// What a battery accepts in steady state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Acceptance {
    /// The voltage it is given at, that of absorption.
    pub at: Volt,
    /// The current there, as a share of what the battery holds per hour.
    pub share_per_hour: Fraction,
}

impl Curves {
    pub(crate) fn embedded() -> Curves {
        Curves(crate::embedded("batteries.toml", include_str!("../data/batteries.toml")))
    }

    /// Rest voltage of a battery block, straight lines between the tabulated points, scaled to the
    /// block's nominal voltage. Source and points: `data/batteries.toml`. Valid: 0 to 100 %;
    /// outside, the nearest end.
    pub fn rest_voltage(&self, chemistry: Chemistry, charge: Fraction, nominal: Volt) -> Volt {
        let curve = &self.0[chemistry_key(chemistry)];
        let scale = nominal.si() / curve.nominal.unwrap_or(nominal.si());
        Volt::from_si(straight_lines(&curve.points, charge.si()) * scale)
    }

    /// Key of the source of the rest voltage.
    pub fn rest_voltage_source(&self, chemistry: Chemistry) -> &str {
        &self.0[chemistry_key(chemistry)].source
    }

    /// Current a battery accepts at its absorption voltage, `I = s(charge) C / 1 h` with `C` what it
    /// holds in Ah: straight lines between the tabulated points, the voltage scaled to the block's
    /// nominal voltage. `None`: it takes what comes (LFP). Source and points:
    /// `data/batteries.toml`, an estimate. Valid: steady charging of a sound battery at some 20 °C,
    /// 0 to 100 %; outside, the nearest end. An old one takes more when full, a cold one less.
    pub fn acceptance(
        &self,
        chemistry: Chemistry,
        charge: Fraction,
        nominal: Volt,
    ) -> Option<Acceptance> {
        if chemistry == Chemistry::Lfp {
            return None;
        }
        let curve = &self.0[LEAD_ACCEPTANCE];
        let scale = nominal.si() / curve.nominal?;
        Some(Acceptance {
            at: Volt::from_si(curve.absorption? * scale),
            share_per_hour: Fraction::from_si(straight_lines(&curve.points, charge.si())),
        })
    }

    /// Key of the source of the acceptance.
    pub fn acceptance_source(&self) -> &str {
        &self.0[LEAD_ACCEPTANCE].source
    }

    /// Resistance of a battery at a temperature over that at 20 °C: straight lines in its logarithm
    /// between the tabulated points. Source and points: `data/batteries.toml`, estimates. Valid:
    /// -20 to 20 °C; outside, the nearest end (warmer than 20 °C little changes).
    pub fn cold_resistance(&self, chemistry: Chemistry, celsius: f64) -> f64 {
        let key = if chemistry == Chemistry::Lfp { "lfp_cold" } else { "lead_cold" };
        let logs: Vec<(f64, f64)> = self.0[key].points.iter().map(|(t, f)| (*t, f.ln())).collect();
        straight_lines(&logs, celsius).exp()
    }

    /// Typical cold resistance of a blade fuse of a rating, straight lines in log-log between the
    /// tabulated ratings. Valid: 3 to 50 A; outside, `None`.
    pub fn blade_fuse(&self, rated: Ampere) -> Option<Ohm> {
        let points = &self.0["blade_fuse"].points;
        let (first, last) = (points.first()?.0, points.last()?.0);
        if rated.si() < first || rated.si() > last {
            return None;
        }
        let logs: Vec<(f64, f64)> = points.iter().map(|(a, r)| (a.ln(), r.ln())).collect();
        Some(Ohm::from_si(straight_lines(&logs, rated.si().ln()).exp()))
    }
}

fn chemistry_key(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::Lfp => "lfp",
        Chemistry::Agm => "agm",
        Chemistry::Gel => "gel",
        Chemistry::Flooded => "flooded",
    }
}

fn straight_lines(points: &[(f64, f64)], x: f64) -> f64 {
    let next = points.iter().position(|(at, _)| *at >= x).unwrap_or(points.len() - 1).max(1);
    let ((x0, y0), (x1, y1)) = (points[next - 1], points[next]);
    let share = ((x - x0) / (x1 - x0)).clamp(0.0, 1.0);
    y0 + share * (y1 - y0)
}
