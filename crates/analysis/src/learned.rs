//! Jobs that were done refine the times of the ways parts come out.

use access::Spread;
use access::learn::{Belief, Learned, STRENGTH};
use model::{Minutes, RemovalId, Vehicle};

/// A way of taking a part out whose times were refined.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct RefinedWay {
    pub(crate) removal: RemovalId,
    /// In words: what was estimated, how many jobs, what counted less.
    pub(crate) words: String,
}

/// Puts what jobs taught in the place of estimates, and says where.
pub(crate) fn refine(vehicle: &mut Vehicle) -> Vec<RefinedWay> {
    let ways: Vec<RemovalId> = vehicle.removals.ids().collect();
    ways.into_iter().filter_map(|removal| refine_way(vehicle, removal)).collect()
}

fn refine_way(vehicle: &mut Vehicle, removal: RemovalId) -> Option<RefinedWay> {
    let here = || vehicle.took.iter().filter(|took| took.removals.contains(&removal));
    let out: Vec<f64> = here().filter_map(|took| took.out_min).collect();
    let back: Vec<f64> = here().filter_map(|took| took.back_min).collect();
    let way = &mut vehicle.removals[removal];
    let said = [learn(&mut way.out, &out, "out"), learn(&mut way.back, &back, "back")];
    let said: Vec<String> = said.into_iter().flatten().collect();
    (!said.is_empty()).then(|| RefinedWay { removal, words: said.join("; ") })
}

fn learn(minutes: &mut Minutes, jobs: &[f64], side: &str) -> Option<String> {
    let estimate =
        Spread { low_min: minutes.low, likely_min: minutes.likely, high_min: minutes.high };
    let Learned { belief, jobs, drawn_in } = Belief::of(&estimate, STRENGTH).after(jobs);
    if jobs == 0 {
        return None;
    }
    let learned = belief.spread();
    *minutes = Minutes { low: learned.low_min, likely: learned.likely_min, high: learned.high_min };
    let mut words = format!(
        "{side} {:.0} min by {}, estimated {:.0} (which weighs like {STRENGTH:.0} jobs)",
        learned.mean_min(),
        counted(jobs, "job"),
        estimate.mean_min(),
    );
    if !drawn_in.is_empty() {
        let far: Vec<String> = drawn_in.iter().map(|job| format!("{job:.0} min")).collect();
        words.push_str(&format!("; {} lies far off and counts less", far.join(", ")));
    }
    Some(words)
}

/// `1 job`, `2 jobs`.
pub(crate) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

#[cfg(test)]
mod tests {
    use catalog::Catalog;
    use model::Id;

    use super::*;

    fn vehicle(took: &str) -> Vehicle {
        let text = format!(
            "unbury = 1\n[parts]\nlid = {{ out = \"10 min\", back = \"20 min\" }}\n\
             shelf = {{ out = \"4 min\", or = [{{ how = \"tip it\", out = \"2 min\" }}] }}\n\
             [took]\n{took}"
        );
        let record = record::read(&text, &Catalog::embedded());
        assert!(record.diagnostics.is_empty(), "{:?}", record.diagnostics);
        record.vehicle
    }

    #[test]
    fn a_job_refines_the_way_that_was_taken_and_no_other() {
        let before = vehicle("");
        let mut after =
            vehicle("a = \"lid: 30 min out\"\nb = \"shelf, tip it: measured 5 min out\"");
        let refined = refine(&mut after);
        let names: Vec<usize> = refined.iter().map(|way| way.removal.index()).collect();
        assert_eq!(names, [0, 2]);
        let lid = RemovalId::from_index(0);
        let mean_min = |minutes: Minutes| (minutes.low + 4.0 * minutes.likely + minutes.high) / 6.0;
        let now_min = mean_min(after.removals[lid].out);
        assert!(mean_min(before.removals[lid].out) < now_min && now_min < 30.0, "{now_min}");
        assert_eq!(after.removals[lid].back, before.removals[lid].back);
        let shelf = RemovalId::from_index(1);
        assert_eq!(after.removals[shelf], before.removals[shelf]);
        assert!(refined[0].words.contains("by 1 job, estimated 11"), "{}", refined[0].words);
    }
}
