//! The form of a record, written once: the reader checks keys against it, the JSON Schema is made
//! from it, and the record guide's field tables are printed from it.

use model::Attribute;

/// A section of the record.
pub(crate) struct Section {
    pub(crate) key: &'static str,
    pub(crate) help: &'static str,
    pub(crate) shape: Shape,
}

/// How a section is filled.
pub(crate) enum Shape {
    /// A table of fixed fields.
    Fields(fn() -> Vec<Field>),
    /// One line for each thing: its name, then a table of fields.
    Named(fn() -> Vec<Field>),
    /// One line for each thing: its name, then a shorthand line, or a table of fields.
    Line { line: &'static str, fields: fn() -> Vec<Field> },
}

/// A field of a table.
#[derive(Clone, Copy)]
pub(crate) struct Field {
    pub(crate) key: &'static str,
    pub(crate) form: Form,
    pub(crate) help: &'static str,
}

/// What a field holds.
#[derive(Clone, Copy)]
pub(crate) enum Form {
    /// Any words.
    Text,
    /// A quantity with its unit, perhaps with a word of origin before it.
    Quantity(units::Dimension),
    /// One of these words, perhaps with a word of origin before it.
    Choice(&'static [&'static str]),
    /// True or false.
    YesNo,
    /// A list of words.
    List,
    /// Name and quantity, or name and words.
    Map,
    /// A list of tables with fields of their own.
    Tables(fn() -> Vec<Field>),
    /// The catalog's kinds.
    Kind,
}

pub(crate) const REGIONS: &[&str] = &["north america", "europe", "australia"];
pub(crate) const CORES: &[&str] = &["solid", "stranded", "fine"];
pub(crate) const CHEMISTRIES: &[&str] = &["lfp", "agm", "gel", "flooded"];
pub(crate) const BONDS: &[&str] = &["never", "while inverting", "always", "centre tap"];
pub(crate) const ENGINES: &[&str] = &["off", "running"];
pub(crate) const POSITIONS: &[&str] =
    &["standing", "sitting", "kneeling", "lying", "lying under", "on the roof"];
pub(crate) const SHOWS: &[&str] =
    &["works", "dead", "weak", "trips", "warm", "clicks", "hunts", "not reproduced"];
pub(crate) const SHORES: &[&str] = &["unplugged", "plugged"];
pub(crate) const SUPPLIES: &[&str] =
    &["correct", "reversed", "no earth", "earth by rod only", "no neutral", "floating"];

/// All sections.
pub(crate) const SECTIONS: &[Section] = &[
    Section {
        key: "vehicle",
        help: "What it is, whose rules it is judged by, and the complaint.",
        shape: Shape::Fields(vehicle),
    },
    Section {
        key: "workshop",
        help: "What the workshop has. Without it, every tool is taken to be there.",
        shape: Shape::Fields(workshop),
    },
    Section {
        key: "usual",
        help: "Said once for all wires and joints; counts as assumed unless it says `seen` or `told`.",
        shape: Shape::Fields(usual),
    },
    Section { key: "devices", help: "Anything with studs or pins.", shape: Shape::Named(device) },
    Section {
        key: "wires",
        help: "Conductors between two terminals.",
        shape: Shape::Line {
            line: "house.+ to main-fuse.in, 35 mm2, red, 0.4 m, stranded, 105 C, sheathed, behind splash",
            fields: wire,
        },
    },
    Section {
        key: "joints",
        help: "Landings of wires: `\"w12 at fridge.+\"`, or `\"all at inverter\"`.",
        shape: Shape::Line {
            line: "lug, corroded, measured 180 mOhm, no strain relief",
            fields: joint,
        },
    },
    Section {
        key: "stacks",
        help: "The order of things on a stud, from the surface outwards.",
        shape: Shape::Line { line: "painted bracket, w3, steel washer, w7, nut", fields: nothing },
    },
    Section {
        key: "parts",
        help: "Panels, cupboards, trim: what holds them and how they come out.",
        shape: Shape::Line { line: "drawer under the sink", fields: part },
    },
    Section {
        key: "spots",
        help: "Places worth reaching that are no device.",
        shape: Shape::Named(spot),
    },
    Section {
        key: "states",
        help: "How the vehicle stands: engine, sun, shore, what is on.",
        shape: Shape::Named(state),
    },
    Section {
        key: "symptoms",
        help: "What the owner or the technician noticed.",
        shape: Shape::Line { line: "the fridge stops before dawn", fields: symptom },
    },
    Section {
        key: "readings",
        help: "What an instrument showed, in which state, between which points.",
        shape: Shape::Line {
            line: "night: 10.7 V between fridge.+ and fridge.-, multimeter, RK",
            fields: nothing,
        },
    },
    Section {
        key: "history",
        help: "How the complaint began, and what the search could not get at.",
        shape: Shape::Fields(history),
    },
    Section {
        key: "took",
        help: "How long parts really took to come out and go back.",
        shape: Shape::Line {
            line: "splash: measured 26 min out, 50 min back by RK on 2026-05-02",
            fields: nothing,
        },
    },
    Section { key: "mends", help: "Proposed changes to the record.", shape: Shape::Named(mend) },
    Section {
        key: "authority",
        help: "What was agreed to, by whom, by which way and when.",
        shape: Shape::Named(authorisation),
    },
    Section {
        key: "photos",
        help: "Pictures that lie beside the record and go into the pack.",
        shape: Shape::Named(photo),
    },
];

/// The section of a key.
pub(crate) fn section(key: &str) -> Option<&'static Section> {
    SECTIONS.iter().find(|section| section.key == key)
}

fn field(key: &'static str, form: Form, help: &'static str) -> Field {
    Field { key, form, help }
}

fn nothing() -> Vec<Field> {
    Vec::new()
}

pub(crate) fn vehicle() -> Vec<Field> {
    vec![
        field("name", Form::Text, "what you call the vehicle"),
        field("is", Form::Text, "what it is, in words"),
        field("region", Form::Choice(REGIONS), "whose rules it is judged by"),
        field(
            "system",
            Form::Quantity(units::Dimension::Voltage),
            "nominal voltage of the house side",
        ),
        field("complaint", Form::Text, "the complaint in the owner's words"),
        field("seen", Form::Text, "who saw what is written bare, and when: `by RK on 2026-05-02`"),
        field(
            "inside",
            Form::Text,
            "the inside of the vehicle as a box; its walls shut the way out of parts",
        ),
        field(
            "documents",
            Form::Text,
            "papers that go with the vehicle: `wiring diagram, fuse list`; `none`",
        ),
        field(
            "dry",
            Form::Quantity(units::Dimension::Fraction),
            "moisture of its wood where it is known to be dry, by the same pin meter",
        ),
    ]
}

const BOX: &str = "the space it takes up, along the vehicle's axes: `forward 1.2 to 1.8 m, left -0.3 to 0.4 m, up 0 to 80 cm`";

const DAMP: Form = Form::Quantity(units::Dimension::Fraction);

pub(crate) fn workshop() -> Vec<Field> {
    vec![
        field("tools", Form::List, "the tools that are there; the others are missing"),
        field("hour", Form::Text, "what an hour of work costs: `78 EUR`"),
        field("licensed_hour", Form::Text, "what an hour of somebody licensed costs"),
        field(
            "tax",
            Form::Quantity(units::Dimension::Fraction),
            "tax on everything: `19 %`; `0 %` if there is none",
        ),
        field(
            "prices",
            Form::Map,
            "what parts cost, wire by the metre: `{ \"wire 2.5 mm2\" = \"1.10 EUR\", lug = \"0.85 EUR\" }`",
        ),
        field("law", Form::Text, "whose rules on estimates hold: `california`, `ontario`, ..."),
    ]
}

pub(crate) fn usual() -> Vec<Field> {
    vec![
        field(
            "wire",
            Form::Text,
            "pieces of a wire line for every wire that does not say otherwise",
        ),
        field(
            "joint",
            Form::Text,
            "pieces of a joint line for every joint that does not say otherwise",
        ),
    ]
}

pub(crate) fn device() -> Vec<Field> {
    let mut fields = vec![
        field(
            "kind",
            Form::Kind,
            "what it is, from the catalog; brings terminals and usual values",
        ),
        field("label", Form::Text, "what people call it"),
        field("at", Form::Text, "where it is, in words"),
        field(
            "behind",
            Form::Text,
            "parts that must be out to touch it: `splash or drawer and back`; `nothing` if it stands open",
        ),
        field("chemistry", Form::Choice(CHEMISTRIES), "of a battery"),
        field("bond", Form::Choice(BONDS), "where it joins neutral to earth"),
        field(
            "ways",
            Form::List,
            "ways of a fuse box in order: `15 A fridge`, `unknown pump`, `empty`",
        ),
        field("serviced", Form::Text, "how often it is serviced: `told 4 a year by the owner`"),
        field(
            "held",
            Form::Text,
            "what holds a heavy thing: `strap, 2 screws 4 mm, into 9 mm lining`",
        ),
        field("box", Form::Text, BOX),
        field(
            "own_cell",
            Form::YesNo,
            "it holds a cell or battery of its own that may keep things live",
        ),
        field("looks", Form::Text, "what was seen of it: `no label, below water`"),
        field("on", Form::Text, "metal a chassis point is on: `steel, 1.5 mm, welded`"),
    ];
    fields.extend(Attribute::ALL.iter().map(|(attribute, key, dimension)| {
        field(key, Form::Quantity(*dimension), meaning(*attribute))
    }));
    fields
}

fn meaning(attribute: Attribute) -> &'static str {
    match attribute {
        Attribute::Rated => "what it is rated for",
        Attribute::Limit => "most current it delivers",
        Attribute::Regulates => "voltage it regulates to",
        Attribute::Droop => "fall of that voltage per ampere",
        Attribute::Resistance => "inside it, or of its contacts",
        Attribute::Holds => "charge a battery holds",
        Attribute::Rest => "voltage at rest, if measured; else from chemistry and charge",
        Attribute::Power => "power drawn or delivered",
        Attribute::Idle => "power drawn when idle",
        Attribute::Efficiency => "output over input power",
        Attribute::CutOut => "switches off below this voltage",
        Attribute::Restart => "switches on again from this voltage",
        Attribute::ShortCurrent => "short-circuit current on the module's label",
        Attribute::OpenVoltage => "open-circuit voltage on the module's label",
        Attribute::Armature => "armature resistance of a motor",
        Attribute::BackEmf => "back-EMF of a motor at its running speed",
        Attribute::Interrupts => "most current a protective device can interrupt",
        Attribute::Mass => "mass",
        Attribute::Nominal => "nominal voltage of a battery block",
        Attribute::Residual => "rated residual current of its residual-current device; `0 A`: none",
        Attribute::Leakage => "current leaking from line to earth, mains side",
        Attribute::PowerFactor => "of a mains appliance; 1 for plain heating",
        Attribute::ChargeLimit => "most charging current its board lets in before it opens",
        Attribute::DischargeLimit => "most current its board lets out before it opens",
        Attribute::ChargeStop => "its board stops charging above this voltage",
        Attribute::ChargeResume => "its board lets charge in again below this voltage",
        Attribute::ColdLimit => "its board lets no charge in below this temperature",
        Attribute::LowOutput => {
            "alternator output at 1500 rpm of its own, the first on its marking"
        }
        Attribute::Pulley => "turns of the alternator for each turn of the engine",
        Attribute::HotShare => "output of the hot alternator over that of the cold one",
        Attribute::QuarterEfficiency => "efficiency at a quarter of the continuous power",
        Attribute::FullEfficiency => "efficiency at the continuous power",
        Attribute::Continuous => "power an inverter can deliver for good",
        Attribute::Coil => "resistance of a relay's coil",
        Attribute::Delay => "time a relay waits before it moves",
        Attribute::Capacitance => "capacitance across its input: `10 mF`",
        Attribute::Bleeder => "resistance that empties its input capacitors",
        Attribute::Precharge => "resistance its input capacitors are filled through first",
        Attribute::BypassGroups => "groups of cells of a module with a bypass diode each",
        Attribute::Offset => "current a monitor shows when none flows",
        Attribute::MadeFor => {
            "most direct voltage a fuse, breaker, switch or controller is made for, as printed on it; `0 V`: mains alone"
        }
        Attribute::Wait => {
            "time to wait after its supply is off, as its maker says: `told 10 min by the maker`"
        }
    }
}

pub(crate) fn wire() -> Vec<Field> {
    vec![
        field("from", Form::Text, "terminal it starts at, `behind PART`, or `unknown`"),
        field("to", Form::Text, "terminal it ends at, `behind PART`, or `unknown`"),
        field("size", Form::Quantity(units::Dimension::Area), "cross-section"),
        field("length", Form::Quantity(units::Dimension::Length), "length along the wire"),
        field("core", Form::Choice(CORES), "how the conductor is made"),
        field(
            "insulation",
            Form::Quantity(units::Dimension::Temperature),
            "temperature rating of the insulation",
        ),
        field("colour", Form::Text, "as seen"),
        field("sheathed", Form::YesNo, "in a sheath, conduit or enclosure all the way"),
        field(
            "bundle",
            Form::Text,
            "loaded conductors that lie together on its way, itself included: `6`, or `alone`",
        ),
        field("engine_space", Form::YesNo, "some of it runs in the engine space"),
        field("behind", Form::Text, "a part it runs behind"),
        field("looks", Form::Text, "what was seen of its way: `no grommet, near heat`"),
        field("held_every", LENGTH, "longest stretch between two supports"),
        field("bend", LENGTH, "radius of its tightest bend, inside"),
        field("outside", LENGTH, "outside diameter, insulation or sheath included"),
        field(
            "hottest",
            Form::Quantity(units::Dimension::Temperature),
            "temperature of the hottest place it passes, as found there",
        ),
        field("from_mains", LENGTH, "smallest distance to wiring of the other voltage"),
    ]
}

const LENGTH: Form = Form::Quantity(units::Dimension::Length);

pub(crate) fn joint() -> Vec<Field> {
    Vec::new()
}

pub(crate) fn part() -> Vec<Field> {
    let mut fields = vec![
        field("is", Form::Text, "what people call it"),
        field("taken_out", Form::YesNo, "it is already out"),
        field("moved", Form::Text, "the position of `moves` that it stands in now"),
        field("mass", Form::Quantity(units::Dimension::Mass), "what it weighs"),
        field("held", Form::Text, "of heavy furniture: what holds it in a crash, as for devices"),
        field("box", Form::Text, BOX),
        field("damp", DAMP, "moisture of its wood, by a pin meter"),
        field("or", Form::Tables(removal), "other ways of taking it out"),
        field("moves", Form::Tables(moved), "positions it can be moved to, enough for some things"),
    ];
    fields.extend(removal());
    fields
}

pub(crate) fn removal() -> Vec<Field> {
    vec![
        field("how", Form::Text, "the way, in words"),
        field("after", Form::Text, "parts that must be out first: `drawer and cupboard or bed`"),
        field(
            "fixings",
            Form::Text,
            "what is undone: `8 screws, 2 seized bolts with spanner to 24 N m`",
        ),
        field("with", Form::List, "tools it takes besides those of its fixings"),
        field("position", Form::Choice(POSITIONS), "how one has to stand or lie"),
        field("second_person", Form::YesNo, "it takes two people"),
        field("force", Form::Text, "push or pull it takes: `220 N`"),
        field("out", Form::Text, "minutes to take it out: `10 min` or `8 / 10 / 20 min`"),
        field("back", Form::Text, "minutes to put it back"),
        field("breaks", Form::Text, "how likely it breaks and what that costs: `70 % for 180 EUR`"),
        field("destroys", Form::Text, "it is destroyed this way; what a new one costs"),
        field("mess", Form::Text, "what has to be cleaned up: `15 min of tile dust`"),
    ]
}

pub(crate) fn moved() -> Vec<Field> {
    let mut fields = vec![field(
        "to",
        Form::Text,
        "name of the position: `slid`, then `behind = \"fridge slid\"`",
    )];
    fields.extend(removal());
    fields
}

pub(crate) fn spot() -> Vec<Field> {
    vec![
        field("is", Form::Text, "what people call it"),
        field("behind", Form::Text, "parts that must be out to touch it"),
        field("box", Form::Text, BOX),
        field("damp", DAMP, "moisture of the wood there, by a pin meter"),
    ]
}

pub(crate) fn state() -> Vec<Field> {
    vec![
        field("engine", Form::Choice(ENGINES), "off unless written"),
        field(
            "engine_speed",
            Form::Quantity(units::Dimension::RotationalSpeed),
            "speed of the running engine: `800 rpm`; full alternator output unless written",
        ),
        field(
            "commanded",
            Form::Map,
            "voltage an alternator is told to hold by the engine: `{ alternator = \"12.4 V\" }`",
        ),
        field(
            "sun",
            Form::Quantity(units::Dimension::Irradiance),
            "light on the roof; none unless written",
        ),
        field(
            "cells",
            Form::Quantity(units::Dimension::Temperature),
            "temperature of the solar cells; from sun and air unless written",
        ),
        field(
            "shade",
            Form::Map,
            "light lost on one bypass group of a module: `{ panel = \"70 %\" }`",
        ),
        field("shore", Form::Choice(SHORES), "unplugged unless written"),
        field(
            "supply",
            Form::Choice(SUPPLIES),
            "how the socket the lead is plugged into is wired, as found there with a meter",
        ),
        field(
            "on",
            Form::List,
            "loads, inverters and generators that are on; `all loads` for every load",
        ),
        field("stalled", Form::List, "motors that are on and held fast"),
        field("open", Form::List, "switches, breakers and fuses that are open"),
        field("charge", Form::Map, "how full batteries are: `{ house = \"80 %\" }`"),
        field(
            "temperature",
            Form::Quantity(units::Dimension::Temperature),
            "of wires and batteries; 20 C unless written",
        ),
    ]
}

pub(crate) fn symptom() -> Vec<Field> {
    vec![
        field("words", Form::Text, "what was noticed"),
        field("device", Form::Text, "the device it is about"),
        field("state", Form::Text, "the state it shows in"),
        field(
            "shows",
            Form::Choice(SHOWS),
            "the same in one word; `told` before it if the owner says so",
        ),
        field(
            "after",
            Form::Quantity(units::Dimension::Seconds),
            "how long it takes to show: `20 s`",
        ),
    ]
}

pub(crate) fn history() -> Vec<Field> {
    vec![
        field("answers", Form::List, "how it began: `never worked`, `after rain`, ..."),
        field("not_reached", Form::List, "terminals a probe could not get at"),
        field(
            "no_cure",
            Form::List,
            "places that were put right, and everything stayed as it was: joints, devices, terminals, wires",
        ),
        field(
            "changed",
            Form::List,
            "places that were put right, after which something was different, and behind a colon the readings and symptoms from before, which are no longer weighed: `f1 at box.1: r1, dim`",
        ),
    ]
}

pub(crate) fn mend() -> Vec<Field> {
    vec![
        field("words", Form::Text, "what is done"),
        field("sets", Form::Map, "values that change: `{ \"wires.w12\" = \"...\" }`"),
        field("adds", Form::Map, "what is new: `{ \"wires.w12b\" = \"...\" }`"),
        field("removes", Form::List, "what goes: `[\"joints.w12 at box.3\"]`"),
        field(
            "was",
            Form::Map,
            "what stood there when the mend was thought of; without it nobody notices that the record has changed since",
        ),
    ]
}

pub(crate) fn authorisation() -> Vec<Field> {
    vec![
        field("by", Form::Text, "who agreed"),
        field("channel", Form::Text, "by which way: `on the telephone`, `in person`, `by message`"),
        field("on", Form::Text, "when: `2026-05-02 14:10`"),
        field("allows", Form::List, "repairs agreed to, by their names; `everything`"),
        field("declines", Form::List, "repairs declined"),
        field("total", Form::Text, "the total agreed to, tax included: `480 EUR`"),
        field("words", Form::Text, "in their words"),
        field("recorder", Form::Text, "who wrote it down"),
    ]
}

pub(crate) fn photo() -> Vec<Field> {
    vec![
        field("file", Form::Text, "path from the folder of the record: `photos/lug.jpg`"),
        field("of", Form::Text, "device, terminal, wire, part, spot or joint: `w3 at house.+`"),
        field(
            "arrow",
            Form::Text,
            "where an arrow points, from the left and the top: `62 %, 40 %`",
        ),
        field("words", Form::Text, "what it shows"),
        field("seen", Form::Text, "who took it, and when: `by RK on 2026-05-02`"),
    ]
}
