//! Wire lines, wire tables, cables, what is usual.

use model::{Core, Landing, Origin, WireEnd};

use super::{clean, near, only, part, read, told, underlined, why, wire};
use crate::Record;

const PLACES: &str = r#"
[devices]
box = { kind = "blade fuse box", ways = ["15 A fridge"] }
fridge = { kind = "compressor fridge" }
bar = { kind = "busbar" }
inlet = { kind = "shore inlet" }
unit = { kind = "consumer unit" }
socket = { kind = "mains socket" }
inv = { kind = "inverter charger" }
charger = { kind = "mains charger" }
panel = { kind = "solar module" }
control = { kind = "solar controller" }
[parts]
splash = "splash panel"
"#;

fn text(lines: &str) -> String {
    format!("{PLACES}[wires]\n{lines}\n")
}

#[track_caller]
fn wires(lines: &str) -> Record {
    clean(&text(lines))
}

fn ends(record: &Record, name: &str) -> [String; 2] {
    let v = &record.vehicle;
    WireEnd::BOTH.map(|end| match wire(v, name).end(end).landing {
        Landing::At(terminal) => v.terminal_name(terminal),
        Landing::Behind(part) => format!("behind {}", v.parts[part].name),
        Landing::Unknown => "unknown".to_owned(),
    })
}

#[test]
fn a_line_says_ends_size_length_and_the_rest_in_any_order() {
    let record = wires(
        "w1 = \"box.1 to fridge.+, red, told 4.2 m by the owner, fine, 2.5 mm2, sheathed, 90 C, behind splash\"",
    );
    let w = wire(&record.vehicle, "w1");
    assert_eq!(ends(&record, "w1"), ["box.1", "fridge.+"]);
    near(w.area.value().unwrap().si(), 2.5);
    assert_eq!(w.size_words, "2.5 mm2");
    near(w.length.value().unwrap().si(), 4.2);
    assert_eq!(w.length.origin(), Some(&told("the owner")));
    assert_eq!(w.area.origin(), Some(&Origin::seen()));
    assert_eq!((w.core.value(), w.sheathed.value()), (Some(&Core::Fine), Some(&true)));
    near(w.insulation.value().unwrap().si(), 90.0);
    assert_eq!(w.colour.as_deref(), Some("red"));
    assert_eq!(record.vehicle.parts[w.runs_behind.unwrap()].name, "splash");
    assert_eq!(part(&record.vehicle, "splash").label, "splash panel");
}

#[test]
fn a_gauge_is_a_size_and_feet_are_a_length() {
    let record = wires("w1 = \"box.1 to fridge.+, 6 AWG, 5 ft 6 in, green/yellow\"");
    let w = wire(&record.vehicle, "w1");
    // ASTM B258: 6 AWG is 13.30 mm2 (0.1620 in), as NEC Chapter 9 Table 8 prints it too.
    assert!((w.area.value().unwrap().si() - 13.30).abs() < 0.01);
    assert_eq!(w.size_words, "6 AWG");
    // 5 ft 6 in of 0.3048 m and 0.0254 m (exact, international foot of 1959): 1.6764 m.
    near(w.length.value().unwrap().si(), 1.6764);
    assert_eq!(w.colour.as_deref(), Some("green/yellow"));
}

#[test]
fn what_a_line_does_not_say_is_unknown() {
    let record = wires(
        "w1 = \"box.1 to fridge.+\"\nw2 = \"box.1 to fridge.+, unknown size, unknown length\"",
    );
    for name in ["w1", "w2"] {
        let w = wire(&record.vehicle, name);
        assert!(w.area.is_unknown() && w.length.is_unknown() && w.core.is_unknown());
        assert!(w.insulation.is_unknown() && w.sheathed.is_unknown());
        assert_eq!((w.colour.as_deref(), w.runs_behind), (None, None));
    }
}

#[test]
fn a_table_says_the_same_as_a_line() {
    let line = "a = \"box.1 to fridge.+, measured 2.5 mm2 by RK, measured 4 m ± 0.2 m by RK, stranded, 105 C, black, sheathed, behind splash\"";
    let table = "a = { from = \"box.1\", to = \"fridge.+\", size = \"measured 2.5 mm2 by RK\", length = \"measured 4 m ± 0.2 m by RK\", core = \"stranded\", insulation = \"105 C\", colour = \"black\", sheathed = true, behind = \"splash\" }";
    let (line, table) = (wires(line), wires(table));
    assert_eq!(line.vehicle, table.vehicle);
    assert_eq!(wire(&table.vehicle, "a").size_words, "2.5 mm2");
}

#[test]
fn an_end_nobody_has_seen_is_unknown_or_behind_a_part() {
    let record = wires(
        "a = \"behind splash to unknown, 1.5 mm2\"\nb = \"fridge.+ to ?\"\nc = { from = \"bar\" }",
    );
    assert_eq!(ends(&record, "a"), ["behind splash", "unknown"]);
    assert_eq!(ends(&record, "b"), ["fridge.+", "unknown"]);
    assert_eq!(ends(&record, "c"), ["bar", "unknown"]);
    let v = &record.vehicle;
    let joint = wire(v, "a").end(WireEnd::From).joint;
    assert_eq!(v.joint_name(joint), "a, first end");
}

#[test]
fn every_wire_has_a_joint_at_each_end() {
    let record = wires("a = \"box.1 to fridge.+\"\nb = \"inlet.ac to unit.in, 3 x 2.5 mm2\"");
    let v = &record.vehicle;
    assert_eq!((v.wires.len(), v.joints.len()), (4, 8));
    for (id, wire) in v.wires.iter() {
        for end in WireEnd::BOTH {
            let joint = &v.joints[wire.end(end).joint];
            assert_eq!((joint.wire, joint.end), (id, end));
        }
    }
}

#[test]
fn a_mains_cable_has_a_wire_for_each_core() {
    let record = wires(
        "ac1 = \"inlet.ac to unit.in, 3 x 2.5 mm2, 4 m, sheathed\"\nac2 = \"unit.out to charger.ac, 3x1.5 mm2\"\nac3 = \"unit.out to socket.ac, 3 × 1.5 mm2\"\nac4 = \"inv.out to socket.ac\"",
    );
    assert_eq!(ends(&record, "ac1/L"), ["inlet.L", "unit.in.L"]);
    assert_eq!(ends(&record, "ac1/N"), ["inlet.N", "unit.in.N"]);
    assert_eq!(ends(&record, "ac1/PE"), ["inlet.PE", "unit.in.PE"]);
    assert_eq!(ends(&record, "ac2/L"), ["unit.out.L", "charger.ac.L"]);
    assert_eq!(ends(&record, "ac3/N"), ["unit.out.N", "socket.N"]);
    assert_eq!(ends(&record, "ac4/L"), ["inv.out.L", "socket.L"]);
    let v = &record.vehicle;
    assert_eq!(v.wires.len(), 12);
    let w = wire(v, "ac1/PE");
    near(w.area.value().unwrap().si(), 2.5);
    near(w.length.value().unwrap().si(), 4.0);
    assert_eq!(w.sheathed.value(), Some(&true));
    assert!(v.wires.ids().all(|id| v.is_ac(id)));
}

#[test]
fn a_two_core_cable_joins_plus_to_plus_and_minus_to_minus() {
    let record = wires("pv1 = \"panel.dc to control.pv, 2 x 4 mm2, 6 m\"");
    assert_eq!(ends(&record, "pv1+"), ["panel.+", "control.pv+"]);
    assert_eq!(ends(&record, "pv1-"), ["panel.-", "control.pv-"]);
    assert!(record.vehicle.wires.ids().all(|id| !record.vehicle.is_ac(id)));
}

#[test]
fn a_cable_may_end_where_nobody_has_seen() {
    let record = wires(
        "a = \"unit.out to unknown, 3 x 1.5 mm2\"\nb = \"behind splash to panel.dc, 2 x 4 mm2\"\nc = \"behind splash to unknown, 3 x 1.5 mm2\"",
    );
    assert_eq!(ends(&record, "a/PE"), ["unit.out.PE", "unknown"]);
    assert_eq!(ends(&record, "b-"), ["behind splash", "panel.-"]);
    assert_eq!(ends(&record, "c/3"), ["behind splash", "unknown"]);
    assert_eq!(record.vehicle.wires.len(), 8);
}

#[test]
fn a_wrong_count_of_cores_is_underlined_where_it_is_written() {
    for (line, at) in [
        ("a = \"inlet.ac to unit.in, 2 x 2.5 mm2\"", "2 x 2.5 mm2"),
        ("a = \"inlet.ac to unit.in, red, 5 x 2.5 mm2, 1 m\"", "5 x 2.5 mm2"),
        ("a = \"box.1 to fridge.+, 3 x 2.5 mm2\"", "3 x 2.5 mm2"),
        ("a = \"unit.out to unknown, 2 x 2.5 mm2\"", "2 x 2.5 mm2"),
        ("a = \"inlet.ac to panel.dc\"", "panel.dc"),
    ] {
        let text = text(line);
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "cable-ends")), at);
        assert!(record.vehicle.wires.is_empty());
    }
    for count in ["0", "62", "4000000000", "99999999999999999999"] {
        let text = text(&format!("a = \"unknown to unknown, {count} x 1 mm2\""));
        only(&read(&text), "impossible-value");
    }
}

#[test]
fn a_core_of_a_cable_and_a_wire_of_that_name_are_two_things_of_one_name() {
    let text = text("\"ac1/L\" = \"bar to unknown\"\nac1 = \"inlet.ac to unit.in, 3 x 2.5 mm2\"");
    let record = read(&text);
    assert_eq!(underlined(&text, only(&record, "duplicate")), "ac1");
    assert_eq!(record.vehicle.wires.len(), 3);
}

#[test]
fn a_wire_from_a_terminal_to_itself_is_refused() {
    let text = text("a = \"box.1 to box.1\"\nb = \"box.1 to fridge.+\"");
    let record = read(&text);
    assert_eq!(underlined(&text, only(&record, "wire-to-itself")), "a");
    assert_eq!(record.vehicle.wires.len(), 1);
}

#[test]
fn what_is_usual_fills_only_what_no_line_said() {
    let record = wires(
        "a = \"box.1 to fridge.+, 4 mm2, solid\"\nb = \"bar to fridge.-\"\n[usual]\nwire = \"1.5 mm2, seen fine by RK, 70 C, told 2 m, red\"",
    );
    let (a, b) = (wire(&record.vehicle, "a"), wire(&record.vehicle, "b"));
    near(a.area.value().unwrap().si(), 4.0);
    assert_eq!((a.size_words.as_str(), b.size_words.as_str()), ("4 mm2", "1.5 mm2"));
    assert_eq!((a.core.value(), b.core.value()), (Some(&Core::Solid), Some(&Core::Fine)));
    assert!(b.area.is_assumed() && b.insulation.is_assumed(), "bare under [usual] is assumed");
    assert!(why(&b.area).contains("[usual]"));
    assert!(b.core.evidence().is_some(), "seen stays seen");
    assert_eq!(b.length.origin(), Some(&Origin::Told { by: None, on: None }));
    assert_eq!(b.colour.as_deref(), Some("red"));
}

#[test]
fn a_wire_of_no_size_or_no_length_is_impossible() {
    for (piece, at) in [
        ("0 mm2", "0 mm2"),
        ("0.0001 mm2", "0.0001 mm2"),
        ("0 m", "0 m"),
        ("-2 m", "-2 m"),
        ("told 0 m by the owner", "0 m"),
        ("-40 C", "-40 C"),
        ("2000 C", "2000 C"),
    ] {
        let text = text(&format!("a = \"box.1 to fridge.+, {piece}, red\""));
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "impossible-value")), at);
        let w = wire(&record.vehicle, "a");
        assert!(w.area.is_unknown() && w.length.is_unknown() && w.insulation.is_unknown());
        assert_eq!(w.colour.as_deref(), Some("red"), "the rest of the line is read");
    }
    let text =
        text("a = { from = \"bar\", size = \"0 mm2\", length = \"0 m\", insulation = \"0 C\" }");
    let record = read(&text);
    assert_eq!(record.diagnostics.len(), 3);
    assert!(record.diagnostics.iter().all(|d| d.slug == "impossible-value"));
}

#[test]
fn a_length_that_looks_like_a_size_is_doubted_but_used() {
    let text = text("a = \"box.1 to fridge.+, 6 mm\"");
    let record = read(&text);
    let fault = only(&record, "short-length");
    assert_eq!((underlined(&text, fault), fault.severity), ("6 mm", diag::Severity::Warning));
    assert_eq!(fault.help, ["if it is the size, write `6 mm2`"]);
    near(wire(&record.vehicle, "a").length.value().unwrap().si(), 0.006);
}

#[test]
fn a_name_may_be_used_before_it_is_given() {
    let record = clean(
        "[states]\nn = { on = [\"f\"] }\n[joints]\n\"w at f.+\" = \"lug\"\n[wires]\nw = \"b to f.+\"\n[devices]\nf = { kind = \"fan\", behind = \"p\" }\nb = { kind = \"busbar\" }\n[parts]\np = { out = \"1 min\", after = \"q\" }\nq = { out = \"1 min\" }",
    );
    assert_eq!(record.vehicle.wires.len(), 1);
    assert_eq!(record.vehicle.states.len(), 1);
}

#[test]
fn how_a_wire_lies_is_read_from_line_and_table() {
    let record = wires(
        "w1 = \"box.1 to fridge.+, told bundle of 6 by the owner, outside engine space\"
w2 = \"fridge.- to bar, alone, in engine space\"
w3 = { from = \"box.1\", to = \"fridge.+\", bundle = \"told 6 by the owner\", engine_space = false }
w4 = { from = \"fridge.-\", to = \"bar\", bundle = \"alone\", engine_space = true }
w5 = \"fridge.- to bar\"",
    );
    let lay = |name| {
        let w = wire(&record.vehicle, name);
        (w.bundle.value().copied(), w.engine_space.value().copied())
    };
    assert_eq!(lay("w1"), (Some(6), Some(false)));
    assert_eq!(lay("w2"), (Some(1), Some(true)));
    assert_eq!((lay("w3"), lay("w4")), (lay("w1"), lay("w2")));
    assert_eq!(lay("w5"), (None, None));
    assert_eq!(wire(&record.vehicle, "w1").bundle.origin(), Some(&told("the owner")));
    assert_eq!(wire(&record.vehicle, "w3").bundle.origin(), Some(&told("the owner")));
}

#[test]
fn a_bundle_that_is_no_count_is_refused_and_the_wire_kept() {
    for (piece, slug) in [
        ("bundle of 0", "impossible-value"),
        ("bundle of 9999", "impossible-value"),
        ("bundle of many", "wire-piece"),
        ("bundle of 2.5", "wire-piece"),
        ("bundle", "wire-piece"),
    ] {
        let record = read(&text(&format!("w1 = \"box.1 to fridge.+, 2.5 mm2, {piece}\"")));
        only(&record, slug);
        let w = wire(&record.vehicle, "w1");
        assert!(w.bundle.is_unknown() && w.area.value().is_some(), "{piece}");
    }
}

#[test]
fn usual_lay_of_wires_counts_as_assumed() {
    let record = clean(&format!(
        "[usual]\nwire = \"alone, seen outside engine space\"\n{}",
        text("w1 = \"box.1 to fridge.+\"")
    ));
    let w = wire(&record.vehicle, "w1");
    assert!(w.bundle.is_assumed() && w.engine_space.evidence() == Some(&false));
}
