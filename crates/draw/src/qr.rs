//! Codes for bag labels: a short text as a QR code (ISO/IEC 18004), so that a bag tells what is in it
//! without anybody typing.

use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};

/// A text as a QR code in SVG, with the quiet zone the standard asks for. A quarter of it may be
/// dirty or torn and it still reads (level Q). `None` if the text is too long for any code.
pub fn qr(text: &str) -> Option<String> {
    let code = QrCode::with_error_correction_level(text, EcLevel::Q).ok()?;
    let image = code
        .render::<svg::Color<'_>>()
        .min_dimensions(96, 96)
        .dark_color(svg::Color("#000000"))
        .light_color(svg::Color("#ffffff"))
        .build();
    Some(image)
}
