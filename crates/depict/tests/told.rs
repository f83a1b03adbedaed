//! Every drawing of the example records told in Spanish and in US units: nothing of the program's own is
//! left in English, no metric unit stands where the reader asked for the others, names stay.

use analysis::Case;
use depict::{
    Overlay, Paper, Picture, next_check, pictures, pictures_told, way_in, way_in_told, wiring_told,
};
use testkit::{DUNLIN, SHIPPED};
use units::System;
use wording::{Language, Teller};

/// The words a viewer shows, each piece of text of its own.
fn words(picture: &Picture) -> Vec<String> {
    let svg = roxmltree::Document::parse(&picture.svg).expect("SVG");
    let texts = svg.descendants().filter(|node| node.has_tag_name("text"));
    let words = |node: roxmltree::Node<'_, '_>| {
        node.descendants().filter_map(|n| n.text().filter(|_| n.is_text())).collect::<String>()
    };
    texts.map(words).collect()
}

#[test]
fn nothing_a_drawing_says_is_left_in_english() {
    let teller = Teller::new(Language::Spanish, System::Metric);
    for (name, text) in SHIPPED {
        let told = pictures_told(&Case::of(text), Paper::A4, &teller);
        assert!(!told.is_empty(), "{name}");
    }
    assert!(teller.left().is_empty(), "{:#?}", teller.left());
}

#[test]
fn nothing_a_drawing_of_a_way_in_says_is_left_in_english() {
    let teller = Teller::new(Language::Spanish, System::Metric);
    for (name, text) in SHIPPED {
        let case = Case::of(text);
        for way in case.service_access() {
            let Ok(opening) = case.opening(&[way.target]) else { continue };
            let told = way_in_told(&case, &teller.opening(&opening), &teller);
            let english = way_in(&case, &opening);
            assert!(told.iter().all(|picture| !english.contains(picture)), "{name}");
        }
    }
    assert!(teller.left().is_empty(), "{:#?}", teller.left());
}

#[test]
fn nothing_a_drawing_of_suspects_says_is_left_in_english() {
    let teller = Teller::new(Language::Spanish, System::Metric);
    for (name, text) in SHIPPED {
        let case = Case::of(text);
        let _ = next_check(&case, &teller);
        let suspicion = case.search(&case.suspect_list()).shading();
        let told = wiring_told(&case, Overlay::Suspects(&suspicion), Paper::A3, &teller);
        assert!(!told.is_empty(), "{name}");
    }
    assert!(teller.left().is_empty(), "{:#?}", teller.left());
}

#[test]
fn the_words_a_drawing_puts_in_by_itself_are_all_told() {
    let teller = Teller::new(Language::Spanish, System::Metric);
    for word in draw::OWN_WORDS {
        let told = teller.drawn(word);
        let gaps = |text: &str| {
            let mut gaps: Vec<String> =
                text.split('{').skip(1).map(|rest| rest.chars().take(1).collect()).collect();
            gaps.sort();
            gaps
        };
        assert_eq!(gaps(word), gaps(&told), "{word}");
    }
    assert!(teller.left().is_empty(), "{:#?}", teller.left());
}

#[test]
fn the_same_drawings_come_with_the_same_names_in_any_language() {
    let case = Case::of(DUNLIN);
    let teller = Teller::new(Language::Spanish, System::Us);
    let names = |pictures: Vec<Picture>| -> Vec<String> {
        // How many sheets the wiring takes depends on how long its words are.
        let all = pictures.into_iter().map(|picture| picture.name);
        all.filter(|name| !name.starts_with("wiring")).collect()
    };
    let english = names(pictures(&case, Paper::A4));
    assert!(english.len() > 10, "{english:?}");
    assert_eq!(english, names(pictures_told(&case, Paper::A4, &teller)));
}

#[test]
fn no_metric_size_stands_on_a_drawing_in_us_units() {
    let teller = Teller::new(Language::English, System::Us);
    let is_metric = |words: &str| {
        let pieces: Vec<&str> = words.split([' ', '\u{a0}']).collect();
        pieces.windows(2).any(|pair| {
            let unit = pair[1].trim_end_matches(['?', ',', '.', ';', ':', ')']);
            let is_number = pair[0].trim_start_matches('(').parse::<f64>().is_ok();
            is_number && ["mm", "m", "°C", "kg", "cm"].contains(&unit)
        })
    };
    for (name, text) in SHIPPED {
        for picture in pictures_told(&Case::of(text), Paper::Letter, &teller) {
            // A conductor of no gauge keeps its square millimetres, as in the wire list.
            let metric: Vec<String> =
                words(&picture).into_iter().filter(|words| is_metric(words)).collect();
            assert!(metric.is_empty(), "{name} {}: {metric:#?}", picture.name);
        }
    }
}

/// A document is called as it calls itself, and what it limits keeps its figure.
#[test]
fn a_source_on_a_chart_keeps_its_units() {
    let teller = Teller::new(Language::English, System::Us);
    let mut seen = 0;
    for (name, text) in SHIPPED {
        for picture in pictures_told(&Case::of(text), Paper::Letter, &teller) {
            let words = words(&picture).join(" ");
            if picture.name.starts_with("warm-") && words.contains("EN 60998-1") {
                assert!(words.contains("temperature rise 45 K"), "{name}: {words}");
                assert!(words.contains("81 °F (45 K) of rise"), "{name}: {words}");
                seen += 1;
            }
        }
    }
    assert!(seen > 0, "no chart of a warm joint");
}

/// A chart that says where it stops stops there.
#[test]
fn nothing_is_drawn_past_the_ceiling_of_a_warm_wire() {
    let teller = Teller::new(Language::English, System::Metric);
    let mut seen = 0;
    for (name, text) in SHIPPED {
        for picture in pictures_told(&Case::of(text), Paper::A4, &teller) {
            let words = words(&picture);
            let all = words.join(" ");
            let Some((_, after)) = all.split_once("Past ") else { continue };
            let ceiling: f64 = after.split(' ').next().and_then(|n| n.parse().ok()).expect("°C");
            let figures = words.iter().filter_map(|words| words.parse::<f64>().ok());
            let most = figures.fold(0.0, f64::max);
            assert!(most > 0.0 && most <= ceiling, "{name} {}: {most}", picture.name);
            seen += 1;
        }
    }
    assert!(seen > 0, "no chart that stops");
}

#[test]
fn no_service_is_cut_short_beside_the_chart_of_minutes() {
    for language in Language::ALL {
        let teller = Teller::new(language, System::Metric);
        for (name, text) in SHIPPED {
            let all = pictures_told(&Case::of(text), Paper::A4, &teller);
            let Some(chart) = all.iter().find(|picture| picture.name == "minutes-service") else {
                continue;
            };
            let cut: Vec<String> =
                words(chart).into_iter().filter(|words| words.contains('…')).collect();
            assert!(cut.is_empty(), "{name} in {language:?}: {cut:#?}");
        }
    }
}
