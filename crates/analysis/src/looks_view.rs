//! What was seen of a thing, as rows of its sheet: the words of the record with how they are known.

use model::{BodyMetal, Course, Fact, Joint, Looks, Metal};

/// Keys and facts of the way of a wire: what was seen, then the figures that are known.
pub(crate) fn course_facts(course: &Course) -> Vec<(&'static str, Fact<String>)> {
    let length = |fact: &Fact<units::Metre>| fact.map(ToString::to_string);
    let figures = [
        ("held_every", length(&course.held_every)),
        ("bend", length(&course.bend)),
        ("outside", length(&course.outside)),
        ("hottest", course.hottest.map(ToString::to_string)),
        ("from_mains", length(&course.from_mains)),
    ];
    let known = figures.into_iter().filter(|(_, fact)| !fact.is_unknown());
    answers(&course.looks).map(|fact| ("looks", fact)).chain(known).collect()
}

/// Everything that was seen of a device, as one fact; unknown where nothing was.
pub(crate) fn device_looks(looks: &Looks) -> Fact<String> {
    let all: Vec<Fact<String>> = answers(looks).collect();
    let words: Vec<&str> = all.iter().filter_map(|fact| fact.value().map(String::as_str)).collect();
    let words = words.join(", ");
    all.first().map_or(Fact::Unknown, |first| first.map(|_| words.clone()))
}

/// The metal of a chassis point in words; unknown where nothing is known of it.
pub(crate) fn body_metal(on: &BodyMetal) -> Fact<String> {
    let name = |metal: &Metal| {
        let row = Metal::ALL.iter().find(|(known, _)| known == metal);
        row.map_or("", |(_, word)| *word).to_owned()
    };
    let joined = |joined: &bool| if *joined { "welded" } else { "glued" }.to_owned();
    let all = [on.metal.map(name), on.thickness.map(ToString::to_string), on.joined.map(joined)];
    let words: Vec<&str> = all.iter().filter_map(|fact| fact.value().map(String::as_str)).collect();
    let words = words.join(", ");
    let first = all.iter().find(|fact| !fact.is_unknown());
    first.map_or(Fact::Unknown, |first| first.map(|_| words.clone()))
}

/// What was seen of a joint, in words that follow others: `, crimped (seen)`; empty where nothing was.
pub(crate) fn joint_looks(joint: &Joint) -> String {
    let strands = joint.strands.map(|strands| {
        let how = if strands.broken { "broken" } else { "nicked" };
        format!("{} of {} strands {how}", strands.harmed, strands.of)
    });
    let slack = joint.slack.map(|slack| format!("slack {slack}"));
    let figures = [strands, slack];
    let facts = answers(&joint.looks).chain(figures);
    let said = facts.filter_map(|fact| {
        let origin = fact.origin()?.word();
        fact.value().map(|words| format!(", {words} ({origin})"))
    });
    said.collect()
}

fn answers(looks: &Looks) -> impl Iterator<Item = Fact<String>> + '_ {
    looks.iter().map(|(look, fact)| fact.map(|good| look.words().answer(good).to_owned()))
}
