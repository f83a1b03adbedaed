//! Joints, what is usual for them, and stacks on studs.

use model::{Condition, JointKind, Layer, Origin, Surface};

use super::{clean, joint, near, only, read, underlined, why};

const PLACES: &str = r#"
[devices]
bar = { kind = "busbar" }
fridge = { kind = "compressor fridge" }
pump = { kind = "water pump" }
inlet = { kind = "shore inlet" }
unit = { kind = "consumer unit" }
[wires]
w1 = "bar to fridge.+"
w2 = "fridge.- to bar"
w3 = "bar to pump.+"
washer-pump = "pump.- to bar"
ac = "inlet.ac to unit.in, 3 x 2.5 mm2"
"#;

fn text(rest: &str) -> String {
    format!("{PLACES}{rest}\n")
}

#[test]
fn a_joint_line_says_kind_condition_resistance_and_strain_relief() {
    let record = clean(&text(
        "[joints]\n\"w1 at fridge.+\" = \"spade, told corroded by the owner, measured 180 mOhm ± 10 mOhm by RK on 2026-05-02, no strain relief\"",
    ));
    let j = joint(&record.vehicle, "w1 at fridge.+");
    assert_eq!(
        (j.kind.value(), j.condition.value()),
        (Some(&JointKind::Spade), Some(&Condition::Corroded))
    );
    assert!(matches!(j.condition.origin(), Some(Origin::Told { .. })));
    near(j.resistance.value().unwrap().si(), 0.18);
    let Some(Origin::Measured { spread: Some(spread), by, .. }) = j.resistance.origin() else {
        panic!("not measured")
    };
    near(*spread, 0.01);
    assert_eq!(by.as_deref(), Some("RK"));
    assert_eq!(j.strain_relief.value(), Some(&false));
    let other = joint(&record.vehicle, "w1 at bar");
    assert!(
        other.kind.is_unknown() && other.condition.is_unknown() && other.resistance.is_unknown()
    );
    assert!(other.strain_relief.is_unknown());
}

#[test]
fn a_single_joint_wins_over_all_at_whatever_their_order() {
    for order in [
        "\"all at bar\" = \"lug, good\"\n\"w1 at bar\" = \"crimp\"",
        "\"w1 at bar\" = \"crimp\"\n\"all at bar\" = \"lug, good\"",
    ] {
        let record = clean(&text(&format!("[joints]\n{order}")));
        let v = &record.vehicle;
        assert_eq!(joint(v, "w1 at bar").kind.value(), Some(&JointKind::Crimp));
        assert_eq!(joint(v, "w1 at bar").condition.value(), Some(&Condition::Good));
        assert_eq!(joint(v, "w3 at bar").kind.value(), Some(&JointKind::Lug));
        assert!(joint(v, "w1 at fridge.+").kind.is_unknown());
    }
}

#[test]
fn all_at_a_device_means_every_terminal_and_every_core() {
    let record = clean(&text(
        "[joints]\n\"all at unit\" = \"screw, strain relief\"\n\"ac at inlet\" = \"plug\"\n\"ac/L at unit.in.L\" = \"loose\"",
    ));
    let v = &record.vehicle;
    for core in ["L", "N", "PE"] {
        let at_unit = joint(v, &format!("ac/{core} at unit.in.{core}"));
        assert_eq!(at_unit.kind.value(), Some(&JointKind::Screw));
        assert_eq!(at_unit.strain_relief.value(), Some(&true));
        assert_eq!(
            joint(v, &format!("ac/{core} at inlet.{core}")).kind.value(),
            Some(&JointKind::Plug)
        );
    }
    assert_eq!(joint(v, "ac/L at unit.in.L").condition.value(), Some(&Condition::Loose));
    assert!(joint(v, "ac/N at unit.in.N").condition.is_unknown());
}

#[test]
fn the_usual_joint_fills_only_what_nothing_else_said_and_is_assumed() {
    let record = clean(&text(
        "[usual]\njoint = \"crimp, 1 mOhm, seen good by RK\"\n[joints]\n\"w1 at bar\" = \"lug\"\n\"all at pump\" = \"plug\"",
    ));
    let v = &record.vehicle;
    assert_eq!(joint(v, "w1 at bar").kind.value(), Some(&JointKind::Lug));
    assert_eq!(joint(v, "w3 at pump.+").kind.value(), Some(&JointKind::Plug));
    let usual = joint(v, "w2 at bar");
    assert_eq!(usual.kind.value(), Some(&JointKind::Crimp));
    assert!(usual.kind.is_assumed() && usual.resistance.is_assumed());
    assert!(why(&usual.kind).contains("[usual]"));
    assert!(usual.condition.evidence().is_some(), "seen stays seen");
    near(joint(v, "w1 at bar").resistance.value().unwrap().si(), 0.001);
}

#[test]
fn a_joint_of_nothing_is_a_number_and_one_below_nothing_is_not() {
    let record = clean(&text(
        "[joints]\n\"w1 at bar\" = \"measured .5 mOhm\"\n\"w3 at bar\" = \"measured 0 mOhm\"",
    ));
    near(joint(&record.vehicle, "w1 at bar").resistance.value().unwrap().si(), 5e-4);
    near(joint(&record.vehicle, "w3 at bar").resistance.value().unwrap().si(), 0.0);
    for (value, at) in [("-3 mOhm", "-3 mOhm"), ("lug, 3 V", "V"), ("3", "3")] {
        let text = text(&format!("[joints]\n\"w1 at bar\" = \"{value}\""));
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "bad-quantity")), at);
        assert!(joint(&record.vehicle, "w1 at bar").resistance.is_unknown());
    }
}

#[test]
fn a_stack_is_listed_from_the_surface_outwards() {
    let record = clean(&text(
        "[stacks]\nbar = \"painted bracket, w1, steel washer, w3, nut\"\n\"fridge.+\" = \"stud, w1, bolt\"\n\"pump.+\" = \"unknown\"",
    ));
    let v = &record.vehicle;
    assert_eq!(v.stacks.len(), 2, "an unknown order is no stack");
    assert_eq!(v.terminal_name(v.stacks[0].terminal), "bar");
    let lug = |name: &str| Layer::Lug(v.wires.find(|w| w.name == name).unwrap().0);
    let washer = Layer::Washer("steel washer".to_owned());
    assert_eq!(
        v.stacks[0].layers,
        [Layer::Surface(Surface::Painted), lug("w1"), washer, lug("w3"), Layer::Nut]
    );
    assert_eq!(v.stacks[1].layers, [Layer::Surface(Surface::Bare), lug("w1"), Layer::Nut]);
}

#[test]
fn a_wire_with_washer_in_its_name_is_a_lug_and_no_washer() {
    let record = clean(&text("[stacks]\nbar = \"bar, washer-pump, nut\""));
    assert!(matches!(record.vehicle.stacks[0].layers[1], Layer::Lug(_)));
}

#[test]
fn a_stack_may_only_hold_what_lands_there() {
    let text = text("[stacks]\n\"pump.+\" = \"stud, w1, w3, lock nut\"");
    let record = read(&text);
    assert_eq!(underlined(&text, only(&record, "stack-wire")), "w1");
    assert_eq!(underlined(&text, only(&record, "stack-piece")), "lock nut");
    assert_eq!(record.vehicle.stacks[0].layers.len(), 2);
}
