//! Where everything is and what comes out before what: the vehicle as a whole, as far as places are
//! recorded.

use std::collections::BTreeMap;

use analysis::{Case, NamedSpace, OrderedPart, RemovalOrder, Space, Spaces};
use draw::{
    Cuboid, OrderBox, OrderDrawing, Role, Route, RouteEnd, Thing, VehicleDrawing, VehicleView,
};

use crate::Picture;
use crate::voice::Voice;

/// Plan, sides, isometric and ways of wires; where nothing has a place, the order of removal alone.
pub fn vehicle(case: &Case) -> Vec<Picture> {
    told(case, &Voice::default())
}

pub(crate) fn told(case: &Case, voice: &Voice<'_>) -> Vec<Picture> {
    let (spaces, order) = (case.spaces(), case.removal_order());
    if spaces.parts.iter().all(|part| part.space.is_none()) {
        return no_places(case, &order, voice).into_iter().collect();
    }
    let sheets: [(&str, &str, &[VehicleView]); 3] = [
        ("vehicle-plan", "the parts from above", &[VehicleView::Plan]),
        (
            "vehicle-sides",
            "the parts from the middle",
            &[VehicleView::LeftHalf, VehicleView::RightHalf],
        ),
        ("vehicle-isometric", "the parts in the vehicle", &[VehicleView::Isometric]),
    ];
    let parts = numbered(&spaces, &order, voice);
    let mut pictures: Vec<Picture> = sheets
        .iter()
        .filter_map(|(name, words, views)| {
            let title = voice.say(&format!("{}: {words}", case.vehicle_name()));
            let drawing = VehicleDrawing {
                heading: voice.heading(&title, voice.say(ABOUT), notes(&spaces, &order, voice)),
                inside: spaces.inside.and_then(cuboid),
                views: views.to_vec(),
                things: parts.clone(),
                routes: Vec::new(),
                work_area: None,
                pulls: Vec::new(),
            };
            picture(name, title, draw::vehicle(&drawing))
        })
        .collect();
    pictures.extend(wires(case, &spaces, voice));
    pictures
}

const ABOUT: &str = "Shaded by the order in which parts can come out at all: what is lightest asks for nothing else to be \
                     out first.";

pub(crate) fn picture(name: &str, title: String, svg: Option<String>) -> Option<Picture> {
    Some(Picture { name: name.to_owned(), title, svg: svg? })
}

/// Parts with a place, numbered in their order.
fn numbered(spaces: &Spaces, order: &RemovalOrder, voice: &Voice<'_>) -> Vec<Thing> {
    let place: BTreeMap<&str, Space> =
        spaces.parts.iter().filter_map(|part| Some((part.name.as_str(), part.space?))).collect();
    let placed: Vec<(&OrderedPart, Space)> = order
        .parts
        .iter()
        .filter_map(|part| Some((part, *place.get(part.part.as_str())?)))
        .collect();
    // What has to be out first by its number, or by what people call it where it is not drawn.
    let number = |part: &String| placed.iter().position(|(known, _)| known.part == *part);
    let name = |part: &String| match number(part) {
        Some(at) => (at + 1).to_string(),
        None => called(spaces, part),
    };
    let label = |part: &OrderedPart| {
        let mut after: Vec<&String> = part.after.iter().collect();
        after.sort_by_key(|part| number(part).unwrap_or(usize::MAX));
        let names: Vec<String> = after.into_iter().map(name).collect();
        if names.is_empty() {
            part.label.clone()
        } else {
            format!("{} ({})", part.label, voice.say(&format!("after {}", names.join(", "))))
        }
    };
    let steps = placed.iter().enumerate().map(|(k, &(part, space))| Thing {
        id: part.part.clone(),
        label: label(part),
        cuboid: cuboid(space),
        role: Role::Step { number: k + 1, rank: part.rank },
    });
    let stays =
        spaces.parts.iter().filter(|part| order.no_way.contains(&part.name)).map(|part| Thing {
            id: part.name.clone(),
            label: part.label.clone(),
            cuboid: part.space.and_then(cuboid),
            role: Role::Stays,
        });
    steps.chain(stays).collect()
}

/// What people call a part.
fn called(spaces: &Spaces, name: &str) -> String {
    let known = spaces.parts.iter().find(|part| part.name == name);
    known.filter(|part| !part.label.is_empty()).map_or(name, |part| &part.label).to_owned()
}

fn notes(spaces: &Spaces, order: &RemovalOrder, voice: &Voice<'_>) -> Vec<String> {
    let mut notes = Vec::new();
    let is_part = |part: &&NamedSpace| order.parts.iter().any(|known| known.part == part.name);
    let without: Vec<&str> = spaces
        .parts
        .iter()
        .filter(is_part)
        .filter(|part| part.space.is_none())
        .map(|part| if part.label.is_empty() { part.name.as_str() } else { part.label.as_str() })
        .collect();
    if !without.is_empty() {
        notes.push(voice.say(&format!(
            "Not drawn, because the record does not say where they are: {}.",
            without.join("; ")
        )));
    }
    if !order.no_way.is_empty() {
        let names: Vec<String> = order.no_way.iter().map(|name| called(spaces, name)).collect();
        notes.push(voice.say(&format!("No way out is recorded: {}.", names.join("; "))));
    }
    notes
}

/// Without places: what comes out before what.
fn no_places(case: &Case, order: &RemovalOrder, voice: &Voice<'_>) -> Option<Picture> {
    let is_asked_for =
        |part: &OrderedPart| order.parts.iter().any(|p| p.after.contains(&part.part));
    let shown: Vec<&OrderedPart> =
        order.parts.iter().filter(|part| !part.after.is_empty() || is_asked_for(part)).collect();
    if shown.is_empty() {
        return None;
    }
    let alone = order.parts.len() - shown.len();
    let title = voice.say(&format!("{}: what comes out before what", case.vehicle_name()));
    let boxes = shown.iter().enumerate().map(|(k, part)| OrderBox {
        number: Some(k + 1),
        label: part.label.clone(),
        hides: (0..shown.len()).filter(|other| shown[*other].after.contains(&part.part)).collect(),
    });
    let drawing = OrderDrawing {
        title: title.clone(),
        boxes: boxes.collect(),
        notes: left_alone(alone)
            .into_iter()
            .chain([
                "Where the parts are is not recorded, so none is drawn in its place.".to_owned()
            ])
            .map(|note| voice.say(&note))
            .collect(),
        speech: voice.speech(),
    };
    picture("vehicle-order", title, Some(draw::order(&drawing)))
}

/// How many parts are not drawn, as nothing is to be out before them and they before nothing.
fn left_alone(alone: usize) -> Option<String> {
    match alone {
        0 => None,
        1 => Some(
            "1 more part asks for nothing to be out first, and nothing asks for it.".to_owned(),
        ),
        several => Some(format!(
            "{several} more parts ask for nothing to be out first, and nothing asks for them."
        )),
    }
}

/// From where to where wires run.
fn wires(case: &Case, spaces: &Spaces, voice: &Voice<'_>) -> Option<Picture> {
    let routes = case.routes();
    let space = |space: Option<Space>| space.and_then(cuboid);
    let drawn: Vec<Route> = routes
        .routes
        .iter()
        .enumerate()
        .map(|(k, route)| Route {
            number: k + 1,
            words: route_words(route, voice),
            ends: [0, 1].map(|end| {
                let end = &route.ends[end];
                match (space(end.space), end.is_lost) {
                    (Some(cuboid), false) => RouteEnd::At(cuboid),
                    (Some(cuboid), true) => RouteEnd::Behind(cuboid),
                    (None, _) => RouteEnd::Unknown,
                }
            }),
            past: route.past.iter().filter_map(|(_, place)| space(*place)).collect(),
        })
        .collect();
    if drawn.is_empty() {
        return None;
    }
    let title = voice.say(&format!("{}: from where to where wires run", case.vehicle_name()));
    let mut notes = vec![voice.say(&format!(
        "Things less than 0.5 m apart count as one place; {} wires stay within one.",
        routes.within
    ))];
    if !routes.one_end.is_empty() {
        let ends: Vec<String> = routes
            .one_end
            .iter()
            .map(|(place, wires)| format!("{place} ({})", cables(wires)))
            .collect();
        notes.push(
            voice.say(&format!("One end has a place, the other has none: {}.", ends.join("; "))),
        );
    }
    if !routes.no_place.is_empty() {
        notes.push(voice.say(&format!("Neither end has a place: {}.", cables(&routes.no_place))));
    }
    let around = spaces.parts.iter().map(|part| Thing {
        id: part.name.clone(),
        label: part.label.clone(),
        cuboid: part.space.and_then(cuboid),
        role: Role::Stays,
    });
    let drawing = VehicleDrawing {
        heading: voice.heading(
            &title,
            voice.say(
                "Lines join places; the way a wire takes between them is not in the record, unless it says \
                 what it runs behind.",
            ),
            notes,
        ),
        inside: spaces.inside.and_then(cuboid),
        views: vec![VehicleView::Plan, VehicleView::Isometric],
        things: around.collect(),
        routes: drawn,
        work_area: None,
        pulls: Vec::new(),
    };
    picture("vehicle-wires", title, draw::vehicle(&drawing))
}

fn route_words(route: &analysis::RouteView, voice: &Voice<'_>) -> String {
    let end = |k: usize| {
        let words = route.ends[k].words.as_str();
        if words.is_empty() { voice.say("not known") } else { voice.perhaps(words, ", ") }
    };
    let ends = format!("{} {} {}", end(0), voice.say("to"), end(1));
    let mut words = format!("{ends}: {}", cables(&route.wires));
    for (part, _) in &route.past {
        words.push_str(&format!(", {}", voice.say(&format!("behind {part}"))));
    }
    words
}

/// Wires by name; the cores of a cable (`ac1/L`) as the cable.
fn cables(wires: &[String]) -> String {
    let mut names: Vec<&str> =
        wires.iter().map(|wire| wire.split('/').next().unwrap_or(wire)).collect();
    names.dedup();
    names.join(", ")
}

/// The record counts forward, left and up; the drawing counts from the front to the rear and from the
/// left to the right.
pub(crate) fn cuboid(space: Space) -> Option<Cuboid> {
    let ([rear, right, low], [front, left, high]) = (space.low_m, space.high_m);
    Cuboid::new([-front, -left, low], [-rear, -right, high])
}

#[cfg(test)]
mod tests {
    use super::left_alone;

    #[test]
    fn parts_that_are_not_drawn_are_counted_as_people_count() {
        assert_eq!(left_alone(0), None);
        assert!(left_alone(1).is_some_and(|note| note.starts_with("1 more part asks for")));
        assert!(left_alone(2).is_some_and(|note| note.starts_with("2 more parts ask for")));
    }
}
