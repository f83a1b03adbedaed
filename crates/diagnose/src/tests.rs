//! Published examples, closed forms, plans compared with each other, and small vehicles whose sums
//! can be done by hand.

mod again;
mod checks;
mod decide;
mod infer;
mod mended;
mod pairs;
mod published;
mod shorts;
mod van;
mod vehicle;
