//! Mass and deceleration to force. Knows nothing of what has to carry it.

pub(crate) use units::gravity::STANDARD_GRAVITY_M_PER_S2;

/// Heaviest thing handled, in kilograms.
const MAX_MASS_KG: f64 = 10_000.0;
/// Highest deceleration handled, in multiples of standard gravity.
const MAX_G_LEVEL: f64 = 200.0;

/// A value that cannot be used, with what would be usable.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{what} is {value}; it must lie between {low} and {high}")]
pub struct BadInput {
    /// Which value, with its unit.
    pub what: String,
    /// The value given.
    pub value: f64,
    /// Lowest usable value.
    pub low: f64,
    /// Highest usable value.
    pub high: f64,
}

/// Force of a mass under a steady deceleration, in newtons.
///
/// `F = m a g`, with m the mass in kg, a the deceleration in multiples of g, g standard gravity in
/// m/s2. Source: Newton's second law. Range: mass 0 to 10 000 kg, a 0 to 200. It is a static
/// figure: a thing that can slide before its fixing takes hold pulls harder than this.
/// Checked in `battery_of_30_kg_at_20_g_pulls_5884_n`.
///
/// # Errors
///
/// [`BadInput`] outside the range, also for values that are not numbers.
pub fn load_n(mass_kg: f64, g_level: f64) -> Result<f64, BadInput> {
    let mass_kg = within("mass in kg", mass_kg, 0.0, MAX_MASS_KG)?;
    let g_level = within("deceleration in g", g_level, 0.0, MAX_G_LEVEL)?;
    Ok(mass_kg * g_level * STANDARD_GRAVITY_M_PER_S2)
}

/// The value if it lies in the closed range.
pub(crate) fn within(what: &str, value: f64, low: f64, high: f64) -> Result<f64, BadInput> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(BadInput { what: what.to_owned(), value, low, high })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 30 x 20 x 9.80665 = 5883.99; 30 x 10 x 9.80665 = 2941.995; 15 x 0.8 x 9.80665 = 117.68.
    /// Worked by hand; g_n = 9.80665 m/s2 is exact by definition.
    #[test]
    fn battery_of_30_kg_at_20_g_pulls_5884_n() {
        assert!((load_n(30.0, 20.0).unwrap() - 5884.0).abs() < 0.5);
        assert!((load_n(30.0, 10.0).unwrap() - 2942.0).abs() < 0.5);
        assert!((load_n(15.0, 0.8).unwrap() - 118.0).abs() < 0.5);
    }

    #[test]
    fn a_mass_that_is_not_one_is_refused() {
        for mass_kg in [f64::NAN, -1.0, f64::INFINITY, 1e9] {
            assert!(load_n(mass_kg, 20.0).unwrap_err().what.contains("mass"));
        }
        assert!(load_n(1.0, f64::NAN).unwrap_err().what.contains("deceleration"));
    }
}
