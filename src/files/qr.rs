//! QR codes: a text as a picture that a camera reads.
//!
//! The code is the library's (`qrcodegen`); this makes a drawing of it. Source for the quiet zone: ISO/IEC 18004:2015,
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
