//! Named limits on a record. Each is far above any real vehicle and far below trouble.

/// Longest record read, in bytes. A vehicle of 300 wires is some 40 kB.
pub const MAX_BYTES: usize = 4 << 20;

/// Most devices, wires, parts, states, readings... of one sort.
pub const MAX_ITEMS: usize = 5_000;

/// Most diagnostics collected; one more says that there are more.
pub(crate) const MAX_DIAGNOSTICS: usize = 500;

/// Most alternatives of a `behind` or `after`, and most parts in one of them.
pub(crate) const MAX_ALTERNATIVES: usize = 64;

/// Longest name of a device, wire, part or state.
pub(crate) const MAX_NAME: usize = 60;
