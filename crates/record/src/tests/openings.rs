//! What a way of taking a part out takes: fixings, tools, positions, people; moved positions; boxes.

use model::{
    Cuboid, Damage, Fact, Fixing, FixingCondition, HeadAccess, Origin, Removal, Vehicle,
    WorkPosition,
};

use super::{clean, near, only, part, read, underlined, why};

fn way<'v>(vehicle: &'v Vehicle, name: &str) -> &'v Removal {
    &vehicle.removals[part(vehicle, name).removals[0]]
}

fn fixings(line: &str) -> Vec<Fixing> {
    let record = clean(&format!("[parts]\nrail = \"rail\"\np = {{ fixings = \"{line}\" }}"));
    part(&record.vehicle, "p").fixings.clone()
}

#[test]
fn a_fixing_says_its_condition_head_tool_torque_and_what_it_bites_into() {
    let found = fixings("told 4 seized angled bolts into rail with spanner to 24 N m, 2 clips");
    let bolt = &found[0];
    assert_eq!((bolt.count, bolt.kind.as_str()), (4, "bolt"));
    assert_eq!(bolt.condition.value(), Some(&FixingCondition::Seized));
    assert!(matches!(bolt.condition.origin(), Some(Origin::Told { .. })));
    assert_eq!(bolt.head.value(), Some(&HeadAccess::Angled));
    assert_eq!(bolt.tool.as_deref(), Some("spanner"));
    near(bolt.torque.value().unwrap().si(), 24.0);
    assert!(bolt.into.is_some());
    assert_eq!(bolt.words(), "4 x seized angled bolt");
    let clip = &found[1];
    assert_eq!(clip.tool.as_deref(), Some("trim lever"), "the usual tool of the kind");
    assert!(clip.condition.is_unknown() && clip.head.is_unknown() && clip.torque.is_unknown());
}

#[test]
fn words_behind_a_fixing_stand_in_any_order_and_a_kind_may_hold_an_adjective() {
    let found = fixings("2 screws to 53 lbf in with star driver, 3 painted hidden screws, 1 latch");
    // 53 lbf in = 53 x 0.112985 N m (NIST SP 811, B.8: 1 lbf in = 1.129848e-1 N m).
    assert!((found[0].torque.value().unwrap().si() - 53.0 * 0.112_984_8).abs() < 1e-5);
    assert_eq!(found[0].tool.as_deref(), Some("star driver"));
    assert_eq!(
        (found[1].kind.as_str(), found[1].words().as_str()),
        ("hidden screw", "3 x painted hidden screw")
    );
    assert_eq!(found[1].head.value(), Some(&HeadAccess::Hidden));
    assert_eq!(found[2].tool, None, "by hand");
}

#[test]
fn what_stands_behind_a_fixing_and_cannot_be_read_is_underlined_and_the_fixing_stays() {
    for (line, slug, at) in [
        ("4 bolts to 24 N", "bad-quantity", "N"),
        ("4 bolts into nowhere", "unknown-part", "nowhere"),
        ("4 bolts with hamer", "unknown-tool", "hamer"),
    ] {
        let text = format!("[parts]\np = {{ fixings = \"{line}, 2 clips\" }}");
        let record = read(&text);
        assert!(underlined(&text, only(&record, slug)).starts_with(at), "{line}");
        assert_eq!(part(&record.vehicle, "p").fixings.len(), 2, "{line}");
    }
    let text = "[parts]\np = { fixings = \"4, 2 clips\" }";
    assert_eq!(only(&read(text), "fixing").message, "nothing says what it is held by");
}

/// By hand from the catalog's rows: 2 stripped screws: out 1 + 2 (0.16 x 4 + 0.5 x 3) = 5.28 min, back
/// 1.5 + 2 x 0.26 = 2.02 min, damage 1 - 0.98^2 = 3.96 %.
#[test]
fn a_bad_condition_takes_longer_and_may_break_the_part() {
    let record = clean("[parts]\np = { fixings = \"2 stripped screws\" }");
    let p = way(&record.vehicle, "p");
    near(p.out.likely, 5.28);
    near(p.back.likely, 2.02);
    assert!((p.breaks.si() - 0.0396).abs() < 1e-12);
    assert_eq!(p.damage, Damage::MayBreak);
    let record = clean(
        "[parts]\np = { fixings = \"2 stripped screws\", out = \"9 min\", breaks = \"50 %\" }",
    );
    let p = way(&record.vehicle, "p");
    near(p.out.likely, 9.0);
    near(p.breaks.si(), 0.5);
    assert!(
        matches!(p.back_origin, Origin::Assumed { .. }),
        "back as long as out is an assumption"
    );
}

#[test]
fn a_way_of_its_own_may_undo_fewer_fixings_and_take_a_tool_position_and_mess() {
    let record = clean(
        "[parts]\np = { fixings = \"8 screws\", or = [{ how = \"quick\", fixings = \"2 screws\", with = [\"pry bar\", \"heat gun\"], position = \"lying under\", mess = \"15 min of tile dust\", force = \"150 N\" }, { how = \"cut\", out = \"2 min\", destroys = \"9 EUR\", mess = \"shards\" }, { how = \"tip it\", out = \"1 min\" }] }",
    );
    let v = &record.vehicle;
    let ways: Vec<&Removal> = part(v, "p").removals.iter().map(|id| &v.removals[*id]).collect();
    let count = |way: &Removal| way.fixings.iter().map(|f| f.count).sum::<u32>();
    assert_eq!(ways.iter().map(|way| count(way)).collect::<Vec<_>>(), [8, 2, 0, 8]);
    assert_eq!(ways[1].tools, ["pry bar", "heat gun"]);
    assert_eq!(ways[1].position.value(), Some(&WorkPosition::LyingUnder));
    let mess = ways[1].mess.as_ref().unwrap();
    assert_eq!((mess.what.as_str(), mess.cleaning.unwrap().likely), ("tile dust", 15.0));
    near(*ways[1].force_n.value().unwrap(), 150.0);
    assert!(ways[2].mess.as_ref().unwrap().cleaning.is_none());
    // 1.0 + 2 x 0.16 from the catalog.
    near(ways[1].out.likely, 1.32);
}

/// Limits: MIL-STD-1472 20 kg (MEMORY); Kodak 225 N standing, 188 N kneeling (second-hand).
#[test]
fn a_second_person_is_suggested_above_what_one_should_handle_and_not_at_the_limit() {
    for (fields, two) in [
        ("mass = \"20 kg\"", None),
        ("mass = \"20.1 kg\"", Some(true)),
        ("force = \"225 N\"", None),
        ("force = \"226 N\"", Some(true)),
        ("force = \"200 N\"", None),
        ("force = \"200 N\", position = \"kneeling\"", Some(true)),
        ("force = \"188 N\", position = \"kneeling\"", None),
        ("second_person = true", Some(true)),
        ("second_person = false", Some(false)),
    ] {
        let record = clean(&format!("[parts]\np = {{ out = \"1 min\", {fields} }}"));
        let found = &way(&record.vehicle, "p").second_person;
        assert_eq!(found.value().copied(), two, "{fields}");
        assert_eq!(found.is_assumed(), two.is_some() && !fields.contains("second"), "{fields}");
    }
    let record = clean("[parts]\np = { out = \"1 min\", mass = \"31 kg\" }");
    assert!(why(&way(&record.vehicle, "p").second_person).contains("20 kg"));
    clean(
        "[parts]\np = { out = \"1 min\", mass = \"31 kg\", moves = [{ to = \"aside\", out = \"1 min\", second_person = false }] }",
    );
}

#[test]
fn a_position_is_reached_by_name_and_has_ways_of_its_own() {
    let record = clean(
        "[devices]\nf = { kind = \"fan\", behind = \"fridge slid\" }\n[parts]\nlid = { out = \"1 min\", after = \"fridge slid or fridge\" }\nfridge = { is = \"fridge\", out = \"20 min\", moves = [{ to = \"slid\", how = \"slide forward 30 cm\", out = \"8 min\" }, { to = \"slid\", how = \"pull\", out = \"9 min\" }, { to = \"swung-out\", out = \"2 min\" }] }",
    );
    let v = &record.vehicle;
    let slid = v.parts.find(|part| part.name == "fridge slid").unwrap();
    assert_eq!(slid.1.label, "fridge, slid");
    assert_eq!(slid.1.removals.len(), 2);
    assert_eq!(slid.1.moved.map(|whole| v.parts[whole].name.as_str()), Some("fridge"));
    let reach = v.devices.iter().next().unwrap().1.reach.value().unwrap();
    assert_eq!(reach, &vec![vec![slid.0]]);
    assert_eq!(part(v, "lid").removals.len(), 2);
    assert_eq!(part(v, "fridge swung-out").label, "fridge, swung out");
}

#[test]
fn a_part_can_stand_moved_already() {
    let record = clean(
        "[parts]\nfridge = { out = \"20 min\", moved = \"slid\", moves = [{ to = \"slid\", out = \"8 min\" }] }",
    );
    assert!(part(&record.vehicle, "fridge slid").is_out && !part(&record.vehicle, "fridge").is_out);
}

#[test]
fn tools_the_workshop_lacks_shut_a_way() {
    let text = "[workshop]\ntools = [\"screwdriver\"]\n[parts]\na = { fixings = \"2 screws\" }\nb = { fixings = \"2 bolts\" }\nc = { fixings = \"2 bolts\", or = [{ how = \"tip\", fixings = \"none\", out = \"1 min\" }] }";
    let record = read(text);
    let fault = only(&record, "never-out");
    assert_eq!(fault.message, "`b` can never come out: the workshop has no socket wrench");
    assert_eq!(record.vehicle.tools.as_ref().unwrap(), &["screwdriver"]);
    assert_eq!(record.diagnostics.len(), 1);
    assert!(clean("[parts]\nb = { fixings = \"2 bolts\" }").vehicle.tools.is_none());
}

#[test]
fn heads_out_of_reach_shut_a_way_and_another_way_opens_it() {
    let text = "[parts]\nb = { fixings = \"2 unreachable bolts, 1 screw\" }";
    let fault = only(&read(text), "never-out").message.clone();
    assert_eq!(fault, "`b` can never come out: no tool gets to 2 x unreachable bolt");
    clean(
        "[parts]\nb = { fixings = \"2 unreachable bolts\", or = [{ how = \"saw\", with = \"saw\", out = \"4 min\", destroys = \"9 EUR\" }] }",
    );
}

fn cuboid(line: &str) -> Cuboid {
    let record = clean(&format!("[spots]\ns = {{ box = \"{line}\" }}"));
    *record.vehicle.spots.iter().next().unwrap().1.space.value().unwrap()
}

#[test]
fn a_box_is_read_along_the_vehicles_axes_in_units_as_written() {
    let found = cuboid("up 0 to 80 cm, forward 1.2 to 1.8 m, left -300 to 400 mm");
    for (axis, low_m, high_m) in [(0, 1.2, 1.8), (1, -0.3, 0.4), (2, 0.0, 0.8)] {
        near(found.low[axis].si(), low_m);
        near(found.high[axis].si(), high_m);
    }
    near(found.size(1).si(), 0.7);
    // To the right is minus left, back is minus forward: the same box.
    let mirrored = cuboid("back -1.8 to -1.2 m, right -40 to 30 cm, down -0.8 m to 0 m");
    for axis in 0..3 {
        near(mirrored.low[axis].si(), found.low[axis].si());
        near(mirrored.high[axis].si(), found.high[axis].si());
    }
    // 2 ft = 0.6096 m, 5 ft 6 in = 1.6764 m exactly (inch of 25.4 mm).
    let feet = cuboid("forward 2 ft to 5 ft 6 in, left 0 to 10 in, up 1 to 2 ft");
    near(feet.low[0].si(), 0.6096);
    near(feet.high[0].si(), 1.6764);
    near(feet.low[2].si(), 0.3048);
}

#[test]
fn a_box_that_cannot_be_is_reported_once_and_left_out() {
    for (line, at) in [
        ("forward 1 to 1 m, left 0 to 1 m, up 0 to 1 m", "1 to 1 m"),
        ("forward 2 to 1 m, left 0 to 1 m, up 0 to 1 m", "2 to 1 m"),
        ("forward 1 to 2 m, back 0 to 1 m, up 0 to 1 m", "back 0 to 1 m"),
        ("forward 1 to 2 m, left 0 to 1 m", "forward 1 to 2 m, left 0 to 1 m"),
        ("forward 1 m, left 0 to 1 m, up 0 to 1 m", "1 m"),
        ("x 1 to 2 m, left 0 to 1 m, up 0 to 1 m", "x"),
    ] {
        let text = format!("[parts]\np = {{ out = \"1 min\", box = \"{line}\" }}");
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "box")), at, "{line}");
        assert_eq!(record.diagnostics.len(), 1, "{line}");
        assert!(part(&record.vehicle, "p").space.is_unknown());
        assert_eq!(part(&record.vehicle, "p").removals.len(), 1, "the way stays");
    }
    let text = "[spots]\ns = { box = \"forward 1 kg to 2 m, left 0 to 1 m, up 0 to 1 m\" }";
    only(&read(text), "bad-quantity");
}

#[test]
fn the_vehicles_inside_and_a_devices_box_are_read_and_their_places_kept() {
    let text = "[vehicle]\ninside = \"forward 0 to 3 m, left -0.8 to 0.8 m, up 0 to 1.8 m\"\n[devices]\nf = { kind = \"fan\", behind = \"nothing\", box = \"told forward 1 to 2 m, left 0 to 0.5 m, up 0 to 0.5 m\" }";
    let record = clean(text);
    near(record.vehicle.inside.value().unwrap().high[0].si(), 3.0);
    let (id, device) = record.vehicle.devices.iter().next().unwrap();
    assert!(matches!(device.space, Fact::Known { origin: Origin::Told { .. }, .. }));
    let field = |key| record.sources.field(model::Place::Device(id), key).unwrap();
    assert!(text[field("box").start..field("box").end].starts_with("\"told forward"));
    assert_eq!(&text[field("behind").start..field("behind").end], "\"nothing\"");
}
