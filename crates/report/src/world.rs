//! The closed world the typesetter works in: our template, our typefaces and one data file, all
//! from memory. It has no disk, no network, no clock and no packages.

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use crate::typeface;

/// Name under which the template reads its data.
const DATA: &str = "review.json";

/// The files of the template; the first one is the main file.
const TEMPLATE: [(&str, &str); 6] = [
    ("main.typ", include_str!("template/main.typ")),
    ("look.typ", include_str!("template/look.typ")),
    ("first.typ", include_str!("template/first.typ")),
    ("findings.typ", include_str!("template/findings.typ")),
    ("vehicle.typ", include_str!("template/vehicle.typ")),
    ("basis.typ", include_str!("template/basis.typ")),
];

/// Everything one report is made from.
pub(crate) struct ReportWorld {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    sources: Vec<Source>,
    main: FileId,
    data_id: FileId,
    data: Bytes,
}

impl ReportWorld {
    /// Puts the data file beside the template.
    pub(crate) fn new(data: Vec<u8>) -> Result<Self, String> {
        let fonts = typeface::fonts();
        let sources = TEMPLATE
            .iter()
            .map(|(path, text)| Ok(Source::new(file_id(path)?, (*text).to_owned())))
            .collect::<Result<Vec<_>, String>>()?;
        Ok(Self {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            sources,
            main: file_id(TEMPLATE[0].0)?,
            data_id: file_id(DATA)?,
            data: Bytes::new(data),
        })
    }
}

impl World for ReportWorld {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.sources
            .iter()
            .find(|source| source.id() == id)
            .cloned()
            .ok_or_else(|| FileError::NotFound(id.get().vpath().get_with_slash().into()))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data_id {
            return Ok(self.data.clone());
        }
        Err(FileError::NotFound(id.get().vpath().get_with_slash().into()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn file_id(path: &str) -> Result<FileId, String> {
    let path = VirtualPath::new(path).map_err(|fault| format!("file `{path}`: {fault:?}"))?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}
