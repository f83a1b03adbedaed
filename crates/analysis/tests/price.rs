//! Prices of repairs: sums by whole cents, sharing through the planner, choices, what was agreed to, bad
//! input. The vehicle is invented; minutes are those of the record, so sums can be done by hand.

use analysis::{Case, Choice, PriceAsked, PriceFault, PriceView};

/// A battery without a fuse and a wire too thin for its fuse, both behind the same lid; a loose lug behind
/// another.
const VAN: &str = r#"
unbury = 1
[vehicle]
name = "Priced"
region = "europe"
system = "12 V"
[workshop]
hour = "60 EUR"
licensed_hour = "90 EUR"
tax = "20 %"
prices = { wire = "2 EUR", lug = "1.50 EUR", fuse = "3 EUR", holder = "9 EUR", "cable tie" = "0.10 EUR", "used up" = "0.20 EUR", isolator = "25 EUR", mount = "80 EUR" }
RATES
[devices]
house  = { kind = "lfp battery", holds = "100 Ah", behind = "bench-lid", mass = "12 kg", held = "4 bolts, into structure, rated 6000 N" }
main   = { kind = "isolator", behind = "nothing" }
box    = { kind = "blade fuse box", ways = ["15 A fridge", "30 A pump"], behind = "bench-lid" }
fridge = { kind = "compressor fridge", power = "48 W", behind = "kick-board" }
pump   = { kind = "water pump", power = "60 W", behind = "bench-lid" }
bar    = { kind = "busbar", behind = "bench-lid" }
[wires]
w1 = "house.+ to main.in, 16 mm2, red, 1.8 m, stranded, 70 C"
w2 = "main.out to box.in, 16 mm2, red, 0.6 m, stranded, 70 C"
w3 = "box.1 to fridge.+, 2.5 mm2, red, 4 m, stranded, 70 C"
w4 = "fridge.- to bar, 2.5 mm2, black, 4 m, stranded, 70 C"
w5 = "box.2 to pump.+, 1 mm2, red, 3 m, stranded, 70 C"
w6 = "pump.- to bar, 1 mm2, black, 3 m, stranded, 70 C"
w7 = "bar to house.-, 16 mm2, black, 0.4 m, stranded, 70 C"
[parts]
bench-lid  = { is = "bench lid", out = "4 / 5 / 6 min", back = "9 / 10 / 11 min" }
kick-board = { is = "kick board", out = "2 / 2 / 2 min", back = "3 / 3 / 3 min", after = "bench-lid" }
[states]
evening = { on = ["fridge", "pump"], charge = { house = "60 %" } }
[symptoms]
s = { words = "the pump stops", device = "pump" }
"#;

fn case(rates: &str) -> Case {
    Case::of(&VAN.replace("RATES", rates))
}

fn everything() -> PriceAsked {
    PriceAsked { choice: Some(Choice::All), ..PriceAsked::default() }
}

fn price(case: &Case, asked: &PriceAsked) -> PriceView {
    case.price(asked).expect("a price")
}

fn only(ids: &[&str]) -> PriceAsked {
    PriceAsked { with: ids.iter().map(|id| (*id).to_owned()).collect(), ..PriceAsked::default() }
}

/// Whole cents: a line of work is 6000 x minutes/60 = 100 cents a minute; the view gives minutes to a tenth,
/// so a line may differ by 5 cents from that; net is the sum of lines, tax a fifth of it, halves up.
#[test]
fn totals_are_sums_of_lines_to_the_cent() {
    let view = price(&case(""), &everything());
    assert!(view.missing_rates.is_empty(), "{:?}", view.missing_rates);
    assert!(view.asked.repairs.len() >= 2, "{:?}", view.asked.repairs);
    let cents: Vec<i64> = view.asked.lines.iter().filter_map(|line| line.cents).collect();
    let net: i64 = cents.iter().sum();
    let tax = (net * 20 + 50) / 100;
    assert_eq!(view.asked.total_cents, Some(net + tax));
    assert_eq!(view.asked.total, format!("{}.{:02} EUR", (net + tax) / 100, (net + tax) % 100));
    for line in view.asked.lines.iter().filter(|line| line.minutes.is_some()) {
        let by_hand = line.expected_minutes * 100.0;
        assert!((line.cents.unwrap() as f64 - by_hand).abs() <= 5.0, "{line:?}");
    }
}

/// By hand: the bench lid takes (4 + 20 + 6)/6 = 5 min out and 10 back. Two repairs behind it open it once:
/// 15 minutes; each by itself would open it too.
#[test]
fn an_opening_that_repairs_share_is_counted_once() {
    let case = case("");
    let view = price(&case, &everything());
    let opening = view.asked.lines.iter().find(|line| line.kind == "opening").expect("an opening");
    assert!((opening.expected_minutes - 15.0).abs() < 1e-9, "{opening:?}");
    let alone: f64 = view
        .asked
        .repairs
        .iter()
        .map(|id| {
            let one = price(&case, &only(&[id.as_str()]));
            let line = one.asked.lines.iter().find(|line| line.kind == "opening");
            line.map_or(0.0, |line| line.expected_minutes)
        })
        .sum();
    assert!(
        alone > opening.expected_minutes,
        "{alone} apart, {} together",
        opening.expected_minutes
    );
}

/// Together never dearer than apart, beyond one cent a line of rounding; the order of names changes
/// nothing; what a repair adds is the difference of two prices.
#[test]
fn sets_cost_no_more_than_their_parts() {
    let case = case("");
    let all = price(&case, &everything());
    let ids: Vec<&str> = all.asked.repairs.iter().map(String::as_str).collect();
    for (at, one) in ids.iter().enumerate() {
        for other in &ids[at + 1..] {
            let both = price(&case, &only(&[one, other])).asked;
            let turned = price(&case, &only(&[other, one])).asked;
            assert_eq!(both.total_cents, turned.total_cents);
            let apart: i64 = [one, other]
                .into_iter()
                .filter_map(|id| price(&case, &only(&[id])).asked.total_cents)
                .sum();
            let slack = both.lines.len() as i64;
            assert!(both.total_cents.unwrap() <= apart + slack, "{one} and {other}");
        }
    }
    for row in all.marginal.iter().filter(|row| row.is_in) {
        let without = PriceAsked { without: vec![row.repair.clone()], ..everything() };
        let less = price(&case, &without).asked.total_cents.unwrap();
        assert_eq!(row.cents, Some(all.asked.total_cents.unwrap() - less), "{}", row.repair);
    }
}

#[test]
fn choices_take_in_what_they_say_and_name_what_stays() {
    let view = price(&case(""), &everything());
    let of = |id: &str| view.choices.iter().find(|choice| choice.id == id).expect("a choice");
    assert!(of("complaint").repairs.iter().all(|id| of("all").repairs.contains(id)));
    assert!(of("complaint").repairs.iter().any(|id| id.contains("w5") || id.contains("box")));
    assert!(of("danger").repairs.len() <= of("all").repairs.len());
    assert!(of("complaint").stays.len() >= of("all").stays.len());
    let words = view
        .choices
        .iter()
        .map(|choice| choice.title.as_str())
        .chain(view.notes.iter().map(String::as_str));
    assert!(words.into_iter().all(|words| {
        !words.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|w| w == concat!("sa", "fe"))
    }));
}

/// Materials: metres of new wire are those of the repair, a tenth more, and 0.3 m for each piece.
#[test]
fn wire_has_slack_and_lugs_have_sleeves() {
    // Of 2.5 mm² under 30 A larger wire is offered; of 1 mm² it would be too much larger.
    let case = Case::of(&VAN.replace("RATES", "").replace(", 1 mm2", ", 2.5 mm2"));
    let offers = &case.mends().offers;
    let offer = offers
        .iter()
        .find(|offer| offer.parts.iter().any(|part| part.sort == "wire"))
        .expect("new wire");
    let part = offer.parts.iter().find(|part| part.sort == "wire").unwrap();
    let view = price(&case, &only(&[offer.id.as_str()]));
    let row = view
        .materials
        .iter()
        .find(|row| row.sort == "wire" && row.what == part.what)
        .expect("wire");
    let pieces = offer.parts.iter().filter(|other| other.sort == "wire" && other.what == part.what);
    let by_hand: f64 = pieces.map(|part| part.quantity * 1.1 + 0.3).sum();
    assert!(row.quantity >= by_hand - 1e-9 && row.quantity < by_hand + 0.011, "{row:?}, {by_hand}");
    assert_eq!(row.each, "2.00 EUR");
    assert!(view.materials.iter().any(|row| row.what == "cable tie"));
}

#[test]
fn without_rates_there_are_minutes_and_the_missing_rates_are_named() {
    let text =
        VAN.replace("RATES", "").replace("hour = \"60 EUR\"\n", "").replace("tax = \"20 %\"\n", "");
    let view = Case::of(&text).price(&everything()).expect("minutes");
    assert!(view.missing_rates.iter().any(|words| words.contains("hour")));
    assert!(view.missing_rates.iter().any(|words| words.contains("tax")));
    assert!(view.asked.total.is_empty() && view.asked.total_cents.is_none());
    assert!(view.asked.minutes > 0.0 && view.asked.minutes_p80 >= view.asked.minutes_p50);
}

#[test]
fn two_currencies_are_named_with_their_places() {
    let text = VAN.replace("RATES", "").replace("lug = \"1.50 EUR\"", "lug = \"1.50 USD\"");
    let fault = Case::of(&text).price(&everything()).unwrap_err();
    let PriceFault::Mixed { first, second, second_at, .. } = &fault else { panic!("{fault}") };
    assert_eq!((first.as_str(), second.as_str()), ("EUR", "USD"));
    assert!(second_at.contains("lug"), "{second_at}");
}

#[test]
fn a_price_whose_day_is_over_is_refused() {
    let on = |today: &str| PriceAsked {
        valid_until: Some("2026-05-31".to_owned()),
        today: Some(today.to_owned()),
        ..everything()
    };
    let case = case("");
    assert_eq!(price(&case, &on("2026-05-31")).valid_until, "2026-05-31");
    let fault = case.price(&on("2026-06-01")).unwrap_err();
    assert!(fault.to_string().contains("2026-05-31") && fault.to_string().contains("2026-06-01"));
}

#[test]
fn a_repair_that_is_not_offered_is_named() {
    let fault = case("").price(&only(&["no-such"])).unwrap_err();
    assert_eq!(fault, PriceFault::NoSuchRepair(vec!["no-such".to_owned()]));
}

/// Michigan: the lesser of 10 USD or 10 % (the rule was read). Agreed to 1.00 EUR: everything is far above, so
/// a new yes is asked for whatever 10 USD are.
#[test]
fn work_outside_of_what_was_agreed_to_is_flagged() {
    let view = price(&case(""), &everything());
    let first = view.asked.repairs[0].clone();
    let authority = format!(
        "law = \"michigan\"\n[authority]\na = {{ by = \"the owner\", channel = \"on the telephone\", on = \"2026-05-02 14:10\", allows = [\"{first}\"], total = \"1 EUR\", words = \"go ahead\", recorder = \"RK\" }}"
    );
    let view = price(&case(&authority), &everything());
    assert_eq!(view.authorisations.len(), 1);
    assert!(view.authorisations[0].lacks.is_empty(), "{:?}", view.authorisations[0].lacks);
    assert!(view.flags.iter().any(|flag| flag.contains("ask for a new yes")), "{:?}", view.flags);
    assert!(!view.flags.iter().any(|flag| flag.starts_with(&format!("{first} is in the price"))));
    let others = view.asked.repairs.len() - 1;
    assert_eq!(view.flags.iter().filter(|flag| flag.contains("nobody has agreed")).count(), others);
    let law = view.law.expect("rules");
    assert!(law.caution.contains("local law") && law.edition.contains("7082"));
}

/// The same rule: of a price in dollars both parts are held against what was agreed to, of one in euros the
/// share only; within it nothing can be said.
#[test]
fn an_over_run_is_held_against_both_parts_of_the_rule_where_the_currency_is_theirs() {
    let flagged = |currency: &str, less_cents: i64| {
        let of = |authority: &str| {
            let text = VAN.replace("EUR", currency).replace("RATES", authority);
            price(&Case::of(&text), &everything())
        };
        let total = of("").asked.total_cents.expect("a total");
        let agreed = total - less_cents;
        assert!(agreed > 10 * less_cents, "a tenth is more than {less_cents}: {agreed}");
        let authority = format!(
            "law = \"michigan\"\n[authority]\na = {{ by = \"the owner\", channel = \"on the telephone\", on = \"2026-05-02 14:10\", allows = [\"everything\"], total = \"{}.{:02} {currency}\", words = \"go ahead\", recorder = \"RK\" }}",
            agreed / 100,
            agreed % 100
        );
        of(&authority).flags.join("; ")
    };
    assert!(flagged("USD", 500).contains("within the over-run"), "{}", flagged("USD", 500));
    assert!(flagged("USD", 1100).contains("ask for a new yes"), "{}", flagged("USD", 1100));
    assert!(flagged("EUR", 1100).contains("cannot be told"), "{}", flagged("EUR", 1100));
}

/// What is done has no price of its own any more, so what is left is not held against what was agreed to.
#[test]
fn what_is_done_is_not_in_the_total_and_that_is_said() {
    let agreed = "[authority]\na = { by = \"the owner\", channel = \"on the telephone\", on = \"2026-05-02 14:10\", allows = [\"everything\"], total = \"100000 EUR\", words = \"go ahead\", recorder = \"RK\" }";
    let before = case(agreed);
    let first = price(&before, &everything()).asked.repairs[0].clone();
    let says = |case: &Case| price(case, &everything()).flags.join("; ");
    assert!(!says(&before).contains("still to do"), "{}", says(&before));
    let chosen = Case::of(&before.with_chosen(&first).expect("an offer"));
    let done = Case::of(&chosen.mended().expect("chosen").text);
    let words = format!("{first} is done and not in it");
    assert!(says(&done).contains(&words), "{}", says(&done));
}

#[test]
fn an_unknown_jurisdiction_is_a_fault_of_the_record_and_the_rest_is_used() {
    let case = case("law = \"atlantis\"");
    assert!(case.record_faults().iter().any(|fault| fault.message.contains("atlantis")));
    assert!(price(&case, &everything()).law.is_none());
}

/// What is priced is what can be done: no repair of a choice changes the same as another one of it, and
/// what is left because of that is named among what stays.
#[test]
fn no_choice_of_the_examples_holds_repairs_that_exclude_each_other() {
    for (name, text) in testkit::SHIPPED {
        let case = Case::of(text);
        let view = case.price(&PriceAsked::default()).expect("a price");
        let offers = &case.mends().offers;
        for choice in &view.choices {
            let of = |id: &String| offers.iter().find(|offer| offer.id == *id).expect("an offer");
            let taken: Vec<&analysis::MendOffer> = choice.repairs.iter().map(of).collect();
            for (at, here) in taken.iter().enumerate() {
                for there in &taken[at + 1..] {
                    assert!(!here.excludes(there), "{name}: {} and {}", here.id, there.id);
                }
            }
        }
    }
}

/// A fuse that is exchanged and one that is taken out are two answers to one question.
#[test]
fn a_fuse_is_not_exchanged_and_taken_out() {
    let case = Case::of(testkit::DUNLIN);
    let view = case.price(&PriceAsked::default()).expect("a price");
    let both = ["exchange-fridge-fuse", "out-fridge-fuse"];
    for id in both {
        assert!(case.mends().offers.iter().any(|offer| offer.id == id), "{id} is offered");
    }
    for choice in &view.choices {
        let taken = both.iter().filter(|id| choice.repairs.iter().any(|r| r == *id)).count();
        assert!(taken < 2, "{}: {:?}", choice.id, choice.repairs);
    }
}

/// A wire is not replaced twice.
#[test]
fn a_repair_that_changes_what_a_chosen_one_changes_is_refused() {
    let case = Case::of(testkit::SHIPPED[0].1);
    let both = ["copper-furnace", "copper-furnace-half"];
    let chosen = Case::of(&case.with_chosen(both[0]).expect("an offer"));
    let refused = chosen.with_chosen(both[1]).expect_err("it excludes the first");
    assert!(refused.contains(both[0]) && refused.contains("[mends]"), "{refused}");
}

/// Two repairs of which one only can be done are no price: both are named, and nothing else is changed.
#[test]
fn a_price_of_repairs_that_exclude_each_other_is_refused_and_names_both() {
    let case = Case::of(testkit::SHIPPED[0].1);
    let both = ["copper-furnace", "copper-furnace-half"];
    let neither = || only(&[]);
    for with in [both, [both[1], both[0]]] {
        let asked = PriceAsked { with: with.map(str::to_owned).to_vec(), ..neither() };
        let fault = case.price(&asked).expect_err("one only can be done").to_string();
        assert!(both.iter().all(|id| fault.contains(id)), "{fault}");
    }
    let asked = PriceAsked {
        with: vec![both[0].to_owned()],
        without: vec![both[1].to_owned()],
        ..neither()
    };
    assert!(price(&case, &asked).asked.repairs.contains(&both[0].to_owned()));
}

/// What it would add is the price of the set in which it stands instead of what it excludes.
#[test]
fn what_gives_way_is_taken_out_before_a_repair_is_priced() {
    let case = Case::of(testkit::DUNLIN);
    let all = price(&case, &everything());
    let row = all.marginal.iter().find(|row| !row.instead_of.is_empty()).expect("a rival");
    assert!(all.asked.repairs.contains(&row.instead_of[0]), "{row:?}");
    let asked = PriceAsked {
        with: vec![row.repair.clone()],
        without: row.instead_of.clone(),
        ..everything()
    };
    let other = price(&case, &asked).asked.total_cents.expect("a total");
    assert_eq!(row.cents, Some(other - all.asked.total_cents.expect("a total")));
}

/// Every amount that is shown has its currency, or is not shown.
#[test]
fn amounts_have_their_currency_in_every_example() {
    for (name, text) in testkit::SHIPPED {
        let view = Case::of(text).price(&PriceAsked::default()).expect("a price");
        for line in view.asked.lines.iter().filter(|line| !line.amount.is_empty()) {
            assert!(!view.currency.is_empty(), "{name}: {line:?}");
            assert!(line.amount.ends_with(&view.currency), "{name}: {line:?}");
        }
    }
}

/// Bracken says what broken parts cost, in dollars, and no rate: those stand, what an hour costs is missing.
/// Without that currency nothing is known of the money.
#[test]
fn without_rates_what_breaks_has_the_currency_of_the_record_or_no_amount() {
    let text = testkit::SHIPPED.iter().find(|(name, _)| *name == "Bracken").expect("it").1;
    let breakage = |text: &str| {
        let view = Case::of(text).price(&PriceAsked::default()).expect("minutes");
        let line = view.asked.lines.into_iter().find(|line| line.kind == "breakage");
        line.expect("something may break").amount
    };
    assert!(breakage(text).ends_with(" USD"), "{}", breakage(text));
    assert_eq!(breakage(&text.replace(" USD", "")), "");
}

/// What somebody wrote into `[mends]` by hand has no minutes and no goods: it is named.
#[test]
fn a_repair_by_hand_is_named_where_it_cannot_be_priced() {
    let text = format!(
        "{}[mends]\nthick = {{ words = \"thick\", sets = {{ \"wires.w1\" = \"house.+ to main.in, 35 mm2, red, 1.8 m, stranded, 70 C\" }} }}\n",
        VAN.replace("RATES", "")
    );
    let view = Case::of(&text).price(&PriceAsked::default()).expect("a price");
    assert!(view.flags.iter().any(|flag| flag.starts_with("thick is chosen")), "{:?}", view.flags);
}

/// A butt joint is no busbar, a converter no charger, a breaker no fuse.
#[test]
fn goods_are_of_the_sort_that_they_are() {
    for (name, text) in testkit::SHIPPED {
        for part in Case::of(text).mends().offers.iter().flat_map(|offer| &offer.parts) {
            let sort = match part.what.as_str() {
                what if what.contains("crimped end") => "lug",
                what if what.contains("butt joint") => "splice",
                what if what.contains("through-stud") => "stud",
                what if what.contains("converter") => "converter",
                what if what.contains("breaker") => "breaker",
                what if what.contains("fuse") && !what.contains("holder,") => "fuse",
                _ => continue,
            };
            let is_holder = part.sort == "holder";
            assert!(part.sort == sort || is_holder, "{name}: {part:?}");
            assert!(!part.what.contains("class t"), "{name}: {part:?}");
        }
    }
}
