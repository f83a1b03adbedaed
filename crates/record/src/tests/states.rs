//! States, symptoms, readings and mends.

use model::{Engine, ReadingPoints, Shore};
use units::Dimension;

use super::{clean, device, near, only, read, state, underlined};

const PLACES: &str = r#"
[devices]
house = { kind = "agm battery" }
fridge = { kind = "compressor fridge" }
lamp = { kind = "filament lamp" }
inv = { kind = "inverter" }
box = { kind = "blade fuse box", ways = ["15 A fridge"] }
main = { kind = "isolator" }
inlet = { kind = "shore inlet" }
unit = { kind = "consumer unit" }
[wires]
w1 = "box.1 to fridge.+, 2.5 mm2, 4 m"
ac = "inlet.ac to unit.in, 3 x 2.5 mm2"
"#;

fn text(rest: &str) -> String {
    format!("{PLACES}{rest}\n")
}

#[test]
fn a_state_that_says_nothing_is_the_vehicle_at_rest_at_20_degrees() {
    let record = clean(&text("[states]\nrest = {}"));
    let s = state(&record.vehicle, "rest");
    assert_eq!((s.engine, s.shore), (Engine::Off, Shore::Unplugged));
    assert!(s.on.is_empty() && s.open.is_empty() && s.charge.is_empty());
    near(s.sun.si(), 0.0);
    near(s.temperature.si(), 20.0);
}

#[test]
fn a_state_says_engine_sun_shore_loads_switches_charge_and_temperature() {
    let record = clean(&text(
        "[states]\ns = { engine = \"running\", sun = \"800 W/m2\", shore = \"plugged\", on = [\"fridge\", \"inv\", \"fridge\"], open = [\"main\", \"unit\"], charge = { house = \"80 %\" }, temperature = \"-10 C\" }\nt = { charge = { house = 0.5 }, on = \"lamp\" }",
    ));
    let v = &record.vehicle;
    let s = state(v, "s");
    assert_eq!((s.engine, s.shore), (Engine::Running, Shore::Plugged));
    near(s.sun.si(), 800.0);
    near(s.temperature.si(), -10.0);
    assert_eq!(s.on, [device(v, "fridge"), device(v, "inv")], "once, whatever was written");
    assert_eq!(s.open, [device(v, "main"), device(v, "unit")]);
    assert_eq!(s.charge.len(), 1);
    near(s.charge[0].1.si(), 0.8);
    near(state(v, "t").charge[0].1.si(), 0.5);
    assert_eq!(state(v, "t").on, [device(v, "lamp")]);
}

#[test]
fn all_loads_are_the_loads_without_the_inverter() {
    let record = clean(&text(
        "[states]\ns = { on = [\"all loads\"] }\nt = { on = [\"all loads\", \"inv\"] }",
    ));
    let v = &record.vehicle;
    assert_eq!(state(v, "s").on, [device(v, "fridge"), device(v, "lamp")]);
    assert_eq!(state(v, "t").on.len(), 3);
}

#[test]
fn what_a_state_cannot_do_is_reported() {
    for (field, slug, at) in [
        ("on = [\"house\"]", "wrong-device", "house"),
        ("open = [\"fridge\"]", "wrong-device", "fridge"),
        ("open = [\"box.1\"]", "wrong-device", "box.1"),
        ("charge = { fridge = \"80 %\" }", "wrong-device", "fridge"),
        ("charge = { house = \"180 %\" }", "bad-quantity", "180 %"),
        ("charge = \"80 %\"", "wrong-form", "\"80 %\""),
        ("temperature = \"300 C\"", "impossible-value", "\"300 C\""),
        ("sun = \"-5 W/m2\"", "bad-quantity", "-5 W/m2"),
        ("engine = \"runing\"", "unknown-word", "runing"),
        ("on = [\"frige\"]", "unknown-device", "frige"),
    ] {
        let text = text(&format!("[states]\ns = {{ {field} }}"));
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, slug)), at, "{field}");
        assert_eq!(record.vehicle.states.len(), 1, "the rest of the state is read");
    }
}

#[test]
fn a_state_at_odds_with_itself_is_named_and_read_as_what_is_live() {
    let odd = |fields: &str| {
        let text = text(&format!("[states]\ns = {{ {fields} }}")).replace(
            "[wires]",
            "alt = { kind = \"alternator\" }\nm = { kind = \"water pump\" }\n[wires]",
        );
        let record = read(&text);
        let fault = record.diagnostics.iter().find(|fault| fault.slug == "state-at-odds").cloned();
        (state(&record.vehicle, "s").clone(), fault.map(|fault| fault.message))
    };
    let (s, fault) = odd("engine_speed = \"800 rpm\"");
    assert_eq!(s.engine, Engine::Running);
    assert_eq!(fault.as_deref(), Some("state `s` has `engine_speed`, but its engine is off"));
    let (s, fault) = odd("engine = \"off\", commanded = { alt = \"12.4 V\" }");
    assert_eq!(s.engine, Engine::Running);
    assert!(fault.is_some());
    let (s, fault) = odd("on = [\"main\"], open = [\"main\", \"unit\"]");
    assert_eq!((s.open.len(), s.on.len()), (1, 1), "only what is said twice counts as closed");
    assert_eq!(fault.as_deref(), Some("state `s` has `main` on, and open"));
    let (s, fault) = odd("stalled = [\"m\"]");
    assert_eq!(s.on, s.stalled);
    assert!(fault.is_some());
    let (_, fault) = odd("engine = \"running\", engine_speed = \"800 rpm\", open = [\"main\"]");
    assert_eq!(fault, None);
}

#[test]
fn a_symptom_is_words_or_a_table() {
    let record = clean(&text(
        "[states]\nnight = {}\n[symptoms]\na = \"it smells\"\nb = { words = \"stops\", device = \"fridge\", state = \"night\" }",
    ));
    let v = &record.vehicle;
    assert_eq!(v.symptoms[0].words, "it smells");
    assert_eq!(v.symptoms[0].device, None);
    assert_eq!(v.symptoms[1].device, Some(device(v, "fridge")));
    assert!(v.symptoms[1].state.is_some());
}

#[test]
fn a_reading_says_state_value_and_where() {
    let record = clean(&text(
        "[states]\nnight = {}\n[readings]\nr1 = \"night: 10.7 V ± 0.1 V between fridge.+ and fridge.-, multimeter, RK\"\nr2 = \"night: -4.9 A in w1, clamp\"\nr3 = \"night: 0 V between fridge.- and house.-\"",
    ));
    let v = &record.vehicle;
    let r = &v.readings[0];
    near(r.value, 10.7);
    near(r.spread.unwrap(), 0.1);
    assert_eq!((r.dimension, r.note.as_str()), (Dimension::Voltage, "multimeter, RK"));
    let ReadingPoints::Between(red, black) = r.points else { panic!() };
    assert_eq!(
        (v.terminal_name(red).as_str(), v.terminal_name(black).as_str()),
        ("fridge.+", "fridge.-")
    );
    near(v.readings[1].value, -4.9);
    assert!(matches!(v.readings[1].points, ReadingPoints::In(_)));
    assert_eq!(v.readings.len(), 3);
}

#[test]
fn a_reading_that_cannot_be_placed_is_left_out_with_its_reason() {
    for (line, slug, at) in [
        (
            "10.7 V between fridge.+ and fridge.-",
            "reading-line",
            "10.7 V between fridge.+ and fridge.-",
        ),
        ("dusk: 1 V between fridge.+ and fridge.-", "unknown-state", "dusk"),
        ("night: 1 V", "reading-line", "1 V"),
        ("night: 1 V between fridge.+", "reading-line", "fridge.+"),
        ("night: 1 V between fridge.+ and fridge.+", "reading-line", "fridge.+ and fridge.+"),
        ("night: 1 V between fridge.+ and frdge.-", "unknown-device", "frdge"),
        ("night: 1 V in w1", "bad-quantity", "V"),
        ("night: 1 A in w7", "unknown-wire", "w7"),
        ("night: 1 A in ac", "reading-line", "ac"),
        ("night: 1 A between fridge.+ and fridge.-", "bad-quantity", "A"),
        ("night: 1e400 V between fridge.+ and fridge.-", "bad-quantity", "1e400"),
    ] {
        let text = text(&format!(
            "[states]\nnight = {{}}\n[readings]\nr1 = \"{line}\"\nr2 = \"night: 4 A in w1\""
        ));
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, slug)), at, "{line}");
        assert_eq!(record.vehicle.readings.len(), 1);
        assert_eq!(record.vehicle.readings[0].name, "r2");
    }
}

#[test]
fn a_mend_names_values_that_exist() {
    let rest = "[joints]\n\"w1 at fridge.+\" = \"lug\"\n[mends]\nm = { words = \"bigger wire\", sets = { \"wires.w1\" = \"box.1 to fridge.+, 6 mm2, 4 m\", \"joints.w1 at fridge.+\" = \"crimp\", \"devices.box.kind\" = \"stud\" } }";
    let record = clean(&text(rest));
    let mend = &record.vehicle.mends[0];
    assert_eq!(
        (mend.name.as_str(), mend.words.as_str(), mend.changes.len()),
        ("m", "bigger wire", 3)
    );
    for path in ["wires.w9", "devices.box", "wires", "devices.box.kind.x", "devices.box.ways", ""] {
        let text = text(&format!("[mends]\nm = {{ sets = {{ \"{path}\" = \"x\" }} }}"));
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "mend-path")), path);
    }
    let text = text("[mends]\nm = { sets = \"wires.w1\" }");
    assert_eq!(underlined(&text, only(&read(&text), "wrong-form")), "\"wires.w1\"");
}
