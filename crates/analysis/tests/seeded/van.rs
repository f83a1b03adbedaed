//! A vehicle as a careful builder would make it: every source fused within 0.2 m, every wire far
//! larger than its fuse asks for, every fact seen. Sizes follow the house rule of thumb of the demo
//! workshop: 2.5 mm2 to 15 A, 6 mm2 to 30 A, 35 mm2 to 125 A, all with 105 C insulation.

use std::fmt::Write as _;

use testkit::Dice;

/// A record in pieces, so that a defect can change one.
pub(crate) struct Van {
    /// Name and fields of devices, in order.
    pub(crate) devices: Vec<(String, String)>,
    /// Name and line of wires, in order.
    pub(crate) wires: Vec<(String, String)>,
    pub(crate) joints: Vec<String>,
    pub(crate) stacks: Vec<String>,
    /// Further entries of the state in which everything is on.
    pub(crate) shore: &'static str,
    pub(crate) loads: Vec<Load>,
}

/// A load with its way in the box.
#[derive(Clone, Debug)]
pub(crate) struct Load {
    pub(crate) name: String,
    pub(crate) way: usize,
    pub(crate) amps: usize,
    pub(crate) label: String,
}

const KINDS: [(&str, &str, usize); 6] = [
    ("heater", "kind = \"heater\", power = \"90 W\"", 15),
    ("pump", "kind = \"water pump\", power = \"60 W\"", 10),
    ("lights", "kind = \"led lights\", power = \"24 W\", cut_out = \"9 V\"", 10),
    (
        "fridge",
        "kind = \"compressor fridge\", power = \"45 W\", cut_out = \"10.4 V\", restart = \"11.7 V\"",
        15,
    ),
    ("fan", "kind = \"fan\", power = \"30 W\"", 10),
    ("oven", "kind = \"heater\", power = \"150 W\"", 30),
];

impl Van {
    pub(crate) fn new(dice: &mut Dice) -> Van {
        let mut van = Van {
            devices: Vec::new(),
            wires: Vec::new(),
            joints: Vec::new(),
            stacks: Vec::new(),
            shore: "unplugged",
            loads: Vec::new(),
        };
        van.bank(dice);
        van.charging(dice);
        van.consumers(dice);
        van.mains(dice);
        van
    }

    fn bank(&mut self, dice: &mut Dice) {
        let holds = [100, 150, 200][dice.below(3)];
        self.device(
            "house",
            &format!("kind = \"lfp battery\", rest = \"13.2 V\", resistance = \"8 mOhm\", holds = \"{holds} Ah\", charge_stop = \"14.6 V\", cold_limit = \"0 C\""),
        );
        self.device("main-fuse", "kind = \"class t fuse\", rated = \"125 A\"");
        self.device("isolator", "kind = \"isolator\", rated = \"275 A\"");
        self.device("plus-bar", "kind = \"busbar\"");
        self.device("minus-bar", "kind = \"busbar\"");
        self.device("shunt", "kind = \"shunt\", resistance = \"0.1 mOhm\"");
        self.device(
            "display",
            &format!("kind = \"monitor\", resistance = \"0.1 mOhm\", holds = \"{holds} Ah\""),
        );
        self.device("display-fuse", "kind = \"blade fuse\", rated = \"2 A\"");
        self.wire("h1", "house.+ to main-fuse.in, 35 mm2, 0.15 m");
        self.wire("h2", "main-fuse.out to isolator.in, 35 mm2, 0.3 m");
        self.wire("h3", "isolator.out to plus-bar, 35 mm2, 0.4 m");
        self.wire("h4", "house.- to shunt.battery, 35 mm2, 0.3 m");
        self.wire("h5", "shunt.system to minus-bar, 35 mm2, 0.3 m");
        self.wire("h6", "house.+ to display-fuse.in, 1.5 mm2, 0.1 m");
        self.wire("h7", "display-fuse.out to display.+, 1.5 mm2, 3 m");
        self.wire("h8", "display.shunt to shunt.system, 1.5 mm2, 3 m");
        self.stacks.push("\"house.+\" = \"post, h1, h6, spring washer, nut\"".to_owned());
    }

    fn charging(&mut self, dice: &mut Dice) {
        let far = 3 + dice.below(4);
        self.device("alternator", "kind = \"alternator\"");
        self.device("starter", "kind = \"starter battery\"");
        self.device("start-fuse", "kind = \"strip fuse\", rated = \"60 A\"");
        self.device(
            "booster",
            "kind = \"dc-dc charger\", limit = \"30 A\", regulates = \"14.2 V\"",
        );
        self.device("boost-fuse", "kind = \"strip fuse\", rated = \"60 A\"");
        self.wire("c1", "alternator.+ to starter.+, 35 mm2, 1.2 m");
        self.wire("c2", "starter.+ to start-fuse.in, 16 mm2, 0.15 m");
        self.wire("c3", &format!("start-fuse.out to booster.in+, 16 mm2, {far} m"));
        self.wire("c4", "booster.out+ to boost-fuse.in, 16 mm2, 0.4 m");
        self.wire("c5", "boost-fuse.out to plus-bar, 35 mm2, 0.15 m");
        self.wire("c6", "booster.- to minus-bar, 16 mm2, 0.5 m");
        self.device("panel", "kind = \"solar module\", isc = \"6 A\", voc = \"22 V\"");
        self.device("pv-switch", "kind = \"breaker\", rated = \"15 A\"");
        self.device(
            "solar",
            "kind = \"solar controller\", limit = \"15 A\", regulates = \"14.2 V\"",
        );
        self.device("solar-fuse", "kind = \"blade fuse\", rated = \"25 A\"");
        self.wire("p1", &format!("panel.+ to pv-switch.in, 6 mm2, {far} m"));
        self.wire("p2", "pv-switch.out to solar.pv+, 6 mm2, 0.5 m");
        self.wire("p3", &format!("panel.- to solar.pv-, 6 mm2, {far} m"));
        self.wire("p4", "solar.+ to solar-fuse.in, 6 mm2, 0.5 m");
        self.wire("p5", "solar-fuse.out to plus-bar, 35 mm2, 0.15 m");
        self.wire("p6", "solar.- to minus-bar, 6 mm2, 0.5 m");
    }

    fn consumers(&mut self, dice: &mut Dice) {
        let count = 3 + dice.below(4);
        let first = dice.below(KINDS.len());
        for way in 1..=count {
            let (label, fields, amps) = KINDS[(first + way) % KINDS.len()];
            let name = format!("{label}-{way}");
            self.device(&name, fields);
            self.loads.push(Load { name, way, amps, label: label.to_owned() });
        }
        self.device("box", "");
        self.wire("b0", "plus-bar to box.in, 35 mm2, 0.5 m");
        for load in self.loads.clone() {
            let (area, length) = (load.area(), 1 + dice.below(4));
            let Load { name, way, .. } = &load;
            self.wire(&load.feed(), &format!("box.{way} to {name}.+, {area} mm2, {length} m"));
            self.wire(&load.back(), &format!("{name}.- to minus-bar, {area} mm2, {length} m"));
        }
    }

    fn mains(&mut self, dice: &mut Dice) {
        self.device("inlet", "kind = \"shore inlet\"");
        self.device(
            "unit",
            "kind = \"consumer unit\", rated = \"10 A\", residual = \"30 mA\", bond = \"never\"",
        );
        self.device("socket", "kind = \"mains socket\"");
        self.device(
            "charger",
            "kind = \"mains charger\", limit = \"20 A\", regulates = \"14.2 V\"",
        );
        self.device("charger-fuse", "kind = \"blade fuse\", rated = \"30 A\"");
        self.device(
            "inverter",
            "kind = \"inverter\", power = \"200 W\", bond = \"while inverting\"",
        );
        self.device("inverter-fuse", "kind = \"strip fuse\", rated = \"60 A\"");
        self.device(
            "guard",
            "kind = \"mains breaker\", rated = \"10 A\", residual = \"30 mA\", bond = \"never\"",
        );
        self.device("outlet", "kind = \"mains socket\"");
        self.wire("ac1", "inlet.ac to unit.in, 3 x 2.5 mm2, 3 m");
        self.wire("ac2", &format!("unit.out to socket.ac, 3 x 2.5 mm2, {} m", 2 + dice.below(4)));
        self.wire("ac3", "unit.out to charger.ac, 3 x 2.5 mm2, 1 m");
        self.wire("ac4", "inverter.out to guard.in, 3 x 2.5 mm2, 0.5 m");
        self.wire("ac5", "guard.out to outlet.ac, 3 x 2.5 mm2, 2 m");
        self.wire("m1", "charger.+ to charger-fuse.in, 6 mm2, 0.5 m");
        self.wire("m2", "charger-fuse.out to plus-bar, 35 mm2, 0.15 m");
        self.wire("m3", "charger.- to minus-bar, 6 mm2, 0.5 m");
        self.wire("i1", "plus-bar to inverter-fuse.in, 35 mm2, 0.15 m");
        self.wire("i2", "inverter-fuse.out to inverter.+, 35 mm2, 0.8 m");
        self.wire("i3", "inverter.- to minus-bar, 35 mm2, 0.8 m");
    }

    pub(crate) fn device(&mut self, name: &str, fields: &str) {
        self.devices.push((name.to_owned(), fields.to_owned()));
    }

    pub(crate) fn wire(&mut self, name: &str, line: &str) {
        self.wires.push((name.to_owned(), line.to_owned()));
    }

    /// Exchanges words in the fields of a device.
    pub(crate) fn of_device(&mut self, name: &str, from: &str, to: &str) {
        exchange(&mut self.devices, name, from, to);
    }

    /// Exchanges words in the line of a wire.
    pub(crate) fn of_wire(&mut self, name: &str, from: &str, to: &str) {
        exchange(&mut self.wires, name, from, to);
    }

    /// Takes a wire out.
    pub(crate) fn without(&mut self, name: &str) {
        self.wires.retain(|(other, _)| other != name);
    }

    /// A load of the vehicle.
    pub(crate) fn any_load(&self, dice: &mut Dice) -> Load {
        self.loads[dice.below(self.loads.len())].clone()
    }

    /// The record.
    pub(crate) fn text(&self) -> String {
        let mut text =
            "unbury = 1\n[vehicle]\nname = \"Dealt\"\nregion = \"europe\"\nsystem = \"12 V\"\n\
             [usual]\nwire = \"seen stranded, seen 105 C\"\njoint = \"seen 0.1 mOhm\"\n[devices]\n"
                .to_owned();
        let ways: Vec<String> =
            self.loads.iter().map(|load| format!("\"{} A {}\"", load.amps, load.label)).collect();
        let ways: Vec<String> =
            ways.into_iter().map(|way| way.replace("\"0 A ", "\"unknown ")).collect();
        for (name, fields) in &self.devices {
            match name.as_str() {
                "box" => {
                    let _ = writeln!(
                        text,
                        "box = {{ kind = \"blade fuse box\", behind = \"nothing\", ways = [{}] }}",
                        ways.join(", ")
                    );
                }
                _ => {
                    let _ = writeln!(text, "{name} = {{ behind = \"nothing\", {fields} }}");
                }
            }
        }
        text.push_str("[wires]\n");
        for (name, line) in &self.wires {
            let _ = writeln!(text, "{name} = \"{line}\"");
        }
        let _ = writeln!(
            text,
            "[joints]\n{}\n[stacks]\n{}",
            self.joints.join("\n"),
            self.stacks.join("\n")
        );
        let on: Vec<String> = self.loads.iter().map(|load| format!("\"{}\"", load.name)).collect();
        let _ = writeln!(
            text,
            "[states]\nrest = {{ charge = {{ house = \"80 %\" }} }}\nevening = {{ charge = {{ house = \"80 %\" }}, shore = \"{}\", on = [\"inverter\", {}] }}",
            self.shore,
            on.join(", ")
        );
        text
    }
}

impl Load {
    pub(crate) fn area(&self) -> &'static str {
        if self.amps > 15 { "6" } else { "2.5" }
    }

    pub(crate) fn feed(&self) -> String {
        format!("f{}", self.way)
    }

    pub(crate) fn back(&self) -> String {
        format!("r{}", self.way)
    }
}

fn exchange(list: &mut [(String, String)], name: &str, from: &str, to: &str) {
    let (_, text) = list.iter_mut().find(|(other, _)| other == name).expect("it is in the vehicle");
    assert!(text.contains(from), "`{from}` is in {name}: {text}");
    *text = text.replacen(from, to, 1);
}
