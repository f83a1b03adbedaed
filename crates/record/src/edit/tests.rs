//! Values set and taken out by path. What has to come out is written by hand beside each case: the
//! text with exactly one place changed, by the grammar of TOML 1.0.0 (toml.io).

use super::*;

const TEXT: &str = "\
# Remark at the top
unbury = 1

[devices]
pump   = { kind = \"water pump\", power = \"told 48 W\" }   # behind the cork
bar    = {}
box    = { kind = \"fuse box\", ways = [\"10 A pump\", \"empty\"] }

# Heading's remark
[wires]
w1 = \"box.1 to pump.+, 2.5 mm2\"  # red
\"w2.a\" = \"pump.- to bar\"

[parts.cork-wall]
is = \"cork\"

# of the states
[states]
";

fn replaced(from: &str, to: &str) -> String {
    assert_eq!(TEXT.matches(from).count(), 1, "{from}");
    TEXT.replace(from, to)
}

#[test]
fn a_path_is_keys_with_dots_between() {
    assert_eq!(
        split_path("devices.pump.power"),
        Ok(vec!["devices".into(), "pump".into(), "power".into()])
    );
    assert_eq!(
        split_path("joints.\"w1 at box.1\""),
        Ok(vec!["joints".into(), "w1 at box.1".into()])
    );
    for bad in ["", ".", "a.", ".a", "a..b", "a.\"b", "\"a\"b", "a\n"] {
        assert!(split_path(bad).is_err() || bad == "a\n", "{bad:?}");
    }
    assert_eq!(join_path(&["joints", "w1 at box.1"]), "joints.\"w1 at box.1\"");
}

#[test]
fn a_value_is_found_by_its_path() {
    assert_eq!(value(TEXT, &["devices", "pump", "power"]).as_deref(), Some("told 48 W"));
    assert_eq!(value(TEXT, &["wires", "w2.a"]).as_deref(), Some("pump.- to bar"));
    assert_eq!(value(TEXT, &["unbury"]).as_deref(), Some("1"));
    assert_eq!(value(TEXT, &["devices", "fan", "power"]), None);
    let all = values(TEXT);
    assert_eq!(all.get("parts.cork-wall.is").map(String::as_str), Some("cork"));
    assert_eq!(all.get("wires.\"w2.a\"").map(String::as_str), Some("pump.- to bar"));
    assert_eq!(all.get("devices.box.ways").map(String::as_str), Some("[\"10 A pump\", \"empty\"]"));
    assert_eq!(all.len(), 8);
}

#[test]
fn a_value_is_set_where_it_stands_or_added_where_it_belongs() {
    let set = |path: &[&str], new: &str| set(TEXT, path, new).unwrap();
    assert_eq!(
        set(&["devices", "pump", "power"], "measured 50 W"),
        replaced("told 48 W", "measured 50 W")
    );
    assert_eq!(
        set(&["devices", "pump", "at"], "say \"here\""),
        replaced("\"told 48 W\" }", "\"told 48 W\", at = \"say \\\"here\\\"\" }")
    );
    assert_eq!(set(&["devices", "bar", "kind"], "busbar"), replaced("{}", "{ kind = \"busbar\" }"));
    assert_eq!(
        set(&["devices", "box", "ways"], "[\"15 A pump\"]"),
        replaced("[\"10 A pump\", \"empty\"]", "[\"15 A pump\"]")
    );
    assert_eq!(
        set(&["wires", "w3"], "a to b"),
        replaced("pump.- to bar\"\n", "pump.- to bar\"\nw3 = \"a to b\"\n")
    );
    assert_eq!(
        set(&["parts", "cork-wall", "mass"], "2 kg"),
        replaced("is = \"cork\"\n", "is = \"cork\"\nmass = \"2 kg\"\n")
    );
    assert_eq!(
        set(&["spots", "s"], "{ is = \"x\" }"),
        format!("{TEXT}\n[spots]\ns = {{ is = \"x\" }}\n")
    );
}

#[test]
fn a_value_of_another_sort_or_without_a_place_is_refused() {
    let refused = |path: &[&str], new: &str| set(TEXT, path, new).unwrap_err().to_string();
    assert!(refused(&["devices", "box", "ways"], "10 A").contains("devices.box.ways"));
    assert!(refused(&["unbury"], "\"1\"").contains("unbury"));
    assert!(refused(&["unbury"], "1\nx = 2").contains("unbury"));
    assert!(refused(&["wires", "w1", "colour"], "red").contains("one line"));
    assert!(refused(&["devices", "fan", "power"], "3 W").contains("fan"));
    assert!(refused(&["wires"], "{}").contains("wires"));
    assert!(refused(&["new"], "x").contains("new"));
    assert!(set(TEXT, &[], "x").is_err());
}

#[test]
fn what_is_taken_out_goes_with_its_comma_line_or_heading() {
    let without = |path: &[&str]| remove(TEXT, path).unwrap();
    assert_eq!(without(&["devices", "pump", "power"]), replaced(", power = \"told 48 W\"", ""));
    assert_eq!(without(&["devices", "pump", "kind"]), replaced("kind = \"water pump\", ", ""));
    assert_eq!(
        without(&["wires", "w1"]),
        replaced("w1 = \"box.1 to pump.+, 2.5 mm2\"  # red\n", "")
    );
    assert_eq!(
        without(&["parts", "cork-wall"]),
        replaced("[parts.cork-wall]\nis = \"cork\"\n", "")
    );
    for (path, name) in [(&["wires", "w9"][..], "w9"), (&["nothing", "at", "all"], "all")] {
        assert!(remove(TEXT, path).unwrap_err().to_string().contains(name));
    }
    assert!(remove("a.b = 1\na.c = 2\n", &["a"]).is_err());
}

#[test]
fn a_line_is_one_line_with_one_name() {
    assert_eq!(line_key("w9 = \"a to b\""), Ok("w9".to_owned()));
    assert_eq!(line_key("\"w1 at x.+\" = \"lug\" # tight"), Ok("w1 at x.+".to_owned()));
    for bad in ["", "# nothing", "w9", "w9 = ", "[wires]", "a.b = 1", "a = 1\nb = 2", "a = \"x"] {
        assert!(line_key(bad).is_err(), "{bad:?}");
    }
}

/// What a phone makes of a line, and what it should be, by hand.
#[test]
fn a_line_is_taken_as_it_is_typed_on_a_phone() {
    for (typed, is) in [
        ("w1 = \"a to b, 6 mm2\"", "w1 = \"a to b, 6 mm2\""),
        ("w1 = \u{201c}a to b, 6 mm2\u{201d}", "w1 = \"a to b, 6 mm2\""),
        ("w1 = a to b, 6 mm2", "w1 = \"a to b, 6 mm2\""),
        ("w1 at a.+ = lug, loose", "\"w1 at a.+\" = \"lug, loose\""),
        ("words = \"the \u{201c}big\u{201d} one\"", "words = \"the \u{201c}big\u{201d} one\""),
        ("count = 5", "count = 5"),
        // What cannot be helped stays as it was typed.
        ("w1 = { kind = lamp }", "w1 = { kind = lamp }"),
        ("w1 = \"a to b", "w1 = \"a to b"),
        ("w1", "w1"),
        ("= a to b", "= a to b"),
        ("w1 = a\nw2 = b", "w1 = a\nw2 = b"),
    ] {
        assert_eq!(as_line(typed), is, "{typed}");
    }
}
