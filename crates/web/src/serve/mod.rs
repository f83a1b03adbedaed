//! Serving: the state that all requests share.

mod state;

pub use state::{AppState, CaseLine, Opened};
