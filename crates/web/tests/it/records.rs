//! The records that pages are made from.

pub(crate) const DUNLIN: &str = include_str!("../../../../records/dunlin/dunlin.toml");
pub(crate) const EXPECTED: &str = include_str!("../../../../records/dunlin/expected.toml");

/// The vehicles of the repository, whole.
pub(crate) const ALL: [(&str, &str); 5] = [
    ("dunlin", DUNLIN),
    ("plover", include_str!("../../../../records/plover/plover.toml")),
    ("tarn", include_str!("../../../../records/tarn/tarn.toml")),
    ("bracken", include_str!("../../../../records/bracken/bracken.toml")),
    ("wren", include_str!("../../../../records/wren/wren.toml")),
];

/// Text that would run, or close an attribute, if it were not escaped.
pub(crate) const SCRIPT: &str = "<script>alert(1)</script>\\\"' onload=alert(1)";

/// A record with script in every field that takes words.
pub(crate) fn with_script() -> String {
    let s = SCRIPT;
    format!(
        r#"unbury = 1
[vehicle]
name = "{s}"
is = "{s}"
complaint = "{s}"
region = "{s}"
system = "12 V"
seen = "by {s} on 2026-05-02"
[devices]
house = {{ kind = "agm battery", label = "{s}", at = "{s}", behind = "lid", holds = "told 90 Ah by {s}", resistance = "assumed 4 mOhm because {s}" }}
lamp = {{ kind = "led lights", label = "{s}", at = "{s}", behind = "nothing", power = "24 W" }}
odd = {{ kind = "{s}" }}
box = {{ kind = "blade fuse box", ways = ["10 A {s}"] }}
[wires]
w1 = "house.+ to box.in, 2.5 mm2, {s}"
w2 = "box.1 to lamp.+, 1.5 mm2, told 3 m by {s}"
w3 = "lamp.- to house.-, 1.5 mm2"
"{s}" = "a to b"
[parts]
lid = {{ is = "{s}", how = "{s}", fixings = "4 screws", mess = "10 min of {s}" }}
[states]
night = {{ on = ["lamp"], charge = {{ house = "80 %" }} }}
[symptoms]
dim = {{ words = "{s}", device = "lamp", state = "night", shows = "told weak" }}
[readings]
r1 = "night: 11 V between lamp.+ and lamp.-, {s}"
[mends]
m = {{ words = "{s}", sets = {{ "wires.w2" = "{s}" }} }}
[photos]
p = {{ file = "photos/a.jpg", of = "lamp", words = "{s}" }}
"#
    )
}

/// A record with a fault of each sort.
pub(crate) const FAULTY: &str = "unbury = 1\n[vehicle]\nname = \"Faulty\"\n[devices]\na = { kind = \"agm battery\", holds = \"90 kilo\" }\nb = { kind = \"nonsense\" }\n[wires]\nw1 = \"a.+ to nowhere.x, 3 mm3\"\n[oops]\n";
