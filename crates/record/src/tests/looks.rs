//! What was seen: words in opposite pairs, and the figures beside them.

use model::{Fact, JointKind, Look, Metal, Origin, Strands};

use super::{clean, device, joint, near, only, read, told, underlined, wire};

const PLACES: &str = r#"
[vehicle]
documents = "told fuse list, wiring diagram by the owner"
dry = "measured 9 %"
[devices]
bar = { kind = "busbar", looks = "labelled, told below water by the owner" }
pump = { kind = "water pump", looks = "no label, loose" }
earth = { kind = "chassis point", on = "aluminium, measured 0.8 mm, assumed glued because it rings" }
[parts]
floor = { is = "floor", damp = "measured 24 % by TM" }
[spots]
corner = { is = "corner", damp = "18 %" }
"#;

fn text(rest: &str) -> String {
    format!("{PLACES}{rest}\n")
}

#[test]
fn a_wire_line_says_what_was_seen_of_its_way() {
    let record = clean(&text(
        "[wires]\nw1 = \"bar to pump.+, 2.5 mm2, no grommet, told near heat by the owner, held every 60 cm, bend 12 mm, outside 5 mm, hottest 85 C, 20 mm from mains, moves, with loop\"",
    ));
    let course = &wire(&record.vehicle, "w1").course;
    assert_eq!(course.looks.get(Look::Grommets).evidence(), Some(&false));
    assert_eq!(course.looks.get(Look::HeatClear), &Fact::known(false, told("the owner")));
    assert_eq!(course.looks.get(Look::Still).value(), Some(&false));
    assert_eq!(course.looks.get(Look::Loop).value(), Some(&true));
    assert!(course.looks.get(Look::GasClear).is_unknown(), "nobody said");
    let lengths = [
        (&course.held_every, 0.6),
        (&course.bend, 0.012),
        (&course.outside, 0.005),
        (&course.from_mains, 0.02),
    ];
    for (fact, expected_m) in lengths {
        near(fact.value().unwrap().si(), expected_m);
    }
    near(course.hottest.value().unwrap().si(), 85.0);
}

#[test]
fn a_wire_table_says_the_same() {
    let line = clean(&text(
        "[wires]\nw1 = \"bar to pump.+, no grommet, held every 60 cm, bend 12 mm, outside 5 mm, hottest 85 C, 20 mm from mains\"",
    ));
    let table = clean(&text(
        "[wires]\nw1 = { from = \"bar\", to = \"pump.+\", looks = \"no grommet\", held_every = \"60 cm\", bend = \"12 mm\", outside = \"5 mm\", hottest = \"85 C\", from_mains = \"20 mm\" }",
    ));
    assert_eq!(wire(&line.vehicle, "w1").course, wire(&table.vehicle, "w1").course);
}

#[test]
fn what_is_usual_counts_as_assumed_and_does_not_overwrite() {
    let record = clean(&text(
        "[usual]\nwire = \"grommets, supported\"\n[wires]\nw1 = \"bar to pump.+, no grommet\"",
    ));
    let looks = &wire(&record.vehicle, "w1").course.looks;
    assert_eq!(looks.get(Look::Grommets).evidence(), Some(&false));
    assert!(looks.get(Look::Supported).is_assumed());
}

#[test]
fn a_joint_line_says_how_it_was_made() {
    let record = clean(&text(
        "[wires]\nw1 = \"bar to pump.+\"\nw2 = \"bar to pump.-\"\n[joints]\n\"w1 at bar\" = \"M10 lug, not crimped, told torqued, slack 4 cm, 3 of 19 strands broken\"\n\"w2 at bar\" = \"twist-on, 2 of 37 strands nicked, no ferrule\"\n[stacks]\nbar = \"M8 stud, w1, nut\"",
    ));
    let j = joint(&record.vehicle, "w1 at bar");
    assert_eq!(j.kind.value(), Some(&JointKind::Lug));
    assert_eq!(j.lug_mm.value(), Some(&10.0));
    assert_eq!(j.looks.get(Look::Crimped).evidence(), Some(&false));
    assert!(matches!(j.looks.get(Look::Torqued).origin(), Some(Origin::Told { .. })));
    near(j.slack.value().unwrap().si(), 0.04);
    assert_eq!(j.strands.value(), Some(&Strands { harmed: 3, of: 19, broken: true }));
    assert_eq!(record.vehicle.stacks[0].stud_mm, Some(8.0));
    let j = joint(&record.vehicle, "w2 at bar");
    assert_eq!(j.kind.value(), Some(&JointKind::TwistOn));
    assert_eq!(j.strands.value(), Some(&Strands { harmed: 2, of: 37, broken: false }));
}

#[test]
fn devices_wood_and_papers_say_what_was_seen_of_them() {
    let record = clean(&text(""));
    let v = &record.vehicle;
    let bar = &v.devices[device(v, "bar")];
    assert_eq!(bar.looks.get(Look::Labelled).evidence(), Some(&true));
    assert_eq!(bar.looks.get(Look::WaterClear), &Fact::known(false, told("the owner")));
    let earth = &v.devices[device(v, "earth")].on;
    assert_eq!(earth.metal.value(), Some(&Metal::Aluminium));
    near(earth.thickness.value().unwrap().si(), 0.0008);
    assert!(earth.joined.is_assumed());
    let papers = v.documents.value().unwrap();
    assert_eq!(papers, &["fuse list", "wiring diagram"]);
    near(v.dry.value().unwrap().si(), 0.09);
    near(super::part(v, "floor").damp.value().unwrap().si(), 0.24);
    let (_, corner) = v.spots.find(|spot| spot.name == "corner").unwrap();
    near(corner.damp.value().unwrap().si(), 0.18);
}

#[test]
fn no_papers_is_an_answer_and_silence_is_not() {
    let none = clean("[vehicle]\ndocuments = \"none\"\n");
    assert_eq!(none.vehicle.documents.evidence().map(Vec::len), Some(0));
    assert!(clean("[vehicle]\nname = \"x\"\n").vehicle.documents.is_unknown());
    assert!(clean("[vehicle]\ndocuments = \"unknown\"\n").vehicle.documents.is_unknown());
}

#[test]
fn a_word_of_another_thing_is_refused_where_it_stands() {
    let lines = [
        ("[wires]\nw1 = \"bar to pump.+, no label\"", "wire-piece", "no label"),
        (
            "[wires]\nw1 = \"bar to pump.+\"\n[joints]\n\"w1 at bar\" = \"no grommet\"",
            "joint-piece",
            "no grommet",
        ),
        (
            "[wires]\nw1 = \"bar to pump.+\"\n[joints]\n\"w1 at bar\" = \"20 of 19 strands broken\"",
            "bad-quantity",
            "20 of 19 strands broken",
        ),
    ];
    for (line, slug, words) in lines {
        let text = text(line);
        let record = read(&text);
        let fault = only(&record, slug);
        assert!(words.contains(underlined(&text, fault)), "{line}: {fault:?}");
    }
    let device = "[devices]\npump = { kind = \"water pump\", looks = \"no lable\" }";
    let record = read(device);
    let fault = only(&record, "unknown-word");
    assert_eq!(underlined(device, fault), "no lable");
    assert!(fault.help.iter().any(|help| help.contains("no label")), "{fault:?}");
}

#[test]
fn figures_that_cannot_be_are_refused() {
    for piece in ["bend -1 mm", "held every 30 m", "hottest 2000 C"] {
        let text = text(&format!("[wires]\nw1 = \"bar to pump.+, {piece}\""));
        assert_eq!(only(&read(&text), "impossible-value").slug, "impossible-value", "{piece}");
    }
}
