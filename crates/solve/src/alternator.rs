//! What an alternator can deliver at a speed. Knows no engine and no vehicle.

/// Halvings of the interval that is searched for the speed constant; the last bit is reached before.
const HALVINGS: u32 = 200;

/// Output against speed, `I(n) = I1 (1 - exp(-(n - n0)/nc))` for `n > n0`, else 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Output {
    /// Speed without output `n0`, turns per minute.
    pub zero_rpm: f64,
    /// Speed constant `nc`, turns per minute.
    pub constant_rpm: f64,
    /// Output at endless speed `I1`, A.
    pub endless_a: f64,
}

impl Output {
    /// The curve through a speed without output and two points (speed in turns per minute, current
    /// in A): `nc` from the ratio of the currents by halving, then `I1`.
    ///
    /// Source: the form is ours; the points are those of an alternator's marking by ISO 8854. Valid
    /// for `zero < low speed < high speed` and `0 < low current < high current` as long as the curve
    /// bends downward (`low / high` above the ratio of the speeds counted from zero); a flatter pair
    /// gives the straightest curve searched, `None` where the points are out of order.
    /// Checked by: `it/machines.rs`.
    pub fn through(zero_rpm: f64, low: (f64, f64), high: (f64, f64)) -> Option<Output> {
        let in_order = zero_rpm < low.0 && low.0 < high.0 && 0.0 < low.1 && low.1 < high.1;
        if !in_order {
            return None;
        }
        let part = |rpm: f64, constant: f64| -(-(rpm - zero_rpm) / constant).exp_m1();
        let (mut less, mut more) = (1e-3, 1e3 * (high.0 - zero_rpm));
        for _ in 0..HALVINGS {
            let constant = f64::midpoint(less, more);
            // The ratio falls from one towards that of the speeds as the constant grows.
            let ratio = part(low.0, constant) / part(high.0, constant);
            if ratio > low.1 / high.1 { less = constant } else { more = constant }
        }
        let constant_rpm = f64::midpoint(less, more);
        let endless_a = high.1 / part(high.0, constant_rpm);
        Some(Output { zero_rpm, constant_rpm, endless_a })
    }

    /// Most current at a speed (turns per minute), A. Valid: any speed; below `zero_rpm` nothing.
    /// Checked by: `it/machines.rs`.
    pub fn at_rpm(&self, rpm: f64) -> f64 {
        let above_rpm = rpm - self.zero_rpm;
        if above_rpm <= 0.0 {
            return 0.0;
        }
        -self.endless_a * (-above_rpm / self.constant_rpm).exp_m1()
    }
}
