//! Records turned into networks, compared with ngspice; demand; order of the record.

use std::collections::HashMap;
use std::process::Command;

use circuit::{AcCircuit, NodeId, ac_netlist};
use mains::FeedKind;
use solve::phasor_point;

use crate::support::{camper, matrix, vehicle};

const VEHICLES: u64 = 60;

/// A vehicle on shore with lengths, powers, leakages and wiring of the supply by the seed.
fn generated(seed: u64) -> String {
    let mut draw = Draw(seed * 2 + 1);
    let supplies = ["correct", "reversed", "earth by rod only"];
    let mut devices = String::new();
    let mut wires = String::new();
    let mut on = Vec::new();
    for k in 0..2 + seed % 4 {
        let (watt, milli) = (draw.between(40.0, 1500.0), draw.between(0.1, 3.5));
        let factor = draw.between(50.0, 100.0);
        devices.push_str(&format!(
            "d{k} = {{ kind = \"mains appliance\", power = \"{watt:.0} W\", leakage = \"{milli:.2} mA\", power_factor = \"{factor:.0} %\" }}\n"
        ));
        let length = draw.between(0.5, 12.0);
        wires.push_str(&format!("w{k} = \"unit.out to d{k}.ac, 3 x 1.5 mm2, {length:.2} m\"\n"));
        on.push(format!("\"d{k}\""));
    }
    let bond = if seed.is_multiple_of(2) { "always" } else { "never" };
    let region = if seed.is_multiple_of(3) { "north america" } else { "europe" };
    let state = format!(
        "shore = \"plugged\", supply = \"{}\", on = [{}]",
        supplies[(seed % 3) as usize],
        on.join(", ")
    );
    camper(region, &format!("bond = \"{bond}\""), &devices, &wires, &state)
}

#[test]
fn sixty_vehicles_give_the_same_voltages_in_ngspice() {
    for seed in 0..VEHICLES {
        let (vehicle, catalog) = vehicle(&generated(seed));
        let matrix = mains::matrix(&vehicle, &catalog);
        let feed = matrix.rows[0].feed.unwrap();
        let (_, state) = vehicle.states.iter().next().unwrap();
        let circuit = mains::circuit(&vehicle, state, &catalog, feed).unwrap();
        compare(&circuit, seed);
    }
}

fn compare(circuit: &AcCircuit, seed: u64) {
    let point = phasor_point(circuit).unwrap();
    let spice = ngspice(&ac_netlist(circuit, "generated vehicle"), seed);
    let mut compared = 0;
    for node in (1..circuit.node_count() as u32).map(NodeId) {
        let Some(ours) = point.voltage(node) else { continue };
        let (re, im) = (spice[&format!("re_n{}", node.0)], spice[&format!("im_n{}", node.0)]);
        let miss = (ours - circuit::Complex::new(re, im)).norm();
        let allowed = 1e-6 * re.hypot(im) + 1e-9;
        assert!(miss <= allowed, "seed {seed} {}: {ours} {re} {im}", circuit.node_name(node));
        compared += 1;
    }
    assert!(compared > 10, "seed {seed}: {compared} nodes compared");
}

/// A missing ngspice fails the test.
fn ngspice(deck: &str, seed: u64) -> HashMap<String, f64> {
    let path = std::env::temp_dir().join(format!("mains{seed}-{}.cir", std::process::id()));
    std::fs::write(&path, deck).unwrap();
    let run = Command::new("ngspice").args(["-b", "-n"]).arg(&path).output();
    std::fs::remove_file(&path).ok();
    let output = run.expect("ngspice could not be started: `cargo xtask test` installs it");
    let text = String::from_utf8_lossy(&output.stdout);
    text.lines()
        .filter_map(|line| line.split_once(" = "))
        .filter(|(name, _)| name.starts_with("re_") || name.starts_with("im_"))
        .filter_map(|(name, value)| Some((name.to_owned(), value.trim().parse().ok()?)))
        .collect()
}

/// 1000 W at 90 % and 12 W idle: 1000/0.9 + 12 = 1123 W, less what the appliance misses of its power
/// behind 0.5 ohm of the inverter (4.3 A, 2.2 V of 230 V: below 1 %), plus what that half ohm takes.
#[test]
fn an_inverter_draws_what_its_appliances_take() {
    let text = r#"
unbury = 1
[vehicle]
name = "test"
region = "europe"
[devices]
inverter = { kind = "inverter", bond = "while inverting", power = "500 W", idle = "12 W", efficiency = "90 %" }
kettle = { kind = "mains appliance", power = "1000 W" }
[wires]
a1 = "inverter.out to kettle.ac, 3 x 1.5 mm2, 1 m"
[states]
boil = { on = ["inverter", "kettle"] }
"#;
    let (vehicle, catalog) = vehicle(text);
    let (_, state) = vehicle.states.iter().next().unwrap();
    let [demand] = &mains::demand(&vehicle, state, &catalog).unwrap()[..] else { panic!() };
    assert!((demand.dc_w.unwrap() - 1123.1).abs() < 0.01 * 1123.1, "{:?}", demand);
    // What the direct-current sums take: 500/0.9 + 12.
    assert!((demand.taken_w.unwrap() - 567.6).abs() < 0.1);
}

/// The order of devices and wires in a record changes no cell.
#[test]
fn the_order_of_the_record_changes_nothing() {
    for seed in 0..12 {
        let text = generated(seed);
        let (_, first) = matrix(&text);
        let (_, second) = matrix(&reordered(&text));
        let brief = |matrix: &mains::Matrix| -> Vec<(String, String)> {
            let cells = matrix.rows.iter().flat_map(|row| &row.cells);
            cells
                .map(|cell| (format!("{:?}", cell.verdict.clone()), cell.short.clone()))
                .map(|(v, s)| (v.split('(').next().unwrap_or("").to_owned(), s))
                .collect()
        };
        assert_eq!(brief(&first), brief(&second), "seed {seed}");
        assert_eq!(first.rows[0].feed.unwrap().kind, FeedKind::Shore);
    }
}

/// Lines of devices and of wires upside down.
fn reordered(text: &str) -> String {
    let (mut out, mut held) = (String::new(), Vec::new());
    let mut in_list = false;
    for line in text.lines() {
        if line.starts_with('[') {
            held.drain(..).rev().for_each(|held: &str| out.push_str(&format!("{held}\n")));
            in_list = matches!(line, "[devices]" | "[wires]");
            out.push_str(&format!("{line}\n"));
        } else if in_list && !line.is_empty() {
            held.push(line);
        } else {
            out.push_str(&format!("{line}\n"));
        }
    }
    out
}

/// Numbers that look drawn at random and never change (Knuth's MMIX constants, from memory).
struct Draw(u64);

impl Draw {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }
}
