//! Load against what holds the thing: shown to fall short, within a stated rating, or not decided.
//!
//! A thing is held by *paths* side by side (two straps, a strap and a tray); each path is a row of
//! *links* (strap, buckle, screws, lining) and is as strong as its weakest. To show that the thing
//! comes loose every doubt is counted in its favour: all paths pull evenly and at once, screws
//! share evenly, friction helps. To show the opposite nothing is assumed in its favour: one path
//! alone, rated throughout, known to act in that direction, without friction. What neither shows
//! is not decided.
//!
//! Deliberately does not know geometry: a lash at an angle pulls harder than the load, and the
//! rating given has to allow for that.

use crate::criterion::{Criterion, Direction};
use crate::load::{BadInput, STANDARD_GRAVITY_M_PER_S2, load_n, within};

/// What a rating promises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rating {
    /// The force at which it gives way.
    BreakingStrength,
    /// The force it may be used with; it gives way at some higher, unknown force.
    WorkingLoad,
}

/// What one link can carry.
#[derive(Clone, Debug, PartialEq)]
pub enum Capacity {
    /// Not known.
    NotKnown,
    /// Several alike, of which none can carry more than this. Shows a shortfall, never the opposite.
    AtMost {
        /// Ceiling for each, in newtons.
        each_n: f64,
        /// How many there are.
        count: u32,
        /// Where the figure comes from.
        basis: String,
    },
    /// A rating or a measurement of this link as it is mounted (all screws, clips or legs together).
    Rated {
        /// The figure in newtons.
        rated_n: f64,
        /// What it promises.
        rating: Rating,
        /// Where the figure comes from: plate, data sheet, pull test.
        basis: String,
    },
}

/// One link of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// Name used in messages.
    pub name: String,
    /// What it can carry.
    pub capacity: Capacity,
}

/// Whether a path acts against movement in a direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Acts {
    /// It does.
    Yes,
    /// It does not: it is slack or slides off that way.
    No,
    /// Not known.
    NotKnown,
}

/// Links one after the other from the thing to the vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Name used in messages.
    pub name: String,
    /// The links; each carries the whole pull of the path.
    pub links: Vec<Link>,
    /// Whether it acts, by direction; a direction not listed is not known.
    pub acts: Vec<(Direction, Acts)>,
}

/// A thing with mass and everything that is known to hold it.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// Mass in kilograms.
    pub mass_kg: f64,
    /// Highest friction coefficient that may help it, 0 to 1.5 (0 when it hangs). Only counted in
    /// the thing's favour. 1.0 is generous for anything standing on a floor (common practice, no
    /// source).
    pub friction_at_most: f64,
    /// Everything that holds it. Empty means that nobody has said.
    pub paths: Vec<Path>,
}

/// The outcome for one direction. There is no outcome that certifies anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Falls short even on the figures most in its favour.
    FallsShort,
    /// Cannot tell; see [`Comparison::find_out`].
    NotDecided,
    /// The load does not exceed the stated rating of one path. Worth as much as the rating.
    WithinRating,
}

/// Something to find out before the direction can be decided.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FindOut {
    /// What holds the thing at all.
    WhatHoldsIt,
    /// Whether the named path acts in this direction.
    WhetherItActs {
        /// Name of the path.
        path: String,
    },
    /// A rating or a pull test of the named link.
    RatingOf {
        /// Name of the path.
        path: String,
        /// Name of the link.
        link: String,
    },
    /// The load is above the working load: at what force the named link gives way.
    BreakingStrengthOf {
        /// Name of the path.
        path: String,
        /// Name of the link.
        link: String,
    },
    /// How the load is shared between the paths and friction: together they might carry it, but no
    /// path does so alone.
    HowTheLoadIsShared,
    /// What the named path is made of.
    LinksOf {
        /// Name of the path.
        path: String,
    },
}

/// Load against capacity in one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Direction.
    pub direction: Direction,
    /// Deceleration in multiples of standard gravity.
    pub g_level: f64,
    /// Pull of the thing, in newtons.
    pub load_n: f64,
    /// The most that everything together can hold, friction included, in newtons; `None` when some
    /// of it has no known ceiling.
    pub at_most_n: Option<f64>,
    /// The outcome.
    pub verdict: Verdict,
    /// For a direction not decided: what would decide it. Otherwise empty.
    pub find_out: Vec<FindOut>,
}

/// Compares what holds a thing with the loads of a criterion, direction by direction.
///
/// Falls short: `m a g > mu m g + sum over paths of the smallest link ceiling`, where the sum leaves
/// out paths known not to act in the direction. Within rating: some path known to act has a rating
/// on every link, none below `m a g`. Symbols: m mass in kg, a deceleration in multiples of g, g
/// standard gravity in m/s2, mu the highest friction coefficient. Source: equilibrium; the weakest
/// link of a row limits it, what stands side by side carries at most its sum.
/// Range: as for [`load_n`]; capacities 0 to 1e7 N.
///
/// # Errors
///
/// [`BadInput`] for the first value outside its range.
pub fn compare(held: &Held, criterion: &Criterion) -> Result<Vec<Comparison>, BadInput> {
    within("friction coefficient", held.friction_at_most, 0.0, 1.5)?;
    for link in held.paths.iter().flat_map(|path| &path.links) {
        let (what, value_n) = match link.capacity {
            Capacity::NotKnown => continue,
            Capacity::AtMost { each_n, .. } => ("ceiling", each_n),
            Capacity::Rated { rated_n, .. } => ("rating", rated_n),
        };
        within(&format!("{what} of `{}` in N", link.name), value_n, 0.0, 1.0e7)?;
    }
    let levels = criterion.levels.iter();
    levels.map(|level| held.in_direction(level.direction, level.g_level)).collect()
}

impl Held {
    fn in_direction(&self, direction: Direction, g_level: f64) -> Result<Comparison, BadInput> {
        let load_n = load_n(self.mass_kg, g_level)?;
        let at_most_n = self.at_most_n(direction);
        let rated = |path: &Path| path.acts(direction) == Acts::Yes && path.is_rated_for(load_n);
        let verdict = if at_most_n.is_some_and(|at_most_n| at_most_n < load_n) {
            Verdict::FallsShort
        } else if self.paths.iter().any(rated) {
            Verdict::WithinRating
        } else {
            Verdict::NotDecided
        };
        let find_out = match verdict {
            Verdict::NotDecided => self.find_out(direction, load_n),
            Verdict::FallsShort | Verdict::WithinRating => Vec::new(),
        };
        Ok(Comparison { direction, g_level, load_n, at_most_n, verdict, find_out })
    }

    /// Friction plus all paths that may act; `None` if one has no ceiling, or if none is recorded.
    fn at_most_n(&self, direction: Direction) -> Option<f64> {
        if self.paths.is_empty() {
            return None;
        }
        let acting = self.paths.iter().filter(|path| path.acts(direction) != Acts::No);
        let paths_n = acting.map(Path::ceiling_n).sum::<Option<f64>>()?;
        Some(paths_n + self.friction_at_most * self.mass_kg * STANDARD_GRAVITY_M_PER_S2)
    }

    fn find_out(&self, direction: Direction, load_n: f64) -> Vec<FindOut> {
        if self.paths.is_empty() {
            return vec![FindOut::WhatHoldsIt];
        }
        let mut questions = Vec::new();
        for path in &self.paths {
            match path.acts(direction) {
                Acts::No => continue,
                Acts::NotKnown => {
                    questions.push(FindOut::WhetherItActs { path: path.name.clone() });
                }
                Acts::Yes => {}
            }
            path.find_out(load_n, &mut questions);
        }
        if questions.is_empty() {
            questions.push(FindOut::HowTheLoadIsShared);
        }
        questions
    }
}

impl Path {
    fn acts(&self, direction: Direction) -> Acts {
        let listed = self.acts.iter().find(|(listed, _)| *listed == direction);
        listed.map_or(Acts::NotKnown, |(_, acts)| *acts)
    }

    /// Ceiling of the weakest link; one link with a ceiling is enough to limit the path.
    fn ceiling_n(&self) -> Option<f64> {
        self.links.iter().filter_map(|link| link.capacity.ceiling_n()).reduce(f64::min)
    }

    fn is_rated_for(&self, load_n: f64) -> bool {
        let rated = |link: &Link| link.capacity.rated_n().is_some_and(|rated_n| rated_n >= load_n);
        !self.links.is_empty() && self.links.iter().all(rated)
    }

    fn find_out(&self, load_n: f64, questions: &mut Vec<FindOut>) {
        let path = || self.name.clone();
        if self.links.is_empty() {
            questions.push(FindOut::LinksOf { path: path() });
        }
        for link in &self.links {
            let name = link.name.clone();
            match link.capacity {
                Capacity::NotKnown | Capacity::AtMost { .. } => {
                    questions.push(FindOut::RatingOf { path: path(), link: name });
                }
                Capacity::Rated { rated_n, rating: Rating::WorkingLoad, .. }
                    if rated_n < load_n =>
                {
                    questions.push(FindOut::BreakingStrengthOf { path: path(), link: name });
                }
                Capacity::Rated { .. } => {}
            }
        }
    }
}

impl Capacity {
    /// No more than this, if anything is known about that.
    fn ceiling_n(&self) -> Option<f64> {
        match self {
            Self::AtMost { each_n, count, .. } => Some(each_n * f64::from(*count)),
            Self::Rated { rated_n, rating: Rating::BreakingStrength, .. } => Some(*rated_n),
            Self::NotKnown | Self::Rated { rating: Rating::WorkingLoad, .. } => None,
        }
    }

    fn rated_n(&self) -> Option<f64> {
        match self {
            Self::Rated { rated_n, .. } => Some(*rated_n),
            Self::NotKnown | Self::AtMost { .. } => None,
        }
    }
}

#[cfg(test)]
mod tests;
