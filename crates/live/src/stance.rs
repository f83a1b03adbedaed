//! How a direct-current source stands: where its return is, and from which of its poles it
//! energises what. Knows nothing of the mains side.

use model::TerminalId;
use network::{Network, Passage, Point, Walk};

use crate::Doubt;
use crate::reach::walk;
use crate::ways::Ways;

/// Points, by their place in the graph.
pub(crate) type Set = Vec<bool>;

/// The body with all metal on it, if metal joins the minus of a battery to it.
pub(crate) fn body_return(network: &Network, battery_minuses: &[TerminalId]) -> Option<Set> {
    let graph = &network.graph;
    let metal = graph.metal([graph.body()]);
    let stands = battery_minuses.iter().any(|minus| metal.reaches(graph.stud(*minus)));
    stands.then(|| set(network, &metal))
}

/// How a source stands.
pub(crate) struct Stance {
    /// It energises from its plus.
    pub(crate) from_plus: bool,
    /// It energises from its minus, upside down; with the doubt, if that is only possible.
    pub(crate) from_minus: Option<Option<Doubt>>,
    /// Its return; empty where there is none.
    pub(crate) returns: Set,
    /// The body is return for it.
    pub(crate) spares_body: bool,
}

impl Stance {
    /// Rules 7 to 10.
    pub(crate) fn of(
        network: &Network,
        ways: &Ways,
        plus: Point,
        minus: Point,
        body: Option<&Set>,
    ) -> Stance {
        let place = network.graph.index(plus);
        let none = vec![false; network.graph.point_count()];
        let metal = set(network, &network.graph.metal([minus]));
        if metal[place] {
            let (from_plus, from_minus) = (true, None);
            return Stance { from_plus, from_minus, returns: none, spares_body: false };
        }
        let down = set(network, &downwards(network, minus));
        let returns = if down[place] { metal } else { down };
        let upright =
            |returns| Stance { from_plus: true, from_minus: None, returns, spares_body: true };
        let Some(body) = body else { return upright(returns) };
        if returns.iter().zip(body).any(|(a, b)| *a && *b) {
            return upright(returns);
        }
        if body[place] {
            let (from_plus, from_minus) = (false, Some(None));
            return Stance { from_plus, from_minus, returns: none, spares_body: true };
        }
        match reaches_body(network, ways, plus, &returns, body) {
            None => upright(returns),
            Some(None) => Stance { from_minus: Some(None), ..upright(none) },
            doubtful => Stance { from_minus: doubtful, ..upright(returns) },
        }
    }
}

/// Metal from a minus, and on through lower batteries of a series bank from plus to minus.
fn downwards(network: &Network, minus: Point) -> Walk {
    network.graph.walk([minus], |link, at| match link.passage {
        Passage::Metal => true,
        Passage::Source => at == link.a,
        _ => false,
    })
}

/// Whether a plus reaches the body other than through its own source, and with which doubt.
fn reaches_body(
    network: &Network,
    ways: &Ways,
    plus: Point,
    own: &Set,
    body: &Set,
) -> Option<Option<Doubt>> {
    let found = walk(network, ways, &[plus], None, |ahead| {
        !ahead.is_barred() && !own[ahead.next] && !ahead.way.isolated
    });
    let touched = body.iter().enumerate().filter(|(_, is_body)| **is_body);
    let nearest =
        touched.filter_map(|(place, _)| found.best(place)).min_by_key(|best| best.cost)?;
    Some(nearest.doubt)
}

fn set(network: &Network, walk: &Walk) -> Set {
    network.graph.points().map(|point| walk.reaches(point)).collect()
}
