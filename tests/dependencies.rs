//! What is depended on, held against `deny.toml`: licences, sources, one version of each, what is banned; and that all of it
//! is used. `tests/dependencies` asks cargo-deny and cargo-machete the same, which takes minutes to install.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

use serde::Deserialize;
use spdx::{Expression, Licensee, ParseMode};

const ROOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/..");
const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// What `cargo metadata` tells of one crate.
#[derive(Deserialize)]
struct Package {
    name: String,
    version: String,
    license: Option<String>,
    /// Where it is from; nowhere if it lies in a folder.
    source: Option<String>,
    manifest_path: PathBuf,
    #[serde(default)]
    dependencies: Vec<Dependency>,
}

#[derive(Deserialize)]
struct Dependency {
    name: String,
    rename: Option<String>,
    req: String,
    source: Option<String>,
}

#[derive(Deserialize)]
struct Metadata {
    packages: Vec<Package>,
}

/// The part of `deny.toml` that is read here.
#[derive(Deserialize)]
struct Rules {
    graph: Graph,
    licenses: Licences,
    bans: Bans,
}

#[derive(Deserialize)]
struct Graph {
    targets: Vec<String>,
}

#[derive(Deserialize)]
struct Licences {
    allow: Vec<String>,
}

#[derive(Deserialize)]
struct Bans {
    deny: Vec<Named>,
    skip: Vec<Named>,
}

#[derive(Deserialize)]
struct Named {
    #[serde(rename = "crate")]
    name: String,
    reason: String,
}

static RULES: LazyLock<Rules> =
    LazyLock::new(|| toml::from_str(&std::fs::read_to_string(format!("{ROOT}/deny.toml")).unwrap()).unwrap());

/// All that is compiled for the system that the service runs on, tests included.
static PACKAGES: LazyLock<Vec<Package>> = LazyLock::new(packages);

fn cargo(arguments: &[&str]) -> Vec<u8> {
    let mut command = Command::new(env!("CARGO"));
    let output = command.current_dir(ROOT).args(arguments).args(["--locked", "--all-features"]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    output.stdout
}

fn packages() -> Vec<Package> {
    // Only what is built here is sure to be on this machine; cargo-deny looks at the others.
    let here = RULES.graph.targets.iter().find(|target| target.starts_with(std::env::consts::ARCH)).unwrap();
    let told = cargo(&["metadata", "--format-version=1", "--filter-platform", here]);
    let mut packages = serde_json::from_slice::<Metadata>(&told).unwrap().packages;
    // Those are also what a feature would want that nobody has turned on; the tree has what is compiled.
    let tree = cargo(&["tree", "--workspace", "--target", here, "--prefix=none", "--format={p} "]);
    let tree = String::from_utf8(tree).unwrap();
    let taken: BTreeSet<&str> = tree.lines().collect();
    let is_taken = |package: &Package| {
        let line = format!("{} v{} ", package.name, package.version);
        taken.range(&*line..).next().is_some_and(|taken| taken.starts_with(&line))
    };
    packages.retain(is_taken);
    assert!(packages.len() > 100, "{} packages", packages.len());
    packages
}

fn ours(packages: &[Package]) -> impl Iterator<Item = &Package> {
    packages.iter().filter(|package| package.source.is_none())
}

/// What may not be given on under this program's terms, and what is allowed for nothing.
fn licence_faults(packages: &[Package], allow: &[String]) -> Vec<String> {
    let allow: Vec<Licensee> = allow.iter().map(|licence| Licensee::parse(licence).unwrap()).collect();
    let mut needed = vec![false; allow.len()];
    let mut faults = Vec::new();
    for Package { name, version, license, .. } in packages {
        let Some(licence) = license else {
            faults.push(format!("{name} {version} states no licence"));
            continue;
        };
        // Old manifests write a slash for OR.
        match Expression::parse_mode(licence, ParseMode::LAX) {
            Ok(expression) => {
                let granted = expression.evaluate(|wanted| {
                    let by = allow.iter().position(|licence| licence.satisfies(wanted));
                    by.inspect(|&nth| needed[nth] = true).is_some()
                });
                if !granted {
                    faults.push(format!("{name} {version}: {licence} is not allowed"));
                }
            }
            Err(error) => faults.push(format!("{name} {version}: {licence:?} is no licence: {error}")),
        }
    }
    let idle = allow.iter().zip(needed).filter(|(_, needed)| !needed);
    faults.extend(idle.map(|(licence, _)| format!("nothing has the licence {licence} any more")));
    faults
}

/// What is from elsewhere than the registry and this workspace.
fn source_faults(packages: &[Package], root: &Path) -> Vec<String> {
    let elsewhere = |package: &&Package| match &package.source {
        Some(source) => source != REGISTRY,
        None => !package.manifest_path.starts_with(root),
    };
    packages
        .iter()
        .filter(elsewhere)
        .map(|package| format!("{} {} is from {:?}", package.name, package.version, package.source))
        .collect()
}

/// What is there twice without being excused, excuses for what is not, what is banned, and what may be any version.
fn ban_faults(packages: &[Package], bans: &Bans) -> Vec<String> {
    let mut versions: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for package in packages {
        versions.entry(&package.name).or_default().insert(&package.version);
    }
    let mut faults = Vec::new();
    let mut excused = BTreeSet::new();
    for Named { name, reason } in &bans.skip {
        let (name, version) = name.split_once('@').expect("one version is excused");
        let twice = versions.get(name).is_some_and(|all| all.len() > 1 && all.contains(version));
        if !twice || !excused.insert((name, version)) {
            faults.push(format!("{name} {version} needs no excuse"));
        }
        if reason.is_empty() {
            faults.push(format!("{name} {version} is excused without a reason"));
        }
    }
    for (&name, all) in &versions {
        let left: Vec<_> = all.iter().filter(|&&version| !excused.contains(&(name, version))).collect();
        if left.len() > 1 {
            faults.push(format!("{name} is there in the versions {left:?}"));
        }
    }
    for Named { name, reason } in &bans.deny {
        if versions.contains_key(name.as_str()) {
            faults.push(format!("{name} is banned: {reason}"));
        }
    }
    for package in ours(packages) {
        let any = package.dependencies.iter().filter(|dependency| dependency.source.is_some() && dependency.req == "*");
        faults.extend(any.map(|dependency| format!("{} takes any version of {}", package.name, dependency.name)));
    }
    faults
}

/// Whether a source text speaks of a crate: in a path, or by bringing it in.
fn speaks_of(source: &str, name: &str) -> bool {
    let word = |letter: char| letter.is_alphanumeric() || letter == '_';
    source.lines().map(str::trim_start).filter(|line| !line.starts_with("//")).any(|line| {
        line.match_indices(name).any(|(at, _)| {
            let (before, after) = (&line[..at], &line[at + name.len()..]);
            let whole = !before.ends_with(word) && !before.ends_with("::") && !before.ends_with('.');
            let brought_in = before.ends_with("use ") && after.starts_with([';', ' ']);
            whole && (after.starts_with("::") || brought_in)
        })
    })
}

fn sources(folder: &Path, all: &mut Vec<String>) {
    for entry in std::fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let path = entry.path();
        if path.is_dir() && !path.ends_with(".tools") && !path.ends_with("fuzz") {
            sources(&path, all);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            all.push(std::fs::read_to_string(path).unwrap());
        }
    }
}

fn told(faults: &[String]) {
    assert!(faults.is_empty(), "see deny.toml:\n{}", faults.join("\n"));
}

#[test]
fn licences_let_the_program_be_given_on() {
    told(&licence_faults(&PACKAGES, &RULES.licenses.allow));
}

#[test]
fn everything_is_from_the_registry_or_from_here() {
    told(&source_faults(&PACKAGES, &Path::new(ROOT).canonicalize().unwrap()));
}

#[test]
fn nothing_is_banned_and_nothing_is_there_twice_without_a_reason() {
    told(&ban_faults(&PACKAGES, &RULES.bans));
}

#[test]
fn every_dependency_is_used() {
    let mut faults = Vec::new();
    let mut wanted = BTreeSet::new();
    for package in ours(&PACKAGES) {
        let mut texts = Vec::new();
        sources(package.manifest_path.parent().unwrap(), &mut texts);
        assert!(!texts.is_empty(), "{} has no source", package.name);
        for dependency in &package.dependencies {
            wanted.insert(dependency.name.clone());
            let name = dependency.rename.as_ref().unwrap_or(&dependency.name).replace('-', "_");
            if !texts.iter().any(|text| speaks_of(text, &name)) {
                faults.push(format!("{} does not use {}", package.name, dependency.name));
            }
        }
    }
    let manifest: toml::Table = std::fs::read_to_string(format!("{ROOT}/Cargo.toml")).unwrap().parse().unwrap();
    let listed = manifest["workspace"]["dependencies"].as_table().unwrap().keys();
    faults.extend(listed.filter(|name| !wanted.contains(*name)).map(|name| format!("no crate wants {name}")));
    told(&faults);
}

#[test]
fn no_crate_of_ours_may_be_unsafe() {
    let manifest = |path: &Path| -> toml::Table { std::fs::read_to_string(path).unwrap().parse().unwrap() };
    assert_eq!(
        manifest(&Path::new(ROOT).join("Cargo.toml"))["workspace"]["lints"]["rust"]["unsafe_code"].as_str(),
        Some("forbid")
    );
    assert!(ours(&PACKAGES).count() >= 3);
    for package in ours(&PACKAGES) {
        let lints = &manifest(&package.manifest_path)["lints"];
        assert_eq!(lints["workspace"].as_bool(), Some(true), "{}", package.name);
    }
}

/// A crate of the registry, free of faults.
fn good() -> Package {
    Package {
        name: "samphire".to_owned(),
        version: "1.0.0".to_owned(),
        license: Some("MIT/Apache-2.0".to_owned()),
        source: Some(REGISTRY.to_owned()),
        manifest_path: PathBuf::from("/elsewhere/samphire/Cargo.toml"),
        dependencies: Vec::new(),
    }
}

fn named(name: &str) -> Named {
    Named { name: name.to_owned(), reason: "for a test".to_owned() }
}

#[test]
fn a_wrong_licence_would_be_noticed() {
    let allow = ["MIT".to_owned()];
    let with = |licence: Option<&str>| Package { license: licence.map(str::to_owned), ..good() };
    for licence in ["MIT", "MIT OR GPL-3.0-only", "GPL-3.0-only/MIT"] {
        assert_eq!(licence_faults(&[with(Some(licence))], &allow), [""; 0], "{licence}");
    }
    for licence in [None, Some("GPL-3.0-only"), Some("MIT AND GPL-3.0-only"), Some("the usual")] {
        assert_eq!(licence_faults(&[good(), with(licence)], &allow).len(), 1, "{licence:?}");
    }
    let idle = ["MIT".to_owned(), "Zlib".to_owned()];
    assert_eq!(licence_faults(&[good()], &idle), ["nothing has the licence Zlib any more"]);
}

#[test]
fn a_wrong_source_would_be_noticed() {
    let here = Path::new("/here");
    assert_eq!(source_faults(&[good()], here), [""; 0]);
    let local = |path: &str| Package { source: None, manifest_path: PathBuf::from(path), ..good() };
    assert_eq!(source_faults(&[local("/here/samphire/Cargo.toml")], here), [""; 0]);
    let other = Package { source: Some("git+https://example.com/samphire".to_owned()), ..good() };
    assert_eq!(source_faults(&[other, local("/there/samphire/Cargo.toml")], here).len(), 2);
}

#[test]
fn what_is_banned_or_there_twice_would_be_noticed() {
    let newer = Package { version: "2.0.0".to_owned(), ..good() };
    let bans = |deny: &[&str], skip: &[&str]| {
        let all = |names: &[&str]| names.iter().map(|name| named(name)).collect();
        Bans { deny: all(deny), skip: all(skip) }
    };
    let both = [good(), newer];
    assert_eq!(ban_faults(&both, &bans(&["eelgrass"], &["samphire@1.0.0"])), [""; 0]);
    assert_eq!(ban_faults(&both, &bans(&[], &[])), [r#"samphire is there in the versions ["1.0.0", "2.0.0"]"#]);
    assert_eq!(ban_faults(&both[..1], &bans(&["samphire"], &[])), ["samphire is banned: for a test"]);
    assert_eq!(ban_faults(&both[..1], &bans(&[], &["samphire@1.0.0"])), ["samphire 1.0.0 needs no excuse"]);
    assert_eq!(
        ban_faults(&both, &bans(&[], &["samphire@0.9.0", "samphire@1.0.0"])),
        ["samphire 0.9.0 needs no excuse"]
    );
    let source = Some(REGISTRY.to_owned());
    let any = Dependency { name: "eelgrass".to_owned(), rename: None, req: "*".to_owned(), source };
    let careless = Package { source: None, dependencies: vec![any], ..good() };
    assert_eq!(ban_faults(&[careless], &bans(&[], &[])), ["samphire takes any version of eelgrass"]);
}

#[test]
fn a_dependency_that_is_only_talked_about_is_not_used() {
    for used in ["use samphire::Marsh;", "    let a = samphire::new();", "#[samphire::test]", "pub use samphire;"] {
        assert!(speaks_of(used, "samphire"), "{used}");
    }
    for unused in ["// samphire::new()", "let samphire = 1;", "use crate::samphire::Marsh;", "rock_samphire::new()"] {
        assert!(!speaks_of(unused, "samphire"), "{unused}");
    }
}
