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
/// where several frames have one name, and where an editor has put one there and no `NAME.xmp`.
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
            let is_shared = count.get(&path) != Some(&1);
            let shared = (!is_shared).then(|| path.clone());
            // an editor's sidecar is that of the raw file before that of the picture beside it
            let (raw, finished): (Vec<_>, Vec<_>) = files.iter().partition(|file| job::is_raw_name(&file.name));
            let own = raw.into_iter().chain(finished).map(|file| with_xmp(&file.path));
            let there = shared.into_iter().chain(own).find_map(|path| as_it_is_there(&path));
            let fresh = || if is_shared { files.first().map(|file| with_xmp(&file.path)) } else { Some(path) };
            there.or_else(fresh).unwrap_or_default()
        })
        .collect()
}

/// `NAME.ending.xmp` of `NAME.ending`.
fn with_xmp(path: &Path) -> PathBuf {
    let mut name = path.to_owned().into_os_string();
    name.push(".xmp");
    PathBuf::from(name)
}

/// A sidecar that is there, also under an ending in capitals, as cameras and some editors write it.
fn as_it_is_there(path: &Path) -> Option<PathBuf> {
    // a link that leads nowhere is there too: it is left alone, with a line
    [path.to_owned(), path.with_extension("XMP")].into_iter().find(|path| path.symlink_metadata().is_ok())
}

/// Writes ratings.
///
/// * `overwrite`: also over a person's own.
pub(crate) fn write(journal: &mut Journal, wishes: &[RatingWish], overwrite: bool) -> Rated {
    let mut rated = Rated::default();
    for wishes in wishes.chunks(TOGETHER) {
        let edits: Vec<Edit<'_>> =
            wishes.iter().filter_map(|wish| plan(journal, wish, overwrite, &mut rated)).collect();
        if let Err(error) = put_down(journal, &edits) {
            rated.faults.push(Fault::new(
                "journal",
                error.to_string(),
                format!("{}; no rating is written", error.hint()),
            ));
            return rated;
        }
        if let Err(error) = put_in_place(journal, edits, &mut rated) {
            rated.faults.push(Fault::new("journal", error.to_string(), error.hint()));
            return rated;
        }
    }
    rated
}

/// Puts ratings down before they are written: one that is found later and was never put down is a person's.
fn put_down(journal: &mut Journal, edits: &[Edit<'_>]) -> Result<(), JournalError> {
    journal.transaction(|journal| {
        edits.iter().try_for_each(|edit| journal.record_own_rating(key(edit.wish), edit.wish.rating))
    })
}

/// Writes sidecars, each read again just before: what somebody changed since it was planned stays.
fn put_in_place(journal: &mut Journal, edits: Vec<Edit<'_>>, rated: &mut Rated) -> Result<(), JournalError> {
    let mut standing = Vec::with_capacity(edits.len());
    for edit in edits {
        let (text, is_there) = match again(&edit) {
            Ok(Again::Write { text, is_there }) => (text, is_there),
            Ok(Again::Leave { stands }) => {
                // what was put down for it might be the very number the person chose; a 0 is told by what was put down
                if stands != NOT_RATED {
                    journal.forget_own_rating(key(edit.wish))?;
                }
                rated.left.push(edit.wish.name.clone());
                continue;
            }
            Err(problem) => {
                rated.faults.push(left_alone(edit.wish, &problem));
                continue;
            }
        };
        let like = is_there.then_some(edit.wish.sidecar.as_path());
        match atomic::write(&edit.wish.sidecar, text.as_bytes(), like, false) {
            Ok(()) => {
                rated.written += 1;
                standing.push(edit.wish);
            }
            Err(error) => rated.faults.push(Fault::new(
                &edit.wish.name,
                format!("its rating cannot be written: {error}"),
                "free some space there, or allow writing into the folder",
            )),
        }
    }
    journal.transaction(|journal| standing.iter().try_for_each(|wish| journal.settle_own_rating(key(wish))))
}

/// What a second look at a sidecar says.
enum Again {
    Write {
        text: String,
        is_there: bool,
    },
    /// Its rating is another one than when the writing was planned: a person's.
    Leave {
        stands: i8,
    },
}

/// Looks at a sidecar again; other fields that changed since are kept as they are now.
fn again(edit: &Edit<'_>) -> Result<Again, String> {
    let now = read(&edit.wish.sidecar)?;
    let stands = match &now {
        Some(text) => sidecar::rating(text).map_err(|not_xmp| not_xmp.problem)?,
        None => None,
    };
    let is_new = |stands: &i8| edit.stands != Some(*stands) && (*stands != NOT_RATED || edit.stands.is_some());
    if let Some(stands) = stands.filter(is_new) {
        return Ok(Again::Leave { stands });
    }
    Ok(match now {
        Some(text) => {
            let text = sidecar::with_rating(&text, edit.wish.rating).map_err(|not_xmp| not_xmp.problem)?;
            Again::Write { text, is_there: true }
        }
        None => Again::Write { text: sidecar::fresh(edit.wish.rating), is_there: false },
    })
}

fn left_alone(wish: &RatingWish, problem: &str) -> Fault {
    Fault::new(&wish.name, format!("its sidecar is left alone: {problem}"), "look at the .xmp file, or remove it")
}

/// A rating that is to be written.
struct Edit<'a> {
    wish: &'a RatingWish,
    /// The rating in its place when that was decided.
    stands: Option<i8>,
}

fn key(wish: &RatingWish) -> &[u8] {
    wish.sidecar.as_os_str().as_encoded_bytes()
}

/// What is to be written; `None` where nothing is.
fn plan<'a>(journal: &Journal, wish: &'a RatingWish, overwrite: bool, rated: &mut Rated) -> Option<Edit<'a>> {
    if let Err(error) = atomic::clear(&wish.sidecar) {
        rated.faults.push(Fault::new(
            &wish.name,
            format!("a leftover beside it cannot be removed: {error}"),
            "allow writing into the folder",
        ));
        return None;
    }
    let stands = match standing(wish) {
        Ok(stands) => stands,
        Err(problem) => {
            rated.faults.push(left_alone(wish, &problem));
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
    Some(Edit { wish, stands })
}

/// The rating in a frame's sidecar; `None` where there is none.
fn standing(wish: &RatingWish) -> Result<Option<i8>, String> {
    let Some(text) = read(&wish.sidecar)? else { return Ok(None) };
    let stands = sidecar::rating(&text).map_err(|not_xmp| not_xmp.problem)?;
    // one that cannot be edited is left before anything is put down
    sidecar::with_rating(&text, wish.rating).map_err(|not_xmp| not_xmp.problem)?;
    Ok(stands)
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
    fn a_rating_that_a_stopped_run_did_not_come_to_write_is_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let sidecar = folder.path().join("IMG_1.xmp");
        let mut journal = Journal::in_memory().unwrap();
        assert_eq!(rate(&mut journal, &sidecar, 4), (1, 0));
        journal.record_own_rating(sidecar.as_os_str().as_encoded_bytes(), 5).unwrap();
        assert_eq!(rate(&mut journal, &sidecar, 5), (1, 0));
        assert_eq!(std::fs::read_to_string(&sidecar).unwrap(), sidecar::fresh(5));
    }

    fn file(path: PathBuf) -> FoundFile {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        FoundFile { path, name, stamp: super::super::found::Stamp { bytes: 0, modified_ns: 0, inode: 0 } }
    }

    #[test]
    fn a_sidecar_under_the_whole_name_is_used_where_an_editor_put_one() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for there in ["IMG_1.NEF.xmp", "IMG_2.NEF.XMP", "IMG_3.xmp", "IMG_3.NEF.xmp", "IMG_4.jpg.xmp", "IMG_7.XMP"] {
            std::fs::write(at(there), sidecar::fresh(3)).unwrap();
        }
        let pair = |stem: &str| vec![file(at(&format!("{stem}.jpg"))), file(at(&format!("{stem}.NEF")))];
        let mut frames: Vec<Vec<FoundFile>> =
            ["IMG_1", "IMG_2", "IMG_3", "IMG_4", "IMG_5"].iter().map(|stem| pair(stem)).collect();
        // two frames of one name
        frames.extend([vec![file(at("IMG_6.jpg"))], vec![file(at("IMG_6.png"))], vec![file(at("IMG_7.jpg"))]]);
        let expected = [
            "IMG_1.NEF.xmp",
            "IMG_2.NEF.XMP",
            "IMG_3.xmp",
            "IMG_4.jpg.xmp",
            "IMG_5.xmp",
            "IMG_6.jpg.xmp",
            "IMG_6.png.xmp",
            "IMG_7.XMP",
        ];
        assert_eq!(sidecars(&frames), expected.map(at));
    }

    /// Plans a rating, lets somebody edit the sidecar, and goes on; says how often it was written and left.
    fn rate_while(
        journal: &mut Journal,
        wish: &RatingWish,
        overwrite: bool,
        edit: impl FnOnce(&Path),
    ) -> (usize, usize) {
        let mut rated = Rated::default();
        let edits: Vec<Edit<'_>> = plan(journal, wish, overwrite, &mut rated).into_iter().collect();
        assert_eq!(edits.len(), 1);
        put_down(journal, &edits).unwrap();
        edit(&wish.sidecar);
        put_in_place(journal, edits, &mut rated).unwrap();
        assert_eq!(rated.faults.len(), 0, "{:?}", rated.faults);
        (rated.written, rated.left.len())
    }

    #[test]
    fn a_rating_given_while_the_sort_writes_is_a_persons_and_stays() {
        let folder = tempfile::tempdir().unwrap();
        let sidecar = folder.path().join("IMG_1.xmp");
        let mut journal = Journal::in_memory().unwrap();
        let wish = |rating: i8| RatingWish { name: "IMG_1.jpg".to_owned(), sidecar: sidecar.clone(), rating };
        let text = || std::fs::read_to_string(&sidecar).unwrap();
        // where there was none, also by the very number that was to be written
        let by_hand = |rating: i8| move |path: &Path| std::fs::write(path, sidecar::fresh(rating)).unwrap();
        assert_eq!(rate_while(&mut journal, &wish(4), false, by_hand(4)), (0, 1));
        assert_eq!(rate(&mut journal, &sidecar, 5), (0, 1), "a later sort leaves it too");
        // over a person's own when asked, but not over what they say meanwhile
        assert_eq!(rate_while(&mut journal, &wish(5), true, by_hand(2)), (0, 1));
        assert_eq!(text(), sidecar::fresh(2));
    }

    #[test]
    fn other_fields_edited_while_the_sort_writes_are_kept() {
        let folder = tempfile::tempdir().unwrap();
        let sidecar = folder.path().join("IMG_1.xmp");
        let mut journal = Journal::in_memory().unwrap();
        assert_eq!(rate(&mut journal, &sidecar, 4), (1, 0));
        let labelled = |rating: i8| sidecar::fresh(rating).replace(" xmp:Rating", " xmp:Label=\"Green\" xmp:Rating");
        let wish = RatingWish { name: "IMG_1.jpg".to_owned(), sidecar: sidecar.clone(), rating: 5 };
        let label = |path: &Path| std::fs::write(path, labelled(4)).unwrap();
        assert_eq!(rate_while(&mut journal, &wish, false, label), (1, 0));
        assert_eq!(std::fs::read_to_string(&sidecar).unwrap(), labelled(5));
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
