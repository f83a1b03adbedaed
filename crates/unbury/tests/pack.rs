//! `unbury report` as somebody types it. What stands in the files is read by other programs in
//! `crates/pack/tests/outside.py`.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const VAN: &str = r#"unbury = 1
[vehicle]
name = "Van"
region = "europe"
[devices]
house = { kind = "agm battery", behind = "nothing" }
lamp = { kind = "filament lamp", behind = "nothing" }
[wires]
w1 = "house.+ to lamp.+, 1.5 mm2, 3 m"
w2 = "lamp.- to house.-, 1.5 mm2, 3 m"
"#;

fn report(folder: &Path, record: &str, more: &[&str]) -> (Output, PathBuf) {
    let path = folder.join("van.toml");
    std::fs::write(&path, record).expect("a scratch file");
    let out = folder.join("pack");
    let output = Command::new(env!("CARGO_BIN_EXE_unbury"))
        .arg("report")
        .arg(&path)
        .arg("--out")
        .arg(&out)
        .args(more)
        .output()
        .expect("unbury runs");
    (output, out)
}

fn words(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_pack_is_written_and_listed_in_80_columns() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let (output, out) = report(folder.path(), VAN, &["--date", "2026-05-02", "--zip"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let shown = String::from_utf8(output.stdout).expect("UTF-8");
    assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
    for name in ["tables.xlsx", "not-seen.csv", "isolation.csv", "record.toml", "manifest.sha256"] {
        assert!(shown.contains(name), "{name} is not listed: {shown}");
        assert!(out.join(name).is_file(), "{name} was not written");
    }
    assert!(folder.path().join("pack.zip").is_file());
}

#[test]
fn a_photo_that_is_not_there_is_named_and_ends_with_code_4_behind_the_rest_of_the_pack() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let record = format!("{VAN}[photos]\np1 = {{ file = \"lug.jpg\", of = \"lamp\" }}\n");
    let (output, out) = report(folder.path(), &record, &["--json"]);
    assert_eq!(output.status.code(), Some(4), "{output:?}");
    assert!(words(&output.stderr).contains("photo `p1` (`lug.jpg`) is not in the pack"));
    assert!(out.join("findings.csv").is_file());
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(told["schema"], "unbury.report/1");
    assert_eq!(told["refused"][0]["file"], "lug.jpg");
    assert!(told["files"].as_array().is_some_and(|files| files.len() > 10));
}

#[test]
fn a_record_with_errors_gets_a_pack_and_code_3() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let record = VAN.replace("to lamp.+", "to lamb.+");
    let (output, out) = report(folder.path(), &record, &["--language", "es", "--units", "us"]);
    assert_eq!(output.status.code(), Some(3), "{output:?}");
    assert!(words(&output.stderr).contains("lamb"), "{output:?}");
    let table = std::fs::read_to_string(out.join("wires.csv")).expect("a table");
    assert!(table.starts_with("Cable,"), "{table}");
    assert!(table.contains("9.84 ft"), "3 m by the foot of 0.3048 m: {table}");
}

#[test]
fn a_day_that_is_none_is_refused_on_the_command_line() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let (output, _) = report(folder.path(), VAN, &["--date", "2026-02-30"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(words(&output.stderr).contains("day of the calendar"), "{output:?}");
}
