//! Fault currents against ngspice, closed forms, and what must hold for any circuit.

use circuit::{Circuit, Element, NodeId, REFERENCE, deck_node, netlist};
use proptest::prelude::*;
use solve::{BOLTED_OHM, FaultStudy, NodeVoltage};

use crate::support::{CheckNetwork, assert_close, check_networks, ngspice};
use crate::van::van;

fn study(circuit: &Circuit) -> FaultStudy {
    FaultStudy::new(circuit, circuit.guards().iter().map(|guard| guard.starts_on).collect())
}

/// The link between two batteries without its fault (n04d); the fault is what is under test.
fn link() -> CheckNetwork {
    check_networks().into_iter().find(|n| n.name == "n04d_no_fault_charging").unwrap()
}

/// A 16 mm2 link shorted 2 m from the starter's end, fault 2 mOhm. ngspice 39.3 and an independent
/// nodal solver (networks n04a, n04b, n04c): 1070.34 A from the starter's side (battery 950.34,
/// alternator 120.00), 749.67 A from the house; with one fuse open, 894.46 A still from the house or
/// 1205.78 A from the starter. Printed to 0.01 A.
#[test]
fn both_ends_of_a_link_feed_its_fault() {
    let network = link();
    let ampere_with = |opened: Option<&str>| {
        let mut circuit = network.named.circuit.clone();
        if let Some(fuse) = opened
            && let Element::Resistor { ohm, .. } =
                &mut circuit.branch_mut(network.named.branch(fuse)).element
        {
            *ohm = 1e9;
        }
        let fault = study(&circuit)
            .at(network.named.nodes["flt"], network.named.nodes["cf"], 0.002)
            .unwrap();
        let of = |name: &str| fault.current(network.named.branch(name));
        (of("w_link1"), -of("w_link2"), fault.ampere, -of("sb"), of("w_alt"))
    };
    let near = |ours: f64, printed: f64| (ours - printed).abs() <= 0.005 + 1e-6 * printed;
    let (starter_a, house_a, total_a, battery_a, alternator_a) = ampere_with(None);
    assert!(near(starter_a, 1070.34), "{starter_a}");
    assert!(near(house_a, 749.67), "{house_a}");
    assert!(near(total_a, 1820.01), "{total_a}");
    assert!(near(battery_a, 950.34) && near(alternator_a, 120.0));
    let (_, house_a, total_a, ..) = ampere_with(Some("fuse_s"));
    assert!(near(house_a, 894.46) && near(total_a, 894.46), "{total_a}");
    let (starter_a, _, total_a, ..) = ampere_with(Some("fuse_h"));
    assert!(near(starter_a, 1205.78) && near(total_a, 1205.78), "{total_a}");
}

fn one_battery(rest_v: f64, inner_ohm: f64, wire_ohm: f64) -> (Circuit, NodeId, NodeId) {
    let mut circuit = Circuit::new("body");
    let [post, end] = ["post", "end"].map(|name| circuit.add_node(name));
    let battery = Element::Battery {
        plus: post,
        minus: REFERENCE,
        rest_v,
        discharge_ohm: inner_ohm,
        charge_ohm: inner_ohm,
    };
    circuit.add("battery", battery);
    circuit.add("wire", Element::Resistor { a: post, b: end, ohm: wire_ohm });
    (circuit, post, end)
}

/// Ohm's law: 12.8 V over 8 + 2 + 0.001 mOhm.
#[test]
fn one_battery_gives_its_voltage_over_the_resistance_of_the_loop() {
    let (circuit, post, end) = one_battery(12.8, 0.008, 0.002);
    let mut faults = study(&circuit);
    let far_a = faults.at(end, REFERENCE, BOLTED_OHM).unwrap().ampere;
    assert_close("far", far_a, 12.8 / (0.010 + BOLTED_OHM), 1e-9, 0.0);
    let near_a = faults.at(post, REFERENCE, BOLTED_OHM).unwrap().ampere;
    assert_close("near", near_a, 12.8 / (0.008 + BOLTED_OHM), 1e-9, 0.0);
}

/// A regulated source far below its voltage delivers its limit and no more (an ideal current source
/// into the fault); the battery beside it, on its own wire, is not changed by more than the fault's
/// own voltage.
#[test]
fn a_limited_source_adds_its_limit() {
    let (mut circuit, _, end) = one_battery(12.8, 0.008, 0.002);
    let alone_a = study(&circuit).at(end, REFERENCE, BOLTED_OHM).unwrap().ampere;
    let limited = Element::LimitedSource {
        plus: end,
        minus: REFERENCE,
        set_v: 14.4,
        droop_ohm: 0.01,
        limit_a: 90.0,
    };
    let charger = circuit.add("charger", limited);
    let fault = study(&circuit).at(end, REFERENCE, BOLTED_OHM).unwrap();
    assert_close("both", fault.ampere, alone_a + 90.0, 1e-4, 0.0);
    assert_close("delivered", fault.delivered(charger), 90.0, 1e-12, 0.0);
}

#[test]
fn a_fault_between_nodes_nothing_joins_carries_nothing() {
    let (mut circuit, _, _) = one_battery(12.8, 0.008, 0.002);
    let alone = circuit.add_node("cut wire");
    let ampere = study(&circuit).at(alone, REFERENCE, BOLTED_OHM).unwrap().ampere;
    assert!(ampere.abs() < 1e-9, "{ampere}");
}

/// Reference: ngspice 39 or later on the exported deck, node voltages to one part in a million.
#[test]
fn decks_with_a_fault_give_the_same_voltages_in_ngspice() {
    for seed in 0..8 {
        let circuit = van(6 + seed as u32, seed);
        let node = NodeId(circuit.node_count() as u32 / 2);
        let fault = study(&circuit).at(node, REFERENCE, 0.001).unwrap();
        let name = format!("fault{seed}");
        let faulted = circuit.changed(&[FaultStudy::change(node, REFERENCE, 0.001)]).unwrap();
        let on: Vec<bool> = circuit.guards().iter().map(|guard| guard.starts_on).collect();
        let spice = ngspice(&netlist(&faulted, &name, &on), &name);
        let mut compared = 0;
        for node in (1..circuit.node_count() as u32).map(NodeId) {
            let theirs = spice.get(&deck_node(&faulted, node));
            if let (NodeVoltage::Known(ours), Some(theirs)) = (fault.voltage(node), theirs) {
                assert_close(&format!("{name} {}", node.0), ours, *theirs, 1e-6, 1e-9);
                compared += 1;
            }
        }
        assert!(compared > 20, "{name}: {compared} nodes compared");
    }
}

proptest! {
    /// More wire between source and fault: less current. A source more: no less.
    #[test]
    fn the_level_falls_with_distance_and_rises_with_a_source(
        inner_ohm in 1e-3_f64..2e-2,
        wire_ohm in 1e-4_f64..0.5,
        more_ohm in 1e-4_f64..0.5,
        second_v in 12.0_f64..14.0,
    ) {
        let (circuit, _, end) = one_battery(12.7, inner_ohm, wire_ohm);
        let near_a = study(&circuit).at(end, REFERENCE, BOLTED_OHM).unwrap().ampere;
        let (longer, _, far_end) = one_battery(12.7, inner_ohm, wire_ohm + more_ohm);
        let far_a = study(&longer).at(far_end, REFERENCE, BOLTED_OHM).unwrap().ampere;
        prop_assert!(far_a < near_a);
        let mut with_second = circuit;
        with_second.add("second", Element::Battery {
            plus: end,
            minus: REFERENCE,
            rest_v: second_v,
            discharge_ohm: inner_ohm,
            charge_ohm: inner_ohm,
        });
        let both_a = study(&with_second).at(end, REFERENCE, BOLTED_OHM).unwrap().ampere;
        prop_assert!(both_a > near_a);
    }
}
