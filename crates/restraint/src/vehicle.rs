//! From what a record says holds a thing to paths and links.

use catalog::RestraintFigures;
use model::{Direction, FixingSort, HeldBy, HeldWay, Mounting, Promise, StatedForce};

use crate::compare::{Acts, Held, Link, Path};
use crate::fastener::{Fastener, Group, GroupSort, figure, group};
use crate::lateral::at_an_angle_n;
use crate::sheet::sheet_at_an_angle_n;
use crate::strength::{Figure, Footing, Mode, Strength};

/// Friction that may help something standing on a floor, in its favour.
const FRICTION_AT_MOST: f64 = 1.0;
const LEVEL: [Direction; 4] =
    [Direction::Forward, Direction::Back, Direction::Left, Direction::Right];

/// A thing with what the record says holds it; nothing recorded: nothing known to hold it.
pub fn held(mass_kg: f64, mounting: Option<&Mounting>, figures: &RestraintFigures) -> Held {
    let ways = mounting.map_or(&[][..], |mounting| &mounting.ways);
    let paths = ways.iter().map(|way| path(way, figures)).collect();
    Held { mass_kg, friction_at_most: FRICTION_AT_MOST, paths }
}

fn path(way: &HeldWay, figures: &RestraintFigures) -> Path {
    let links = match &way.strength {
        Some(stated) => vec![Link::same("anchorage", &of_statement(stated, 1.0, Mode::Stated))],
        None => links(way, figures),
    };
    let acts = Direction::ALL.map(|direction| acts(way, direction));
    Path { name: way.words.clone(), links, acts }
}

/// What is said to hold, holds there; a statement of strength is about the four level directions; what is
/// screwed or bolted holds every way. A strap holds the way it runs, which only a look tells.
fn acts(way: &HeldWay, direction: Direction) -> Acts {
    let has = |sort| way.fixings.iter().any(|held| held.sort == sort);
    let rigid = way.fixings.iter().any(|held| is_rigid(held.sort)) && !has(FixingSort::Strap);
    let level = LEVEL.contains(&direction);
    let yes = if way.acts.is_empty() {
        (way.strength.is_some() && level) || rigid
    } else {
        way.acts.contains(&direction)
    };
    if yes { Acts::Yes } else { Acts::NotKnown }
}

fn is_rigid(sort: FixingSort) -> bool {
    match sort {
        FixingSort::WoodScrew
        | FixingSort::LagScrew
        | FixingSort::TappingScrew
        | FixingSort::Bolt
        | FixingSort::Rivet
        | FixingSort::Insert => true,
        FixingSort::Strap | FixingSort::Adhesive => false,
    }
}

fn links(way: &HeldWay, figures: &RestraintFigures) -> Vec<Link> {
    let counted = way.fixings.iter().filter(|held| held.sort != FixingSort::Adhesive);
    let mut links: Vec<Link> = counted.map(|held| link(held, way, figures)).collect();
    if links.is_empty() {
        let glued = !way.fixings.is_empty();
        let what = if glued {
            "glue and tape are not counted: look for screws or bolts, or fix it with some"
        } else {
            "what it is made of: fixings, their number and size, what they go into"
        };
        links.push(Link::same("anchorage", &Strength::unknown(what)));
    }
    links
}

fn link(held: &HeldBy, way: &HeldWay, figures: &RestraintFigures) -> Link {
    if let Some(each) = &held.each {
        let count = Fastener::said(&held.count).unwrap_or(1.0);
        let mode = if held.sort == FixingSort::Strap { Mode::Strap } else { Mode::Stated };
        return Link::same(words(held), &of_statement(each, count, mode));
    }
    if held.sort == FixingSort::Strap {
        let what = "the lashing capacity on the strap's label, and that of its ends";
        return Link::same(words(held), &Strength::unknown(what));
    }
    let group = group(held, way, figures);
    let strengths = match (way.pull_deg.value(), has_strap(way)) {
        (Some(deg), _) => {
            let firm = way.pull_deg.evidence().is_some();
            let angled = group.at(*deg, if firm { Footing::Firm } else { Footing::Recalled });
            std::array::from_fn(|_| angled.clone())
        }
        (None, true) => {
            let mut either = group.along.either(&group.across);
            either.find_out.push("at which angle the strap pulls".to_owned());
            std::array::from_fn(|_| either.clone())
        }
        (None, false) => Direction::ALL.map(|direction| by_direction(&group, way, direction)),
    };
    Link { name: words(held), strengths }
}

fn has_strap(way: &HeldWay) -> bool {
    way.fixings.iter().any(|held| held.sort == FixingSort::Strap)
}

fn by_direction(group: &Group, way: &HeldWay, direction: Direction) -> Strength {
    let sure = way.driven.evidence().copied();
    match sure {
        Some(driven) if direction == driven => Strength::unknown(
            "what it presses on carries it that way, not the fixings: see that it can",
        ),
        Some(driven) if direction == driven.opposite() => group.along.clone(),
        Some(_) => group.across.clone(),
        None => {
            let mut either = group.along.either(&group.across);
            either.find_out.push("which way they point".to_owned());
            either
        }
    }
}

fn of_statement(stated: &StatedForce, count: f64, mode: Mode) -> Strength {
    let Some(n) = Fastener::said(&stated.n) else {
        return Strength::unknown("its rating, or a pull test");
    };
    let footing = if stated.n.evidence().is_some() { Footing::Firm } else { Footing::Recalled };
    // What stands side by side need not share evenly: one alone may be relied on.
    let one = figure(n, mode, "stated in the record", footing);
    let all = figure(n * count, mode, "stated in the record", footing);
    match stated.promise {
        Promise::Breaks => {
            Strength { breaks_from: Some(one), at_most: Some(all), ..Strength::default() }
        }
        Promise::Working => {
            Strength { breaks_from: Some(one.clone()), working: Some(one), ..Strength::default() }
        }
    }
}

impl Group {
    /// Pulled at an angle to the surface, degrees.
    fn at(&self, deg: f64, footing: Footing) -> Strength {
        let join = |along: &Option<Figure>, across: &Option<Figure>| {
            let (along, across) = (along.as_ref()?, across.as_ref()?);
            let (n, mode) = match self.sort {
                GroupSort::Wood => {
                    (at_an_angle_n(along.n, across.n, deg).ok()?, Mode::AngledInWood)
                }
                GroupSort::Sheet => {
                    (sheet_at_an_angle_n(across.n, along.n, deg).ok()?, Mode::AngledInSheet)
                }
                GroupSort::None => {
                    return Some(if along.n < across.n { along } else { across }.clone());
                }
            };
            let recalled = [along.footing, across.footing, footing].contains(&Footing::Recalled);
            let footing = if recalled { Footing::Recalled } else { Footing::Firm };
            let basis = format!("{}; {}", along.basis, across.basis);
            Some(Figure { n, mode, basis, footing })
        };
        Strength {
            working: join(&self.along.working, &self.across.working),
            breaks_from: join(&self.along.breaks_from, &self.across.breaks_from),
            at_most: join(&self.along.at_most, &self.across.at_most),
            find_out: self.along.either(&self.across).find_out,
        }
    }
}

fn words(held: &HeldBy) -> String {
    let count = Fastener::said(&held.count);
    let word = FixingSort::WORDS.iter().find(|(_, _, sort)| *sort == held.sort);
    let (one, several) = word.map_or(("fixing", "fixings"), |(one, several, _)| (*one, *several));
    match count {
        Some(count) if (count - 1.0).abs() < f64::EPSILON => format!("1 {one}"),
        Some(count) => format!("{count} {several}"),
        None => several.to_owned(),
    }
}

#[cfg(test)]
mod tests;
