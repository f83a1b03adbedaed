//! The workshop app: a case worked through its stations on a phone, a tablet or a laptop.
//!
//! Pages are typed templates filled on the server; every number comes from the engines through
//! `analysis`, `depict` and `pack`.
//!
//! | folder | what it holds |
//! |---|---|
//! | `serve/` | the state shared by all requests |
//! | `study.rs` | a record looked at once: everything the pages ask of the engines, kept |
//! | `station/` | the stations, one file each: what is shown, its template, its handler |
//! | `assets.rs` | style sheet, modules and worker, from the folder `assets/` |
//! | `look/` | pieces that pages share: frame, cards, forms |

mod assets;
mod look;
pub mod serve;
pub mod station;
mod study;

pub use serve::{AppState, Opened};
pub use study::{Advice, Study};
