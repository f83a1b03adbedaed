//! Where the boxes of a vehicle contradict what the record says must be out first. Reported, never
//! applied: a tool may need room where no box moves, and a box is only a box.

use std::collections::BTreeSet;

use model::{Cuboid, Direction, Id, PartId, Place, Reach, Vehicle};

use crate::blocking::{Blocking, Side, gap_m, meet, room_m, side};
use crate::problem::PartIdx;

/// A contradiction between boxes and needs.
#[derive(Clone, Debug, PartialEq)]
pub enum Contradiction {
    /// A part is said to be in the way of a thing, but its box covers the thing from no side and is
    /// not near it.
    NotInTheWay {
        /// The thing.
        place: Place,
        /// The part.
        part: PartId,
    },
    /// A part is said to hide a thing, but stands only between the thing and the wall.
    OnTheWallSide {
        /// The thing.
        place: Place,
        /// The part.
        part: PartId,
        /// Where it stands.
        direction: Direction,
    },
    /// After everything that is said to come out first, the boxes still shut a thing in.
    StillShut {
        /// The thing.
        place: Place,
        /// What is said to come out first, that is named.
        after: Vec<PartId>,
        /// By direction, what is still in the way.
        by: Vec<(Direction, Side)>,
    },
}

/// All contradictions of a vehicle. `hand_room_m`: the least room for a hand with a tool.
pub fn contradictions(vehicle: &Vehicle, hand_room_m: f64) -> Vec<Contradiction> {
    let judge = Judge::new(vehicle, hand_room_m);
    let mut found = Vec::new();
    for (id, part) in vehicle.parts.iter().filter(|(_, part)| part.moved.is_none()) {
        let ways: Reach =
            part.removals.iter().map(|way| vehicle.removals[*way].needs.clone()).collect();
        judge.part(id, &ways, &mut found);
    }
    for (id, device) in vehicle.devices.iter() {
        if let (Some(space), Some(reach)) = (device.space.value(), device.reach.value()) {
            judge.hidden(Place::Device(id), space, reach, &mut found);
        }
    }
    for (id, spot) in vehicle.spots.iter() {
        if let (Some(space), Some(reach)) = (spot.space.value(), spot.reach.value()) {
            judge.hidden(Place::Spot(id), space, reach, &mut found);
        }
    }
    found
}

/// The boxes of a vehicle's parts; a position has none of its own.
pub fn boxes(vehicle: &Vehicle) -> Vec<Option<Cuboid>> {
    vehicle.parts.iter().map(|(_, part)| part.space.value().copied()).collect()
}

struct Judge<'v> {
    vehicle: &'v Vehicle,
    boxes: Vec<Option<Cuboid>>,
    blocking: Blocking,
    hand_room_m: f64,
}

impl<'v> Judge<'v> {
    fn new(vehicle: &'v Vehicle, hand_room_m: f64) -> Self {
        let boxes = boxes(vehicle);
        let blocking = Blocking::of(&boxes, vehicle.inside.value(), hand_room_m);
        Judge { vehicle, boxes, blocking, hand_room_m }
    }

    /// A part that has to be moved out of its place.
    fn part(&self, id: PartId, ways: &Reach, found: &mut Vec<Contradiction>) {
        let Some(space) = &self.boxes[id.index()] else { return };
        let place = Place::Part(id);
        let mut seen = BTreeSet::new();
        for need in ways.iter().flatten().filter(|need| seen.insert(**need)) {
            if self.space_of(*need).is_some_and(|other| self.is_away(space, other)) {
                found.push(Contradiction::NotInTheWay { place, part: *need });
            }
        }
        for needs in ways {
            let out = self.with_all_before(needs);
            let sides =
                Direction::ALL.map(|d| (d, self.blocking.side(PartIdx(id.index()), d).clone()));
            if sides.iter().all(|(_, side)| !side.is_free(&out)) {
                found.push(still_shut(place, needs, sides, &out));
                return;
            }
        }
    }

    /// A device or spot that has to be touched.
    fn hidden(&self, place: Place, space: &Cuboid, reach: &Reach, found: &mut Vec<Contradiction>) {
        let mut seen = BTreeSet::new();
        for part in reach.iter().flatten().filter(|part| seen.insert(**part)) {
            let Some(other) = self.space_of(*part) else { continue };
            if self.is_away(space, other) {
                found.push(Contradiction::NotInTheWay { place, part: *part });
            } else if let Some(direction) = self.on_the_wall_side(space, other) {
                found.push(Contradiction::OnTheWallSide { place, part: *part, direction });
            }
        }
        for set in reach {
            let out = self.with_all_before(set);
            let inside = self.vehicle.inside.value();
            let sides =
                Direction::ALL.map(|d| (d, side(space, &self.boxes, inside, d, self.hand_room_m)));
            if sides.iter().all(|(_, side)| !side.is_free(&out)) {
                found.push(still_shut(place, set, sides, &out));
                return;
            }
        }
    }

    /// The box of a part; of a position, that of the part that is moved.
    fn space_of(&self, part: PartId) -> Option<&Cuboid> {
        let whole = self.vehicle.parts[part].moved.unwrap_or(part);
        self.boxes[whole.index()].as_ref()
    }

    /// Neither covers the thing from any side nor comes as near as a hand's room to doing so.
    fn is_away(&self, space: &Cuboid, other: &Cuboid) -> bool {
        let grown = grown(space, self.hand_room_m);
        !meet(&grown, other) && Direction::ALL.iter().all(|d| gap_m(&grown, other, *d).is_none())
    }

    /// The direction in which the other stands, if it covers the thing only from where the wall leaves
    /// no room for a hand.
    fn on_the_wall_side(&self, space: &Cuboid, other: &Cuboid) -> Option<Direction> {
        if meet(space, other) {
            return None;
        }
        let covers = Direction::ALL.into_iter().filter(|d| gap_m(space, other, *d).is_some());
        let covers: Vec<Direction> = covers.collect();
        let inside = self.vehicle.inside.value();
        let no_room = |d: &Direction| {
            room_m(other, inside, *d).is_some_and(|room_m| room_m < self.hand_room_m)
        };
        let first = covers.first().copied()?;
        covers.iter().all(no_room).then_some(first)
    }

    /// A set of parts with everything that any of their ways wants out before.
    fn with_all_before(&self, set: &[PartId]) -> BTreeSet<PartIdx> {
        let mut out = BTreeSet::new();
        let mut open: Vec<PartId> = set.to_vec();
        while let Some(part) = open.pop() {
            if out.insert(PartIdx(part.index())) {
                let part = &self.vehicle.parts[part];
                open.extend(part.moved);
                let needs = part.removals.iter().flat_map(|way| &self.vehicle.removals[*way].needs);
                open.extend(needs.copied());
            }
        }
        out
    }
}

fn still_shut(
    place: Place,
    after: &[PartId],
    sides: [(Direction, Side); 6],
    out: &BTreeSet<PartIdx>,
) -> Contradiction {
    let left = sides.map(|(direction, mut side)| {
        side.parts.retain(|part| !out.contains(part));
        (direction, side)
    });
    Contradiction::StillShut { place, after: after.to_vec(), by: left.into() }
}

fn grown(space: &Cuboid, by_m: f64) -> Cuboid {
    let moved = |value: units::Metre, by_m: f64| units::Metre::from_si(value.si() + by_m);
    Cuboid {
        low: space.low.map(|low| moved(low, -by_m)),
        high: space.high.map(|high| moved(high, by_m)),
    }
}
