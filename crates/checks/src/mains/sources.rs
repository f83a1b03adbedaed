//! Sources of mains power in the vehicle, with the terminals they feed from.

use model::{DeviceId, Role, TerminalId, Vehicle};

/// A source: one line of it, with its neutral and earth.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MainsSource {
    pub(crate) device: DeviceId,
    pub(crate) line: TerminalId,
    pub(crate) neutral: TerminalId,
    pub(crate) earth: TerminalId,
}

/// Every line of every source.
pub(crate) fn sources(vehicle: &Vehicle) -> Vec<MainsSource> {
    let mut found = Vec::new();
    for (device, item) in vehicle.devices.iter() {
        let before = match item.role {
            Role::ShoreInlet | Role::Generator | Role::OutsideSource => "",
            Role::Inverter => "out.",
            _ => continue,
        };
        let of = |name: &str| vehicle.terminal_of(device, &format!("{before}{name}"));
        let (Some(neutral), Some(earth)) = (of("N"), of("PE")) else { continue };
        let lines = ["L", "L1", "L2"].into_iter().filter_map(of);
        found.extend(lines.map(|line| MainsSource { device, line, neutral, earth }));
    }
    found
}
