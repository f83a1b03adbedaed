//! The demo vehicle: reviewed, and served from a folder of its own.

use std::net::SocketAddr;
use std::path::Path;

use anyhow::Result;
use store::{Clock, Store};

use crate::cli::End;
use crate::pack::Beside;
use crate::page::Page;
use crate::serve::Serving;
use crate::{commands, keep};

/// The demo vehicle's record.
const DEMO: &str = include_str!("../../../records/dunlin/dunlin.toml");

/// Its photos, by file.
const DEMO_PHOTOS: &[(&str, &[u8])] = &[
    ("photos/fridge-fuse.jpg", include_bytes!("../../../records/dunlin/photos/fridge-fuse.jpg")),
    ("photos/bracket.jpg", include_bytes!("../../../records/dunlin/photos/bracket.jpg")),
];

/// Reviews it, and serves it where that is asked for.
pub(crate) fn run(
    page: &mut Page,
    json: bool,
    out: &Path,
    served: Option<SocketAddr>,
) -> Result<End> {
    let end = review(page, json, out)?;
    match served {
        Some(listen) => serve(page, listen),
        None => Ok(end),
    }
}

/// Reviews it and writes its pack.
fn review(page: &mut Page, json: bool, out: &Path) -> Result<End> {
    let target = (out, Beside::Program(DEMO_PHOTOS), &::pack::Options::default());
    commands::review(page, "dunlin.toml", DEMO, json, false, Some(target))?;
    Ok(End::Done)
}

/// Serves it from a folder that goes when the program ends.
fn serve(page: &mut Page, listen: SocketAddr) -> Result<End> {
    let store = Store::scratch(Clock::system())?;
    keep::take_record(&store, "Technician", "dunlin", DEMO, Beside::Program(DEMO_PHOTOS))?;
    page.heading("The workshop app, with Dunlin in it")?;
    page.paragraph("What you enter is gone when it ends; `unbury serve` keeps it.", 0)?;
    let is_free = std::net::TcpListener::bind(listen).is_ok();
    let listen = if is_free { listen } else { SocketAddr::new(listen.ip(), 0) };
    crate::serve::serve(page, store, &Serving { listen, name: "Technician", tls: None })
}
