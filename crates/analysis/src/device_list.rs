//! The device list: what stands on a drawing by its name, what it is, and where.

use model::{Device, DeviceId, FuseWay, PartId, Place, Reach};

use crate::case::Case;
use crate::handover_view::DeviceRow;
use crate::wiring_view::{rating, way_words};

impl Case {
    /// Every device of the record, in its order.
    pub(crate) fn device_list(&self) -> Vec<DeviceRow> {
        self.vehicle().devices.ids().map(|id| self.device_row(id)).collect()
    }

    fn device_row(&self, id: DeviceId) -> DeviceRow {
        let device = &self.vehicle().devices[id];
        DeviceRow {
            name: device.name.clone(),
            label: device.label.clone(),
            kind: device.kind.clone(),
            rating: self.rating_of(device),
            at: device.place_words.clone(),
            behind: match device.reach.value() {
                Some(reach) => self.what_hides(reach),
                None => "unknown".to_owned(),
            },
            line: self.place_view(Place::Device(id)).line,
        }
    }

    /// What has to be out, sets of which one is enough with a stroke between; empty where it can be
    /// touched as it is.
    fn what_hides(&self, reach: &Reach) -> String {
        if reach.iter().any(|set| set.is_empty()) {
            return String::new();
        }
        let part = |id: &PartId| self.vehicle().parts[*id].name.clone();
        let sets = reach.iter().map(|set| set.iter().map(part).collect::<Vec<_>>().join(", "));
        sets.collect::<Vec<_>>().join(" / ")
    }

    /// The rating of a device; of a box of fuses that of each way.
    fn rating_of(&self, device: &Device) -> String {
        let way = |of: &FuseWay| {
            let name = self.vehicle().terminal_name(of.terminal);
            let short = name.rsplit_once('.').map_or(name.as_str(), |(_, short)| short);
            match of.label.as_str() {
                "empty" => format!("{short} –"),
                _ => format!("{short} {}", way_words(device, of.terminal)),
            }
        };
        match device.ways.as_slice() {
            [] | [_] => rating(device),
            ways => ways.iter().map(way).collect::<Vec<_>>().join(", "),
        }
    }
}
