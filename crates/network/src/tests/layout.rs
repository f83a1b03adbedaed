//! Nodes, branches and links: everything where a fault can sit is there once.

use std::collections::BTreeSet;

use circuit::Element;
use model::WireEnd;

use super::{Bench, element, names, near};
use crate::{Item, Passage};

const VAN: &str = r#"
[devices]
house = { kind = "lfp battery" }
shunt = { kind = "shunt" }
main = { kind = "isolator" }
fuse = { kind = "strip fuse", resistance = "0.3 mOhm" }
box = { kind = "blade fuse box", ways = ["15 A fridge", "empty", "unknown lamp"] }
fridge = { kind = "compressor fridge" }
lamp = { kind = "filament lamp" }
bar = { kind = "busbar" }
inlet = { kind = "shore inlet" }
unit = { kind = "consumer unit" }
panel = { kind = "solar module" }
solar = { kind = "solar controller" }
[wires]
h1 = "house.+ to fuse.in, 35 mm2, 1 m, stranded"
h2 = "fuse.out to main.in, 35 mm2, 1 m, fine"
h3 = "main.out to box.in, 10 mm2, 2 m, solid"
h4 = "bar to shunt.system, 35 mm2, 1 m"
h5 = "shunt.battery to house.-, 35 mm2, 1 m"
f1 = "box.1 to fridge.+, 2.5 mm2, 4 m"
f2 = "fridge.- to bar, 2.5 mm2, 4 m"
l1 = "box.3 to lamp.+, 1.5 mm2, 3 m"
l2 = "lamp.- to bar, 1.5 mm2, 3 m"
z1 = "bar to unknown, 1.5 mm2, 2 m"
ac = "inlet.ac to unit.in, 3 x 2.5 mm2, 4 m"
pv = "panel.dc to solar.pv, 2 x 4 mm2, 5 m"
[joints]
"h1 at house.+" = "lug, measured 0.2 mOhm"
[states]
rest = {}
dark = { open = ["main"] }
cut = { open = ["fuse", "box", "unit"] }
hot = { temperature = "70 C" }
on = { on = ["fridge", "lamp"] }
"#;

#[test]
fn every_stud_and_every_wire_end_of_the_direct_current_side_is_a_node_of_its_own() {
    let bench = Bench::new(VAN);
    let (network, v) = (bench.network("rest"), &bench.vehicle);
    let mut nodes = BTreeSet::new();
    let mut points = 0;
    for id in v.terminals.ids() {
        let ac = v.terminals[id].pole.is_ac();
        assert_eq!(network.stud_node(id).is_none(), ac, "{}", v.terminal_name(id));
        if let Some(node) = network.stud_node(id) {
            nodes.insert(node);
            points += 1;
        }
    }
    for (id, wire) in v.wires.iter() {
        for end in WireEnd::BOTH {
            let node = network.node(network.graph.wire_end(id, end));
            assert_eq!(node.is_none(), v.is_ac(id), "{}", wire.name);
            nodes.extend(node);
            points += usize::from(node.is_some());
        }
    }
    // house 2, shunt 2, main 2, fuse 2, box 1 + 3 ways, fridge 2, lamp 2, bar 1, panel 2, solar 4;
    // 10 single wires and the two cores of pv, two ends each.
    assert_eq!(points, 23 + 24);
    assert_eq!(nodes.len(), points, "no two share a node");
}

#[test]
fn every_wire_joint_fuse_switch_and_shunt_is_a_branch_of_its_own() {
    let bench = Bench::new(VAN);
    let (network, v) = (bench.network("rest"), &bench.vehicle);
    let mut branches = BTreeSet::new();
    for (id, wire) in v.wires.iter() {
        let branch = network.wire_branch(id);
        assert_eq!(branch.is_none(), v.is_ac(id));
        assert!(branch.is_none_or(|b| branches.insert(b)));
        for end in WireEnd::BOTH {
            let joint = network.joint_branch(wire.end(end).joint);
            let lands = wire.terminal(end).is_some();
            assert_eq!(joint.is_some(), lands && !v.is_ac(id), "{} {end:?}", wire.name);
            assert!(joint.is_none_or(|b| branches.insert(b)));
        }
    }
    let contacts: Vec<String> = network
        .contacts()
        .iter()
        .map(|(device, terminal, branch)| {
            assert!(branches.insert(*branch));
            format!("{} {}", v.devices[*device].name, v.terminal_name(*terminal))
        })
        .collect();
    assert_eq!(
        contacts,
        ["shunt shunt.system", "main main.out", "fuse fuse.out", "box box.1", "box box.3"]
    );
    let all = names(&network.circuit);
    assert_eq!(all.len(), all.iter().collect::<BTreeSet<_>>().len(), "names are unique");
}

#[test]
fn a_wire_has_the_resistance_iec_60228_allows_its_size_and_build() {
    let bench = Bench::new(VAN);
    let ohm = |state: &str, wire: &str| {
        let network = bench.network(state);
        let Element::Resistor { ohm, .. } = *element(&network.circuit, wire) else { panic!() };
        ohm
    };
    // IEC 60228:2004, plain copper, greatest resistance at 20 C, ohm/km: 35 mm2 class 2 0.524
    // (Table 2), class 5 0.554 (Table 3); 10 mm2 class 1 1.83 (Table 1); 2.5 mm2 class 2 7.41.
    near(ohm("rest", "wire h1"), 0.524e-3, 1e-12);
    near(ohm("rest", "wire h2"), 0.554e-3, 1e-12);
    near(ohm("rest", "wire h3"), 2.0 * 1.83e-3, 1e-12);
    near(ohm("rest", "wire f1"), 4.0 * 7.41e-3, 1e-12);
    // Copper at 70 C: 1 + 0.00393 x 50 = 1.1965 (IEC 60028 coefficient at 20 C).
    near(ohm("hot", "wire f1"), 4.0 * 7.41e-3 * 1.1965, 1e-12);
    near(ohm("rest", "joint h1 at house.+"), 0.2e-3, 1e-12);
    near(ohm("rest", "fuse to fuse.out"), 0.3e-3, 1e-12);
}

#[test]
fn an_opened_switch_carries_nothing_and_the_graph_says_open() {
    let bench = Bench::new(VAN);
    let network = bench.network("dark");
    assert!(!names(&network.circuit).contains(&"main to main.out"));
    assert!(network.contacts().iter().all(|(d, ..)| *d != bench.device("main")));
    let main = Item::Device(bench.device("main"));
    let passages: Vec<Passage> =
        network.graph.links().filter(|(_, l)| l.item == main).map(|(_, l)| l.passage).collect();
    assert_eq!(passages, [Passage::Open]);
    let feed = network.graph.stud(bench.terminal("house.+"));
    let walk = network.graph.metal([feed]);
    assert!(walk.reaches(network.graph.stud(bench.terminal("main.in"))));
    assert!(!walk.reaches(network.graph.stud(bench.terminal("main.out"))));
}

#[test]
fn opening_a_fuse_box_opens_all_its_ways_and_a_breaker_all_poles_but_earth() {
    let bench = Bench::new(VAN);
    let network = bench.network("cut");
    assert!(
        network
            .contacts()
            .iter()
            .all(|(d, ..)| *d != bench.device("box") && *d != bench.device("fuse"))
    );
    let from = |name: &str| network.graph.metal([network.graph.stud(bench.terminal(name))]);
    let reaches = |a: &str, b: &str| from(a).reaches(network.graph.stud(bench.terminal(b)));
    assert!(!reaches("unit.in.L", "unit.out.L") && !reaches("unit.in.N", "unit.out.N"));
    assert!(reaches("unit.in.PE", "unit.out.PE"));
    let closed = bench.network("rest");
    let walk = closed.graph.metal([closed.graph.stud(bench.terminal("inlet.L"))]);
    assert!(walk.reaches(closed.graph.stud(bench.terminal("unit.out.L"))));
    assert!(!walk.reaches(closed.graph.stud(bench.terminal("unit.out.N"))));
}

#[test]
fn an_empty_way_leads_nowhere() {
    let bench = Bench::new(VAN);
    let network = bench.network("rest");
    let walk = network.graph.metal([network.graph.stud(bench.terminal("box.in"))]);
    assert!(walk.reaches(network.graph.stud(bench.terminal("box.1"))));
    assert!(!walk.reaches(network.graph.stud(bench.terminal("box.2"))));
    assert!(walk.reaches(network.graph.stud(bench.terminal("box.3"))));
}

#[test]
fn the_mains_side_is_in_the_graph_and_not_in_the_direct_current_circuit() {
    let bench = Bench::new(VAN);
    let network = bench.network("rest");
    for core in ["ac/L", "ac/N", "ac/PE"] {
        assert!(network.wire_branch(bench.wire(core)).is_none());
        let item = Item::Wire(bench.wire(core));
        assert_eq!(network.graph.links().filter(|(_, l)| l.item == item).count(), 1);
    }
    assert!(names(&network.circuit).iter().all(|name| !name.contains("ac/")));
    for core in ["pv+", "pv-"] {
        assert!(network.wire_branch(bench.wire(core)).is_some());
    }
}

#[test]
fn a_path_is_walked_link_by_link() {
    let bench = Bench::new(VAN);
    let network = bench.network("rest");
    let walk = network.graph.metal([network.graph.stud(bench.terminal("house.+"))]);
    let path = walk.path(network.graph.stud(bench.terminal("fuse.out")));
    let items: Vec<Item> = path.iter().map(|id| network.graph.get(*id).item).collect();
    assert_eq!(
        items,
        [
            Item::Joint(bench.joint("h1 at house.+")),
            Item::Wire(bench.wire("h1")),
            Item::Joint(bench.joint("h1 at fuse.in")),
            Item::Device(bench.device("fuse")),
        ]
    );
    assert!(walk.path(network.graph.stud(bench.terminal("house.-"))).is_empty());
}

#[test]
fn loads_are_in_the_circuit_only_while_they_are_on() {
    let bench = Bench::new(VAN);
    let off = names(&bench.network("rest").circuit).len();
    let on = bench.network("on");
    assert_eq!(names(&on.circuit).len(), off + 2);
    let Element::Lamp { rated_a, rated_v, .. } = *element(&on.circuit, "lamp") else { panic!() };
    near(rated_a * rated_v, 21.0, 1e-12);
    let passage = |network: &crate::Network| {
        let item = Item::Device(bench.device("lamp"));
        network.graph.links().find(|(_, l)| l.item == item).map(|(_, l)| l.passage)
    };
    assert_eq!(passage(&bench.network("rest")), Some(Passage::Load), "off, it still conducts");
    assert_eq!(passage(&on), Some(Passage::Load));
}
