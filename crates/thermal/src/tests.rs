//! Verdicts on small vehicles whose currents and limits are worked by hand.

use catalog::Catalog;
use model::Vehicle;

use super::*;

struct Looked {
    vehicle: Vehicle,
    wires: Vec<WireHeat>,
    joints: Vec<JointHeat>,
}

fn look(text: &str) -> Looked {
    look_without(text, &[])
}

/// With these devices counted as of a power that is only assumed.
fn look_without(text: &str, assumed: &[&str]) -> Looked {
    let catalog = Catalog::embedded();
    let record = record::read(text, &catalog);
    assert!(record.diagnostics.is_empty(), "{:?}", record.diagnostics);
    let vehicle = record.vehicle;
    let (_, state) = vehicle.states.iter().next().expect("the record has a state");
    let network = network::build(&vehicle, state, &catalog);
    let outcome = solve::settle(&network.circuit);
    let solve::Outcome::Settled(point) = &outcome else { panic!("{outcome:?}") };
    let points = std::slice::from_ref(point);
    let is_assumed = |device: &model::Device| assumed.contains(&device.name.as_str());
    let off = vehicle.devices.iter().filter(|(_, device)| is_assumed(device)).map(|(id, _)| id);
    let lessened = network::build_without(&vehicle, state, &catalog, &off.collect());
    let sure = solve::settle(&lessened.circuit);
    let solve::Outcome::Settled(sure) = &sure else { panic!("{sure:?}") };
    let sure = (&lessened, std::slice::from_ref(sure));
    let solved = Solved { state, network: &network, points, sure };
    let (wires, joints) = (wires(&vehicle, &catalog, &solved), joints(&vehicle, &catalog, &solved));
    Looked { vehicle, wires, joints }
}

impl Looked {
    fn wire(&self, name: &str) -> &WireHeat {
        let found = self.wires.iter().find(|heat| self.vehicle.wires[heat.wire].name == name);
        found.unwrap_or_else(|| panic!("no current in {name}"))
    }
}

/// A mains charger at its limit sends exactly that current through `o1`: the heater of 360 W (0.4 ohm)
/// draws some 30 A at 12.8 V per 20 A of charger, the battery gives or takes the rest, and the charger
/// sees less than its 14.4 V.
fn charger(ampere: f64, o1: &str, more: &str) -> Looked {
    look(&format!(
        r#"
unbury = 1
[vehicle]
name = "Charger at its limit"
region = "north america"
system = "12 V"
[devices]
house   = {{ kind = "lfp battery", rest = "12.8 V", resistance = "2 mOhm" }}
charger = {{ kind = "mains charger", limit = "{ampere} A", regulates = "14.4 V" }}
heater  = {{ kind = "heater", power = "{}" }}
[wires]
o1 = "charger.+ to house.+, {o1}"
o2 = "charger.- to house.-, 4/0 AWG, 105 C, 0.2 m, stranded"
w1 = "house.+ to heater.+, 4/0 AWG, 105 C, 0.2 m, stranded"
w2 = "heater.- to house.-, 4/0 AWG, 105 C, 0.2 m, stranded"
{more}
[states]
shore = {{ shore = "plugged", on = ["heater"] }}
"#,
        format_args!("{} W", 18.0 * ampere),
    ))
}

fn o1(ampere: f64, pieces: &str) -> WireHeat {
    charger(ampere, pieces, "").wire("o1").clone()
}

const ALONE: &str = "0.2 m, stranded, alone, outside engine space";

/// 33 CFR 183.425 Table 5: 14 AWG at 60 °C may carry 20 A.
#[test]
fn a_wire_at_its_printed_current_holds_and_above_it_fails() {
    let at = |ampere| o1(ampere, &format!("14 AWG, 60 C, {ALONE}"));
    let just = at(20.0);
    assert!((just.current.si() - 20.0).abs() < 1e-6, "{:?}", just.current);
    assert_eq!((just.verdict, just.rule), (Verdict::Holds, Rule::Table), "{}", just.reason);
    assert!((just.may_carry().unwrap().si() - 20.0).abs() < 1e-9);
    let over = at(20.1);
    assert_eq!((over.verdict, over.rule), (Verdict::Fails, Rule::Table));
    assert!(
        over.reason.contains("33 CFR 183.425 Table 5, row 14 AWG, column 60 °C"),
        "{}",
        over.reason
    );
}

/// 10 AWG at 90 °C 55 A; NEC Table 310.15(C)(1) 0.80 for 4 to 6 together: 44 A.
#[test]
fn a_recorded_bundle_takes_the_published_factor() {
    let at =
        |ampere| o1(ampere, "10 AWG, 90 C, 0.2 m, stranded, bundle of 5, outside engine space");
    assert_eq!(at(44.0).verdict, Verdict::Holds);
    let over = at(44.1);
    assert_eq!((over.verdict, over.rule), (Verdict::Fails, Rule::Table));
    assert!((over.may_carry().unwrap().si() - 44.0).abs() < 1e-9);
    assert!(over.reason.contains("x 0.8 for 4 to 6 together"), "{}", over.reason);
}

/// 10 AWG at 90 °C in the engine space: 55 A x 0.82 (NEC Table 310.15(B)(1)(1), 46 to 50 °C) = 45.1 A.
#[test]
fn the_engine_space_counts_as_50_degrees() {
    let at = |ampere| o1(ampere, "10 AWG, 90 C, 0.2 m, stranded, alone, in engine space");
    assert_eq!(at(45.0).verdict, Verdict::Holds);
    let over = at(45.2);
    assert_eq!(over.verdict, Verdict::Fails);
    assert!((over.air.degrees() - 50.0).abs() < 1e-12);
    assert!((over.may_carry().unwrap().si() - 45.1).abs() < 1e-9);
}

/// 10 AWG at 90 °C: 55 A alone, 55 x 0.82 x 0.35 = 15.785 A at the strictest. Between the two a place
/// that is not known, or only assumed, passes nothing; below the strictest it does not matter.
#[test]
fn an_unknown_bundle_passes_nothing_it_could_change() {
    let open = "10 AWG, 90 C, 0.2 m, stranded";
    let unknown = o1(30.0, open);
    assert_eq!((unknown.verdict, unknown.rule), (Verdict::CannotTell, Rule::Table));
    assert_eq!(unknown.find_out.len(), 2, "{:?}", unknown.find_out);
    assert!(unknown.place_not_known);
    let assumed =
        o1(30.0, &format!("{open}, assumed alone because it looks so, outside engine space"));
    assert_eq!(assumed.verdict, Verdict::CannotTell);
    assert_eq!(assumed.find_out.len(), 1);
    assert!(assumed.find_out[0].what.contains("count the loaded conductors"));
    assert_eq!(o1(15.7, open).verdict, Verdict::Holds, "holds wherever it runs");
    assert_eq!(o1(15.9, open).verdict, Verdict::CannotTell);
    assert_eq!(o1(55.1, open).verdict, Verdict::Fails, "fails even alone");
}

#[test]
fn size_or_rating_not_known_cannot_be_told() {
    let no_rating = o1(5.0, "10 AWG, 0.2 m, stranded, alone, outside engine space");
    assert_eq!((no_rating.verdict, no_rating.rule), (Verdict::CannotTell, Rule::Neither));
    assert_eq!(no_rating.reason, "insulation rating not known");
    assert!(no_rating.warmth.is_some(), "how warm it gets needs no rating");
    assert!(no_rating.find_out[0].what.contains("temperature rating"));
    let no_size = o1(5.0, "90 C, 0.2 m, stranded, alone, outside engine space");
    assert_eq!((no_size.verdict, no_size.warmth), (Verdict::CannotTell, None));
    let assumed =
        o1(5.0, "10 AWG, assumed 90 C because it is red, 0.2 m, alone, outside engine space");
    assert_eq!(assumed.verdict, Verdict::CannotTell, "an assumed rating passes nothing");
    let failing =
        o1(60.0, "10 AWG, assumed 90 C because it is red, 0.2 m, alone, outside engine space");
    assert!(failing.verdict == Verdict::Fails && failing.rests_on_assumption);
}

/// 33 CFR 183.425 Table 5 prints 20 A for 18 AWG at 90 °C, where an independent model of the wire in
/// still air finds 19.3 A (ratio 0.966, `heat` crate). With full copper (1/1.04 of that resistance)
/// and a wall of 0.80 instead of 0.76 mm it is 19.3 x sqrt(1.04) = 19.7 A, and the wall adds a
/// little: less than 20 A still. There physics is stricter than the table, and decides.
#[test]
fn still_air_decides_where_it_is_stricter_than_the_table() {
    let at = |ampere| o1(ampere, &format!("18 AWG, 90 C, {ALONE}"));
    let over = at(20.0);
    assert_eq!((over.verdict, over.rule), (Verdict::Fails, Rule::StillAir), "{}", over.reason);
    let (least, most) = over.warmth.unwrap().still_air.unwrap();
    assert!(most.si() > 19.7 && most.si() < 20.0, "{most:?}");
    assert!(least.si() < 19.3, "{least:?}");
    assert_eq!(at(12.0).verdict, Verdict::Holds);
}

/// 0.75 mm² is thinner than 18 AWG (0.823 mm²), the first row, which at 105 °C carries 20 A.
#[test]
fn thinner_than_the_table_physics_speaks_alone() {
    let alone = o1(8.0, &format!("0.75 mm2, 105 C, {ALONE}"));
    assert_eq!((alone.verdict, alone.rule), (Verdict::Holds, Rule::StillAir), "{}", alone.reason);
    let unknown = o1(8.0, "0.75 mm2, 105 C, 0.2 m, stranded");
    assert_eq!((unknown.verdict, unknown.rule), (Verdict::CannotTell, Rule::StillAir));
    let over = o1(20.5, &format!("0.75 mm2, 105 C, {ALONE}"));
    assert_eq!(over.verdict, Verdict::Fails);
}

#[test]
fn more_current_never_improves_the_verdict() {
    for pieces in
        ["10 AWG, 90 C, 0.2 m, stranded", "18 AWG, 90 C, 0.2 m, alone, outside engine space"]
    {
        let mut before = Verdict::Holds;
        for ampere in [1.0, 5.0, 12.0, 16.0, 20.0, 30.0, 45.0, 56.0, 80.0] {
            let heat = o1(ampere, pieces);
            assert!(heat.verdict >= before, "{pieces} at {ampere} A: {:?}", heat.verdict);
            before = heat.verdict;
        }
        assert_eq!(before, Verdict::Fails);
    }
}

/// The hottest comes first; a warmer state gives warmer wires.
#[test]
fn wires_stand_hottest_first() {
    let looked = charger(20.0, "14 AWG, 60 C, 0.2 m, stranded", "");
    assert_eq!(looked.vehicle.wires[looked.wires[0].wire].name, "o1");
    let highs: Vec<f64> =
        looked.wires.iter().map(|w| w.warmth.unwrap().high.unwrap().degrees()).collect();
    assert!(highs.windows(2).all(|pair| pair[0] >= pair[1]), "{highs:?}");
    assert!(looked.wires.iter().all(|heat| (heat.air.degrees() - 30.0).abs() < 1e-12));
}

/// 35 mm², measured 1 mohm at 100 A: 0.1 V, 10 W. Solid diameter sqrt(4 35/pi) = 6.676 mm, over the
/// strands 7.677 mm, outside 9.477 to 10.877 mm. Fin by hand: 10/(2 sqrt(12 pi D 390 35e-6)) = 66.8 K
/// with the thick wall, 71.6 K with the thin one; there m = sqrt(12 pi 0.009477/(390 35e-6)) = 5.116 per
/// metre, and 0.2 m of wire carries tanh(1.023) = 0.7713 of it: 92.8 K. Both above 45 K (EN 60998-1).
/// 0.1 V is the drop limit exactly, and holds.
#[test]
fn a_measured_joint_is_judged_by_drop_and_rise() {
    let joint = |measured: &str| {
        let more = format!("[joints]\n\"o1 at house.+\" = \"lug, {measured}\"");
        let looked = charger(100.0, "35 mm2, 105 C, 0.2 m, stranded", &more);
        let found =
            looked.joints.iter().find(|j| looked.vehicle.joint_name(j.joint) == "o1 at house.+");
        found.unwrap().clone()
    };
    let hot = joint("measured 1 mOhm");
    assert!((hot.power.si() - 10.0).abs() < 1e-6 && (hot.drop.si() - 0.1).abs() < 1e-8);
    let (low_k, high_k) = hot.rise_k.unwrap();
    assert!((low_k - 66.8).abs() < 0.1 && (high_k - 92.8).abs() < 0.1, "{low_k} {high_k}");
    assert_eq!(hot.verdict, Verdict::Fails);
    assert!(hot.reason.contains("45 K"), "{}", hot.reason);
    let good = joint("measured 0.2 mOhm");
    assert_eq!(good.verdict, Verdict::Holds, "13.4 to 18.6 K and 20 mV");
    assert!((good.drop_share - 0.2).abs() < 1e-6);
    let dropping = joint("measured 1.4 mOhm");
    assert!(dropping.reason.contains("0.1 V") && dropping.reason.contains("melt tin"), "0.14 V");
    let unmeasured = joint("corroded");
    assert_eq!(unmeasured.verdict, Verdict::CannotTell, "a stand-in passes nothing");
    assert!(unmeasured.origin.is_none() && unmeasured.find_out[0].what.contains("millivolts"));
    assert_eq!(joint("burnt").verdict, Verdict::Fails);
    assert_eq!(joint("assumed 0.1 mOhm because it shines").verdict, Verdict::CannotTell);
}

/// As above with 3 W (0.3 mohm): 20.0 K with the thick wall at the end of much wire; 27.8 K with the
/// thin one at 0.2 m. Over 0.1 m the wire carries tanh(5.116 x 0.1) = 0.4712 away: 21.5 K / 0.4712 =
/// 45.6 K, above 45 K (EN 60998-1).
#[test]
fn a_joint_holds_by_no_length_and_no_size_that_nobody_wrote_down() {
    let joint = |wire: &str| {
        let more = "[joints]\n\"o1 at house.+\" = \"lug, measured 0.3 mOhm\"";
        let looked = charger(100.0, wire, more);
        let mut joints = looked.joints.iter();
        joints.find(|j| looked.vehicle.joint_name(j.joint) == "o1 at house.+").unwrap().clone()
    };
    assert_eq!(joint("35 mm2, 105 C, 0.2 m, stranded").verdict, Verdict::Holds);
    for wire in ["35 mm2, 105 C, stranded", "35 mm2, 105 C, assumed 0.2 m, stranded"] {
        let open = joint(wire);
        let (_, high_k) = open.rise_k.unwrap();
        assert!((high_k - 45.6).abs() < 0.1, "{wire}: {high_k}");
        assert_eq!(open.verdict, Verdict::CannotTell, "{wire}");
    }
    let size = joint("assumed 35 mm2, 105 C, 0.2 m, stranded");
    assert_eq!(size.verdict, Verdict::CannotTell);
    assert!(size.find_out[0].what.contains("size"), "{:?}", size.find_out);
}

/// As above, 0.2 m with joints of 1 and 0.2 mohm (92.8 and 18.6 K with the thin wall; 66.8 and 13.4 K
/// with the thick one on much wire). Thin wall, m 5.116 per metre: cosh(5.116 x 0.2) = 1.5708, so at the far
/// end 1/1.5708 = 0.6366 of a rise is left: 92.8 + 11.8 = 104.6 K and 18.6 + 59.1 = 77.7 K above the conductor.
/// The coolest are at least the rises of the thick wall, 66.8 K and 13.4 K.
#[test]
fn the_profile_of_a_wire_begins_at_its_joint_and_ends_at_its_conductor() {
    let more = "[joints]\n\"o1 at house.+\" = \"lug, measured 1 mOhm\"\n\"o1 at charger.+\" = \"lug, measured 0.2 mOhm\"";
    let looked = charger(100.0, "35 mm2, 105 C, 0.2 m, stranded", more);
    let wire = looked.wire("o1");
    let found = profile(&looked.vehicle, &Catalog::embedded(), wire, &looked.joints).unwrap();
    assert!(found.is_whole && !found.is_past);
    let warmth = wire.warmth.unwrap();
    let hot = |place: &WarmPlace| place.hottest.degrees() - warmth.high.unwrap().degrees();
    let (first, last) = (&found.places[0], &found.places[found.places.len() - 1]);
    assert!((last.at.si() - 0.2).abs() < 1e-12);
    assert!((hot(last) - 104.6).abs() < 0.2, "{}", hot(last));
    assert!((hot(first) - 77.7).abs() < 0.2, "{}", hot(first));
    let cool = |place: &WarmPlace| place.coolest.degrees() - warmth.low.degrees();
    assert!(cool(last) > 66.8 && cool(first) > 13.4);
    assert!(found.places.iter().all(|place| place.coolest <= place.hottest));
    // On 3 m both rises have faded in the middle: exp(-5.116 x 1.5) = 0.0005 of some 70 K.
    let looked = charger(100.0, "35 mm2, 105 C, 3 m, stranded", more);
    let wire = looked.wire("o1");
    let found = profile(&looked.vehicle, &Catalog::embedded(), wire, &looked.joints).unwrap();
    let middle = &found.places[found.places.len() / 2];
    let above = middle.hottest.degrees() - wire.warmth.unwrap().high.unwrap().degrees();
    assert!(above < 0.1, "{above}");
    let looked = charger(100.0, "35 mm2, 105 C, stranded", more);
    let found = profile(&looked.vehicle, &Catalog::embedded(), looked.wire("o1"), &looked.joints);
    assert!(!found.unwrap().is_whole, "a length nobody wrote down");
}

/// A lamp of 30 W draws some 2.4 A through 1 mm², which holds; were the 30 W only a guess, ten times as
/// much would be 24 A where 20 A are allowed (33 CFR 183.425 Table 5, 105 °C: 18 AWG, the next thinner
/// size), so that nothing can be told there.
#[test]
fn a_wire_holds_by_no_power_that_is_only_assumed() {
    let text = |size: &str| {
        format!(
            r#"unbury = 1
[vehicle]
name = "Lamp"
region = "europe"
system = "12 V"
[devices]
house = {{ kind = "agm battery", holds = "100 Ah" }}
lamp = {{ kind = "led lights", power = "30 W" }}
[wires]
w1 = "house.+ to lamp.+, {size}, 2 m, stranded, 105 C, alone, outside engine space"
w2 = "lamp.- to house.-, {size}, 2 m, stranded, 105 C, alone, outside engine space"
[states]
evening = {{ on = ["lamp"], charge = {{ house = "80 %" }} }}
"#
        )
    };
    let thin = text("1 mm2");
    assert_eq!(look(&thin).wire("w1").verdict, Verdict::Holds);
    let doubted = look_without(&thin, &["lamp"]);
    assert_eq!(doubted.wire("w1").verdict, Verdict::CannotTell);
    assert!(doubted.wire("w1").find_out.iter().any(|m| m.what.contains("really draws")));
    // Thick enough for ten times as much it holds all the same.
    assert_eq!(look_without(&text("16 mm2"), &["lamp"]).wire("w1").verdict, Verdict::Holds);
}
