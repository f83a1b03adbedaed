//! How the vehicle stands: at rest, with its loads on in turn, charging in every way it can.

use crate::draft::Draft;
use crate::loads::Load;
use crate::mains::Mains;
use crate::sources::Core;

/// Most watts that run at once beside what always runs, for each volt of the house side.
const WATT_PER_VOLT: f64 = 25.0;

/// Names of the states with loads on; further ones are numbered.
const TURNS: [&str; 4] = ["evening", "morning", "rain", "guests"];

pub(crate) fn draw(draft: &mut Draft, core: &Core, mains: &Mains, loads: &[Load]) {
    let always: Vec<&str> =
        loads.iter().filter(|l| l.always).map(|l| l.name.as_str()).take(2).collect();
    state(draft, core, "rest", &[], "");
    let night: Vec<&str> = loads.iter().filter(|l| l.always).map(|l| l.name.as_str()).collect();
    state(draft, core, "night", &night, "temperature = \"8 C\"");
    for (at, turn) in turns(draft.nominal_v, loads).iter().enumerate() {
        let name = match TURNS.get(at) {
            Some(name) => (*name).to_owned(),
            None => format!("turn-{}", at + 1),
        };
        state(draft, core, &name, turn, "");
    }
    if core.has_link {
        state(draft, core, "driving", &always, "engine = \"running\"");
    }
    if core.has_sun {
        state(draft, core, "midday", &always, "sun = \"800 W/m2\"");
    }
    if mains.has_shore {
        let supply = match draft.is_unknown() {
            true => "",
            false => ", supply = \"measured correct by RK on 2026-05-04\"",
        };
        state(draft, core, "shore", &always, &format!("shore = \"plugged\"{supply}"));
    }
    if mains.has_inverter {
        state(draft, core, "kettle", &["inverter"], "");
    }
}

/// Every load once, as many in each turn as the bank carries.
fn turns(nominal_v: f64, loads: &[Load]) -> Vec<Vec<&str>> {
    let most = WATT_PER_VOLT * nominal_v;
    let mut turns: Vec<Vec<&str>> = vec![Vec::new()];
    let mut watt = 0.0;
    for load in loads {
        if watt + load.watt > most && watt > 0.0 {
            turns.push(Vec::new());
            watt = 0.0;
        }
        watt += load.watt;
        turns.last_mut().expect("never empty").push(&load.name);
    }
    turns
}

fn state(draft: &mut Draft, core: &Core, name: &str, on: &[&str], more: &str) {
    let percent = 60 + 5 * draft.dice.below(7);
    let charge: Vec<String> = core
        .bank
        .iter()
        .map(|battery| format!("{battery} = \"{percent} %\""))
        .chain(["starter = \"90 %\"".to_owned()])
        .collect();
    let mut fields = format!("charge = {{ {} }}", charge.join(", "));
    if !on.is_empty() {
        let on: Vec<String> = on.iter().map(|name| format!("\"{name}\"")).collect();
        fields += &format!(", on = [{}]", on.join(", "));
    }
    if !more.is_empty() {
        fields += &format!(", {more}");
    }
    draft.line("states", format!("{name} = {{ {fields} }}"));
}
