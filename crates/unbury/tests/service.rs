//! Service over a year and hatches as somebody types them.

use std::process::{Command, Output};

const DUNLIN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../records/dunlin/dunlin.toml");

fn unbury(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_unbury")).args(arguments).output().expect("unbury runs")
}

#[test]
fn service_and_hatches_are_told_in_80_columns_and_as_json() {
    for command in [&["service-access", DUNLIN][..], &["hatch", DUNLIN, "--pairs"]] {
        let output = unbury(command);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        let text = String::from_utf8(output.stdout).expect("UTF-8");
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
        assert!(text.contains("cork-wall"), "the glued lining is the worst of Dunlin: {text}");
        assert!(text.contains("assumed"), "says what it rests on: {text}");
        let json = unbury(&[command, &["--json"]].concat());
        let value: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
        assert_eq!(value["schema"], format!("unbury.{}/1", command[0]));
        assert!(value["index"]["minutes_per_year"].as_f64().expect("a number") > 0.0);
    }
}
