//! How much a first look at a case weighs on a bad link.

use std::io::Write as _;

use flate2::Compression;
use flate2::write::GzEncoder;

use crate::records::DUNLIN;
use crate::support::Bay;

/// Most bytes of a first load, photos left out: what the app promises.
const MOST: usize = 150_000;

fn packed(text: &str) -> usize {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(text.as_bytes()).expect("memory takes all");
    encoder.finish().expect("memory takes all").len()
}

/// Everything in the folder of assets counts, the worker included.
fn assets() -> usize {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/assets");
    let files = std::fs::read_dir(folder).expect("the folder");
    let paths = files.map(|file| file.expect("a file").path());
    let served = paths.filter(|path| path.extension().is_some_and(|kind| kind != "md"));
    served.map(|path| packed(&std::fs::read_to_string(path).expect("text"))).sum()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_first_load_is_light() {
    let bay = Bay::with(&[("dunlin", DUNLIN)]);
    let assets = assets();
    let drawing = packed(&bay.page("/case/dunlin/drawing/wiring.svg").await);
    bay.searched("dunlin").await;
    for station in
        ["arrival", "dead", "found", "suspects", "way-in", "put-right", "prove", "hand-over"]
    {
        let page = packed(&bay.worked(&format!("/case/dunlin/{station}")).await);
        let whole = assets + drawing + page;
        assert!(whole < MOST, "{station}: page {page} + drawing {drawing} + assets {assets} bytes");
    }
}
