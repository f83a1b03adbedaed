//! Published examples, closed forms, and plans compared with each other.

mod decide;
mod infer;
