//! How the minutes of a way in are spread: for charts.

use access::{Effort, Percentile, Permitted, plan_reachable};

use crate::case::Case;

/// The distribution of the minutes to open and close.
#[derive(Clone, Debug, PartialEq)]
pub struct MinutesSpread {
    /// Minutes in rising order, each with its share of the cases.
    pub shares: Vec<(f64, f64)>,
    /// Not exceeded in half of the cases, min.
    pub p50_min: f64,
    /// Not exceeded in eight of ten cases, min.
    pub p80_min: f64,
    /// Expected, min.
    pub mean_min: f64,
    /// Where the minutes of the steps come from: words with how many steps.
    pub from: Vec<(String, usize)>,
}

impl Case {
    /// How the minutes of the way in to all of these together are spread; `None` where there is no way, or
    /// nothing has to come out.
    pub fn minutes_spread(&self, names: &[String]) -> Option<MinutesSpread> {
        let reaches = names.iter().filter_map(|name| Some((name, self.reach_named(name)?)));
        let targets: Vec<access::Target> =
            reaches.map(|(name, reach)| access::vehicle::target(name, &reach)).collect();
        let costing = self.costing(Permitted::Anything);
        let plan = plan_reachable(&self.problem, &targets, &costing, Effort::USUAL).ok()?.plan;
        let chances = plan.minutes(&self.problem);
        let shares: Vec<(f64, f64)> = chances.shares().collect();
        (shares.len() > 1).then(|| MinutesSpread {
            shares,
            p50_min: chances.percentile(Percentile::P50),
            p80_min: chances.percentile(Percentile::P80),
            mean_min: chances.mean(),
            from: self.origins_of_minutes(&plan),
        })
    }

    fn origins_of_minutes(&self, plan: &access::Plan) -> Vec<(String, usize)> {
        let vehicle = self.vehicle();
        let mut counted: Vec<(String, usize)> = Vec::new();
        for step in &plan.steps {
            let Some(id) = access::vehicle::removal_id(vehicle, step.removal) else { continue };
            let word = vehicle.removals[id].origin.word();
            match counted.iter_mut().find(|(known, _)| known == word) {
                Some((_, count)) => *count += 1,
                None => counted.push((word.to_owned(), 1)),
            }
        }
        counted
    }
}
