//! QR codes: a text as a picture that a camera reads, and the texts in a picture.
//!
//! The code is the library's (`qrcodegen`, and `rqrr` reads); this makes a drawing of it. Source for the quiet zone: ISO/IEC 18004:2015,
//! section 6.3.8: four modules on each side.

use qrcodegen::{QrCode, QrCodeEcc};

/// The empty margin, in modules.
const QUIET_ZONE: usize = 4;

/// A QR code to be drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// How many modules wide and high it is, with the margin.
    pub size: usize,
    /// Which modules are dark: the path of a drawing in which a module is one unit wide, as SVG writes paths.
    pub path: String,
}

/// The most that is looked at of a picture, in pixels a side: beyond it every second one is left out, and so on.
const MOST_SIDE: usize = 1600;

/// The texts of all QR codes in a picture, whose pixels are red, green, blue and opacity, a byte each, row by row. None where
/// there are fewer pixels than `width` and `height` say.
///
/// Source of the weights of a grey: Rec. ITU-R BT.601-7, section 2.5.1, in 256ths.
pub fn texts(pixels: &[u8], width: usize, height: usize) -> Vec<String> {
    let is_whole = width.checked_mul(height).and_then(|all| all.checked_mul(4)) == Some(pixels.len());
    if !is_whole || pixels.is_empty() {
        return Vec::new();
    }
    let step = width.max(height).div_ceil(MOST_SIDE);
    let grey = |x: usize, y: usize| {
        let at = 4 * (y * step * width + x * step);
        let [red, green, blue] = [pixels[at], pixels[at + 1], pixels[at + 2]].map(u32::from);
        ((77 * red + 150 * green + 29 * blue) >> 8) as u8
    };
    let mut image =
        rqrr::PreparedImage::prepare_from_greyscale(width.div_ceil(step), height.div_ceil(step), grey);
    image.detect_grids().iter().filter_map(|grid| grid.decode().ok()).map(|(_, text)| text).collect()
}

/// The picture of a text with the middle level of error correction (15 % may be hidden), or `None` where the text is too
/// long for one: more than 2331 bytes.
pub fn picture(text: &str) -> Option<Picture> {
    let code = QrCode::encode_text(text, QrCodeEcc::Medium).ok()?;
    let (side, mut path) = (code.size(), String::new());
    for y in 0..side {
        let mut x = 0;
        while x < side {
            let run = (x..side).take_while(|x| code.get_module(*x, y)).count() as i32;
            if run > 0 {
                let margin = QUIET_ZONE as i32;
                path.push_str(&format!("M{} {}h{run}v1h-{run}z", x + margin, y + margin));
            }
            x += run.max(1);
        }
    }
    Some(Picture { size: side as usize + 2 * QUIET_ZONE, path })
}
