//! Which repairs are for what was complained of: those of the suspects that lead by all that was read and
//! noticed; where none leads, or none of theirs is computed, those on the devices that symptoms name.

use std::collections::BTreeSet;

use model::Place;

use crate::case::Case;
use crate::mend_view::{MendOffer, RecordChange};
use crate::weighed::Weighed;

/// From this probability on a suspect leads. Own choice: what is less likely is checked, not repaired.
const LEADS: f64 = 0.2;

/// What is not in the record is likelier than this: no suspect leads. Own choice.
const NOT_IN_RECORD: f64 = 0.5;

/// Repairs for what was complained of, by their names, and why these.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Complaint {
    pub(crate) repairs: BTreeSet<String>,
    pub(crate) words: String,
}

/// A suspect that leads.
struct Lead {
    place: Place,
    words: String,
    share: f64,
}

impl Case {
    /// Repairs for what was complained of; worked out once.
    pub(crate) fn complaint(&self) -> &Complaint {
        self.complaint.get_or_init(|| self.work_out_complaint())
    }

    fn work_out_complaint(&self) -> Complaint {
        let offers = &self.mends().offers;
        let leads = match self.leads() {
            Ok(leads) => leads,
            Err(why) => return self.by_devices(why),
        };
        let of = |lead: &Lead| {
            let cures = offers.iter().filter(|offer| self.mends_place(offer, lead.place));
            cures.map(|offer| offer.id.clone()).collect::<Vec<_>>()
        };
        let repairs: BTreeSet<String> = leads.iter().flat_map(of).collect();
        let said: Vec<String> = leads
            .iter()
            .map(|lead| format!("{} ({:.0} %)", lead.words, 100.0 * lead.share))
            .collect();
        let said = said.join("; ");
        if repairs.is_empty() {
            let words = format!(
                "the search's leading suspect is {said}, and no repair is computed for it: `unbury next` says what to do"
            );
            return self.by_devices(words);
        }
        Complaint { repairs, words: format!("by the leading suspects of the search: {said}") }
    }

    /// The suspects that lead, or why none does.
    fn leads(&self) -> Result<Vec<Lead>, String> {
        let Weighed { list, seen, ranking } = self.weighed();
        if seen.taken.is_empty() && seen.noticed.is_empty() {
            return Err("nothing was read or noticed that could be weighed".to_owned());
        }
        if ranking.not_in_record > NOT_IN_RECORD {
            return Err("no suspect of the record explains what was read".to_owned());
        }
        let suspects = list.0.iter().zip(&ranking.part);
        let leading = suspects.filter(|(_, share)| **share >= LEADS);
        let mut leads: Vec<Lead> = leading
            .map(|(suspect, share)| Lead {
                place: suspect.place,
                words: suspect.words.clone(),
                share: *share,
            })
            .collect();
        leads.sort_by(|a, b| b.share.total_cmp(&a.share));
        // Nothing need be broken: what was built so is found by the checks.
        leads.retain(|lead| lead.place != Place::Vehicle);
        match leads.is_empty() {
            true => Err("no suspect leads yet: `unbury next` says what to check".to_owned()),
            false => Ok(leads),
        }
    }

    /// Whether a repair makes the place of a suspect anew, or cures something there.
    fn mends_place(&self, offer: &MendOffer, place: Place) -> bool {
        let vehicle = self.vehicle();
        let name = vehicle.place_name(place);
        let wire = match place {
            Place::Joint(id) => Some(vehicle.joints[id].wire),
            Place::Wire(id) => Some(id),
            _ => None,
        };
        // A wire that lands elsewhere, or has something put into it, is the old wire.
        let is_relaid = |change: &&RecordChange| {
            let ends = |line: &Option<String>| {
                line.as_ref().map(|line| line.split(',').next().unwrap_or_default().to_owned())
            };
            ends(&change.was) == ends(&change.is)
        };
        let wire_anew = wire.is_some_and(|wire| {
            let path = record::join_path(&["wires".to_owned(), vehicle.wires[wire].name.clone()]);
            offer.changes.iter().filter(|change| change.path == path).any(|of| is_relaid(&of))
        });
        let changes = |section: &str, name: &str| {
            offer.changes.iter().any(|change| {
                let path = record::split_path(&change.path).unwrap_or_default();
                path.first().is_some_and(|first| first == section)
                    && path.get(1).is_some_and(|second| second == name)
            })
        };
        let at_it = offer.cures.iter().any(|cured| cured.place == name);
        at_it || wire_anew || changes("joints", &name) || changes("devices", &name)
    }

    fn by_devices(&self, why: String) -> Complaint {
        let offers = self.mends().offers.iter().filter(|offer| self.is_on_symptoms(offer));
        Complaint {
            repairs: offers.map(|offer| offer.id.clone()).collect(),
            words: format!(
                "by the devices that the symptoms name and the wires that land there, since {why}"
            ),
        }
    }

    /// Whether it cures something on a device that a symptom names, or on a wire that lands there.
    fn is_on_symptoms(&self, offer: &MendOffer) -> bool {
        let vehicle = self.vehicle();
        let mut names = BTreeSet::new();
        for device in vehicle.symptoms.iter().filter_map(|symptom| symptom.device) {
            names.insert(vehicle.devices[device].name.clone());
            for terminal in &vehicle.devices[device].terminals {
                names.extend(
                    vehicle.wires_at(*terminal).map(|(w, _)| vehicle.wires[w].name.clone()),
                );
            }
        }
        let named = |text: &str| {
            let words = text.split(|c: char| !(c.is_alphanumeric() || "-+/_".contains(c)));
            words.into_iter().any(|word| names.contains(word))
        };
        offer.cures.iter().any(|cured| named(&cured.place) || named(&cured.message))
    }
}
