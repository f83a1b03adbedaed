//! Standard gravity, which joins mass to weight and drives warm air upwards.

/// Standard acceleration of free fall, m/s² (3rd General Conference on Weights and Measures, 1901;
/// exact by definition).
pub const STANDARD_GRAVITY_M_PER_S2: f64 = 9.80665;
