//! What the arguments name: files, folders with all below them, globs, standard input; each text once, in an order that does
//! not change.

use std::collections::HashSet;
use std::ffi::{OsStr, OsString};
use std::path::{Component, Path, PathBuf};

use globset::{GlobBuilder, GlobMatcher};
use walkdir::WalkDir;

/// The argument that is standard input.
pub const STANDARD_INPUT: &str = "-";
/// Endings of the files that are patterns in a folder.
const ENDINGS: [&str; 5] = ["txt", "md", "markdown", "html", "htm"];

/// A text to verify, or why there is none.
#[derive(Debug)]
pub enum Found {
    /// Standard input.
    StandardInput,
    /// A file, as it is shown, and where it is.
    File(String, PathBuf),
    /// An argument, or something below it, that leads to no text.
    Nothing(String, String),
}

impl Found {
    /// The name for people and machines.
    pub fn name(&self) -> &str {
        match self {
            Self::StandardInput => STANDARD_INPUT,
            Self::File(name, _) | Self::Nothing(name, _) => name,
        }
    }
}

/// Everything that the arguments name: their order, and within a folder that of the names.
pub fn find(arguments: &[OsString]) -> Vec<Found> {
    let mut shelf = Shelf::default();
    for argument in arguments {
        shelf.add(argument);
    }
    shelf.found
}

/// Whether this argument is for one text alone, rather than for however many there are.
pub fn is_single(argument: &OsStr) -> bool {
    argument == STANDARD_INPUT || !Path::new(argument).is_dir() && as_glob(argument).is_none()
}

#[derive(Default)]
struct Shelf {
    found: Vec<Found>,
    /// What is there already, whatever name led to it.
    known: HashSet<PathBuf>,
}

impl Shelf {
    fn add(&mut self, argument: &OsStr) {
        let path = Path::new(argument);
        if argument == STANDARD_INPUT {
            if self.known.insert(path.to_owned()) {
                self.found.push(Found::StandardInput);
            }
        } else if let Some(glob) = as_glob(argument) {
            self.add_glob(argument, glob);
        } else if path.is_dir() {
            let some = self.walk(path, false, is_pattern);
            if !some {
                self.nothing(path, &format!("has no pattern in it: no file that ends in .{}", ENDINGS.join(", .")));
            }
        } else {
            self.file(path.to_owned());
        }
    }

    fn add_glob(&mut self, argument: &OsStr, glob: Result<Glob, String>) {
        let glob = match glob {
            Ok(glob) => glob,
            Err(why) => return self.nothing(Path::new(argument), &why),
        };
        let some = glob.root.is_dir() && self.walk(&glob.root, glob.hidden, |path| glob.matcher.is_match(path));
        if !some {
            self.nothing(Path::new(argument), "no file has such a name");
        }
    }

    /// Adds the files below a folder that are wanted; whether there was anything.
    fn walk(&mut self, root: &Path, hidden: bool, wanted: impl Fn(&Path) -> bool) -> bool {
        let entries = WalkDir::new(root).follow_links(true).sort_by_file_name().into_iter();
        let mut some = false;
        for entry in entries.filter_entry(|entry| hidden || entry.depth() == 0 || !is_hidden(entry.file_name())) {
            match entry {
                Ok(entry) => {
                    let path = shown(entry.path());
                    if entry.file_type().is_file() && wanted(path) {
                        some = true;
                        self.file(path.to_owned());
                    }
                }
                // A link back to a folder above leads to nothing new.
                Err(error) if error.loop_ancestor().is_some() => {}
                Err(error) => {
                    let path = error.path().map_or(root, shown).to_owned();
                    // A link to nowhere matters only if a pattern was to be there.
                    if !path.is_symlink() || wanted(&path) {
                        some = true;
                        let why = error.io_error().map_or_else(|| error.to_string(), ToString::to_string);
                        self.nothing(&path, &why);
                    }
                }
            }
        }
        some
    }

    fn file(&mut self, path: PathBuf) {
        let really = path.canonicalize().unwrap_or_else(|_| path.clone());
        if self.known.insert(really) {
            self.found.push(Found::File(path.to_string_lossy().into_owned(), path));
        }
    }

    fn nothing(&mut self, path: &Path, why: &str) {
        self.found.push(Found::Nothing(path.to_string_lossy().into_owned(), why.to_owned()));
    }
}

/// A path below the folder that the program was started in, as one would write it.
fn shown(path: &Path) -> &Path {
    path.strip_prefix(".").unwrap_or(path)
}

fn is_hidden(name: &OsStr) -> bool {
    name.as_encoded_bytes().starts_with(b".")
}

fn is_pattern(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ENDINGS.iter().any(|known| ending.eq_ignore_ascii_case(known)))
}

/// A pattern of file names.
struct Glob {
    /// The folder below which all files lie that it could name.
    root: PathBuf,
    matcher: GlobMatcher,
    /// Whether it speaks of hidden files.
    hidden: bool,
}

/// The glob that an argument is; `None` where it names a file as it stands.
fn as_glob(argument: &OsStr) -> Option<Result<Glob, String>> {
    const MARKS: [char; 4] = ['*', '?', '[', '{'];
    let text = argument.to_str().filter(|text| text.contains(MARKS))?;
    if Path::new(argument).symlink_metadata().is_ok() {
        return None;
    }
    let is_open = |part: &Component<'_>| part.as_os_str().to_string_lossy().contains(MARKS);
    let parts: Vec<Component<'_>> = Path::new(text).components().filter(|part| *part != Component::CurDir).collect();
    let fixed = parts.iter().take_while(|part| !is_open(part)).count();
    let whole: PathBuf = parts.iter().collect();
    let root: PathBuf = parts[..fixed].iter().collect();
    let matcher = GlobBuilder::new(&whole.to_string_lossy()).literal_separator(true).build();
    Some(matcher.map_err(|error| format!("is no glob: {}", error.kind())).map(|glob| Glob {
        root: if fixed == 0 { PathBuf::from(".") } else { root },
        matcher: glob.compile_matcher(),
        hidden: parts[fixed..].iter().any(|part| is_hidden(part.as_os_str())),
    }))
}
