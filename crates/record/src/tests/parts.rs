//! Parts, what holds them, and the ways they come out.

use model::{Damage, Minutes, Origin, Part, Removal, Vehicle};

use super::{clean, near, only, part, read, underlined};

fn ways<'v>(vehicle: &'v Vehicle, part: &Part) -> Vec<&'v Removal> {
    part.removals.iter().map(|id| &vehicle.removals[*id]).collect()
}

#[track_caller]
fn minutes(ours: Minutes, low: f64, likely: f64, high: f64) {
    near(ours.low, low);
    near(ours.likely, likely);
    near(ours.high, high);
}

#[test]
fn minutes_come_from_the_fixings_when_nobody_wrote_them() {
    let record = clean("[parts]\np = { is = \"panel\", fixings = \"8 screws, 2 clips\" }");
    let p = part(&record.vehicle, "p");
    assert_eq!(p.label, "panel");
    assert_eq!(
        p.fixings.iter().map(|f| (f.count, f.kind.as_str())).collect::<Vec<_>>(),
        [(8, "screw"), (2, "clip")]
    );
    // By hand from the catalog's rows: out 1.0 + 8 x 0.16 + 2 x 0.04 = 2.36 min, back
    // 1.5 + 8 x 0.26 + 2 x 0.03 = 3.64 min; best 0.8 and worst 1.6 times that.
    let way = ways(&record.vehicle, p)[0];
    minutes(way.out, 1.888, 2.36, 3.776);
    minutes(way.back, 2.912, 3.64, 5.824);
    assert!(matches!(way.origin, Origin::Assumed { .. }));
    assert_eq!((way.damage, way.breaks.si(), &way.price), (Damage::None, 0.0, &None));
}

#[test]
fn one_figure_is_the_likely_one_and_three_are_best_likely_worst() {
    let record = clean(
        "[parts]\na = { out = \"10 min\", back = \"told 1 h 20 min\" }\nb = { out = \"8 / 10 / 20 min\", back = \"5 min / 10 min / 0.5 h\" }\nc = { out = \"told 6 min by the owner\" }",
    );
    let v = &record.vehicle;
    let a = ways(v, part(v, "a"))[0];
    minutes(a.out, 8.0, 10.0, 16.0);
    minutes(a.back, 64.0, 80.0, 128.0);
    assert_eq!(a.origin, Origin::seen());
    let b = ways(v, part(v, "b"))[0];
    minutes(b.out, 8.0, 10.0, 20.0);
    minutes(b.back, 5.0, 10.0, 30.0);
    let c = ways(v, part(v, "c"))[0];
    assert_eq!(c.out, c.back, "back is taken like out when only out is written");
    assert!(matches!(c.origin, Origin::Told { .. }));
}

#[test]
fn minutes_out_of_order_or_of_wrong_count_are_refused() {
    for value in ["20 / 10 / 8 min", "1 / 2 min", "1 / 2 / 3 / 4 min"] {
        let text = format!("[parts]\np = {{ out = \"{value}\" }}");
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "minutes")), value);
        assert!(part(&record.vehicle, "p").removals.is_empty());
    }
    for (value, at) in
        [("-5 min", "-5 min"), ("5 m", "m"), ("5 / x / 9 min", "x"), ("nan min", "nan min")]
    {
        let text = format!("[parts]\np = {{ out = \"{value}\" }}");
        assert_eq!(underlined(&text, only(&read(&text), "bad-quantity")), at);
    }
}

#[test]
fn or_in_what_must_be_out_first_makes_a_way_of_each() {
    let record = clean(
        "[parts]\np = { out = \"5 min\", after = \"a and b or c\" }\na = \"a\"\nb = \"b\"\nc = \"c\"",
    );
    let v = &record.vehicle;
    let needs: Vec<Vec<&str>> = ways(v, part(v, "p"))
        .iter()
        .map(|way| way.needs.iter().map(|id| v.parts[*id].name.as_str()).collect())
        .collect();
    assert_eq!(needs, [vec!["a", "b"], vec!["c"]]);
}

#[test]
fn other_ways_stand_under_or() {
    let record = clean(
        "[parts]\np = { fixings = \"4 screws\", after = \"a\", or = [{ how = \"cut it out\", out = \"3 min\", back = \"90 min\", destroys = \"180.50 EUR\" }, { how = \"pry\", out = \"4 min\", breaks = \"30 % for 60 EUR\" }] }\na = { out = \"1 min\", taken_out = true }",
    );
    let v = &record.vehicle;
    let p = ways(v, part(v, "p"));
    assert_eq!(
        p.iter().map(|w| w.label.as_str()).collect::<Vec<_>>(),
        ["take out", "cut it out", "pry"]
    );
    assert_eq!(p[0].needs.len(), 1);
    assert!(p[1].needs.is_empty(), "what the first way needs, the others do not");
    assert_eq!((p[1].damage, p[1].breaks.si()), (Damage::Destroys, 1.0));
    assert_eq!(p[1].price.as_ref().unwrap().to_string(), "180.50 EUR");
    assert_eq!((p[2].damage, p[2].breaks.si()), (Damage::MayBreak, 0.3));
    assert_eq!(p[2].price.as_ref().unwrap().to_string(), "60.00 EUR");
    assert!(part(v, "a").is_out && !part(v, "p").is_out);
}

#[test]
fn a_price_nobody_asked_for_is_unknown_and_the_harm_stays() {
    let record = clean(
        "[parts]\na = { out = \"1 min\", destroys = \"unknown\" }\nb = { out = \"1 min\", breaks = \"50 %\" }",
    );
    let v = &record.vehicle;
    let a = ways(v, part(v, "a"))[0];
    assert_eq!((a.damage, &a.price), (Damage::Destroys, &None));
    near(ways(v, part(v, "b"))[0].breaks.si(), 0.5);
}

#[test]
fn a_part_with_a_name_only_has_no_known_way_out() {
    let record = clean(
        "[parts]\ndrawer = \"drawer under the sink\"\nfloor-hatch = { is = \"hatch\" }\nlid = {}",
    );
    let v = &record.vehicle;
    assert_eq!(part(v, "drawer").label, "drawer under the sink");
    assert_eq!(part(v, "lid").label, "lid");
    assert!(v.removals.is_empty());
}

#[test]
fn a_way_nothing_is_known_about_but_its_order_is_reported() {
    let text = "[parts]\np = { after = \"a\" }\na = \"a\"";
    let record = read(text);
    only(&record, "no-minutes");
    assert!(part(&record.vehicle, "p").removals.is_empty());
    assert!(clean("[parts]\np = { out = \"unknown\" }").vehicle.removals.is_empty());
}

#[test]
fn fixings_that_cannot_be_are_reported_and_the_others_counted() {
    for (piece, at) in [
        ("0 screws", "0"),
        ("99999999999 screws", "99999999999"),
        ("5000 clips", "5000"),
        ("screws", "screws"),
        ("3 scrws", "scrws"),
        ("3 unobtainia", "unobtainia"),
        ("-3 screws", "-3 screws"),
    ] {
        let text = format!("[parts]\np = {{ fixings = \"{piece}, 2 clips\" }}");
        let record = read(&text);
        assert_eq!(underlined(&text, only(&record, "fixing")), at);
        assert_eq!(part(&record.vehicle, "p").fixings.len(), 1);
    }
}

#[test]
fn a_part_cannot_be_out_before_itself() {
    let text = "[parts]\np = { out = \"1 min\", after = \"q or p\" }\nq = { out = \"1 min\" }";
    let record = read(text);
    assert_eq!(underlined(text, only(&record, "part-needs-itself")), "\"q or p\"");
    assert_eq!(part(&record.vehicle, "p").removals.len(), 1, "the other way stays");
}

#[test]
fn parts_that_wait_for_each_other_are_named_round_the_circle() {
    let text = "[parts]\nx = { out = \"1 min\", after = \"a\" }\na = { out = \"1 min\", after = \"b\" }\nb = { out = \"1 min\", after = \"c\" }\nc = { out = \"1 min\", after = \"a\" }\nfree = { out = \"1 min\" }";
    let record = read(text);
    let fault = only(&record, "part-circle");
    assert_eq!(fault.message, "these parts wait for each other: `a` after `b` after `c` after `a`");
    assert_eq!(underlined(text, fault), "a");
    assert_eq!(fault.labels.len(), 3);
    assert_eq!(record.diagnostics.len(), 1, "`x` only waits for the circle");
}

#[test]
fn a_circle_with_another_way_out_is_none() {
    clean(
        "[parts]\na = { out = \"1 min\", after = \"b\" }\nb = { out = \"1 min\", after = \"a or c\" }\nc = { out = \"1 min\" }",
    );
    clean(
        "[parts]\na = { out = \"1 min\", after = \"b\" }\nb = { out = \"1 min\", after = \"a\", taken_out = true }",
    );
    clean("[parts]\na = { out = \"1 min\", after = \"b\" }\nb = \"no way recorded\"");
}

#[test]
fn what_is_destroyed_cannot_also_perhaps_break() {
    let text = "[parts]\np = { out = \"1 min\", destroys = \"9 EUR\", breaks = \"30 %\" }";
    let record = read(text);
    assert_eq!(underlined(text, only(&record, "wrong-field")), "\"30 %\"");
    assert_eq!(record.vehicle.removals.iter().next().unwrap().1.damage, Damage::Destroys);
}

#[test]
fn likelihoods_and_prices_that_cannot_be_are_refused() {
    for (value, slug, at) in [
        ("130 % for 5 EUR", "bad-quantity", "130 %"),
        ("30 % for -5 EUR", "impossible-value", "-5 EUR"),
        ("often", "bad-quantity", "often"),
        ("nan % for 5 EUR", "bad-quantity", "nan %"),
    ] {
        let text = format!("[parts]\np = {{ out = \"1 min\", breaks = \"{value}\" }}");
        assert_eq!(underlined(&text, only(&read(&text), slug)), at, "{value}");
    }
}

#[test]
fn a_spot_is_a_place_behind_parts() {
    let record = clean(
        "[parts]\na = \"a\"\n[spots]\nstud = { is = \"the earth stud\", behind = \"a\" }\nother = {}",
    );
    let v = &record.vehicle;
    let spots: Vec<(&str, bool)> =
        v.spots.iter().map(|(_, s)| (s.label.as_str(), s.reach.is_unknown())).collect();
    assert_eq!(spots, [("the earth stud", false), ("other", true)]);
}
