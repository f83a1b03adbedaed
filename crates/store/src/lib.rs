//! What a workshop keeps: cases as journals of entries, photos, people, sessions, and links for owners.
//!
//! Every change of a case is an entry at the end of its journal; what a case looks like is computed
//! from its entries and kept beside them for speed. Judges nothing about a vehicle and knows no page.
//! The clock is handed in; files and the database lie in one folder.
//!
//! | file | what it holds |
//! |---|---|
//! | `entry.rs` | entries, what they change, and what becomes of them |
//! | `state.rs` | what a case looks like |
//! | `fold.rs` | entries into the state; undo |
//! | `apply.rs` | one change into the state; when two changes contradict each other |
//! | `lock.rs` | locks, which only who put them on takes off |
//! | `merge.rs` | a whole text changed by two people, put together line by line |
//! | `chain.rs` | the hash of an entry, and whether a journal was tampered with |
//! | `writer.rs` | the one thread that writes |
//! | `store.rs` | the store as the rest of the program sees it |
//! | `tables.rs` | tables of the database and their versions |
//! | `photos.rs` | photos as files named by their content |
//! | `people.rs`, `links.rs` | who may log in, sessions; links for owners |
//! | `bundle.rs`, `backup.rs` | a case as one file; everything as one folder or archive, while it runs |
//! | `passing.rs` | files on their way out or in |

mod apply;
mod backup;
mod bundle;
mod chain;
mod clock;
mod draft;
mod entry;
mod fold;
mod journal;
mod links;
mod lock;
mod merge;
mod passing;
mod people;
mod photos;
mod state;
mod store;
mod tables;
mod verify;
mod writer;

pub use backup::{BackedUp, restore};
pub use bundle::TakenIn;
pub use chain::sha256;
pub use clock::Clock;
pub use draft::new_id;
pub use entry::{Answer, Authority, Change, Draft, Entry, Keep, Outcome, Who};
pub use links::{Followed, Link};
pub use passing::PassingFile;
pub use people::{Begun, Person, Role, SESSION_S, SHORTEST_PASSWORD, Session, secret};
pub use state::{CaseRow, CaseState, Conflict, HistoryRow, Noted, PhotoOn, Said, Ticked};
pub use store::{Listener, Store, StoreError};
pub use verify::Verified;
