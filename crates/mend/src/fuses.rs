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

    /// The first kind, in the same order, that is sold in this very rating and breaks the short circuit.
    pub fn of_rating(&self, catalog: &Catalog, rated: Ampere) -> Option<Fuse> {
        let is_it = |sold: &Ampere| (sold.si() - rated.si()).abs() <= rated.si() * SLACK;
        KINDS.iter().find_map(|(kind, class)| {
            let is_sold = catalog.mending.ratings(class).iter().any(is_it);
            let breaks = self.breaks(catalog, class).filter(|_| is_sold)?;
            let has_room = rated.si() * catalog.mending.load_share >= self.load_a * (1.0 - SLACK);
            Some(Fuse { kind, class, rated, has_room, breaks: Some(breaks) })
        })
    }

    /// What a class breaks at the voltage, where that is enough.
    fn breaks(&self, catalog: &Catalog, class: &str) -> Option<(Ampere, String)> {
        let row = catalog.bands.get(class)?.breaks(self.volt)?;
        let is_enough = self.breaks_a.is_none_or(|ampere| ampere <= row.ampere.si());
        is_enough.then(|| (row.ampere, row.source.clone()))
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
        let breaks = self.breaks(catalog, class)?;
        let (rated, has_room) = self.rating_of(catalog, class)?;
        Some(Fuse { kind, class, rated, has_room, breaks: Some(breaks) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wanted(load_a: f64, most_a: f64, breaks_a: Option<f64>) -> Option<(String, f64, bool)> {
        let (most, volt) = (Ampere::from_si(most_a), Volt::from_si(15.0));
        let fuse = FuseWanted { load_a, most, breaks_a, volt }.choose(&Catalog::embedded())?;
        Some((fuse.class.to_owned(), fuse.rated.si(), fuse.has_room))
    }

    fn is(class: &str, rated_a: f64, has_room: bool) -> Option<(String, f64, bool)> {
        Some((class.to_owned(), rated_a, has_room))
    }

    /// IEC 60364-4-43, 433.1: `I_B <= I_n <= I_z`, by hand over the ratings that are sold.
    #[test]
    fn the_rating_lies_between_load_and_conductor() {
        // 8 A / 0.8 = 10 A; 10.5 A / 0.8 = 13.1 A, so 15 A.
        assert_eq!(wanted(8.0, 25.0, Some(900.0)), is("blade", 10.0, true));
        assert_eq!(wanted(10.5, 25.0, None), is("blade", 15.0, true));
        // 14 A / 0.8 = 17.5 A; under 16 A only 15 A carries 14 A: it does, without the usual room.
        assert_eq!(wanted(14.0, 16.0, None), is("blade", 15.0, false));
        // Exactly at the conductor's current.
        assert_eq!(wanted(12.0, 15.0, None), is("blade", 15.0, true));
        // Nothing is sold between 11 A and 12 A.
        assert_eq!(wanted(11.0, 12.0, None), None);
    }

    /// The same rating in the first class that breaks enough: ISO 8820-3 blade fuses and bolt-down ones
    /// (2000 A) do not break 2840 A, class T does (20 kA).
    #[test]
    fn the_rating_that_is_there_is_kept_where_a_class_that_breaks_enough_has_it() {
        let volt = Volt::from_si(15.0);
        let most = Ampere::from_si(140.0);
        let wanted = FuseWanted { load_a: 2.0, most, breaks_a: Some(2840.0), volt };
        let of = |rated| wanted.of_rating(&Catalog::embedded(), Ampere::from_si(rated));
        let fuse = of(100.0).expect("sold");
        assert!((fuse.rated.si() - 100.0).abs() < 1e-9 && fuse.has_room);
        assert!(!["blade", "bolt-down"].contains(&fuse.class), "{}", fuse.class);
        assert_eq!(of(101.0), None, "not sold");
    }

    /// Published breaking capacities: ISO 8820-3 blade 1000 A at 32 V, bolt-down 2000 A, class T 20 kA.
    #[test]
    fn what_cannot_break_the_short_circuit_is_passed_over() {
        assert_eq!(wanted(8.0, 25.0, Some(1500.0)), is("class-t", 10.0, true));
        assert_eq!(wanted(40.0, 80.0, Some(1500.0)), is("bolt-down", 50.0, true));
        assert_eq!(wanted(40.0, 80.0, Some(4000.0)), is("terminal", 50.0, true));
        assert_eq!(wanted(40.0, 80.0, Some(30_000.0)), None);
    }
}
