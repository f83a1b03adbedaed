//! What the fuse boxes feed: loads with their switches, hidden splices, and ways back.

use std::collections::BTreeMap;

use crate::boxes::FuseBox;
use crate::draft::{Draft, Laid, fuse_and_wire};
use crate::furniture::Rooms;
use crate::sources::Core;

/// A load: its name and what it draws.
pub(crate) struct Load {
    pub(crate) name: String,
    pub(crate) watt: f64,
    /// It runs at night, while driving and while the owner is away.
    pub(crate) always: bool,
}

/// A sort of load: name, kind, least and most watts, further fields.
struct Sort(&'static str, &'static str, f64, f64, &'static str);

/// What nearly every conversion has, once each.
const ESSENTIAL: [Sort; 5] = [
    Sort(
        "fridge",
        "compressor fridge",
        42.0,
        58.0,
        "mass = \"20 kg\", held = \"4 bolts 8 mm, into structure, rated 4000 N\"",
    ),
    Sort("detector", "gas detector", 1.0, 2.0, ""),
    Sort("lights", "led lights", 12.0, 26.0, ""),
    Sort("pump", "water pump", 45.0, 65.0, ""),
    Sort("heater", "diesel heater", 25.0, 40.0, ""),
];

/// What comes after that, as often as there are wires left.
const FURTHER: [Sort; 10] = [
    Sort("lamp", "led lights", 3.0, 12.0, ""),
    Sort("strip", "led lights", 8.0, 20.0, ""),
    Sort("bulb", "filament lamp", 10.0, 21.0, ""),
    Sort("fan", "fan", 12.0, 36.0, ""),
    Sort("usb", "usb socket", 10.0, 24.0, ""),
    Sort("outlet", "socket 12 V", 20.0, 60.0, ""),
    Sort("radio", "electronics", 8.0, 30.0, ""),
    Sort("gauge", "electronics", 1.0, 4.0, ""),
    Sort("router", "electronics", 6.0, 14.0, ""),
    Sort("step", "motor", 0.0, 0.0, ""),
];

/// Current a motor is fused for, ampere.
const MOTOR_A: f64 = 10.0;

/// A fuse and a cross-section that do not go together, ampere and mm².
const TOO_THIN: (f64, f64) = (30.0, 1.0);

struct Circuits<'a> {
    rooms: &'a Rooms,
    boxes: Vec<FuseBox>,
    /// Body points by room.
    body: BTreeMap<usize, String>,
    /// The last load of each room, whose terminals others may share.
    last: BTreeMap<usize, String>,
    counts: BTreeMap<&'static str, usize>,
    loads: Vec<Load>,
}

pub(crate) fn draw(draft: &mut Draft, rooms: &Rooms, core: &Core) -> Vec<Load> {
    let first = FuseBox::draw(draft, rooms, core, 0);
    let mut circuits = Circuits {
        rooms,
        boxes: vec![first],
        body: BTreeMap::new(),
        last: BTreeMap::new(),
        counts: BTreeMap::new(),
        loads: Vec::new(),
    };
    let mut essential = ESSENTIAL.iter();
    while draft.wires_left() >= 2 {
        let is_full = circuits.boxes.last().is_some_and(FuseBox::is_full);
        if is_full && draft.wires_left() >= FuseBox::COST + 2 {
            let next = FuseBox::draw(draft, rooms, core, circuits.boxes.len());
            circuits.boxes.push(next);
        }
        let next = essential.next();
        let always = next.is_some();
        let further = draft.dice.below(FURTHER.len());
        circuits.circuit(draft, next.unwrap_or(&FURTHER[further]), always);
    }
    if draft.wires_left() == 1 {
        circuits.spare(draft);
    }
    let Circuits { boxes, loads, .. } = circuits;
    for fuse_box in boxes {
        fuse_box.finish(draft);
    }
    loads
}

impl Circuits<'_> {
    /// A load with everything between it and its box.
    fn circuit(&mut self, draft: &mut Draft, sort: &Sort, always: bool) {
        let room = self.rooms.any(draft);
        let place = self.rooms.somewhere(draft, room, 0.35);
        let name = self.name(sort.0);
        let watt = draft.dice.between(sort.2, sort.3).round().max(1.0);
        let is_motor = sort.1 == "motor";
        let current_a = if is_motor { MOTOR_A } else { watt / draft.nominal_v };
        let (rating, area) = fuse_and_wire(current_a.max(1.0));
        let mut fields = sort.4.to_owned();
        if !is_motor && !draft.is_unknown() {
            let comma = if fields.is_empty() { "" } else { ", " };
            fields = format!("power = \"{watt} W\"{comma}{fields}");
        }
        draft.device(&name, sort.1, &place, &fields);
        let shared = self.last.get(&room).filter(|_| draft.dice.chance(0.08)).cloned();
        let thin = shared.is_none() && draft.is_defect();
        let (rating, area) = if thin { TOO_THIN } else { (rating, area) };
        let from = match shared {
            Some(last) => format!("{last}.+"),
            None => self.last_box().way(rating, &name),
        };
        let wires = self.feed(draft, &name, room, from, area);
        self.back(draft, &name, room, area);
        if thin {
            wires.iter().for_each(|w| draft.seeded("protection-larger-than-conductor", w));
        }
        let joint = draft.dice.pick(&["spade", "crimp", "screw", "spade, good", "plug"]);
        draft.line("joints", format!("\"all at {name}\" = \"{joint}\""));
        self.last.insert(room, name.clone());
        let watt = if is_motor { MOTOR_A * draft.nominal_v } else { watt };
        self.loads.push(Load { name, watt, always });
    }

    fn name(&mut self, noun: &'static str) -> String {
        let count = self.counts.entry(noun).or_insert(0);
        *count += 1;
        if *count == 1 { noun.to_owned() } else { format!("{noun}-{count}") }
    }

    fn last_box(&mut self) -> &mut FuseBox {
        self.boxes.last_mut().expect("the first box is drawn before any load")
    }

    /// From where it is fed to the load: straight, over a switch, over a hidden splice.
    fn feed(
        &mut self,
        draft: &mut Draft,
        name: &str,
        room: usize,
        mut from: String,
        area: f64,
    ) -> Vec<String> {
        let to = format!("{name}.+");
        let mut between = Vec::new();
        // One wire is kept for the way back.
        if draft.wires_left() >= 3 && draft.dice.chance(0.4) {
            let switch = format!("{name}-switch");
            let place = self.rooms.somewhere(draft, room, 0.5);
            draft.device(&switch, "switch", &place, "");
            between.push((format!("{switch}.in"), format!("{switch}.out")));
        }
        if draft.wires_left() >= 3 + between.len() && draft.dice.chance(0.25) {
            let splice = format!("{name}-splice");
            let place = self.rooms.hidden(draft, room);
            draft.device(&splice, "splice", &place, &format!("label = \"splice before {name}\""));
            let at = draft.dice.below(between.len() + 1);
            between.insert(at, (splice.clone(), splice));
        }
        let mut wires = Vec::new();
        let ends = between.into_iter().chain([(to, String::new())]);
        for (at, (next, after)) in ends.enumerate() {
            let letter = char::from(b'a' + at as u8);
            let wire = format!("{name}-{letter}");
            self.run(draft, &wire, (&from, &next), room, area, "red");
            wires.push(wire);
            from = after;
        }
        wires
    }

    /// The way back: to the bar, to the body near by, or to a neighbour's minus.
    fn back(&mut self, draft: &mut Draft, name: &str, room: usize, area: f64) {
        let minus = self.last_box().minus.clone();
        let to = match (draft.dice.below(10), self.last.get(&room)) {
            (0, Some(last)) => format!("{last}.-"),
            (1 | 2, _) => self.body_point(draft, room),
            _ => minus,
        };
        let wire = format!("{name}-z");
        let from = format!("{name}.-");
        self.run(draft, &wire, (&from, &to), room, area, "black");
    }

    fn body_point(&mut self, draft: &mut Draft, room: usize) -> String {
        if let Some(known) = self.body.get(&room) {
            return known.clone();
        }
        let name = format!("earth-{}", self.rooms.name(room));
        let place = self.rooms.hidden(draft, room);
        let label = format!("label = \"screw in the body, {}\"", self.rooms.name(room));
        draft.device(&name, "chassis point", &place, &label);
        let joint = draft.dice.pick(&["screw", "screw, good", "lug"]);
        draft.line("joints", format!("\"all at {name}\" = \"{joint}\""));
        self.body.insert(room, name.clone());
        name
    }

    fn run(
        &self,
        draft: &mut Draft,
        wire: &str,
        ends: (&str, &str),
        room: usize,
        area: f64,
        colour: &str,
    ) {
        let length_m = draft.dice.between(0.8, 5.0);
        let mut pieces = Vec::new();
        if draft.dice.chance(0.2) {
            let hidden = self.rooms.hidden(draft, room);
            pieces.push(format!("behind {}", hidden.behind));
        }
        if draft.is_defect() {
            pieces.push("solid".to_owned());
            draft.seeded("solid-conductor", wire);
        }
        let laid = Laid { area_mm2: area, length_m, colour, cores: 1, pieces: &pieces };
        draft.wire(wire, ends, &laid);
    }

    /// A wire that leads out of the box and vanishes.
    fn spare(&mut self, draft: &mut Draft) {
        let room = self.rooms.any(draft);
        let hidden = self.rooms.hidden(draft, room);
        let from = self.last_box().way(10.0, "spare");
        let to = format!("behind {}", hidden.behind);
        draft.wire("spare", (&from, &to), &Laid::plain(1.5, 2.0, "yellow"));
    }
}
