//! A frame in, the eye's and the camera's view out. The frame is never stored.

use axum::Json;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use draw::{Palette, picture_uri, png_uri};
use job::{TellEyeReport, TellEyeRequest, tell_eye};
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use super::Shared;
use super::api::{Answer, aside};
use super::checking::{CheckQuery, Picture, bytes, request};
use super::drawings::PaletteName;
use crate::Failure;
use crate::telling::eye::{beside_drawing, eye_file};

/// What is known beside the frame; kit and site are names in the journal.
#[derive(Debug, Deserialize)]
pub(super) struct EyeQuery {
    name: String,
    kit: Option<String>,
    site: Option<String>,
    at: Option<Timestamp>,
    minutes: Option<f64>,
    field_factor: Option<f64>,
    size: Option<u32>,
    palette: Option<PaletteName>,
}

/// A report and its pictures.
#[derive(Debug, Serialize)]
pub(super) struct ToldPictures {
    report: TellEyeReport,
    /// Columns and rows of both views.
    size_px: Option<[usize; 2]>,
    /// The camera's view, a data address.
    camera: Option<String>,
    /// The eye's view, likewise; `None` where it cannot be told.
    eye: Option<String>,
    /// The eye's view with its caption inside, a data address, to be saved: for a screen by day.
    eye_file: Option<String>,
    /// Both with their caption, SVG, to be saved.
    beside: Option<String>,
}

pub(super) async fn eye(
    State(shared): State<Shared>,
    asked: Result<Query<EyeQuery>, QueryRejection>,
    picture: Picture,
) -> Answer<ToldPictures> {
    let (query, picture) = (query(asked)?, bytes(picture)?);
    let permit = shared.nights.pictures.turn().await?;
    aside(move || {
        let _permit = permit;
        let palette: Palette = query.palette.unwrap_or(PaletteName::Desk).into();
        let asked = tell_request(&shared, query)?;
        let told = tell_eye(&asked, &picture);
        let pictures = told.pictures.as_ref();
        let uri = |rgb: &[u8]| pictures.map(|pictures| picture_uri([pictures.width, pictures.height], rgb, palette));
        Ok::<_, Failure>(ToldPictures {
            size_px: pictures.map(|pictures| [pictures.width, pictures.height]),
            camera: pictures.and_then(|pictures| uri(&pictures.camera_rgb)),
            eye: pictures.and_then(|pictures| uri(pictures.eye_rgb.as_ref()?)),
            eye_file: eye_file(&told).ok().map(|png| png_uri(&png)),
            beside: beside_drawing(&told).ok(),
            report: told.report,
        })
    })
    .await
    .map(Json)
}

fn tell_request(shared: &Shared, query: EyeQuery) -> Result<TellEyeRequest, Failure> {
    let known = CheckQuery {
        name: query.name,
        kit: query.kit,
        site: query.site,
        at: query.at,
        sharpest_hfd_px: None,
        palette: None,
    };
    let usual = TellEyeRequest::default();
    let asked = TellEyeRequest {
        frame: request(shared, &known)?,
        minutes_since_white_light: query.minutes.unwrap_or(usual.minutes_since_white_light),
        field_factor: query.field_factor.unwrap_or(usual.field_factor),
        longest_px: query.size.unwrap_or(usual.longest_px),
    };
    asked.check()?;
    Ok(asked)
}

fn query(asked: Result<Query<EyeQuery>, QueryRejection>) -> Result<EyeQuery, Failure> {
    asked.map(|Query(query)| query).map_err(|rejection| {
        Failure::new(
            format!("the question cannot be read: {}", rejection.body_text()),
            "give ?name=FILE, and kit, site, at, minutes, field_factor, size where they are known",
        )
    })
}
