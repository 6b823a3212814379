//! A picture in, its report or its drawing out. The picture is never stored and leaves this machine by no way.

use axum::Json;
use axum::body::Bytes;
use axum::extract::rejection::{BytesRejection, QueryRejection};
use axum::extract::{DefaultBodyLimit, Query, State};
use axum::http::HeaderName;
use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;
use draw::{OverlayStyle, check_overlay};
use job::{CheckReport, CheckRequest, check, check_with_picture};
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use super::Shared;
use super::api::{Answer, aside};
use super::drawings::PaletteName;
use super::refusal::Refusal;
use crate::{Failure, frame_parts, scenario};

/// Largest picture taken over HTTP, bytes: the raw files of the largest bodies have 160 MB, uncompressed.
const LARGEST_PICTURE: usize = 200_000_000;
/// Longest side of a drawn picture, px: a phone's screen at its own sharpness.
const DRAWN_PX: usize = 1200;

/// The limit of these routes alone.
pub(super) fn body_limit() -> DefaultBodyLimit {
    DefaultBodyLimit::max(LARGEST_PICTURE)
}

/// What is known beside the picture; kit and site are names in the journal.
#[derive(Debug, Deserialize)]
pub(super) struct CheckQuery {
    pub(super) name: String,
    pub(super) kit: Option<String>,
    pub(super) site: Option<String>,
    pub(super) at: Option<Timestamp>,
    pub(super) sharpest_hfd_px: Option<f64>,
    pub(super) palette: Option<PaletteName>,
}

type Asked = Result<Query<CheckQuery>, QueryRejection>;
pub(super) type Picture = Result<Bytes, BytesRejection>;

pub(super) async fn check_frame(State(shared): State<Shared>, asked: Asked, picture: Picture) -> Answer<CheckReport> {
    let (query, picture) = (query(asked)?, bytes(picture)?);
    let permit = shared.nights.pictures.turn().await?;
    aside(move || {
        let _permit = permit;
        let request = request(&shared, &query)?;
        Ok::<_, Failure>(check(&request, &picture))
    })
    .await
    .map(Json)
}

pub(super) async fn overlay(
    State(shared): State<Shared>,
    asked: Asked,
    picture: Picture,
) -> Result<impl IntoResponse, Refusal> {
    let (query, picture) = (query(asked)?, bytes(picture)?);
    let permit = shared.nights.pictures.turn().await?;
    let drawing = aside(move || {
        let _permit = permit;
        let request = request(&shared, &query)?;
        let checked = check_with_picture(&request, &picture, DRAWN_PX);
        let palette = query.palette.unwrap_or(PaletteName::Desk).into();
        check_overlay(&checked, &OverlayStyle { palette })
            .ok_or_else(|| Failure::new(checked.report.summary, "pick another picture"))
    })
    .await?;
    Ok(([(CONTENT_TYPE, "image/svg+xml")], drawing))
}

/// A report and its drawing.
#[derive(Debug, Serialize)]
pub(super) struct CheckedPicture {
    report: CheckReport,
    /// The frame with what was found on it, as SVG; `None` for a file that cannot be read.
    drawing: Option<String>,
}

/// Both at once: a frame crosses the network once, and is measured once.
pub(super) async fn check_drawn(
    State(shared): State<Shared>,
    asked: Asked,
    picture: Picture,
) -> Answer<CheckedPicture> {
    let (query, picture) = (query(asked)?, bytes(picture)?);
    let permit = shared.nights.pictures.turn().await?;
    aside(move || {
        let _permit = permit;
        let request = request(&shared, &query)?;
        let checked = check_with_picture(&request, &picture, DRAWN_PX);
        let palette = query.palette.unwrap_or(PaletteName::Desk).into();
        let drawing = check_overlay(&checked, &OverlayStyle { palette });
        Ok::<_, Failure>(CheckedPicture { report: checked.report, drawing })
    })
    .await
    .map(Json)
}

/// Side of a part shown pixel for pixel, px.
const PART_PX: usize = 320;

/// The sharpest and the softest part side by side, for browsers that cannot open the picture themselves; what
/// they show stands in a header.
pub(super) async fn parts(
    State(shared): State<Shared>,
    asked: Asked,
    picture: Picture,
) -> Result<impl IntoResponse, Refusal> {
    let (query, picture) = (query(asked)?, bytes(picture)?);
    let permit = shared.nights.pictures.turn().await?;
    let (png, words) = aside(move || {
        let _permit = permit;
        let report = check(&request(&shared, &query)?, &picture);
        frame_parts::png(&picture, &report, PART_PX, query.palette.unwrap_or(PaletteName::Desk).into())
    })
    .await?;
    let words = (HeaderName::from_static("quietarc-words"), words);
    Ok(([(CONTENT_TYPE, "image/png".to_owned()), words], png))
}

/// The demo's frame, to try the page with.
pub(super) fn example() -> std::future::Ready<impl IntoResponse> {
    std::future::ready(([(CONTENT_TYPE, "image/jpeg")], scenario::DEMO_FRAME))
}

pub(super) fn request(shared: &Shared, query: &CheckQuery) -> Result<CheckRequest, Failure> {
    let journal = shared.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let kit = query.kit.as_ref().map(|name| journal.kit_named(name)).transpose()?.map(|stored| stored.kit);
    let site = query.site.as_ref().map(|name| journal.site_named(name)).transpose()?;
    let request = CheckRequest {
        name: query.name.clone(),
        kit,
        position: site.map(|stored| stored.site.position),
        at: query.at,
        now: Some(Timestamp::now()),
        sharpest_hfd_px: query.sharpest_hfd_px,
    };
    request.check()?;
    Ok(request)
}

fn query(asked: Asked) -> Result<CheckQuery, Failure> {
    asked.map(|Query(query)| query).map_err(|rejection| {
        Failure::new(
            format!("the question cannot be read: {}", rejection.body_text()),
            "give ?name=FILE, and kit, site, at, sharpest_hfd_px where they are known",
        )
    })
}

pub(super) fn bytes(picture: Picture) -> Result<Bytes, Failure> {
    picture.map_err(|rejection| {
        Failure::new(
            format!("the picture did not arrive: {}", rejection.body_text()),
            format!("give a file of {} MB at most", LARGEST_PICTURE / 1_000_000),
        )
    })
}
