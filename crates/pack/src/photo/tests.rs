//! Photos made by hand: a JPEG with an Exif block (JEITA CP-3451, Exif 2.3: tag 0x0112 is the
//! orientation, 0x8825 points at the place), pictures that claim what they do not hold, and files that
//! are no picture. `crates/pack/tests/outside.py` does the same with photos another program made.

use image::{GenericImageView as _, ImageFormat, Rgb, RgbImage};

use super::*;

/// Left half red, right half blue.
fn halves(width: u32, height: u32) -> DynamicImage {
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, |x, _| {
        if x < width / 2 { Rgb([220, 20, 20]) } else { Rgb([20, 20, 220]) }
    }))
}

fn encoded(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, format).expect("encodes");
    out.into_inner()
}

/// The JPEG with an Exif block put in behind its first marker.
fn with_exif(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut tiff: Vec<u8> = b"II*\0\x08\0\0\0".to_vec();
    tiff.extend(2u16.to_le_bytes());
    // Orientation, SHORT, one value.
    tiff.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0, orientation, 0, 0, 0]);
    // GPS block, LONG, at byte 38.
    tiff.extend([0x25, 0x88, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
    tiff.extend([0, 0, 0, 0]);
    // Latitude reference "N", ASCII.
    tiff.extend([1, 0, 1, 0, 2, 0, 2, 0, 0, 0, b'N', 0, 0, 0, 0, 0, 0, 0]);
    let mut block: Vec<u8> = b"Exif\0\0".to_vec();
    block.extend(tiff);
    let length = u16::try_from(block.len() + 2).expect("a short block");
    let mut out = jpeg[..2].to_vec();
    out.extend([0xff, 0xe1]);
    out.extend(length.to_be_bytes());
    out.extend(block);
    out.extend(&jpeg[2..]);
    out
}

fn holds(bytes: &[u8], words: &[u8]) -> bool {
    bytes.windows(words.len()).any(|window| window == words)
}

#[test]
fn a_photo_is_turned_upright_and_loses_all_but_the_picture() {
    let lying = with_exif(&encoded(&halves(80, 40), ImageFormat::Jpeg), 6);
    assert!(holds(&lying, b"Exif"));
    let (jpeg, width, height) = clean(&lying).expect("a photo");
    assert_eq!((width, height), (40, 80), "orientation 6: turned a quarter to the right");
    assert!(!holds(&jpeg, b"Exif") && !holds(&jpeg, b"\xff\xe1"));
    let upright = image::load_from_memory(&jpeg).expect("a picture");
    let (top, bottom) = (upright.get_pixel(20, 10), upright.get_pixel(20, 70));
    assert!(top[0] > 150 && top[2] < 90, "the left edge is on top now: {top:?}");
    assert!(bottom[2] > 150 && bottom[0] < 90, "{bottom:?}");
}

#[test]
fn a_large_photo_is_made_small_in_points_and_bytes() {
    // Noise does not compress: every point by a step of a linear congruence (Numerical Recipes).
    let mut seed = 1u32;
    let noise = RgbImage::from_fn(2400, 1800, |_, _| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let [_, a, b, c] = seed.to_be_bytes();
        Rgb([a, b, c])
    });
    let bytes = encoded(&DynamicImage::ImageRgb8(noise), ImageFormat::Jpeg);
    let (jpeg, width, height) = clean(&bytes).expect("a photo");
    assert!(width.max(height) <= LONGEST_SIDE, "{width} x {height}");
    assert!(jpeg.len() <= MOST_BYTES, "{} bytes", jpeg.len());
    assert_eq!(clean(&bytes).expect("a photo").0, jpeg, "the same bytes twice");
}

#[test]
fn what_shows_through_is_white() {
    let clear = DynamicImage::new_rgba8(10, 10);
    let (jpeg, ..) = clean(&encoded(&clear, ImageFormat::Png)).expect("a photo");
    let picture = image::load_from_memory(&jpeg).expect("a picture");
    assert!(picture.get_pixel(5, 5).0[0] > 250);
}

#[test]
fn a_picture_that_claims_more_than_it_holds_is_refused_before_memory_is_taken() {
    let mut png = encoded(&halves(4, 4), ImageFormat::Png);
    // Width and height stand at bytes 16 and 20 (PNG, ISO/IEC 15948, 11.2.2); the checksum after
    // them is left wrong, or made right: either way it must not be opened.
    png[16..24].copy_from_slice(&[0, 1, 0x86, 0xa0, 0, 1, 0x86, 0xa0]);
    assert!(clean(&png).is_err());
    let mut wide = encoded(&halves(4, 4), ImageFormat::Jpeg);
    let start = wide.windows(2).position(|w| w == [0xff, 0xc0]).expect("a frame header");
    wide[start + 5..start + 9].copy_from_slice(&[0xff, 0xff, 0xff, 0xff]);
    assert!(clean(&wide).is_err());
}

#[test]
fn what_is_no_photo_is_refused_in_words() {
    let photo = encoded(&halves(80, 40), ImageFormat::Jpeg);
    for kept in [photo.len() / 3, photo.len() - 40, photo.len() - 2] {
        assert!(matches!(clean(&photo[..kept]), Err(PhotoRefused::Broken(_))), "{kept} bytes kept");
    }
    // Some cameras write more behind the end.
    assert!(clean(&[&photo[..], b"more"].concat()).is_ok());
    assert_eq!(clean(b"#!/bin/sh\nexit 0\n"), Err(PhotoRefused::NoPicture));
    assert_eq!(clean(b""), Err(PhotoRefused::NoPicture));
    assert_eq!(clean(b"\0\0\0\x18ftypheic\0\0\0\0"), Err(PhotoRefused::Heic));
    assert_eq!(clean(b"GIF89a\x01\0\x01\0\0\0\0"), Err(PhotoRefused::NoPicture));
    assert!(clean(&photo).is_ok());
}
