//! Deceleration levels by direction, from the rows of the catalog.
//!
//! None of them is law for a shelf or a battery in a private conversion unless the approval route
//! says so; each says what it was written for and how it is used here.

use catalog::{Against, Catalog, CriterionRow, Standing};
use model::Direction;

/// The criteria that are held against where nobody chooses: one that driving reaches, one of a crash.
pub const USUAL: [&str; 2] = ["crash-as-for-seats", "cargo-in-motion"];

/// One direction of a criterion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Direction in which the thing wants to move.
    pub direction: Direction,
    /// Deceleration in multiples of standard gravity.
    pub g_level: f64,
}

/// A set of deceleration levels with where they come from.
#[derive(Clone, Debug, PartialEq)]
pub struct Criterion {
    /// Short name.
    pub id: String,
    /// What the source wrote it for.
    pub written_for: String,
    /// How it is used here, and what it is not.
    pub used_as: String,
    /// Document and clause.
    pub source: String,
    /// How well the source was seen.
    pub standing: Standing,
    /// What it is held against.
    pub against: Against,
    /// The levels, one direction at a time.
    pub levels: Vec<Level>,
}

impl Criterion {
    /// The criterion of a name.
    pub fn named(catalog: &Catalog, id: &str) -> Option<Criterion> {
        catalog.restraint.criterion(id).map(|row| of_row(catalog, row))
    }

    /// All criteria of the catalog, driving first.
    pub fn all(catalog: &Catalog) -> Vec<Criterion> {
        catalog.restraint.criteria.iter().map(|row| of_row(catalog, row)).collect()
    }

    /// The level of a direction; none if the source has none.
    pub fn level(&self, direction: Direction) -> Option<f64> {
        self.levels.iter().find(|level| level.direction == direction).map(|level| level.g_level)
    }

    /// A level that was recalled and not read shows something, but decides nothing.
    pub fn is_recalled(&self) -> bool {
        self.standing == Standing::Memory
    }
}

fn of_row(catalog: &Catalog, row: &CriterionRow) -> Criterion {
    let by_direction = [
        (Direction::Forward, row.forward),
        (Direction::Back, row.rearward),
        (Direction::Left, row.sideways),
        (Direction::Right, row.sideways),
        (Direction::Up, row.up),
        (Direction::Down, row.down),
    ];
    let levels = by_direction
        .into_iter()
        .filter_map(|(direction, g)| g.map(|g_level| Level { direction, g_level }));
    let source = catalog.sources.get(&row.source);
    Criterion {
        id: row.id.clone(),
        written_for: row.written_for.clone(),
        used_as: row.used_as.clone(),
        source: source.map_or_else(String::new, |source| source.words.clone()),
        standing: source.map_or(Standing::Memory, |source| source.standing),
        against: row.against,
        levels: levels.collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 49 CFR 571.207 S4.2: 20 times the mass, forward and rearward. 393.102(a)(1): 0.8, 0.5, 0.5 g.
    /// Both read.
    #[test]
    fn the_usual_criteria_have_the_levels_of_their_rules() {
        let catalog = Catalog::embedded();
        let seats = Criterion::named(&catalog, USUAL[0]).unwrap();
        assert_eq!(seats.level(Direction::Back), Some(20.0));
        assert_eq!(seats.level(Direction::Left), None);
        let cargo = Criterion::named(&catalog, USUAL[1]).unwrap();
        assert_eq!(cargo.level(Direction::Forward), Some(0.8));
        assert_eq!(cargo.level(Direction::Right), Some(0.5));
        assert!(
            !cargo.is_recalled()
                && Criterion::named(&catalog, "seat-anchorage").unwrap().is_recalled()
        );
        assert!(Criterion::named(&catalog, "no such rule").is_none());
    }
}
