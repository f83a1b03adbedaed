//! Load against what holds the thing: shown to fall short, within what was published or stated, or not
//! decided.
//!
//! A thing is held by *paths* side by side (two straps, a strap and a tray); each path is a row of
//! *links* (strap, screws, lining) and is as strong as its weakest. To show that the thing comes loose
//! every doubt is counted in its favour: all paths pull evenly and at once, friction helps. To show the
//! opposite nothing is assumed in its favour: one path alone, known throughout, known to act in that
//! direction, without friction. What neither shows is not decided.
//!
//! Deliberately does not know how high a thing stands: what tips pulls harder on one side than this says.

use catalog::Against;
use model::Direction;

use crate::criterion::Criterion;
use crate::load::{BadInput, STANDARD_GRAVITY_M_PER_S2, load_n, within};
use crate::strength::{Figure, Footing, Strength};

/// One link of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// Name used in messages.
    pub name: String,
    /// What it can carry, in the order of [`Direction::ALL`].
    pub strengths: [Strength; 6],
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
    /// Whether it acts, in the order of [`Direction::ALL`].
    pub acts: [Acts; 6],
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
    /// The load does not exceed what is published or stated for one path. Worth as much as that is.
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
    /// A fact of the named path.
    Of {
        /// Name of the path.
        path: String,
        /// What to find out.
        what: String,
    },
    /// The load is above what may be relied on, and below what might hold: only a pull test or a
    /// stronger fixing decides.
    StrengthOf {
        /// Name of the path.
        path: String,
    },
    /// How the load is shared between the paths and friction: together they might carry it, but no
    /// path does so alone.
    HowTheLoadIsShared,
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
    /// The weakest link of the strongest path, with what may be relied on, if anything may.
    pub at_least: Option<Figure>,
    /// The figure that governs: of the verdict, or of the ceiling where nothing is decided.
    pub governs: Option<Figure>,
    /// The outcome.
    pub verdict: Verdict,
    /// For a direction not decided: what would decide it. Otherwise empty.
    pub find_out: Vec<FindOut>,
}

impl Comparison {
    /// Strength over load: of what may be relied on where that decides, else of the most there can be.
    pub fn margin(&self) -> Option<f64> {
        let strength_n = match self.verdict {
            Verdict::FallsShort => self.at_most_n,
            Verdict::WithinRating | Verdict::NotDecided => self.at_least.as_ref().map(|f| f.n),
        };
        (self.load_n > 0.0).then(|| strength_n.map(|n| n / self.load_n)).flatten()
    }
}

/// Compares what holds a thing with the loads of a criterion, direction by direction.
///
/// Falls short: `m a g > mu m g + sum over paths of the smallest link ceiling`, where the sum leaves
/// out paths known not to act in the direction; upwards its own weight stands in the place of friction.
/// Within: some path known to act carries `m a g` by the least of every link. Symbols: m mass in kg, a
/// deceleration in multiples of g, g standard gravity in m/s2, mu the highest friction coefficient.
/// Source: equilibrium; the weakest link of a row limits it, what stands side by side carries at most
/// its sum. Range: as for [`load_n`]; capacities 0 to 1e7 N. Checked in `compare/tests.rs`.
///
/// # Errors
///
/// [`BadInput`] for the first value outside its range.
pub fn compare(held: &Held, criterion: &Criterion) -> Result<Vec<Comparison>, BadInput> {
    within("friction coefficient", held.friction_at_most, 0.0, 1.5)?;
    let links = held.paths.iter().flat_map(|path| &path.links);
    for (link, strength) in links.flat_map(|link| link.strengths.iter().map(move |s| (link, s))) {
        let figures = [&strength.working, &strength.breaks_from, &strength.at_most];
        for figure in figures.into_iter().flatten() {
            within(&format!("strength of `{}` in N", link.name), figure.n, 0.0, 1.0e7)?;
        }
    }
    let levels = criterion.levels.iter();
    levels
        .map(|level| held.in_direction(level.direction, level.g_level, criterion.against))
        .collect()
}

impl Held {
    fn in_direction(
        &self,
        direction: Direction,
        g_level: f64,
        against: Against,
    ) -> Result<Comparison, BadInput> {
        let load_n = load_n(self.mass_kg, g_level)?;
        let at_most_n = self.at_most_n(direction, against);
        let acting = self.paths.iter().filter(|path| path.acts(direction) == Acts::Yes);
        let at_least = acting
            .filter_map(|path| path.floor(direction, against))
            .max_by(|a, b| a.n.total_cmp(&b.n));
        let holds = at_least.as_ref().is_some_and(|figure| figure.n >= load_n);
        let firm = at_least.as_ref().is_some_and(|figure| figure.footing == Footing::Firm);
        let verdict = if at_most_n.is_some_and(|at_most_n| at_most_n < load_n) {
            Verdict::FallsShort
        } else if holds && firm {
            Verdict::WithinRating
        } else {
            Verdict::NotDecided
        };
        let ceiling = || {
            let of_paths = self.paths.iter().filter_map(|path| path.ceiling(direction, against));
            of_paths.max_by(|a, b| a.n.total_cmp(&b.n))
        };
        Ok(Comparison {
            direction,
            g_level,
            load_n,
            at_most_n,
            governs: match verdict {
                Verdict::WithinRating => at_least.clone(),
                Verdict::FallsShort => ceiling(),
                Verdict::NotDecided => at_least.clone().or_else(ceiling),
            },
            at_least,
            verdict,
            find_out: match verdict {
                Verdict::NotDecided => self.find_out(direction, load_n, against),
                Verdict::FallsShort | Verdict::WithinRating => Vec::new(),
            },
        })
    }

    /// Friction plus all paths that may act; `None` if one has no ceiling, or if none is recorded.
    fn at_most_n(&self, direction: Direction, against: Against) -> Option<f64> {
        if self.paths.is_empty() || direction == Direction::Down {
            return None;
        }
        let acting = self.paths.iter().filter(|path| path.acts(direction) != Acts::No);
        let ceilings = acting.map(|path| path.ceiling(direction, against).map(|figure| figure.n));
        let paths_n = ceilings.sum::<Option<f64>>()?;
        let own = if direction == Direction::Up { 1.0 } else { self.friction_at_most };
        Some(paths_n + own * self.mass_kg * STANDARD_GRAVITY_M_PER_S2)
    }

    fn find_out(&self, direction: Direction, load_n: f64, against: Against) -> Vec<FindOut> {
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
            path.find_out(direction, load_n, against, &mut questions);
        }
        if questions.is_empty() {
            questions.push(FindOut::HowTheLoadIsShared);
        }
        questions
    }
}

impl Path {
    fn acts(&self, direction: Direction) -> Acts {
        self.acts[index(direction)]
    }

    /// Ceiling of the weakest link; one link with a ceiling is enough to limit the path.
    fn ceiling(&self, direction: Direction, against: Against) -> Option<Figure> {
        let ceilings = self.links.iter().filter_map(|link| link.ceiling(direction, against));
        ceilings.min_by(|a, b| a.n.total_cmp(&b.n))
    }

    /// What may be relied on; one link without a figure leaves nothing.
    fn floor(&self, direction: Direction, against: Against) -> Option<Figure> {
        let floors: Option<Vec<Figure>> =
            self.links.iter().map(|link| link.floor(direction, against)).collect();
        let floors = floors?;
        let recalled = floors.iter().any(|figure| figure.footing == Footing::Recalled);
        let mut least = floors.into_iter().min_by(|a, b| a.n.total_cmp(&b.n))?;
        if recalled {
            least.footing = Footing::Recalled;
        }
        Some(least)
    }

    fn find_out(
        &self,
        direction: Direction,
        load_n: f64,
        against: Against,
        questions: &mut Vec<FindOut>,
    ) {
        let known = questions.len();
        if self.links.is_empty() {
            let what = "what it is made of".to_owned();
            questions.push(FindOut::Of { path: self.name.clone(), what });
        }
        for link in &self.links {
            for what in &link.strengths[index(direction)].find_out {
                let of = FindOut::Of { path: self.name.clone(), what: what.clone() };
                if !questions.contains(&of) {
                    questions.push(of);
                }
            }
        }
        let floor = self.floor(direction, against);
        let short =
            floor.is_none_or(|figure| figure.n < load_n || figure.footing == Footing::Recalled);
        if questions.len() == known && short {
            questions.push(FindOut::StrengthOf { path: self.name.clone() });
        }
    }
}

impl Link {
    /// The same in every direction.
    pub fn same(name: impl Into<String>, strength: &Strength) -> Self {
        Self { name: name.into(), strengths: std::array::from_fn(|_| strength.clone()) }
    }

    fn ceiling(&self, direction: Direction, against: Against) -> Option<Figure> {
        let strength = &self.strengths[index(direction)];
        match against {
            Against::Breaking => strength.at_most.clone(),
            Against::Working => {
                let stated = strength.working.clone().filter(|figure| figure.mode.is_exact());
                stated.or_else(|| strength.at_most.clone())
            }
        }
    }

    fn floor(&self, direction: Direction, against: Against) -> Option<Figure> {
        let strength = &self.strengths[index(direction)];
        match against {
            Against::Breaking => strength.breaks_from.clone().or_else(|| strength.working.clone()),
            Against::Working => strength.working.clone(),
        }
    }
}

pub(crate) fn index(direction: Direction) -> usize {
    Direction::ALL.iter().position(|known| *known == direction).unwrap_or(0)
}

#[cfg(test)]
mod tests;
