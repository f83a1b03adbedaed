//! The typefaces that travel with the program: a sans family for words, a monospaced one for
//! readings. Licence texts lie beside the files.

use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::text::Font;

/// Regular, bold and italic of the sans; regular and bold of the monospaced family.
const FILES: [&[u8]; 5] = [
    include_bytes!("../fonts/Inter-Regular.otf"),
    include_bytes!("../fonts/Inter-Bold.otf"),
    include_bytes!("../fonts/Inter-Italic.otf"),
    include_bytes!("../fonts/DejaVuSansMono.ttf"),
    include_bytes!("../fonts/DejaVuSansMono-Bold.ttf"),
];

/// Read once: what a font covers takes long to gather and never changes.
static FONTS: LazyLock<Vec<Font>> =
    LazyLock::new(|| FILES.iter().flat_map(|file| Font::iter(Bytes::new(*file))).collect());

/// The fonts, in a fixed order.
pub(crate) fn fonts() -> Vec<Font> {
    FONTS.clone()
}

/// Says of a character whether one of the fonts has a shape for it.
pub(crate) struct Shapes {
    fonts: Vec<Font>,
}

impl Shapes {
    /// Looks into the fonts that travel with the program.
    pub(crate) fn load() -> Self {
        Self { fonts: fonts() }
    }

    /// True when the character will be seen as itself.
    pub(crate) fn has(&self, character: char) -> bool {
        self.fonts.iter().any(|font| font.info().coverage.contains(u32::from(character)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_signs_of_the_trade_have_a_shape() {
        let shapes = Shapes::load();
        for character in "Ω²°·→±≤≥×µ–−€".chars() {
            assert!(shapes.has(character), "no shape for {character}");
        }
    }

    #[test]
    fn a_script_that_is_not_carried_has_no_shape() {
        assert!(!Shapes::load().has('語'));
    }

    #[test]
    fn all_five_fonts_load() {
        assert_eq!(fonts().len(), 5);
    }
}
