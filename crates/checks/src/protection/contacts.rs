//! Protective contacts of the direct-current side: fuses, breakers, and each way of a fuse box.

use model::{DeviceId, TerminalId, Vehicle};

/// A protective contact and its two sides.
#[derive(Clone, Debug)]
pub(crate) struct Contact {
    pub(crate) device: DeviceId,
    pub(crate) side_in: TerminalId,
    pub(crate) side_out: TerminalId,
    /// The device, with its way.
    pub(crate) label: String,
}

/// All protective contacts.
pub(crate) fn contacts(vehicle: &Vehicle) -> Vec<Contact> {
    let mut found = Vec::new();
    for (device, item) in vehicle.devices.iter() {
        let Some(side_in) = item.terminals.first().copied().filter(|_| item.role.protects()) else {
            continue;
        };
        for (index, way) in item.ways.iter().enumerate() {
            let label = format!("{} way {}", item.name, index + 1);
            found.push(Contact { device, side_in, side_out: way.terminal, label });
        }
        if let (true, [_, side_out]) = (item.ways.is_empty(), item.terminals.as_slice()) {
            found.push(Contact { device, side_in, side_out: *side_out, label: item.name.clone() });
        }
    }
    found
}
