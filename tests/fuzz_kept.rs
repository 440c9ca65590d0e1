//! Does what once brought a reader down still do so; and does what fuzzing begins with hold, whole?
//!
//! What must hold stands in fuzz/src/reads. A desk takes minutes to compile for fuzzing, and is here anyway: so it gets some
//! changed requests, too.
use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use proptest::sample::Index;

#[path = "../fuzz/src/reads/mod.rs"]
mod reads;
#[path = "../fuzz/src/targets.rs"]
#[allow(dead_code, reason = "how many inputs a target gets is for xtask")]
mod targets;

use targets::{FOLDER, TARGETS};

/// A file, or those of a folder.
fn files(place: &str) -> Vec<PathBuf> {
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join(place);
    if place.is_file() {
        return vec![place];
    }
    let mut files: Vec<PathBuf> = fs::read_dir(&place).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

/// Feeds all of them, and says how many were read.
fn feed(target: &str, places: impl IntoIterator<Item = String>) -> usize {
    let read = reads::reader(target);
    let files = places.into_iter().flat_map(|place| files(&place)).filter(|file| file.is_file());
    let fed = files.map(|file| {
        println!("{}", file.display());
        read(&fs::read(&file).unwrap())
    });
    fed.filter(|read| *read).count()
}

macro_rules! kept {
    ($($target:ident)+) => {
        mod kept {
            $(#[test]
            fn $target() {
                super::hold(stringify!($target));
            })+
        }
        const NAMED: &[&str] = &[$(stringify!($target)),+];
    };
}

kept! { plan paste table job log bundle shelf circuit photo names map evidence prices lessons words }

fn hold(name: &str) {
    let target = TARGETS.iter().find(|target| target.name == name).unwrap();
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join(FOLDER).join(name);
    let own = own.is_dir().then(|| format!("{FOLDER}/{name}"));
    assert!(feed(name, own.into_iter().chain(target.kept.iter().map(|kept| (*kept).to_owned()))) > 0, "none was read");
}

#[test]
fn every_target_is_fed_here() {
    assert!(TARGETS.iter().map(|target| target.name).eq(NAMED.iter().copied()));
}

#[test]
fn requests_of_all_kinds_are_answered() {
    let kept = format!("{FOLDER}/requests");
    assert_eq!(feed("requests", [kept.clone()]), files(&kept).len());
}

/// Bytes that mean something in a request, and some that do not.
const ODD: &[u8] = b" \n:/?&=%#\\\"{}[],;.-~*0129aZ\0\x7f\xff";

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn changed_requests_are_answered_or_refused(
        (one, other) in (any::<Index>(), any::<Index>()),
        cuts in (any::<Index>(), any::<Index>(), any::<Index>()),
        writes in prop::collection::vec((any::<Index>(), prop::sample::select(ODD.to_vec()), any::<bool>()), 0..6),
    ) {
        let all = files(&format!("{FOLDER}/requests"));
        let (mut request, other) = (fs::read(one.get(&all)).unwrap(), fs::read(other.get(&all)).unwrap());
        for (at, byte, instead) in writes {
            let at = at.index(request.len());
            if instead {
                request[at] = byte;
            } else {
                request.insert(at, byte);
            }
        }
        // A piece of another one in the place of a piece of this.
        let (start, end) = (cuts.0.index(other.len()), cuts.1.index(other.len()));
        let piece = other[start.min(end)..start.max(end)].to_vec();
        let at = cuts.2.index(request.len());
        request.splice(at..(at + piece.len() / 2).min(request.len()), piece);
        reads::requests::read(&request);
    }
}
