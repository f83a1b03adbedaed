//! The spread of a reading from the spreads of the numbers it rests on: a straight line where the
//! modes stay, seeded draws where one may flip. Knows no instruments and no vehicles.

use circuit::{BranchId, Change, Circuit, Element, Parameter, Sense, Trip};

use super::Sensitivities;
use crate::variants::{Answer, Variants};
use crate::{Outcome, Reading, Trouble, settle, validate};

/// A mode may flip if its margin is less than this many standard deviations.
const NEAR: f64 = 3.0;
/// Draws of one number tried before it is left where it is, so that it stays possible.
const TRIES: u32 = 100;

/// A number that is not known exactly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// The branch it belongs to.
    pub branch: BranchId,
    /// Which number.
    pub parameter: Parameter,
    /// Its standard uncertainty, SI unit (half the width of a range over the root of 3, where only
    /// a range is known: JCGM 100:2008, 4.3.7).
    pub standard: f64,
}

/// How many draws, and where they begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sampling {
    /// Circuits solved.
    pub draws: usize,
    /// The same seed gives the same draws.
    pub seed: u64,
}

/// How a spread was found.
#[derive(Clone, Debug, PartialEq)]
pub enum Method {
    /// Straight line: no mode comes near its edge.
    FirstOrder,
    /// Draws, because a mode may flip.
    Sampled {
        /// What comes near its edge: branch or guard by name.
        near: Vec<String>,
        /// Draws that gave a reading.
        draws: usize,
        /// Of these, draws that settled in other modes than the circuit itself.
        flipped: usize,
        /// Draws without a reading: floating, hunting, or without answer.
        lost: usize,
    },
}

/// The spread of a reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// The reading of the circuit as it is, V or A.
    pub value: f64,
    /// Mean: of a straight line the value itself, else of the draws.
    pub mean: f64,
    /// Standard deviation.
    pub standard: f64,
    /// Ends of the middle 95 % (of a straight line: 1.96 standard deviations to each side).
    pub middle: (f64, f64),
    /// What each doubt adds on its own by a straight line, in the order given.
    pub shares: Vec<f64>,
    /// How it was found.
    pub method: Method,
}

/// Why there is no spread.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoSpread {
    /// The circuit has no answer.
    #[error(transparent)]
    Trouble(Trouble),
    /// The circuit hunts: it has no one reading.
    #[error("the circuit hunts, so it has no one reading")]
    Hunts,
    /// Nothing joins the two nodes.
    #[error("nothing joins the two nodes, so there is nothing to read")]
    Floating,
    /// A doubt names a branch or a number that the circuit does not hold, or is no number.
    #[error("the doubt about {parameter:?} of branch {} does not fit the circuit", branch.0)]
    BadDoubt {
        /// The branch.
        branch: BranchId,
        /// The number.
        parameter: Parameter,
    },
    /// None of the draws gave a reading.
    #[error("none of {draws} draws gave a reading")]
    AllLost {
        /// Draws tried.
        draws: usize,
    },
}

/// The spread of a reading of the settled circuit from independent doubts.
///
/// First order: `u(R)^2 = sum (dR/dp u(p))^2` (JCGM 100:2008, equation 10). Where a guard, a
/// cut-out, a limit or the bend of a battery lies within 3 standard deviations of its edge, the
/// circuit is settled for draws instead, every number drawn as normal (JCGM 101:2008); a draw that
/// no real part could have is drawn again. Checked by: `tests/it/sensitivity.rs`.
///
/// # Errors
/// [`NoSpread`] says why there is none.
pub fn spread(
    circuit: &Circuit,
    reading: Reading,
    doubts: &[Doubt],
    sampling: Sampling,
) -> Result<Spread, NoSpread> {
    doubts.iter().try_for_each(|doubt| fits(circuit, doubt))?;
    let point = match settle(circuit) {
        Outcome::Settled(point) => point,
        Outcome::Hunts { .. } => return Err(NoSpread::Hunts),
        Outcome::Trouble(trouble) => return Err(NoSpread::Trouble(trouble)),
    };
    let value = point.read(reading).ok_or(NoSpread::Floating)?;
    let mut at = Sensitivities::at(circuit, &point.guards).map_err(NoSpread::Trouble)?;
    let shares = shares(&mut at, reading, doubts).ok_or(NoSpread::Floating)?;
    let near = near_edges(&mut at, &point.guards, doubts);
    if near.is_empty() {
        let standard = root_sum_of_squares(&shares);
        let middle = (value - 1.96 * standard, value + 1.96 * standard);
        let method = Method::FirstOrder;
        return Ok(Spread { value, mean: value, standard, middle, shares, method });
    }
    let drawn = draw_all(circuit, reading, doubts, sampling)?;
    if drawn.values.is_empty() {
        return Err(NoSpread::AllLost { draws: sampling.draws });
    }
    let count = drawn.values.len() as f64;
    let mean = drawn.values.iter().sum::<f64>() / count;
    let variance = drawn.values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / count;
    let last = drawn.values.len() - 1;
    let part = |share: f64| drawn.values[((share * last as f64).round() as usize).min(last)];
    Ok(Spread {
        value,
        mean,
        standard: variance.sqrt(),
        middle: (part(0.025), part(0.975)),
        shares,
        method: Method::Sampled {
            near,
            draws: drawn.values.len(),
            flipped: drawn.flipped,
            lost: sampling.draws - drawn.values.len(),
        },
    })
}

fn fits(circuit: &Circuit, doubt: &Doubt) -> Result<(), NoSpread> {
    let Doubt { branch, parameter, standard } = *doubt;
    let exists = (branch.0 as usize) < circuit.branch_count()
        && circuit.branch(branch).element.value(parameter).is_some();
    let is_number = standard.is_finite() && standard >= 0.0;
    if exists && is_number { Ok(()) } else { Err(NoSpread::BadDoubt { branch, parameter }) }
}

/// What each doubt adds to a reading on its own.
fn shares(at: &mut Sensitivities, reading: Reading, doubts: &[Doubt]) -> Option<Vec<f64>> {
    let derivatives = at.of(reading)?;
    let of = |doubt: &Doubt| {
        let found =
            derivatives.iter().find(|(b, p, _)| (*b, *p) == (doubt.branch, doubt.parameter));
        found.map_or(0.0, |(_, _, by)| by * doubt.standard)
    };
    Some(doubts.iter().map(of).collect())
}

fn root_sum_of_squares(shares: &[f64]) -> f64 {
    shares.iter().map(|s| s * s).sum::<f64>().sqrt()
}

/// A voltage or current that must stay on its side of a threshold.
struct Edge {
    name: String,
    watches: Reading,
    /// V or A.
    threshold: f64,
    /// How the threshold follows numbers of its own branch.
    own: Vec<(BranchId, Parameter, f64)>,
}

/// Names of the edges that the doubts may carry a voltage over.
fn near_edges(at: &mut Sensitivities, positions: &[bool], doubts: &[Doubt]) -> Vec<String> {
    let mut near = Vec::new();
    for edge in edges(&at.circuit, positions) {
        let Some(value) = at.value(edge.watches) else { continue };
        let Some(mut shares) = shares(at, edge.watches, doubts) else { continue };
        for (share, doubt) in shares.iter_mut().zip(doubts) {
            let own =
                edge.own.iter().find(|(br, p, _)| (*br, *p) == (doubt.branch, doubt.parameter));
            *share -= own.map_or(0.0, |(_, _, by)| by * doubt.standard);
        }
        let reach = NEAR * root_sum_of_squares(&shares);
        if reach > 0.0 && (value - edge.threshold).abs() < reach && !near.contains(&edge.name) {
            near.push(edge.name);
        }
    }
    near
}

/// Every edge of a circuit in given guard positions.
fn edges(circuit: &Circuit, positions: &[bool]) -> Vec<Edge> {
    let mut edges = Vec::new();
    for (k, guard) in circuit.guards().iter().enumerate() {
        let threshold = match (guard.trip, positions[k]) {
            (Trip::LowVoltage { off_below_v, .. }, true) => off_below_v,
            (Trip::LowVoltage { on_from_v, .. }, false) => on_from_v,
            (Trip::HighVoltage { off_above_v, .. }, true) => off_above_v,
            (Trip::HighVoltage { on_up_to_v, .. }, false) => on_up_to_v,
            (Trip::HighCurrent { off_above_a }, true) => off_above_a,
            // It stays open whatever flows.
            (Trip::HighCurrent { .. }, false) => continue,
        };
        let (watches, sign) = match guard.sense {
            Sense::Between(a, b) => (Reading::Between(a, b), 1.0),
            Sense::Into(branch) => (Reading::Current(branch), 1.0),
            Sense::OutOf(branch) => (Reading::Current(branch), -1.0),
        };
        let name = guard.name.clone();
        edges.push(Edge { name, watches, threshold: sign * threshold, own: Vec::new() });
    }
    for (id, branch) in circuit.branches() {
        if branch.while_on.is_none_or(|g| positions[g.0 as usize]) {
            edges.extend(element_edges(id, &branch.name, &branch.element));
        }
    }
    edges
}

fn element_edges(branch: BranchId, name: &str, element: &Element) -> Vec<Edge> {
    use Parameter as P;
    let nodes = element.nodes();
    let port = nodes.len() - 2;
    let edge = |threshold: f64, own: &[(P, f64)]| Edge {
        name: name.to_owned(),
        watches: Reading::Between(nodes[port], nodes[port + 1]),
        threshold,
        own: own.iter().map(|(p, by)| (branch, *p, *by)).collect(),
    };
    match *element {
        Element::ConstantPower { cut_out_v, .. } => vec![edge(cut_out_v, &[(P::CutOutVolt, 1.0)])],
        Element::Battery { rest_v, discharge_ohm, charge_ohm, .. }
            if charge_ohm > discharge_ohm =>
        {
            vec![edge(rest_v, &[(P::RestVolt, 1.0)])]
        }
        Element::LimitedSource { set_v, droop_ohm, limit_a, .. }
        | Element::PowerSource { set_v, droop_ohm, limit_a, .. }
        | Element::Converter { set_v, droop_ohm, limit_a, .. } => {
            let full = [(P::SetVolt, 1.0), (P::DroopOhm, -limit_a), (P::LimitAmpere, -droop_ohm)];
            let mut edges =
                vec![edge(set_v, &[(P::SetVolt, 1.0)]), edge(set_v - limit_a * droop_ohm, &full)];
            if let Element::PowerSource { watt, .. } | Element::Converter { power_w: watt, .. } =
                *element
            {
                // Where the power runs out: v (set - v)/droop = watt, for v above 1 V.
                let under_root = set_v * set_v - 4.0 * droop_ohm * watt;
                if under_root > 0.0 {
                    edges.push(edge(0.5 * (set_v + under_root.sqrt()), &[(P::SetVolt, 1.0)]));
                }
            }
            edges
        }
        Element::OneWay { .. } => vec![edge(0.0, &[])],
        _ => Vec::new(),
    }
}

#[derive(Default)]
struct Drawn {
    /// Readings, ascending.
    values: Vec<f64>,
    flipped: usize,
}

fn draw_all(
    circuit: &Circuit,
    reading: Reading,
    doubts: &[Doubt],
    sampling: Sampling,
) -> Result<Drawn, NoSpread> {
    let mut variants = Variants::new(circuit.clone()).map_err(NoSpread::Trouble)?;
    let modes = |answer: &Answer| (answer.guards().to_vec(), answer.off());
    let Ok(Outcome::Settled(usual)) = variants.settle(&[]) else { return Err(NoSpread::Hunts) };
    let usual = modes(&usual);
    let mut normal = Normal::new(sampling.seed);
    let mut drawn = Drawn::default();
    for _ in 0..sampling.draws {
        let changes: Vec<Change> =
            doubts.iter().filter_map(|doubt| draw(circuit, doubt, &mut normal)).collect();
        let Ok(Outcome::Settled(answer)) = variants.settle(&changes) else { continue };
        let Some(value) = answer.read(reading) else { continue };
        drawn.values.push(value);
        drawn.flipped += usize::from(modes(&answer) != usual);
    }
    drawn.values.sort_by(f64::total_cmp);
    Ok(drawn)
}

/// One number drawn around its value, such that a real part could have it.
fn draw(circuit: &Circuit, doubt: &Doubt, normal: &mut Normal) -> Option<Change> {
    let Doubt { branch, parameter, standard } = *doubt;
    let mut element = circuit.branch(branch).element.clone();
    let centre = element.value(parameter)?;
    for _ in 0..TRIES {
        let value = centre + standard * normal.next();
        element.set_value(parameter, value)?;
        if validate::fits(&element) {
            return Some(Change::Set { branch, parameter, value });
        }
    }
    None
}

/// Normal numbers of mean 0 and standard deviation 1 from a seed.
///
/// SplitMix64 (Steele, Lea, Flood, OOPSLA 2014) for even numbers and the transform of Box and
/// Muller (Annals of Mathematical Statistics 29, 1958), both from memory.
struct Normal {
    state: u64,
}

impl Normal {
    fn new(seed: u64) -> Normal {
        Normal { state: seed }
    }

    /// Above 0, at most 1.
    fn even(&mut self) -> f64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.state;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^= bits >> 31;
        ((bits >> 11) + 1) as f64 / (1_u64 << 53) as f64
    }

    fn next(&mut self) -> f64 {
        let (radius, turn) = (self.even(), self.even());
        (-2.0 * radius.ln()).sqrt() * (std::f64::consts::TAU * turn).cos()
    }
}
