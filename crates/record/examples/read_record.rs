//! Reads a record and prints what was understood and every fault with its place.

use std::io::Write;

fn main() -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    let Some(path) = std::env::args().nth(1) else {
        return writeln!(out, "usage: read_record RECORD");
    };
    let text = std::fs::read_to_string(&path)?;
    let record = record::read(&text, &catalog::Catalog::embedded());
    let vehicle = &record.vehicle;
    for fault in &record.diagnostics {
        let place = record::line_column(&text, fault.place().start);
        let (line, column) = (place.line, place.column);
        writeln!(out, "{path}:{line}:{column}: {}: {}", fault.severity.word(), fault.message)?;
        let piece = text.get(fault.place().start..fault.place().end).unwrap_or("");
        writeln!(out, "    at: {piece}")?;
        for help in &fault.help {
            writeln!(out, "    help: {help}")?;
        }
    }
    writeln!(
        out,
        "{} devices, {} wires, {} parts, {} states, {} readings, {} faults, {} lines",
        vehicle.devices.len(),
        vehicle.wires.len(),
        vehicle.parts.len(),
        vehicle.states.len(),
        vehicle.readings.len(),
        record.diagnostics.len(),
        text.lines().count(),
    )
}
