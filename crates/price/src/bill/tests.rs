//! Sums by integer arithmetic from lines written by hand; spreads against published examples.

use proptest::prelude::*;

use super::*;

fn money(text: &str) -> Money {
    text.parse().unwrap()
}

fn spread(low_min: f64, likely_min: f64, high_min: f64) -> Spread {
    Spread { low_min, likely_min, high_min }
}

fn work(what: &str, minutes: Vec<Spread>, hour: Option<Money>) -> Line {
    Line { what: what.to_owned(), item: Item::Work { minutes, hour } }
}

fn part(quantity: f64, each: &str) -> Line {
    let each = (!each.is_empty()).then(|| money(each));
    Line { what: "part".to_owned(), item: Item::Goods { quantity, each } }
}

/// By hand, at 78.00 EUR: opening 8/10/18: mean 66/6 = 11 min: 78 x 11/60 = 14.30. Work 3/5/10: 33/6 = 5.5
/// min: 7.15. Wire 3.374 m at 4.20: 14.17. 3 lugs at 0.85: 2.55. May break, 20 % of 45.00: 9.00. Sum in cents
/// 1430 + 715 + 1417 + 255 + 900 = 4717. 19 %: 896.23, so 896. Total 5613.
#[test]
fn a_price_adds_up_to_the_cent() {
    let hour = Some(money("78 EUR"));
    let lines = [
        work("opening", vec![spread(8.0, 10.0, 18.0)], hour),
        work("repair", vec![spread(3.0, 5.0, 10.0)], hour),
        part(3.374, "4.20 EUR"),
        part(3.0, "0.85 EUR"),
        Line { what: "may break".to_owned(), item: Item::Risk(vec![(0.2, 4500)]) },
    ];
    let bill = bill(&lines, Tax::of_share(0.19)).unwrap();
    let cents: Vec<i64> = bill.amounts.iter().map(|amount| amount.unwrap().cents()).collect();
    assert_eq!(cents, [1430, 715, 1417, 255, 900]);
    assert_eq!(
        (bill.net, bill.tax, bill.total),
        (money("47.17 EUR"), Some(money("8.96 EUR")), money("56.13 EUR"))
    );
}

#[test]
fn without_a_rate_the_minutes_stay_and_the_rest_is_summed() {
    let lines = [
        work("opening", vec![spread(8.0, 10.0, 18.0)], None),
        part(2.0, "1.50 EUR"),
        part(1.0, ""),
    ];
    let bill = bill(&lines, None).unwrap();
    assert_eq!(bill.amounts, [None, Some(money("3 EUR")), None]);
    assert_eq!((bill.tax, bill.total), (None, money("3 EUR")));
    assert!((lines[0].minutes() - 11.0).abs() < 1e-12);
}

#[test]
fn two_currencies_are_refused_by_name() {
    let lines = [part(1.0, "1 EUR"), part(1.0, "1 USD")];
    let Err(Fault::Mixed(one, other)) = bill(&lines, None) else { panic!("they were added") };
    assert_eq!((one.code(), other.code()), ("EUR", "USD"));
    let bare = [part(1.0, "1 EUR"), part(1.0, "2")];
    assert_eq!(bill(&bare, None).unwrap().total, money("3 EUR"));
}

/// PERT worked example: (2, 4, 12) (1, 2, 3) (0.5, 1, 4.5): means 5, 2, 1.5, together 8.5 min. The beta-PERT
/// variances are (5 - 2)(12 - 5)/7 = 3, (2 - 1)(3 - 2)/7 = 0.142857, (1.5 - 0.5)(4.5 - 1.5)/7 = 0.428571, together
/// 3.571429; as a normal the eight-of-ten value would be 8.5 + 0.8416 x 1.88982 = 10.0905, half 8.5 at the mean; the
/// sum is skewed to the right, so half of the cases lie below the mean and P80 near that.
#[test]
fn three_point_times_add_as_in_the_pert_example() {
    let times = vec![spread(2.0, 4.0, 12.0), spread(1.0, 2.0, 3.0), spread(0.5, 1.0, 4.5)];
    let spreads = spreads(&[work("chain", times, None)]);
    assert!((spreads.mean_min - 8.5).abs() < 1e-6);
    assert!(spreads.p50_min < 8.5 && spreads.p50_min > 8.0);
    assert!((spreads.p80_min - 10.0905).abs() < 0.15, "{}", spreads.p80_min);
    // Lognormal of the same mean and variance: s² = ln(1 + 3.571429/72.25) = 0.048249, s 0.219656, median 8.2974,
    // P80 8.2974 x exp(0.84162 x 0.219656) = 9.9821.
    assert!((spreads.lognormal_p80_min - 9.982).abs() < 0.01, "{}", spreads.lognormal_p80_min);
    assert_eq!(spreads.p50_cents, None);
}

/// A breakage of 100.00 in 3 of 10 cases beside goods of 20.00: half of the cases stay near 20.00, and eight of ten reach
/// near 120.00 (the grid spreads an atom over half a cell).
#[test]
fn a_breakage_is_in_the_tail() {
    let lines =
        [part(1.0, "20 EUR"), Line { what: String::new(), item: Item::Risk(vec![(0.3, 10_000)]) }];
    let spreads = spreads(&lines);
    assert!((spreads.p50_cents.unwrap() - 2000.0).abs() < 10.0);
    assert!((spreads.p80_cents.unwrap() - 12_000.0).abs() < 10.0);
    let shares = Spreads::money_shares(&lines);
    assert!((shares.iter().map(|(_, share)| share).sum::<f64>() - 1.0).abs() < 1e-9);
}

proptest! {
    /// The order of lines changes nothing; the total is the integer sum of the amounts.
    #[test]
    fn order_does_not_matter(cents in proptest::collection::vec(0_i64..1_000_000, 1..12), turn in 0_usize..12) {
        let lines: Vec<Line> = cents
            .iter()
            .map(|cents| part(1.0, &format!("{}.{:02} EUR", cents / 100, cents % 100)))
            .collect();
        let mut turned = lines.clone();
        turned.rotate_left(turn % lines.len());
        let tax = Tax::of_share(0.19);
        let (one, other) = (bill(&lines, tax).unwrap(), bill(&turned, tax).unwrap());
        prop_assert_eq!(one.total, other.total);
        let sum: i64 = cents.iter().sum();
        prop_assert_eq!(one.net.cents(), sum);
        prop_assert_eq!(one.tax.unwrap().cents(), (sum * 1900 + 5000) / 10_000);
    }
}
