//! Where everything is, as far as it is recorded.

use analysis::{Case, NamedSpace, Space};
use draw::{Cuboid, Role, Thing, VehicleDrawing};

use crate::Picture;

/// Parts and the inside of the vehicle; `None` where no place is recorded.
pub(crate) fn vehicle(case: &Case) -> Option<Picture> {
    let spaces = case.spaces();
    let title = format!("{}: where everything is", case.vehicle_name());
    let stays = |thing: &NamedSpace| Thing {
        label: thing.label.clone(),
        cuboid: thing.space.and_then(cuboid),
        role: Role::Stays,
    };
    let drawing = VehicleDrawing {
        title: title.clone(),
        inside: spaces.inside.and_then(cuboid),
        things: spaces.parts.iter().map(stays).collect(),
    };
    let svg = draw::vehicle(&drawing)?;
    Some(Picture { name: "vehicle".to_owned(), title, svg })
}

/// The record counts forward, left and up; the drawing counts from the front to the rear and from the
/// left to the right.
pub(crate) fn cuboid(space: Space) -> Option<Cuboid> {
    let ([rear, right, low], [front, left, high]) = (space.low_m, space.high_m);
    Cuboid::new([-front, -left, low], [-rear, -right, high])
}
