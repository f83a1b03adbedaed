//! Brings what the tests need beyond the Rust toolchain, when it is missing.
//!
//! Debian packages by `apt-get`, Python tools into a folder of their own under the build folder.
//! Knows names and versions of tools; does not know what they are used for.

use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context as _, Result, bail};

use crate::browser;
use crate::shell::{cargo, on_path, printed, run, succeeds, target_folder};

/// Debian packages by the programs they bring.
const PACKAGES: [(&str, &str); 9] = [
    ("ngspice", "ngspice"),
    ("pdftotext", "poppler-utils"),
    ("pdftoppm", "poppler-utils"),
    ("pdfinfo", "poppler-utils"),
    ("qpdf", "qpdf"),
    ("chromium", "chromium"),
    ("node", "nodejs"),
    ("npm", "npm"),
    ("pngquant", "pngquant"),
];

/// A package from the Python package index, at one version.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PythonTool {
    /// Name of the package, and of the program it brings if it brings one.
    pub(crate) name: &'static str,
    /// The version the tests were written against.
    pub(crate) version: &'static str,
}

/// Validates files against a JSON Schema.
pub(crate) const SCHEMA_VALIDATOR: PythonTool =
    PythonTool { name: "check-jsonschema", version: "0.39.0" };

/// Solves integer linear programmes (HiGHS): the reference for ways in.
pub(crate) const PROGRAMME_SOLVER: PythonTool = PythonTool { name: "highspy", version: "1.16.0" };

/// Finds minimum cuts: the reference for making dead.
pub(crate) const NETWORKS: PythonTool = PythonTool { name: "networkx", version: "3.6.1" };

/// Opens workbooks: the independent reader of tables.
pub(crate) const WORKBOOK_READER: PythonTool = PythonTool { name: "openpyxl", version: "3.1.5" };

/// Opens pictures and what is written in them: the independent reader of photos.
pub(crate) const PICTURE_READER: PythonTool = PythonTool { name: "pillow", version: "13.0.0" };

/// Installs everything the tests need; does nothing that is already done.
pub(crate) fn install() -> Result<()> {
    rust_components()?;
    debian_packages()?;
    python_tool(SCHEMA_VALIDATOR)?;
    python_tool(PROGRAMME_SOLVER)?;
    python_tool(NETWORKS)?;
    python_tool(WORKBOOK_READER)?;
    python_tool(PICTURE_READER)?;
    browser::install()
}

/// The folder of programs that holds a Python tool, installed first if need be.
pub(crate) fn python_tool(tool: PythonTool) -> Result<PathBuf> {
    let folder = target_folder().join("test-venv");
    let programs = folder.join("bin");
    let python = || Command::new(programs.join("python"));
    if !succeeds(python().args(["-c", "import pip"])) {
        run(Command::new("python3").args(["-m", "venv", "--clear"]).arg(&folder))
            .context("cannot make a Python environment")?;
    }
    let version = format!("import importlib.metadata as m; print(m.version('{}'))", tool.name);
    let installed = printed(python().args(["-c", &version]));
    if installed.is_ok_and(|text| text.trim() == tool.version) {
        return Ok(programs);
    }
    println!("installing {} {} with pip", tool.name, tool.version);
    let wanted = format!("{}=={}", tool.name, tool.version);
    run(python().args(["-m", "pip", "install", "--quiet", &wanted])).with_context(|| {
        format!("cannot install {wanted}: is the Python package index in reach?")
    })?;
    Ok(programs)
}

fn rust_components() -> Result<()> {
    for component in ["fmt", "clippy"] {
        if !succeeds(&mut cargo(&[component, "--version"])) {
            let package = if component == "fmt" { "rustfmt" } else { component };
            run(Command::new("rustup").args(["component", "add", package]))
                .with_context(|| format!("the Rust toolchain lacks {package}: add it by hand"))?;
        }
    }
    Ok(())
}

fn debian_packages() -> Result<()> {
    let mut missing = missing_packages(on_path);
    if !succeeds(Command::new("python3").args(["-c", "import venv, ensurepip"])) {
        missing.extend(["python3", "python3-venv"]);
    }
    if missing.is_empty() {
        return Ok(());
    }
    let list = missing.join(" ");
    if !on_path("apt-get") {
        bail!("missing: {list}; there is no apt-get here: install them by hand");
    }
    println!("installing {list} with apt-get");
    run(apt_get()?.args(["update", "-qq"])).context("cannot refresh the package lists")?;
    run(apt_get()?.args(["install", "-y", "-qq", "--no-install-recommends"]).args(&missing))
        .with_context(|| format!("cannot install {list}"))
}

fn missing_packages(present: impl Fn(&str) -> bool) -> Vec<&'static str> {
    let mut out: Vec<&str> = PACKAGES
        .iter()
        .filter(|(program, _)| !present(program))
        .map(|(_, package)| *package)
        .collect();
    out.dedup();
    out
}

/// `apt-get` with the rights to install: as root, or through a `sudo` that asks no password.
fn apt_get() -> Result<Command> {
    let is_root = printed(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    let mut command = if is_root {
        Command::new("apt-get")
    } else if succeeds(Command::new("sudo").args(["-n", "true"])) {
        let mut command = Command::new("sudo");
        command.args(["-n", "DEBIAN_FRONTEND=noninteractive", "apt-get"]);
        command
    } else {
        bail!("packages are missing and can only be installed as root: run this as root once");
    };
    command.env("DEBIAN_FRONTEND", "noninteractive").args(["-o", "Acquire::Retries=3"]);
    Ok(command)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_installed_when_every_program_is_there() {
        assert_eq!(missing_packages(|_| true), Vec::<&str>::new());
    }

    #[test]
    fn a_package_that_brings_several_programs_is_asked_for_once() {
        assert_eq!(
            missing_packages(|_| false),
            ["ngspice", "poppler-utils", "qpdf", "chromium", "nodejs", "npm", "pngquant"]
        );
        assert_eq!(missing_packages(|program| program != "pdfinfo"), ["poppler-utils"]);
    }
}
