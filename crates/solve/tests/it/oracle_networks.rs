//! The check networks of `data/networks.toml`: every node voltage and branch current to one part
//! in a million. Reference: ngspice 39.3 (voltages) and an independent numpy modified nodal
//! analysis (currents); see the head of that file.

use crate::support::{CheckNetwork, assert_close, check_networks, known};
use circuit::REFERENCE;
use solve::{Options, operating_point};

const PART: f64 = 1e-6;
/// Both references carry rounding noise of about this size where the true value is zero.
const VOLT_FLOOR: f64 = 1e-11;
const AMPERE_FLOOR: f64 = 1e-10;

fn check(network: &CheckNetwork) {
    let named = &network.named;
    let point = operating_point(&named.circuit, &Options::default())
        .unwrap_or_else(|t| panic!("{}: {t}", network.name));
    for (node, volt) in &network.volt {
        let what = format!("{} V({node})", network.name);
        assert_close(&what, known(&point, named.nodes[node]), *volt, PART, VOLT_FLOOR);
    }
    for (name, ampere) in &network.ampere {
        let ours = match name.split_once('.') {
            Some((converter, "out")) => point.output_current(named.branch(converter)).unwrap(),
            Some((converter, _)) => point.current(named.branch(converter)),
            // The reference counts a regulated source's current as delivered.
            None if is_regulated(network, name) => -point.current(named.branch(name)),
            None => point.current(named.branch(name)),
        };
        assert_close(&format!("{} I({name})", network.name), ours, *ampere, PART, AMPERE_FLOOR);
    }
    assert!(point.iterations <= 12, "{} took {} iterations", network.name, point.iterations);
    assert!(point.residual_a < 1e-9, "{} residual {:e}", network.name, point.residual_a);
    assert_eq!(known(&point, REFERENCE).to_bits(), 0.0_f64.to_bits());
}

fn is_regulated(network: &CheckNetwork, name: &str) -> bool {
    let element = &network.named.circuit.branch(network.named.branch(name)).element;
    matches!(element, circuit::Element::LimitedSource { .. })
}

#[test]
fn all_nineteen_networks_agree_with_ngspice_and_numpy() {
    let networks = check_networks();
    assert_eq!(networks.len(), 19);
    networks.iter().for_each(check);
}

#[test]
fn a_fridge_starved_by_a_stalled_motor_is_reported_cut_out() {
    // Net n09: 9.776 V while the motor runs, 6.976 V when it stalls; the fridge needs 10 V.
    for name in ["n09a_running", "n09b_stalled", "n04a_two_ended_fault"] {
        let networks = check_networks();
        let network = networks.iter().find(|n| n.name == name).unwrap();
        let point = operating_point(&network.named.circuit, &Options::default()).unwrap();
        assert_eq!(point.cut_out, [network.named.branch("fridge")], "{name}");
    }
}

#[test]
fn a_healthy_house_has_nothing_cut_out() {
    let networks = check_networks();
    let point = operating_point(&networks[0].named.circuit, &Options::default()).unwrap();
    assert!(point.cut_out.is_empty() && point.collapsed.is_empty());
}
