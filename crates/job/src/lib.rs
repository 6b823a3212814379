//! The verbs of Quietarc: each one pure function from a `Request` to a `Report`.
//!
//! Every rule of the program that is not physics lives here, once. The command line, the web server and
//! the tests call the same functions with the same requests and must get equal reports.
//!
//! **What it does not do:** no file, clock, network or database. The time of asking, the site, the
//! activity and the cloud arrive in the request; nothing is looked up.
//!
//! | question | function |
//! |---|---|
//! | Is it worth going, and between which times? | [`outlook`](fn@outlook) |
//! | Which aperture, ISO and seconds, and what will they give? | [`expose`](fn@expose) |
//! | Where are sun, moon, planets and stars, and when is it dark? | [`almanac`](fn@almanac) |
//! | Which way does the field point, and where is this place magnetically? | [`magnetic`](fn@magnetic) |
//! | How bright is the aurora in every direction? | [`skymap`](fn@skymap) |
//! | At this site, what will be where in the frame? | [`stand`](fn@stand) |
//! | This test frame: what is wrong, and what should change? | [`check`](fn@check) |
//! | Of tonight's frames: which are worth keeping, and why is each dud a dud? | [`sort`](fn@sort) |
//! | What does a sequence of frames say over time? | [`Reading`] |
//! | A viewer's picture: is the claimed time and place possible, is it a copy? | [`desk`](fn@desk) |
//! | What did a person see of this frame's sky? | [`tell_eye`] |
//! | What did outlooks say, and what was met? | [`scores`] |
//! | What is there to tell of a night, by its record? | [`account`] |
//! | What was done to a moving picture of a sequence? | [`clip_report`] |
//! | What goes along from an outlook: sky, framing, settings of its best moment? | [`field_plan`](fn@field_plan) |

mod activity;
mod almanac;
mod camera_measurement;
mod cautions;
mod check;
mod comfort;
mod conditions;
mod desk;
mod disagreement;
mod error;
mod expose;
mod field_plan;
mod framing;
mod ground_track;
mod kit;
mod kit_optics;
mod lens_profile;
mod magnetic;
mod outlook;
mod pointing;
mod power;
mod precipitation_grid;
mod read;
mod sharpest_stars;
mod site;
mod site_sky;
mod skill;
mod skymap;
mod solar_wind;
mod sort;
mod stand;
mod starters;
mod tell;
#[cfg(feature = "typescript")]
pub mod typescript;
mod weather;
mod wording;

pub use activity::{Activity, ActivityKind, KpInterval};
pub use almanac::{
    AlmanacReport, AlmanacRequest, BodyPosition, DarknessClass, MoonState, NamedPosition, NightTimes, SunState,
    almanac, night_times,
};
pub use camera_measurement::{MeasurementError, measured_camera, measured_pair};
pub use cautions::{Caution, cautions};
pub use check::{
    AdviceSubject, AuroraLines, AuroraPresence, BodyInFrame, ChannelClipping, CheckAdvice, CheckReport, CheckRequest,
    CheckedAurora, CheckedBody, CheckedChannel, CheckedFocus, CheckedFrame, CheckedLens, CheckedMotion, CheckedScene,
    CheckedSettings, CheckedSky, CheckedStars, CheckedTime, CloudMethod, Crop, FocusPart, FocusParts, FocusRun,
    FocusRunFrame, FrameLayers, NextSettings, OpenedPicture, PartsPicture, Preview, SamePlace, SkyElectrons,
    TimeSource, UnreadablePicture, Urgency, WidthMap, check, check_with_picture, check_with_signature, focus_run,
    largest_frame_bytes, same_place, unreadable_frame,
};
pub use comfort::{
    DewRisk, FrostbiteRisk, LensMoisture, beaufort, dew_point_c, frostbite_risk, lens_moisture, wind_chill_c,
};
pub use conditions::{Conditions, ConditionsRequest};
pub use desk::{
    DeskCheck, DeskCheckKind, DeskClaim, DeskEvidence, DeskReport, DeskRequest, DeskVerdict, EditingMeasures,
    Fingerprint, KnownLikeness, KnownPicture, KnownPictures, Likeness, LikenessKind, OwnOutlook, OwnReading, OwnWord,
    compare, copies_check, desk, fingerprint,
};
pub use disagreement::{Disagreement, disagreements};
pub use error::JobError;
pub use expose::{
    AskedBrightness, AskedSky, AuroraMotion, ColourShares, ExposeReport, ExposeRequest, ExposeSetting, ExposedLight,
    ExposureBounds, IbcClass, LimitedBy, SeenAurora, SettingGoal, ShootingPurpose, TimeLapse, expose,
};
pub use field_plan::{FieldPlan, SETTING_UP_MINUTES, UNKNOWN_DRIVE_MINUTES, field_plan, leave_at};
pub use frame::{ChannelTransfer, LightChannel, PairStatistics, PhotonTransfer, TransferPoint};
pub use framing::{FramePlace, Framing};
pub use ground_track::{GroundTrack, ground_track};
pub use kit::{CameraBody, Kit, KitLimits, Lens, LensProjection};
pub use lens_profile::LensProfile;
pub use magnetic::{CoordinateMethod, MagneticReport, MagneticRequest, magnetic};
pub use outlook::{
    BrightestPatch, Candidate, Chances, MIDDLING_F107_SFU, OutlookReport, OutlookRequest, OutlookStep, Recommendation,
    SiteOutlook, Verdict, WatchWindow, best_step, outlook,
};
pub use pointing::{FramePointing, Orientation};
pub use power::{PowerAt, power_intervals};
pub use precipitation_grid::PrecipitationOpinion;
pub use read::{
    AccountLine, AssumedDirections, AssumedView, FormShape, FormStand, FrameLook, LightPoint, MagneticPoint,
    OtherPeriod, ReadAurora, ReadBay, ReadBeam, ReadBeside, ReadBin, ReadBorder, ReadBrightening, ReadCalibration,
    ReadCellPeriod, ReadColumn, ReadDrift, ReadForm, ReadFrame, ReadFrames, ReadKeogram, ReadLens, ReadLineShares,
    ReadMagnetic, ReadOnset, ReadPatch, ReadPulsation, ReadRecords, ReadReddest, ReadReport, ReadRequest, ReadSky,
    ReadSpace, ReadSpectrum, ReadWind, Reading, SequenceLens, SequenceLight, SkippedFrame, read_beside,
};
pub use sequence::{DEFLICKER_REACH, DeflickerBasis, FrameLevel, SAME_SETTINGS, background_level, deflicker_gains};
pub use sequence::{
    FormName, MagneticComponent, MagneticElement, MagneticEvents, MagneticQuality, MagneticRecord, MagneticSearch,
    OnsetStanding, magnetic_events,
};
pub use sharpest_stars::SharpestStars;
pub use site::{ForegroundObject, HorizonPoint, Site, SkyQuality, WaterBearing};
pub use skill::{
    BrightnessBias, ChanceScores, FEWEST_TO_JUDGE, ReliabilityRow, SAID_LIKELY, ScoredOuting, ScoresReport,
    ScoresRequest, SeenOutcome, scores,
};
pub use skymap::{SkymapReport, SkymapRequest, skymap};
pub use solar_wind::{UpstreamWind, WindAtEarth, WindUnusable, kp_of_solar_wind, solar_wind_intervals};
pub use sort::{
    ClockCorrection, ClockSource, DudKind, DudReason, FrameFiles, FrameMeasures, FrameSequence, FrameSignature,
    FrameVerdict, MEASURING_VERSION, MeasuredFrame, PersonVerdict, ReasonCount, SequenceKind, SortReport, SortRequest,
    SortedCamera, SortedFrame, SortedMeasures, is_picture_name, is_raw_name, pair_files, sort,
};
pub use stand::{
    DewReport, FlareRisk, FocusReport, FrameBody, FrameField, FrameGrid, FrameLight, FrameObject, FrameSuggestion,
    FrameTurn, FrameZenith, MirrorStretch, MirrorSurface, MirroredLight, MoonInFrame, RimGlow, Sharpness, StandReport,
    StandRequest, TownInFrame, TurnKind, stand,
};
pub use starters::{LensStarter, NumberBasis, SensorStarter, StarterNumbers, Starters, starter_kit, starters};
pub use tell::{
    AccountCard, AccountMet, AccountNumber, AccountReport, AccountRequest, AccountSentence, AlignedFrame, ClipCodec,
    ClipColours, ClipEvenness, ClipFacts, ClipGeometry, ClipPicture, ClipReport, ClipRequest, ClipSize, EyeLineLimit,
    EyePictures, EyeRegionSeen, EyeShares, MapLight, MapSightline, PlacePrecision, SkyLabel, SkyLabelKind, StackFacts,
    StackKind, StackReference, StackReport, StackRequest, StackedPicture, StillPicture, TellEyeReport, TellEyeRequest,
    TellKeogram, TellMap, TellSheetRequest, TellStillReport, TellStillRequest, ToldEye, ToldStill, account,
    clip_report, credited_name, outlook_map, reading_keogram, reading_map, stack_report, tell_eye, tell_still,
};
pub use weather::{CloudCover, Weather, WeatherAround, WeatherHour};
pub use wording::{age_words, bearing, chance_words, cloud_words, lit_words};
