//! Packs read by others: every record packed, and the files opened with programs that share nothing
//! with ours (`crates/pack/tests/outside.py` says which). Knows how to start both; does not know what
//! a pack holds.

use std::process::Command;

use anyhow::Result;

use crate::files::root;
use crate::setup::{PICTURE_READER, WORKBOOK_READER, python_tool};
use crate::shell::{cargo, run, target_folder};

const READERS: &str = "crates/pack/tests/outside.py";

/// Packs of all records, of photos good and bad, and of records with faults.
pub(crate) fn read_by_others() -> Result<()> {
    run(&mut cargo(&["build", "--locked", "--workspace"]))?;
    python_tool(WORKBOOK_READER)?;
    let python = python_tool(PICTURE_READER)?.join("python");
    let (root, target) = (root(), target_folder());
    let mut readers = Command::new(python);
    readers.arg(root.join(READERS)).arg(target.join("debug/unbury")).arg(&root);
    run(readers.arg(target.join("packs")))
}
