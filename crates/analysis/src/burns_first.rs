//! What a short circuit does to wires, as far as a repair may make it worse: a wire that is ruined before
//! anything opens, or whose fuse cannot break the current.

use std::collections::{BTreeMap, BTreeSet};

use model::{Change, WireEnd};
use protect::{Row, Word};

use crate::case::Case;

/// The worst verdict of each wire, by its name.
pub(crate) struct Burns(BTreeMap<String, (Word, String)>);

impl Burns {
    /// A wire that burns first, or is not broken, in another record and did not in this one.
    pub(crate) fn raised_in(&self, after: &Burns) -> Option<String> {
        let bad = after.0.iter().filter(|(_, (word, _))| *word <= Word::CannotBreak);
        let new = bad
            .into_iter()
            .find(|(wire, (word, _))| self.0.get(*wire).is_none_or(|(before, _)| before > word));
        new.map(|(wire, (word, why))| {
            format!("in a short circuit wire {wire} {}: {why}", word.words().to_lowercase())
        })
    }
}

impl Case {
    /// What a short circuit does to each wire, short runs ahead of the first fuse left out.
    pub(crate) fn burns(&self) -> Burns {
        self.burns_of(&self.short_circuits().rows)
    }

    /// The same for what changes touch: wires that are named, and wires on devices that are, with those
    /// one device further.
    pub(crate) fn burns_by(&self, changes: &[Change]) -> Burns {
        let vehicle = self.vehicle();
        let mut devices = BTreeSet::new();
        let mut wires = BTreeSet::new();
        for change in changes {
            match change.path.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
                ["wires", name, ..] => {
                    wires.extend(vehicle.wires.find(|wire| wire.name == *name).map(|(id, _)| id));
                }
                ["devices", name, ..] => {
                    devices.extend(vehicle.devices.find(|of| of.name == *name).map(|(id, _)| id));
                }
                _ => {}
            }
        }
        for _ in 0..2 {
            let terminals = devices.iter().flat_map(|id| vehicle.devices[*id].terminals.iter());
            let near = terminals.flat_map(|t| vehicle.wires_at(*t)).map(|(wire, _)| wire);
            wires.extend(near.collect::<Vec<_>>());
            let ends = wires.iter().flat_map(|wire| {
                WireEnd::BOTH.into_iter().filter_map(|end| vehicle.wires[*wire].terminal(end))
            });
            let single = ends.map(|terminal| vehicle.terminals[terminal].device);
            devices = single.filter(|id| !vehicle.devices[*id].role.is_dc_source()).collect();
        }
        let stand = protect::Stand::Any;
        self.burns_of(&protect::study_wires(self.vehicle(), &self.catalog, stand, &wires))
    }

    fn burns_of(&self, rows: &[Row]) -> Burns {
        let mut worst: BTreeMap<String, (Word, String)> = BTreeMap::new();
        for row in rows.iter().filter(|row| row.short_run.is_none()) {
            let name = self.vehicle().wires[row.wire].name.clone();
            let verdict = (row.verdict.word, row.verdict.why.clone());
            let known = worst.entry(name).or_insert_with(|| verdict.clone());
            if verdict.0 < known.0 {
                *known = verdict;
            }
        }
        Burns(worst)
    }
}

#[cfg(test)]
mod tests {
    use crate::Case;

    const FUSED: &str = r#"unbury = 1
[vehicle]
name = "Bench"
region = "europe"
system = "12 V"
[devices]
house = { kind = "agm battery", holds = "100 Ah", rest = "12.6 V", resistance = "5 mOhm" }
fuse = { kind = "blade fuse", rated = "15 A", resistance = "3 mOhm" }
pump = { kind = "water pump", power = "60 W" }
[wires]
w1 = "house.+ to fuse.in, 2.5 mm2, 0.1 m, fine, 90 C"
w2 = "fuse.out to pump.+, 2.5 mm2, 3 m, fine, 90 C"
w3 = "pump.- to house.-, 2.5 mm2, 3 m, fine, 90 C"
"#;

    /// With nothing that opens, a short circuit heats a wire until it is ruined (IEC 60364-4-43, 434.5:
    /// the time to disconnect must not be longer than the conductor stands; without a device there is
    /// none). With its fuse the wire is not worse off than before.
    #[test]
    fn a_wire_whose_fuse_is_taken_away_burns_first() {
        let bare = FUSED.replace("house.+ to fuse.in", "house.+ to fuse.out");
        let (with, without) = (Case::of(FUSED), Case::of(&bare));
        let raised = with.burns().raised_in(&without.burns());
        assert!(raised.is_some_and(|why| why.contains("burns first")));
        assert_eq!(with.burns().raised_in(&with.burns()), None);
        assert_eq!(without.burns().raised_in(&with.burns()), None, "it was worse before");
    }
}
