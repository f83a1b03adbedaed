//! Which document, in which edition, decides under the rules of which region: a page made from the catalog.

use catalog::{Catalog, VoltageBand};
use model::Region;

const HEAD: &str = "# Which document decides where

The rules a vehicle is judged by stand in its record (`region`). Below stands, for each set of rules, what is
held against which document in which edition, and how well that was seen. What was recalled and not read only
hints. What was written for boats, park trailers or goods is used by analogy: no rule was found that was
written for private conversions. Local codes come first.
";

const REGIONS: [(Region, &str); 3] = [
    (Region::NorthAmerica, "North America"),
    (Region::EuropeUk, "Europe and the United Kingdom"),
    (Region::AustraliaNz, "Australia and New Zealand"),
];

/// The page, as Markdown.
pub fn region_page() -> String {
    let catalog = Catalog::embedded();
    let mut page = HEAD.to_owned();
    for (region, name) in REGIONS {
        section(
            &mut page,
            &format!("Only in {name}"),
            rows(&catalog, |of| !of.is_empty() && of.contains(&region)),
        );
    }
    section(&mut page, "Under all rules", rows(&catalog, <[Region]>::is_empty));
    page
}

fn section(page: &mut String, title: &str, rows: Vec<String>) {
    page.push_str(&format!("\n## {title}\n\n"));
    if rows.is_empty() {
        page.push_str("Nothing of its own.\n");
    }
    for row in rows {
        page.push_str(&format!("- {row}\n"));
    }
}

/// Limits and tables for regions that are wanted.
fn rows(catalog: &Catalog, wanted: impl Fn(&[Region]) -> bool) -> Vec<String> {
    let from = |key: &str| {
        catalog.sources.get(key).map_or_else(String::new, |source| {
            format!("{} ({})", source.words.trim_end_matches('.'), source.standing.words())
        })
    };
    let limits = catalog.limits.iter().filter(|row| wanted(row.regions()));
    let limits = limits.map(|row| format!("{}: {}.", capital(&row.words), from(&row.source)));
    let tables = catalog.ampacity.tables().filter(|table| wanted(table.regions));
    let tables = tables.map(|table| {
        let band = match table.band {
            Some(VoltageBand::UnderFifty) => ", under 50 V",
            Some(VoltageBand::FiftyAndOver) => ", 50 V and over",
            None => "",
        };
        let decides = if table.decides { "decides" } else { "only hints" };
        format!(
            "What a conductor may carry, {}{band}: {decides}. {}.",
            table.words,
            from(table.source)
        )
    });
    limits.chain(tables).collect()
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::{REGIONS, region_page};

    fn section(title: &str) -> String {
        let page = region_page();
        let after = page.split(&format!("## {title}\n")).nth(1).expect("a section").to_owned();
        after.split("\n## ").next().unwrap_or_default().to_owned()
    }

    /// The documents by hand: NFPA 70 552.10(E) for 18 in, AS/NZS 3001.2:2022 for 200 mm, NEC 310.16 for
    /// conductors of 50 V and over in North America.
    #[test]
    fn each_region_names_its_documents_with_their_edition() {
        let [america, europe, australia] =
            REGIONS.map(|(_, name)| section(&format!("Only in {name}")));
        assert!(america.contains("NFPA 70 (NEC) 2008 and 2017, 552.10(E)"), "{america}");
        assert!(america.contains("NEC Table 310.16, 50 V and over: decides"), "{america}");
        assert!(europe.contains("ISO 10133 Table A.1, under 50 V: only hints"), "{europe}");
        assert!(australia.contains("AS/NZS 3001.2:2022") && australia.contains("200 mm"));
        assert!(!america.contains("AS/NZS"), "{america}");
        assert!(!section("Under all rules").contains("552.10(E)"));
    }

    #[test]
    fn no_row_is_without_its_document() {
        let page = region_page();
        let rows: Vec<&str> = page.lines().filter(|line| line.starts_with("- ")).collect();
        assert!(rows.len() > 20, "{}", rows.len());
        for row in rows {
            assert!(row.ends_with(").") && !row.contains(": ."), "{row}");
        }
    }
}
