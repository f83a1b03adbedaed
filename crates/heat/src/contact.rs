//! How hot the touching spots inside a contact are, from the voltage across it. Knows no metal's
//! softening or melting voltage: those are data.

use units::{Celsius, Volt};

/// Lorenz number of metals, V²/K² (Sommerfeld value, pi²/3 (k/e)²; contact texts use 2.4e-8 to
/// 2.45e-8).
const LORENZ_V2_PER_K2: f64 = 2.44e-8;

/// Temperature of the hottest spot in a contact.
///
/// Symbols: `U` voltage across the contact, V; `T0` temperature of its body, K; `L` Lorenz number.
/// Equation: `Tmax² = T0² + U²/(4 L)`. Source: the Kohlrausch relation as in Holm, Electric
/// Contacts (relation and `L` read in a secondary copy). Independent of shape and size. Valid for
/// metal on metal without film; below about 10 mV the spots are no warmer than the body. A voltage
/// that is no number: `None`. Checked by `tests::spots_are_as_hot_as_the_relation_says`.
pub fn spot_temperature(across: Volt, body: Celsius) -> Option<Celsius> {
    let volt = across.si();
    let body_k = body.kelvins();
    let sane = volt.is_finite() && body_k.is_finite() && body_k > 0.0;
    sane.then(|| {
        Celsius::from_kelvins((body_k * body_k + volt * volt / (4.0 * LORENZ_V2_PER_K2)).sqrt())
    })
}

/// The voltage at which the hottest spot reaches a temperature: `U = 2 sqrt(L (Tmax² - T0²))`.
///
/// Symbols, source and range as [`spot_temperature`]. A spot not hotter than its body: `None`.
/// Checked by `tests::melting_voltages_follow_from_melting_points`.
pub fn voltage_for_spot(spot: Celsius, body: Celsius) -> Option<Volt> {
    let (spot_k, body_k) = (spot.kelvins(), body.kelvins());
    let sane = body_k > 0.0 && spot_k.is_finite() && spot_k > body_k;
    sane.then(|| Volt::new(2.0 * (LORENZ_V2_PER_K2 * (spot_k * spot_k - body_k * body_k)).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Boltzmann constant and elementary charge are exact by definition (SI 2019).
    #[test]
    fn the_lorenz_number_is_the_sommerfeld_value() {
        let ratio = 1.380_649e-23 / 1.602_176_634e-19;
        let sommerfeld = std::f64::consts::PI.powi(2) / 3.0 * ratio * ratio;
        assert!((LORENZ_V2_PER_K2 / sommerfeld - 1.0).abs() < 0.002, "{sommerfeld}");
    }

    /// Independent script with `L` 2.45e-8 and a body at 300 K: 10 mV 1.70 K, 100 mV 138 K above.
    #[test]
    fn spots_are_as_hot_as_the_relation_says() {
        let above = |volt| {
            let body = Celsius::from_kelvins(300.0);
            spot_temperature(Volt::new(volt), body).unwrap().kelvins_above(body)
        };
        assert!((above(0.010) / 1.696 - 1.0).abs() < 0.006, "{}", above(0.010));
        assert!((above(0.100) / 138.2 - 1.0).abs() < 0.006, "{}", above(0.100));
    }

    /// Holm, Electric Contacts, 4th edition, table of melting voltages: tin 0.13 V (read in a
    /// secondary copy), others from memory. The relation reproduces tin, silver and copper within
    /// 4 %; zinc, lead and steel within 17 %, as their resistance does not follow the law of Wiedemann
    /// and Franz up to the melting point; they are left out here.
    #[test]
    fn melting_voltages_follow_from_melting_points() {
        for (melts_k, printed_v) in [(505.0, 0.13), (1235.0, 0.37), (1358.0, 0.43)] {
            let volt =
                voltage_for_spot(Celsius::from_kelvins(melts_k), Celsius::from_kelvins(293.0))
                    .unwrap()
                    .si();
            assert!((volt / printed_v - 1.0).abs() < 0.04, "{melts_k} K: {volt}");
        }
    }

    #[test]
    fn no_figure_without_a_number() {
        let body = Celsius::new(20.0);
        assert_eq!(spot_temperature(Volt::new(f64::NAN), body), None);
        assert_eq!(voltage_for_spot(body, body), None);
    }
}
