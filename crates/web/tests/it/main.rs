//! Pages as a browser gets them, from the whole router, over records kept in a scratch folder.

mod changes;
mod dead_plan;
mod pages;
mod records;
mod repairs;
mod support;
mod touch;
mod weight;
