//! Frames of the night as pictures: small, a part pixel for pixel, and two held on one star. Nothing is stored.

use std::collections::VecDeque;
use std::path::Path as FilePath;
use std::sync::{Arc, Mutex};

use axum::Json;
use axum::extract::{Path, State};
use axum::http::HeaderName;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, X_CONTENT_TYPE_OPTIONS};
use axum::response::IntoResponse;
use draw::{Palette, picture_png};
use job::{OpenedPicture, SamePlace};
use serde::Deserialize;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use super::Shared;
use super::api::{Answer, aside};
use super::drawings::PaletteName;
use super::night::locked;
use super::refusal::{AskQuery, Refusal};
use crate::Failure;
use crate::sorting::{ReadError, read_content};

/// Longest side of a small picture, px: two and a half on a desk's sharp screen, and one across a phone.
const SMALL_PX: usize = 360;
/// Memory for small pictures, bytes: several hundred.
const SMALL_BYTES: usize = 96 << 20;
/// Opened pictures kept, for the two that are compared.
const OPENED: usize = 2;
/// Pictures opened at once: each may take some hundred megabytes.
const AT_ONCE: usize = 2;
/// Largest part shown, px along a side.
const LARGEST_PART_PX: usize = 4096;

/// A frame's picture.
struct Opened {
    hash: String,
    picture: OpenedPicture,
}

/// A small picture for these eyes.
struct Small {
    hash: String,
    palette: Palette,
    png: Arc<[u8]>,
}

/// What was made last: all of it could be made again.
pub(super) struct Pictures {
    small: Mutex<VecDeque<Small>>,
    opened: Mutex<VecDeque<Arc<Opened>>>,
    gate: Arc<Semaphore>,
}

impl Pictures {
    pub(super) fn new() -> Self {
        Self { small: Mutex::default(), opened: Mutex::default(), gate: Arc::new(Semaphore::new(AT_ONCE)) }
    }

    pub(super) fn known_small(&self, hash: &str, palette: Palette) -> Option<Arc<[u8]>> {
        locked(&self.small)
            .iter()
            .find(|one| one.hash == hash && one.palette == palette)
            .map(|one| Arc::clone(&one.png))
    }

    pub(super) fn keep_small(&self, hash: &str, palette: Palette, png: &Arc<[u8]>) {
        let mut kept = locked(&self.small);
        kept.push_front(Small { hash: hash.to_owned(), palette, png: Arc::clone(png) });
        let mut bytes = 0;
        kept.retain(|one| {
            bytes += one.png.len();
            bytes <= SMALL_BYTES
        });
    }

    /// Waits for its turn. The permit goes along with the work: that goes on also where nobody waits for it any more.
    pub(super) async fn turn(&self) -> Result<OwnedSemaphorePermit, Refusal> {
        Arc::clone(&self.gate).acquire_owned().await.map_err(|_closed| {
            Refusal::internal(Failure::new("pictures are no longer opened", "start the server again"))
        })
    }

    fn known_opened(&self, hash: &str) -> Option<Arc<Opened>> {
        locked(&self.opened).iter().find(|one| one.hash == hash).cloned()
    }

    fn keep_opened(&self, opened: &Arc<Opened>) {
        let mut kept = locked(&self.opened);
        kept.truncate(OPENED - 1);
        kept.push_front(Arc::clone(opened));
    }
}

/// Opens a frame, if its file still holds the content that was measured.
fn open(path: &FilePath, hash: &str, preview_first: bool) -> Result<OpenedPicture, Failure> {
    let name = path.file_name().unwrap_or_default().display();
    OpenedPicture::open(&content_of(path, hash)?, preview_first)
        .map_err(|error| Failure::new(format!("{name}: {error}"), error.hint()))
}

/// The bytes of a frame's file, if they are still those that were measured.
fn content_of(path: &FilePath, hash: &str) -> Result<Vec<u8>, Failure> {
    let name = path.file_name().unwrap_or_default().display();
    let content = read_content(path).map_err(|error| {
        let problem = match error {
            ReadError::Gone => "is gone".to_owned(),
            ReadError::Changing => "changes while it is read".to_owned(),
            ReadError::TooLarge { .. } => "is too large".to_owned(),
            ReadError::Io(error) => format!("cannot be read: {error}"),
        };
        Failure::new(format!("{name} {problem}"), "sort the folder again")
    })?;
    if content.hash != hash {
        return Err(Failure::new(format!("{name} has changed since it was measured"), "sort the folder again"));
    }
    Ok(content.bytes)
}

/// A file of the night and how it is opened.
fn of_the_night(shared: &Shared, hash: &str) -> Result<(std::path::PathBuf, bool), Refusal> {
    let night = shared.nights.current();
    let found = night.as_ref().and_then(|night| Some((night.path(hash)?, !night.question.full_raw)));
    found.ok_or_else(|| Refusal::not_found("this frame"))
}

/// The picture of a frame, opened now or kept from before.
async fn opened(shared: &Shared, hash: String) -> Result<Arc<Opened>, Refusal> {
    if let Some(known) = shared.nights.pictures.known_opened(&hash) {
        return Ok(known);
    }
    let (path, preview_first) = of_the_night(shared, &hash)?;
    let permit = shared.nights.pictures.turn().await?;
    let nights = Arc::clone(&shared.nights);
    aside(move || {
        let _permit = permit;
        let picture = open(&path, &hash, preview_first)?;
        let opened = Arc::new(Opened { hash, picture });
        nights.pictures.keep_opened(&opened);
        Ok::<_, Failure>(opened)
    })
    .await
}

/// Whose eyes a picture is for.
#[derive(Deserialize)]
pub(super) struct For {
    palette: PaletteName,
}

impl For {
    pub(super) fn palette(&self) -> Palette {
        self.palette.into()
    }
}

/// A picture of a content never changes; pages of other hosts may not have it.
pub(super) fn png(bytes: impl Into<axum::body::Body>) -> impl IntoResponse {
    let headers = [
        (CONTENT_TYPE, "image/png"),
        (CACHE_CONTROL, "private, max-age=604800, immutable"),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    (headers, bytes.into())
}

pub(super) async fn small(
    State(shared): State<Shared>,
    Path(hash): Path<String>,
    AskQuery(eyes): AskQuery<For>,
) -> Result<impl IntoResponse, Refusal> {
    let palette = eyes.palette();
    if let Some(known) = shared.nights.pictures.known_small(&hash, palette) {
        return Ok(png(known.to_vec()));
    }
    let (path, preview_first) = of_the_night(&shared, &hash)?;
    let permit = shared.nights.pictures.turn().await?;
    let made = aside(move || {
        let _permit = permit;
        let small = open(&path, &hash, preview_first)?.small(SMALL_PX);
        let small = small.map_err(|error| Failure::new(error.to_string(), error.hint()))?;
        let made: Arc<[u8]> = picture_png([small.width, small.height], &small.rgb, palette).into();
        shared.nights.pictures.keep_small(&hash, palette, &made);
        Ok::<_, Failure>(made)
    })
    .await?;
    Ok(png(made.to_vec()))
}

/// A frame's file as it is, for the pages that tell of one frame.
pub(super) async fn whole(
    State(shared): State<Shared>,
    Path(hash): Path<String>,
) -> Result<impl IntoResponse, Refusal> {
    let (path, _preview_first) = of_the_night(&shared, &hash)?;
    let permit = shared.nights.pictures.turn().await?;
    let content = aside(move || {
        let _permit = permit;
        content_of(&path, &hash)
    })
    .await?;
    let headers = [
        (CONTENT_TYPE, "application/octet-stream"),
        (CACHE_CONTROL, "no-store"),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    Ok((headers, content))
}

/// Which part: its middle on the picture as shown, and its size.
#[derive(Deserialize)]
pub(super) struct PartAsked {
    x: f64,
    y: f64,
    width: usize,
    height: usize,
    palette: PaletteName,
}

pub(super) async fn part(
    State(shared): State<Shared>,
    Path(hash): Path<String>,
    AskQuery(asked): AskQuery<PartAsked>,
) -> Result<impl IntoResponse, Refusal> {
    if !asked.x.is_finite() || !asked.y.is_finite() || asked.width.max(asked.height) > LARGEST_PART_PX {
        let hint = format!("ask for {LARGEST_PART_PX} pixels along a side at most");
        return Err(Failure::new("no such part can be shown", hint).into());
    }
    let opened = opened(&shared, hash).await?;
    let (crop, bytes) = aside(move || {
        let crop = opened.picture.crop([asked.x, asked.y], [asked.width, asked.height]);
        let crop = crop.map_err(|error| Failure::new(error.to_string(), error.hint()))?;
        let bytes = picture_png([crop.width, crop.height], &crop.rgb, asked.palette.into());
        Ok::<_, Failure>((crop, bytes))
    })
    .await?;
    let place = [
        (HeaderName::from_static("quietarc-left"), crop.left.to_string()),
        (HeaderName::from_static("quietarc-top"), crop.top.to_string()),
    ];
    Ok((place, png(bytes)))
}

/// Two frames, and where to look for a star that both show.
#[derive(Deserialize)]
pub(super) struct PairAsked {
    first: String,
    second: String,
    /// Place on the first as shown; its middle where not said.
    x: Option<f64>,
    y: Option<f64>,
}

/// Two frames held on one star.
#[derive(serde::Serialize)]
pub(super) struct Pair {
    #[serde(flatten)]
    place: SamePlace,
    first_size_px: [usize; 2],
    second_size_px: [usize; 2],
}

pub(super) async fn same_place(State(shared): State<Shared>, AskQuery(asked): AskQuery<PairAsked>) -> Answer<Pair> {
    let first = opened(&shared, asked.first).await?;
    let second = opened(&shared, asked.second).await?;
    aside(move || {
        let size = first.picture.size_px();
        let near = [asked.x.unwrap_or(0.5 * size[0] as f64), asked.y.unwrap_or(0.5 * size[1] as f64)];
        let place = first.picture.same_place(&second.picture, near);
        let place = place.map_err(|error| Failure::new(error.to_string(), error.hint()))?;
        Ok::<_, Failure>(Pair { place, first_size_px: size, second_size_px: second.picture.size_px() })
    })
    .await
    .map(Json)
}
