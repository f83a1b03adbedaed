//! Verdicts on small vehicles, against closed forms, published rows and ngspice. Every vehicle is
//! invented for its test.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod records;
mod verdicts;

use catalog::Catalog;
use model::{Vehicle, WireEnd};

use crate::{Row, Stand, Study, Word, study};

/// One battery of known resistance, a fuse at its post, a box of blade fuses, one load; every fact the
/// verdict on `w3` needs is written down.
pub(crate) const SOUND: &str = r#"
unbury = 1
[vehicle]
name = "Sound"
region = "europe"
system = "12 V"
[devices]
house = { kind = "lfp battery", resistance = "told 14 mOhm by its maker", holds = "100 Ah" }
main = { kind = "strip fuse", rated = "100 A" }
box = { kind = "blade fuse box", ways = ["15 A lamp"] }
lamp = { kind = "led lights", power = "24 W" }
[wires]
w1 = "house.+ to main.in, 25 mm2, 0.3 m, stranded, 90 C"
w2 = "main.out to box.in, 25 mm2, 0.6 m, stranded, 90 C"
w3 = "box.1 to lamp.+, 2.5 mm2, 4 m, stranded, 90 C"
w4 = "lamp.- to house.-, 2.5 mm2, 4 m, stranded, 90 C"
[states]
evening = { on = ["lamp"], charge = { house = "80 %" } }
"#;

pub(crate) fn vehicle(text: &str) -> Vehicle {
    let record = record::read(text, &Catalog::embedded());
    let faults: Vec<&str> = record.diagnostics.iter().map(|d| d.message.as_str()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    record.vehicle
}

pub(crate) fn studied(text: &str) -> (Vehicle, Study) {
    let vehicle = vehicle(text);
    let study = study(&vehicle, &Catalog::embedded(), Stand::Any);
    assert!(study.troubles.is_empty(), "{:?}", study.troubles);
    (vehicle, study)
}

pub(crate) fn row(text: &str, wire: &str, end: WireEnd) -> Option<Row> {
    let (vehicle, study) = studied(text);
    study.rows.into_iter().find(|row| vehicle.wires[row.wire].name == wire && row.end == end)
}

pub(crate) fn word(text: &str, wire: &str) -> Word {
    let row = row(text, wire, WireEnd::From).unwrap();
    row.verdict.word
}
