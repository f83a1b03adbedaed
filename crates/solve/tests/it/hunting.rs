//! Guards that settle and guards that cannot: circuits small enough for a closed form that says
//! which it must be.

use circuit::{BranchId, Circuit, Element, Guard, GuardId, NodeId, REFERENCE, Trip};
use solve::{Outcome, settle};

use crate::support::{assert_close, known};

/// A source of `open_v` behind `ohm` that feeds a guarded converter.
struct Feed {
    circuit: Circuit,
    input: NodeId,
    converter: BranchId,
}

fn feed(open_v: f64, ohm: f64, trip: Trip, starts_on: bool) -> Feed {
    let mut circuit = Circuit::new("chassis");
    let [source, input, output] = ["source", "input", "output"].map(|n| circuit.add_node(n));
    let cells = Element::Voltage { plus: source, minus: REFERENCE, volt: open_v };
    circuit.add("starter battery", cells);
    circuit.add("thin feed", Element::Resistor { a: source, b: input, ohm });
    let name = "charger lock-out".to_owned();
    let guard = circuit.add_guard(Guard {
        name,
        sense: circuit::Sense::Between(input, REFERENCE),
        trip,
        starts_on,
    });
    let element = Element::Converter {
        in_plus: input,
        in_minus: REFERENCE,
        out_plus: output,
        out_minus: REFERENCE,
        set_v: 14.4,
        droop_ohm: 0.01,
        limit_a: 30.0,
        power_w: f64::INFINITY,
        efficiency: 0.9,
        idle_w: 0.0,
    };
    let converter = circuit.add_while("DC-DC charger", element, Some(guard));
    // An ideal 13 V at the output: 30 A x 13 V = 390 W out, 433.33 W in, whatever the input does.
    circuit.add("house", Element::Voltage { plus: output, minus: REFERENCE, volt: 13.0 });
    Feed { circuit, input, converter }
}

const IN_W: f64 = 13.0 * 30.0 / 0.9;

/// Upper root of `v (E - v)/R = P`.
fn loaded_v(open_v: f64, ohm: f64) -> f64 {
    0.5 * (open_v + (open_v * open_v - 4.0 * ohm * IN_W).sqrt())
}

#[test]
fn a_charger_on_a_thin_feed_hunts_when_its_own_draw_trips_it() {
    // Off: 13.5 V, at or above the 13.3 V that bring it on. On: (13.5 + sqrt(13.5^2 -
    // 4 x 0.05 x 433.33))/2 = 11.615 V, below 12.5 V. So it can rest in neither position.
    let trip = Trip::LowVoltage { off_below_v: 12.5, on_from_v: 13.3 };
    let on_v = loaded_v(13.5, 0.05);
    assert!(on_v < 12.5 && 13.5 >= 13.3, "the closed form says hunting: {on_v}");
    for starts_on in [true, false] {
        let feed = feed(13.5, 0.05, trip, starts_on);
        let Outcome::Hunts { between, guards } = settle(&feed.circuit) else { panic!("hunts") };
        assert_eq!(guards, [GuardId(0)]);
        assert_eq!(between.len(), 2);
        for point in &between {
            let expected = if point.guards[0] { on_v } else { 13.5 };
            assert_close("input", known(point, feed.input), expected, 1e-9, 0.0);
        }
        assert_ne!(between[0].guards, between[1].guards);
    }
}

#[test]
fn a_charger_on_a_stout_feed_runs() {
    // On: (13.5 + sqrt(13.5^2 - 4 x 0.01 x 433.33))/2 = 13.171 V, above 12.5 V: it stays on.
    let trip = Trip::LowVoltage { off_below_v: 12.5, on_from_v: 13.3 };
    let feed = feed(13.5, 0.01, trip, false);
    let Outcome::Settled(point) = settle(&feed.circuit) else { panic!("settles") };
    assert_eq!(point.guards, [true]);
    assert_close("input", known(&point, feed.input), loaded_v(13.5, 0.01), 1e-9, 0.0);
    assert_close("in", point.current(feed.converter) * known(&point, feed.input), IN_W, 1e-9, 0.0);
}

#[test]
fn between_its_thresholds_a_guard_keeps_the_position_it_started_in() {
    // Open 13.0 V, loaded (R 0.01) 12.66 V, both between 12.5 and 13.3 V.
    let trip = Trip::LowVoltage { off_below_v: 12.5, on_from_v: 13.3 };
    for starts_on in [true, false] {
        let feed = feed(13.0, 0.01, trip, starts_on);
        let Outcome::Settled(point) = settle(&feed.circuit) else { panic!("settles") };
        assert_eq!(point.guards, [starts_on]);
    }
}

#[test]
fn a_charger_whose_feed_cannot_carry_it_at_all_hunts_too() {
    // Through 0.2 ohm at most 13.5^2/0.8 = 228 W arrive and 433 W are asked: no running solution
    // exists. The feed is pulled below half its voltage, the lock-out trips, the feed recovers.
    let trip = Trip::LowVoltage { off_below_v: 12.5, on_from_v: 13.3 };
    let feed = feed(13.5, 0.2, trip, true);
    let Outcome::Hunts { between, .. } = settle(&feed.circuit) else { panic!("hunts") };
    let on = between.iter().find(|p| p.guards[0]).expect("one end of the swing is on");
    assert_eq!(on.collapsed, [feed.converter]);
    assert!(known(on, feed.input) < 6.75);
}

#[test]
fn the_guard_furthest_past_its_threshold_moves_first_and_may_spare_the_other() {
    // 12 V behind 0.1 ohm; two 1 ohm loads. Both on: 12/(1 + 0.2) = 10 V; one on: 12/1.1 =
    // 10.909 V. Guards off below 10.2 and 10.8 V: the second (overrun 0.8 V) drops out, after
    // which 10.909 V lets the first stay.
    let mut circuit = Circuit::new("chassis");
    let [source, bar] = ["source", "bar"].map(|n| circuit.add_node(n));
    circuit.add("battery", Element::Voltage { plus: source, minus: REFERENCE, volt: 12.0 });
    circuit.add("feed", Element::Resistor { a: source, b: bar, ohm: 0.1 });
    for (name, off_below_v) in [("first", 10.2), ("second", 10.8)] {
        let trip = Trip::LowVoltage { off_below_v, on_from_v: 13.0 };
        let sense = circuit::Sense::Between(bar, REFERENCE);
        let guard =
            circuit.add_guard(Guard { name: name.to_owned(), sense, trip, starts_on: true });
        let load = Element::Resistor { a: bar, b: REFERENCE, ohm: 1.0 };
        circuit.add_while(name, load, Some(guard));
    }
    let Outcome::Settled(point) = settle(&circuit) else { panic!("settles") };
    assert_eq!(point.guards, [true, false]);
    assert_close("bar", known(&point, bar), 12.0 / 1.1, 1e-12, 0.0);
}

#[test]
fn an_over_voltage_guard_opens_on_a_stiff_charger_and_stays_open() {
    // On: the 16 V charger's output lies on the guarded load; off: 16 V all the same. It opens
    // and, its threshold to return being 15 V, stays open.
    let mut circuit = Circuit::new("chassis");
    let bar = circuit.add_node("bar");
    circuit.add("charger", Element::Voltage { plus: bar, minus: REFERENCE, volt: 16.0 });
    let trip = Trip::HighVoltage { off_above_v: 15.5, on_up_to_v: 15.0 };
    let name = "over-voltage cut-off".to_owned();
    let guard = circuit.add_guard(Guard {
        name,
        sense: circuit::Sense::Between(bar, REFERENCE),
        trip,
        starts_on: true,
    });
    let load = Element::Resistor { a: bar, b: REFERENCE, ohm: 1.0 };
    let id = circuit.add_while("lights", load, Some(guard));
    let Outcome::Settled(point) = settle(&circuit) else { panic!("settles") };
    assert_eq!(point.guards, [false]);
    assert!(point.current(id).abs() < f64::MIN_POSITIVE);
}
