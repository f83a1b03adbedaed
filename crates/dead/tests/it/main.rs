//! The search held against trying everything, and against small cases worked out by hand.

mod everything;
mod random;
