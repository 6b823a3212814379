//! A clip or a stack of the night's frames, made beside the threads that answer: one at a time, followed by event.

use std::convert::Infallible;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::sse::{Event, KeepAlive};
use axum::response::{Response, Sse};
use futures_util::Stream;
use futures_util::stream::unfold;
use job::{ClipRequest, StackRequest};
use serde::{Deserialize, Serialize};
use tokio::sync::watch;

use super::Shared;
use super::api::aside;
use super::night::locked;
use super::refusal::{Ask, Refusal};
use crate::Failure;
use crate::sorting::content_hash;
use crate::telling::clip::{ClipFollower, ClipTask, clip};
use crate::telling::stack::{Follower, StackTask, stack};

/// Least time between two words of progress: faster than anybody reads.
const SAID_EVERY: Duration = Duration::from_millis(250);
/// Folder beside the journal in which what was made waits to be saved.
const FOLDER: &str = "told";
/// Letters of the name that tell one making from another.
const NAME_LETTERS: usize = 16;

/// What is to be made of the night's frames.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct MakingQuestion {
    what: What,
    /// Whether only keepers are taken; all frames that could be read otherwise.
    keepers_only: bool,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Clip(ClipRequest),
    Stack(StackRequest),
}

impl What {
    fn ending(&self) -> &'static str {
        match self {
            Self::Clip(_) => "mp4",
            Self::Stack(_) => "jpg",
        }
    }
}

/// How far it has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
enum MakingPhase {
    Making,
    Done,
    /// Ended early by somebody; a clip goes on from there when it is asked for again.
    Stopped,
    Failed,
}

/// How a making stands.
#[derive(Debug, Clone, Serialize)]
pub(super) struct MakingStanding {
    phase: MakingPhase,
    question: MakingQuestion,
    /// What it is doing and how far it is, in words.
    words: String,
    /// Frames through the step in work, and of how many: counted, never guessed.
    frames: Option<[usize; 2]>,
    /// Frames left out so far and the like, a sentence each.
    notes: Vec<String>,
    /// What stands beside it once it is made, with every edit.
    caption: Option<String>,
    /// Why it was not made, with the remedy.
    problem: Option<[String; 2]>,
}

/// A making.
pub(super) struct Making {
    out: PathBuf,
    standing: watch::Sender<MakingStanding>,
    stop: AtomicBool,
}

/// The making that was asked for last.
#[derive(Default)]
pub(super) struct Makings {
    current: Mutex<Option<Arc<Making>>>,
}

impl Makings {
    fn current(&self) -> Option<Arc<Making>> {
        locked(&self.current).clone()
    }

    /// Ends what is being made.
    pub(super) fn stop(&self) {
        if let Some(making) = self.current() {
            making.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Starts a making in the place of the one before, which must be at its end.
    fn start(&self, question: MakingQuestion, frames: Vec<PathBuf>, folder: &Path) -> Result<(), Refusal> {
        let mut current = locked(&self.current);
        if current.as_ref().is_some_and(|making| making.standing.borrow().phase == MakingPhase::Making) {
            let busy = Failure::new("something is being made already", "wait for it, or stop it first");
            return Err(Refusal::conflict(busy));
        }
        // the same question about the same files has the same name: what was packed of a clip is found again
        let asked = serde_json::to_string(&(&question, &frames)).unwrap_or_default();
        let name: String = content_hash(asked.as_bytes()).chars().take(NAME_LETTERS).collect();
        let making = Arc::new(Making {
            out: folder.join(format!("{name}.{}", question.what.ending())),
            standing: watch::channel(MakingStanding {
                phase: MakingPhase::Making,
                question,
                words: format!("opening {} frames", frames.len()),
                frames: None,
                notes: Vec::new(),
                caption: None,
                problem: None,
            })
            .0,
            stop: AtomicBool::new(false),
        });
        *current = Some(Arc::clone(&making));
        // no thread of the runtime: that would wait for it at the end of the program
        std::thread::spawn(move || making.work(&frames));
        Ok(())
    }
}

impl Making {
    fn work(&self, frames: &[PathBuf]) {
        let what = self.standing.borrow().question.what.clone();
        let made = match &what {
            What::Clip(request) => self.clip(request, frames),
            What::Stack(request) => self.stack(request, frames),
        };
        self.standing.send_modify(|standing| match made {
            Ok(Some(caption)) => {
                standing.phase = MakingPhase::Done;
                "done".clone_into(&mut standing.words);
                standing.frames = Some([frames.len(); 2]);
                standing.caption = Some(caption);
            }
            Ok(None) => {
                standing.phase = MakingPhase::Stopped;
                "stopped".clone_into(&mut standing.words);
            }
            Err(Failure { message, hint, .. }) => {
                standing.phase = MakingPhase::Failed;
                standing.problem = Some([message, hint]);
            }
        });
    }

    fn clip(&self, request: &ClipRequest, frames: &[PathBuf]) -> Result<Option<String>, Failure> {
        let task = ClipTask {
            inputs: frames,
            out: &self.out,
            replace: true,
            request,
            utc_offset_s: None,
            workers: workers(),
            stop: &self.stop,
            noted_every: SAID_EVERY,
        };
        let follower = ClipFollower {
            note: &|text| self.note(text),
            packed: &|news| self.say(news.words.clone(), [news.done, news.of]),
        };
        Ok(clip(&task, &follower)?.map(|report| report.caption))
    }

    fn stack(&self, request: &StackRequest, frames: &[PathBuf]) -> Result<Option<String>, Failure> {
        let task = StackTask {
            inputs: frames,
            out: &self.out,
            replace: true,
            request,
            utc_offset_s: None,
            workers: workers(),
            stop: &self.stop,
            noted_every: SAID_EVERY,
        };
        let follower = Follower {
            note: &|text| self.note(text),
            step: &|news| self.say(news.words.clone(), [news.done, news.of]),
        };
        Ok(stack(&task, &follower)?.map(|report| report.caption))
    }

    /// What was left out stays to be read; anything else is how far it is.
    fn note(&self, text: &str) {
        if text.starts_with("left out") {
            self.standing.send_modify(|standing| standing.notes.push(text.to_owned()));
        } else {
            self.standing.send_modify(|standing| text.clone_into(&mut standing.words));
        }
    }

    fn say(&self, words: String, frames: [usize; 2]) {
        self.standing.send_modify(|standing| {
            standing.words = words;
            standing.frames = Some(frames);
        });
    }
}

fn workers() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// How what was asked for last stands; nothing where nothing was.
pub(super) async fn standing(State(shared): State<Shared>) -> Json<Option<MakingStanding>> {
    Json(shared.makings.current().map(|making| making.standing.borrow().clone()))
}

pub(super) async fn start(
    State(shared): State<Shared>,
    Ask(question): Ask<MakingQuestion>,
) -> Result<(StatusCode, Json<Option<MakingStanding>>), Refusal> {
    match &question.what {
        What::Clip(request) => request.check()?,
        What::Stack(request) => request.check()?,
    }
    let folder = shared.path.parent().unwrap_or(Path::new("")).join(FOLDER);
    let frames = frames(&shared, question.keepers_only)?;
    let made = folder.clone();
    aside(move || {
        std::fs::create_dir_all(&made).map_err(|error| {
            Failure::new(
                format!("the folder {} cannot be made: {error}", made.display()),
                "start the server with --journal in a folder you can write to",
            )
        })
    })
    .await?;
    shared.makings.start(question, frames, &folder)?;
    Ok((StatusCode::ACCEPTED, standing(State(shared)).await))
}

/// The frames of the folder that is sorted, in its order.
fn frames(shared: &Shared, keepers_only: bool) -> Result<Vec<PathBuf>, Refusal> {
    let night = shared.nights.current().ok_or_else(|| {
        Refusal::conflict(Failure::new("no folder is sorted", "sort the night's folder first, on the page Sort"))
    })?;
    let sorted = locked(&night.sorted);
    let sorted = sorted.as_ref().ok_or_else(|| {
        Refusal::conflict(Failure::new("the frames are still being measured", "wait until the sort is done"))
    })?;
    let first = |files: &[crate::sorting::FoundFile]| files.first().map(|file| file.path.clone());
    let paths: Vec<PathBuf> = if keepers_only {
        sorted.keepers().into_iter().filter_map(|(files, _sidecar)| first(files)).collect()
    } else {
        sorted.gathered.files.iter().filter_map(|files| first(files)).collect()
    };
    if paths.is_empty() {
        return Err(Refusal::conflict(Failure::new(
            "no frame is kept",
            "mark keepers on the page Sort, or take all frames",
        )));
    }
    Ok(paths)
}

pub(super) async fn stop(State(shared): State<Shared>) -> Json<Option<MakingStanding>> {
    shared.makings.stop();
    standing(State(shared)).await
}

fn the_making(shared: &Shared) -> Result<Arc<Making>, Refusal> {
    shared.makings.current().ok_or_else(|| {
        Refusal::absent(Failure::new("nothing was made here", "ask for a clip or a stack on the page Tell"))
    })
}

/// How far it is, as it goes on; the last word is how it ended.
pub(super) async fn progress(
    State(shared): State<Shared>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Refusal> {
    let making = the_making(&shared)?;
    let mut changes = making.standing.subscribe();
    changes.mark_changed();
    let listening = Some((making, changes, shared.nights.closing()));
    let events = unfold(listening, |listening| async move {
        let (making, mut changes, mut closing) = listening?;
        tokio::select! {
            changed = changes.changed() => changed.ok()?,
            _closed = closing.wait_for(|is_closing| *is_closing) => return None,
        }
        let standing = changes.borrow_and_update().clone();
        let is_last = standing.phase != MakingPhase::Making;
        let event = Event::default().event("standing").json_data(standing).ok()?;
        if is_last {
            return Some((Ok(event), None));
        }
        tokio::time::sleep(SAID_EVERY).await;
        Some((Ok(event), Some((making, changes, closing))))
    });
    Ok(Sse::new(events).keep_alive(KeepAlive::default()))
}

/// What was made, as a file to be saved.
pub(super) async fn file(State(shared): State<Shared>) -> Result<Response, Refusal> {
    let making = the_making(&shared)?;
    let (is_done, what) = {
        let standing = making.standing.borrow();
        (standing.phase == MakingPhase::Done, standing.question.what.clone())
    };
    if !is_done {
        return Err(Refusal::conflict(Failure::new("it is not made yet", "wait until it is done")));
    }
    let (media, name) = match what {
        What::Clip(_) => ("video/mp4", "night.mp4"),
        What::Stack(_) => ("image/jpeg", "stack.jpg"),
    };
    let bytes = aside(move || {
        std::fs::read(&making.out)
            .map_err(|error| Failure::new(format!("what was made is gone: {error}"), "make it again"))
    })
    .await?;
    Ok(super::accounts::file(media, name, bytes))
}
