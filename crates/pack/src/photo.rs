//! A photo made fit for a pack: turned upright, made small, and written anew, so that nothing but the
//! picture is left: no place, no camera, no thumbnail, no text, nothing hidden behind the end.
//!
//! What is not a photo, too large or broken is refused in words. Colours are taken as sRGB.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, ImageDecoder as _, ImageFormat, ImageReader, Limits};
use thiserror::Error;

/// Largest file looked at, in bytes.
pub const MAX_PHOTO_BYTES: usize = 40 << 20;

/// Longest side that is decoded at all. A picture can claim any size in a few bytes.
const MAX_SIDE: u32 = 20_000;

/// Most memory decoding may take: 64 megapixels of four bytes.
const MAX_DECODED_BYTES: u64 = 256 << 20;

/// Longest side of what goes into the pack: 160 mm across in print at 250 dots an inch.
const LONGEST_SIDE: u32 = 1600;

/// Most bytes of what goes into the pack.
const MOST_BYTES: usize = 700_000;

/// Qualities that are tried, best first.
const QUALITIES: [u8; 4] = [82, 70, 55, 40];

/// Why a photo is not taken.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PhotoRefused {
    /// More bytes than any photo has.
    #[error("it has {0} bytes; a photo may have {MAX_PHOTO_BYTES}")]
    TooManyBytes(usize),
    /// The format of telephones that nothing here reads.
    #[error("it is HEIC; save it as JPEG")]
    Heic,
    /// Another format, or none.
    #[error("it is no JPEG, PNG or WebP picture")]
    NoPicture,
    /// More points than memory is given for.
    #[error("it claims {0} by {1} points, which is more than is opened here")]
    TooLarge(u32, u32),
    /// Cut off or damaged.
    #[error("it is damaged: {0}")]
    Broken(String),
}

/// The photo as JPEG, upright, with nothing but the picture; with its width and height in points.
///
/// # Errors
/// [`PhotoRefused`] says why it is not taken.
pub fn clean(bytes: &[u8]) -> Result<(Vec<u8>, u32, u32), PhotoRefused> {
    if bytes.len() > MAX_PHOTO_BYTES {
        return Err(PhotoRefused::TooManyBytes(bytes.len()));
    }
    let picture = upright(bytes)?;
    let picture = match picture.width().max(picture.height()) {
        longest if longest > LONGEST_SIDE => {
            picture.resize(LONGEST_SIDE, LONGEST_SIDE, FilterType::Triangle)
        }
        _ => picture,
    };
    small(picture)
}

fn upright(bytes: &[u8]) -> Result<DynamicImage, PhotoRefused> {
    let format = match image::guess_format(bytes) {
        Ok(known @ (ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP)) => known,
        _ if is_heic(bytes) => return Err(PhotoRefused::Heic),
        _ => return Err(PhotoRefused::NoPicture),
    };
    if format == ImageFormat::Jpeg && is_cut(bytes) {
        return Err(PhotoRefused::Broken("its end is missing".to_owned()));
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_image_width = Some(MAX_SIDE);
    limits.max_image_height = Some(MAX_SIDE);
    limits.max_alloc = Some(MAX_DECODED_BYTES);
    reader.limits(limits);
    let broken = |fault: image::ImageError| PhotoRefused::Broken(fault.to_string());
    let mut decoder = reader.into_decoder().map_err(|fault| match claimed(bytes) {
        Some((width, height)) if width > MAX_SIDE || height > MAX_SIDE => {
            PhotoRefused::TooLarge(width, height)
        }
        _ => broken(fault),
    })?;
    let (width, height) = decoder.dimensions();
    if decoder.total_bytes() > MAX_DECODED_BYTES {
        return Err(PhotoRefused::TooLarge(width, height));
    }
    // A direction that cannot be read leaves the picture as it is.
    let turned = decoder.orientation().ok();
    let mut picture = DynamicImage::from_decoder(decoder).map_err(broken)?;
    if let Some(turned) = turned {
        picture.apply_orientation(turned);
    }
    Ok(picture)
}

/// Whether a JPEG has no end (marker FF D9) behind its last scan (FF DA; ITU-T T.81, B.1.1.3). A
/// reader fills what is missing with grey and says nothing.
fn is_cut(bytes: &[u8]) -> bool {
    let last = |marker: u8| bytes.windows(2).rposition(|pair| pair == [0xff, marker]);
    match (last(0xda), last(0xd9)) {
        (Some(scan), Some(end)) => end < scan,
        _ => true,
    }
}

/// The size a file claims, whatever it holds.
fn claimed(bytes: &[u8]) -> Option<(u32, u32)> {
    ImageReader::new(Cursor::new(bytes)).with_guessed_format().ok()?.into_dimensions().ok()
}

/// `ftyp` boxes of ISO/IEC 23008-12 that telephones write.
fn is_heic(bytes: &[u8]) -> bool {
    let brand = bytes.get(8..12).unwrap_or_default();
    let brands: [&[u8]; 6] = [b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif"];
    bytes.get(4..8) == Some(b"ftyp") && brands.contains(&brand)
}

/// As JPEG of few bytes: first at less quality, then at half the size.
fn small(picture: DynamicImage) -> Result<(Vec<u8>, u32, u32), PhotoRefused> {
    let mut picture = DynamicImage::ImageRgb8(on_white(&picture));
    loop {
        for quality in QUALITIES {
            let mut out = Vec::new();
            picture
                .write_with_encoder(JpegEncoder::new_with_quality(&mut out, quality))
                .map_err(|fault| PhotoRefused::Broken(fault.to_string()))?;
            if out.len() <= MOST_BYTES {
                return Ok((out, picture.width(), picture.height()));
            }
        }
        let half = (picture.width().max(picture.height()) / 2).max(1);
        picture = picture.resize(half, half, FilterType::Triangle);
    }
}

/// JPEG knows no transparency: what shows through is white.
fn on_white(picture: &DynamicImage) -> image::RgbImage {
    let with_alpha = picture.to_rgba8();
    let mut out = image::RgbImage::new(with_alpha.width(), with_alpha.height());
    for (to, from) in out.pixels_mut().zip(with_alpha.pixels()) {
        let [red, green, blue, alpha] = from.0.map(u32::from);
        let over = |part: u32| ((part * alpha + 255 * (255 - alpha)) / 255).min(255) as u8;
        to.0 = [over(red), over(green), over(blue)];
    }
    out
}

#[cfg(test)]
mod tests;
