//! Named limits on a record. Each is far above any real vehicle and far below trouble.

/// Longest record read, in bytes. A vehicle of 300 wires is some 40 kB.
pub const MAX_BYTES: usize = 4 << 20;

/// Most devices, wires, parts, states, readings... of one sort: above the 10,000 wires for which the time of
/// checks is measured.
pub const MAX_ITEMS: usize = 12_000;

/// Most diagnostics collected; one more says that there are more.
pub(crate) const MAX_DIAGNOSTICS: usize = 500;

/// Most pieces of one line, alternatives of a `behind` or `after`, and parts in one of them.
pub(crate) const MAX_PIECES: usize = 64;

/// Most cores of one cable.
pub(crate) const MAX_CORES: u32 = 61;

/// Longest name of a device, wire, part or state.
pub(crate) const MAX_NAME: usize = 60;

/// Most characters of the record shown inside a message.
pub(crate) const MAX_SHOWN: usize = 80;

/// Most known names compared with one that is not known.
pub(crate) const MAX_COMPARED: usize = 2_000;

/// Most fixings of one kind on a part.
pub(crate) const MAX_FIXINGS: u32 = 1_000;

/// Most lines with a bracket never closed that are looked for.
pub(crate) const MAX_UNCLOSED: usize = 64;

/// Most names offered at once as what may have been meant.
pub(crate) const MAX_RELATED: usize = 8;

/// Most conductors believed to lie in one bundle. Our choice, no source.
pub(crate) const MAX_BUNDLE: u32 = 500;
