//! The mains side: an inverter with its outlet, and a shore inlet with sockets and a charger.

use crate::draft::{Draft, Laid, Spot, fuse_and_wire};
use crate::furniture::Rooms;
use crate::sources::{Core, main_fuse, regulated};

/// What the mains side has.
pub(crate) struct Mains {
    pub(crate) has_inverter: bool,
    pub(crate) has_shore: bool,
}

/// Fewest wires of a vehicle that has these, and wires that each takes at most.
const WITH_INVERTER: usize = 60;
const WITH_SHORE: usize = 80;
const CORES: usize = 3;

pub(crate) fn draw(draft: &mut Draft, rooms: &Rooms, core: &Core) -> Mains {
    let mains = Mains {
        has_inverter: draft.size.wires >= WITH_INVERTER,
        has_shore: draft.size.wires >= WITH_SHORE,
    };
    if mains.has_inverter {
        inverter(draft, rooms, core);
    }
    if mains.has_shore {
        shore(draft, rooms, core);
    }
    mains
}

fn inverter(draft: &mut Draft, rooms: &Rooms, core: &Core) {
    let power_w = draft.dice.pick(&[500.0, 800.0, 1000.0]);
    let (rated, area) = fuse_and_wire(power_w / (0.9 * draft.nominal_v));
    let room = rooms.any(draft);
    let place = rooms.hidden(draft, room);
    let long = draft.dice.between(1.0, 4.0);
    let fields = format!(
        "power = \"{power_w} W\", idle = \"12 W\", efficiency = \"90 %\", bond = \"while \
         inverting\", mass = \"4.2 kg\""
    );
    draft.device("inverter-fuse", "strip fuse", &core.board, &format!("rated = \"{rated} A\""));
    draft.device("inverter", "inverter", &place, &fields);
    let outlet_room = rooms.any(draft);
    let outlet = rooms.somewhere(draft, outlet_room, 0.2);
    draft.device("inverter-socket", "mains socket", &outlet, "");
    let tail = Laid::plain(main_fuse(draft).1, 0.1, "red");
    draft.wire("i1", ("plus-bar", "inverter-fuse.in"), &tail);
    draft.wire("i2", ("inverter-fuse.out", "inverter.+"), &Laid::plain(area, long, "red"));
    draft.wire("i3", ("inverter.-", "minus-bar"), &Laid::plain(area, long, "black"));
    cable(draft, "ac9", ("inverter.out", "inverter-socket.ac"), 3.0);
    for device in ["inverter", "inverter-socket"] {
        strain_relief(draft, device);
    }
    draft.line("joints", "\"all at inverter-fuse\" = \"lug, good\"".to_owned());
}

fn shore(draft: &mut Draft, rooms: &Rooms, core: &Core) {
    let place = rooms.somewhere(draft, core.room, 0.0);
    draft.device("inlet", "shore inlet", &Spot::open("outside, at the rear"), "");
    draft.device(
        "unit",
        "consumer unit",
        &place,
        "bond = \"never\", rated = \"16 A\", residual = \"30 mA\"",
    );
    draft.device("body-earth", "earth stud", &place, "");
    let set = regulated(draft);
    let limit = draft.dice.pick(&[15, 20, 30]);
    let fields = format!("limit = \"{limit} A\", {set}");
    draft.device("mains-charger", "mains charger", &place, &fields);
    draft.device("charger-fuse", "strip fuse", &core.board, "rated = \"40 A\"");
    cable(draft, "ac1", ("inlet.ac", "unit.in"), 3.0);
    cable(draft, "ac2", ("unit.out", "mains-charger.ac"), 0.6);
    draft.wire("pe1", ("unit.in.PE", "body-earth"), &Laid::plain(6.0, 0.5, "green/yellow"));
    draft.wire("k1", ("mains-charger.+", "charger-fuse.in"), &Laid::plain(10.0, 2.0, "red"));
    let tail = Laid::plain(main_fuse(draft).1, 0.1, "red");
    draft.wire("k2", ("charger-fuse.out", "plus-bar"), &tail);
    draft.wire("k3", ("mains-charger.-", "minus-bar"), &Laid::plain(10.0, 2.1, "black"));
    // No more sockets than leave the rest of the wires for loads.
    let sockets = (draft.wires_left() / (8 * CORES)).clamp(1, 4);
    for at in 1..=sockets {
        let socket = format!("socket-{at}");
        let room = rooms.any(draft);
        let place = rooms.somewhere(draft, room, 0.2);
        draft.device(&socket, "mains socket", &place, "");
        let to = format!("{socket}.ac");
        let long = draft.dice.between(2.0, 5.0);
        cable(draft, &format!("ac{}", at + 2), ("unit.out", &to), long);
        strain_relief(draft, &socket);
    }
    for device in ["inlet", "unit", "mains-charger"] {
        strain_relief(draft, device);
    }
    draft.line("joints", "\"all at charger-fuse\" = \"lug, good\"".to_owned());
}

fn cable(draft: &mut Draft, name: &str, ends: (&str, &str), length_m: f64) {
    let pieces = ["sheathed".to_owned()];
    let laid = Laid { area_mm2: 2.5, length_m, colour: "", cores: CORES, pieces: &pieces };
    draft.wire(name, ends, &laid);
}

fn strain_relief(draft: &mut Draft, device: &str) {
    draft.line("joints", format!("\"all at {device}\" = \"screw, good, strain relief\""));
}
