//! Air, and what a warm horizontal cylinder gives off to it. Knows no cable.

use units::Celsius;
use units::gravity::STANDARD_GRAVITY_M_PER_S2;

/// Stefan-Boltzmann constant, W/(m² K⁴) (CODATA 2018).
const STEFAN_BOLTZMANN_W_PER_M2K4: f64 = 5.670_374_419e-8;
/// Standard atmosphere, Pa, and gas constant of dry air, J/(kg K) (US Standard Atmosphere 1976).
const PRESSURE_PA: f64 = 101_325.0;
const DRY_AIR_J_PER_KGK: f64 = 287.05;
/// Heat capacity of air at constant pressure, J/(kg K) (textbook).
const HEAT_CAPACITY_J_PER_KGK: f64 = 1006.0;

/// Dry air at one atmosphere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_per_mk: f64,
    /// Kinematic viscosity, m²/s.
    pub viscosity_m2_per_s: f64,
    /// Prandtl number.
    pub prandtl: f64,
}

impl Air {
    /// Dry air at one atmosphere and a temperature.
    ///
    /// Symbols: `T` temperature, K; `k` conductivity, W/(m K); `mu` viscosity, Pa s; `rho` density,
    /// kg/m³. Equations: `mu = 1.458e-6 T^1.5/(T + 110.4)` (Sutherland, US Standard Atmosphere
    /// 1976), `k = 2.64638e-3 T^1.5/(T + 245.4 10^(-12/T))` (the same document), `rho = p/(R T)`,
    /// `Pr = mu cp/k`. Valid from about 200 to 800 K; outside the laws are simply extended.
    /// Checked by `tests::air_is_the_tabulated_air`.
    pub fn at(temperature: Celsius) -> Air {
        let kelvin = temperature.kelvins();
        let root_cubed = kelvin.powf(1.5);
        let viscosity_pa_s = 1.458e-6 * root_cubed / (kelvin + 110.4);
        let density_kg_per_m3 = PRESSURE_PA / (DRY_AIR_J_PER_KGK * kelvin);
        let conductivity_w_per_mk =
            2.64638e-3 * root_cubed / (kelvin + 245.4 * 10.0_f64.powf(-12.0 / kelvin));
        Air {
            conductivity_w_per_mk,
            viscosity_m2_per_s: viscosity_pa_s / density_kg_per_m3,
            prandtl: viscosity_pa_s * HEAT_CAPACITY_J_PER_KGK / conductivity_w_per_mk,
        }
    }
}

/// Nusselt number of a horizontal cylinder in still fluid.
///
/// Symbols: `Pr` Prandtl number, `Gr` Grashof number on the diameter, `Ra = Pr Gr`. Equation:
/// `Nu = (0.60 + 0.387 Ra^(1/6) / (1 + (0.559/Pr)^(9/16))^(8/27))²`. Source: Churchill and Chu,
/// Int. J. Heat Mass Transfer 18 (1975), as printed in textbooks. Valid for `Ra` from 1e-5 to
/// 1e12; outside it is simply extended. Checked by `tests::churchill_chu_is_the_published_figure`.
pub fn nusselt(prandtl: f64, grashof: f64) -> f64 {
    let shape = (1.0 + (0.559 / prandtl).powf(9.0 / 16.0)).powf(8.0 / 27.0);
    let root = 0.60 + 0.387 * (prandtl * grashof).powf(1.0 / 6.0) / shape;
    root * root
}

/// What a metre of a horizontal cylinder gives off to still air and its surroundings, W/m.
///
/// Symbols: `D` outside diameter, m; `Ts` surface, `Ta` ambient temperature, K; `e` emissivity.
/// Equation: `q = pi D (h (Ts - Ta) + e s (Ts⁴ - Ta⁴))`, `h = k Nu/D`, air at the mean of the two
/// temperatures, `Gr = g (2/(Ts + Ta)) (Ts - Ta) D³/nu²`. Sources: [`nusselt`], Stefan-Boltzmann.
/// Valid for one cylinder alone in still air; a surface that is not warmer than the air gives 0.
/// Checked by `cable::tests` against 33 CFR 183.425 Table 5 and FAA AC 43.13-1B figure 11-4a.
pub fn surface_loss_w_per_m(
    outside_m: f64,
    surface: Celsius,
    ambient: Celsius,
    emissivity: f64,
) -> f64 {
    let (hot_k, cold_k) = (surface.kelvins(), ambient.kelvins());
    let above_k = hot_k - cold_k;
    if above_k <= 0.0 {
        return 0.0;
    }
    let mean_k = 0.5 * (hot_k + cold_k);
    let air = Air::at(Celsius::from_kelvins(mean_k));
    let grashof = STANDARD_GRAVITY_M_PER_S2 / mean_k * above_k * outside_m.powi(3)
        / air.viscosity_m2_per_s.powi(2);
    let film_w_per_m2k = air.conductivity_w_per_mk * nusselt(air.prandtl, grashof) / outside_m;
    let radiated_w_per_m2 =
        emissivity * STEFAN_BOLTZMANN_W_PER_M2K4 * (hot_k.powi(4) - cold_k.powi(4));
    std::f64::consts::PI * outside_m * (film_w_per_m2k * above_k + radiated_w_per_m2)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published worked values of the Churchill-Chu equation (documentation of an open heat
    /// transfer library, read in a secondary copy).
    #[test]
    fn churchill_chu_is_the_published_figure() {
        for (prandtl, grashof, printed) in
            [(0.69, 2.63e9, 139.135), (0.7, 1e5, 7.07684), (1.2, 5e6, 25.9779), (0.9, 1e9, 115.819)]
        {
            let ours = nusselt(prandtl, grashof);
            assert!((ours / printed - 1.0).abs() < 5e-6, "Pr {prandtl} Gr {grashof}: {ours}");
        }
    }

    /// Air at 300 K by the tables of heat transfer textbooks (Incropera and DeWitt, Table A.4, from
    /// memory): k 26.3e-3 W/(m K), mu 184.6e-7 Pa s, nu 15.89e-6 m²/s, Pr 0.707. That table's
    /// density, mu/nu = 1.1617 kg/m³, is air at 100 kPa; ours is at 101.325 kPa, so nu is compared
    /// at the same pressure. The laws come within 1 %.
    #[test]
    fn air_is_the_tabulated_air() {
        let air = Air::at(Celsius::from_kelvins(300.0));
        assert!((air.conductivity_w_per_mk / 26.3e-3 - 1.0).abs() < 0.01, "{air:?}");
        assert!((air.viscosity_m2_per_s * 1.01325 / 15.89e-6 - 1.0).abs() < 0.01, "{air:?}");
        assert!((air.prandtl / 0.707 - 1.0).abs() < 0.01, "{air:?}");
    }

    /// By hand: a black cylinder of 1 m circumference radiates sigma (373.15⁴ - 293.15⁴) = 680.6
    /// W/m between 100 and 20 °C; the rest of the sum is convection, which emissivity leaves alone.
    #[test]
    fn radiation_is_the_fourth_power_law() {
        let outside_m = 1.0 / std::f64::consts::PI;
        let loss = |emissivity| {
            surface_loss_w_per_m(outside_m, Celsius::new(100.0), Celsius::new(20.0), emissivity)
        };
        assert!((loss(1.0) - loss(0.0) - 680.6).abs() < 0.5, "{}", loss(1.0) - loss(0.0));
        assert!(loss(0.0) > 0.0);
    }

    #[test]
    fn a_cold_surface_gives_nothing_off() {
        let loss = surface_loss_w_per_m(0.01, Celsius::new(20.0), Celsius::new(30.0), 0.9);
        assert!(loss.abs() < 1e-15);
    }
}
