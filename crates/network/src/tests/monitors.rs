//! What shunt monitors display: by Ohm's law beside the truth, and check network n02.

use super::{Bench, near, settled};
use crate::monitor::{Displayed, displays};

/// A load of 1.2 ohm, its return on the shunt's system side; a strap from the battery's minus to
/// the same bar takes its share past the shunt.
fn bench(strap: bool, sides: (&str, &str), monitor: &str) -> Bench {
    let strap = if strap { "strap = \"b.- to bar, 16 mm2, 1 m\"" } else { "" };
    let (first, second) = sides;
    Bench::new(&format!(
        "[devices]
b = {{ kind = \"agm battery\", rest = \"12.6 V\", resistance = \"5 mOhm\" }}
s = {{ kind = \"shunt\", resistance = \"0.1 mOhm\" }}
d = {{ kind = \"monitor\"{monitor} }}
bar = {{ kind = \"busbar\" }}
h = {{ kind = \"heater\", power = \"120 W\" }}
[wires]
a = \"b.+ to h.+, 16 mm2, 1 m\"
c = \"h.- to bar, 16 mm2, 1 m\"
e = \"bar to s.{second}, 16 mm2, 1 m\"
f = \"s.{first} to b.-, 16 mm2, 1 m\"
{strap}
[usual]
joint = \"told 1 mOhm\"
[states]
s = {{ on = [\"h\"] }}"
    ))
}

fn displayed(bench: &Bench) -> Displayed {
    let network = bench.network("s");
    displays(&bench.vehicle, &network, &settled(&network)).remove(0)
}

const RIGHT: (&str, &str) = ("battery", "system");

#[test]
fn a_monitor_that_sees_everything_displays_the_truth() {
    let found = displayed(&bench(false, RIGHT, ""));
    assert!(found.truth_a < -10.0, "discharging: {}", found.truth_a);
    near(found.display_a, found.truth_a, 1e-9);
    assert!(found.drift_ah_per_hour().abs() < 1e-9);
}

/// Strap and shunt side by side: 1.15 + 2 mOhm against 2 x (1.15 + 2) + 0.1 mOhm.
#[test]
fn a_strap_past_the_shunt_hides_its_share() {
    let found = displayed(&bench(true, RIGHT, ", holds = \"200 Ah\""));
    let (strap, through) = (3.15e-3, 2.0 * 3.15e-3 + 1e-4);
    near(found.display_a, found.truth_a * strap / (strap + through), 1e-9);
    // The display stays fuller than the battery: it runs ahead.
    let drift = found.drift_ah_per_hour();
    near(drift, found.display_a - found.truth_a, 1e-12);
    assert!(drift > 0.0);
    near(found.drift_share_per_hour().expect("set for 200 Ah"), drift / 200.0, 1e-12);
}

/// Check network n02 (own design, ngspice 39.3): 104.175296 A, of which the shunt sees 57.88554 A:
/// 46.289756 Ah in an hour, 23.144878 % of 200 Ah.
#[test]
fn the_drift_of_n02_is_46_ampere_hours_in_an_hour() {
    let found = Displayed {
        display_a: -57.885_54,
        truth_a: -104.175_296,
        set_for_ah: Some(200.0),
        ..displayed(&bench(false, RIGHT, ""))
    };
    near(found.drift_ah_per_hour(), 46.289_756, 1e-9);
    near(found.drift_share_per_hour().expect("set"), 0.231_448_78, 1e-9);
}

#[test]
fn a_shunt_the_wrong_way_round_shows_the_wrong_sign() {
    let found = displayed(&bench(false, ("system", "battery"), ""));
    assert!(found.truth_a < -10.0);
    near(found.display_a, -found.truth_a, 1e-9);
}

/// Set for 75 mV at 500 A on a shunt of 50 mV at 500 A: two thirds. 5 mA of offset: 3.6 Ah in 30
/// days.
#[test]
fn a_monitor_set_for_another_shunt_is_off_by_the_ratio() {
    let found = displayed(&bench(false, RIGHT, ", resistance = \"0.15 mOhm\""));
    near(found.display_a, found.truth_a / 1.5, 1e-9);
    let offset = displayed(&bench(false, RIGHT, ", offset = \"5 mA\""));
    near(offset.drift_ah_per_hour() * 24.0 * 30.0, 3.6, 1e-6);
}
