//! Reads small records and finds things in the matrix.

use catalog::Catalog;
use mains::{Aspect, Cell, CellVerdict, Matrix, Reading, Row};
use model::{DeviceId, Vehicle};

/// A vehicle with its catalog; the record must be without fault.
pub(crate) fn vehicle(text: &str) -> (Vehicle, Catalog) {
    let catalog = Catalog::embedded();
    let record = record::read(text, &catalog);
    assert!(record.diagnostics.is_empty(), "{:?}", record.diagnostics);
    (record.vehicle, catalog)
}

pub(crate) fn matrix(text: &str) -> (Vehicle, Matrix) {
    let (vehicle, catalog) = vehicle(text);
    let matrix = mains::matrix(&vehicle, &catalog);
    (vehicle, matrix)
}

/// The only row of a record with one state.
pub(crate) fn row(text: &str) -> (Vehicle, Row) {
    let (vehicle, matrix) = matrix(text);
    let [row] = &matrix.rows[..] else { panic!("{} rows", matrix.rows.len()) };
    (vehicle, row.clone())
}

pub(crate) fn cell(row: &Row, aspect: Aspect) -> &Cell {
    row.cells.iter().find(|cell| cell.aspect == aspect).unwrap()
}

/// `holds`, `fails`, `cannot tell`.
pub(crate) fn verdict(row: &Row, aspect: Aspect) -> &'static str {
    match cell(row, aspect).verdict {
        CellVerdict::Holds => "holds",
        CellVerdict::Fails(_) => "fails",
        CellVerdict::CannotTell(_) => "cannot tell",
    }
}

pub(crate) fn device(vehicle: &Vehicle, name: &str) -> DeviceId {
    vehicle.devices.find(|device| device.name == name).unwrap().0
}

/// L-N, L-PE, N-PE of a socket.
pub(crate) fn readings(vehicle: &Vehicle, row: &Row, name: &str) -> [Reading; 3] {
    let at = device(vehicle, name);
    let found = row.readings.iter().find(|found| found.at == at).unwrap();
    [found.line_neutral, found.line_earth, found.neutral_earth]
}

#[track_caller]
pub(crate) fn assert_volt(reading: Reading, volt: f64, within: f64) {
    match reading {
        Reading::Volt(found) => assert!((found - volt).abs() <= within, "{found} V, not {volt} V"),
        other => panic!("{other:?}, not {volt} V"),
    }
}

/// A camper on shore: inlet, consumer unit, one socket, an earth stud; more lines for each section
/// and the fields of its one state.
pub(crate) fn camper(region: &str, unit: &str, devices: &str, wires: &str, state: &str) -> String {
    format!(
        r#"
unbury = 1
[vehicle]
name = "test"
region = "{region}"
system = "12 V"
[devices]
inlet = {{ kind = "shore inlet" }}
unit = {{ kind = "consumer unit", {unit} }}
stud = {{ kind = "earth stud" }}
socket = {{ kind = "mains socket" }}
{devices}
[wires]
a1 = "inlet.ac to unit.in, 3 x 2.5 mm2, 1 m"
a2 = "unit.out to socket.ac, 3 x 2.5 mm2, 1 m"
e1 = "unit.in.PE to stud, 6 mm2, 0.5 m"
{wires}
[states]
here = {{ {state} }}
"#
    )
}
