//! What was read or seen once and may have been wrong, so that it is offered once more.

use model::{Shows, StateId};

use crate::advice::Asked;
use crate::observe::{Noticed, Taken};
use crate::offered::{Offered, What};
use crate::rank::Explanation;
use crate::weigh::fits;

/// A check is doubted when explanations with this weight call it wrong, and as many do not (own choice).
const DOUBTED: f64 = 0.02;
/// Where the cause is most likely not in the record, a check is doubted when of the explanations that
/// are in it this share calls it wrong, however little weight they have left (own choice).
const DOUBTED_BY_THE_RECORD: f64 = 0.5;

/// What a check showed before.
#[derive(Clone, Copy)]
pub(crate) enum Before {
    Read(f64),
    Did(Shows),
}

impl Before {
    pub(crate) fn value(self) -> Option<f64> {
        if let Before::Read(value) = self { Some(value) } else { None }
    }

    pub(crate) fn word(self) -> Option<Shows> {
        if let Before::Did(word) = self { Some(word) } else { None }
    }
}

/// What a check showed that was made once, if it is doubted: some likely explanations call the reading
/// stray, or the word wrong, others rest on it. Made again it tells.
pub(crate) fn doubted(asked: &Asked<'_>, check: &Offered) -> Option<Before> {
    let is_here = |state: StateId| Some(state) == check.state;
    let doubt = |doubts: &dyn Fn(&Explanation) -> bool| -> f64 {
        asked.ranking.explanations.iter().filter(|e| doubts(e)).map(|e| e.weight).sum()
    };
    let is_between = |doubt: f64| (DOUBTED..1.0 - DOUBTED).contains(&doubt);
    match check.what {
        What::Read(points) => {
            let is_it = |taken: &Taken| taken.points == points && is_here(taken.state);
            let (at, taken) = only(&asked.seen.taken, is_it)?;
            let shown = taken.reading.shown;
            let shown = if taken.unsigned { shown.abs() } else { shown };
            let doubt = doubt(&|e| e.stray[at]);
            let outside = asked.ranking.not_in_record;
            let by_the_record = outside > 0.5 && doubt > DOUBTED_BY_THE_RECORD * (1.0 - outside);
            (is_between(doubt) || by_the_record).then_some(Before::Read(shown))
        }
        What::Watch(device) => {
            let error = asked.catalog.faults.technician_error;
            let is_it = |n: &Noticed| n.device == device && is_here(n.state) && n.error <= error;
            let (at, noticed) = only(&asked.seen.noticed, is_it)?;
            let is_wrong = |e: &Explanation| {
                let does = e.predicted.shows.get(at).copied().flatten();
                does.and_then(|does| fits(noticed.shows, does)) == Some(false)
            };
            // What is complained of and was seen to work is watched twice, whatever is likely.
            let is_contradicted = asked.seen.noticed.iter().any(|other| {
                (other.device, other.state) == (device, noticed.state)
                    && fits(other.shows, noticed.shows) == Some(false)
            });
            let is_doubted = is_contradicted || is_between(doubt(&is_wrong));
            is_doubted.then_some(Before::Did(noticed.shows))
        }
        What::Look(_) => None,
    }
}

/// The only one of its kind, with its place.
fn only<T>(all: &[T], is_it: impl Fn(&T) -> bool) -> Option<(usize, &T)> {
    let mut found = all.iter().enumerate().filter(|(_, one)| is_it(one));
    found.next().filter(|_| found.next().is_none())
}
