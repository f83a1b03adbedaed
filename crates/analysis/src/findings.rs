//! Findings in the reader's words: worst first, and what cannot be told grouped by what to find out.

use std::collections::BTreeMap;

use checks::{Check, Outcome, Reachable};
use model::{
    Confidence, DeviceId, Finding, Landing, Missing, Place, Signal, Verdict, WireEnd, WireId,
};

use crate::case::Case;
use crate::find_out_view::FindOutRow;
use crate::view::{AccessCost, FindingView, HeldAgainst, MissingView, PlaceView, Tally};

/// A fact that a finding wants.
struct Asked<'f> {
    finding: &'f Finding,
    fact: &'f Missing,
}

/// What the checks gave.
pub(crate) struct Found {
    pub(crate) fails: Vec<FindingView>,
    pub(crate) cannot_tell: Vec<FindingView>,
    pub(crate) find_out: Vec<FindOutRow>,
    pub(crate) tallies: Vec<Tally>,
}

impl Case {
    pub(crate) fn found(&self) -> Found {
        let outcomes = self.all_outcomes();
        let tallies = outcomes.iter().map(tally).collect();
        Found {
            fails: self.fails(&outcomes),
            cannot_tell: self.cannot_tell(&outcomes),
            find_out: self.find_out(&outcomes),
            tallies,
        }
    }

    /// Runs every check and counts what came of it.
    pub fn tallies(&self) -> Vec<Tally> {
        self.all_outcomes().iter().map(tally).collect()
    }

    /// The same without the checks on short circuits, whose study takes longer than all others together.
    pub fn tallies_without_shorts(&self) -> Vec<Tally> {
        let outcomes = self.outcomes_of_checks();
        let told = outcomes.iter().filter(|(check, _)| !checks::ON_SHORTS.contains(&check.slug));
        told.map(tally).collect()
    }

    /// What every check gives.
    fn all_outcomes(&self) -> Vec<(&'static Check, Outcome)> {
        // Short circuits need no way in, and ways in no short circuit.
        let reachable = std::thread::scope(|scope| {
            scope.spawn(|| self.short_circuits());
            self.reachable()
        });
        self.outcomes_with(&self.shorts(), &reachable)
    }

    /// What every check gives but those on short circuits: a study of all of them takes longer than all
    /// checks together, and repairs are tried by the dozen.
    pub(crate) fn outcomes_of_checks(&self) -> Vec<(&'static Check, Outcome)> {
        self.outcomes_with(&[], &self.reachable())
    }

    /// What the checks on short circuits give for some of them.
    pub(crate) fn outcomes_of_shorts(
        &self,
        shorts: &[checks::Short],
    ) -> Vec<(&'static Check, Outcome)> {
        let (states, reachable) = (self.solved(), BTreeMap::new());
        checks::run_on_shorts(&checks::Context {
            vehicle: self.vehicle(),
            catalog: &self.catalog,
            states: &states,
            reachable: &reachable,
            shorts,
        })
    }

    fn outcomes_with(
        &self,
        shorts: &[checks::Short],
        reachable: &BTreeMap<DeviceId, Reachable>,
    ) -> Vec<(&'static Check, Outcome)> {
        let states = self.solved();
        let context = checks::Context {
            vehicle: self.vehicle(),
            catalog: &self.catalog,
            states: &states,
            reachable,
            shorts,
        };
        checks::run(&context)
    }

    /// Worst first; what follows from another stands right below it.
    fn fails(&self, outcomes: &[(&'static Check, Outcome)]) -> Vec<FindingView> {
        let mut fails: Vec<(usize, &'static Check, &Finding, Confidence)> = Vec::new();
        for (order, (check, outcome)) in outcomes.iter().enumerate() {
            for finding in &outcome.findings {
                if let Verdict::Fails(confidence) = finding.verdict {
                    fails.push((order, *check, finding, confidence));
                }
            }
        }
        fails.sort_by_key(|(order, _, finding, _)| (finding.signal, *order, finding.place));
        let failures: Vec<&Finding> = fails.iter().map(|(_, _, finding, _)| *finding).collect();
        let causes = checks::causes(self.vehicle(), &failures);
        let mut order: Vec<usize> = (0..fails.len()).collect();
        order.sort_by_key(|index| {
            (causes[*index].unwrap_or(*index), causes[*index].is_some(), *index)
        });
        order
            .into_iter()
            .map(|index| {
                let (_, check, finding, confidence) = fails[index];
                let mut view = self.failure(check, finding, confidence);
                view.follows_from = causes[index].map(|cause| {
                    let (_, check, finding, _) = fails[cause];
                    format!("{} at {}", check.slug, self.vehicle().place_name(finding.place))
                });
                view
            })
            .collect()
    }

    fn failure(&self, check: &Check, finding: &Finding, confidence: Confidence) -> FindingView {
        FindingView {
            check: check.slug.to_owned(),
            title: check.title().to_owned(),
            signal: finding.signal.word().to_owned(),
            verdict: "fails".to_owned(),
            confidence: match confidence {
                Confidence::Firm => "firm",
                Confidence::Likely => "likely",
                Confidence::Hint => "hint",
            }
            .to_owned(),
            place: self.place_view(finding.place),
            related: finding.related.iter().map(|place| self.place_view(*place)).collect(),
            message: finding.message.clone(),
            evidence: finding.evidence.iter().map(|evidence| evidence.words.clone()).collect(),
            limit: finding.limit.as_ref().map(|limit| HeldAgainst {
                words: limit.words.clone(),
                source: limit.source.clone(),
            }),
            hazard: check.hazard().to_owned(),
            grade: graded(check, finding.signal, confidence),
            follows_from: None,
            remedy: finding.remedy.clone(),
            find_out: Vec::new(),
            access: self.access_to(where_to_work(finding)),
        }
    }

    /// Grouped by check and by what to find out; within a group, the items.
    fn cannot_tell(&self, outcomes: &[(&'static Check, Outcome)]) -> Vec<FindingView> {
        let mut views = Vec::new();
        for (order, (check, outcome)) in outcomes.iter().enumerate() {
            let mut groups: BTreeMap<String, Vec<Asked<'_>>> = BTreeMap::new();
            for finding in &outcome.findings {
                if let Verdict::CannotTell(missing) = &finding.verdict {
                    for fact in missing {
                        let asked = Asked { finding, fact };
                        groups.entry(self.of_each(fact)).or_default().push(asked);
                    }
                }
            }
            let rows = groups.into_iter().map(|(of_each, members)| {
                let signal = members.iter().map(|asked| asked.finding.signal).min();
                let signal = signal.unwrap_or(Signal::Notice);
                (signal, order, self.group(check, &of_each, signal, &members))
            });
            for (signal, order, view) in rows {
                join(&mut views, signal, order, view);
            }
        }
        views.sort_by_key(|(signal, order, _)| (*signal, *order));
        views.into_iter().map(|(.., view)| view).collect()
    }

    /// What to find out, with `each` where it names the very place it is about: one question for all of
    /// which it is asked.
    fn of_each(&self, fact: &Missing) -> String {
        let name = self.vehicle().place_name(fact.at);
        let words = fact.what.split(' ').map(|word| {
            let bare = word.trim_end_matches([',', ';', ':']);
            if bare == name { word.replacen(bare, "each", 1) } else { word.to_owned() }
        });
        words.collect::<Vec<_>>().join(" ")
    }

    fn group(
        &self,
        check: &Check,
        of_each: &str,
        signal: Signal,
        members: &[Asked<'_>],
    ) -> FindingView {
        let mut places: Vec<Place> = members.iter().map(|asked| asked.fact.at).collect();
        places.sort_unstable();
        places.dedup();
        let what = match (members, places.as_slice()) {
            ([asked, ..], [_]) => asked.fact.what.as_str(),
            _ => of_each,
        };
        let nearest = places
            .iter()
            .filter_map(|place| self.access_to(*place))
            .min_by(|a, b| minutes(a).total_cmp(&minutes(b)));
        let judged: std::collections::BTreeSet<Place> =
            members.iter().map(|asked| asked.finding.place).collect();
        let message = match members {
            [one, ..] if judged.len() == 1 => one.finding.message.clone(),
            _ => format!("{}: cannot be told for {} items", check.title(), judged.len()),
        };
        FindingView {
            check: check.slug.to_owned(),
            title: check.title().to_owned(),
            signal: signal.word().to_owned(),
            verdict: "cannot tell".to_owned(),
            confidence: String::new(),
            place: self.place_view(judged.first().copied().unwrap_or(Place::Vehicle)),
            related: judged.iter().skip(1).map(|place| self.place_view(*place)).collect(),
            message,
            evidence: Vec::new(),
            limit: None,
            hazard: check.hazard().to_owned(),
            grade: String::new(),
            follows_from: None,
            remedy: String::new(),
            find_out: vec![MissingView {
                what: what.to_owned(),
                items: places.iter().map(|place| self.vehicle().place_name(*place)).collect(),
                access: nearest.clone(),
            }],
            access: nearest,
        }
    }

    pub(crate) fn place_view(&self, place: Place) -> PlaceView {
        let vehicle = self.vehicle();
        let at = record::line_column(&self.text, self.record.sources.span(place).start);
        let label = match place {
            Place::Device(id) => {
                let device = &vehicle.devices[id];
                if device.place_words.is_empty() {
                    device.label.clone()
                } else {
                    format!("{}, {}", device.label, device.place_words)
                }
            }
            Place::Terminal(id) => {
                vehicle.devices[vehicle.terminals[id].device].place_words.clone()
            }
            Place::Wire(id) => {
                format!("{} to {}", self.landing(id, WireEnd::From), self.landing(id, WireEnd::To))
            }
            Place::Part(id) => vehicle.parts[id].label.clone(),
            Place::Spot(id) => vehicle.spots[id].label.clone(),
            Place::Joint(_) | Place::State(_) | Place::Vehicle => String::new(),
        };
        PlaceView {
            name: vehicle.place_name(place),
            label,
            things: self.things_of(place),
            line: at.line,
            column: at.column,
        }
    }

    /// What people call the things that a place is of.
    fn things_of(&self, place: Place) -> Vec<String> {
        let vehicle = self.vehicle();
        let device = |terminal| vehicle.devices[vehicle.terminals[terminal].device].label.clone();
        let at_end = |wire: WireId, end: WireEnd| match vehicle.wires[wire].end(end).landing {
            Landing::At(terminal) => Some(device(terminal)),
            Landing::Behind(part) => Some(vehicle.parts[part].label.clone()),
            Landing::Unknown => None,
        };
        match place {
            Place::Device(id) => vec![vehicle.devices[id].label.clone()],
            Place::Terminal(id) => vec![device(id)],
            Place::Joint(id) => {
                let joint = &vehicle.joints[id];
                at_end(joint.wire, joint.end).into_iter().collect()
            }
            // With an end nobody has seen there is no pair to name.
            Place::Wire(id) => WireEnd::BOTH
                .into_iter()
                .map(|end| at_end(id, end))
                .collect::<Option<_>>()
                .unwrap_or_default(),
            Place::Part(_) | Place::Spot(_) | Place::State(_) | Place::Vehicle => Vec::new(),
        }
    }
}

/// A row more; where one says the same of the same places already, its question goes there.
fn join(
    views: &mut Vec<(Signal, usize, FindingView)>,
    signal: Signal,
    order: usize,
    view: FindingView,
) {
    let same = views.iter_mut().find(|(of, at, known)| {
        let places = known.place == view.place && known.related == view.related;
        *of == signal && *at == order && places && known.message == view.message
    });
    match same {
        Some((.., known)) => known.find_out.extend(view.find_out),
        None => views.push((signal, order, view)),
    }
}

/// Why it has its signal word: consequence times likelihood, as the page reasons.
fn graded(check: &Check, signal: Signal, confidence: Confidence) -> String {
    if confidence == Confidence::Hint {
        return "only a hint: the limit was recalled and not read".to_owned();
    }
    match check.grade(signal) {
        Some(grade) => {
            let (consequence, likelihood) = (grade.consequence.word(), grade.likelihood.word());
            format!("{consequence} x {likelihood}: {}", grade.because)
        }
        None => String::new(),
    }
}

/// Where the finding is put right: for a wire, at the device it is about (the source, the fuse).
fn where_to_work(finding: &Finding) -> Place {
    match (finding.place, finding.related.first()) {
        (Place::Wire(_), Some(device @ Place::Device(_))) => *device,
        (place, _) => place,
    }
}

fn minutes(cost: &AccessCost) -> f64 {
    cost.minutes_out + cost.minutes_back
}

fn tally((check, outcome): &(&'static Check, Outcome)) -> Tally {
    Tally {
        check: check.slug.to_owned(),
        title: check.title().to_owned(),
        fails: outcome.tally.fails,
        holds: outcome.tally.holds,
        cannot_tell: outcome.tally.cannot_tell,
    }
}
