//! What the eye sees: defects of looks to put into the clean vehicle, and looks that are only assumed.
//! Which check has to name which look is written here by hand, from the trade's words for it.

use testkit::Dice;

use super::{Defect, Van};

/// A look of wires: the check, the words when it is wrong, the words when it is as it should be.
const OF_WIRES: [(&str, &str, &str); 9] = [
    ("edge-without-grommet", "no grommet", "grommets"),
    ("wire-near-heat", "near heat", "clear of heat"),
    ("wire-on-gas-or-fuel-line", "on gas line", "clear of gas line"),
    ("wire-on-gas-or-fuel-line", "on fuel line", "clear of fuel line"),
    ("wire-unsupported", "unsupported", "supported"),
    ("wire-foamed-in", "foamed in", "not foamed in"),
    ("wire-in-drill-zone", "in drill zone", "clear of screws"),
    ("insulation-damaged", "chafed", "insulation whole"),
    ("in-airbag-zone", "in airbag zone", "clear of airbags"),
];

/// A look of devices: check, device, wrong, right.
const OF_DEVICES: [(&str, &str, &str, &str); 5] = [
    ("switch-without-label", "isolator", "no label", "labelled"),
    ("isolator-not-from-door", "isolator", "not from the door", "from the door"),
    ("electrics-below-water", "inverter", "below water", "clear of water"),
    ("no-air-around", "inverter", "no air around it", "air around it"),
    ("device-loose", "solar", "loose", "fixed"),
];

/// A wire of a load's feed gets words behind its length.
fn say_of_wire(van: &mut Van, dice: &mut Dice, words: &str) -> String {
    let load = van.any_load(dice);
    say(van, &load.feed(), words);
    format!("wire {}", load.feed())
}

fn say(van: &mut Van, wire: &str, words: &str) {
    let (_, line) = van.wires.iter_mut().find(|(name, _)| name == wire).expect("a wire");
    line.push_str(&format!(", {words}"));
}

/// Defects of one look each, drawn by number: a table of functions would say the same thirteen times.
pub(crate) fn put_in(number: usize, van: &mut Van, dice: &mut Dice) -> (&'static str, String) {
    if let Some((check, wrong, _)) = OF_WIRES.get(number) {
        return (check, say_of_wire(van, dice, wrong));
    }
    if let Some((check, device, wrong, _)) = OF_DEVICES.get(number - OF_WIRES.len()) {
        let (_, fields) = van.devices.iter_mut().find(|(name, _)| name == device).expect("it");
        fields.push_str(&format!(", looks = \"{wrong}\""));
        return (check, (*device).to_owned());
    }
    let other = &OTHERS[number - OF_WIRES.len() - OF_DEVICES.len()];
    (other.check, (other.put_in)(van, dice))
}

/// How many defects of looks there are.
pub(crate) fn count() -> usize {
    OF_WIRES.len() + OF_DEVICES.len() + OTHERS.len()
}

const fn other(check: &'static str, put_in: fn(&mut Van, &mut Dice) -> String) -> Defect {
    Defect { check, touches: "looks", brings: &[], put_in }
}

/// Joints, and looks that need more than a word.
const OTHERS: &[Defect] = &[
    other("moving-wire-without-loop", |van, dice| say_of_wire(van, dice, "moves, no loop")),
    other("mains-beside-low-voltage", |van, dice| say_of_wire(van, dice, "with mains")),
    other("terminal-not-crimped", |van, dice| {
        let load = van.any_load(dice);
        let at = format!("{} at {}.+", load.feed(), load.name);
        van.joints.push(format!("\"{at}\" = \"lug, not crimped\""));
        at
    }),
    other("fine-strands-under-a-screw", |van, dice| {
        let load = van.any_load(dice);
        van.of_wire(&load.feed(), "mm2,", "mm2, fine,");
        let at = format!("{} at {}.+", load.feed(), load.name);
        van.joints.push(format!("\"{at}\" = \"screw, no ferrule\""));
        at
    }),
    other("live-terminal-uncovered", |van, _| {
        van.joints.push("\"h1 at house.+\" = \"lug, uncovered\"".to_owned());
        "h1 at house.+".to_owned()
    }),
    other("cable-entry-shared", |van, _| {
        van.joints.push("\"ac2 at unit\" = \"screw, shared entry\"".to_owned());
        van.joints.push("\"ac3 at unit\" = \"screw, shared entry\"".to_owned());
        "ac2/L at unit.out.L".to_owned()
    }),
    other("mixed-metals-at-body-point", |van, dice| {
        let load = van.any_load(dice);
        van.device("rib", "kind = \"chassis point\", on = \"aluminium, 3 mm, welded\"");
        van.wire("x1", &format!("{}.- to rib, 2.5 mm2, 1 m", load.name));
        van.joints.push("\"x1 at rib\" = \"lug, bare copper\"".to_owned());
        "x1 at rib".to_owned()
    }),
];

/// Every look as it should be, seen, on every wire and device that has one here.
pub(crate) fn all_good(van: &mut Van) {
    let words: Vec<&str> = OF_WIRES.iter().map(|(_, _, good)| *good).collect();
    let words = format!("{}, still, apart from mains", words.join(", "));
    let low_voltage: Vec<String> = van.wires.iter().map(|(name, _)| name.clone()).collect();
    for name in low_voltage.iter().filter(|name| !name.starts_with("ac")) {
        say(van, name, &words);
    }
    for (name, fields) in &mut van.devices {
        let good: Vec<&str> = OF_DEVICES
            .iter()
            .filter(|(_, device, ..)| device == name)
            .map(|(.., good)| *good)
            .collect();
        if !good.is_empty() {
            fields.push_str(&format!(", looks = \"{}\"", good.join(", ")));
        }
    }
}

/// A look that is only assumed to be as it should be, by number: check and place.
pub(crate) fn assume(number: usize, van: &mut Van) -> (&'static str, String) {
    if let Some((check, _, good)) = OF_WIRES.get(number) {
        say(van, "f1", &format!("assumed {good} because the others are"));
        return (check, "wire f1".to_owned());
    }
    let (check, device, _, good) = OF_DEVICES[number - OF_WIRES.len()];
    let (_, fields) = van.devices.iter_mut().find(|(name, _)| name == device).expect("it");
    fields.push_str(&format!(", looks = \"assumed {good} because the others are\""));
    (check, device.to_owned())
}

/// How many looks can be assumed.
pub(crate) fn assumed_count() -> usize {
    OF_WIRES.len() + OF_DEVICES.len()
}
