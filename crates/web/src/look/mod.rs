//! Pieces that pages share.

pub(crate) mod frame;
