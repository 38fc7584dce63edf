//! Compressed MusicXML (`.mxl`): a score and a list that names it, packed as one ZIP file.
//!
//! The ZIP is the library's (`rawzip`), what is in it is packed and unpacked by another one (`miniz_oxide`), which stops
//! where a file would grow beyond [`MOST_BYTES`].
//!
//! Source: "MusicXML 4.0", section "Compressed .MXL files": `META-INF/container.xml` lists the files, the score first.

use std::io::Write;

use miniz_oxide::deflate::compress_to_vec;
use miniz_oxide::inflate::{TINFLStatus, decompress_to_vec_with_limit};
use rawzip::{CompressionMethod, DataDescriptorOutput, ZipArchive, ZipArchiveWriter, ZipVerification, crc32};

use super::read::{Error, MOST_BYTES, text_of};
use super::xml::Element;

/// Where the list lies.
const LIST: &str = "META-INF/container.xml";
/// Where a score that is written lies.
const SCORE: &str = "score.musicxml";
/// How hard a score is packed, 0 ..= 10: the library's usual level.
const LEVEL: u8 = 6;
/// The most files that are looked through.
const MOST_FILES: usize = 1000;

/// Whether bytes begin as a ZIP file does.
pub fn claims_to_be_packed(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// Packs the text of a score.
pub fn pack(score: &str) -> Vec<u8> {
    let root = Element::new("rootfile").with("full-path", SCORE);
    let root = root.with("media-type", "application/vnd.recordare.musicxml+xml");
    let list = Element::new("container").holding([Element::new("rootfiles").holding([root])]);
    packed(&[(LIST, &list.write("")), (SCORE, score)]).expect("a vector has room for every byte")
}

fn packed(files: &[(&str, &str)]) -> Result<Vec<u8>, rawzip::Error> {
    let mut archive = ZipArchiveWriter::new(Vec::new());
    for (name, text) in files {
        let file = archive.new_file(name).compression_method(CompressionMethod::DEFLATE);
        let (mut entry, _) = file.start()?;
        entry.write_all(&compress_to_vec(text.as_bytes(), LEVEL))?;
        entry.finish(DataDescriptorOutput::new(crc32(text.as_bytes()), text.len() as u64))?;
    }
    archive.finish()
}

/// The score in a packed file: the first that its list names; where there is no list, the first file that is named as
/// MusicXML is.
pub fn unpack(bytes: &[u8]) -> Result<Vec<u8>, Error> {
    if bytes.len() > MOST_BYTES {
        return Err(Error::TooLarge);
    }
    let list = file(bytes, |name| name == LIST.as_bytes())?;
    let listed = list.and_then(|list| {
        let root = Element::read(&text_of(&list)).ok()?;
        Some(root.child("rootfiles")?.child("rootfile")?.attribute("full-path")?.to_owned())
    });
    let score = match listed {
        Some(path) => file(bytes, |name| name == path.as_bytes())?,
        None => file(bytes, |name| {
            let ends = |ending: &str| name.to_ascii_lowercase().ends_with(ending.as_bytes());
            !name.starts_with(b"META-INF/") && (ends(".xml") || ends(".musicxml"))
        })?,
    };
    score.ok_or(Error::Foreign)
}

/// What is in the first file whose name is the one that is wanted.
fn file(bytes: &[u8], is_wanted: impl Fn(&[u8]) -> bool) -> Result<Option<Vec<u8>>, Error> {
    let damaged = |_| Error::Damaged;
    let archive = ZipArchive::from_slice(bytes).map_err(damaged)?;
    for entry in archive.entries().take(MOST_FILES) {
        let entry = entry.map_err(damaged)?;
        if !is_wanted(entry.file_path().as_bytes()) {
            continue;
        }
        let local = archive.get_entry(entry.wayfinder()).map_err(damaged)?;
        let data = local.data();
        let text = match entry.compression_method() {
            CompressionMethod::STORE => data.to_vec(),
            CompressionMethod::DEFLATE => {
                decompress_to_vec_with_limit(data, MOST_BYTES).map_err(|error| {
                    if error.status == TINFLStatus::HasMoreOutput { Error::TooLarge } else { Error::Damaged }
                })?
            }
            _ => return Err(Error::Foreign),
        };
        let found = ZipVerification { crc: crc32(&text), uncompressed_size: text.len() as u64 };
        local.claim_verifier().valid(found).map_err(damaged)?;
        return Ok(Some(text));
    }
    Ok(None)
}
