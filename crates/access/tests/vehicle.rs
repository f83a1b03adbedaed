//! From a vehicle's parts to the planner's question: setups, people, positions, and any state of
//! opening.

use access::vehicle::{Question, SetupKind, costing, problem, removal_id, target};
use access::{Permitted, Plan, Presence, Problem, Standing, Target, plan};
use catalog::Catalog;
use model::{Id, PartId, Vehicle, WorkPosition};

const DUNLIN: &str = include_str!("../../../records/dunlin/dunlin.toml");

fn asked(text: &str) -> (Vehicle, Question) {
    let catalog = Catalog::embedded();
    let record = record::read(text, &catalog);
    let question = problem(&record.vehicle, &catalog);
    (record.vehicle, question)
}

fn part(vehicle: &Vehicle, name: &str) -> PartId {
    vehicle.parts.find(|part| part.name == name).expect("a part").0
}

fn planned(question: &Question, targets: &[Target]) -> Result<Plan, String> {
    plan(&question.problem, targets, &costing(6_000, 5_000, Permitted::Anything))
        .map_err(|reason| reason.to_string())
}

/// Mean of 0.8, 1 and 1.6 times m: m (0.8 + 4 + 1.6) / 6 = 16/15 m.
const MEAN_OF_AROUND: f64 = 16.0 / 15.0;

/// By hand from the catalog's rows: two panels with 4 screws each take 1 + 4 x 0.16 = 1.64 min out; the
/// screwdriver is fetched once, 0.5 min, and one kneels down once, 0.3 min. The worth of a minute does
/// not matter.
#[test]
fn a_tool_and_a_position_are_paid_for_once() {
    let (vehicle, question) = asked(
        "[parts]\na = { fixings = \"4 screws\", position = \"kneeling\" }\nb = { fixings = \"4 screws\", position = \"kneeling\", after = \"a\" }",
    );
    assert_eq!(
        question.setups,
        [SetupKind::Tool("screwdriver".to_owned()), SetupKind::Position(WorkPosition::Kneeling)]
    );
    let plan = planned(&question, &[target("b", &vec![vec![part(&vehicle, "b")]])]).unwrap();
    assert_eq!(plan.steps.len(), 2);
    let out_min = MEAN_OF_AROUND * (2.0 * 1.64 + 0.5 + 0.3);
    assert!((plan.out.mean_min - out_min).abs() < 1e-9, "{}", plan.out.mean_min);
}

/// Two people for 10 minutes work 20, after 3 to call the second (catalog; estimate).
#[test]
fn a_step_for_two_counts_the_minutes_of_both() {
    for (fields, hands, called) in [
        ("second_person = true", 2.0, 3.0),
        ("mass = \"31 kg\"", 2.0, 3.0),
        ("second_person = false", 1.0, 0.0),
        ("mass = \"19 kg\"", 1.0, 0.0),
    ] {
        let (vehicle, question) =
            asked(&format!("[parts]\na = {{ out = \"10 / 10 / 10 min\", {fields} }}"));
        let plan = planned(&question, &[target("a", &vec![vec![part(&vehicle, "a")]])]).unwrap();
        let out_min = hands * 10.0 + MEAN_OF_AROUND * called;
        assert!((plan.out.mean_min - out_min).abs() < 1e-9, "{fields}: {}", plan.out.mean_min);
    }
}

#[test]
fn a_mess_is_cleaned_up_once_on_the_way_back() {
    let (vehicle, question) = asked(
        "[parts]\na = { out = \"1 / 1 / 1 min\", mess = \"10 min of dust\" }\nb = { out = \"1 / 1 / 1 min\", after = \"a\", mess = \"15 min of dust\" }",
    );
    let plan = planned(&question, &[target("b", &vec![vec![part(&vehicle, "b")]])]).unwrap();
    assert!((plan.out.mean_min - 2.0).abs() < 1e-9);
    assert!((plan.back.mean_min - (2.0 + MEAN_OF_AROUND * 15.0)).abs() < 1e-9);
}

const FRIDGE: &str = "[parts]\nfridge = { is = \"fridge\", out = \"20 min\", after = \"fridge slid\", moves = [{ to = \"slid\", out = \"8 min\", after = \"trim\" }] }\ntrim = { out = \"2 min\" }\n";

#[test]
fn a_moved_position_is_enough_for_what_is_behind_it() {
    let (vehicle, question) = asked(FRIDGE);
    let [fridge, slid, trim] = ["fridge", "fridge slid", "trim"].map(|name| part(&vehicle, name));
    let order = |target_part: PartId| -> Vec<PartId> {
        let plan = planned(&question, &[target("t", &vec![vec![target_part]])]).unwrap();
        plan.steps.iter().map(|step| PartId::from_index(step.part.0)).collect()
    };
    assert_eq!(order(slid), [trim, slid]);
    assert_eq!(order(fridge), [trim, slid, fridge], "it is slid before it is lifted out");
}

#[test]
fn what_is_out_is_out_of_its_place_too_and_what_is_moved_starts_moved() {
    let out = FRIDGE.replace("is = \"fridge\"", "taken_out = true");
    let moved = FRIDGE.replace("is = \"fridge\"", "moved = \"slid\"");
    for text in [out, moved] {
        let (vehicle, question) = asked(&text);
        let slid = part(&vehicle, "fridge slid");
        let plan = planned(&question, &[target("t", &vec![vec![slid]])]).unwrap();
        assert!(plan.steps.is_empty(), "{text}");
    }
    // A part that comes out without being moved first is out of its place for nothing more.
    let text = "[parts]\nbox = { out = \"3 / 3 / 3 min\", back = \"0 min\", moves = [{ to = \"aside\", out = \"2 min\" }] }";
    let (vehicle, question) = asked(text);
    let both = [vec![part(&vehicle, "box")], vec![part(&vehicle, "box aside")]];
    let targets: Vec<Target> = both.map(|set| target("t", &vec![set])).into();
    let plan = planned(&question, &targets).unwrap();
    assert!((plan.total.mean_min - 3.0).abs() < 1e-9);
    let counted = plan.steps.iter().filter(|s| removal_id(&vehicle, s.removal).is_some());
    assert_eq!(counted.count(), 1);
}

#[test]
fn a_missing_tool_and_a_head_out_of_reach_are_named() {
    for (text, words) in [
        (
            "[workshop]\ntools = [\"screwdriver\"]\n[parts]\na = { fixings = \"4 bolts\" }",
            "socket wrench",
        ),
        (
            "[parts]\na = { is = \"lid\", fixings = \"2 unreachable bolts\" }",
            "gets to 2 x unreachable bolt of lid",
        ),
    ] {
        let (vehicle, question) = asked(text);
        let missing = question.problem.setups.iter().filter(|s| s.standing == Standing::Missing);
        assert_eq!(missing.count(), 1);
        let reason = planned(&question, &[target("a", &vec![vec![part(&vehicle, "a")]])]);
        assert!(reason.clone().unwrap_err().contains(words), "{reason:?}");
    }
}

#[test]
fn a_destructive_way_is_taken_where_the_careful_one_is_shut() {
    let text = "[workshop]\ntools = [\"saw\"]\n[parts]\na = { fixings = \"4 bolts\", or = [{ how = \"saw it out\", with = \"saw\", out = \"5 min\", destroys = \"90 EUR\" }] }";
    let (vehicle, question) = asked(text);
    let plan = planned(&question, &[target("a", &vec![vec![part(&vehicle, "a")]])]).unwrap();
    let way = removal_id(&vehicle, plan.steps[0].removal).unwrap();
    assert_eq!(vehicle.removals[way].label, "saw it out");
    assert!((plan.breakage_minor - 9_000.0).abs() < 1e-9);
}

/// Expected operations (closed form): careful costs t + q p, destructive d + p; the cheaper is taken.
/// A minute is worth 100: careful 10 min + 0.4 x 3000 = 2200, quick 2 min + 3000 = 3200; at q = 0.95
/// careful costs 3850.
#[test]
fn the_careful_way_is_left_once_it_breaks_too_often() {
    for (share, how) in [("40 %", "take out"), ("95 %", "rip it off")] {
        let text = format!(
            "[parts]\na = {{ out = \"10 / 10 / 10 min\", back = \"0 min\", breaks = \"{share} for 30 EUR\", or = [{{ how = \"rip it off\", out = \"2 / 2 / 2 min\", back = \"0 min\", destroys = \"30 EUR\" }}] }}"
        );
        let (vehicle, question) = asked(&text);
        let plan = planned(&question, &[target("a", &vec![vec![part(&vehicle, "a")]])]).unwrap();
        let way = removal_id(&vehicle, plan.steps[0].removal).unwrap();
        assert_eq!(vehicle.removals[way].label, how, "{share}");
    }
}

/// What is left of a plan once its first `done` steps are taken, in minor units.
fn left(problem: &Problem, plan: &Plan, done: usize, worth: f64) -> f64 {
    let minutes =
        |out: access::Spread, back: access::Spread| worth * (out.mean_min() + back.mean_min());
    let steps = plan.steps[done..].iter().map(|step| {
        let removal = &problem.removals[step.removal.0];
        let breakage = removal.breakage.map_or(0.0, |breakage| breakage.expected_minor());
        minutes(removal.minutes_out, removal.minutes_back) + breakage
    });
    let setups = plan.setups.iter().filter(|used| used.steps.iter().any(|step| *step >= done));
    let setups = setups.map(|used| {
        let setup = &problem.setups[used.setup.0];
        minutes(setup.minutes_out, setup.minutes_back)
    });
    steps.sum::<f64>() + setups.sum::<f64>()
}

/// A property of optimal plans: from any state on the way, the plan made anew costs no more than what is
/// left of the old one.
#[test]
fn a_plan_from_any_state_on_the_way_costs_no_more_than_the_steps_left() {
    let (vehicle, question) = asked(DUNLIN);
    let cost = costing(6_000, 5_000, Permitted::Anything);
    let (mut states, mut deepest) = (0, 0);
    for (_, device) in vehicle.devices.iter() {
        let Some(reach) = device.reach.value() else { continue };
        let targets = [target(&device.name, reach)];
        let Ok(whole) = planned(&question, &targets) else { continue };
        deepest = deepest.max(whole.steps.len());
        let mut now = question.problem.clone();
        for done in 0..=whole.steps.len() {
            if let Some(last) = done.checked_sub(1) {
                now.parts[whole.steps[last].part.0].presence = Presence::Out;
            }
            let anew = plan(&now, &targets, &cost).expect("still reachable");
            let left = left(&question.problem, &whole, done, cost.value_of_a_minute);
            assert!(
                anew.cost_minor <= left + 1e-6,
                "{} after {done}: {} {left}",
                device.name,
                anew.cost_minor
            );
            states += 1;
        }
    }
    assert!(states > 100 && deepest >= 5, "{states} states, {deepest} steps");
}
