//! Ratings written beside the pictures, never over a person's own.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use journal::{Journal, JournalError, OwnRating};

use super::found::{Fault, FoundFile};
use super::{atomic, sidecar};

/// Largest sidecar that is read: those with masks inside reach a few megabytes.
const LARGEST_SIDECAR: u64 = 64 << 20;
/// Ratings put down in the journal together before they are written.
const TOGETHER: usize = 64;
/// What editors write for "not rated".
const NOT_RATED: i8 = 0;

/// A rating for a frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct RatingWish {
    /// The frame, for what there is to say.
    pub(crate) name: String,
    /// Its sidecar.
    pub(crate) sidecar: PathBuf,
    pub(crate) rating: i8,
}

/// What became of the ratings.
#[derive(Debug, Default)]
pub(crate) struct Rated {
    pub(crate) written: usize,
    /// Stood there already.
    pub(crate) unchanged: usize,
    /// Frames whose rating a person gave.
    pub(crate) left: Vec<String>,
    pub(crate) faults: Vec<Fault>,
}

/// Where the rating of each frame goes: `NAME.xmp` beside `NAME.ending`, shared by a raw file and its JPEG; `NAME.ending.xmp`
/// where several frames have one name, or where an editor keeps that one and no other.
pub(crate) fn sidecars(frames: &[Vec<FoundFile>]) -> Vec<PathBuf> {
    let plain = |files: &[FoundFile]| files.first().map(|file| file.path.with_extension("xmp")).unwrap_or_default();
    let mut count: HashMap<PathBuf, usize> = HashMap::new();
    for files in frames {
        *count.entry(plain(files)).or_default() += 1;
    }
    frames
        .iter()
        .map(|files| {
            let path = plain(files);
            if count.get(&path) == Some(&1) {
                // written by a camera or an editor in capitals: the same file
                let upper = path.with_extension("XMP");
                let kept = [path.clone(), upper].into_iter().find(|path| path.exists());
                let of_a_file = || files.iter().map(|file| with_whole_name(&file.path)).find(|path| path.exists());
                return kept.or_else(of_a_file).unwrap_or(path);
            }
            files.first().map(|file| with_whole_name(&file.path)).unwrap_or_default()
        })
        .collect()
}

/// `NAME.ending.xmp` of `NAME.ending`.
fn with_whole_name(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".xmp");
    PathBuf::from(name)
}

/// Writes ratings.
///
/// * `overwrite`: also over a person's own.
pub(crate) fn write(journal: &mut Journal, wishes: &[RatingWish], overwrite: bool) -> Rated {
    let mut rated = Rated::default();
    for wishes in wishes.chunks(TOGETHER) {
        let edits: Vec<Edit<'_>> =
            wishes.iter().filter_map(|wish| plan(journal, wish, overwrite, &mut rated)).collect();
        // put down first: a rating that is found later and was never put down is a person's
        let put_down = journal.transaction(|journal| -> Result<(), JournalError> {
            for edit in &edits {
                journal.record_own_rating(key(edit.wish), edit.wish.rating)?;
            }
            Ok(())
        });
        if let Err(error) = put_down {
            rated.faults.push(Fault::new(
                "journal",
                error.to_string(),
                format!("{}; no rating is written", error.hint()),
            ));
            return rated;
        }
        let mut standing = Vec::with_capacity(edits.len());
        for edit in edits {
            match put(&edit) {
                Ok(()) => {
                    rated.written += 1;
                    standing.push(edit.wish);
                }
                Err(fault) => rated.faults.push(fault),
            }
        }
        let settled = journal.transaction(|journal| -> Result<(), JournalError> {
            standing.iter().try_for_each(|wish| journal.settle_own_rating(key(wish)))
        });
        if let Err(error) = settled {
            rated.faults.push(Fault::new("journal", error.to_string(), error.hint()));
            return rated;
        }
    }
    rated
}

/// A sidecar as it is to be.
struct Edit<'a> {
    wish: &'a RatingWish,
    text: String,
    /// What stood there when that was made; `None` without a sidecar.
    before: Option<String>,
}

/// Writes a sidecar, unless it is no longer what the edit was made from: an editor that is open beside may have written.
fn put(edit: &Edit<'_>) -> Result<(), Fault> {
    if read(&edit.wish.sidecar).as_ref() != Ok(&edit.before) {
        return Err(Fault::new(
            &edit.wish.name,
            "its sidecar was changed while it was being rated, and is left alone".to_owned(),
            "sort again",
        ));
    }
    let like = edit.before.is_some().then_some(edit.wish.sidecar.as_path());
    atomic::write(&edit.wish.sidecar, edit.text.as_bytes(), like, false).map_err(|error| {
        Fault::new(
            &edit.wish.name,
            format!("its rating cannot be written: {error}"),
            "free some space there, or allow writing into the folder",
        )
    })
}

fn key(wish: &RatingWish) -> &[u8] {
    wish.sidecar.as_os_str().as_encoded_bytes()
}

/// What is to be written; `None` where nothing is.
fn plan<'a>(journal: &Journal, wish: &'a RatingWish, overwrite: bool, rated: &mut Rated) -> Option<Edit<'a>> {
    let mut fault = |problem: String, remedy: &str| {
        rated.faults.push(Fault::new(&wish.name, problem, remedy));
    };
    if let Err(error) = atomic::clear(&wish.sidecar) {
        fault(format!("a leftover beside it cannot be removed: {error}"), "allow writing into the folder");
        return None;
    }
    let before = match read(&wish.sidecar) {
        Ok(before) => before,
        Err(problem) => {
            fault(format!("its sidecar is left alone: {problem}"), "look at the .xmp file, or remove it");
            return None;
        }
    };
    let Some(stood) = before else {
        return Some(Edit { wish, text: sidecar::fresh(wish.rating), before: None });
    };
    let edited = sidecar::rating(&stood).and_then(|stands| Ok((stands, sidecar::with_rating(&stood, wish.rating)?)));
    let (stands, text) = match edited {
        Ok(edited) => edited,
        Err(not_xmp) => {
            fault(format!("its sidecar is left alone: {}", not_xmp.problem), "look at the .xmp file, or remove it");
            return None;
        }
    };
    let own = match journal.own_rating(key(wish)) {
        Ok(own) => own,
        Err(error) => {
            rated.faults.push(Fault::new(&wish.name, error.to_string(), error.hint()));
            return None;
        }
    };
    if stands == Some(wish.rating) {
        rated.unchanged += 1;
        // written by a run that was stopped before it could put that down
        if own.is_some_and(|own| own.before.is_some() && stands == Some(own.rating))
            && let Err(error) = journal.settle_own_rating(key(wish))
        {
            rated.faults.push(Fault::new(&wish.name, error.to_string(), error.hint()));
        }
        return None;
    }
    if !overwrite && is_a_persons(stands, own) {
        rated.left.push(wish.name.clone());
        return None;
    }
    Some(Edit { wish, text, before: Some(stood) })
}

/// Whether a rating that stands in a sidecar was given by a person.
fn is_a_persons(stands: Option<i8>, own: Option<OwnRating>) -> bool {
    match (stands, own) {
        (None, _) | (Some(NOT_RATED), None) => false,
        (Some(_), None) => true,
        (Some(stands), Some(own)) => stands != own.rating && Some(stands) != own.before,
    }
}

/// A sidecar's text; `None` where there is none.
fn read(path: &Path) -> Result<Option<String>, String> {
    let about = match std::fs::symlink_metadata(path) {
        Ok(about) => about,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(error.to_string()),
    };
    if !about.is_file() {
        return Err("it is a link or no file".to_owned());
    }
    if about.len() > LARGEST_SIDECAR {
        return Err(format!("it has {} MB", about.len() >> 20));
    }
    let bytes = std::fs::read(path).map_err(|error| error.to_string())?;
    String::from_utf8(bytes).map(Some).map_err(|_cause| "it is not in UTF-8".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Writes one rating; says whether it was written and whether the frame was left to a person.
    fn rate(journal: &mut Journal, sidecar: &Path, rating: i8) -> (usize, usize) {
        let wish = RatingWish { name: "IMG_1.jpg".to_owned(), sidecar: sidecar.to_owned(), rating };
        let rated = write(journal, &[wish], false);
        assert_eq!(rated.faults.len(), 0, "{:?}", rated.faults);
        (rated.written, rated.left.len())
    }

    #[test]
    fn a_person_who_goes_back_to_an_earlier_rating_keeps_it() {
        let folder = tempfile::tempdir().unwrap();
        let sidecar = folder.path().join("IMG_1.xmp");
        let mut journal = Journal::in_memory().unwrap();
        assert_eq!(rate(&mut journal, &sidecar, 4), (1, 0));
        assert_eq!(rate(&mut journal, &sidecar, 5), (1, 0));
        std::fs::write(&sidecar, sidecar::fresh(4)).unwrap();
        assert_eq!(rate(&mut journal, &sidecar, 5), (0, 1));
        assert_eq!(std::fs::read_to_string(&sidecar).unwrap(), sidecar::fresh(4));
    }

    #[test]
    fn what_an_editor_writes_in_the_meantime_stands() {
        let folder = tempfile::tempdir().unwrap();
        let sidecar = folder.path().join("IMG_1.xmp");
        let journal = Journal::in_memory().unwrap();
        let wish = RatingWish { name: "IMG_1.jpg".to_owned(), sidecar: sidecar.clone(), rating: 4 };
        let planned = || plan(&journal, &wish, false, &mut Rated::default()).unwrap();
        // a sidecar that appears, one that changes and one that goes
        let edit = planned();
        let persons = sidecar::fresh(2).replace("rdf:about=\"\"", "rdf:about=\"\" xmlns:xap=\"urn:other\"");
        std::fs::write(&sidecar, &persons).unwrap();
        assert!(put(&edit).unwrap_err().problem.contains("changed while it was being rated"));
        assert_eq!(std::fs::read_to_string(&sidecar).unwrap(), persons);
        std::fs::write(&sidecar, sidecar::fresh(0)).unwrap();
        let edit = planned();
        std::fs::write(&sidecar, &persons).unwrap();
        assert!(put(&edit).is_err());
        assert_eq!(std::fs::read_to_string(&sidecar).unwrap(), persons);
        std::fs::write(&sidecar, sidecar::fresh(0)).unwrap();
        let edit = planned();
        std::fs::remove_file(&sidecar).unwrap();
        assert!(put(&edit).is_err() && !sidecar.exists());
        std::fs::write(&sidecar, sidecar::fresh(0)).unwrap();
        put(&planned()).unwrap();
        assert_eq!(sidecar::rating(&std::fs::read_to_string(&sidecar).unwrap()).unwrap(), Some(4));
    }

    /// Editors that name sidecars by the whole file: theirs is the one that is used, in whatever order the files stand.
    #[test]
    fn a_sidecar_that_an_editor_keeps_is_the_one_that_is_used() {
        let folder = tempfile::tempdir().unwrap();
        let file = |name: &str| FoundFile {
            path: folder.path().join(name),
            name: name.to_owned(),
            stamp: super::super::found::Stamp { bytes: 0, modified_ns: 0, inode: 0 },
        };
        let frames = [vec![file("IMG_1.JPG"), file("IMG_1.NEF")], vec![file("IMG_2.NEF")]];
        let named = |names: [&str; 2]| names.map(|name| folder.path().join(name)).to_vec();
        assert_eq!(sidecars(&frames), named(["IMG_1.xmp", "IMG_2.xmp"]));
        for name in ["IMG_1.NEF.xmp", "IMG_2.NEF.xmp"] {
            std::fs::write(folder.path().join(name), sidecar::fresh(3)).unwrap();
        }
        assert_eq!(sidecars(&frames), named(["IMG_1.NEF.xmp", "IMG_2.NEF.xmp"]));
        std::fs::write(folder.path().join("IMG_1.xmp"), sidecar::fresh(3)).unwrap();
        assert_eq!(sidecars(&frames), named(["IMG_1.xmp", "IMG_2.NEF.xmp"]));
    }

    #[test]
    fn a_rating_that_a_stopped_run_did_not_come_to_write_is_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let sidecar = folder.path().join("IMG_1.xmp");
        let mut journal = Journal::in_memory().unwrap();
        assert_eq!(rate(&mut journal, &sidecar, 4), (1, 0));
        journal.record_own_rating(sidecar.as_os_str().as_encoded_bytes(), 5).unwrap();
        assert_eq!(rate(&mut journal, &sidecar, 5), (1, 0));
        assert_eq!(std::fs::read_to_string(&sidecar).unwrap(), sidecar::fresh(5));
    }

    #[test]
    fn a_rating_that_was_never_put_down_is_a_persons() {
        let own = Some(OwnRating { rating: 4, before: Some(3) });
        assert!(is_a_persons(Some(2), None));
        assert!(is_a_persons(Some(5), own));
        // taken off by a person after it was written: that is a verdict too
        assert!(is_a_persons(Some(0), own));
        for (stands, own) in [(None, None), (None, own), (Some(0), None), (Some(4), own), (Some(3), own)] {
            assert!(!is_a_persons(stands, own), "{stands:?} {own:?}");
        }
    }
}
