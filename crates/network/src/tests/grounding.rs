//! What stands on the body, and what voltages are counted from.

use circuit::REFERENCE;

use super::{Bench, known, names, near, settled};

#[test]
fn a_base_vehicle_source_without_a_wire_on_its_minus_stands_on_the_body() {
    let bench = Bench::new(
        "[devices]\nalt = { kind = \"alternator\" }\nstarter = { kind = \"starter battery\", rest = \"12.6 V\" }\nlamp = { kind = \"heater\", power = \"100 W\" }\nearth = { kind = \"chassis point\" }\n[wires]\na = \"alt.+ to starter.+, 25 mm2, 1 m\"\nb = \"starter.+ to lamp.+, 6 mm2, 1 m\"\nc = \"lamp.- to earth, 6 mm2, 1 m\"\n[states]\ns = { on = [\"lamp\"] }",
    );
    let network = bench.network("s");
    let all = names(&network.circuit);
    assert!(all.contains(&"alt to body") && all.contains(&"starter to body"));
    assert!(all.contains(&"earth to body"));
    let assumed: Vec<&str> = network.assumptions.iter().map(|a| a.what.as_str()).collect();
    assert!(assumed.iter().any(|what| what.starts_with("minus joined to the body")), "{assumed:?}");
    // The lamp gets its current back through the body.
    let point = settled(&network);
    near(bench.ampere(&network, &point, "b"), bench.ampere(&network, &point, "c"), 1e-9);
    assert!(bench.ampere(&network, &point, "b") > 5.0);
}

#[test]
fn one_with_a_wire_on_its_minus_does_not_and_a_house_battery_never_does() {
    let bench = Bench::new(
        "[devices]\nstarter = { kind = \"starter battery\" }\nhouse = { kind = \"agm battery\" }\nbar = { kind = \"busbar\" }\n[wires]\na = \"starter.- to bar, 25 mm2, 1 m\"\n[states]\ns = {}",
    );
    let network = bench.network("s");
    assert!(names(&network.circuit).iter().all(|name| !name.ends_with("to body")));
    // Nothing stands on the body: the first battery's minus takes its place.
    assert_eq!(bench.stud(&network, "starter.-"), REFERENCE);
    assert_ne!(bench.stud(&network, "house.-"), REFERENCE);
}

#[test]
fn where_there_is_no_body_voltages_count_from_the_first_battery_s_minus() {
    let bench = Bench::new(
        "[devices]\nbar = { kind = \"busbar\" }\nhouse = { kind = \"agm battery\", rest = \"12.7 V\" }\n[wires]\na = \"house.+ to bar, 6 mm2, 1 m\"\n[states]\ns = {}",
    );
    let network = bench.network("s");
    assert_eq!(bench.stud(&network, "house.-"), REFERENCE);
    let point = settled(&network);
    near(known(&point, bench.stud(&network, "bar")).expect("not floating"), 12.7, 1e-9);
}

#[test]
fn a_battery_that_is_joined_to_no_body_floats_and_is_not_called_dead() {
    let bench = Bench::new(
        "[devices]\nearth = { kind = \"chassis point\" }\nhouse = { kind = \"agm battery\", rest = \"12.7 V\" }\nbar = { kind = \"busbar\" }\n[wires]\na = \"house.+ to bar, 6 mm2, 1 m\"\n[states]\ns = {}",
    );
    let network = bench.network("s");
    let point = settled(&network);
    assert_eq!(known(&point, bench.stud(&network, "bar")), None);
    near(bench.volt(&network, &point, "bar", "house.-"), 12.7, 1e-9);
}

#[test]
fn a_vehicle_with_nothing_in_it_is_an_empty_circuit() {
    for text in
        ["[states]\ns = {}", "[devices]\na = { kind = \"fan\" }\n[states]\ns = { on = [\"a\"] }"]
    {
        let network = Bench::new(text).network("s");
        assert!(network.circuit.node_count() >= 1);
        settled(&network);
    }
}
