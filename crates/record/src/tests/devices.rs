//! Devices: kinds, terminals, usual values, fuse boxes, mountings.

use model::{Attribute, Bond, Chemistry, Direction, Fact, FixingSort, Pole, Promise, Region, Role};

use super::{clean, device, near, only, read, told, underlined, why};

#[test]
fn a_kind_brings_its_terminals_in_order() {
    let record = clean("[devices]\nc = { kind = \"dc-dc charger\" }");
    let v = &record.vehicle;
    let terminals: Vec<String> = v.terminals.ids().map(|id| v.terminal_name(id)).collect();
    assert_eq!(terminals, ["c.in+", "c.out+", "c.-", "c.run"]);
    assert_eq!(v.terminals[v.terminal_of(device(v, "c"), "-").unwrap()].pole, Pole::Minus);
}

#[test]
fn usual_values_count_as_assumed_and_say_why() {
    let record = clean("[devices]\nf = { kind = \"compressor fridge\", power = \"55 W\" }");
    let fridge = &record.vehicle.devices[device(&record.vehicle, "f")];
    assert_eq!(fridge.fact(Attribute::Power).evidence(), Some(&55.0));
    assert!(fridge.fact(Attribute::CutOut).is_assumed());
    assert!(!why(&fridge.fact(Attribute::CutOut)).is_empty());
    assert!(fridge.critical);
}

#[test]
fn a_blade_fuse_of_known_rating_has_the_usual_resistance_of_that_rating() {
    let record = clean(
        "[devices]\na = { kind = \"blade fuse\", rated = \"15 A\" }\nb = { kind = \"blade fuse\", rated = \"15 A\", resistance = \"measured 265 mOhm\" }\nc = { kind = \"blade fuse\" }",
    );
    let v = &record.vehicle;
    // ISO 8820-3 class blade fuse, cold resistance of a 15 A one 4.8 mOhm: catalog `fuse-ohms`.
    let usual = v.devices[device(v, "a")].fact(Attribute::Resistance);
    near(*usual.value().unwrap(), 0.0048);
    assert!(usual.is_assumed());
    near(v.devices[device(v, "b")].number(Attribute::Resistance).unwrap(), 0.265);
    assert!(v.devices[device(v, "c")].fact(Attribute::Resistance).is_unknown());
}

#[test]
fn what_a_device_is_called_where_it_is_and_how_it_is_bonded() {
    let text = "[devices]\nhouse-battery = { kind = \"agm battery\", at = \"under the bunk\" }\ninverter = { kind = \"inverter\", label = \"big one\", bond = \"told While Inverting by the owner\" }\nold = { kind = \"agm battery\", chemistry = \"gel\" }";
    let record = clean(text);
    let v = &record.vehicle;
    let battery = &v.devices[device(v, "house-battery")];
    assert_eq!(
        (battery.label.as_str(), battery.place_words.as_str()),
        ("house battery", "under the bunk")
    );
    assert_eq!(battery.chemistry.value(), Some(&Chemistry::Agm));
    assert_eq!(v.devices[device(v, "old")].chemistry.value(), Some(&Chemistry::Gel));
    let inverter = &v.devices[device(v, "inverter")];
    assert_eq!(inverter.label, "big one");
    assert_eq!(inverter.bond, Fact::known(Bond::WhileInverting, told("the owner")));
    assert!(inverter.has_cable_entries);
}

#[test]
fn the_vehicle_says_what_it_is() {
    let text = "unbury = 1\n[vehicle]\nname = \"Dab\"\nis = \"a van\"\nregion = \"Australia\"\nsystem = \"24 V\"\ncomplaint = \"it smells\"";
    let record = clean(text);
    let v = &record.vehicle;
    assert_eq!(
        (v.name.as_str(), v.words.as_str(), v.complaint.as_str()),
        ("Dab", "a van", "it smells")
    );
    assert_eq!(v.region, Some(Region::AustraliaNz));
    near(v.nominal.value().unwrap().si(), 24.0);
    let empty = clean("[devices]");
    assert!(empty.vehicle.nominal.is_unknown() && empty.vehicle.region.is_none());
}

#[test]
fn ways_of_a_fuse_box_are_its_outgoing_terminals_in_order() {
    let text = "[devices]\nbox = { kind = \"blade fuse box\", ways = [\"15 A fridge\", \"told 10 A pump by the owner\", \"unknown fan\", \"empty\", \"7.5A radio\", \"unknown\", \"5 A\"] }";
    let record = clean(text);
    let v = &record.vehicle;
    let fuse_box = &v.devices[device(v, "box")];
    assert_eq!(fuse_box.role, Role::FuseBox);
    let names: Vec<String> =
        fuse_box.ways.iter().map(|way| v.terminal_name(way.terminal)).collect();
    assert_eq!(names, ["box.1", "box.2", "box.3", "box.4", "box.5", "box.6", "box.7"]);
    let labels: Vec<&str> = fuse_box.ways.iter().map(|way| way.label.as_str()).collect();
    assert_eq!(labels, ["fridge", "pump", "fan", "empty", "radio", "", ""]);
    let rated: Vec<Option<f64>> =
        fuse_box.ways.iter().map(|way| way.rated.value().map(|a| a.si())).collect();
    assert_eq!(rated, [Some(15.0), Some(10.0), None, None, Some(7.5), None, Some(5.0)]);
    assert_eq!(fuse_box.ways[1].rated.origin(), Some(&told("the owner")));
    assert!(fuse_box.ways[2].ohm.is_unknown());
}

#[test]
fn a_way_that_cannot_be_read_keeps_its_number() {
    let text = "[devices]\nbox = { kind = \"blade fuse box\", ways = [\"15 A a\", 10, \"0 A c\", \"10 V d\", \"5 A e\"] }";
    let record = read(text);
    let v = &record.vehicle;
    let ways = &v.devices[device(v, "box")].ways;
    assert_eq!(ways.len(), 5);
    assert!(ways[1].rated.is_unknown() && ways[2].rated.is_unknown() && ways[3].rated.is_unknown());
    near(ways[4].rated.value().unwrap().si(), 5.0);
    assert_eq!(underlined(text, only(&record, "wrong-form")), "10");
    assert_eq!(underlined(text, only(&record, "impossible-value")), "0 A");
    assert_eq!(only(&record, "bad-quantity").slug, "bad-quantity");
}

#[test]
fn more_ways_than_a_box_can_have_are_reported_not_dropped_in_silence() {
    let ways = vec!["\"5 A x\""; 65].join(", ");
    let record =
        read(&format!("[devices]\nbox = {{ kind = \"blade fuse box\", ways = [{ways}] }}"));
    only(&record, "too-many");
    assert_eq!(record.vehicle.devices[device(&record.vehicle, "box")].ways.len(), 64);
}

#[test]
fn what_holds_a_heavy_thing_is_counted_where_it_can_be() {
    let text = "[devices]\na = { kind = \"agm battery\", held = \"strap, 2 screws 4 mm, told into 9 mm lining by the owner\" }\nb = { kind = \"agm battery\", held = \"4 screws 6mm, into structure, rated 5000 N\" }\nc = { kind = \"agm battery\", held = \"bolted to the floor frame\" }\nd = { kind = \"agm battery\" }";
    let record = clean(text);
    let v = &record.vehicle;
    let held = |name: &str| v.devices[device(v, name)].mounting.clone();
    let a = held("a").unwrap().ways.remove(0);
    let sorts: Vec<FixingSort> = a.fixings.iter().map(|held| held.sort).collect();
    assert_eq!(sorts, [FixingSort::Strap, FixingSort::WoodScrew]);
    assert_eq!(
        (a.fixings[1].count.value(), a.fixings[1].diameter_mm.value()),
        (Some(&2.0), Some(&4.0))
    );
    let into = a.into.unwrap();
    assert_eq!(
        (into.thick_mm.value(), into.material.value()),
        (Some(&9.0), Some(&"lining".to_owned()))
    );
    assert_eq!(into.material.origin(), Some(&told("the owner")));
    let b = held("b").unwrap().ways.remove(0);
    assert_eq!(
        (b.fixings[0].count.value(), b.fixings[0].diameter_mm.value()),
        (Some(&4.0), Some(&6.0))
    );
    let stated = b.strength.unwrap();
    assert_eq!((stated.n.value(), stated.promise), (Some(&5000.0), Promise::Breaks));
    let c = held("c").unwrap();
    assert_eq!(c.words, "bolted to the floor frame");
    assert!(c.ways[0].fixings.is_empty() && c.ways[0].into.is_none());
    assert!(held("d").is_none());
}

#[test]
fn ways_side_by_side_stand_apart_and_say_which_way_they_hold() {
    let text = "[devices]\na = { kind = \"agm battery\", held = \"4 lag screws 8 x 50 mm, into 60 mm spruce, driven down, edge 40 mm, bracket 3 mm; 2 straps 2500 N, holds up and rearward, pulled at 60 deg; 4 bolts M8 8.8, into 0.8 mm skin 270 MPa, washer 40 mm; glued, into edge of 15 mm ply\" }";
    let record = clean(text);
    let v = &record.vehicle;
    let ways = v.devices[device(v, "a")].mounting.clone().unwrap().ways;
    assert_eq!(ways.len(), 4);
    let lag = &ways[0].fixings[0];
    assert_eq!((lag.sort, lag.length_mm.value()), (FixingSort::LagScrew, Some(&50.0)));
    assert_eq!(ways[0].driven.value(), Some(&Direction::Down));
    assert_eq!((ways[0].edge_mm.value(), ways[0].bracket_mm.value()), (Some(&40.0), Some(&3.0)));
    let strap = &ways[1].fixings[0];
    assert_eq!((strap.sort, strap.count.value()), (FixingSort::Strap, Some(&2.0)));
    assert_eq!(strap.each.as_ref().unwrap().promise, Promise::Working);
    assert_eq!(ways[1].acts, [Direction::Up, Direction::Back]);
    assert_eq!(ways[1].pull_deg.value(), Some(&60.0));
    let bolt = &ways[2].fixings[0];
    assert_eq!(
        (bolt.diameter_mm.value(), bolt.class.value()),
        (Some(&8.0), Some(&"8.8".to_owned()))
    );
    assert_eq!(ways[2].into.as_ref().unwrap().strength_mpa.value(), Some(&270.0));
    assert_eq!(ways[2].head_mm.value(), Some(&40.0));
    assert_eq!(ways[3].fixings[0].sort, FixingSort::Adhesive);
    assert_eq!(ways[3].into.as_ref().unwrap().side, model::BoardSide::Edge);
}

#[test]
fn an_angle_no_strap_can_have_is_reported() {
    let text = "[devices]\na = { kind = \"agm battery\", held = \"strap, pulled at 200 deg\" }";
    let record = read(text);
    assert_eq!(underlined(text, only(&record, "impossible-value")), "pulled at 200 deg");
}

#[test]
fn numbers_of_a_mounting_that_cannot_be_are_reported_and_left_out() {
    for words in [
        "nan screws 4 mm",
        "-2 screws 4 mm",
        "2 screws 0 mm",
        "rated inf N",
        "rated 1e400 N",
        "into -9 mm lining",
    ] {
        let text = format!("[devices]\na = {{ kind = \"agm battery\", held = \"{words}\" }}");
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "impossible-value")), words);
        let mounting =
            record.vehicle.devices[device(&record.vehicle, "a")].mounting.clone().unwrap();
        let way = &mounting.ways[0];
        let of_fixings = way.fixings.iter().flat_map(|held| [&held.count, &held.diameter_mm]);
        let of_way = way.into.iter().map(|into| &into.thick_mm);
        let stated = way.strength.iter().map(|stated| &stated.n);
        for fact in of_fixings.chain(of_way).chain(stated) {
            assert!(fact.value().is_none_or(|v| v.is_finite() && *v > 0.0), "{words}");
        }
    }
}

#[test]
fn values_no_device_can_have_are_reported_and_left_out() {
    let cases = [
        ("blade fuse", "rated = \"0 A\""),
        ("blade fuse", "rated = \"-15 A\""),
        ("blade fuse", "resistance = \"measured -3 mOhm\""),
        ("agm battery", "holds = \"0 Ah\""),
        ("agm battery", "nominal = \"0 V\""),
        ("agm battery", "mass = \"0 kg\""),
        ("inverter", "efficiency = \"0 %\""),
        ("inverter", "power = \"-500 W\""),
        ("compressor fridge", "cut_out = \"0 V\""),
        ("solar module", "isc = \"0 A\""),
        ("solar module", "voc = \"0 V\""),
        ("solar module", "power = \"0 W\""),
        ("alternator", "limit = \"0 A\""),
        ("alternator", "regulates = \"0 V\""),
    ];
    for (kind, field) in cases {
        let text = format!("[devices]\nx = {{ kind = \"{kind}\", {field} }}");
        let record = read(&text);
        assert_eq!(record.diagnostics.len(), 1, "{field}: {:?}", record.diagnostics);
        let fault = &record.diagnostics[0];
        assert!(["impossible-value", "bad-quantity"].contains(&fault.slug), "{field}: {fault:?}");
        let x = &record.vehicle.devices[device(&record.vehicle, "x")];
        let evidence = x.attributes.values().filter(|fact| fact.evidence().is_some()).count();
        assert_eq!(evidence, 0, "{field} must not be used");
    }
}

#[test]
fn zero_is_possible_where_an_instrument_or_a_load_can_show_it() {
    clean(
        "[devices]\na = { kind = \"agm battery\", rest = \"measured 0 V\" }\nb = { kind = \"switch\", resistance = \"measured 0 mOhm\" }\nc = { kind = \"inverter\", power = \"0 W\", idle = \"0 W\" }\nd = { kind = \"motor\", back_emf = \"0 V\" }",
    );
}

#[test]
fn numbers_that_cannot_all_be_right_are_reported() {
    let text = "[devices]\nf = { kind = \"compressor fridge\", cut_out = \"11.7 V\", restart = \"10.4 V\" }";
    assert_eq!(underlined(text, only(&read(text), "impossible-value")), "\"10.4 V\"");
    // 6 A times 20 V is 120 W: a module of 120 W would have a fill factor of 1.
    let text = "[devices]\np = { kind = \"solar module\", power = \"120 W\", isc = \"6 A\", voc = \"20 V\" }";
    assert_eq!(underlined(text, only(&read(text), "impossible-value")), "\"120 W\"");
}

#[test]
fn nothing_stands_open_and_a_group_of_parts_hides() {
    let text = "[devices]\na = { kind = \"fan\", behind = \"nothing\" }\nb = { kind = \"fan\", behind = \"told splash or drawer and back and drawer by the owner\" }\nc = { kind = \"fan\", behind = \"unknown\" }\nd = { kind = \"fan\" }\n[parts]\nsplash = \"the splash\"\ndrawer = \"the drawer\"\nback = \"its back\"";
    let record = clean(text);
    let v = &record.vehicle;
    let reach = |name: &str| v.devices[device(v, name)].reach.clone();
    assert_eq!(reach("a").value(), Some(&vec![vec![]]));
    let named: Vec<Vec<&str>> = reach("b")
        .value()
        .unwrap()
        .iter()
        .map(|way| way.iter().map(|p| v.parts[*p].name.as_str()).collect())
        .collect();
    assert_eq!(named, [vec!["splash"], vec!["drawer", "back"]]);
    assert_eq!(reach("b").origin(), Some(&told("the owner")));
    assert!(reach("c").is_unknown() && reach("d").is_unknown());
}

#[test]
fn a_way_in_that_names_an_unknown_part_is_left_out_and_the_other_is_kept() {
    let text = "[devices]\nb = { kind = \"fan\", behind = \"splash and bakc or splash\" }\n[parts]\nsplash = \"x\"\nback = \"y\"";
    let record = read(text);
    assert_eq!(underlined(text, only(&record, "unknown-part")), "bakc");
    assert_eq!(only(&record, "unknown-part").help, ["did you mean `back`?"]);
    let reach = &record.vehicle.devices[device(&record.vehicle, "b")].reach;
    assert_eq!(reach.value().unwrap().len(), 1);
}

#[test]
fn usual_thresholds_follow_the_vehicle_s_voltage_and_written_ones_do_not() {
    let text = |volt: &str| {
        format!(
            "[vehicle]\nsystem = \"{volt}\"\n[devices]\nf = {{ kind = \"compressor fridge\", restart = \"23 V\" }}\nc = {{ kind = \"dc-dc charger\" }}"
        )
    };
    let record = clean(&text("24 V"));
    let v = &record.vehicle;
    let (fridge, charger) = (&v.devices[device(v, "f")], &v.devices[device(v, "c")]);
    // Twice the catalog's 10.4, 12.5, 13.3 and 14.4 V for 12 V; the written one as it stands.
    near(fridge.number(Attribute::CutOut).unwrap(), 20.8);
    near(fridge.number(Attribute::Restart).unwrap(), 23.0);
    near(charger.number(Attribute::CutOut).unwrap(), 25.0);
    near(charger.number(Attribute::Restart).unwrap(), 26.6);
    near(charger.number(Attribute::Regulates).unwrap(), 28.8);
    assert!(why(&charger.fact(Attribute::CutOut)).contains("in proportion to 24 V"));
    near(charger.number(Attribute::Limit).unwrap(), 30.0);
    let record = clean(&text("12 V"));
    let v = &record.vehicle;
    near(v.devices[device(v, "c")].number(Attribute::CutOut).unwrap(), 12.5);
}
