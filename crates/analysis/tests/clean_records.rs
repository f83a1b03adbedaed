//! Five vehicles in order, made up, with everything said that a careful technician can see: the review
//! must find nothing that fails. They are not empty: each has its loads, its sources and its way in,
//! and a share of the checks has to hold on them.

use analysis::Case;

const RECORDS: [(&str, &str); 5] = [
    ("lithium", include_str!("clean/lithium.toml")),
    ("lead", include_str!("clean/lead.toml")),
    ("shore", include_str!("clean/shore.toml")),
    ("solar", include_str!("clean/solar.toml")),
    ("twenty_four", include_str!("clean/twenty_four.toml")),
];

#[test]
fn a_vehicle_in_order_fails_nothing() {
    let mut wrong = Vec::new();
    for (name, text) in RECORDS {
        let case = Case::of(text);
        let faults = case.record_faults();
        assert!(faults.is_empty(), "{name}: {faults:#?}");
        let review = case.review();
        assert!(review.understood.wires >= 14, "{name}: {} wires", review.understood.wires);
        assert!(review.understood.parts >= 3, "{name}: {} parts", review.understood.parts);
        for finding in &review.findings {
            let (check, place) = (&finding.check, &finding.place.name);
            wrong.push(format!(
                "{name}: {check} at {place}: {} {:?}",
                finding.message, finding.evidence
            ));
        }
        let holding = review.tallies.iter().filter(|tally| tally.holds > 0).count();
        assert!(holding >= 45, "{name}: only {holding} checks hold anywhere");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
