//! The one list of checks, group by group. What a check is called, what can happen and how bad that
//! is stands on its page; nothing of it is said twice.

use catalog::Standing;
use model::{Confidence, Finding, Signal, Verdict};

use crate::context::Context;
use crate::grade::Grade;
use crate::outcome::{Out, Outcome};
use crate::{
    access, conductors, gas, joints, labels, loads, mains, metering, protection, restraint,
    routing, sources, water,
};

/// The groups, in the order their findings are listed.
const GROUPS: &[&[Check]] = &[
    protection::CHECKS,
    joints::CHECKS,
    mains::CHECKS,
    restraint::CHECKS,
    routing::CHECKS,
    conductors::CHECKS,
    loads::CHECKS,
    sources::CHECKS,
    metering::CHECKS,
    water::CHECKS,
    gas::CHECKS,
    access::CHECKS,
    labels::CHECKS,
];

/// A check.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its name: the defect, in kebab case.
    pub slug: &'static str,
    /// Its page: what, why, how it decides, how bad it is, what to do, sources, examples.
    pub page: &'static str,
    run: fn(&Context<'_>, &mut Out),
}

impl Check {
    pub(crate) const fn new(
        slug: &'static str,
        page: &'static str,
        run: fn(&Context<'_>, &mut Out),
    ) -> Check {
        Check { slug, page, run }
    }

    /// The defect in plain words: the title of its page.
    pub fn title(&self) -> &'static str {
        let title = self.page.lines().next().unwrap_or_default();
        title.strip_prefix("# ").unwrap_or(title)
    }

    /// What can happen: the sentence below the title.
    pub fn hazard(&self) -> &'static str {
        self.page.lines().nth(2).unwrap_or_default()
    }

    /// How bad it is, for each signal its failures may have.
    pub fn grades(&self) -> Vec<Grade> {
        Grade::all_on(self.page)
    }

    /// The reasoning behind a signal.
    pub fn grade(&self, signal: Signal) -> Option<Grade> {
        self.grades().into_iter().find(|grade| grade.signal == signal)
    }
}

/// All checks, in the order they are listed.
pub fn all() -> impl Iterator<Item = &'static Check> {
    GROUPS.iter().copied().flatten()
}

/// The check of a name.
pub fn find(slug: &str) -> Option<&'static Check> {
    all().find(|check| check.slug == slug)
}

/// The checks that judge short circuits, worked out beforehand.
pub const ON_SHORTS: [&str; 2] = ["protection-cannot-break-the-fault", "conductor-burns-first"];

/// Runs every check.
pub fn run(context: &Context<'_>) -> Vec<(&'static Check, Outcome)> {
    all().map(|check| (check, run_one(check, context))).collect()
}

/// Runs the checks that judge short circuits.
pub fn run_on_shorts(context: &Context<'_>) -> Vec<(&'static Check, Outcome)> {
    let wanted = all().filter(|check| ON_SHORTS.contains(&check.slug));
    wanted.map(|check| (check, run_one(check, context))).collect()
}

fn run_one(check: &Check, context: &Context<'_>) -> Outcome {
    let mut out = Out::new(check.slug);
    (check.run)(context, &mut out);
    let mut outcome = out.finish();
    outcome.findings.iter_mut().for_each(|finding| only_hint(context, finding));
    outcome
}

/// A limit that was recalled and not read gives a hint, no more.
fn only_hint(context: &Context<'_>, finding: &mut Finding) {
    let source =
        finding.limit.as_ref().and_then(|limit| context.catalog.sources.get(&limit.source));
    let is_recalled = source.is_some_and(|source| source.standing == Standing::Memory);
    if let (true, Verdict::Fails(confidence)) = (is_recalled, &mut finding.verdict) {
        *confidence = Confidence::Hint;
        finding.signal = Signal::Notice;
    }
}
