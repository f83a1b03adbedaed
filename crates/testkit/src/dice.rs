//! Chance from a seed. The sequence is that of `fastrand` for the same seed.

/// A source of chance that always gives the same for the same seed.
#[derive(Clone, Debug)]
pub struct Dice(fastrand::Rng);

impl Dice {
    /// Dice of a seed.
    pub fn new(seed: u64) -> Dice {
        Dice(fastrand::Rng::with_seed(seed))
    }

    /// Dice of their own for one of several purposes under one seed: what one purpose draws does
    /// not move what another draws.
    pub fn for_purpose(seed: u64, purpose: u64) -> Dice {
        // Odd multiplier of splitmix64 (Steele, Lea, Flood 2014), so that neighbours lie far apart.
        let mixed = seed ^ purpose.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        let mut dice = Dice::new(mixed);
        dice.0.u64(..);
        dice
    }

    /// A whole number below `end`; 0 if `end` is 0.
    pub fn below(&mut self, end: usize) -> usize {
        if end == 0 { 0 } else { self.0.usize(..end) }
    }

    /// Evenly between two values.
    pub fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.0.f64()
    }

    /// True with this probability.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.0.f64() < probability
    }

    /// One of these, each as likely; the list must not be empty.
    pub fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())]
    }

    /// One of these by weight; the last if all weights are zero.
    pub fn weighted(&mut self, weights: &[f64]) -> usize {
        let mut left = self.0.f64() * weights.iter().sum::<f64>();
        for (at, weight) in weights.iter().enumerate() {
            left -= weight;
            if left < 0.0 {
                return at;
            }
        }
        weights.len().saturating_sub(1)
    }

    /// Normally distributed with mean 0 and standard deviation 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.0.f64()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.0.f64()).cos()
    }

    /// Puts a list into random order.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        self.0.shuffle(list);
    }
}
