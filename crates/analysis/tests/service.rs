//! Service over a year, hatches, what is cheap while open, and what jobs taught, on a small vehicle
//! worked by hand.

use analysis::{Case, ServiceItem};

/// Minutes are written without spread, so that sums can be done by hand: pump and fan stand behind
/// the wall board (12 + 12 min), which is behind the cupboard (10 + 10 min): 44 min each time.
const VAN: &str = r#"
unbury = 1
[vehicle]
name = "Bench"
region = "europe"
system = "12 V"
[devices]
pump = { kind = "water pump", behind = "wall", serviced = "told 2 a year by the owner" }
fan = { kind = "fan", behind = "wall", serviced = "told 1 a year by the owner" }
charger = { kind = "mains charger", behind = "cover", serviced = "told 1 a year by the owner" }
lamp = { kind = "led lights", behind = "nothing" }
detector = { kind = "gas detector" }
heater = { kind = "diesel heater", behind = "tile", serviced = "unknown" }
[wires]
w1 = "behind wall to unknown, 2.5 mm2"
[parts]
cupboard = { is = "cupboard", out = "10 / 10 / 10 min", back = "10 / 10 / 10 min" }
wall = { is = "wall board", out = "12 / 12 / 12 min", back = "12 / 12 / 12 min", after = "cupboard" }
cover = { is = "cover", out = "2 / 2 / 2 min", back = "2 / 2 / 2 min" }
tile = { is = "tiles", out = "20 / 20 / 20 min", back = "30 / 30 / 30 min", destroys = "80 EUR" }
"#;

fn item(items: &[ServiceItem], name: &str) -> ServiceItem {
    items.iter().find(|item| item.item == name).cloned().expect("the item is in the table")
}

/// Index: 2 x 44 + 1 x 44 + 1 x 4 = 136 min a year; the lamp counts with nothing; the detector (nobody
/// said what covers it) and the heater (no rate) are left out.
#[test]
fn service_over_a_year_is_what_it_is_by_hand() {
    let table = Case::of(VAN).service_table();
    let index = &table.index;
    assert!((index.minutes_per_year - 136.0).abs() < 1e-9, "{index:?}");
    assert!((index.money_per_year - 136.0).abs() < 1e-9, "60.00 an hour is 1.00 a minute");
    assert_eq!((index.counted, index.left_out), (4, 2));
    let pump = item(&table.items, "pump");
    assert_eq!(pump.comes_out, ["cupboard", "wall"]);
    assert_eq!((pump.per_year, pump.per_year_origin.as_str()), (Some(2.0), "told"));
    for minutes in [pump.minutes, pump.minutes_p50, pump.minutes_p80] {
        assert!((minutes.expect("a way") - 44.0).abs() < 1e-9);
    }
    assert_eq!(item(&table.items, "lamp").outcome, "in the open");
    assert_eq!(item(&table.items, "lamp").per_year_origin, "assumed");
    assert_eq!(item(&table.items, "detector").outcome, "cannot tell");
    let heater = item(&table.items, "heater");
    assert_eq!((heater.outcome.as_str(), heater.per_year), ("only by destroying", None));
    assert_eq!(heater.destroys, ["tile"]);
    assert_eq!(heater.breakage_money, Some(80.0));
    assert_eq!(table.currency.as_deref(), Some("EUR"));
}

/// A hatch in the wall board: catalog (40 + 4 x 60 + 120)/6 = 66.67 min to make and 25.00 of
/// material = 91.67; (1.04 + 4 x 1.3 + 2.08)/6 + (1.36 + 4 x 1.7 + 2.72)/6 = 3.2 min to open and close.
/// The cupboard still comes out: 23.2 instead of 44, three times a year: 62.4 min = 62.40. In five
/// years 312.00 - 91.67 = 220.33; paid for in 1.47 years.
#[test]
fn a_hatch_saves_what_it_saves_by_hand() {
    let table = Case::of(VAN).hatch_table();
    let [wall] = table.singles.as_slice() else { panic!("{:?}", table.singles) };
    assert_eq!(wall.parts, ["wall"]);
    let near = |value: f64, by_hand: f64| assert!((value - by_hand).abs() < 0.051, "{value}");
    near(wall.make_minutes, 66.7);
    near(wall.cost_today_money, 91.67);
    near(wall.saved_minutes_per_year, 62.4);
    near(wall.saved_money_per_year, 62.4);
    near(wall.net_money, 220.33);
    near(wall.payback_years.expect("it saves"), 1.47);
    near(wall.index_minutes_per_year, 136.0 - 62.4);
    let helped: Vec<&str> = wall.helps.iter().map(|help| help.item.as_str()).collect();
    assert_eq!(helped, ["pump", "fan"]);
}

#[test]
fn no_hatch_is_thought_of_where_mains_lie_and_what_lies_behind_is_named() {
    let table = Case::of(VAN).hatch_table();
    let why = |part: &str| {
        let left = table.left_out.iter().find(|left| left.part == part);
        left.map_or("", |left| left.why.as_str())
    };
    assert!(why("cover").contains("mains behind it (charger)"), "{}", why("cover"));
    assert!(why("tile").contains("not called a panel"), "{}", why("tile"));
    assert_eq!(
        table.singles[0].before_cutting,
        ["behind wall the record knows devices pump, fan and wire w1"]
    );
    assert!(table.rests_on.iter().any(|words| words.contains("gas")), "{:?}", table.rests_on);
}

#[test]
fn what_shares_the_way_is_free_while_it_is_open() {
    let further = Case::of(VAN).while_open("pump").expect("there is a way to the pump");
    let fan = further.iter().find(|further| further.item == "fan").expect("the fan shares the way");
    assert!(fan.extra_minutes.abs() < 1e-9 && (fan.alone_minutes - 44.0).abs() < 1e-9);
    assert!(further.iter().all(|further| further.item != "charger"), "it shares nothing");
    assert_eq!(Case::of(VAN).while_open("nothing-such"), None);
}

/// One job of 30 minutes out: the belief lies between 12 and 30, and the way says so.
#[test]
fn a_job_changes_the_way_in_and_says_so() {
    let taught = format!("{VAN}\n[took]\nt1 = \"wall: 30 min out\"\n");
    let way = Case::of(&taught).way_in("pump").expect("a pump");
    let wall = way.steps.iter().find(|step| step.part == "wall").expect("the wall comes out");
    assert!(12.0 < wall.minutes_out && wall.minutes_out < 30.0, "{}", wall.minutes_out);
    assert!((wall.minutes_back - 12.0).abs() < 1e-9);
    assert!(wall.refined.contains("by 1 job, estimated 12"), "{}", wall.refined);
    let cupboard = way.steps.iter().find(|step| step.part == "cupboard").expect("it comes first");
    assert!(cupboard.refined.is_empty());
}
