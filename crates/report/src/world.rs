//! The closed world the typesetter works in: our template, our typefaces, one data file and its
//! pictures, all from memory. It has no disk, no network, no clock and no packages.

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use crate::typeface;

/// What is set: the file the typesetter starts from, and the name under which it reads its data.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Work {
    /// The hand-over report.
    Report,
    /// The step sheet of a way in.
    Steps,
}

impl Work {
    fn files(self) -> (&'static str, &'static str) {
        match self {
            Work::Report => ("main.typ", "review.json"),
            Work::Steps => ("steps.typ", "steps.json"),
        }
    }
}

/// The files of the template.
const TEMPLATE: [(&str, &str); 11] = [
    ("main.typ", include_str!("template/main.typ")),
    ("look.typ", include_str!("template/look.typ")),
    ("words.typ", include_str!("template/words.typ")),
    ("data.typ", include_str!("template/data.typ")),
    ("until.typ", include_str!("template/until.typ")),
    ("first.typ", include_str!("template/first.typ")),
    ("findings.typ", include_str!("template/findings.typ")),
    ("vehicle.typ", include_str!("template/vehicle.typ")),
    ("handover.typ", include_str!("template/handover.typ")),
    ("basis.typ", include_str!("template/basis.typ")),
    ("steps.typ", include_str!("template/steps.typ")),
];

/// Everything one report is made from.
pub(crate) struct ReportWorld {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    sources: Vec<Source>,
    main: FileId,
    /// The data file and its pictures.
    files: Vec<(FileId, Bytes)>,
}

impl ReportWorld {
    /// Puts the data file and its pictures, by name, beside the template.
    pub(crate) fn new(
        work: Work,
        data: Vec<u8>,
        pictures: Vec<(String, Vec<u8>)>,
    ) -> Result<Self, String> {
        let (main, data_name) = work.files();
        let fonts = typeface::fonts();
        let sources = TEMPLATE
            .iter()
            .map(|(path, text)| Ok(Source::new(file_id(path)?, (*text).to_owned())))
            .collect::<Result<Vec<_>, String>>()?;
        let files = pictures
            .into_iter()
            .chain([(data_name.to_owned(), data)])
            .map(|(name, bytes)| Ok((file_id(&name)?, Bytes::new(bytes))))
            .collect::<Result<Vec<_>, String>>()?;
        Ok(Self {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            sources,
            main: file_id(main)?,
            files,
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
        let found = self.files.iter().find(|file| file.0 == id);
        found
            .map(|file| file.1.clone())
            .ok_or_else(|| FileError::NotFound(id.get().vpath().get_with_slash().into()))
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
