//! Parts behind parts, room by room, and the places between them.

use crate::draft::{Draft, Spot};

/// A room: what hides things in it, and where things can be.
pub(crate) struct Room {
    pub(crate) name: &'static str,
    /// Places from the open ones inwards.
    spots: Vec<Spot>,
}

/// All rooms of a vehicle.
pub(crate) struct Rooms {
    rooms: Vec<Room>,
}

/// A kind of part: its name, in words, how deep it lies, how it is held, how it may break.
struct Board(&'static str, &'static str, usize, &'static [&'static str], &'static str);

const SCREWS: &[&str] = &["4 screws", "6 screws", "8 screws", "10 screws", "5 painted screws"];
const HIDDEN: &[&str] = &["4 hidden screws", "6 hidden screws", "3 hidden screws, 2 clips"];
const LIGHT: &[&str] = &["2 latches", "4 quarter turns", "2 thumbscrews", "4 clips", "1 hook tape"];
const HINGED: &[&str] = &["2 hinges", "2 hinges, 4 screws"];
const BOLTED: &[&str] = &["4 bolts", "6 bolts", "4 seized bolts", "4 bolts, 2 straps"];
const GLUED: &[&str] = &["2 glue beads", "1 glue bead, 8 screws", "12 nails, 1 glue bead"];
const SEALED: &[&str] = &["1 sealant bead, 4 screws", "6 clips, 1 sealant bead"];

const ROOMS: [(&str, &[Board]); 10] = [
    (
        "bench",
        &[
            Board("cushion", "cushion of the bench", 0, LIGHT, ""),
            Board("lid", "lid of the bench", 1, HINGED, ""),
            Board("front", "front of the bench", 1, HIDDEN, ""),
            Board("divider", "divider under the bench", 2, SCREWS, ""),
            Board("cover", "cover over the electrics", 2, SCREWS, ""),
            Board("back", "back of the bench", 3, SCREWS, "15 % for 40 EUR"),
        ],
    ),
    (
        "galley",
        &[
            Board("drawer", "drawer of the galley", 0, LIGHT, ""),
            Board("door", "door of the galley", 0, HINGED, ""),
            Board("front", "front board of the galley", 1, HIDDEN, ""),
            Board("shelf", "shelf in the galley", 1, SCREWS, ""),
            Board("sink", "sink", 1, SEALED, ""),
            Board("top", "worktop", 2, SCREWS, "10 % for 150 EUR"),
            Board("splash", "splash board", 3, GLUED, "40 % for 60 EUR"),
        ],
    ),
    (
        "wardrobe",
        &[
            Board("door", "wardrobe door", 0, HINGED, ""),
            Board("shelf", "lowest shelf of the wardrobe", 1, SCREWS, ""),
            Board("back", "back of the wardrobe", 2, SCREWS, ""),
            Board("side", "side of the wardrobe", 2, HIDDEN, "10 % for 50 EUR"),
        ],
    ),
    (
        "bed",
        &[
            Board("mattress", "mattress", 0, LIGHT, ""),
            Board("slats", "slats of the bed", 1, SCREWS, ""),
            Board("side", "side board of the bed", 1, HIDDEN, ""),
            Board("box", "box under the bed", 2, BOLTED, ""),
        ],
    ),
    (
        "rear",
        &[
            Board("card", "card of the rear door", 0, LIGHT, "10 % for 30 EUR"),
            Board("locker-lid", "lid of the rear locker", 0, HINGED, ""),
            Board("locker-floor", "floor of the rear locker", 1, SCREWS, ""),
            Board("side", "side panel at the rear", 2, SCREWS, ""),
        ],
    ),
    (
        "ceiling",
        &[
            Board("trim", "trim strip of the ceiling", 0, LIGHT, "10 % for 20 EUR"),
            Board("hatch-frame", "frame of the roof hatch", 0, SCREWS, ""),
            Board("front", "front ceiling board", 1, SCREWS, ""),
            Board("middle", "middle ceiling board", 1, SCREWS, ""),
            Board("lining", "lining over the ceiling boards", 2, GLUED, "60 % for 200 EUR"),
        ],
    ),
    (
        "left-wall",
        &[
            Board("window-trim", "trim of the left window", 0, LIGHT, "15 % for 30 EUR"),
            Board("rail", "rail on the left wall", 0, SCREWS, ""),
            Board("lower", "lower board of the left wall", 1, SCREWS, ""),
            Board("upper", "upper board of the left wall", 2, GLUED, "25 % for 70 EUR"),
        ],
    ),
    (
        "right-wall",
        &[
            Board("window-trim", "trim of the right window", 0, LIGHT, "15 % for 30 EUR"),
            Board("locker", "wall locker on the right", 0, BOLTED, ""),
            Board("lower", "lower board of the right wall", 1, SCREWS, ""),
            Board("upper", "upper board of the right wall", 2, GLUED, "25 % for 70 EUR"),
        ],
    ),
    (
        "floor",
        &[
            Board("rug", "rug", 0, LIGHT, ""),
            Board("step", "tread of the step", 0, SCREWS, ""),
            Board("plate", "floor plate", 1, SCREWS, ""),
            Board("boards", "floor boards", 2, GLUED, "70 % for 180 EUR"),
        ],
    ),
    (
        "cab",
        &[
            Board("mat", "cab mat", 0, LIGHT, ""),
            Board("skirt", "skirt of the seat", 0, LIGHT, "10 % for 25 EUR"),
            Board("seat-lid", "lid of the box below the seat", 1, BOLTED, ""),
            Board("shelf", "shelf over the cab", 1, SCREWS, ""),
        ],
    ),
];

/// Draws as many parts as asked for, spread over the rooms.
pub(crate) fn draw(draft: &mut Draft) -> Rooms {
    let count = (draft.size.parts / 3).clamp(3, ROOMS.len());
    let mut rooms = Vec::new();
    for (at, (name, boards)) in ROOMS.iter().enumerate().take(count) {
        let parts = draft.size.parts / count + usize::from(at < draft.size.parts % count);
        rooms.push(room(draft, name, boards, parts));
    }
    Rooms { rooms }
}

fn room(draft: &mut Draft, name: &'static str, boards: &[Board], parts: usize) -> Room {
    let mut spots = vec![Spot::open(&name.replace('-', " "))];
    // Parts so far with their depths; each lies behind one or two of the next depth outwards.
    let mut placed: Vec<(String, usize)> = Vec::new();
    for at in 0..parts {
        let board = &boards[at % boards.len()];
        let round = at / boards.len();
        let id = match round {
            0 => format!("{name}-{}", board.0),
            _ => format!("{name}-{}-{}", board.0, round + 1),
        };
        let before: Vec<&str> = placed
            .iter()
            .filter(|(_, depth)| depth + 1 == board.2)
            .map(|(id, _)| id.as_str())
            .collect();
        let after = after(draft, &before);
        part(draft, &id, board, &after);
        spots.push(Spot { at: format!("behind the {}", board.1), behind: id.clone() });
        placed.push((id, board.2));
    }
    Room { name, spots }
}

fn after(draft: &mut Draft, before: &[&str]) -> String {
    if before.is_empty() {
        return String::new();
    }
    let (first, second) = (draft.dice.pick(before), draft.dice.pick(before));
    match draft.dice.below(5) {
        0 if first != second => format!("{first} and {second}"),
        1 if first != second => format!("{first} or {second}"),
        _ => first.to_owned(),
    }
}

fn part(draft: &mut Draft, id: &str, board: &Board, after: &str) {
    let mut fields = format!("is = \"{}\", fixings = \"{}\"", board.1, draft.dice.pick(board.3));
    if !after.is_empty() {
        fields += &format!(", after = \"{after}\"");
    }
    if draft.dice.chance(0.25) {
        let usual = draft.dice.between(2.0, 6.0) * (1.0 + board.2 as f64);
        let (best, worst) = ((0.7 * usual).round(), (1.8 * usual).round());
        fields += &format!(
            ", out = \"{best} / {} / {worst} min\", back = \"{} min\"",
            usual.round(),
            (1.3 * usual).round()
        );
    }
    if !board.4.is_empty() {
        fields += &format!(", breaks = \"{}\"", board.4);
    }
    if board.2 > 0 && draft.dice.chance(0.15) {
        let minutes = draft.dice.between(3.0, 12.0).round();
        fields += &format!(
            ", or = [{{ how = \"bend it aside at one corner\", out = \"{minutes} min\", \
             back = \"{minutes} min\", breaks = \"25 % for 45 EUR\" }}]"
        );
    }
    draft.line("parts", format!("{id} = {{ {fields} }}"));
}

impl Rooms {
    /// A room for the electrics: the same for everything that is put there.
    pub(crate) fn electrics(&self, draft: &mut Draft) -> usize {
        draft.dice.below(self.rooms.len().min(5))
    }

    pub(crate) fn any(&self, draft: &mut Draft) -> usize {
        draft.dice.below(self.rooms.len())
    }

    pub(crate) fn name(&self, room: usize) -> &'static str {
        self.rooms[room].name
    }

    pub(crate) fn open(&self, room: usize) -> Spot {
        self.rooms[room].spots[0].clone()
    }

    /// A place behind a part of the room.
    pub(crate) fn hidden(&self, draft: &mut Draft, room: usize) -> Spot {
        let spots = &self.rooms[room].spots;
        spots[1 + draft.dice.below(spots.len() - 1)].clone()
    }

    /// A place of the room; in the open with this probability.
    pub(crate) fn somewhere(&self, draft: &mut Draft, room: usize, open: f64) -> Spot {
        if draft.dice.chance(open) { self.open(room) } else { self.hidden(draft, room) }
    }
}
