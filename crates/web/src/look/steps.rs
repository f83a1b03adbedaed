//! Steps of a list, one line each: the one that comes next is open, the others open by a touch.

use maud::{Markup, html};

/// How a step stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stands {
    /// Nothing is left to do about it.
    Done,
    /// It comes next, or wants to be looked at.
    Next,
    /// Others come before it.
    Later,
}

impl Stands {
    /// How a step stands that is done or not; `next` is the number of the one that comes next.
    pub(crate) fn of(number: usize, is_done: bool, next: Option<usize>) -> Stands {
        match (is_done, next == Some(number)) {
            (true, _) => Stands::Done,
            (false, true) => Stands::Next,
            (false, false) => Stands::Later,
        }
    }

    /// Its name on the page: where it changes, the step is opened or folded anew.
    fn word(self) -> &'static str {
        match self {
            Stands::Done => "done",
            Stands::Next => "next",
            Stands::Later => "later",
        }
    }
}

/// A step with its number and its line; `inside` is seen once it is open.
pub(crate) fn step(
    id: &str,
    number: usize,
    stands: Stands,
    line: &Markup,
    inside: &Markup,
) -> Markup {
    html! {
        li class={ "step" @if stands == Stands::Done { " ticked" } } id=(id) aria-current=[(stands == Stands::Next).then_some("step")] {
            span class="no" { (number) }
            details data-state=(stands.word()) open[stands == Stands::Next] {
                summary { span class="line-of" { (line) } }
                div class="what" { (inside) }
            }
        }
    }
}
