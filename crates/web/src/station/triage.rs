//! Questions that are asked before anything is touched, each with its hazard. Common practice, no
//! source; where a standing rule is quoted, it stands beside it.

use maud::{Markup, html};

use crate::look::finding::{hazard, sign};
use crate::look::form;
use crate::serve::Opened;
use crate::station::Station;

/// The list of notes that holds the answers.
const ON: &str = "triage";

/// A question that is asked first.
struct Question {
    asked: &'static str,
    word: &'static str,
    if_yes: &'static str,
}

const QUESTIONS: [Question; 8] = [
    Question {
        asked: "Does it smell of gas, or is a gas alarm sounding?",
        word: "DANGER",
        if_yes: "Nothing is switched on or off, no flame. Everybody out, doors open, bottle shut if that can be done from outside. Gas work is for licensed people.",
    },
    Question {
        asked: "Is there a tingle from the step, the body or a tap?",
        word: "DANGER",
        if_yes: "The body may be at mains voltage. Pull the shore lead at the supply end without touching the vehicle and the ground at once. Mains work is for licensed people.",
    },
    Question {
        asked: "Is a battery swollen, hot, hissing or wet?",
        word: "DANGER",
        if_yes: "Keep away, no sparks, air the room, no charging. Acid burns, a lithium battery can vent burning gas. Ask the maker before it is moved.",
    },
    Question {
        asked: "Does anything smell of burning, smoke or feel hot?",
        word: "WARNING",
        if_yes: "Open the main switch, pull the shore lead, stop the engine. Have an extinguisher at hand. Do not switch on again to look.",
    },
    Question {
        asked: "Did water get in, or was it in a flood?",
        word: "WARNING",
        if_yes: "Wet mains parts can be live where nobody expects it. Leave the shore lead out until the mains side was looked at by licensed people.",
    },
    Question {
        asked: "Does the residual-current device trip on shore power?",
        word: "WARNING",
        if_yes: "Current goes where it should not. Do not bridge it, do not try another socket. Licensed people look for it.",
    },
    Question {
        asked: "Is it a hybrid, or are there orange cables?",
        word: "DANGER",
        if_yes: "High voltage. Follow the maker, wait the time the maker says, leave it to people licensed for it.",
    },
    Question {
        asked: "Are seats with airbags or belt tensioners in the way?",
        word: "WARNING",
        if_yes: "Follow the maker before anything there is unplugged, and wait the time the maker says for this vehicle.",
    },
];

/// The questions with what was answered.
pub(crate) fn questions(case: &Opened) -> Markup {
    let back = format!("{}#triage", Station::Arrival.address(&case.id));
    html! {
        section class="card" id="triage" {
            header { h2 { "Asked first" } span class="count" { (open(case)) " open" } }
            p class="quiet" { "A yes names the hazard and what to do before anything else. Common practice, no source; local codes come first." }
            ul class="rows" { @for question in &QUESTIONS {
                @let answer = answer(case, question);
                li class="ask" {
                    b { (question.asked) }
                    (form::change_line(&case.id, "note", &back, &html! {
                        (form::hidden("on", ON))
                        @for (word, value) in [("No", "no"), ("Yes", "yes"), ("Not known", "not known")] {
                            button name="words" value={ (question.asked) " " (value) }
                                class=[(answer == Some(value)).then_some("main")]
                                aria-pressed=((answer == Some(value)).to_string()) { (word) }
                        }
                    }))
                    @if answer == Some("yes") { (hazard(question.word, &html! { (question.if_yes) })) }
                }
            } }
        }
    }
}

/// What was answered yes and is a danger: it stands in the head of every page of the case until the answer
/// changes.
pub(crate) fn dangers(case: &Opened) -> Markup {
    alarms(case, |word| word == "DANGER")
}

/// What else was answered yes, for the head of the first station.
pub(crate) fn warnings(case: &Opened) -> Markup {
    alarms(case, |word| word != "DANGER")
}

fn alarms(case: &Opened, is_shown: impl Fn(&str) -> bool) -> Markup {
    html! { @for question in QUESTIONS.iter().filter(|question| is_shown(question.word)) {
        @if answer(case, question) == Some("yes") {
            div class="said" { (sign(question.word)) " " b { (question.asked) " Yes. " } (question.if_yes) }
        }
    } }
}

/// How many questions nobody has answered.
pub(crate) fn open(case: &Opened) -> usize {
    QUESTIONS.iter().filter(|question| answer(case, question).is_none()).count()
}

fn answer<'c>(case: &'c Opened, question: &Question) -> Option<&'c str> {
    let notes = case.kept.notes.iter().rev().filter(|note| note.on.as_deref() == Some(ON));
    notes.filter_map(|note| note.words.strip_prefix(question.asked)).map(str::trim).next()
}
