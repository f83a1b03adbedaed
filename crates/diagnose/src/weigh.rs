//! How well what a suspect predicts agrees with everything observed.

use model::{Shows, StateId};

use crate::bench::{Answered, Benches, Sized};
use crate::evidence::{Evidence, Expected, Prediction, Reading, weighed};
use crate::observe::{Noticed, Observations, Taken};
use crate::spreads::{ghost, spread_of_change};

/// Predictions closer than this, as a share and beside it in V or A, are the same.
const ROUNDING: f64 = 1e-5;

/// How often what starts and stops is seen to do so; else it is called dead or weak (own choice).
const SEEN_HUNTING: f64 = 0.7;
/// How often equipment on the verge of doing something else does that (own choice).
const ON_THE_VERGE: f64 = 0.3;
/// Equipment gets less when it loses this share of the nominal voltage, or of its current (own choice).
const LESS: f64 = 0.02;

/// How often a cause that is not in the record makes equipment do what no recorded one does (own choice).
const UNUSUAL: f64 = 0.1;

/// What equipment does under all suspects together: words with their shares, which sum to one.
pub(crate) type Usual = Vec<(Option<Shows>, f64)>;

/// What a suspect predicts for everything observed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Predicted {
    /// For each of [`Observations::taken`]: the value, of a circuit that hunts the one nearest to
    /// what was read; `None` where the circuit has no answer or the instrument no place.
    pub readings: Vec<Option<f64>>,
    /// For each of [`Observations::noticed`].
    pub shows: Vec<Option<Shows>>,
    /// For each of these the word it is on the verge of.
    pub(crate) nearly: Vec<Option<Shows>>,
    /// Readings on points that nothing joins.
    floats: Vec<bool>,
    /// How many values a reading may take: one, or as many as what hunts has positions.
    pub(crate) among: Vec<u8>,
}

/// See [`Predicted::key`].
pub(crate) type Key = (Vec<Option<i64>>, Vec<Option<Shows>>, Vec<bool>);

impl Predicted {
    /// The same for predictions that differ by no more than rounding.
    pub(crate) fn key(&self) -> Key {
        let rounded = |value: &Option<f64>| value.map(|value| (value / ROUNDING).round() as i64);
        let words = self.shows.iter().chain(&self.nearly).copied().collect();
        let among = self.among.iter().map(|among| *among > 1);
        let kinds = self.floats.iter().copied().chain(among).collect();
        (self.readings.iter().map(rounded).collect(), words, kinds)
    }
}

/// Everything observed, ready to be held against predictions.
pub(crate) struct Weigher<'s> {
    seen: &'s Observations,
    readings: Vec<Reading>,
    /// Predictions with the spreads of the sums, and the same for points that nothing joins.
    joined: Vec<Prediction>,
    /// What the vehicle as written makes the readings show.
    healthy: Vec<Option<f64>>,
    nominal_v: f64,
    floating: Vec<Prediction>,
}

impl<'s> Weigher<'s> {
    /// The states of the observations have to be on the bench.
    pub(crate) fn new(benches: &mut Benches<'_>, seen: &'s Observations) -> Weigher<'s> {
        let reading = |taken: &Taken| {
            let shown = taken.reading.shown;
            let shown = if taken.unsigned { shown.abs() } else { shown };
            Reading { shown, ..taken.reading }
        };
        let joined =
            seen.taken.iter().map(|t| benches.prediction(t.state, t.points, 0.0)).collect();
        let floating = seen.taken.iter().map(|_| ghost()).collect();
        let readings = seen.taken.iter().map(reading).collect();
        let nominal_v = benches.nominal_v();
        let healthy = Vec::new();
        let mut weigher = Weigher { seen, readings, joined, floating, healthy, nominal_v };
        weigher.healthy = weigher.predict(benches, &[]).readings;
        weigher
    }

    /// What suspects predict.
    pub(crate) fn predict(&self, benches: &mut Benches<'_>, faults: &[Sized]) -> Predicted {
        let mut predicted = Predicted {
            readings: vec![None; self.seen.taken.len()],
            shows: vec![None; self.seen.noticed.len()],
            nearly: vec![None; self.seen.noticed.len()],
            floats: vec![false; self.seen.taken.len()],
            among: vec![1; self.seen.taken.len()],
        };
        self.predict_states(benches, faults, &self.seen.states(), &mut predicted);
        predicted
    }

    /// The same; `None` where a circuit would have to be solved in full.
    pub(crate) fn predict_quickly(
        &self,
        benches: &mut Benches<'_>,
        faults: &[Sized],
    ) -> Option<Predicted> {
        let states = self.seen.states();
        let is_quick = |state: &StateId| benches.answer_quickly(*state, faults).is_some();
        states.iter().all(is_quick).then(|| self.predict(benches, faults))
    }

    /// What all equipment does under suspects, in every state in which something was observed.
    pub(crate) fn all_shows(
        &self,
        benches: &mut Benches<'_>,
        faults: &[Sized],
    ) -> Vec<Option<Shows>> {
        let mut all = Vec::new();
        for state in self.seen.states() {
            if let Some(answered) = benches.answer(state, faults) {
                all.extend(benches.all_shows(state, &answered));
            }
        }
        all
    }

    /// Predicts anew what was observed in some of the states.
    pub(crate) fn predict_states(
        &self,
        benches: &mut Benches<'_>,
        faults: &[Sized],
        states: &[StateId],
        predicted: &mut Predicted,
    ) {
        for state in states {
            if let Some(answered) = benches.answer(*state, faults) {
                self.predict_in(benches, *state, &answered, predicted);
            }
        }
    }

    /// The states in which two predictions differ by more than rounding.
    pub(crate) fn differ(&self, a: &Predicted, b: &Predicted) -> Vec<StateId> {
        let same = |(a, b): (Option<f64>, Option<f64>)| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= ROUNDING * (1.0 + a.abs()),
            (a, b) => a.is_none() && b.is_none(),
        };
        let readings = (0..self.readings.len())
            .filter(|k| !same((a.readings[*k], b.readings[*k])) || a.floats[*k] != b.floats[*k])
            .map(|k| self.seen.taken[k].state);
        let words = (0..self.seen.noticed.len())
            .filter(|k| a.shows[*k] != b.shows[*k] || a.nearly[*k] != b.nearly[*k])
            .map(|k| self.seen.noticed[k].state);
        let mut states: Vec<StateId> = readings.chain(words).collect();
        states.sort_unstable();
        states.dedup();
        states
    }

    fn predict_in(
        &self,
        benches: &Benches<'_>,
        state: StateId,
        answered: &Answered,
        predicted: &mut Predicted,
    ) {
        for (at, taken) in self.seen.taken.iter().enumerate().filter(|(_, t)| t.state == state) {
            let values = benches.values(state, taken.points, answered);
            predicted.readings[at] = nearest(taken, &values);
            predicted.among[at] = apart(&values);
            predicted.floats[at] = benches.floats(state, taken.points, answered);
        }
        for (at, noticed) in self.seen.noticed.iter().enumerate().filter(|(_, n)| n.state == state)
        {
            predicted.shows[at] = benches.shows(state, noticed.device, answered);
            predicted.nearly[at] = benches.nearly(state, noticed.device, answered);
        }
    }

    /// What the readings and words say of a prediction. `wider`: standard deviation added to each
    /// reading because the size of the fault is only known within limits; empty: none.
    pub(crate) fn weigh(&self, predicted: &Predicted, wider: &[f64]) -> Evidence {
        let count = self.readings.len();
        let (mut readings, mut slopes) = (Vec::with_capacity(count), Vec::with_capacity(count));
        let mut all = Vec::with_capacity(count);
        let mut without = Vec::new();
        for (at, value) in predicted.readings.iter().enumerate() {
            let Some(value) = *value else {
                without.push(at);
                continue;
            };
            let of = if predicted.floats[at] { &self.floating[at] } else { &self.joined[at] };
            let wider = wider.get(at).copied().unwrap_or(0.0);
            let moved = self.healthy[at].map_or(0.0, |healthy| value - healthy);
            let follows = spread_of_change(self.seen.taken[at].points, moved, self.nominal_v);
            all.push(Expected { value, own_spread: of.own_spread.hypot(wider).hypot(follows) });
            slopes.push(of.per_parameter.as_slice());
            readings.push(self.readings[at]);
        }
        let mut evidence = weighed(&readings, &all, &slopes);
        for at in without {
            let flat = -self.readings[at].possible_range.ln();
            evidence.log_likelihood += flat;
            evidence.each.insert(at, flat);
            evidence.stray.insert(at, false);
            evidence.distance.insert(at, 0.0);
        }
        // What hunts shows each of its values as often; only one of them is the nearest.
        for (at, among) in predicted.among.iter().enumerate().filter(|(_, among)| **among > 1) {
            let paid = f64::from(*among).ln();
            evidence.each[at] -= paid;
            evidence.log_likelihood -= paid;
        }
        evidence.log_likelihood += self.words(predicted);
        evidence
    }

    /// What is observed says of a prediction that fits everything.
    pub(crate) fn perfect(&self) -> Evidence {
        let readings = self.readings.iter().map(|reading| Some(reading.shown)).collect();
        let none = vec![None; self.seen.noticed.len()];
        self.weigh(
            &Predicted {
                readings,
                shows: none.clone(),
                nearly: none,
                floats: vec![false; self.readings.len()],
                among: vec![1; self.readings.len()],
            },
            &[],
        )
    }

    /// Whether a width within which a reading is predicted matters beside what instrument and sums
    /// leave open.
    pub(crate) fn is_coarse(&self, wider: &[f64]) -> bool {
        wider.iter().enumerate().any(|(at, wider)| {
            let reading = &self.readings[at];
            let own = reading.accuracy.standard_uncertainty(reading.shown);
            *wider > 0.3 * own.hypot(self.joined[at].own_spread)
        })
    }

    fn words(&self, predicted: &Predicted) -> f64 {
        let does = predicted.shows.iter().zip(&predicted.nearly);
        let one = |(noticed, (does, nearly)): (&Noticed, (&Option<Shows>, &Option<Shows>))| {
            let here = word(noticed, *does);
            match nearly {
                Some(_) => ((1.0 - ON_THE_VERGE) * here.exp()
                    + ON_THE_VERGE * word(noticed, *nearly).exp())
                .ln(),
                None => here,
            }
        };
        self.seen.noticed.iter().zip(does).map(one).sum()
    }

    /// Whether the vehicle as written already does something that was complained of.
    pub(crate) fn is_as_written(&self, base: &Predicted) -> bool {
        let complaints = self.seen.noticed.iter().enumerate().filter(|(_, n)| is_complaint(n));
        complaints.into_iter().any(|(at, n)| n.may_be(base, at))
    }

    /// Whether a prediction holds a complaint true that the vehicle as written does not, or leaves what
    /// was complained of amiss in another way, which somebody may have called by the wrong word.
    pub(crate) fn explains_more(&self, base: &Predicted, predicted: &Predicted) -> bool {
        let complaints = self.seen.noticed.iter().enumerate().filter(|(_, n)| is_complaint(n));
        let works = |predicted: &Predicted, at: usize| predicted.shows[at] == Some(Shows::Works);
        let is_amiss = |at| works(base, at) && !works(predicted, at);
        complaints
            .into_iter()
            .any(|(at, n)| !n.may_be(base, at) && (n.may_be(predicted, at) || is_amiss(at)))
    }

    /// Whether suspects leave less for equipment complained of than the vehicle as written does.
    pub(crate) fn worsens(&self, benches: &mut Benches<'_>, faults: &[Sized]) -> bool {
        let is_less = |moved: &Moved| moved.volt < -1.0 || moved.ampere < -1.0;
        self.moved(benches, faults).iter().any(is_less)
    }

    /// The states in which suspects leave equipment complained of noticeably more or less, even if it
    /// does the same.
    pub(crate) fn moves(&self, benches: &mut Benches<'_>, faults: &[Sized]) -> Vec<StateId> {
        let moved = self.moved(benches, faults).into_iter();
        let mut states: Vec<StateId> = moved
            .filter(|moved| moved.volt.abs().max(moved.ampere.abs()) > 1.0)
            .map(|moved| moved.state)
            .collect();
        states.sort_unstable();
        states.dedup();
        states
    }

    /// How equipment complained of is supplied under suspects, against the vehicle as written.
    fn moved(&self, benches: &mut Benches<'_>, faults: &[Sized]) -> Vec<Moved> {
        let complaints = self.seen.noticed.iter().filter(|noticed| is_complaint(noticed));
        let mut all = Vec::new();
        for Noticed { state, device, .. } in complaints {
            let mut supply = |faults: &[Sized]| {
                let answered = benches.answer(*state, faults)?;
                benches.supply(*state, *device, &answered)
            };
            let (Some(before), Some(after)) = (supply(&[]), supply(faults)) else { continue };
            let ampere = before
                .1
                .zip(after.1)
                .map_or(0.0, |(before, after)| (after - before) / LESS.max(LESS * before));
            let volt = (after.0 - before.0) / (LESS * self.nominal_v);
            all.push(Moved { state: *state, volt, ampere });
        }
        all
    }

    /// What would be expected if anything at all may be the cause. Readings may have any value of their
    /// range. Equipment does what it does, independently of other equipment, as often as the recorded
    /// suspects make it do so (`usual`, for each word noticed), or now and then anything; words said of
    /// the same equipment are about one truth. Without a reading to speak against it, a cause that
    /// changes nothing of what was noticed is none, as with recorded ones.
    pub(crate) fn of_anything(&self, base: &Predicted, usual: &[Usual]) -> Evidence {
        let each: Vec<f64> = self.readings.iter().map(|r| -r.possible_range.ln()).collect();
        let (mut anything, mut unchanged) = (1.0, 1.0);
        let noticed = &self.seen.noticed;
        for (at, first) in noticed.iter().enumerate() {
            let is_same = |n: &&Noticed| (n.state, n.device) == (first.state, first.device);
            if noticed[..at].iter().any(|before| is_same(&before)) {
                continue;
            }
            let said = |does: Option<Shows>| -> f64 {
                noticed.iter().filter(is_same).map(|n| word(n, does)).sum::<f64>().exp()
            };
            let usually: f64 = usual[at].iter().map(|(does, share)| share * said(*does)).sum();
            let kinds = Shows::ALL.len() as f64;
            let flat = Shows::ALL.iter().map(|(does, _)| said(Some(*does)) / kinds).sum::<f64>();
            anything *= (1.0 - UNUSUAL) * usually + UNUSUAL * flat;
            let same = usual[at].iter().find(|known| known.0 == base.shows[at]);
            unchanged *= (1.0 - UNUSUAL) * same.map_or(0.0, |same| same.1) * said(base.shows[at]);
        }
        if each.is_empty() && !noticed.is_empty() {
            anything -= unchanged;
        }
        let log_likelihood = each.iter().sum::<f64>() + anything.max(f64::MIN_POSITIVE).ln();
        let none = vec![0.0; each.len()];
        Evidence { log_likelihood, stray: vec![false; each.len()], distance: none, each }
    }
}

/// By how much the supply of equipment complained of is another; more than 1 either way is noticeable.
struct Moved {
    state: StateId,
    volt: f64,
    ampere: f64,
}

impl Noticed {
    /// Whether a prediction, or what it is on the verge of, fits what was noticed.
    fn may_be(&self, predicted: &Predicted, at: usize) -> bool {
        let fit = |does: Option<Shows>| does.and_then(|d| fits(self.shows, d)) == Some(true);
        fit(predicted.shows[at]) || fit(predicted.nearly[at])
    }
}

/// Whether equipment was said not to do what it should.
fn is_complaint(noticed: &Noticed) -> bool {
    !matches!(noticed.shows, Shows::Works | Shows::NotReproduced)
}

/// What a word says of what the circuit does: right, or one of the other words by mistake.
pub(crate) fn word(noticed: &Noticed, does: Option<Shows>) -> f64 {
    let others = Shows::ALL.len() as f64 - 1.0;
    let share = match (does, noticed.shows) {
        (Some(Shows::Hunts), Shows::Hunts | Shows::Clicks) => SEEN_HUNTING,
        (Some(Shows::Hunts), Shows::Dead | Shows::Weak) => 0.5 * (1.0 - SEEN_HUNTING),
        _ => 1.0,
    };
    match does.and_then(|does| fits(noticed.shows, does)) {
        Some(true) => (share * (1.0 - noticed.error)).ln(),
        Some(false) => (noticed.error / others).ln(),
        None => 0.0,
    }
}

/// Whether a word fits what the circuit does; `None`: the circuit says nothing of it.
pub fn fits(said: Shows, does: Shows) -> Option<bool> {
    match said {
        // What a circuit does is told of fuses and breakers only.
        Shows::Trips | Shows::Warm if does == Shows::Works || does == said => Some(does == said),
        Shows::Warm if does == Shows::Trips => Some(true),
        Shows::Trips | Shows::Warm => None,
        Shows::NotReproduced => Some(does == Shows::Works),
        Shows::Clicks => Some(does == Shows::Hunts),
        // What starts and stops does little in the end, and who looks at the wrong moment sees it dead.
        Shows::Weak => Some(matches!(does, Shows::Weak | Shows::Hunts)),
        Shows::Dead => Some(matches!(does, Shows::Dead | Shows::Hunts)),
        Shows::Works | Shows::Hunts => Some(said == does),
    }
}

/// How many of the values of a state that hunts differ by more than rounding.
fn apart(values: &[f64]) -> u8 {
    let is_new = |at: &usize| {
        let same = |other: &f64| (other - values[*at]).abs() <= ROUNDING * (1.0 + other.abs());
        !values[..*at].iter().any(same)
    };
    (0..values.len()).filter(is_new).count().clamp(1, 255) as u8
}

/// Of the values of a state that hunts, the one nearest to what was shown.
fn nearest(taken: &Taken, values: &[f64]) -> Option<f64> {
    let sign = |value: &f64| if taken.unsigned { value.abs() } else { *value };
    let shown = if taken.unsigned { taken.reading.shown.abs() } else { taken.reading.shown };
    values.iter().map(sign).min_by(|a, b| (a - shown).abs().total_cmp(&(b - shown).abs()))
}
