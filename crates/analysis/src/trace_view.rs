//! Tracing a wire that vanishes, in the reader's words.

use access::Permitted;
use diagnose::{Candidate, FarEnd, Trace, TraceTest, trace};
use model::{Reach, TerminalId, WireEnd};
use schemars::JsonSchema;
use serde::Serialize;

use crate::case::Case;

/// Name and version of this form.
pub const TRACE_SCHEMA: &str = "unbury.trace/1";

/// Candidates that are shown.
const SHOWN: usize = 8;

/// A wire being traced.
pub struct Tracing<'c> {
    case: &'c Case,
    trace: Trace,
    found: Vec<(TraceTest, bool)>,
    /// The test, or look, of the last view; `None` where it was the end of the trace.
    asked: Option<TraceTest>,
}

/// Where a wire may end, and what to test next.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TraceView {
    /// Name and version of this form.
    pub schema: String,
    /// The wire.
    pub wire: String,
    /// Where its end in sight is.
    pub near: String,
    /// Where the other may be, most likely first.
    pub candidates: Vec<CandidateRow>,
    /// Probability of the candidates that are not shown.
    pub others: f64,
    /// The next test; `None`: go and look.
    pub test: Option<TraceCard>,
    /// Where to go and look, with how sure it is.
    pub look: Option<String>,
    /// Where it ends, once somebody saw it.
    pub ends: Option<String>,
    /// Expected minutes to the end of the trace.
    pub minutes: f64,
    /// The same if candidates are opened in their best order without a test.
    pub straight_in_minutes: f64,
    /// The line of the record to change, once it is sure enough.
    pub record_line: Option<String>,
}

/// Where a wire may end.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CandidateRow {
    /// The terminal, or `nowhere`.
    pub end: String,
    /// Probability.
    pub probability: f64,
    /// What speaks for it.
    pub why: Vec<String>,
}

/// A test to make.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TraceCard {
    /// The test in one line.
    pub title: String,
    /// What to do, in order.
    pub steps: Vec<String>,
    /// What `yes` and `no` mean here.
    pub yes: String,
    /// Minutes of the test.
    pub minutes: f64,
    /// Minutes of opening and closing for it.
    pub opening_minutes: f64,
    /// What has to come out.
    pub open: Vec<String>,
}

/// From here on the record may be changed.
const SURE: f64 = 0.9;

impl Case {
    /// Starts to trace a wire.
    ///
    /// # Errors
    /// In words: no such wire, or why it cannot be traced.
    pub fn trace(&self, wire: &str) -> Result<Tracing<'_>, String> {
        let vehicle = self.vehicle();
        let Some((id, _)) = vehicle.wires.find(|of| of.name == wire) else {
            return Err(format!("there is no wire `{wire}` in the record"));
        };
        // A state in which nothing runs: what is live then is fed by a source straight away.
        let quiet = |state: &model::State| state.on.len();
        let states = self.states().map(|(_, state, network, outcome)| (state, network, outcome));
        let Some((_, network, outcome)) = states.min_by_key(|(state, ..)| quiet(state)) else {
            return Err("the record has no state".to_owned());
        };
        let trace = trace(vehicle, &self.catalog, network, outcome, id)
            .map_err(|no| format!("`{wire}` cannot be traced: {no}"))?;
        Ok(Tracing { case: self, trace, found: Vec::new(), asked: None })
    }

    /// Wires with an end that is not on a terminal.
    pub fn wires_to_trace(&self) -> Vec<String> {
        let vehicle = self.vehicle();
        let vanishes = |wire: &model::Wire| {
            let ends = WireEnd::BOTH.map(|end| wire.terminal(end).is_some());
            ends[0] != ends[1]
        };
        let wires = vehicle.wires.iter().filter(|(id, wire)| vanishes(wire) && !vehicle.is_ac(*id));
        wires.map(|(_, wire)| wire.name.clone()).collect()
    }
}

impl Tracing<'_> {
    /// Where things stand, and the next test.
    pub fn next_step(&mut self) -> TraceView {
        let case = self.case;
        let costing = case.costing(Permitted::Anything);
        let (weights, choice, opening) =
            self.trace.next(case.vehicle(), &case.catalog, &case.problem, costing, &self.found);
        let mut order: Vec<usize> = (0..weights.len()).collect();
        order.sort_by(|a, b| weights[*b].total_cmp(&weights[*a]).then(a.cmp(b)));
        let candidate = |k: &usize| CandidateRow {
            end: self.end_words(&self.trace.candidates[*k]),
            probability: weights[*k],
            why: self.trace.candidates[*k].why.clone(),
        };
        let shown: Vec<CandidateRow> = order.iter().take(SHOWN).map(candidate).collect();
        let others = 1.0 - shown.iter().map(|row| row.probability).sum::<f64>();
        let best = choice.ranked.first().copied();
        let (mut test, mut look) = (None, None);
        self.asked = None;
        match best.map(|ranked| ranked.action) {
            Some(diagnose::Action::Check(k)) => {
                self.asked = Some(self.trace.tests[k]);
                test = Some(self.card(self.trace.tests[k], opening[k]));
            }
            Some(diagnose::Action::Repair(k)) if k < weights.len() => {
                let words = self.end_words(&self.trace.candidates[k]);
                look = Some(format!("{words} ({:.0} %)", 100.0 * weights[k]));
                if let FarEnd::At(terminal) = self.trace.candidates[k].end {
                    self.asked = Some(TraceTest::Seen(terminal));
                }
            }
            _ => look = Some("follow the wire: open what it runs behind".to_owned()),
        }
        let seen = self.found.iter().rev().find_map(|(test, yes)| match test {
            TraceTest::Seen(at) if *yes => Some(self.terminal_words(*at)),
            _ => None,
        });
        let sure = order.first().filter(|k| weights[**k] >= SURE);
        let record_line = sure.and_then(|k| self.record_words(&self.trace.candidates[*k]));
        TraceView {
            schema: TRACE_SCHEMA.to_owned(),
            wire: case.vehicle().wires[self.trace.wire].name.clone(),
            near: self.terminal_words(self.trace.near),
            candidates: shown,
            others: others.max(0.0),
            test: test.filter(|_| seen.is_none()),
            look: look.filter(|_| seen.is_none()),
            ends: seen,
            minutes: best.map_or(0.0, |ranked| ranked.minutes),
            straight_in_minutes: choice.without_checks,
            record_line,
        }
    }

    /// Takes in what the last test said: `yes` or `no`.
    ///
    /// # Errors
    /// Why the answer is none.
    pub fn answer(&mut self, text: &str) -> Result<(), String> {
        let Some(test) = self.asked else {
            return Err("nothing is asked any more".to_owned());
        };
        let yes = match text.trim().to_lowercase().as_str() {
            "yes" | "y" => true,
            "no" | "n" => false,
            other => return Err(format!("`{other}`: answer `yes` or `no`")),
        };
        self.found.push((test, yes));
        Ok(())
    }

    /// Takes back the last answer; `false` if there is none.
    pub fn undo(&mut self) -> bool {
        self.found.pop().is_some()
    }

    fn end_words(&self, candidate: &Candidate) -> String {
        match candidate.end {
            FarEnd::At(terminal) => self.terminal_words(terminal),
            FarEnd::Nowhere => "nowhere: cut off".to_owned(),
        }
    }

    fn terminal_words(&self, id: TerminalId) -> String {
        let vehicle = self.case.vehicle();
        let device = &vehicle.devices[vehicle.terminals[id].device];
        format!("{} ({})", vehicle.terminal_name(id), device.label)
    }

    fn record_words(&self, candidate: &Candidate) -> Option<String> {
        let FarEnd::At(terminal) = candidate.end else { return None };
        let vehicle = self.case.vehicle();
        Some(format!(
            "in the line of wire `{}` write `{} to {}`",
            vehicle.wires[self.trace.wire].name,
            vehicle.terminal_name(self.trace.near),
            vehicle.terminal_name(terminal)
        ))
    }

    fn card(&self, test: TraceTest, opening_minutes: f64) -> TraceCard {
        let checks = &self.case.catalog.tracing.check;
        let near = self.terminal_words(self.trace.near);
        let free = format!("free the end at {near}, and keep it apart from everything");
        let dead = "make the circuit dead first and prove it; ohms only on dead parts".to_owned();
        let (title, steps, yes, row) = match test {
            TraceTest::Volts => (
                "Volts on the freed end against minus".to_owned(),
                vec![
                    format!("make the circuit dead and prove it, then {free}"),
                    "switch the sources on again; red on the freed end, black on minus".to_owned(),
                ],
                "yes: volts are there (another source feeds it); no: none",
                &checks.volts,
            ),
            TraceTest::Ohms => (
                "Ohms from the freed end to minus".to_owned(),
                vec![dead, free, "measure to minus or the body; let loads stay joined".to_owned()],
                "yes: low (a minus, or a load); no: open",
                &checks.ohms,
            ),
            TraceTest::Continuity(at) => (
                format!("Continuity from the freed end to {}", self.terminal_words(at)),
                vec![dead, free, format!("long lead to {}", self.terminal_words(at))],
                "yes: it sounds; no: it does not",
                &checks.continuity,
            ),
            TraceTest::Tone(at) => (
                format!("Tone on the freed end, listen at {}", self.terminal_words(at)),
                vec![
                    dead,
                    free,
                    "tone generator between the end and the body; listen along; the far end must \
                     be open"
                        .to_owned(),
                ],
                "yes: loudest there; no: not",
                &checks.tone,
            ),
            TraceTest::Seen(at) => (
                format!("Look at {}", self.terminal_words(at)),
                vec![dead],
                "yes: the wire lands there; no: it does not",
                &checks.continuity,
            ),
        };
        TraceCard {
            title,
            steps,
            yes: yes.to_owned(),
            minutes: row.minutes,
            opening_minutes,
            open: self.parts_out(test),
        }
    }

    fn parts_out(&self, test: TraceTest) -> Vec<String> {
        let at = match test {
            TraceTest::Volts | TraceTest::Ohms => self.trace.near,
            TraceTest::Continuity(at) | TraceTest::Tone(at) | TraceTest::Seen(at) => at,
        };
        let vehicle = self.case.vehicle();
        let reach: Option<&Reach> = vehicle.devices[vehicle.terminals[at].device].reach.value();
        let closed = reach.filter(|reach| reach.iter().all(|way| !way.is_empty()));
        let plan = closed.and_then(|reach| self.case.plan(reach, Permitted::Anything).ok());
        let name = |step: &access::Step| self.case.problem.parts[step.part.0].name.clone();
        plan.map_or_else(Vec::new, |plan| plan.steps.iter().map(name).collect())
    }
}
