//! The way to the resting temperature: how warm after a time, how long to a temperature. One lump of
//! copper and insulation for each metre; no heat runs along the cable.

use units::{Ampere, Celsius, Second};

use crate::cable::{Cable, NoFigure, believable};

/// Heat a cubic metre of copper takes for a kelvin, J/(m³ K) (IEC 60949, from memory; 8960 kg/m³
/// times 385 J/(kg K) gives the same).
const COPPER_J_PER_M3K: f64 = 3.45e6;
/// The same of PVC insulation (IEC 60853-2 as 1.7e6 to 2.0e6, from memory).
const INSULATION_J_PER_M3K: f64 = 1.9e6;

/// Steps are halved until two runs agree to this, K.
const AGREE_K: f64 = 1e-4;
const FIRST_STEPS: u32 = 16;
const MOST_STEPS: u32 = 1 << 16;
/// Intervals of the sum over temperature.
const SLICES: u32 = 256;

impl Cable {
    /// Heat a metre of cable takes for a kelvin, J/(m K).
    ///
    /// Symbols: `A` copper area, `d` conductor and `D` outside diameter, m. Equation:
    /// `C = 3.45e6 A + 1.9e6 pi/4 (D² - d²)`. Source: the constants above. Checked by
    /// `tests::heat_capacity_is_the_reference_value`.
    pub fn heat_capacity_j_per_mk(&self) -> f64 {
        let (metal, outside_m) = (self.metal(), self.outside().si());
        let ring_m2 =
            std::f64::consts::FRAC_PI_4 * (outside_m.powi(2) - metal.diameter.si().powi(2));
        COPPER_J_PER_M3K * metal.area.square_metres() + INSULATION_J_PER_M3K * ring_m2
    }

    /// How warm the conductor is after a current has flowed for a time, from `start`.
    ///
    /// Symbols: `T` conductor temperature; `C` heat capacity, J/(m K); `r` resistance, ohm/m; `g`
    /// loss, W/m. Equation: `C dT/dt = I² r(T) - g(T)`, stepped by the classical Runge-Kutta rule
    /// with halved steps until two runs agree to 0.1 mK. Source: heat balance, textbook. Valid for
    /// one cable alone in still air, up to [`Cable::HOTTEST`]; hotter, or impossible input:
    /// [`NoFigure`]. Checked by `tests::stepping_is_the_closed_form_in_the_linear_limit` and
    /// `tests::warming_is_the_reference_series`.
    pub fn temperature_after(
        &self,
        current: Ampere,
        time: Second,
        start: Celsius,
        ambient: Celsius,
    ) -> Result<Celsius, NoFigure> {
        let rate = self.rate(current, start, ambient)?;
        if !(time.si().is_finite() && time.si() >= 0.0) {
            return Err(NoFigure::Impossible);
        }
        stepped(start.degrees(), time.si(), rate)
            .filter(|end_c| *end_c <= Cable::HOTTEST.degrees())
            .map(Celsius::new)
            .ok_or(NoFigure::HotterThan(Cable::HOTTEST))
    }

    /// How long a current takes to warm the conductor from `start` to `end`; `None` when it never
    /// gets there.
    ///
    /// Symbols and source as [`Cable::temperature_after`]. Equation:
    /// `t = integral of C dT / (I² r(T) - g(T))` from `start` to `end`, by Simpson's rule. Valid as
    /// there, `end` up to [`Cable::HOTTEST`]. Heat loss is counted, so it gives a longer time than
    /// [`crate::adiabatic::longest_time`]. Checked by
    /// `tests::time_to_a_temperature_is_the_closed_form_in_the_linear_limit` and
    /// `tests::a_short_circuit_is_adiabatic`.
    pub fn time_to(
        &self,
        end: Celsius,
        current: Ampere,
        start: Celsius,
        ambient: Celsius,
    ) -> Result<Option<Second>, NoFigure> {
        let rate = self.rate(current, start, ambient)?;
        if end.degrees() > Cable::HOTTEST.degrees() {
            return Err(NoFigure::HotterThan(Cable::HOTTEST));
        }
        believable(end)?;
        Ok(time_between(start.degrees(), end.degrees(), rate).map(Second::new))
    }

    /// Kelvins a second at a conductor temperature.
    fn rate(
        &self,
        current: Ampere,
        start: Celsius,
        ambient: Celsius,
    ) -> Result<impl Fn(f64) -> f64, NoFigure> {
        believable(start)?;
        believable(ambient)?;
        let ampere = current.si();
        if !ampere.is_finite() {
            return Err(NoFigure::Impossible);
        }
        let cable = *self;
        let capacity = cable.heat_capacity_j_per_mk();
        Ok(move |conductor_c: f64| {
            let conductor = Celsius::new(conductor_c);
            let made = ampere * ampere * cable.ohm_per_metre(conductor);
            let lost =
                cable.loss_w_per_m(conductor, ambient) - cable.gain_w_per_m(conductor, ambient);
            (made - lost) / capacity
        })
    }

    /// What a cable colder than the air takes from it, W/m: the loss turned round.
    fn gain_w_per_m(&self, conductor: Celsius, ambient: Celsius) -> f64 {
        self.loss_w_per_m(ambient, conductor)
    }
}

/// The value after a time; `None` once it has left the range of the laws.
fn stepped(start_c: f64, time_s: f64, rate: impl Fn(f64) -> f64) -> Option<f64> {
    let mut steps = FIRST_STEPS;
    let mut before = run(start_c, time_s, steps, &rate);
    loop {
        steps *= 2;
        let now = run(start_c, time_s, steps, &rate);
        let agree = match (before, now) {
            (Some(a), Some(b)) => (a - b).abs() < AGREE_K,
            // A coarse run may leave the range where a finer one does not.
            (None, None) => steps > 8 * FIRST_STEPS,
            _ => false,
        };
        if agree || steps >= MOST_STEPS {
            return now;
        }
        before = now;
    }
}

/// Classical Runge-Kutta with equal steps.
fn run(start_c: f64, time_s: f64, steps: u32, rate: &impl Fn(f64) -> f64) -> Option<f64> {
    let step_s = time_s / f64::from(steps);
    let mut at_c = start_c;
    for _ in 0..steps {
        let first = rate(at_c);
        let second = rate(at_c + 0.5 * step_s * first);
        let third = rate(at_c + 0.5 * step_s * second);
        let fourth = rate(at_c + step_s * third);
        at_c += step_s / 6.0 * (first + 2.0 * second + 2.0 * third + fourth);
        let inside =
            (units::conductor::MIN_TEMPERATURE_C..=2.0 * Cable::HOTTEST.degrees()).contains(&at_c);
        if !inside {
            return None;
        }
    }
    Some(at_c)
}

/// Seconds from one value to another; `None` when the rate does not lead there.
fn time_between(start_c: f64, end_c: f64, rate: impl Fn(f64) -> f64) -> Option<f64> {
    if end_c <= start_c {
        return Some(0.0);
    }
    let slice_k = (end_c - start_c) / f64::from(SLICES);
    let slowness = |index: u32| {
        let rate = rate(start_c + slice_k * f64::from(index));
        (rate > 0.0).then(|| 1.0 / rate)
    };
    let mut sum = slowness(0)? + slowness(SLICES)?;
    for index in 1..SLICES {
        sum += slowness(index)? * if index % 2 == 1 { 4.0 } else { 2.0 };
    }
    Some(sum * slice_k / 3.0)
}

#[cfg(test)]
mod tests;
