//! What an inverter takes for what it delivers. Knows no appliance.

/// Losses of an inverter: `P_in = idle + (1 + k1) P + k2 P^2`, `P` delivered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Losses {
    /// Power taken without output, W.
    pub idle_w: f64,
    /// Part of the output lost in proportion to it, `k1`.
    pub in_proportion: f64,
    /// Part lost with its square, `k2`, 1/W.
    pub with_square_per_w: f64,
}

impl Losses {
    /// The losses that give an efficiency at each of two outputs (W, part of one).
    ///
    /// Two linear equations `k1 P + k2 P^2 = P/eta - P - idle`. Source: the usual three-term loss
    /// model (constant, linear, square; as in Schmidt and Sauer 1996, from memory). Valid for two
    /// different outputs above zero; else `None`. A measured pair may give a small negative term.
    /// Checked by: `it/machines.rs`.
    pub fn through(idle_w: f64, one: (f64, f64), other: (f64, f64)) -> Option<Losses> {
        let lost = |(watt, efficiency): (f64, f64)| (watt / efficiency - watt - idle_w) / watt;
        let apart_w = other.0 - one.0;
        let fits = one.0 > 0.0 && other.0 > 0.0 && apart_w.abs() > 0.0;
        if !fits || one.1 <= 0.0 || other.1 <= 0.0 {
            return None;
        }
        let with_square_per_w = (lost(other) - lost(one)) / apart_w;
        let in_proportion = lost(one) - with_square_per_w * one.0;
        Some(Losses { idle_w, in_proportion, with_square_per_w })
    }

    /// Power taken while `watt` is delivered, W. Checked by: `it/machines.rs`.
    pub fn input_w(&self, watt: f64) -> f64 {
        self.idle_w + (1.0 + self.in_proportion) * watt + self.with_square_per_w * watt * watt
    }
}
