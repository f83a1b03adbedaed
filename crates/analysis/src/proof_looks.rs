//! Rows of a proof sheet that are answered by a look: what was put right of a way, a joint, a device, a
//! setting; what was taken out.

use model::{Look, Wire};

use crate::proof::{Asks, Row};
use crate::proof_rows::{Maker, row};

impl Maker<'_> {
    /// Of a wire whose line says something else of its way only: a look along it. Nothing where it was
    /// laid anew or lands elsewhere: that is read.
    pub(crate) fn look_along(&self, name: &str) -> Option<Vec<Row>> {
        let of = |wire: &Wire| {
            let cable = wire.name.split('/').next();
            wire.name == name || cable == Some(name)
        };
        let (_, now) = self.after.vehicle().wires.find(of)?;
        let (_, was) = self.before.vehicle().wires.find(of)?;
        let is_as_it_was = now.area == was.area
            && now.length == was.length
            && now.core == was.core
            && now.insulation == was.insulation
            && self.ends(now, self.after) == self.ends(was, self.before);
        if !is_as_it_was {
            return None;
        }
        let seen = changed(&was.course.looks, &now.course.looks);
        let mut so: Vec<String> = seen.iter().map(|look| look.words().good.to_owned()).collect();
        if now.course.bend != was.course.bend {
            so.extend(now.course.bend.value().map(|bend| format!("no bend below {bend}")));
        }
        if now.sheathed != was.sheathed {
            so.push("sheathed all the way".to_owned());
        }
        let what = format!("Look along wire {name}");
        Some(vec![row(format!("look along {name}"), true, what, Asks::Look(so.join(", ")))])
    }

    fn ends(&self, wire: &Wire, case: &crate::case::Case) -> Vec<Option<String>> {
        let name = |end| wire.terminal(end).map(|id| case.vehicle().terminal_name(id));
        model::WireEnd::BOTH.map(name).to_vec()
    }

    /// What was taken out is gone.
    pub(crate) fn gone(&self, section: &str, name: &str) -> Option<Row> {
        let what = match section {
            "wires" => format!("wire {name}"),
            "devices" => name.to_owned(),
            _ => return None,
        };
        let so = format!("{what} is out, or both its ends are off and capped");
        Some(row(format!("gone {name}"), true, format!("Look where {what} was"), Asks::Look(so)))
    }

    /// A field of a device that a look or its own display answers.
    pub(crate) fn looked_at(&self, name: &str, field: &str) -> Option<Row> {
        let (_, device) = self.after.vehicle().devices.find(|device| device.name == name)?;
        let written = |field: &str| self.after.written_value(&["devices", name, field]);
        let (what, so) = match field {
            "looks" => {
                let was = self.before.vehicle().devices.find(|old| old.name == name)?.1;
                let seen = changed(&was.looks, &device.looks);
                let so: Vec<&str> = seen.iter().map(|look| look.words().good).collect();
                (format!("Look at {name}"), so.join(", "))
            }
            "on" => (
                format!("Look at the metal {name} is on"),
                format!("{}, bright below the lug, sealed over it", written(field)?),
            ),
            "regulates" | "holds" | "resistance" => {
                (format!("Read the setting of {name}"), format!("it is set to {}", written(field)?))
            }
            _ => return None,
        };
        Some(row(format!("look {name} {field}"), true, what, Asks::Look(so)))
    }
}

/// Looks that have another answer than before.
fn changed(was: &model::Looks, now: &model::Looks) -> Vec<Look> {
    let other = now.iter().filter(|(look, fact)| was.get(*look).value() != fact.value());
    other.map(|(look, _)| look).collect()
}
