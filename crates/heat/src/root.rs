//! Where a rising function meets zero. Knows no physics.

/// Most steps; the bracket shrinks faster than by halving, so this is never the limit.
const MOST_STEPS: usize = 120;

/// The place between `low` and `high` where a rising function crosses zero, to about 1e-12 of the
/// width: regula falsi with the Illinois change, which keeps the bracket. A function that does not
/// cross gives the end nearer to zero.
pub(crate) fn rising(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa >= 0.0 {
        return a;
    }
    if fb <= 0.0 {
        return b;
    }
    let enough = (high - low).abs() * 1e-12;
    let mut last_moved_low = None;
    for _ in 0..MOST_STEPS {
        let x = (a * fb - b * fa) / (fb - fa);
        let fx = f(x);
        if fx.abs() < f64::MIN_POSITIVE || (b - a).abs() <= enough {
            return x;
        }
        let moves_low = fx < 0.0;
        if moves_low {
            (a, fa) = (x, fx);
            if last_moved_low == Some(true) {
                fb *= 0.5;
            }
        } else {
            (b, fb) = (x, fx);
            if last_moved_low == Some(false) {
                fa *= 0.5;
            }
        }
        last_moved_low = Some(moves_low);
    }
    0.5 * (a + b)
}

#[cfg(test)]
mod tests {
    use super::rising;

    /// Roots known in closed form: 2^(1/3), ln 7, and a steep tenth power.
    #[test]
    fn known_roots_are_found() {
        let cube = rising(0.0, 2.0, |x| x * x * x - 2.0);
        assert!((cube - 2.0_f64.powf(1.0 / 3.0)).abs() < 1e-11, "{cube}");
        let log = rising(0.0, 5.0, |x| x.exp() - 7.0);
        assert!((log - 7.0_f64.ln()).abs() < 1e-11, "{log}");
        let steep = rising(0.0, 10.0, |x| x.powi(10) - 1.0);
        assert!((steep - 1.0).abs() < 1e-10, "{steep}");
    }

    #[test]
    fn without_a_crossing_the_nearer_end_is_given() {
        assert!((rising(1.0, 2.0, |x| x) - 1.0).abs() < 1e-15);
        assert!((rising(-2.0, -1.0, |x| x) + 1.0).abs() < 1e-15);
    }
}
