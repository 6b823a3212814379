//! TypeScript declarations of every type that crosses the HTTP border, written from the types themselves.

use std::fmt::Write;

use ts_rs::TS;

/// Appends `export type ...` of each type named.
macro_rules! declare {
    ($out:ident, $($name:ty),+ $(,)?) => {
        $(
            if let Some(doc) = <$name>::docs() {
                $out.push_str(doc.trim_end());
                $out.push('\n');
            }
            // writing to a String cannot fail
            let _written = writeln!($out, "export {}\n", <$name>::decl());
        )+
    };
}

/// All declarations, as the text of one TypeScript module.
pub fn declarations() -> String {
    let mut out = String::from("// Written by `cargo xtask types` from the Rust types in crates/job. Do not edit.\n\n");
    declare!(
        out,
        quantity::Basis,
        quantity::Estimate,
        quantity::Fraction,
        quantity::GeoPosition,
        quantity::Horizontal,
        quantity::InputNote,
        quantity::InputState,
        quantity::LineBrightness,
        crate::Activity,
        crate::ActivityKind,
        crate::AlmanacReport,
        crate::AlmanacRequest,
        crate::BodyPosition,
        crate::BrightestPatch,
        crate::CameraBody,
        crate::Candidate,
        crate::Caution,
        crate::Chances,
        crate::CloudCover,
        crate::Conditions,
        crate::ConditionsRequest,
        crate::CoordinateMethod,
        crate::DarknessClass,
        crate::ForegroundObject,
        crate::HorizonPoint,
        crate::Kit,
        crate::KitLimits,
        crate::KpInterval,
        crate::Lens,
        crate::LensProjection,
        crate::LensStarter,
        crate::MagneticReport,
        crate::MagneticRequest,
        crate::MoonState,
        crate::NamedPosition,
        crate::NightTimes,
        crate::NumberBasis,
        crate::OutlookReport,
        crate::OutlookRequest,
        crate::OutlookStep,
        crate::PrecipitationOpinion,
        crate::Recommendation,
        crate::SensorStarter,
        crate::Site,
        crate::SiteOutlook,
        crate::SkyQuality,
        crate::SkymapReport,
        crate::SkymapRequest,
        crate::SunState,
        crate::DewReport,
        crate::DewRisk,
        crate::FlareRisk,
        crate::FocusReport,
        crate::FrameBody,
        crate::FrameField,
        crate::FrameGrid,
        crate::FrameLight,
        crate::FrameObject,
        crate::FramePlace,
        crate::FrameSuggestion,
        crate::FrameTurn,
        crate::FrameZenith,
        crate::MirrorStretch,
        crate::MirrorSurface,
        crate::MirroredLight,
        crate::MoonInFrame,
        crate::Orientation,
        crate::RimGlow,
        crate::Sharpness,
        crate::FramePointing,
        crate::StandReport,
        crate::StarterNumbers,
        crate::Starters,
        crate::StandRequest,
        crate::TownInFrame,
        crate::TurnKind,
        crate::Verdict,
        crate::WatchWindow,
        crate::WaterBearing,
        crate::UpstreamWind,
        crate::Weather,
        crate::WeatherAround,
        crate::WeatherHour,
        crate::AskedBrightness,
        crate::AskedSky,
        crate::AuroraMotion,
        crate::ColourShares,
        crate::ExposeReport,
        crate::ExposeRequest,
        crate::ExposeSetting,
        crate::ExposedLight,
        crate::ExposureBounds,
        crate::IbcClass,
        crate::LimitedBy,
        crate::SeenAurora,
        crate::SettingGoal,
        crate::ShootingPurpose,
        crate::TimeLapse,
    );
    out
}
