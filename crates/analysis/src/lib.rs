//! Record text in, [`Review`] out: the one facade over all engines. Plain data only.

mod view;

pub use view::{
    AccessCost, Assumption, Counts, Excerpt, FindingView, HeldAgainst, LineUse, LivePath, LiveRow,
    LoadRow, MissingView, PlaceView, REVIEW_SCHEMA, ReadingRow, RecordFault, Review, SourceView,
    StateView, StepView, Tally, VehicleView, WayIn, WireRow,
};
