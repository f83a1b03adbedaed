//! Starts other programs and says what went wrong in one sentence.
//!
//! Knows programs, folders and seconds; does not know what is being tested.

use std::env;
use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;

use anyhow::{Context as _, Result, bail};

use crate::files::root;

/// Runs steps one after another, each with a heading and the seconds it took.
#[derive(Debug)]
pub(crate) struct Steps {
    total: usize,
    first: usize,
    done: usize,
}

impl Steps {
    /// A run of `total` steps.
    pub(crate) fn new(total: usize) -> Self {
        Self { total, first: 1, done: 0 }
    }

    /// Leaves out the steps before the `first`.
    pub(crate) fn from(self, first: usize) -> Self {
        Self { first, ..self }
    }

    /// Runs one step; its failure is reported under its name.
    pub(crate) fn step(&mut self, name: &str, work: impl FnOnce() -> Result<()>) -> Result<()> {
        self.done += 1;
        let label = format!("{}/{} {name}", self.done, self.total);
        if self.done < self.first {
            println!("==> {label}: left out");
            return Ok(());
        }
        println!("==> {label}");
        let start = Instant::now();
        let result = work();
        let elapsed_s = start.elapsed().as_secs_f64();
        let verdict = if result.is_ok() { "done" } else { "FAILED" };
        println!("==> {label}: {verdict} after {elapsed_s:.1} s");
        result.with_context(|| format!("step {label} failed"))
    }
}

/// The cargo that started this program, in the root of the repository.
pub(crate) fn cargo(arguments: &[&str]) -> Command {
    let mut command = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(arguments).current_dir(root());
    command
}

/// The folder cargo builds into.
pub(crate) fn target_folder() -> PathBuf {
    let named = env::var_os("CARGO_TARGET_DIR").filter(|folder| !folder.is_empty());
    root().join(named.unwrap_or_else(|| "target".into()))
}

/// Runs a program with its output on the terminal.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let shown = shown(command);
    let status = command.status().with_context(|| format!("cannot start `{shown}`"))?;
    if !status.success() {
        bail!("`{shown}` ended with {status}");
    }
    Ok(())
}

/// Runs a program and gives what it printed; what it complained about is in the error.
pub(crate) fn printed(command: &mut Command) -> Result<String> {
    let shown = shown(command);
    let output = command.output().with_context(|| format!("cannot start `{shown}`"))?;
    if !output.status.success() {
        let complaint = String::from_utf8_lossy(&output.stderr);
        bail!("`{shown}` ended with {}\n{}", output.status, complaint.trim_end());
    }
    String::from_utf8(output.stdout).with_context(|| format!("`{shown}` printed no UTF-8"))
}

/// Whether a program runs and ends well; what it prints is thrown away.
pub(crate) fn succeeds(command: &mut Command) -> bool {
    command.output().is_ok_and(|output| output.status.success())
}

/// Whether a program of this name is on the search path.
pub(crate) fn on_path(program: &str) -> bool {
    let folders = env::var_os("PATH").unwrap_or_default();
    env::split_paths(&folders).any(|folder| folder.join(program).is_file())
}

fn shown(command: &Command) -> String {
    let program = PathBuf::from(command.get_program());
    let name = program.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let words = command.get_args().map(|word| word.to_string_lossy().into_owned());
    std::iter::once(name).chain(words).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_program_is_named_in_the_error() {
        let error = run(&mut Command::new("no-such-program-here")).unwrap_err();
        assert!(format!("{error:#}").contains("cannot start `no-such-program-here`"));
    }

    #[test]
    fn a_failing_program_is_named_with_its_arguments_and_complaint() {
        let error = printed(&mut cargo(&["no-such-command"])).unwrap_err();
        let text = format!("{error:#}");
        assert!(
            text.contains("cargo no-such-command") && text.contains("no such command"),
            "{text}"
        );
    }

    #[test]
    fn a_failed_step_is_named() {
        let error = Steps::new(3).step("one", || bail!("why")).unwrap_err();
        assert_eq!(format!("{error:#}"), "step 1/3 one failed: why");
    }
}
