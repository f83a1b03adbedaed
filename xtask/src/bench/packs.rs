//! How long a whole hand-over pack takes, files written and all, for every example record.

use std::fs;
use std::process::Command;

use anyhow::{Context as _, Result};

use super::{Line, Target, line, spread, wall_ms};
use crate::files::root;
use crate::shell::target_folder;

const PACK_MS: f64 = 2_000.0;
/// A pack takes seconds, so fewer rounds tell enough.
const ROUNDS: usize = 5;

/// Whole processes, from start to the last checksum.
pub(super) fn packs() -> Result<Vec<Line>> {
    let records = root().join("records");
    let entries = fs::read_dir(&records).context("cannot read records/")?;
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| records.join(name).join(format!("{name}.toml")).is_file())
        .collect();
    names.sort();
    names.iter().map(|name| pack(name)).collect()
}

fn pack(name: &str) -> Result<Line> {
    let out = target_folder().join("bench-pack");
    let once = || {
        let mut command = Command::new(target_folder().join("release/unbury"));
        command.arg("report").arg(format!("records/{name}/{name}.toml")).arg("--out").arg(&out);
        wall_ms(command.current_dir(root()))
    };
    let times = (0..ROUNDS).map(|_| once()).collect::<Result<Vec<f64>>>()?;
    Ok(line(&format!("pack of {name}, ms"), spread(times)?, Target::AtMost(PACK_MS)))
}
