//! What touches the body blows a fuse; words without a reading seldom point beyond the record.

use std::rc::Rc;

use model::{ReadingPoints, Shows, StateId};

use super::van::{VAN, Van};
use crate::{Answered, Benches, Fault, Thing};

/// The small vehicle with its rail on the body.
fn on_body(added: &str) -> Van {
    let text = VAN
        .replace("[wires]", "body = { kind = \"chassis point\", behind = \"nothing\" }\n[wires]")
        .replace("[parts]", "w7 = \"rail to body, 16 mm2, 1 m, stranded\"\n[parts]");
    Van::of(&format!("{text}{added}"))
}

fn with_w2_on_the_body(van: &Van) -> (StateId, Benches<'_>, Rc<Answered>) {
    let wire = van.vehicle.wires.find(|wire| wire.name == "w2").expect("w2").0;
    let fault = Fault::ToBody(Thing::Wire(wire));
    let touches = van.suspects.iter().position(|suspect| suspect.fault == fault);
    let state = van.state("evening");
    let mut benches = Benches::new(&van.vehicle, &van.catalog, &van.suspects);
    assert!(benches.add(state));
    let answered = benches.answer(state, &[(touches.expect("a suspect"), 1.0)]);
    (state, benches, answered.expect("on the bench"))
}

/// Way 1 is 10 A; what 13.2 V drive through some 50 mOhm to the body is twenty times that and more, and
/// opens it (trips from 1.35 times the rating: ISO 8820-3, from memory). Way 2 is another line.
#[test]
fn what_touches_the_body_blows_the_fuse_in_front_of_it() {
    let van = on_body("");
    let (state, benches, answered) = with_w2_on_the_body(&van);
    let volts = |a: &str, b: &str| {
        let points = ReadingPoints::Between(van.terminal(a), van.terminal(b));
        benches.values(state, points, &answered)[0]
    };
    // Behind the fuse lies the body, whatever stands before it.
    assert!(volts("dist.1", "rail").abs() < 0.01, "{}", volts("dist.1", "rail"));
    assert!(volts("dist.in", "dist.1") > 13.0);
    assert!(volts("lamp.+", "lamp.-") > 12.5);
    let shows = |name: &str| {
        let device = van.vehicle.devices.find(|device| device.name == name).expect("a device").0;
        benches.shows(state, device, &answered)
    };
    assert_eq!(shows("pad"), Some(Shows::Dead));
    assert_eq!(shows("lamp"), Some(Shows::Works));
    assert_eq!(shows("dist"), Some(Shows::Trips));
}

/// The lamp's 24 W take 1.8 A; with a 1 A fuse it is overloaded every day, and goes on working. A short
/// in the other line is nothing to it.
#[test]
fn a_fuse_that_is_too_small_is_not_opened_by_a_short_elsewhere() {
    let text = VAN
        .replace("10 A light", "1 A light")
        .replace("[wires]", "body = { kind = \"chassis point\", behind = \"nothing\" }\n[wires]")
        .replace("[parts]", "w7 = \"rail to body, 16 mm2, 1 m, stranded\"\n[parts]");
    let van = Van::of_any(&text);
    let (state, benches, answered) = with_w2_on_the_body(&van);
    let lamp = van.vehicle.devices.find(|device| device.name == "lamp").expect("lamp").0;
    assert_eq!(benches.shows(state, lamp, &answered), Some(Shows::Works));
}

/// Two words that contradict each other and nothing read: somebody called it wrong, which is likelier
/// than a cause that nobody wrote down.
#[test]
fn words_that_contradict_do_not_point_beyond_the_record() {
    let word = |name: &str, device: &str, said: &str| {
        format!(
            "{name} = {{ words = \"x\", device = \"{device}\", state = \"evening\", shows = \"{said}\" }}\n"
        )
    };
    let van = on_body(&format!(
        "[symptoms]\n{}{}{}",
        word("s1", "pad", "told dead"),
        word("s2", "pad", "seen hunts"),
        word("s3", "lamp", "told works"),
    ));
    let ranking = van.ranking();
    // Its odds beforehand are 3 in 100; what is said may raise them some times, but not put it first.
    assert!(ranking.not_in_record < 0.25, "{}", van.told(&ranking));
    assert!(!ranking.explanations[0].faults.is_empty(), "{}", van.told(&ranking));
    // A reading that nothing recorded explains does.
    let van = on_body(&format!(
        "[symptoms]\n{}[readings]\nr1 = \"evening: 7.3 V between dist.in and rail, multimeter\"\n\
         r2 = \"evening: 7.4 V between house.+ and house.-, multimeter\"\n\
         r3 = \"evening: 4.1 V between dist.1 and rail, multimeter\"\n\
         r4 = \"evening: 13.1 V between lamp.+ and lamp.-, multimeter\"\n",
        word("s1", "pad", "seen dead"),
    ));
    assert!(van.ranking().not_in_record > 0.5, "{}", van.told(&van.ranking()));
}
