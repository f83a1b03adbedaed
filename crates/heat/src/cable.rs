//! A round insulated cable alone in still air: how warm a current makes it, and which current makes
//! it so warm. Knows no bundle: for bundles there are published factors, which belong to tables.

use units::conductor::{MAX_TEMPERATURE_C, MIN_TEMPERATURE_C};
use units::copper::temperature_factor;
use units::{Ampere, Celsius, Metre, SquareMillimetre};

use crate::air::surface_loss_w_per_m;
use crate::root::rising;

/// Why there is no figure.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoFigure {
    /// The conductor gets hotter than the straight line of copper's resistance is used for.
    #[error("hotter than {0}, where the law of resistance ends")]
    HotterThan(Celsius),
    /// An input no cable can have.
    #[error("a current, a time or a temperature that no cable can have")]
    Impossible,
}

/// The metal of a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metal {
    /// Resistance of a metre at 20 °C, ohm/m.
    pub ohm_per_metre_20c: f64,
    /// Copper in the cross-section.
    pub area: SquareMillimetre,
    /// Diameter over the strands.
    pub diameter: Metre,
}

/// A round insulated copper cable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cable {
    metal: Metal,
    outside: Metre,
    insulation_w_per_mk: f64,
    emissivity: f64,
}

impl Cable {
    /// A cable of a metal, its outside diameter, the thermal conductivity of its insulation,
    /// W/(m K), and the emissivity of its surface. `None` if no cable can be so: sizes that are not
    /// positive, an outside smaller than the metal, an emissivity outside 0 to 1.
    pub fn new(
        metal: Metal,
        outside: Metre,
        insulation_w_per_mk: f64,
        emissivity: f64,
    ) -> Option<Cable> {
        let positive = |value: f64| value.is_finite() && value > 0.0;
        let sane = positive(metal.ohm_per_metre_20c)
            && positive(metal.area.si())
            && positive(metal.diameter.si())
            && outside.si().is_finite()
            && outside.si() >= metal.diameter.si()
            && positive(insulation_w_per_mk)
            && (0.0..=1.0).contains(&emissivity);
        sane.then_some(Cable { metal, outside, insulation_w_per_mk, emissivity })
    }

    /// The metal.
    pub fn metal(&self) -> Metal {
        self.metal
    }

    /// The outside diameter.
    pub fn outside(&self) -> Metre {
        self.outside
    }

    /// The hottest conductor the sums are used for, 250 °C: the end of the straight line of
    /// copper's resistance in `units`.
    pub const HOTTEST: Celsius = Celsius::new(MAX_TEMPERATURE_C);

    /// Resistance of a metre of its conductor at a temperature, ohm/m.
    pub(crate) fn ohm_per_metre(&self, conductor: Celsius) -> f64 {
        self.metal.ohm_per_metre_20c * temperature_factor(conductor)
    }

    /// Thermal resistance of a metre of its insulation, K m/W: `ln(D/d)/(2 pi k)`.
    fn insulation_km_per_w(&self) -> f64 {
        let ratio = self.outside.si() / self.metal.diameter.si();
        ratio.ln() / (2.0 * std::f64::consts::PI * self.insulation_w_per_mk)
    }

    /// What its surface gives off, W/m.
    fn surface_w_per_m(&self, surface: Celsius, ambient: Celsius) -> f64 {
        surface_loss_w_per_m(self.outside.si(), surface, ambient, self.emissivity)
    }

    /// What a metre of it gives off with the conductor at a temperature, W/m.
    ///
    /// Symbols: `Tc` conductor, `Ts` surface, `Ta` ambient temperature; `D` outside, `d` conductor
    /// diameter; `k` conductivity of the insulation. Equation: the `Ts` at which
    /// `(Tc - Ts) 2 pi k / ln(D/d) = q(Ts, Ta)`, with `q` from [`surface_loss_w_per_m`]. Source:
    /// heat balance, textbook. A conductor not warmer than the air gives 0. Checked through
    /// [`Cable::allowable_current`] and `transient::tests`.
    pub fn loss_w_per_m(&self, conductor: Celsius, ambient: Celsius) -> f64 {
        if conductor.kelvins_above(ambient) <= 0.0 {
            return 0.0;
        }
        let resistance = self.insulation_km_per_w();
        let surface_c = rising(ambient.degrees(), conductor.degrees(), |surface_c| {
            let surface = Celsius::new(surface_c);
            surface_c + resistance * self.surface_w_per_m(surface, ambient) - conductor.degrees()
        });
        self.surface_w_per_m(Celsius::new(surface_c), ambient)
    }

    /// The current that holds the conductor at a temperature in still air of `ambient`.
    ///
    /// Symbols: `Tc` conductor temperature, `r` its resistance per metre there, ohm/m; `g` loss,
    /// W/m. Equation: `I = sqrt(g(Tc) / r(Tc))`. Source: heat balance, textbook; [`Cable::loss_w_per_m`].
    /// Valid for one cable alone in still air, conductor from ambient to [`Cable::HOTTEST`];
    /// outside, [`NoFigure`]. Checked by `tests::model_against_cfr_table_5_is_the_reference_ratio`,
    /// `tests::one_wire_in_free_air_is_the_figure_of_ac_43_13`.
    pub fn allowable_current(
        &self,
        conductor: Celsius,
        ambient: Celsius,
    ) -> Result<Ampere, NoFigure> {
        believable(ambient)?;
        if conductor.degrees() > Cable::HOTTEST.degrees() {
            return Err(NoFigure::HotterThan(Cable::HOTTEST));
        }
        believable(conductor)?;
        let loss_w_per_m = self.loss_w_per_m(conductor, ambient);
        Ok(Ampere::new((loss_w_per_m / self.ohm_per_metre(conductor)).sqrt()))
    }

    /// Where the conductor's temperature comes to rest under a current.
    ///
    /// Symbols and source as [`Cable::allowable_current`], turned round: the surface temperature is
    /// found at which heat made and heat given off agree, `Tc = Ts + q R`. The balance has one
    /// answer, because heat given off grows faster than copper's resistance
    /// (`q'/q >= 1/(Ts - Ta) > 1/(Ts + 234.5)`). Valid as there. Checked by
    /// `tests::metric_cables_carry_the_reference_currents` and the property tests.
    pub fn resting_temperature(
        &self,
        current: Ampere,
        ambient: Celsius,
    ) -> Result<Celsius, NoFigure> {
        believable(ambient)?;
        let ampere = current.si().abs();
        if !ampere.is_finite() {
            return Err(NoFigure::Impossible);
        }
        if self.allowable_current(Cable::HOTTEST, ambient)?.si() < ampere {
            return Err(NoFigure::HotterThan(Cable::HOTTEST));
        }
        let resistance = self.insulation_km_per_w();
        let conductor_c = |surface_c: f64| {
            surface_c + resistance * self.surface_w_per_m(Celsius::new(surface_c), ambient)
        };
        let surface_c = rising(ambient.degrees(), Cable::HOTTEST.degrees(), |surface_c| {
            let lost = self.surface_w_per_m(Celsius::new(surface_c), ambient);
            let made_per_a2 = self.ohm_per_metre(Celsius::new(conductor_c(surface_c)));
            lost / made_per_a2 - ampere * ampere
        });
        Ok(Celsius::new(conductor_c(surface_c)))
    }
}

/// Temperatures the sums are used for.
pub(crate) fn believable(temperature: Celsius) -> Result<(), NoFigure> {
    let inside = (MIN_TEMPERATURE_C..=MAX_TEMPERATURE_C).contains(&temperature.degrees());
    if inside { Ok(()) } else { Err(NoFigure::Impossible) }
}

#[cfg(test)]
mod tests;
