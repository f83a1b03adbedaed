//! Any text at all, and sound records with a few characters changed: reading never panics, every
//! span lies in the text, and it ends soon.

use proptest::prelude::*;

use super::{read, well_formed};

/// One of everything, so that a changed character meets every reader.
const WHOLE: &str = r#"unbury = 1
[vehicle]
name = "Dab" # a remark
region = "europe"
system = "12 V"
seen = "by RK on 2026-05-02"
[usual]
wire = "1.5 mm2, seen fine by RK"
joint = "crimp"
[devices]
house = { kind = "agm battery", holds = "100 Ah", held = "strap, 2 screws 4 mm, into 9 mm lining" }
box = { kind = "blade fuse box", ways = ["15 A fridge", "told 10 A pump", "unknown", "empty"] }
fridge = { kind = "compressor fridge", power = "measured 50 W ± 2 W by RK on 2026-05-02", behind = "drawer and back or splash" }
inlet = { kind = "shore inlet" }
unit = { kind = "consumer unit", bond = "always" }
[wires]
w1 = "house.+ to box.in, 6 AWG, told 5 ft 6 in by the owner, red, 90 C, sheathed, behind splash"
w2 = { from = "box.1", to = "fridge.+", size = "2.5 mm2", length = "4 m", core = "fine" }
ac = "inlet.ac to unit.in, 3 x 2.5 mm2"
[joints]
"w2 at fridge.+" = "spade, corroded, measured 180 mOhm ± 10 mOhm by RK"
"all at unit" = "screw, no strain relief"
[stacks]
"house.+" = "painted post, w1, steel washer, nut"
[parts]
splash = "splash panel"
drawer = { fixings = "4 screws, 2 clips", after = "splash", out = "8 / 10 / 20 min", breaks = "30 % for 60 EUR", or = [{ how = "cut", destroys = "180 EUR", out = "3 min" }] }
back = { out = "told 1 h 20 min", back = "1 h" }
[spots]
stud = { is = "earth stud", behind = "nothing" }
[states]
night = { on = ["fridge"], open = ["unit"], charge = { house = "80 %" }, temperature = "-5 C", sun = "0 W/m2" }
[symptoms]
s = { words = "stops", device = "fridge", state = "night" }
[readings]
r = "night: 10.7 V ± 0.1 V between fridge.+ and fridge.-, multimeter"
[mends]
m = { words = "x", sets = { "wires.w1" = "house.+ to box.in, 4 AWG" } }
"#;

/// Signs that mean something to some reader, and some that mean nothing.
const SIGNS: &[&str] = &[
    "\"",
    "'",
    "\\",
    "[",
    "]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "#",
    "\n",
    "\r",
    "\0",
    "\t",
    " ",
    "-",
    "+",
    "±",
    "/",
    ":",
    "%",
    "9",
    "0",
    "e",
    "A",
    "nan",
    "inf",
    "1e400",
    " and ",
    " or ",
    " to ",
    " at ",
    " in ",
    " between ",
    "unknown",
    "measured ",
    "told ",
    "assumed ",
    " because ",
    " by ",
    " on ",
    "behind ",
    "all at ",
    "3 x ",
    "é",
    "\u{43e}",
    "\u{2212}",
    "\u{feff}",
    "\u{200b}",
    "\u{1f69a}",
    "\"\"\"",
    "'''",
    "[[",
    "\\u",
];

/// Where (as a share of the text), how many characters go, and what comes.
type Change = (f64, usize, usize);

fn changed(text: &str, changes: &[Change]) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for (place, gone, sign) in changes {
        let at = ((chars.len() as f64) * place) as usize;
        let end = (at + gone).min(chars.len());
        let new = SIGNS.get(*sign).copied().unwrap_or("");
        chars.splice(at..end, new.chars());
    }
    chars.into_iter().collect()
}

fn changes(most: usize) -> impl Strategy<Value = Vec<Change>> {
    prop::collection::vec((0.0..1.0, 0_usize..4, 0..SIGNS.len() + 8), 1..most)
}

#[test]
fn the_record_with_one_of_everything_is_sound() {
    super::clean(WHOLE);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read(text in "\\PC{0,200}") {
        well_formed(&text, &read(&text));
    }

    #[test]
    fn any_line_of_toml_signs_is_read(text in prop::collection::vec(prop::sample::select(SIGNS), 0..120)) {
        let text = text.concat();
        well_formed(&text, &read(&text));
    }

    #[test]
    fn any_words_in_any_field_are_read(words in "[ -~°±×éо−]{0,40}", field in 0_usize..24) {
        let words = words.replace(['"', '\\'], "'");
        let text = in_field(&words, field);
        well_formed(&text, &read(&text));
    }

    #[test]
    fn a_sound_record_with_some_characters_changed_is_read(changes in changes(12)) {
        let text = changed(WHOLE, &changes);
        well_formed(&text, &read(&text));
    }

    #[test]
    fn a_sound_record_cut_off_anywhere_is_read(share in 0.0..1.0) {
        let kept = (WHOLE.chars().count() as f64 * share) as usize;
        let text: String = WHOLE.chars().take(kept).collect();
        well_formed(&text, &read(&text));
    }

    #[test]
    fn reading_the_same_text_twice_gives_the_same(changes in changes(6)) {
        let text = changed(WHOLE, &changes);
        let (first, second) = (read(&text), read(&text));
        prop_assert_eq!(format!("{:?}", first.vehicle), format!("{:?}", second.vehicle));
        prop_assert_eq!(first.diagnostics, second.diagnostics);
    }
}

fn in_field(words: &str, field: usize) -> String {
    let w = words;
    let devices = "[devices]\nbox = { kind = \"blade fuse box\", ways = [\"5 A x\"] }\nfan = { kind = \"fan\" }\n[parts]\np = { out = \"1 min\" }\n";
    let rest = match field {
        0 => format!("[wires]\nw = \"{w}\""),
        1 => format!("[wires]\nw = \"box.1 to fan.+, {w}\""),
        2 => format!("[wires]\nw = \"{w} to fan.+\""),
        3 => format!(
            "[wires]\nw = {{ size = \"{w}\", length = \"{w}\", core = \"{w}\", from = \"{w}\" }}"
        ),
        4 => format!("[joints]\n\"{w}\" = \"lug\""),
        5 => format!("[wires]\nw = \"box.1 to fan.+\"\n[joints]\n\"w at box\" = \"{w}\""),
        6 => format!("[stacks]\n\"box.1\" = \"{w}\""),
        7 => format!("[stacks]\n\"{w}\" = \"nut\""),
        8 => format!("[parts.q]\nfixings = \"{w}\""),
        23 => format!("[parts.q]\nbox = \"{w}\"\nfixings = \"2 bolts {w}\"\nmass = \"{w}\""),
        24 => format!(
            "[parts.q]\nout = \"1 min\"\nwith = \"{w}\"\nforce = \"{w}\"\nposition = \"{w}\"\nmess = \"{w}\"\nmoved = \"{w}\"\nmoves = [{{ to = \"{w}\", out = \"{w}\" }}]"
        ),
        9 => format!("[parts.q]\nout = \"{w}\"\nback = \"{w}\""),
        10 => format!("[parts.q]\nout = \"1 min\"\nafter = \"{w}\""),
        11 => format!("[parts.q]\nout = \"1 min\"\nbreaks = \"{w}\""),
        12 => format!("[parts.q]\nout = \"1 min\"\ndestroys = \"{w}\""),
        13 => format!("[spots.s]\nbehind = \"{w}\""),
        14 => format!(
            "[states.s]\non = [\"{w}\"]\nopen = [\"{w}\"]\nsun = \"{w}\"\ntemperature = \"{w}\"\nengine = \"{w}\""
        ),
        15 => format!("[states.s]\ncharge = {{ \"{w}\" = \"{w}\" }}"),
        16 => format!("[states.s]\n[readings]\nr = \"{w}\""),
        17 => format!("[states.s]\n[readings]\nr = \"s: {w}\""),
        18 => format!("[states.s]\n[readings]\nr = \"s: {w} between fan.+ and fan.-\""),
        19 => format!("[mends]\nm = {{ sets = {{ \"{w}\" = \"x\" }} }}"),
        20 => format!("[vehicle]\nseen = \"{w}\"\nsystem = \"{w}\"\nregion = \"{w}\""),
        21 => format!("[usual]\nwire = \"{w}\"\njoint = \"{w}\""),
        22 => format!(
            "[devices.y]\nkind = \"blade fuse box\"\nways = [\"{w}\", \"told {w}\"]\nrated = \"{w}\""
        ),
        _ => format!(
            "[devices.y]\nkind = \"agm battery\"\nheld = \"{w}\"\nbehind = \"{w}\"\nchemistry = \"{w}\""
        ),
    };
    format!("{devices}{rest}\n")
}
