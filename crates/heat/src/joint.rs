//! A joint between its wires: the power it turns into heat, how far that lifts it above its
//! surroundings, and how the rise fades along the wire. Knows no limit.

use units::{Ampere, Metre, Ohm, SquareMillimetre, Watt};

/// Convection and radiation together at a cable's surface, W/(m² K). Common practice, no source;
/// `air.rs` gives 10 to 15 for cables 10 to 60 K above the air.
const FILM_W_PER_M2K: f64 = 12.0;
/// Thermal conductivity of copper, W/(m K) (textbook, 385 to 401).
const COPPER_W_PER_MK: f64 = 390.0;

/// The power a joint turns into heat, W: `P = I² R`. Symbols: `I` current, A; `R` resistance of the
/// joint, ohm. Source: Joule's law. Checked by `tests::joint_rise_is_the_reference_value`.
pub fn power(current: Ampere, resistance: Ohm) -> Watt {
    current * (current * resistance)
}

/// A wire that carries heat away from a joint, as an endless fin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fin {
    conductance_w_per_k: f64,
    fades_per_m: f64,
}

impl Fin {
    /// The fin a cable makes.
    ///
    /// Symbols: `A` conductor area, m²; `D` outside diameter, m; `h` 12 W/(m² K); `k` 390 W/(m K).
    /// Equations: conductance `G = sqrt(h pi D k A)`, W/K; the rise fades as `exp(-m x)` with
    /// `m = sqrt(h pi D / (k A))`, 1/m. Source: the textbook fin of constant cross-section; `h`
    /// common practice. Valid in still air for cables longer than about `3/m` ([`Fin::reach`]). An
    /// area or diameter that is not positive and finite: `None`. Checked by
    /// `tests::joint_rise_is_the_reference_value`, `tests::heat_given_off_along_the_wire_is_the_heat_that_enters`.
    pub fn of(area: SquareMillimetre, outside: Metre) -> Option<Fin> {
        let (area_m2, outside_m) = (area.square_metres(), outside.si());
        let positive = |value: f64| value.is_finite() && value > 0.0;
        if !(positive(area_m2) && positive(outside_m)) {
            return None;
        }
        let given_off = FILM_W_PER_M2K * std::f64::consts::PI * outside_m;
        let carried = COPPER_W_PER_MK * area_m2;
        Some(Fin {
            conductance_w_per_k: (given_off * carried).sqrt(),
            fades_per_m: (given_off / carried).sqrt(),
        })
    }

    /// Rise of a joint with such a wire at both sides above what its wires run at, K:
    /// `dT = P / (2 G)`. Symbols: `P` power, W; `G` conductance, W/K. Source and range as
    /// [`Fin::of`]; a power that is negative or no number: `None`.
    pub fn rise_k(self, power: Watt) -> Option<f64> {
        let watt = power.si();
        (watt.is_finite() && watt >= 0.0).then(|| watt / (2.0 * self.conductance_w_per_k))
    }

    /// The fin a wire of a length makes, its far end giving off nothing: conductance
    /// `G tanh(m L)`. Symbols: `L` length, m; others, source and range as [`Fin::of`]. A length that is
    /// not positive and finite: `None`. Checked by
    /// `tests::heat_given_off_by_a_short_wire_is_the_heat_that_enters`.
    pub fn shortened(self, length: Metre) -> Option<Fin> {
        let length_m = length.si();
        (length_m.is_finite() && length_m > 0.0).then(|| Fin {
            conductance_w_per_k: self.conductance_w_per_k * (self.fades_per_m * length_m).tanh(),
            ..self
        })
    }

    /// What is left of a joint's rise at a distance along the wire, as a part of it: `exp(-m x)`.
    /// Symbols, source and range as [`Fin::of`]. Below 0 m it is the whole.
    pub fn left_at(self, distance: Metre) -> f64 {
        (-self.fades_per_m * distance.si().max(0.0)).exp()
    }

    /// What is left of a joint's rise at a distance along a wire of a length whose far end gives off
    /// nothing, as a part of it: `cosh(m (L - x)) / cosh(m L)`, the shape that goes with
    /// [`Fin::shortened`].
    ///
    /// Symbols: `L` length, m; `x` distance, m; `m` as in [`Fin::of`]. Source and range as there.
    /// Distances below 0 m count as 0, past the length as the length; a length that is not positive and
    /// finite: as [`Fin::left_at`]. Checked by `tests::the_rise_along_a_short_wire_is_the_textbook_shape`.
    pub fn left_along(self, length: Metre, distance: Metre) -> f64 {
        let length_m = length.si();
        if !(length_m.is_finite() && length_m > 0.0) {
            return self.left_at(distance);
        }
        let to_end_m = length_m - distance.si().clamp(0.0, length_m);
        // Both sides over exp(m L), so that a long wire does not overflow.
        let part = |m: f64| (self.fades_per_m * m).exp();
        (part(to_end_m - length_m) + part(-to_end_m - length_m)) / (1.0 + part(-2.0 * length_m))
    }

    /// The distance after which a twentieth of the rise is left: `3/m`. A shorter wire carries less
    /// away than the fin counts on, and the joint gets hotter than said.
    pub fn reach(self) -> Metre {
        Metre::new(3.0 / self.fades_per_m)
    }

    /// The rise along a wire from a joint, for a chart: equal steps from the joint to the distance
    /// where a twentieth is left. Symbols, source and range as [`Fin::of`].
    pub fn profile(self, rise_k: f64) -> Vec<(Metre, f64)> {
        const STEPS: u32 = 24;
        (0..=STEPS)
            .map(|step| {
                let at = self.reach() * (f64::from(step) / f64::from(STEPS));
                (at, rise_k * self.left_at(at))
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fin(mm2: f64, outside_mm: f64) -> Fin {
        Fin::of(SquareMillimetre::new(mm2), Metre::new(outside_mm * 1e-3)).unwrap()
    }

    /// Independent script (Python), `h` 12, `k` 390: mm², outside mm, A, mohm, then W and K. By hand
    /// for the first: sqrt(12 pi 0.0116 390 35e-6) = 0.07726 W/K, 10 W / (2 0.07726) = 64.7 K.
    #[test]
    fn joint_rise_is_the_reference_value() {
        for (mm2, outside_mm, ampere, mohm, watt, kelvin) in [
            (35.0, 11.6, 100.0, 1.0, 10.0, 64.716),
            (35.0, 11.6, 100.0, 0.1, 1.0, 6.4716),
            (2.5, 3.6, 10.0, 10.0, 1.0, 43.466),
            (2.5, 3.6, 10.0, 100.0, 10.0, 434.66),
            (6.0, 5.0, 30.0, 5.0, 4.5, 107.133),
        ] {
            let power = power(Ampere::new(ampere), Ohm::new(mohm * 1e-3));
            assert!((power.si() - watt).abs() < 1e-9, "{power:?}");
            let rise = fin(mm2, outside_mm).rise_k(power).unwrap();
            assert!((rise / kelvin - 1.0).abs() < 2e-5, "{mm2} mm2: {rise}");
        }
    }

    /// Energy balance: what the surface gives off along the whole wire, `h pi D` times the integral
    /// of the rise, is the half of the power that enters it.
    #[test]
    fn heat_given_off_along_the_wire_is_the_heat_that_enters() {
        let wire = fin(35.0, 11.6);
        let rise = wire.rise_k(Watt::new(10.0)).unwrap();
        let step_m = 1e-4;
        let integral: f64 = (0..40_000)
            .map(|i| rise * wire.left_at(Metre::new((f64::from(i) + 0.5) * step_m)) * step_m)
            .sum();
        let given_off = 12.0 * std::f64::consts::PI * 0.0116 * integral;
        assert!((given_off - 5.0).abs() < 1e-4, "{given_off}");
    }

    /// The same balance for 0.2 m of wire whose far end gives off nothing: the rise follows
    /// `cosh(m (L - x))/cosh(m L)` (textbook), `m` 5.660 per metre by hand as below.
    #[test]
    fn heat_given_off_by_a_short_wire_is_the_heat_that_enters() {
        let (fades_per_m, length_m): (f64, f64) = (5.6601, 0.2);
        let short = fin(35.0, 11.6).shortened(Metre::new(length_m)).unwrap();
        let rise = short.rise_k(Watt::new(10.0)).unwrap();
        let step_m = 1e-5;
        let integral: f64 = (0..20_000)
            .map(|i| length_m - (f64::from(i) + 0.5) * step_m)
            .map(|to_end_m| (fades_per_m * to_end_m).cosh() / (fades_per_m * length_m).cosh())
            .map(|part| rise * part * step_m)
            .sum();
        let given_off = 12.0 * std::f64::consts::PI * 0.0116 * integral;
        assert!((given_off - 5.0).abs() < 1e-3, "{given_off}");
        assert!(rise > fin(35.0, 11.6).rise_k(Watt::new(10.0)).unwrap());
        let long = fin(35.0, 11.6).shortened(Metre::new(50.0)).unwrap();
        assert!((long.rise_k(Watt::new(10.0)).unwrap() - 64.716).abs() < 1e-3);
        assert!(short.shortened(Metre::new(0.0)).is_none());
    }

    /// Textbook shape `cosh(m (L - x))/cosh(m L)` worked with a table of hyperbolic cosines: m 5.6601 per
    /// metre, L 0.5 m: cosh 2.83005 = 8.5032, cosh 1.415025 = 2.1800, so 0.25638 in the middle and
    /// 0.11760 at the end.
    #[test]
    fn the_rise_along_a_short_wire_is_the_textbook_shape() {
        let (wire, length) = (fin(35.0, 11.6), Metre::new(0.5));
        let left = |m| wire.left_along(length, Metre::new(m));
        assert!((left(0.0) - 1.0).abs() < 1e-12 && (left(-1.0) - 1.0).abs() < 1e-12);
        assert!((left(0.25) - 0.256_38).abs() < 5e-5, "{}", left(0.25));
        assert!((left(0.5) - 0.117_60).abs() < 5e-5, "{}", left(0.5));
        assert!((left(9.0) - left(0.5)).abs() < 1e-15);
        // A wire of 1 km is endless, and does not overflow.
        let far = wire.left_along(Metre::new(1e3), Metre::new(0.3));
        assert!((far - wire.left_at(Metre::new(0.3))).abs() < 1e-12);
    }

    #[test]
    fn the_rise_fades_along_the_wire_to_a_twentieth() {
        let wire = fin(35.0, 11.6);
        let profile = wire.profile(64.7);
        assert!((profile[0].1 - 64.7).abs() < 1e-12);
        assert!(profile.windows(2).all(|pair| pair[0].1 > pair[1].1 && pair[0].0 < pair[1].0));
        let (end, left_k) = profile[profile.len() - 1];
        assert!((end - wire.reach()).abs() < Metre::new(1e-12));
        assert!((left_k / 64.7 - (-3.0_f64).exp()).abs() < 1e-12);
        // By hand: m = sqrt(12 pi 0.0116 / (390 35e-6)) = 5.660 per metre, so 0.530 m.
        assert!((end.si() - 0.530).abs() < 5e-4, "{end:?}");
    }

    #[test]
    fn a_joint_of_unknown_size_gets_no_figure() {
        let of = |mm2, outside_m| Fin::of(SquareMillimetre::new(mm2), Metre::new(outside_m));
        assert!(of(0.0, 0.01).is_none());
        assert!(of(35.0, f64::NAN).is_none());
        assert!(fin(35.0, 11.6).rise_k(Watt::new(f64::NAN)).is_none());
        assert!(fin(35.0, 11.6).rise_k(Watt::new(-1.0)).is_none());
    }
}
