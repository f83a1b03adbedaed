//! The deck as text: names, guards, first guesses. Whether ngspice reads it is tested in `solve`.

use super::{deck_node, netlist};
use crate::{Circuit, Element, Guard, REFERENCE, Trip};

fn feed() -> (Circuit, crate::NodeId, crate::NodeId) {
    let mut circuit = Circuit::new("chassis");
    let stud = circuit.add_node("Main Stud +");
    let pin = circuit.add_node("MAIN stud -");
    circuit.add("battery", Element::Voltage { plus: stud, minus: REFERENCE, volt: 12.8 });
    circuit.add("feed", Element::Resistor { a: stud, b: pin, ohm: 0.05 });
    (circuit, stud, pin)
}

#[test]
fn names_that_differ_only_in_case_or_signs_stay_apart() {
    let (circuit, stud, pin) = feed();
    let (a, b) = (deck_node(&circuit, stud), deck_node(&circuit, pin));
    assert_ne!(a.to_lowercase(), b.to_lowercase());
    assert!(a.chars().all(|c| c.is_ascii_alphanumeric() || c == '_'), "{a}");
    assert_eq!(deck_node(&circuit, REFERENCE), "0");
}

#[test]
fn a_line_break_in_a_name_cannot_smuggle_a_line_into_the_deck() {
    let mut circuit = Circuit::new("chassis\nRevil 0 1 1");
    let stud = circuit.add_node("stud\r\n.include /etc/passwd");
    circuit.add("b\nshell ls", Element::Voltage { plus: stud, minus: REFERENCE, volt: 12.0 });
    let deck = netlist(&circuit, "title\n.control", &[]);
    let allowed = [
        "*", "V", ".options", ".nodeset", ".control", "set", "op", "print", "quit", ".endc", ".end",
    ];
    for line in deck.lines() {
        assert!(allowed.iter().any(|a| line.starts_with(a)), "{line}");
        assert!(!line.starts_with(".include"), "{line}");
    }
    assert_eq!(deck.matches("\n.control\n").count(), 1);
}

#[test]
fn a_branch_whose_guard_is_off_is_a_comment_only() {
    let (mut circuit, stud, pin) = feed();
    let guard = circuit.add_guard(Guard {
        name: "lock-out".to_owned(),
        sense: crate::Sense::Between(stud, REFERENCE),
        trip: Trip::LowVoltage { off_below_v: 12.0, on_from_v: 13.0 },
        starts_on: true,
    });
    let load = Element::Resistor { a: pin, b: REFERENCE, ohm: 3.0 };
    circuit.add_while("load", load, Some(guard));
    assert!(netlist(&circuit, "t", &[]).contains("R2_load n2_main_stud__ 0 3e0"));
    let off = netlist(&circuit, "t", &[false]);
    assert!(!off.contains("R2_load") && off.contains("* off: load"), "{off}");
}

#[test]
fn a_floating_part_is_tied_once_and_said_so() {
    let (mut circuit, _, _) = feed();
    let (u, v) = (circuit.add_node("u"), circuit.add_node("v"));
    circuit.add("left over", Element::Resistor { a: u, b: v, ohm: 5.0 });
    let deck = netlist(&circuit, "t", &[]);
    assert_eq!(deck.matches("\nRtie").count(), 1);
    assert!(deck.contains("float"));
}
