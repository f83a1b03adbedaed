//! Serves the records that are named, kept in memory, to look at the pages while they are changed:
//! `cargo run -p web --example pages -- records/dunlin/dunlin.toml`.

use std::path::Path;

#[tokio::main]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut records = Vec::new();
    for path in std::env::args().skip(1) {
        let id = Path::new(&path).file_stem().unwrap_or_default().to_string_lossy().into_owned();
        records.push((id, std::fs::read_to_string(&path)?));
    }
    let state = web::AppState::with_records(records);
    let listener = tokio::net::TcpListener::bind("127.0.0.1:4270").await?;
    axum::serve(listener, web::serve::router(state)).await?;
    Ok(())
}
