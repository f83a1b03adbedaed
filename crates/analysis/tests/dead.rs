//! Plans for making dead, on small vehicles worked out by hand and on invented ones.

use analysis::{Case, DeadPlan, DeadRequest, NoDeadPlan};
use proptest::prelude::*;

const HEAD: &str =
    "unbury = 1\n[vehicle]\nname = \"test\"\nsystem = \"12 V\"\nregion = \"europe\"\n";

const VAN: &str = r#"
[devices]
house = { kind = "lfp battery", behind = "bench-lid", holds = "100 Ah" }
starter = { kind = "starter battery", behind = "seat-box" }
alternator = { kind = "alternator", behind = "bonnet" }
main = { kind = "isolator", behind = "nothing", rated = "100 A" }
box = { kind = "blade fuse box", ways = ["15 A fridge", "10 A lights"], behind = "door" }
fridge = { kind = "electronics", power = "48 W", behind = "kick-board" }
lights = { kind = "led lights", power = "24 W", behind = "nothing" }
charger = { kind = "dc-dc charger", behind = "door" }
panel = { kind = "solar module", behind = "nothing" }
solar = { kind = "solar controller", behind = "door" }
solar-switch = { kind = "isolator", behind = "nothing" }
bar = { kind = "busbar", behind = "door" }
earth = { kind = "chassis point", behind = "door" }
[wires]
h = "house.+ to main.in, 35 mm2, red, 1 m"
m = "main.out to box.in, 16 mm2, red, 1 m"
f1 = "box.1 to fridge.+, 2.5 mm2, red, 4 m"
f2 = "fridge.- to bar, 2.5 mm2, black, 4 m"
l1 = "box.2 to lights.+, 1.5 mm2, red, 3 m"
l2 = "lights.- to bar, 1.5 mm2, black, 3 m"
g = "bar to earth, 16 mm2, black, 1 m"
n = "house.- to bar, 35 mm2, black, 1 m"
a = "alternator.+ to starter.+, 35 mm2, red, 2 m"
c1 = "starter.+ to charger.in+, 10 mm2, red, 5 m"
c2 = "charger.out+ to main.out, 10 mm2, red, 1 m"
c3 = "charger.- to bar, 10 mm2, black, 1 m"
p1 = "panel.+ to solar-switch.in, 4 mm2, red, 3 m"
p2 = "solar-switch.out to solar.pv+, 4 mm2, red, 3 m"
p3 = "panel.- to solar.pv-, 4 mm2, black, 3 m"
s1 = "solar.+ to main.in, 6 mm2, red, 1 m"
s2 = "solar.- to bar, 6 mm2, black, 1 m"
[parts]
bench-lid = { fixings = "6 screws", out = "5 min", back = "6 min" }
seat-box = { fixings = "8 bolts", out = "30 min", back = "40 min" }
bonnet = { fixings = "1 latch", out = "1 min", back = "1 min" }
door = { fixings = "1 latch", out = "1 min", back = "1 min" }
kick-board = { fixings = "4 screws", out = "4 min", back = "5 min" }
"#;

fn plan_of(body: &str, area: &[&str]) -> DeadPlan {
    let case = Case::of(&format!("{HEAD}{body}"));
    let faults = case.record_faults();
    let errors: Vec<&str> =
        faults.iter().filter(|f| f.severity == "error").map(|f| f.message.as_str()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    let area = area.iter().map(|name| (*name).to_owned()).collect();
    case.dead_plan(&DeadRequest { area, read: Vec::new() }).expect("the area is there")
}

fn opened(plan: &DeadPlan) -> Vec<&str> {
    plan.steps
        .iter()
        .filter(|step| matches!(step.kind.as_str(), "open" | "wait"))
        .map(|step| step.key.as_str())
        .collect()
}

/// Nothing of a record that cannot be read, and no source without a wire, counts as absent.
#[test]
fn what_the_record_does_not_tell_stands_before_the_first_step() {
    let broken = VAN.replace(
        "[wires]",
        "far-panel = { kind = \"solar module\" }\nodd = { kind = \"magic\" }\n[wires]\nz = \"odd.+ to bar\"",
    );
    let case = Case::of(&format!("{HEAD}{broken}"));
    let request = DeadRequest { area: vec!["fridge".to_owned()], read: Vec::new() };
    let plan = case.dead_plan(&request).expect("the area is there");
    let warned = |words: &str| {
        plan.cautions.iter().any(|of| of.signal == "WARNING" && of.words.contains(words))
    };
    assert!(warned("no kind of device called `magic`"), "{:?}", plan.cautions);
    assert!(warned("there is no device `odd`"), "{:?}", plan.cautions);
    assert!(warned("No wire is recorded on far panel"), "{:?}", plan.cautions);
    let sound = plan_of(VAN, &["fridge"]);
    assert!(sound.cautions.iter().all(|of| !of.words.contains("recor")), "{:?}", sound.cautions);
}

#[test]
fn one_circuit_is_made_dead_by_its_own_fuse() {
    let plan = plan_of(VAN, &["fridge"]);
    assert_eq!(opened(&plan), ["pull fuse box.1"]);
    assert_eq!(plan.proof, "proven cheapest");
    assert!(plan.findings.is_empty(), "{:?}", plan.findings);
    let fuse = plan.steps.iter().find(|step| step.kind == "open").unwrap();
    // Before: the battery at rest or charged by the sun; after: nothing.
    let before = fuse.before_v.expect("a figure");
    assert!((12.0..15.0).contains(&before), "{before}");
    assert_eq!((fuse.after.as_str(), fuse.after_v), ("below 1 V", Some(0.0)));
    assert_eq!(fuse.parts, ["door"]);
    // The tester is proved before the first and after the last reading.
    let (first, last) = (plan.steps.first().unwrap(), plan.steps.last().unwrap());
    assert_eq!((first.kind.as_str(), last.kind.as_str()), ("tester", "tester"));
    assert!(plan.steps.iter().any(|step| step.key == "prove fridge.+"));
}

#[test]
fn fuse_box_wants_everything_that_comes_to_it_separated() {
    // The main switch cuts house and sun off; the charger joins behind it, fed from the starter battery
    // without switch or fuse. Any lug there is live until that battery's minus is off, so it has to go,
    // 30 minutes of seat box or not; and the engine with it.
    let plan = plan_of(VAN, &["box"]);
    assert_eq!(opened(&plan), ["engine alternator", "switch main", "battery minus starter"]);
    assert!(plan.findings.is_empty(), "{:?}", plan.findings);
}

#[test]
fn whole_vehicle_goes_engine_sun_then_batteries_minus_first() {
    let plan = plan_of(VAN, &["everything"]);
    let opened = opened(&plan);
    let place = |key: &str| {
        opened.iter().position(|k| *k == key).unwrap_or_else(|| panic!("{key} in {opened:?}"))
    };
    let order = ["engine alternator", "switch solar-switch", "battery minus house"].map(place);
    assert!(order.is_sorted(), "{opened:?}");
    place("battery minus starter");
    // Leads of a module are live in light: that is a finding, with what to do instead.
    assert_eq!(plan.findings.len(), 1, "{:?}", plan.findings);
    assert_eq!(plan.findings[0].source, "panel");
    assert!(plan.findings[0].instead[0].starts_with("cover the whole module"));
    let live: Vec<&str> =
        plan.stays.iter().flat_map(|stays| stays.wires.iter().map(String::as_str)).collect();
    // The switch's lug on the module's side would be work on live metal: it stays on.
    assert_eq!(live, ["p1"]);
    assert!(!opened.iter().any(|key| key.starts_with("lug p1")), "{opened:?}");
}

#[test]
fn card_for_paper_is_the_plan_for_everything_and_no_other() {
    let plan = plan_of(VAN, &["everything"]);
    let card = Case::of(&format!("{HEAD}{VAN}")).isolation();
    let keys: Vec<&str> = card.steps.iter().map(|step| step.key.as_str()).collect();
    let (first, opened_on_card) = keys.split_first().expect("loads first");
    assert_eq!(*first, "loads");
    assert_eq!(opened_on_card, opened(&plan));
    assert_eq!(card.stays, plan.stays);
    // The post of a battery stays at its voltage; where its cable lands does not.
    let house = card.steps.iter().find(|step| step.key == "battery minus house").unwrap();
    assert_eq!(house.prove, ["main.in"]);
    let of_all = card.steps.iter().flat_map(|step| &step.prove);
    assert!(!of_all.clone().any(|stud| stud.ends_with("house.+") || stud == "solar-switch.in"));
    assert!(of_all.count() > 2, "{card:?}");
}

/// A charger whose feed nobody followed may be fed by whatever the engine turns; an engine is stopped
/// once, and stops both.
#[test]
fn one_engine_is_stopped_once_for_all_that_it_may_feed() {
    let unfollowed = VAN.replace(
        "c1 = \"starter.+ to charger.in+, 10 mm2, red, 5 m\"",
        "c1 = \"unknown to charger.in+, 10 mm2, red, 5 m\"",
    );
    assert_ne!(unfollowed, VAN);
    let plan = plan_of(&unfollowed, &["everything"]);
    let engines = opened(&plan).into_iter().filter(|key| key.starts_with("engine"));
    assert_eq!(engines.collect::<Vec<_>>(), ["engine alternator"]);
    let step = plan.steps.iter().find(|step| step.key == "engine alternator").unwrap();
    let mut stops = step.separates.clone();
    stops.sort();
    assert_eq!(stops, ["alternator", "charger"]);
}

/// The battery's switch behind what would have to be broken.
fn glued() -> String {
    let is = r#"kind = "isolator", behind = "nothing", rated = "100 A""#;
    assert!(VAN.contains(is));
    VAN.replace(is, &is.replace("nothing", "ceiling")).replace(
        "[parts]",
        "[parts]\nceiling = { is = \"panel\", out = \"40 min\", back = \"60 min\", destroys = \"150 EUR\" }",
    )
}

/// For one circuit it may be worth breaking something; to switch a whole vehicle off nobody does.
#[test]
fn a_plan_for_everything_destroys_nothing() {
    let plan = plan_of(&glued(), &["everything"]);
    assert!(!opened(&plan).contains(&"switch main"), "{:?}", opened(&plan));
    let all_parts = plan.steps.iter().flat_map(|step| &step.parts);
    assert!(!all_parts.into_iter().any(|part| part.contains("ceiling")));
}

/// Both ways of the box are pulled one after the other: on paper that is one row.
#[test]
fn fuses_of_one_box_are_one_row_of_the_card() {
    // The sun comes to the box with nothing between.
    let unfused = VAN
        .replace("p1 = \"panel.+ to solar-switch.in", "p1 = \"panel.+ to solar.pv+")
        .replace("p2 = \"solar-switch.out to solar.pv+, 4 mm2, red, 3 m\"\n", "")
        .replace("solar-switch = { kind = \"isolator\", behind = \"nothing\" }\n", "")
        .replace("s1 = \"solar.+ to main.in", "s1 = \"solar.+ to box.in");
    let pulled: Vec<String> = opened(&plan_of(&unfused, &["everything"]))
        .into_iter()
        .filter(|key| key.starts_with("pull fuse box"))
        .map(ToOwned::to_owned)
        .collect();
    assert_eq!(pulled.len(), 2, "{pulled:?}");
    let card = Case::of(&format!("{HEAD}{unfused}")).isolation();
    let rows: Vec<&str> = card
        .steps
        .iter()
        .filter(|step| step.device == "box")
        .map(|step| step.key.as_str())
        .collect();
    assert_eq!(rows, [pulled.join(", ")]);
}

/// Where the plan has these steps, by key.
fn places<const N: usize>(plan: &DeadPlan, keys: [&str; N]) -> [usize; N] {
    let opened = opened(plan);
    keys.map(|key| {
        opened.iter().position(|k| *k == key).unwrap_or_else(|| panic!("{key} in {opened:?}"))
    })
}

#[test]
fn switch_of_unknown_rating_waits_until_the_module_is_covered() {
    // 1000 W/m2 on a 100 W module drive some 6 A through the switch (its short-circuit current, label).
    let plan = plan_of(VAN, &["everything"]);
    assert!(places(&plan, ["cover panel", "switch solar-switch"]).is_sorted());
    let step = plan.steps.iter().find(|step| step.key == "switch solar-switch").unwrap();
    assert!(step.notes[0].contains("its rating is not known"), "{:?}", step.notes);
    // With a rating above what flows it is opened as it is; below, it waits too.
    let with = |rated: &str| {
        let switch = format!(r#"solar-switch = {{ kind = "isolator", rated = "{rated}","#);
        plan_of(&VAN.replace(r#"solar-switch = { kind = "isolator","#, &switch), &["everything"])
    };
    assert!(!opened(&with("20 A")).contains(&"cover panel"));
    assert!(opened(&with("2 A")).contains(&"cover panel"));
    assert!(opened(&with("assumed 20 A")).contains(&"cover panel"));
}

#[test]
fn battery_post_is_not_cleared_while_the_sun_charges_over_it() {
    let bare = VAN
        .replace("p1 = \"panel.+ to solar-switch.in", "p1 = \"panel.+ to solar.pv+")
        .replace("p2 = \"solar-switch.out to solar.pv+, 4 mm2, red, 3 m\"\n", "")
        .replace("solar-switch = { kind = \"isolator\", behind = \"nothing\" }\n", "");
    let plan = plan_of(&bare, &["everything"]);
    assert!(places(&plan, ["cover panel", "battery minus house"]).is_sorted());
    // Covered it is still a finding: the cover takes current away, not voltage.
    assert_eq!(plan.findings[0].source, "panel");
    // A breaker that is made for it between controller and battery does the same for less.
    let broken = bare
        .replace(
            "s1 = \"solar.+ to main.in",
            "s1 = \"solar.+ to sb.in, 6 mm2, red, 1 m\"\ns3 = \"sb.out to main.in",
        )
        .replace(
            "[wires]",
            "sb = { kind = \"breaker\", rated = \"30 A\", behind = \"nothing\" }\n[wires]",
        );
    let plan = plan_of(&broken, &["everything"]);
    assert!(places(&plan, ["breaker sb", "battery minus house"]).is_sorted());
    assert!(!opened(&plan).contains(&"cover panel"), "{:?}", opened(&plan));
}

#[test]
fn hazard_stands_at_every_step_and_open_ones_carry_a_tag() {
    for step in plan_of(VAN, &["everything"]).steps {
        assert!(!step.hazard.is_empty() && !step.signal.is_empty(), "{step:?}");
        assert_eq!(step.kind == "open", step.tag.starts_with("Do not"), "{step:?}");
    }
}

#[test]
fn way_back_undoes_the_last_first() {
    let plan = plan_of(VAN, &["everything"]);
    let undone: Vec<&String> = plan.back.iter().filter(|words| words.starts_with("Undo")).collect();
    let numbers: Vec<usize> = undone
        .iter()
        .map(|words| words["Undo step ".len()..].split(':').next().unwrap().parse().unwrap())
        .collect();
    assert!(numbers.len() > 2 && numbers.is_sorted_by(|a, b| a > b), "{numbers:?}");
}

#[test]
fn reading_that_agrees_goes_on_and_one_that_contradicts_stops() {
    let case = Case::of(&format!("{HEAD}{VAN}"));
    let ask = |read: &[(usize, &str)]| {
        let read = read.iter().map(|(step, words)| (*step, (*words).to_owned())).collect();
        case.dead_plan(&DeadRequest { area: vec!["fridge".to_owned()], read })
    };
    let plan = ask(&[]).unwrap();
    let fuse = plan.steps.iter().find(|step| step.kind == "open").unwrap().number;
    let agrees = ask(&[(fuse, "0.02 V")]).unwrap();
    assert!(agrees.stopped.is_none() && !agrees.steps.iter().any(|step| step.held));

    let stopped = ask(&[(fuse, "13.1 V")]).unwrap();
    let why = stopped.stopped.expect("13.1 V is not dead");
    assert_eq!(why.step, fuse);
    assert!(why.words.starts_with("STOP."), "{}", why.words);
    assert!(stopped.steps[fuse..].iter().all(|step| step.held));
    assert!(!stopped.steps[..fuse].iter().any(|step| step.held));
    let what: Vec<&str> = why.suspects.iter().map(|suspect| suspect.what.as_str()).collect();
    // What was opened may not be open; 13.1 V fits batteries and an engine, no mains.
    assert!(what[0].contains("is not open"), "{what:?}");
    assert!(what.iter().any(|words| words.contains("second battery of the base vehicle")));
    assert!(what.iter().any(|words| words.contains("power station")));
    assert!(!what.iter().any(|words| words.contains("shore lead")), "{what:?}");

    let mains = ask(&[(fuse, "120 V ac")]).unwrap().stopped.unwrap();
    assert!(mains.suspects.iter().any(|suspect| suspect.what.contains("shore lead")));
    assert!(!mains.suspects.iter().any(|suspect| suspect.what.contains("solar modules")));
}

#[test]
fn airbag_unit_in_the_area_says_how_long_to_wait_and_from_whom() {
    let with = |wait: &str| {
        let body = VAN.replace(
            "[wires]",
            &format!(
                "airbags = {{ kind = \"airbag unit\", behind = \"seat-box\"{wait} }}\n[wires]"
            ),
        );
        let plan = plan_of(&body, &["airbags"]);
        plan.cautions.iter().find(|c| c.words.contains("can fire")).unwrap().words.clone()
    };
    assert!(with(", wait = \"told 10 min by the maker\"").contains("wait 10 min (told)"));
    assert!(with("").contains("how long to wait is not recorded"));
}

#[test]
fn capacitors_without_figures_are_emptied_by_reading_and_with_them_by_the_clock_too() {
    let van = |fields: &str| {
        VAN.replace(
            "[wires]",
            &format!(
                "amp = {{ kind = \"amplifier\", behind = \"nothing\"{fields} }}\n[wires]\n\
                 x1 = \"main.out to amp.+, 6 mm2, red, 1 m\"\nx2 = \"amp.- to bar, 6 mm2, black, 1 m\""
            ),
        )
    };
    let wait = |fields: &str| {
        let plan = plan_of(&van(fields), &["amp"]);
        plan.steps.iter().find(|step| step.kind == "wait").unwrap().what.clone()
    };
    // t = R C ln(V/v) = 1000 Ohm * 0.02 F * ln(14.4/1) = 53 s (closed form).
    let words = wait(", capacitance = \"20 mF\", bleeder = \"1 kOhm\"");
    assert!(words.contains("53 s"), "{words}");
}

#[test]
fn names_that_are_nothing_here_are_named() {
    let case = Case::of(&format!("{HEAD}{VAN}"));
    let ask = |area: &str| {
        case.dead_plan(&DeadRequest { area: vec!["box".to_owned(), area.to_owned()], read: vec![] })
    };
    assert_eq!(ask("boxx").unwrap_err(), NoDeadPlan::Unknown(vec!["boxx".to_owned()]));
    let read = |step: usize, words: &str| {
        let read = vec![(step, words.to_owned())];
        case.dead_plan(&DeadRequest { area: vec!["box".to_owned()], read }).unwrap_err()
    };
    assert!(matches!(read(99, "0 V"), NoDeadPlan::Reading(words) if words.contains("no step 99")));
    assert!(matches!(read(3, "soup"), NoDeadPlan::Reading(words) if words.contains("soup")));
}

#[test]
fn state_that_contradicts_itself_is_named_and_the_rest_still_planned() {
    let body = format!(
        "{VAN}[states]\nodd = {{ open = [\"fridge\", \"nobody\"], engine = \"sideways\" }}\n"
    );
    let case = Case::of(&format!("{HEAD}{body}"));
    let faults = case.record_faults();
    assert!(faults.iter().any(|fault| fault.message.contains("nobody")), "{faults:?}");
    let request = DeadRequest { area: vec!["fridge".to_owned()], read: Vec::new() };
    assert_eq!(opened(&case.dead_plan(&request).unwrap()), ["pull fuse box.1"]);
}

#[test]
fn device_nobody_wired_is_still_a_source_and_unknown_conduction_conducts() {
    // The end nobody has seen may be joined to the other one nobody has seen.
    let body = VAN.replace(
        "[parts]",
        "u1 = \"house.+ to unknown, 2.5 mm2, red\"\nu2 = \"fridge.+ to unknown, 2.5 mm2, red\"\n[parts]",
    );
    let plan = plan_of(&body, &["fridge"]);
    assert!(opened(&plan).len() > 1, "{:?}", opened(&plan));
    assert!(plan.rests_on.iter().any(|words| words.contains("u1, u2")), "{:?}", plan.rests_on);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// On invented vehicles of any seed, whatever the area.
    #[test]
    fn order_holds_on_invented_vehicles(seed in 0_u64..10_000, which in 0_usize..1_000) {
        let text = testkit::vehicle(seed, testkit::Size { wires: 70, parts: 20 });
        let case = Case::of(&text);
        let areas = case.dead_areas();
        let area = areas[which % areas.len()].clone();
        let request = DeadRequest { area: vec![area.clone()], read: Vec::new() };
        let plan = match case.dead_plan(&request) {
            Ok(plan) => plan,
            Err(NoDeadPlan::Nothing) => return Ok(()),
            Err(other) => return Err(TestCaseError::fail(format!("{area}: {other:?}"))),
        };
        // The live map, told the plan, agrees that the area is dead but for what is a finding.
        for finding in &plan.findings {
            prop_assert!(!finding.source.is_empty(), "{area}: {}", finding.words);
        }
        let rank = |key: &str| match key.split(' ').next().unwrap_or_default() {
            "engine" => 0,
            "shore" => 1,
            "generator" => 2,
            "mains" => 3,
            "outside" | "cover" => 4,
            "switch" | "breaker" | "pull" | "plug" => 5,
            "battery" => 6,
            _ => 7,
        };
        let ranks: Vec<u32> = plan
            .steps
            .iter()
            .filter(|step| step.kind == "open")
            .map(|step| rank(&step.key))
            .collect();
        prop_assert!(ranks.is_sorted(), "{area}: {:?}", opened(&plan));
        let kinds: Vec<&str> = plan.steps.iter().map(|step| step.kind.as_str()).collect();
        prop_assert_eq!(kinds.first(), Some(&"tester"));
        prop_assert_eq!(kinds.last(), Some(&"tester"));
        // Nothing is opened under a current it is not made to break.
        let mut notes = plan.steps.iter().flat_map(|step| &step.notes);
        prop_assert!(!notes.any(|note| note.starts_with("NOT under")), "{area}: {:?}", opened(&plan));
        // Everything is opened before anything is called dead.
        let first_proof = kinds.iter().position(|kind| *kind == "prove").unwrap_or(kinds.len());
        prop_assert!(!kinds[first_proof..].iter().any(|kind| matches!(*kind, "open" | "wait")));
    }
}
