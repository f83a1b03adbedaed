//! Forms that add to the record: the shorthand line with its preview, device, wire, joint, part, a
//! pasted table.

use analysis::{FindingView, JointKind, Look, LookedAt, Review, WireRow};
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use crate::look::finding::{Told, finding, sign};
use crate::look::form::{self, Fields};
use crate::look::viewer::Viewer;
use crate::serve::{AppState, Opened};
use crate::station::{Station, arrival, found, of_case, spelling};

/// Sections a shorthand line can go to, with an example.
const SECTIONS: [(&str, &str); 6] = [
    ("wires", "w1 = \"box.3 to fridge.+, 2.5 mm2, red, 4 m\""),
    ("devices", "pump = { kind = \"water pump\", at = \"under the sink\" }"),
    ("joints", "\"w1 at fridge.+\" = \"spade, corroded\""),
    ("parts", "splash = { is = \"splash panel\", fixings = \"4 hidden screws\" }"),
    ("readings", "r1 = \"night: 10.7 V between fridge.+ and fridge.-, multimeter\""),
    ("stacks", "\"house.+\" = \"post, h1, spring washer, nut\""),
];

/// Most things to find out that are shown below a line while it is typed.
const MOST_OPEN: usize = 3;

/// Sizes and colours of cable that are common, for choosing.
const SIZES: [&str; 14] = [
    "0.75 mm2", "1 mm2", "1.5 mm2", "2.5 mm2", "4 mm2", "6 mm2", "10 mm2", "16 mm2", "25 mm2",
    "35 mm2", "50 mm2", "70 mm2", "14 AWG", "10 AWG",
];
const COLOURS: [&str; 10] =
    ["red", "black", "brown", "blue", "yellow", "green", "white", "grey", "green/yellow", "orange"];

const SEEN: &str = "several with commas; nothing where you did not look";

/// The shorthand line: one line of the record, understood as it is typed.
pub(crate) fn line(case: &Opened, back: &str) -> Markup {
    html! {
        section class="card big" id="add" {
            h2 { "Add a line" }
            (form::change(&case.id, "line", &format!("{back}#add"), &html! {
                (sections())
                label { span class="out" { "The line" }
                    textarea class="fig" name="text" rows="1" required autocomplete="off" autocapitalize="off" spellcheck="false" data-one-line=""
                        placeholder=(SECTIONS[0].1) data-preview={ "/case/" (case.id) "/preview" } data-preview-into="preview" data-first="" {}
                }
                button class="main" { "Add" }
                ul class="rows" data-lines="wires devices joints parts stacks" {}
                div class="preview" id="preview" role="status" data-empty="What the line says appears here, with what it brings to light." {}
            }))
        }
    }
}

/// Which section the line goes to; each shows its example in the field.
fn sections() -> Markup {
    html! {
        fieldset class="choices" data-stays { legend { "What" }
            @for (number, (section, example)) in SECTIONS.iter().enumerate() {
                label class="choice" { input type="radio" name="section" value=(section) checked[number == 0] data-example=(example); (section) }
            }
        }
    }
}

/// The forms that ask piece by piece.
pub(crate) fn forms(case: &Opened) -> Markup {
    let back = format!("{}#forms", Station::Found.address(&case.id));
    html! {
        section class="grid" id="forms" {
            details class="fold" { summary { "Wire, piece by piece" } div { (wire(case, &back)) } }
            details class="fold" { summary { "Device, piece by piece" } div { (device(case, &back)) } }
            details class="fold" { summary { "Joint" } div { (joint(case, &back)) } }
            details class="fold" { summary { "Panel, cupboard or other part" } div { (part(case, &back)) } }
            details class="fold" { summary { "Paste a table of wires" } div { (paste(case, &back)) } }
        }
    }
}

fn wire(case: &Opened, back: &str) -> Markup {
    let ends = terminals(case);
    let cores = ["fine", "stranded", "solid"].map(str::to_owned);
    form::change(
        &case.id,
        "line",
        back,
        &html! {
            (form::line_fields("wires", "%name% = \"%from% to %to%(?, %size%?)(?, %colour%?)(?, %length%?)(?, %core%?)(?, %insulation%?)(?, behind %behind%?)(?, %seen_wire%?)\""))
            div class="fields" {
                (form::words("name", "Name", "what you write on its tag; empty: one is chosen", ""))
                (form::suggested("from", "From", "device.terminal, behind PART, or unknown", ends.iter().map(String::as_str)))
                (form::suggested("to", "To", "the same", ends.iter().map(String::as_str)))
                (form::suggested("size", "Size", "unknown size, if you cannot see it", SIZES))
                (form::suggested("colour", "Colour", "", COLOURS))
                (form::suggested("length", "Length", "told or measured before it, if so", ["0.5 m", "1 m", "2 m", "3 m", "unknown length"]))
                (form::select("core", "Core", &cores))
                (form::suggested("insulation", "Print on it", "temperature", ["70 C", "90 C", "105 C"]))
                (form::suggested("behind", "Runs behind", "a part", arrival::names(case, "part").iter().map(String::as_str)))
                (form::suggested("seen_wire", "What was seen", SEEN, Look::answers(LookedAt::Wire)))
            }
            button class="main" { "Add the wire" }
        },
    )
}

fn device(case: &Opened, back: &str) -> Markup {
    let kinds: Vec<String> = analysis::kinds().into_iter().map(|kind| kind.name).collect();
    let parts = arrival::names(case, "part");
    form::change(
        &case.id,
        "line",
        back,
        &html! {
            (form::line_fields("devices", "%name% = { kind = \"%made%\"(?, label = \"%label%\"?)(?, at = \"%at%\"?)(?, behind = \"%behind%\"?)(?, rated = \"%rated%\"?)(?, power = \"%power%\"?)(?, looks = \"%seen_device%\"?) }"))
            div class="fields" {
                (form::words("name", "Name", "letters, digits, hyphens: pump-2", ""))
                (form::suggested("made", "Kind", "", kinds.iter().map(String::as_str)))
                (form::words("label", "What people call it", "", ""))
                (form::words("at", "Where it is", "", ""))
                (form::suggested("behind", "Behind", "parts that must be out; nothing, if it stands open; unknown",
                    ["nothing", "unknown"].into_iter().chain(parts.iter().map(String::as_str))))
                (form::suggested("rated", "Rated", "of a fuse or switch", ["5 A", "10 A", "15 A", "20 A", "30 A", "40 A", "60 A", "100 A", "unknown"]))
                (form::words("power", "Power", "of a load: 48 W", ""))
                (form::suggested("seen_device", "What was seen", SEEN, Look::answers(LookedAt::Device)))
            }
            button class="main" { "Add the device" }
        },
    )
}

fn joint(case: &Opened, back: &str) -> Markup {
    let ends = terminals(case);
    let kinds = JointKind::ALL.map(|(_, word)| word.to_owned());
    let looks = ["good", "loose", "corroded", "burnt"].map(str::to_owned);
    form::change(
        &case.id,
        "line",
        back,
        &html! {
            (form::line_fields("joints", "\"%wire% at %at%\" = \"%made%(?, %looks%?)(?, measured %ohm%?)(?, %relief%?)(?, %seen_joint%?)\""))
            div class="fields" {
                (form::suggested("wire", "Wire", "", arrival::names(case, "wire").iter().map(String::as_str)))
                (form::suggested("at", "At", "terminal or device", ends.iter().map(String::as_str)))
                (form::select_of("made", "How it is made", &kinds, "lug"))
                (form::select("looks", "How it looks", &looks))
                (form::words("ohm", "Resistance, measured", "12 mOhm", ""))
                (form::suggested("relief", "Strain relief", "", ["strain relief", "no strain relief"]))
                (form::suggested("seen_joint", "What was seen", SEEN, Look::answers(LookedAt::Joint)))
            }
            button class="main" { "Add the joint" }
        },
    )
}

fn part(case: &Opened, back: &str) -> Markup {
    let parts = arrival::names(case, "part");
    form::change(
        &case.id,
        "line",
        back,
        &html! {
            (form::line_fields("parts", "%name% = { is = \"%is%\"(?, fixings = \"%fixings%\"?)(?, after = \"%after%\"?)(?, out = \"%out%\"?)(?, back = \"%minutes_back%\"?)(?, breaks = \"%breaks%\"?) }"))
            div class="fields" {
                (form::words("name", "Name", "letters, digits, hyphens: sink-shelf", ""))
                (form::words("is", "What it is", "", ""))
                (form::words("fixings", "What holds it", "4 screws, 2 hidden screws, 1 glue bead", ""))
                (form::suggested("after", "After", "parts that must be out first", parts.iter().map(String::as_str)))
                (form::words("out", "Minutes out", "8 / 10 / 20 min", ""))
                (form::words("minutes_back", "Minutes back", "", ""))
                (form::words("breaks", "Breaks", "5 % for 40 EUR", ""))
            }
            button class="main" { "Add the part" }
        },
    )
}

fn paste(case: &Opened, back: &str) -> Markup {
    form::change_table(
        &case.id,
        "wires",
        back,
        &html! {
            label { "One wire a line"
                small { "name, from, to, then what is known in any order: size, colour, length, core. Columns by tabs, commas or semicolons. A heading line is left out." }
                textarea class="fig" name="text" rows="6" spellcheck="false" required placeholder="w1,box.3,fridge.+,2.5 mm2,red,4 m" {}
            }
            button class="main" { "Add all" }
        },
    )
}

/// Every terminal of the record.
pub(crate) fn terminals(case: &Opened) -> Vec<String> {
    let wiring = case.study.case().wiring();
    let mut names: Vec<String> = wiring
        .devices
        .iter()
        .flat_map(|device| {
            device.terminals.iter().map(|terminal| match terminal.name.as_str() {
                "" => device.name.clone(),
                name => format!("{}.{name}", device.name),
            })
        })
        .collect();
    names.push("unknown".to_owned());
    names
}

/// What a line would say, before it is added.
pub(crate) async fn preview(
    State(state): State<AppState>,
    Path(id): Path<String>,
    viewer: Viewer,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Fields(asked);
    let studies = state.clone();
    of_case(state, id, viewer, move |case, _| {
        let text = match changed(&case.kept.text, &asked) {
            Ok(text) => text,
            Err(words) => return html! { p { (words) } }.into_response(),
        };
        let study = studies.study(&case.id, &text, &[]);
        previewed(case, &text, case.study.review(), study.review()).into_response()
    })
    .await
}

/// The record with the line that is typed: a line more, or a value that stands there changed.
fn changed(text: &str, asked: &Fields) -> Result<String, String> {
    if let (Some(path), Some(is)) = (asked.get("path"), asked.get("is")) {
        let around = |key| asked.get(key).unwrap_or_default();
        let is = format!("{}{is}{}", around("before"), around("after"));
        return analysis::with_value(text, &path, &is).ok_or("This cannot stand there.".to_owned());
    }
    let section = asked.get("section").unwrap_or_else(|| "wires".to_owned());
    let line = asked.get("text").unwrap_or_default();
    if !SECTIONS.iter().any(|(known, _)| *known == section) {
        return Err("There is no such section.".to_owned());
    }
    if let Some(fault) = analysis::line_fault(&line) {
        return Err(format!("Not a line yet: {fault}."));
    }
    Ok(analysis::with_line(text, &analysis::RecordLine { section, line }))
}

/// Whether two wires say the same of themselves; what flows in them may differ by what stands elsewhere.
fn is_written_alike(one: &WireRow, other: &WireRow) -> bool {
    let said = |wire: &WireRow| {
        [&wire.name, &wire.from, &wire.to, &wire.size, &wire.length, &wire.make].map(Clone::clone)
    };
    said(one) == said(other)
}

/// Findings of one review that another does not have.
fn only_in<'a>(these: &'a [FindingView], those: &[FindingView]) -> Vec<(usize, &'a FindingView)> {
    let known = |of: &FindingView| {
        those.iter().any(|known| {
            known.place.name == of.place.name
                && known.check == of.check
                && known.message == of.message
        })
    };
    (1..).zip(these).filter(|(_, of)| !known(of)).collect()
}

/// What is new in `after`: faults first, then findings, then how it reads.
fn previewed(case: &Opened, text: &str, before: &Review, after: &Review) -> Markup {
    let faults: Vec<_> = after
        .record_faults
        .iter()
        .filter(|fault| !before.record_faults.iter().any(|known| known.message == fault.message))
        .collect();
    let findings = only_in(&after.findings, &before.findings);
    let settled = only_in(&before.findings, &after.findings);
    let open = only_in(&after.cannot_tell, &before.cannot_tell);
    let wires: Vec<_> = after
        .wires
        .iter()
        .filter(|wire| !before.wires.iter().any(|known| is_written_alike(known, wire)))
        .collect();
    html! {
        @if !faults.is_empty() {
            ul class="rows" { @for fault in &faults { (found::fault_row(text, fault, &spelling::in_the_field(text, fault))) } }
            p class="quiet" { "Added all the same, the line is kept as it stands: nothing is lost, and it can be put right later." }
        }
        @else { p { b { "Understood." } } }
        @for wire in wires.iter().take(4) {
            p { b class="fig" { (wire.name) } " " (wire.from) " to " (wire.to) ": size " (wire.size) ", length " (wire.length)
                @if !wire.make.is_empty() { ", " (wire.make) }
                @if !wire.most_current.is_empty() { "; most current " span class="fig" { (wire.most_current) } } }
        }
        @for (number, of) in &findings { (finding(&case.id, after, (*number, of), Told::Whole)) }
        @for (_, of) in &settled { p { b { "No longer: " } (of.message) } }
        @for (_, of) in open.iter().take(MOST_OPEN) {
            @for missing in &of.find_out { p { (sign(&of.signal)) " " (of.title) ". " b { "Find out: " } (missing.what) } }
        }
        @if open.len() > MOST_OPEN { p class="quiet" { "And " (open.len() - MOST_OPEN) " more that cannot be told." } }
        @if faults.is_empty() && findings.is_empty() { p class="quiet" { (sign("NOTICE")) " nothing new fails by it; " (after.cannot_tell.len()) " things cannot be told." } }
    }
}
