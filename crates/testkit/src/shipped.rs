//! The example records that ship with the program.

/// The vehicle of the demonstration: a panel van turned into a travelling pottery workshop.
pub const DUNLIN: &str = include_str!("../../../records/dunlin/dunlin.toml");
/// A record without places in the vehicle.
pub const WREN: &str = include_str!("../../../records/wren/wren.toml");

/// Every example record, by the name of its vehicle.
pub const SHIPPED: [(&str, &str); 5] = [
    ("Bracken", include_str!("../../../records/bracken/bracken.toml")),
    ("Dunlin", DUNLIN),
    ("Plover", include_str!("../../../records/plover/plover.toml")),
    ("Tarn", include_str!("../../../records/tarn/tarn.toml")),
    ("Wren", WREN),
];
