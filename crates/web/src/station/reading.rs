//! A reading that nobody asked for: any two points, in any state. What one can do while nothing is known
//! yet, and whenever one has the meter on something anyway.

use maud::{Markup, html};

use crate::look::form;
use crate::serve::Opened;
use crate::station::{Station, capture, check, noticed};

/// The form for it, or what has to be there first.
pub(crate) fn form(case: &Opened, back: &str) -> Markup {
    let states: Vec<String> =
        case.study.case().arrival().states.into_iter().map(|(name, _)| name).collect();
    let points = capture::terminals(case);
    let points = || points.iter().map(String::as_str).filter(|name| *name != "unknown");
    if points().next().is_none() {
        return html! { p { "A reading needs two points of the record. "
        a class="in" href={ (Station::Found.address(&case.id)) "#forms" } { "Add a device at As found" } } };
    }
    html! {
        @if states.is_empty() { (noticed::usual_states(case, back)) }
        @else {
            (form::change(&case.id, "line", back, &html! {
                (form::line_fields("readings", "%name% = \"%state%: %value% between %red% and %black%, multimeter\""))
                div class="fields" {
                    (form::select_of("state", "In which state", &states, &states[0]))
                    (form::suggested_required("red", "Red probe on", "a terminal, as battery.+", points()))
                    (form::suggested_required("black", "Black probe on", "a terminal, as battery.-", points()))
                }
                (check::number("any-reading", "V", "mV"))
            }))
        }
    }
}
