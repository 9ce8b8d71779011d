//! Looks a workbook through before anything understands it: what it is, and whether unpacking it stays within bounds.
//!
//! What an archive says of its sizes may be a lie, so each part is unpacked once and counted.

use std::fs::File;
use std::io::{BufReader, Read};

use memchr::memmem;
use zip::ZipArchive;
use zip::read::ZipFile;

use super::{Failed, broken};

/// The most bytes of one part, unpacked.
const LARGEST_PART: u64 = 512 << 20;

/// The most bytes of all parts together, unpacked.
const LARGEST: u64 = 1 << 30;

/// The most bytes of a part that is held in memory as a whole, unpacked.
const LARGEST_HELD: u64 = 128 << 20;

/// The most files in the archive.
const MOST_PARTS: usize = 10_000;

/// How much is unpacked at a time.
const CHUNK: usize = 1 << 16;

/// What a workbook is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Office Open XML (ECMA-376).
    Xlsx,
    /// OpenDocument (ISO/IEC 26300).
    Ods,
}

/// What was seen of a workbook.
pub struct Seen {
    /// What it is written in.
    pub kind: Kind,
    /// Whether a sheet may have formulas.
    pub formulas: bool,
    /// Whether a sheet may have merged cells.
    pub merges: bool,
}

/// Unpacks every part once, and throws it away.
pub fn look_through(file: &mut File) -> Result<Seen, Failed> {
    let mut archive = ZipArchive::new(BufReader::new(file)).map_err(broken)?;
    if archive.len() > MOST_PARTS {
        return Err(format!("it has {} files in it, and no spreadsheet has more than {MOST_PARTS}", archive.len()).into());
    }
    let names: Vec<String> = archive.file_names_raw().map(|name| String::from_utf8_lossy(name).to_ascii_lowercase()).collect();
    let kind = kind(&names)?;
    let (mut all, mut seen) = (0, Seen { kind, formulas: false, merges: false });
    for (at, name) in names.iter().enumerate() {
        // Pictures and the like are never unpacked.
        if !name.ends_with(".xml") && !name.ends_with(".rels") {
            continue;
        }
        let mut part = archive.by_index(at).map_err(|error| match error {
            zip::result::ZipError::UnsupportedArchive(_) => locked(),
            other => broken(other),
        })?;
        let sheet = name.starts_with("xl/worksheets/") || name == "content.xml";
        let most = if sheet { LARGEST_PART } else { LARGEST_HELD };
        look_through_part(&mut part, name, most, &mut all, &mut seen)?;
    }
    Ok(seen)
}

fn locked() -> Failed {
    "it is locked by a password, or packed in a way no spreadsheet program packs; save it without a password".to_owned().into()
}

/// What the archive holds, by the names of its files.
fn kind(names: &[String]) -> Result<Kind, Failed> {
    let has = |wanted: &dyn Fn(&str) -> bool| names.iter().any(|name| wanted(name));
    let unusable = |why: &str| Err(Failed::Unusable(why.to_owned()));
    let program = |name: &str| {
        let module = name.starts_with("basic/")
            && name.ends_with(".xml")
            && !name.ends_with("script-lc.xml")
            && !name.ends_with("script-lb.xml");
        name.ends_with("vbaproject.bin")
            || module
            || (name.starts_with("scripts/") && !name.ends_with('/'))
            || name.starts_with("xl/macrosheets/")
    };
    if has(&program) {
        return unusable("it carries macros (programs), and such a file is not opened; save it as .xlsx or .ods without macros");
    }
    if has(&|name| name == "xl/workbook.bin") {
        return unusable("it is a binary workbook (.xlsb); save it as .xlsx or .ods");
    }
    if has(&|name| name == "encrypted-package") {
        return Err(locked());
    }
    if has(&|name| name.starts_with("xl/")) {
        return Ok(Kind::Xlsx);
    }
    if has(&|name| name == "content.xml") && !has(&|name| name.starts_with("word/") || name.starts_with("ppt/")) {
        return Ok(Kind::Ods);
    }
    unusable("it is an archive and no spreadsheet; unpack it, and name the files in it")
}

fn look_through_part(
    part: &mut ZipFile<'_, BufReader<&mut File>>,
    name: &str,
    most: u64,
    all: &mut u64,
    seen: &mut Seen,
) -> Result<(), Failed> {
    // The end of one chunk is kept before the next, so that nothing hides across the seam.
    const SEAM: usize = 16;
    let declares = [memmem::Finder::new(b"<!DOCTYPE"), memmem::Finder::new(b"<!ENTITY")];
    let merges = memmem::Finder::new(b"mergeCell");
    let formulas = [b"<f>", b"<f ", b":f>", b":f "].map(memmem::Finder::new);
    let macros = memmem::Finder::new(b"macroEnabled");
    let mut chunk = vec![0; SEAM + CHUNK];
    let (mut kept, mut size) = (0, 0_u64);
    loop {
        let read = part.read(&mut chunk[kept..]).map_err(broken)?;
        if read == 0 {
            break;
        }
        if size == 0 && (chunk.starts_with(b"\xff\xfe") || chunk.starts_with(b"\xfe\xff")) {
            return Err(broken("a part of it is UTF-16"));
        }
        size += read as u64;
        *all += read as u64;
        if size > most || *all > LARGEST {
            let mib = if size > most { most >> 20 } else { LARGEST >> 20 };
            return Err(format!(
                "unpacked it is larger than {mib} MiB, and no season of inspections is; it may be made to fill the machine"
            )
            .into());
        }
        let text = &chunk[..kept + read];
        if declares.iter().any(|declares| declares.find(text).is_some()) {
            return Err("a part of it declares entities of its own, which no spreadsheet program does; save it anew"
                .to_owned()
                .into());
        }
        if name == "[content_types].xml" && macros.find(text).is_some() {
            return Err("it carries macros (programs), and such a file is not opened; save it as .xlsx or .ods without macros"
                .to_owned()
                .into());
        }
        seen.merges |= merges.find(text).is_some();
        seen.formulas |= formulas.iter().any(|formula| formula.find(text).is_some());
        let end = kept + read;
        let start = end.saturating_sub(SEAM);
        chunk.copy_within(start..end, 0);
        kept = end - start;
    }
    Ok(())
}
