//! The pictures of a report, as SVG.

use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;
use draw::{
    BowlStyle, CardsStyle, CompareStyle, HorizonStyle, KeogramStyle, LensStyle, Palette, PatchStyle, StripStyle,
};
use job::{ExposeRequest, OutlookRequest, Site, SkymapRequest, StandRequest};
use quantity::Horizontal;
use serde::Deserialize;

use super::Shared;
use super::api::aside;
use super::refusal::{Ask, Refusal};
use crate::Failure;

#[derive(Deserialize)]
pub(super) struct KeogramAsk {
    palette: PaletteName,
}

/// The keogram of a reading that is kept.
pub(super) async fn keogram(
    State(shared): State<Shared>,
    Path(id): Path<String>,
    Query(ask): Query<KeogramAsk>,
) -> Result<impl IntoResponse, Refusal> {
    let Json(report) = super::api::reading(State(shared), Path(id.clone())).await?;
    let drawn = report.keogram.as_ref().ok_or_else(|| Refusal::not_found(&format!("keogram of reading {id}")))?;
    let style = KeogramStyle { palette: ask.palette.into() };
    Ok(([(CONTENT_TYPE, "image/svg+xml")], draw::keogram(drawn, &report.scale_words(), &style)))
}

/// Smallest and largest side of a drawing, px.
const SIZE_PX: (f64, f64) = (64.0, 8192.0);

/// Colours, as the page names them.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum PaletteName {
    Desk,
    DarkEyes,
    Print,
}

impl From<PaletteName> for Palette {
    fn from(name: PaletteName) -> Self {
        match name {
            PaletteName::Desk => Self::Day,
            PaletteName::DarkEyes => Self::DarkEyes,
            PaletteName::Print => Self::Print,
        }
    }
}

#[derive(Deserialize)]
pub(super) struct StripAsk {
    request: OutlookRequest,
    width_px: f64,
    height_px: f64,
    palette: PaletteName,
}

pub(super) async fn strip(State(shared): State<Shared>, Ask(ask): Ask<StripAsk>) -> Result<impl IntoResponse, Refusal> {
    let style = StripStyle {
        width_px: size("width_px", ask.width_px)?,
        height_px: size("height_px", ask.height_px)?,
        palette: ask.palette.into(),
        caption: false,
        cursor: None,
    };
    let report = aside(move || shared.recent.answer(ask.request)).await?;
    Ok(([(CONTENT_TYPE, "image/svg+xml")], draw::night_strip(&report, &style)))
}

#[derive(Deserialize)]
pub(super) struct CompareAsk {
    request: OutlookRequest,
    width_px: f64,
    palette: PaletteName,
}

pub(super) async fn compare(
    State(shared): State<Shared>,
    Ask(ask): Ask<CompareAsk>,
) -> Result<impl IntoResponse, Refusal> {
    let style = CompareStyle { width_px: size("width_px", ask.width_px)?, palette: ask.palette.into() };
    let report = aside(move || shared.recent.answer(ask.request)).await?;
    Ok(([(CONTENT_TYPE, "image/svg+xml")], draw::compare_sites(&report.ranking, &style)))
}

#[derive(Deserialize)]
pub(super) struct BowlAsk {
    request: SkymapRequest,
    size_px: f64,
    palette: PaletteName,
    /// The camera's frame to draw on it.
    #[serde(default)]
    frame_outline: Option<Vec<Horizontal>>,
}

pub(super) async fn bowl(Ask(ask): Ask<BowlAsk>) -> Result<impl IntoResponse, Refusal> {
    let size_px = size("size_px", ask.size_px)?;
    let palette = ask.palette.into();
    let report = aside(move || job::skymap(ask.request)).await?;
    let drawing = draw::sky_bowl(&report, &BowlStyle { size_px, palette, frame_outline: ask.frame_outline.as_deref() });
    Ok(([(CONTENT_TYPE, "image/svg+xml")], drawing))
}

#[derive(Deserialize)]
pub(super) struct ExposeAsk {
    request: ExposeRequest,
    /// Which setting's patch; none draws the sheet of all.
    setting: Option<usize>,
    width_px: f64,
    palette: PaletteName,
}

pub(super) async fn expose(Ask(ask): Ask<ExposeAsk>) -> Result<impl IntoResponse, Refusal> {
    let width_px = size("width_px", ask.width_px)?;
    let palette = ask.palette.into();
    let report = aside(move || job::expose(ask.request)).await?;
    let drawing = match ask.setting {
        None => draw::expose_cards(&report, &CardsStyle { width_px, palette }),
        Some(index) => {
            let setting = report.settings.get(index).ok_or_else(|| no_such_setting(index, report.settings.len()))?;
            draw::expose_patch(&report, setting, &PatchStyle { width_px, palette })
        }
    };
    Ok(([(CONTENT_TYPE, "image/svg+xml")], drawing))
}

fn no_such_setting(index: usize, there_are: usize) -> Failure {
    Failure {
        field: Some("setting".to_owned()),
        ..Failure::new(format!("setting {index} is not one of {there_are}"), "count settings from 0")
    }
}

#[derive(Deserialize)]
pub(super) struct LensAsk {
    request: StandRequest,
    width_px: f64,
    height_px: f64,
    palette: PaletteName,
}

pub(super) async fn lens(Ask(ask): Ask<LensAsk>) -> Result<impl IntoResponse, Refusal> {
    let style = LensStyle {
        width_px: size("width_px", ask.width_px)?,
        height_px: size("height_px", ask.height_px)?,
        palette: ask.palette.into(),
    };
    let report = aside(move || job::stand(ask.request)).await?;
    Ok(([(CONTENT_TYPE, "image/svg+xml")], draw::lens_view(&report, &style)))
}

#[derive(Deserialize)]
pub(super) struct HorizonAsk {
    site: Site,
    width_px: f64,
    height_px: f64,
    palette: PaletteName,
}

pub(super) async fn horizon(Ask(ask): Ask<HorizonAsk>) -> Result<impl IntoResponse, Refusal> {
    ask.site.check()?;
    let style = HorizonStyle {
        width_px: size("width_px", ask.width_px)?,
        height_px: size("height_px", ask.height_px)?,
        palette: ask.palette.into(),
    };
    Ok(([(CONTENT_TYPE, "image/svg+xml")], draw::horizon_profile(&ask.site, &style)))
}

fn size(field: &str, px: f64) -> Result<f64, Failure> {
    if (SIZE_PX.0..=SIZE_PX.1).contains(&px) {
        return Ok(px);
    }
    Err(Failure {
        field: Some(field.to_owned()),
        ..Failure::new(format!("{field} {px} is outside 64 to 8192"), "give a size of 64 to 8192 pixels")
    })
}
