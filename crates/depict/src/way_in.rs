//! A way in as drawings: where its parts are, and what comes out before what.

use std::collections::BTreeMap;

use analysis::{Bag, Case, NamedSpace, Opening, Ready};
use draw::{OrderBox, OrderDrawing, Role, Thing, VehicleDrawing, VehicleView};
use wording::Teller;

use crate::Picture;
use crate::vehicle::cuboid;
use crate::voice::Voice;

/// The drawings of a way in: the vehicle, if anything that matters has a recorded place, and the
/// order of removal, if anything comes out.
pub fn way_in(case: &Case, opening: &Opening) -> Vec<Picture> {
    told(case, opening, &Voice::default())
}

/// The same in the language and the units of whoever reads them.
pub fn way_in_told(case: &Case, opening: &Opening, teller: &Teller) -> Vec<Picture> {
    told(case, opening, &Voice::of(teller))
}

fn told(case: &Case, opening: &Opening, voice: &Voice<'_>) -> Vec<Picture> {
    let title = voice.say(&format!("{}: way in to {}", case.vehicle_name(), targets(opening)));
    let flat = vehicle(case, opening, &title, voice);
    let matters = |thing: &Thing| !matches!(thing.role, Role::Stays | Role::Out);
    let placed = flat.things.iter().any(|thing| matters(thing) && thing.cuboid.is_some());
    let mut drawings = Vec::new();
    if placed {
        let isometric = VehicleDrawing { views: vec![VehicleView::Isometric], ..flat.clone() };
        let both = [flat, isometric];
        drawings.extend(both.iter().filter_map(|d| Some((title.clone(), draw::vehicle(d)?))));
    }
    if !opening.steps.is_empty() {
        let order = order(opening, voice);
        drawings.push((order.title.clone(), draw::order(&order)));
    }
    (1..)
        .zip(drawings)
        .map(|(number, (title, svg))| Picture { name: format!("way-in-{number}"), title, svg })
        .collect()
}

/// A code for each bag of a way in, as SVG: the vehicle, the bag, the part, and how many pieces of
/// what. A bag whose words are too long for a code gets none.
pub fn bag_codes(case: &Case, opening: &Opening) -> Vec<String> {
    let code = |bag: &Bag| {
        let pieces: Vec<&str> = bag.fixings.iter().map(|fixing| fixing.words.as_str()).collect();
        let pieces = pieces.join(", ");
        draw::qr(&format!("{}\nbag {}\n{}\n{pieces}", case.vehicle_name(), bag.number, bag.label))
    };
    opening.bags.iter().filter_map(code).collect()
}

const ABOUT: &str =
    "Shaded by the order of the steps, the first lightest; hatched: what is to be reached.";

/// What is asked for, in words.
fn targets(opening: &Opening) -> String {
    let labels: Vec<&str> = opening.targets.iter().map(|t| t.label.as_str()).collect();
    labels.join(", ")
}

fn vehicle(case: &Case, opening: &Opening, title: &str, voice: &Voice<'_>) -> VehicleDrawing {
    let spaces = case.spaces();
    let steps: BTreeMap<&str, usize> =
        opening.steps.iter().map(|step| (step.part.as_str(), step.number)).collect();
    let wanted = |name: &str| opening.targets.iter().any(|t| t.target == name);
    let out = |name: &str| opening.already_out.iter().any(|part| part.part == name);
    let role = |thing: &NamedSpace| match steps.get(thing.name.as_str()) {
        Some(number) => Role::Step { number: *number, rank: *number },
        None if wanted(&thing.name) => Role::Wanted,
        None if out(&thing.name) => Role::Out,
        None => Role::Stays,
    };
    let part = |thing: &NamedSpace| Thing {
        id: thing.name.clone(),
        label: thing.label.clone(),
        cuboid: thing.space.and_then(cuboid),
        role: role(thing),
    };
    let things = spaces.parts.iter().map(part);
    // Of devices and spots only what is wanted: the others would fill the sheet.
    let targets = spaces.things.iter().filter(|thing| wanted(&thing.name)).map(part);
    let things: Vec<Thing> = things.chain(targets).collect();
    let worked_on = |thing: &&Thing| matches!(thing.role, Role::Step { .. } | Role::Wanted);
    let placed = things.iter().filter(worked_on).filter_map(|thing| thing.cuboid);
    VehicleDrawing {
        heading: voice.heading(title, voice.say(ABOUT), positions(opening, voice)),
        inside: spaces.inside.and_then(cuboid),
        views: Vec::new(),
        work_area: placed.reduce(|a, b| a.around(&b)),
        things,
        routes: Vec::new(),
        pulls: Vec::new(),
    }
}

/// How one has to stand or lie, as far as it is recorded.
fn positions(opening: &Opening, voice: &Voice<'_>) -> Vec<String> {
    let position = |ready: &&Ready| ready.kind == "position";
    let steps = |ready: &Ready| {
        let numbers: Vec<String> = ready.steps.iter().map(ToString::to_string).collect();
        voice.say(&format!("{} for step {}", voice.perhaps(&ready.name, ", "), numbers.join(", ")))
    };
    let all: Vec<String> = opening.ready.iter().filter(position).map(steps).collect();
    if all.is_empty() {
        Vec::new()
    } else {
        vec![voice.say(&format!("Positions to work in: {}.", all.join("; ")))]
    }
}

fn order(opening: &Opening, voice: &Voice<'_>) -> OrderDrawing {
    let steps =
        opening.steps.iter().map(|step| (step.part.as_str(), Some(step.number), &step.label));
    let targets = opening
        .targets
        .iter()
        .filter(|target| target.outcome == "way found")
        .filter(|target| opening.steps.iter().all(|step| step.part != target.target))
        .map(|target| (target.target.as_str(), None, &target.label));
    let names: Vec<(&str, Option<usize>, &String)> = steps.chain(targets).collect();
    let at = |name: &String| names.iter().position(|known| known.0 == name);
    let boxes = names
        .iter()
        .map(|(name, number, label)| OrderBox {
            number: *number,
            label: (*label).clone(),
            hides: opening
                .steps
                .iter()
                .filter(|step| step.part == *name)
                .flat_map(|step| step.hides.iter().filter_map(at))
                .collect(),
        })
        .collect();
    OrderDrawing {
        title: voice.say("What comes out before what"),
        boxes,
        notes: Vec::new(),
        speech: voice.speech(),
    }
}
