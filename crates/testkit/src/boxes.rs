//! Fuse boxes with their feeds, and the minus bars beside them.

use crate::draft::{Draft, Laid, Spot};
use crate::furniture::Rooms;
use crate::sources::{Core, main_fuse};

/// Ways of a box before the next one is put in.
const WAYS: usize = 14;

/// A fuse box with the bar its loads return to.
pub(crate) struct FuseBox {
    name: String,
    place: Spot,
    pub(crate) minus: String,
    ways: Vec<String>,
}

impl FuseBox {
    /// The next free way: its terminal.
    pub(crate) fn way(&mut self, rating: f64, label: &str) -> String {
        self.ways.push(format!("{rating} A {label}"));
        format!("{}.{}", self.name, self.ways.len())
    }

    pub(crate) fn is_full(&self) -> bool {
        self.ways.len() >= WAYS
    }

    /// Wires the next box takes before it feeds anything.
    pub(crate) const COST: usize = 3;

    /// A box in a room: the first beside the bars, later ones with a minus bar of their own.
    pub(crate) fn draw(draft: &mut Draft, rooms: &Rooms, core: &Core, at: usize) -> FuseBox {
        let small = draft.size.wires < 50;
        let suffix = if at == 0 { String::new() } else { format!("-{}", at + 1) };
        let name = format!("box{suffix}");
        let room = if at == 0 { core.room } else { rooms.any(draft) };
        let place = rooms.somewhere(draft, room, 0.3);
        let long = if at == 0 { 0.7 } else { 3.0 };
        let into = format!("{name}.in");
        if small && at == 0 {
            let laid = Laid::plain(main_fuse(draft).1, long, "red");
            draft.wire("b1", ("plus-bar", &into), &laid);
        } else {
            let fuse = format!("box-fuse{suffix}");
            draft.device(&fuse, "strip fuse", &core.board, "rated = \"80 A\"");
            let (b, c) = (format!("b{}a", at + 1), format!("b{}b", at + 1));
            let laid = Laid::plain(main_fuse(draft).1, 0.1, "red");
            draft.wire(&b, ("plus-bar", &format!("{fuse}.in")), &laid);
            draft.wire(&c, (&format!("{fuse}.out"), &into), &Laid::plain(25.0, long, "red"));
            draft.line("joints", format!("\"all at {fuse}\" = \"lug, good\""));
        }
        let mut minus = "minus-bar".to_owned();
        if at > 0 {
            minus = format!("minus-bar{suffix}");
            draft.device(&minus, "busbar", &place, &format!("label = \"minus bar {}\"", at + 1));
            let wire = format!("b{}c", at + 1);
            draft.wire(&wire, (&minus, "minus-bar"), &Laid::plain(25.0, long, "black"));
        }
        FuseBox { name, place, minus, ways: Vec::new() }
    }

    /// Writes the box with the ways it has got.
    pub(crate) fn finish(mut self, draft: &mut Draft) {
        if draft.dice.chance(0.5) {
            self.ways.push("empty".to_owned());
        }
        let ways: Vec<String> = self.ways.iter().map(|way| format!("\"{way}\"")).collect();
        let fields = format!("ways = [{}]", ways.join(", "));
        draft.device(&self.name, "blade fuse box", &self.place, &fields);
    }
}
