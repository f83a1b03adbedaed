//! Which fuse that is sold fits a wire, a load and a short circuit.

use catalog::Catalog;
use units::{Ampere, Volt};

/// What a fuse has to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuseWanted {
    /// What it carries for good, A.
    pub load_a: f64,
    /// At most what the weakest wire behind it may carry.
    pub most: Ampere,
    /// What it must be able to break, if that is known, A.
    pub breaks_a: Option<f64>,
    /// At this voltage of direct current.
    pub volt: Volt,
}

/// A fuse that does it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fuse {
    /// Its kind, as a record writes it.
    pub kind: &'static str,
    /// Its class.
    pub class: &'static str,
    /// Its rating.
    pub rated: Ampere,
    /// It carries the load at no more than the usual part of its rating.
    pub has_room: bool,
    /// What its class breaks, with the key of the source.
    pub breaks: Option<(Ampere, String)>,
}

/// Kinds with their classes, in the order in which they are thought of: small first.
const KINDS: [(&str, &str); 5] = [
    ("blade fuse", "blade"),
    ("strip fuse", "bolt-down"),
    ("terminal fuse", "terminal"),
    ("anl fuse", "anl"),
    ("class t fuse", "class-t"),
];

/// Comparisons leave room for rounding only, as a part of the value.
const SLACK: f64 = 1e-9;

impl FuseWanted {
    /// The first kind, in the order small to large, that has a rating which carries the load and
    /// protects the wire and that breaks the short circuit; of its ratings the smallest that carries
    /// the load with room, else the smallest that carries it.
    ///
    /// `load / share <= I_n <= I_z`, `I_cn >= I_k`, `U_n >= U`; symbols: `I_n` rating, `I_z` allowable
    /// current, `I_cn` breaking capacity, `I_k` prospective current \[A\], `share` part of its rating at
    /// which a fuse carries for good. Source: rule of IEC 60364-4-43 433.1 (`I_B <= I_n <= I_z`), the
    /// share and the kinds common practice. Valid above zero; `None` when nothing that is sold does it.
    /// Checked by `tests::fuses`.
    pub fn choose(&self, catalog: &Catalog) -> Option<Fuse> {
        KINDS.iter().find_map(|(kind, class)| self.of_kind(catalog, kind, class))
    }

    /// The same with the class given: the rating only.
    pub fn rating_of(&self, catalog: &Catalog, class: &str) -> Option<(Ampere, bool)> {
        let wanted_a = self.load_a / catalog.mending.load_share;
        let fits = |rated: &&Ampere| {
            rated.si() <= self.most.si() * (1.0 + SLACK)
                && rated.si() >= self.load_a * (1.0 - SLACK)
        };
        let ratings: Vec<&Ampere> = catalog.mending.ratings(class).iter().filter(fits).collect();
        let roomy = ratings.iter().find(|rated| rated.si() >= wanted_a * (1.0 - SLACK));
        roomy.map(|rated| (**rated, true)).or_else(|| ratings.last().map(|rated| (**rated, false)))
    }

    fn of_kind(&self, catalog: &Catalog, kind: &'static str, class: &'static str) -> Option<Fuse> {
        let breaks = catalog.bands.get(class)?.breaks(self.volt)?;
        if self.breaks_a.is_some_and(|ampere| ampere > breaks.ampere.si()) {
            return None;
        }
        let (rated, has_room) = self.rating_of(catalog, class)?;
        let breaks = Some((breaks.ampere, breaks.source.clone()));
        Some(Fuse { kind, class, rated, has_room, breaks })
    }
}
