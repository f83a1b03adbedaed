//! The bank and what charges it while driving and by the sun.

use crate::draft::{Draft, Laid, Spot, fuse_and_wire};
use crate::furniture::Rooms;

/// The middle of the house side, which everything else joins.
pub(crate) struct Core {
    /// The room of the electrics.
    pub(crate) room: usize,
    /// The place of boards and bars.
    pub(crate) board: Spot,
    /// Names of the batteries of the bank.
    pub(crate) bank: Vec<String>,
    pub(crate) has_link: bool,
    pub(crate) has_sun: bool,
}

/// Fewest wires of a vehicle that has these.
const WITH_MONITOR: usize = 50;
const WITH_SUN: usize = 45;
const WITH_TWO_BATTERIES: usize = 90;

pub(crate) fn draw(draft: &mut Draft, rooms: &Rooms) -> Core {
    let room = rooms.electrics(draft);
    let board = rooms.hidden(draft, room);
    base_vehicle(draft);
    let bank = bank(draft, rooms, room, &board);
    let has_sun = draft.size.wires >= WITH_SUN;
    let core = Core { room, board, bank, has_link: true, has_sun };
    link(draft, &core);
    if has_sun {
        sun(draft, rooms, &core);
    }
    core
}

fn base_vehicle(draft: &mut Draft) {
    let front = Spot::open("under the bonnet");
    let set = draft.dice.between(14.1, 14.6);
    let limit = draft.dice.pick(&[90, 110, 120, 150]);
    let fields = format!("regulates = \"measured {set:.1} V ± 0.1 V\", limit = \"{limit} A\"");
    draft.device("alternator", "alternator", &front, &fields);
    draft.device("starter", "starter battery", &front, "");
    draft.device("starter-motor", "starter motor", &front, "");
    draft.device("cab-earth", "chassis point", &front, "label = \"earth bolt at the front\"");
    draft.wire("v1", ("alternator.+", "starter.+"), &Laid::plain(35.0, 1.2, "red"));
    draft.wire("v2", ("starter.+", "starter-motor.+"), &Laid::plain(50.0, 1.5, "red"));
    draft.wire("v3", ("starter.-", "cab-earth"), &Laid::plain(50.0, 0.4, "black"));
    for device in ["alternator", "starter", "starter-motor", "cab-earth"] {
        draft.line("joints", format!("\"all at {device}\" = \"lug, good\""));
    }
}

/// Rating of the main fuse, and the cross-section of everything before the fuses of the bar.
pub(crate) fn main_fuse(draft: &Draft) -> (f64, f64) {
    fuse_and_wire(if draft.size.wires < WITH_SUN { 70.0 } else { 150.0 })
}

fn bank(draft: &mut Draft, rooms: &Rooms, room: usize, board: &Spot) -> Vec<String> {
    let names = batteries(draft, rooms, room);
    let (plus, minus) = (format!("{}.+", names[0]), format!("{}.-", names[names.len() - 1]));
    let at_bank = rooms.hidden(draft, room);
    let (rated, area) = main_fuse(draft);
    draft.device("main-fuse", "terminal fuse", &at_bank, &format!("rated = \"{rated} A\""));
    draft.device("main-switch", "isolator", &rooms.open(room), "rated = \"300 A\"");
    draft.device("plus-bar", "busbar", board, "");
    draft.device("minus-bar", "busbar", board, "label = \"minus bar\"");
    draft.device("shunt", "shunt", board, "");
    draft.device("house-earth", "chassis point", &at_bank, "label = \"house earth stud\"");
    draft.wire("h1", (&plus, "main-fuse.in"), &Laid::plain(area, 0.2, "red"));
    draft.wire("h2", ("main-fuse.out", "main-switch.in"), &Laid::plain(area, 0.5, "red"));
    draft.wire("h3", ("main-switch.out", "plus-bar"), &Laid::plain(area, 0.4, "red"));
    draft.wire("h4", ("minus-bar", "shunt.system"), &Laid::plain(area, 0.2, "black"));
    draft.wire("h5", ("shunt.battery", &minus), &Laid::plain(area, 0.4, "black"));
    draft.wire("h6", ("minus-bar", "house-earth"), &Laid::plain(16.0, 0.6, "black"));
    if draft.size.wires >= WITH_MONITOR {
        monitor(draft, rooms, board, &plus, area);
    }
    let lugs = ["main-fuse", "main-switch", "plus-bar", "minus-bar", "shunt", "house-earth"];
    for device in names.iter().map(String::as_str).chain(lugs) {
        draft.line("joints", format!("\"all at {device}\" = \"lug, good\""));
    }
    draft.line("stacks", "\"house-earth\" = \"bare steel, h6, toothed washer, nut\"".to_owned());
    names
}

/// One block, two side by side, or two in series where the house side has 24 V.
fn batteries(draft: &mut Draft, rooms: &Rooms, room: usize) -> Vec<String> {
    let two = draft.size.wires >= WITH_TWO_BATTERIES && draft.dice.chance(0.4);
    let in_series = draft.nominal_v > 12.0;
    let kind = match draft.dice.below(4) {
        _ if in_series => "agm battery",
        0 | 1 => "lfp battery",
        2 => "agm battery",
        _ => "flooded battery",
    };
    let names: Vec<String> = match in_series || two {
        true => vec!["house-a".to_owned(), "house-b".to_owned()],
        false => vec!["house".to_owned()],
    };
    let holds = draft.dice.pick(&[100, 120, 160, 200, 280]);
    let place = rooms.hidden(draft, room);
    for name in &names {
        let fields = format!(
            "holds = \"{holds} Ah\", mass = \"{} kg\", held = \"2 straps to floor eyes, into \
             structure, rated 6000 N\"",
            holds / 8
        );
        draft.device(name, kind, &place, &fields);
    }
    if in_series {
        draft.wire("h0", ("house-a.-", "house-b.+"), &Laid::plain(70.0, 0.3, "red"));
    } else if two {
        draft.wire("h0", ("house-a.+", "house-b.+"), &Laid::plain(50.0, 0.3, "red"));
        draft.wire("h9", ("house-a.-", "house-b.-"), &Laid::plain(50.0, 0.3, "black"));
    }
    names
}

fn monitor(draft: &mut Draft, rooms: &Rooms, board: &Spot, plus: &str, area: f64) {
    let room = rooms.any(draft);
    let place = rooms.somewhere(draft, room, 0.4);
    draft.device("monitor", "monitor", &place, "label = \"battery display\"");
    draft.device("monitor-fuse", "blade fuse", board, "rated = \"3 A\"");
    draft.wire("m1", (plus, "monitor-fuse.in"), &Laid::plain(area, 0.1, "red"));
    draft.wire("m2", ("monitor-fuse.out", "monitor.+"), &Laid::plain(1.0, 3.0, "red"));
    draft.wire("m3", ("shunt.battery", "monitor.shunt"), &Laid::plain(1.0, 3.0, "black"));
}

/// What charges the bank while driving: a charger of its own, or a relay that joins the two sides.
fn link(draft: &mut Draft, core: &Core) {
    let by_relay = draft.nominal_v <= 12.0 && draft.dice.chance(0.35);
    let front = Spot::open("under the bonnet");
    let limit = draft.dice.pick(&[20.0, 30.0, 40.0]);
    let (rated, area) = fuse_and_wire(if by_relay { 60.0 } else { 1.25 * limit });
    draft.device("link-fuse", "strip fuse", &front, &format!("rated = \"{rated} A\""));
    draft.device("link-out-fuse", "strip fuse", &core.board, &format!("rated = \"{rated} A\""));
    draft.wire("c1", ("starter.+", "link-fuse.in"), &Laid::plain(area, 0.1, "red"));
    let tail = Laid::plain(main_fuse(draft).1, 0.1, "red");
    draft.wire("c4", ("link-out-fuse.out", "plus-bar"), &tail);
    let long = draft.dice.between(2.5, 6.0);
    if by_relay {
        draft.device("link-relay", "combiner relay", &core.board, "");
        draft.wire("c2", ("link-fuse.out", "link-relay.a"), &Laid::plain(area, long, "red"));
        draft.wire("c3", ("link-relay.b", "link-out-fuse.in"), &Laid::plain(area, 0.5, "red"));
        draft.wire("c5", ("link-relay.-", "minus-bar"), &Laid::plain(1.0, 0.6, "black"));
    } else {
        let set = regulated(draft);
        let fields = format!(
            "{set}, limit = \"{limit} A\", cut_out = \"12.5 V\", restart = \"13.2 V\", \
             label = \"DC-DC charger\""
        );
        draft.device("dcdc", "dc-dc charger", &core.board, &fields);
        draft.wire("c2", ("link-fuse.out", "dcdc.in+"), &Laid::plain(area, long, "red"));
        draft.wire("c3", ("dcdc.out+", "link-out-fuse.in"), &Laid::plain(area, 0.5, "red"));
        draft.wire("c5", ("dcdc.-", "minus-bar"), &Laid::plain(area, 0.6, "black"));
        draft.line("joints", "\"all at dcdc\" = \"screw, good, strain relief\"".to_owned());
    }
    for device in ["link-fuse", "link-out-fuse"] {
        draft.line("joints", format!("\"all at {device}\" = \"lug, good\""));
    }
}

/// The voltage a charger of the house side is set to.
pub(crate) fn regulated(draft: &mut Draft) -> String {
    let per_block = draft.dice.pick(&[14.2, 14.4]);
    let set = per_block * draft.nominal_v / 12.0;
    let word = draft.dice.pick(&["", "told "]);
    format!("regulates = \"{word}{set:.1} V\"")
}

fn sun(draft: &mut Draft, rooms: &Rooms, core: &Core) {
    let modules = if draft.nominal_v > 12.0 { 1 } else { 1 + draft.dice.below(3) };
    let place = rooms.somewhere(draft, core.room, 0.1);
    let set = regulated(draft);
    draft.device("solar", "solar controller", &place, &format!("{set}, limit = \"30 A\""));
    draft.device("solar-fuse", "strip fuse", &core.board, "rated = \"40 A\"");
    let fields = match draft.nominal_v > 12.0 {
        true => "power = \"180 W\", isc = \"5.2 A\", voc = \"44 V\"",
        false => "power = \"110 W\", isc = \"6.4 A\", voc = \"22.1 V\"",
    };
    let roof = Spot::open("roof");
    for at in 1..=modules {
        draft.device(&format!("module-{at}"), "solar module", &roof, fields);
    }
    if modules == 1 {
        draft.wire("p1", ("module-1.+", "solar.pv+"), &Laid::plain(6.0, 4.0, "red"));
        draft.wire("p2", ("module-1.-", "solar.pv-"), &Laid::plain(6.0, 4.0, "black"));
    } else {
        let room = rooms.any(draft);
        let joined = rooms.hidden(draft, room);
        draft.device("module-plus", "splice", &joined, "label = \"joint of the modules, plus\"");
        draft.device("module-minus", "splice", &joined, "label = \"joint of the modules, minus\"");
        for at in 1..=modules {
            let (plus, minus) = (format!("module-{at}.+"), format!("module-{at}.-"));
            let laid = Laid::plain(4.0, 1.5, "red");
            draft.wire(&format!("p{at}"), (&plus, "module-plus"), &laid);
            let laid = Laid::plain(4.0, 1.5, "black");
            draft.wire(&format!("q{at}"), (&minus, "module-minus"), &laid);
        }
        draft.wire("p9", ("module-plus", "solar.pv+"), &Laid::plain(6.0, 4.0, "red"));
        draft.wire("q9", ("module-minus", "solar.pv-"), &Laid::plain(6.0, 4.0, "black"));
    }
    draft.wire("s1", ("solar.+", "solar-fuse.in"), &Laid::plain(10.0, 1.2, "red"));
    let tail = Laid::plain(main_fuse(draft).1, 0.1, "red");
    draft.wire("s2", ("solar-fuse.out", "plus-bar"), &tail);
    draft.wire("s3", ("solar.-", "minus-bar"), &Laid::plain(10.0, 1.3, "black"));
    draft.line("joints", "\"all at solar\" = \"screw, good, strain relief\"".to_owned());
    draft.line("joints", "\"all at solar-fuse\" = \"lug, good\"".to_owned());
}
