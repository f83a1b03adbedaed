//! The scanner against small pieces of Rust whose reading the language reference fixes
//! (The Rust Reference, chapter "Lexical structure": comments, tokens).

use super::*;

fn texts(lifted: &[Lifted]) -> Vec<&str> {
    lifted.iter().map(|one| one.text.as_str()).collect()
}

#[test]
fn code_keeps_its_length_and_line_breaks() {
    let text = "let a = \"x\ny\"; // end\n/* b\nc */ let d = 1;\n";
    let code = scan(text).code;
    assert_eq!(code.chars().count(), text.chars().count());
    assert_eq!(code.lines().count(), text.lines().count());
}

#[test]
fn a_string_ends_at_its_unescaped_quote() {
    let scan = scan(r#"f("a \" b", "c\\"); g("d")"#);
    assert_eq!(texts(&scan.strings), [r#"a \" b"#, r"c\\", "d"]);
}

#[test]
fn a_raw_string_ends_at_its_own_number_of_hashes() {
    let scan = scan("f(r##\"a \"# b\"##); g(br\"c\\\"); h(\"d\")");
    assert_eq!(texts(&scan.strings), ["a \"# b", "c\\", "d"]);
}

#[test]
fn a_raw_identifier_is_code() {
    assert_eq!(scan("r#type + 1").code, "r#type + 1");
}

#[test]
fn a_name_ending_in_r_does_not_start_a_raw_string() {
    let scan = scan("br_for\"a\"");
    assert_eq!(texts(&scan.strings), ["a"]);
}

#[test]
fn comment_marks_inside_a_string_are_text() {
    let scan = scan("let u = \"https://x\"; // real");
    assert_eq!(texts(&scan.strings), ["https://x"]);
    assert_eq!(texts(&scan.comments), [" real"]);
}

#[test]
fn block_comments_nest() {
    let scan = scan("/* a /* b */ c */ let d = 1;");
    assert_eq!(scan.code.trim(), "let d = 1;");
    assert_eq!(scan.comments.len(), 1);
}

#[test]
fn a_quote_character_does_not_open_a_string() {
    let scan = scan("let a = '\"'; let b = '\\''; let c = '\\u{22}'; f(\"d\")");
    assert_eq!(texts(&scan.strings), ["d"]);
}

#[test]
fn a_lifetime_is_not_a_character() {
    let scan = scan("fn f<'a>(x: &'a str) -> &'a str { \"y\" }");
    assert_eq!(texts(&scan.strings), ["y"]);
    assert!(scan.code.contains("&'a str"));
}

#[test]
fn text_that_breaks_off_is_still_read_to_its_end() {
    for text in ["\"abc", "r#\"abc", "/* abc", "'\\", "'", "\"\\", "b", "r#", "// x", "fn f(", "1."]
    {
        let scan = scan(text);
        assert_eq!(scan.code.chars().count(), text.chars().count(), "{text}");
        functions(&scan.code);
        test_items(&scan.code);
        numbers(&scan.code);
        imports(&scan.code);
    }
}

#[test]
fn a_function_is_counted_from_its_fn_to_its_closing_brace() {
    let code = scan("pub fn one(\n a: [u8; 3],\n) -> u8 {\n  if a { 1 } else { 2 }\n}\n").code;
    assert_eq!(functions(&code), [Function { name: "one".to_owned(), line: 1, lines: 5 }]);
}

#[test]
fn nested_functions_are_counted_each() {
    let code = scan("fn a() {\n fn b() {\n }\n}\n").code;
    let lines: Vec<usize> = functions(&code).iter().map(|f| f.lines).collect();
    assert_eq!(lines, [4, 2]);
}

#[test]
fn declarations_and_pointer_types_are_not_functions_with_a_body() {
    let code = scan("trait T { fn a(&self); }\ntype F = fn(u8) -> u8;\nstruct S { f: fn() }").code;
    assert_eq!(functions(&code), []);
}

#[test]
fn a_brace_in_text_does_not_close_a_function() {
    let code = scan("fn a() {\n f(\"}\"); // }\n g('}');\n}\n").code;
    assert_eq!(functions(&code)[0].lines, 4);
}

#[test]
fn items_under_cfg_test_are_test_code() {
    let text = "fn a() {}\n#[cfg(test)]\nmod tests {\n fn b() {}\n}\n#[cfg(test)]\nmod cases;\nfn c() {}\n";
    let (ranges, modules) = test_items(&scan(text).code);
    assert_eq!(ranges, [(2, 5), (6, 7)]);
    assert_eq!(modules, ["cases"]);
}

#[test]
fn numbers_are_read_with_underscores_exponents_and_suffixes() {
    let values: Vec<f64> =
        numbers("f(1_000.5, 2e-3, 4.5_f64, x1, 7)").iter().map(|n| n.value).collect();
    assert_eq!(values, [1000.5, 0.002, 4.5, 7.0]);
}

#[test]
fn tuple_fields_and_ranges_are_not_decimal_points() {
    let values: Vec<f64> = numbers("p.0.1 + q[25..4]").iter().map(|n| n.value).collect();
    assert_eq!(values, [0.0, 1.0, 25.0, 4.0]);
}

#[test]
fn grouped_imports_are_spelled_out() {
    let code = "use std::{\n fs,\n io::{self, Read},\n time::Instant as Now,\n};\nuse a::b;";
    let found = imports(code);
    assert_eq!(
        texts(&found),
        ["std::fs", "std::io::self", "std::io::Read", "std::time::Instant", "a::b"]
    );
}
