//! Gathers what a hand-over says beyond a review: what nobody has seen, what was opened, photos, repairs.
//! The isolation card is in `isolation.rs`.

use model::{Landing, Origin, Place, WireEnd};

use crate::case::Case;
use crate::handover_view::{
    Claim, HANDOVER_SCHEMA, HandoverView, IsolationView, MendView, Moved, OpeningMade, PhotoView,
    UnseenRow, WorkDone,
};
use crate::proof_view::ProofRow;

/// What somebody says was put right, as a repair of the list.
fn claimed(claim: &Claim) -> MendView {
    let said = format!("{} says so, {}", claim.who, claim.on);
    MendView {
        name: String::new(),
        words: format!("{}, {}", claim.finding, claim.place),
        stands: if claim.still_fails { "said" } else { "done" }.to_owned(),
        why: match claim.still_fails {
            true => format!("{said}; by the record it still fails: write down what was changed"),
            false => said,
        },
    }
}

impl Case {
    /// Enters what somebody says was put right; [`Case::handover`] carries it.
    #[must_use]
    pub fn with_claims(mut self, claims: Vec<Claim>) -> Case {
        self.claims = claims;
        self
    }

    /// Enters what people say that they did on the vehicle; [`Case::handover`] carries it.
    #[must_use]
    pub fn with_work(mut self, work: WorkDone) -> Case {
        self.work = work;
        self
    }

    /// What a hand-over says beyond the review.
    pub fn handover(&self) -> HandoverView {
        let isolation = self.isolation();
        HandoverView {
            schema: HANDOVER_SCHEMA.to_owned(),
            proofs: self.proofs(&isolation),
            isolation,
            switched_off: self.work.switched_off.clone(),
            devices: self.device_list(),
            unseen: self.unseen(),
            openings: self.openings_made(),
            photos: self.photos(),
            mends: self
                .vehicle()
                .mends
                .iter()
                .zip(self.chosen_mends())
                .map(|(mend, chosen)| MendView {
                    name: mend.name.clone(),
                    words: mend.words.clone(),
                    stands: chosen.stands,
                    why: chosen.why,
                })
                .chain(self.made_by_the_search())
                .chain(self.claims.iter().map(claimed))
                .collect(),
        }
    }

    /// Places that were put right on the way to the cause, apart from what `[mends]` says.
    fn made_by_the_search(&self) -> impl Iterator<Item = MendView> {
        let vehicle = self.vehicle();
        let of_a_mend = |place: Place| {
            let called = crate::touched::called(vehicle, place);
            let mut changes = vehicle.mends.iter().flat_map(|mend| &mend.changes);
            changes.any(|change| change.path.get(1).is_some_and(|name| called.contains(name)))
        };
        let changed = vehicle.history.changed.iter().map(|repaired| {
            (
                repaired.place,
                "by the search for the fault; what was observed before it is laid aside",
            )
        });
        let no_cure = vehicle.history.no_cure.iter();
        let no_cure = no_cure
            .map(|place| (*place, "by the search for the fault; everything stayed as it was"));
        let made = changed.filter(move |(place, _)| !of_a_mend(*place)).chain(no_cure);
        made.map(|(place, why)| MendView {
            name: String::new(),
            words: format!("put right: {}", vehicle.place_name(place)),
            stands: "done".to_owned(),
            why: why.to_owned(),
        })
    }

    /// What would show that a chosen repair failed, and what else was read at the end.
    fn proofs(&self, isolation: &IsolationView) -> Vec<ProofRow> {
        let mut rows = match self.vehicle().mends.is_empty() {
            true => Vec::new(),
            false => self.proof(&self.entered).rows,
        };
        let further = self.further_taken(isolation).into_iter();
        let further: Vec<ProofRow> =
            further.filter(|row| rows.iter().all(|known| known.key != row.key)).collect();
        rows.extend(further);
        self.mark_read_too_early(&mut rows);
        // Dead tests first; otherwise as they come.
        rows.sort_by_key(|row| row.phase != "dead");
        rows
    }

    /// Ends, terminals and ways that nobody has seen.
    fn unseen(&self) -> Vec<UnseenRow> {
        let vehicle = self.vehicle();
        let mut rows = Vec::new();
        for (id, wire) in vehicle.wires.iter() {
            for end in WireEnd::BOTH {
                let (why, part, access) = match wire.end(end).landing {
                    Landing::At(_) => continue,
                    Landing::Behind(part) => (
                        "end behind a part",
                        vehicle.parts[part].label.clone(),
                        self.way_in(&vehicle.parts[part].name).and_then(|way| way.cost),
                    ),
                    Landing::Unknown => ("end unknown", String::new(), None),
                };
                let place = self.place_view(Place::Wire(id));
                rows.push(UnseenRow { why: why.to_owned(), place, part, access });
            }
        }
        let row = |why: &str, place: Place| UnseenRow {
            why: why.to_owned(),
            place: self.place_view(place),
            part: String::new(),
            access: self.access_to(place),
        };
        let probes = vehicle.history.not_reached.iter();
        rows.extend(probes.map(|id| row("probe not reached", Place::Terminal(*id))));
        let hidden = vehicle.devices.iter().filter(|(_, device)| device.reach.is_unknown());
        rows.extend(hidden.map(|(id, _)| row("way not recorded", Place::Device(id))));
        rows
    }

    /// Jobs that were done, and parts that are out without one.
    /// What somebody says of a part, where the record does not say it: out, or back in since.
    fn moved(&self, made: &mut Vec<OpeningMade>, moved: &Moved) {
        let (by, on) = (moved.by.clone(), moved.on.clone());
        if let Some(opening) = made.iter_mut().find(|opening| opening.part == moved.part) {
            *opening = OpeningMade { is_out: !moved.is_back, by, on, ..opening.clone() };
        } else if let Some((_, part)) = self.vehicle().parts.find(|part| part.name == moved.part) {
            made.push(OpeningMade {
                part: part.name.clone(),
                label: part.label.clone(),
                minutes_out: None,
                minutes_back: None,
                is_out: !moved.is_back,
                by,
                on,
            });
        }
    }

    fn openings_made(&self) -> Vec<OpeningMade> {
        let vehicle = self.vehicle();
        let mut made: Vec<OpeningMade> = vehicle
            .took
            .iter()
            .map(|took| {
                let part = &vehicle.parts[took.part];
                let (by, on) = by_and_on(&took.origin);
                OpeningMade {
                    part: part.name.clone(),
                    label: part.label.clone(),
                    minutes_out: took.out_min,
                    minutes_back: took.back_min,
                    is_out: part.is_out,
                    by,
                    on,
                }
            })
            .collect();
        let told = |name: &str| vehicle.took.iter().any(|t| vehicle.parts[t.part].name == name);
        let out = vehicle.parts.iter().filter(|(_, part)| part.is_out && !told(&part.name));
        made.extend(out.map(|(_, part)| OpeningMade {
            part: part.name.clone(),
            label: part.label.clone(),
            minutes_out: None,
            minutes_back: None,
            is_out: true,
            by: String::new(),
            on: String::new(),
        }));
        for moved in &self.work.moved {
            self.moved(&mut made, moved);
        }
        made
    }

    fn photos(&self) -> Vec<PhotoView> {
        let photos = self.vehicle().photos.iter();
        photos
            .map(|photo| {
                let (by, on) = by_and_on(&photo.origin);
                PhotoView {
                    name: photo.name.clone(),
                    file: photo.file.clone(),
                    of: photo.of.map(|place| self.place_view(place)),
                    arrow: photo.arrow,
                    words: photo.words.clone(),
                    by,
                    on,
                }
            })
            .collect()
    }
}

fn by_and_on(origin: &Origin) -> (String, String) {
    match origin {
        Origin::Assumed { .. } => (String::new(), String::new()),
        Origin::Told { by, on } | Origin::Seen { by, on } | Origin::Measured { by, on, .. } => {
            (by.clone().unwrap_or_default(), on.clone().unwrap_or_default())
        }
    }
}
