//! Photos that a record names: found beside the file of records, made small, and carried inside the page as data.
//!
//! A record may come from anybody, so a name leads nowhere but into the folder of its file and below. What is carried
//! is drawn anew from the picture alone: where and by whom a photo was taken does not come along.

use std::fs::File;
use std::io::{BufReader, Cursor};
use std::path::{Component, Path, PathBuf};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};
use purfle_lang::book::Book;
use purfle_lang::saying::Saying;

use crate::record::Record;
use crate::report::{Said, shown};

/// The most photos of one record.
const MOST: usize = 6;
/// The largest file that is opened, in bytes.
const LARGEST: u64 = 24 << 20;
/// The most pixels along either side.
const LONGEST: u32 = 10_000;
/// The most memory that a photo takes while it is read, in bytes.
const MOST_MEMORY: u64 = 200 << 20;
/// The longer side of what is carried, in pixels: it is printed about nine centimetres high.
const CARRIED: u32 = 900;
/// How well it is kept, in hundredths.
const QUALITY: u8 = 70;
/// The longest name.
const LONGEST_NAME: usize = 200;

/// A photo that a record names.
pub struct Photo {
    /// Its name, ready to be printed.
    pub name: String,
    /// The photo as an address that holds it, or why it is not shown.
    pub shown: Result<String, String>,
}

/// The photos that a record names in what was written in words and in the fields carried along: names that end as photos
/// do, with commas, semicolons or line ends between them. Private looks and carried fields are left out where names are.
pub fn named(book: &Book, record: &Record, without_names: bool) -> Vec<Photo> {
    let written = Said::all(book, record, without_names).filter_map(|said| match said.saying {
        Saying::Text(text) => Some(text.as_str()),
        _ => None,
    });
    let carried = record.carried.iter().filter(|_| !without_names).map(|(_, text)| text.as_str());
    let mut names: Vec<&str> = Vec::new();
    for text in written.chain(carried) {
        for name in text.split([',', ';', '\n', '\r']).map(str::trim).filter(|name| is_photo(name)) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    let folder = Path::new(&*record.source.file).parent().unwrap_or(Path::new(""));
    let photo = |(at, name): (usize, &&str)| Photo {
        name: shown(name).into_owned(),
        shown: if at < MOST { carry(folder, name) } else { Err(format!("only {MOST} photos of a record are shown")) },
    };
    names.iter().enumerate().map(photo).collect()
}

/// Whether a text is named as a photo is.
fn is_photo(name: &str) -> bool {
    let ending = name.rsplit_once('.').filter(|(stem, _)| !stem.is_empty()).map(|(_, ending)| ending.to_ascii_lowercase());
    name.len() <= LONGEST_NAME && matches!(ending.as_deref(), Some("jpg" | "jpeg" | "png"))
}

/// A photo below a folder, small, as an address that holds it.
fn carry(folder: &Path, name: &str) -> Result<String, String> {
    let path = below(folder, name)?;
    let about = path.metadata().map_err(|error| format!("it cannot be read: {error}"))?;
    if !about.is_file() {
        return Err("it is no ordinary file".to_owned());
    }
    if about.len() > LARGEST {
        return Err(format!("it is larger than {} MB", LARGEST >> 20));
    }
    // A reader of pictures that fails over a broken one costs that picture and no more.
    let small = std::panic::catch_unwind(|| small(&path)).unwrap_or_else(|_| Err("it cannot be read as a photo".to_owned()))?;
    Ok(format!("data:image/jpeg;base64,{}", STANDARD.encode(small)))
}

/// Where a name leads, if that is into the folder or below it.
fn below(folder: &Path, name: &str) -> Result<PathBuf, String> {
    let astray = || "a photo is named as it lies in the folder of its records, or below it".to_owned();
    let inside = Path::new(name).components().all(|component| matches!(component, Component::Normal(_)));
    if !inside || name.contains(['\\', ':', '\0']) {
        return Err(astray());
    }
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let missing = |_| "there is no such file in the folder of the records".to_owned();
    let folder = folder.canonicalize().map_err(missing)?;
    let path = folder.join(name).canonicalize().map_err(missing)?;
    // A link may lead out of the folder.
    if path.starts_with(&folder) { Ok(path) } else { Err(astray()) }
}

/// The picture in a file, upright and small, as JPEG.
fn small(path: &Path) -> Result<Vec<u8>, String> {
    let unreadable = |error: &dyn std::fmt::Display| format!("it cannot be read as a photo: {error}");
    let file = File::open(path).map_err(|error| unreadable(&error))?;
    let mut reader = ImageReader::new(BufReader::new(file)).with_guessed_format().map_err(|error| unreadable(&error))?;
    if !matches!(reader.format(), Some(ImageFormat::Jpeg | ImageFormat::Png)) {
        return Err("it is neither JPEG nor PNG, whatever its name says".to_owned());
    }
    let mut limits = Limits::default();
    (limits.max_image_width, limits.max_image_height, limits.max_alloc) = (Some(LONGEST), Some(LONGEST), Some(MOST_MEMORY));
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|error| unreadable(&error))?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|error| unreadable(&error))?;
    if picture.width() > CARRIED || picture.height() > CARRIED {
        picture = picture.thumbnail(CARRIED, CARRIED);
    }
    picture.apply_orientation(orientation);
    let mut bytes = Cursor::new(Vec::new());
    let encoder = JpegEncoder::new_with_quality(&mut bytes, QUALITY);
    picture.to_rgb8().write_with_encoder(encoder).map_err(|error| unreadable(&error))?;
    Ok(bytes.into_inner())
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use base64::Engine;
    use image::{DynamicImage, ImageFormat, Rgb, RgbImage};

    use super::{CARRIED, carry, is_photo};

    fn picture(folder: &Path, name: &str, format: ImageFormat) {
        let picture = RgbImage::from_fn(1200, 300, |x, _| if x < 600 { Rgb([255, 0, 0]) } else { Rgb([0, 0, 255]) });
        DynamicImage::from(picture).save_with_format(folder.join(name), format).expect("a photo");
    }

    #[test]
    fn photos_are_carried_small() {
        let folder = tempfile::tempdir().expect("a folder");
        picture(folder.path(), "a.jpg", ImageFormat::Jpeg);
        picture(folder.path(), "b.PNG", ImageFormat::Png);
        for name in ["a.jpg", "b.PNG"] {
            let carried = carry(folder.path(), name).expect("a photo");
            let data = carried.strip_prefix("data:image/jpeg;base64,").expect("an address that holds it");
            let bytes = base64::engine::general_purpose::STANDARD.decode(data).expect("base 64");
            let small = image::load_from_memory_with_format(&bytes, ImageFormat::Jpeg).expect("a JPEG");
            assert_eq!((small.width(), small.height()), (CARRIED, 225));
            let Rgb([red, _, blue]) = *small.to_rgb8().get_pixel(10, 100);
            assert!(red > 200 && blue < 60, "it is the same picture");
        }
    }

    #[test]
    fn nothing_else_is_carried() {
        let outside = tempfile::tempdir().expect("a folder");
        picture(outside.path(), "secret.jpg", ImageFormat::Jpeg);
        let folder = outside.path().join("season");
        std::fs::create_dir_all(folder.join("page.jpg")).expect("a folder");
        std::fs::write(folder.join("text.jpg"), "<svg onload=alert(1)>").expect("a file");
        std::fs::write(folder.join("cut.png"), b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR").expect("a file");
        #[cfg(unix)]
        std::os::unix::fs::symlink(outside.path().join("secret.jpg"), folder.join("link.jpg")).expect("a link");
        let absolute = outside.path().join("secret.jpg").display().to_string();
        for (name, why) in [
            ("../secret.jpg", "named as it lies"),
            ("page.jpg/../../secret.jpg", "named as it lies"),
            (absolute.as_str(), "named as it lies"),
            ("C:\\secret.jpg", "named as it lies"),
            ("link.jpg", "named as it lies"),
            ("page.jpg", "no ordinary file"),
            ("none.jpg", "no such file"),
            ("text.jpg", "neither JPEG nor PNG"),
            ("cut.png", "cannot be read as a photo"),
        ] {
            let told = carry(&folder, name).expect_err(name);
            assert!(told.contains(why), "{name}: {told}");
        }
    }

    #[test]
    fn what_is_named_as_a_photo() {
        for (name, expected) in
            [("front.jpg", true), ("a b.JPEG", true), ("x.png", true), (".jpg", false), ("jpg", false), ("x.svg", false)]
        {
            assert_eq!(is_photo(name), expected, "{name}");
        }
        assert!(!is_photo(&format!("{}.jpg", "a".repeat(400))));
    }
}
