//! What somebody opened or took away by hand, besides what a state says.

use std::collections::BTreeSet;

use model::DeviceId;
use network::LinkId;

/// Links that conduct no more and sources that feed no more.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cuts {
    /// Links of the network: a fuse pulled, a lug off, a plug out.
    pub links: BTreeSet<LinkId>,
    /// Sources: a battery with its minus post cleared, a module covered, an engine at rest.
    pub sources: BTreeSet<DeviceId>,
    /// Devices whose stored charge was let out.
    pub emptied: BTreeSet<DeviceId>,
}
