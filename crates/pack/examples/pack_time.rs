//! Makes the pack of a record without photos and says how large it is, so that its processor time can be
//! taken: `cargo build --release -p pack --features pdf --example pack_time`, then
//! `time target/release/examples/pack_time records/tarn/tarn.toml`.

#![allow(clippy::print_stdout, reason = "a command-line example")]

use std::process::ExitCode;

use analysis::Case;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let Some(text) = words.first().and_then(|path| std::fs::read_to_string(path).ok()) else {
        println!("name a record");
        return ExitCode::FAILURE;
    };
    let case = Case::of(&text);
    let review = case.review();
    let request = pack::Request { record: &text, case: &case, review: &review, photos: Vec::new() };
    match pack::make(&request, &pack::Options::default()) {
        Ok(pack) => {
            let bytes: usize = pack.files.iter().map(|file| file.bytes.len()).sum();
            println!("{} files, {bytes} bytes", pack.files.len());
            ExitCode::SUCCESS
        }
        Err(fault) => {
            println!("{fault}");
            ExitCode::FAILURE
        }
    }
}
