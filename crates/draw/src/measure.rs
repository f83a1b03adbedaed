//! Drawings measured as a viewer would show them: laid out with the bundled typeface, parsed
//! and rendered by resvg. For tests.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use resvg::{tiny_skia, usvg};

/// Words with the box that the typeface takes up (ascent to descent).
#[derive(Clone, Debug)]
pub(crate) struct Laid {
    pub(crate) text: String,
    pub(crate) left: f32,
    pub(crate) top: f32,
    pub(crate) right: f32,
    pub(crate) bottom: f32,
}

pub(crate) fn tree(svg: &str) -> usvg::Tree {
    static FONTS: OnceLock<Arc<usvg::fontdb::Database>> = OnceLock::new();
    let fonts = FONTS.get_or_init(|| {
        let mut fonts = usvg::fontdb::Database::new();
        fonts.load_font_data(REGULAR.to_vec());
        fonts.load_font_data(BOLD.to_vec());
        Arc::new(fonts)
    });
    let options = usvg::Options { fontdb: Arc::clone(fonts), ..usvg::Options::default() };
    usvg::Tree::from_str(svg, &options).expect("usvg reads the drawing")
}

const REGULAR: &[u8] = include_bytes!("../../report/fonts/Inter-Regular.otf");
const BOLD: &[u8] = include_bytes!("../../report/fonts/Inter-Bold.otf");

/// All words of a drawing, laid out by the advance widths of the bundled typeface, in points of the
/// sheet. Quicker than usvg, and checked against it.
pub(crate) fn laid(document: &roxmltree::Document<'_>) -> Vec<Laid> {
    let face = |bytes| ttf_parser::Face::parse(bytes, 0).expect("the typeface is whole");
    let (regular, bold) = (face(REGULAR), face(BOLD));
    let texts = document.descendants().filter(|node| node.has_tag_name("text"));
    texts
        .filter(|node| node.text().is_some_and(|text| !text.trim().is_empty()))
        .map(|node| {
            let text = node.text().expect("there is some").to_owned();
            let face = if node.attribute("font-weight").is_some() { &bold } else { &regular };
            let number = |name: &str| -> f32 {
                node.attribute(name).expect("present").parse().expect("a number")
            };
            let (x, y, size) = (number("x"), number("y"), number("font-size"));
            let em = f32::from(face.units_per_em());
            let advance = |letter: char| {
                face.glyph_index(letter).and_then(|glyph| face.glyph_hor_advance(glyph))
            };
            // A letter the typeface does not have comes from another one: as wide as it is high.
            let widths = text.chars().map(|letter| advance(letter).map_or(em, f32::from));
            let width = widths.sum::<f32>() * size / em;
            let left = match node.attribute("text-anchor") {
                Some("middle") => x - width / 2.0,
                Some("end") => x - width,
                _ => x,
            };
            Laid {
                text,
                left,
                right: left + width,
                top: y - f32::from(face.ascender()) * size / em,
                bottom: y - f32::from(face.descender()) * size / em,
            }
        })
        .collect()
}

/// The same as usvg lays them out.
pub(crate) fn laid_by_usvg(svg: &str) -> Vec<Laid> {
    let tree = tree(svg);
    let width: f64 = viewed_width(svg);
    let points = width as f32 / tree.size().width();
    let mut found = Vec::new();
    gather(tree.root(), &mut found);
    for words in &mut found {
        for side in [&mut words.left, &mut words.top, &mut words.right, &mut words.bottom] {
            *side *= points;
        }
    }
    found
}

fn gather(group: &usvg::Group, found: &mut Vec<Laid>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => gather(group, found),
            usvg::Node::Text(text) => {
                let at = text.abs_bounding_box();
                let chunks = text.chunks().iter().map(|chunk| chunk.text());
                found.push(Laid {
                    text: chunks.collect(),
                    left: at.left(),
                    top: at.top(),
                    right: at.right(),
                    bottom: at.bottom(),
                });
            }
            _ => {}
        }
    }
}

/// Width of the sheet in its own unit.
fn viewed_width(svg: &str) -> f64 {
    let width = attribute(svg, "viewBox").split(' ').nth(2).expect("four figures");
    width.parse().expect("a number")
}

fn attribute<'s>(svg: &'s str, name: &str) -> &'s str {
    let (_, rest) = svg.split_once(&format!(" {name}=\"")).expect("the attribute is there");
    rest.split_once('"').expect("it ends").0
}

/// A picture of it, at a scale, white below.
pub(crate) fn pixels(svg: &str, scale: f32) -> tiny_skia::Pixmap {
    let tree = tree(svg);
    let size = tree.size().to_int_size().scale_by(scale).expect("a size");
    let mut pixmap = tiny_skia::Pixmap::new(size.width(), size.height()).expect("a picture");
    let transform = tiny_skia::Transform::from_scale(scale, scale);
    resvg::render(&tree, transform, &mut pixmap.as_mut());
    pixmap
}

/// No words on other words, none off the sheet, none smaller than 9 pt, all of it in points, and every
/// word stands out from what is under it (WCAG 2.2, 1.4.3: 4.5 to 1) on both grounds.
pub(crate) fn assert_fit_to_print(svg: &str) {
    let document = roxmltree::Document::parse(svg).expect("well-formed XML");
    let root = document.root_element();
    let size = |name: &str| -> f32 {
        let value = root.attribute(name).expect("a size");
        value.strip_suffix("pt").expect("in points").parse().expect("a number")
    };
    let (width, height) = (size("width"), size("height"));
    assert_eq!(root.attribute("viewBox"), Some(format!("0 0 {width} {height}").as_str()));
    assert!(document.descendants().any(|node| node.has_tag_name("title")));
    let described = document.descendants().find(|node| node.has_tag_name("desc"));
    assert!(described.and_then(|node| node.text()).is_some_and(|text| text.len() > 10));
    for node in document.descendants().filter(|node| node.has_tag_name("text")) {
        let size: f64 = node.attribute("font-size").expect("a size").parse().expect("a number");
        assert!(size >= 9.0, "{:?} is set in {size} pt", node.text());
    }
    let words = laid(&document);
    assert!(!words.is_empty());
    for (k, a) in words.iter().enumerate() {
        let inside = a.left >= 0.0 && a.top >= 0.0 && a.right <= width && a.bottom <= height;
        assert!(inside, "{a:?} leaves the sheet of {width} by {height}");
        for b in &words[k + 1..] {
            let apart =
                a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;
            assert!(apart, "{a:?} runs into {b:?}");
        }
    }
    assert_contrast(&document);
}

/// Contrast of two colours: `(L1 + 0.05)/(L2 + 0.05)`, the lighter first, with the relative luminance
/// of sRGB. Source: WCAG 2.2, "contrast ratio" and "relative luminance".
pub(crate) fn contrast(a: &str, b: &str) -> f64 {
    let luminance = |colour: &str| {
        let part = |k: usize| {
            let byte = u8::from_str_radix(&colour[1 + 2 * k..3 + 2 * k], 16).expect("hex");
            let share = f64::from(byte) / 255.0;
            if share <= 0.040_45 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(0) + 0.7152 * part(1) + 0.0722 * part(2)
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Values of the tones on a light and on a dark ground, as the drawing's own rules give them.
fn tones(document: &roxmltree::Document<'_>) -> [BTreeMap<String, String>; 2] {
    let style = document.descendants().find(|node| node.has_tag_name("style"));
    let rules = style.and_then(|node| node.text()).expect("the drawing has rules for screens");
    let (light, dark) = rules.split_once("prefers-color-scheme:dark").expect("for both grounds");
    [light, dark].map(|rules| {
        let values = rules.split("--drawing-").filter_map(|rest| rest.split_once(":#"));
        values.map(|(name, value)| (name.to_owned(), format!("#{}", &value[..6]))).collect()
    })
}

/// The tone a mark is filled with: a class `f-ink` is the tone `ink`.
fn fill_of<'d>(node: &roxmltree::Node<'d, '_>) -> Option<&'d str> {
    node.attribute("class")?.split(' ').find_map(|class| class.strip_prefix("f-"))
}

/// Every word against the last filled rectangle or circle before it that its point lies in, on both
/// grounds; and what stands at the marks for print is what the rules say for a light ground.
fn assert_contrast(document: &roxmltree::Document<'_>) {
    let number = |node: &roxmltree::Node<'_, '_>, name: &str| -> f64 {
        node.attribute(name).and_then(|value| value.parse().ok()).unwrap_or(0.0)
    };
    let [light, dark] = tones(document);
    let mut grounds: Vec<([f64; 4], &str)> = Vec::new();
    let in_pattern =
        |node: &roxmltree::Node<'_, '_>| node.ancestors().any(|above| above.has_tag_name("defs"));
    for node in document.descendants().filter(|node| !in_pattern(node)) {
        let Some(fill) = fill_of(&node) else {
            assert!(!node.has_tag_name("text"), "{:?} has no tone", node.text());
            continue;
        };
        assert_eq!(node.attribute("fill"), light.get(fill).map(String::as_str), "{fill}");
        let n = |name: &str| number(&node, name);
        match node.tag_name().name() {
            "rect" => {
                grounds.push(([n("x"), n("y"), n("x") + n("width"), n("y") + n("height")], fill));
            }
            "circle" => {
                let (x, y, r) = (n("cx"), n("cy"), n("r"));
                grounds.push(([x - r, y - r, x + r, y + r], fill));
            }
            "text" => {
                let (x, y) = (n("x"), n("y") - 3.0);
                let covers = |at: &[f64; 4]| x >= at[0] && x <= at[2] && y >= at[1] && y <= at[3];
                let below = grounds.iter().rev().find(|(at, _)| covers(at));
                let (_, ground) = below.expect("the sheet lies under everything");
                for values in [&light, &dark] {
                    let ratio = contrast(&values[fill], &values[*ground]);
                    assert!(ratio >= 4.5, "{:?}: {fill} on {ground} is {ratio:.2}", node.text());
                }
            }
            _ => {}
        }
    }
}
