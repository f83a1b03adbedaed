//! `suspects`, `next` and `find` as somebody types them.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

/// A dark lamp behind a panel, a heating pad beside it that works.
const DARK: &str = r#"# The bench of the test.
unbury = 1
[vehicle]
name = "Bench"
region = "europe"
system = "12 V"
[devices]
house = { kind = "lfp battery", holds = "100 Ah", resistance = "5 mOhm", rest = "13.2 V", behind = "nothing" }
dist = { kind = "blade fuse box", ways = ["10 A heat", "10 A light"], behind = "nothing" }
pad = { kind = "heater", power = "48 W", behind = "nothing" }
lamp = { kind = "led lights", power = "24 W", behind = "panel" }
rail = { kind = "busbar", behind = "nothing" }
[wires]
w1 = "house.+ to dist.in, 16 mm2, 1 m, stranded"
w2 = "dist.1 to pad.+, 1.5 mm2, 5 m, stranded"
w3 = "pad.- to rail, 1.5 mm2, 5 m, stranded"
w4 = "dist.2 to lamp.+, 1.5 mm2, 5 m, stranded"
w5 = "lamp.- to rail, 1.5 mm2, 5 m, stranded"
w6 = "rail to house.-, 16 mm2, 1 m, stranded"
[parts]
panel = { is = "panel", out = "10 min", back = "5 min" }
[states]
evening = { on = ["pad", "lamp"], charge = { house = "60 %" } }
[symptoms]
dark = { words = "It is dark.", device = "lamp", state = "evening", shows = "told dead" }   # says the owner
"#;

fn start(arguments: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_unbury"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("unbury runs")
}

fn answered(arguments: &[&str], answers: &str) -> Output {
    let mut child = start(arguments);
    // It may have ended before it reads.
    let _ = child.stdin.take().expect("an input").write_all(answers.as_bytes());
    child.wait_with_output().expect("it ends")
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn scratch() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let path = folder.path().join("bench.toml");
    std::fs::write(&path, DARK).expect("a record");
    (folder, path)
}

fn json(arguments: &[&str]) -> serde_json::Value {
    let output = answered(&[arguments, &["--json"]].concat(), "");
    serde_json::from_slice(&output.stdout).unwrap_or_else(|no| panic!("{arguments:?}: {no}"))
}

/// An answer of the sort the card asks for.
fn answer(view: &serde_json::Value) -> Option<&'static str> {
    let asked = view["check"]["answer"].as_str()?;
    Some(match () {
        () if asked.starts_with("volts") => "0.01 V",
        () if asked.starts_with("amperes") => "0 A",
        () if asked.starts_with("`good`") => "good",
        () => "works",
    })
}

#[test]
fn a_search_takes_answers_refuses_others_and_takes_back() {
    let (_folder, path) = scratch();
    let name = path.to_str().expect("UTF-8");
    let first = answer(&json(&["next", name])).expect("a check");
    let script =
        format!("help\nwhy\nrubbish\nundo\n9: 12 V\n\n{first}\nundo\n{first}\nstop\nnever read\n");
    let output = answered(&["find", name], &script);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let shown = text(&output);
    // One card at the start, one after each answer, one after what was taken back.
    let cards = shown.matches("Next check: ").count() + shown.matches("Repair: ").count();
    assert_eq!(cards, 4, "{shown}");
    assert_eq!(shown.matches("Not taken: ").count(), 2, "{shown}");
    assert_eq!(shown.matches("There is nothing to take back.").count(), 1, "{shown}");
    assert_eq!(shown.matches("Taken back.").count(), 1, "{shown}");
    assert_eq!(shown.matches("Noted: ").count(), 2, "{shown}");
    assert!(shown.contains("Suspects") && shown.contains("Add to the record"), "{shown}");
    // Nothing is written without being asked to.
    assert_eq!(std::fs::read_to_string(&path).expect("the record"), DARK);
    // Lines that are to be copied into the record stay whole.
    let (talk, _) = shown.split_once("Add to the record").expect("kept lines");
    for line in talk.lines().filter(|line| !line.trim_start().starts_with("Noted: ")) {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn every_answer_is_written_and_the_record_stays_whole() {
    let (folder, path) = scratch();
    let name = path.to_str().expect("UTF-8");
    let mut rounds = 0;
    for _ in 0..4 {
        let Some(answer) = answer(&json(&["next", name])) else { break };
        let before = std::fs::read_to_string(&path).expect("the record");
        let output = answered(&["find", name, "--write"], &format!("{answer}\nstop\n"));
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        assert!(text(&output).contains("Written to "), "{}", text(&output));
        let after = std::fs::read_to_string(&path).expect("the record");
        assert_ne!(before, after);
        assert!(after.starts_with("# The bench of the test.\n"), "{after}");
        assert!(after.contains("# says the owner"), "{after}");
        // Code 3 would be a fault in the record.
        let suspects = answered(&["suspects", name], "");
        assert_eq!(suspects.status.code(), Some(0), "{after}\n{suspects:?}");
        rounds += 1;
    }
    assert!(rounds >= 2, "{rounds}");
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("the folder").collect();
    assert_eq!(left.len(), 1, "{left:?}");
}

fn wait_for(path: &Path, what: impl Fn(&str) -> bool) -> String {
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(120) {
        let text = std::fs::read_to_string(path).expect("the record is always there");
        if what(&text) {
            return text;
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    panic!("nothing was written")
}

#[test]
fn an_answer_survives_a_kill_between_two_answers() {
    let (_folder, path) = scratch();
    let name = path.to_str().expect("UTF-8");
    let first = answer(&json(&["next", name])).expect("a check");
    let mut child = start(&["find", name, "--write"]);
    let mut input = child.stdin.take().expect("an input");
    writeln!(input, "{first}").expect("it reads");
    let written = wait_for(&path, |text| text != DARK);
    child.kill().expect("it runs until then");
    child.wait().expect("it ends");
    assert_eq!(std::fs::read_to_string(&path).expect("the record"), written);
    let next = json(&["next", name]);
    assert_eq!(next["suspects"]["weighed"], 2, "{written}");
}

#[test]
fn an_unknown_symptom_is_named_with_the_known_ones() {
    let (_folder, path) = scratch();
    let name = path.to_str().expect("UTF-8");
    for command in ["suspects", "next", "find"] {
        for (about, says) in [("drak", "did you mean `dark`?"), ("unheard-of", "known: dark")] {
            let output = answered(&[command, name, "--about", about], "stop\n");
            assert_eq!(output.status.code(), Some(5), "{output:?}");
            let errors = String::from_utf8(output.stderr).expect("UTF-8");
            assert!(errors.contains(says) && errors.contains(about), "{errors}");
        }
    }
    let output = answered(&["find", name, "--out", "panle"], "stop\n");
    assert_eq!(output.status.code(), Some(5), "{output:?}");
}

#[test]
fn every_example_record_fits_a_terminal_and_reads_as_json() {
    for record in ["bracken", "dunlin", "plover", "tarn", "wren"] {
        let path = format!("{}/../../records/{record}/{record}.toml", env!("CARGO_MANIFEST_DIR"));
        for command in ["suspects", "next", "find"] {
            let output = answered(&[command, &path], "stop\n");
            assert_eq!(output.status.code(), Some(0), "{command} {record}: {output:?}");
            for line in text(&output).lines() {
                assert!(line.chars().count() <= 80, "{command} {record}: {line}");
                assert!(!line.contains("NaN") && !line.contains("inf "), "{line}");
            }
        }
        let suspects = json(&["suspects", &path]);
        assert_eq!(suspects["schema"], "unbury.suspects/1");
        let next = json(&["next", &path]);
        assert_eq!(next["schema"], "unbury.next/1");
        assert_eq!(next["suspects"]["schema"], "unbury.suspects/1");
        assert!(next["minutes"].as_f64() <= next["straight_in_minutes"].as_f64().map(|m| m + 1e-9));
    }
}

/// No volts behind the lamp's fuse and all of them before it: its repair is due.
fn blown() -> String {
    let read = "[readings]\nbehind = \"evening: 0.01 V between dist.2 and house.-, multimeter\"\nbefore = \
                \"evening: 13.1 V between dist.in and house.-, multimeter\"\n";
    format!("{}{read}", DARK.replace("told dead", "seen dead"))
}

#[test]
fn a_repair_that_did_not_cure_leads_on() {
    let (_folder, path) = scratch();
    let name = path.to_str().expect("UTF-8");
    let shown = text(&answered(&["find", name], "no cure\nstop\n"));
    assert!(shown.contains("Not taken: no repair was proposed"), "{shown}");
    std::fs::write(&path, blown()).expect("a record");
    let shown = text(&answered(&["find", name, "--write"], "help\nno cure\nstop\n"));
    assert!(shown.contains("Repair: fuse 2"), "{shown}");
    assert!(shown.contains("Noted: no_cure = ["), "{shown}");
    let kept = std::fs::read_to_string(&path).expect("the record");
    assert!(kept.contains("[history]\nno_cure = ["), "{kept}");
    let again = text(&answered(&["next", name], ""));
    assert!(!again.contains("Repair: fuse 2"), "{again}");
}

#[test]
fn after_a_repair_that_changed_something_it_is_said_what_is_left() {
    let (_folder, path) = scratch();
    let name = path.to_str().expect("UTF-8");
    std::fs::write(&path, blown()).expect("a record");
    let shown = text(&answered(&["find", name, "--write"], "changed\nchanged: weak\nstop\n"));
    assert!(shown.contains("Not taken: say what each does now"), "{shown}");
    assert!(shown.contains("Noted: changed = ["), "{shown}");
    let kept = std::fs::read_to_string(&path).expect("the record");
    assert!(kept.contains("[history]\nchanged = ["), "{kept}");
    assert!(kept.contains("shows = \"seen weak\""), "{kept}");
    let again = text(&answered(&["next", name], ""));
    assert!(!again.contains("Repair: fuse 2"), "{again}");
}
