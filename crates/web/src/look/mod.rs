//! Pieces that pages share.
//!
//! | file | what it holds |
//! |---|---|
//! | `frame.rs` | the frame of every page: title block, bar of stations, what is still live |
//! | `viewer.rs` | who looks, and in which light |
//! | `form.rs` | forms that become changes of a case, with and without script; the hooks of the script |
//! | `moment.rs` | who and when |
//! | `tick.rs` | a step that is ticked off |
//! | `template.rs` | lines of the record with gaps, filled from a form |
//! | `finding.rs` | signal words, hazards, findings, minutes of access |
//! | `figure.rs`, `photo.rs` | drawings and photos on a page |

pub(crate) mod figure;
pub(crate) mod finding;
pub(crate) mod form;
pub(crate) mod frame;
pub(crate) mod moment;
pub(crate) mod photo;
pub(crate) mod steps;
pub(crate) mod template;
pub(crate) mod tick;
pub(crate) mod viewer;
