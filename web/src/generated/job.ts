// Written by `cargo xtask types` from the Rust types in crates/job. Do not edit.

/**
 * Where a number comes from, in falling order of trust.
 */
export type Basis = "measured" | "model" | "assumed";

/**
 * A number with its likely range: `low..=high` holds about 68 % (one standard deviation each way).
 */
export type Estimate = { 
/**
 * Best value; its unit is in the name of the field that holds the estimate.
 */
value: number, 
/**
 * Lower end of the 68 % range.
 */
low: number, 
/**
 * Upper end of the 68 % range.
 */
high: number, 
/**
 * Where it comes from.
 */
basis: Basis, };

/**
 * A share of a whole or a probability, 0..=1.
 */
export type Fraction = number;

/**
 * A place on the Earth: WGS-84 geodetic latitude (north +), longitude (east +, -180..180), height in metres.
 */
export type GeoPosition = { latitude_deg: number, longitude_deg: number, height_m: number, };

/**
 * A direction in the sky of one observer: altitude above the horizon, azimuth from true north through east.
 *
 * Degrees. Altitude -90 to 90; azimuth is brought to 0..360 on construction.
 */
export type Horizontal = { 
/**
 * Angle above the astronomical horizon, degrees.
 */
altitude_deg: number, 
/**
 * Angle from true north through east, degrees, 0..360.
 */
azimuth_deg: number, };

/**
 * One input of a report: what it was, who says so, and how old it was.
 */
export type InputNote = { 
/**
 * What it is, in words ("Kp", "cloud cover").
 */
name: string, 
/**
 * Who says so, with licence and attribution where one is due.
 */
source: string, 
/**
 * When it was observed or issued; `None` where that is not known.
 */
observed_at: string | null, 
/**
 * Age in minutes at the time of asking; negative if it was issued for a later time. `None` without a time.
 */
age_minutes: number | null, 
/**
 * How fresh.
 */
state: InputState, };

/**
 * How fresh an input was when it was used.
 */
export type InputState = "fresh" | "stale" | "given" | "assumed" | "record";

/**
 * Brightness of the three lines along one line of sight, in kilorayleighs.
 */
export type LineBrightness = { 
/**
 * 427.8 nm, kR.
 */
blue_4278_kr: number, 
/**
 * 557.7 nm, kR.
 */
green_5577_kr: number, 
/**
 * 630.0 nm, kR.
 */
red_6300_kr: number, };

/**
 * What drives the aurora: Kp against time, with its source.
 */
export type Activity = { 
/**
 * Who says so, with the attribution its licence asks for.
 */
source: string, 
/**
 * When it was issued, where known.
 */
issued_at: string | null, 
/**
 * The intervals, in order of time, not overlapping; gaps are allowed and said.
 */
intervals: Array<KpInterval>, };

/**
 * What kind of Kp a series is; it decides the error it is given.
 */
export type ActivityKind = "definitive" | "preliminary" | "nowcast" | "solar_wind" | "power" | "forecast" | "long_range" | "given";

/**
 * What the almanac answers.
 */
export type AlmanacReport = { 
/**
 * The request it answers.
 */
request: AlmanacRequest, 
/**
 * How dark it is at that instant.
 */
darkness: DarknessClass, 
/**
 * The sun.
 */
sun: BodyPosition, 
/**
 * The moon.
 */
moon: BodyPosition, 
/**
 * Angle sun-moon-observer, degrees: 0 full, 180 new.
 */
moon_phase_angle_deg: number, 
/**
 * Share of the disc that is lit.
 */
moon_lit_fraction: number, 
/**
 * Whether it grows.
 */
moon_waxing: boolean, 
/**
 * The phase in words.
 */
moon_phase: string, 
/**
 * Times of the night this instant belongs to.
 */
night: NightTimes, 
/**
 * Planets above the horizon, brightest first.
 */
planets: Array<NamedPosition>, 
/**
 * Named stars brighter than magnitude 2 above the horizon, brightest first.
 */
stars: Array<NamedPosition>, 
/**
 * Polar day, polar night, no darkness: said plainly, one sentence each.
 */
remarks: Array<string>, };

/**
 * How far the predicted brightness lies from that met.
 */
export type BrightnessBias = { 
/**
 * Outings with both brightnesses.
 */
count: number, 
/**
 * Mean of log10(met / predicted), dex: positive where aurora was brighter than said.
 */
mean_dex: number, 
/**
 * Its standard error (sample deviation over the root of the count), dex; none from one outing.
 */
standard_error_dex: number | null, };

/**
 * How good a kind of chance was.
 */
export type ChanceScores = { 
/**
 * Outings with a chance and an outcome.
 */
count: number, 
/**
 * Of them, those that came true.
 */
came_true: number, 
/**
 * Outings of which the outlook said that it is more likely than not.
 */
said_likely: number, 
/**
 * Of those, the ones that came true.
 */
likely_came_true: number, 
/**
 * Whether there are enough outings to judge by.
 */
enough: boolean, 
/**
 * Mean square of chance minus outcome, 0 best, 1 worst (Brier 1950); none without outings.
 */
brier: number | null, 
/**
 * Murphy's (1973) reliability over the groups of the table: 0 best.
 */
reliability: number | null, 
/**
 * His resolution: the more the better.
 */
resolution: number | null, 
/**
 * His uncertainty: the Brier score of always saying the share that came true.
 */
uncertainty: number | null, 
/**
 * What chances that differ within a group add: brier - (reliability - resolution + uncertainty)
 * (Stephenson, Coelho and Jolliffe 2008, doi 10.1175/2007WAF2006116.1).
 */
within_groups: number | null, 
/**
 * 1 - brier / uncertainty: 1 perfect, 0 no better than always saying the record's own share, below 0 worse; none
 * where all outings ended alike.
 */
skill: number | null, 
/**
 * Groups that hold outings, lowest chances first.
 */
table: Array<ReliabilityRow>, };

/**
 * A card of the running order.
 */
export type AccountCard = { 
/**
 * Its name, the same in every account.
 */
id: string, 
/**
 * What it is about.
 */
title: string, 
/**
 * When it begins, s after the start.
 */
start_s: number, 
/**
 * How long it lasts, s.
 */
length_s: number, 
/**
 * Its sentences, by their names.
 */
sentences: Array<string>, 
/**
 * What could be shown meanwhile.
 */
picture: string, };

/**
 * How the clip is packed.
 */
export type ClipCodec = "h264" | "av1";

/**
 * What a clip is asked to be.
 */
export type ClipRequest = { 
/**
 * How it is packed.
 */
codec: ClipCodec, 
/**
 * Frames shown in a second.
 */
frames_per_s: number, 
/**
 * How large it is.
 */
size: ClipSize, 
/**
 * Upright, 9 wide to 16 high, instead of 16 to 9.
 */
portrait: boolean, 
/**
 * The whole frame with black bars, instead of its middle.
 */
whole_frame: boolean, 
/**
 * The time of each frame in a corner.
 */
clock: boolean, 
/**
 * Exposure changes evened out.
 */
even_exposure: boolean, 
/**
 * Whom to name.
 */
credit: string | null, 
/**
 * Where it was taken, in the owner's words and as coarse as the owner wishes.
 */
place: string | null, };

/**
 * How large the clip is.
 */
export type ClipSize = "lines1080" | "lines2160" | "source";

/**
 * Where sight and colour begin for one line of an aurora by itself, on this sky and for this person. Models: estimates.
 */
export type EyeLineLimit = { 
/**
 * The line's colour in a camera ("red").
 */
colour: string, 
/**
 * Its wavelength, nm.
 */
wavelength_nm: number, 
/**
 * Faintest wide glow of it without edges that is seen, kR at the ground; the range is that from trained to hurried
 * observers.
 */
seen_from_kr: Estimate, 
/**
 * Whether rods see it first, which know no colour; cones otherwise.
 */
by_rods: boolean, 
/**
 * The first hint of its colour, kR at the ground.
 */
colour_from_kr: Estimate, };

/**
 * What is made of the frames.
 */
export type StackKind = "mean" | "brightest_sky" | "trails";

/**
 * What a stack is asked to be.
 */
export type StackRequest = { 
/**
 * What is made of the frames.
 */
kind: StackKind, 
/**
 * Deviations from a pixel's mean from which a value is left out of it, 2 to 20.
 */
clip_sigmas: number, 
/**
 * Longest side, px, 256 to 16 384; the frames' own where it is `None`, and never larger than that.
 */
longest_px: number | null, 
/**
 * Whom to name.
 */
credit: string | null, 
/**
 * Where it was taken, in the owner's words and as coarse as the owner wishes.
 */
place: string | null, };

/**
 * A line of the account.
 */
export type AccountLine = { 
/**
 * What is said.
 */
words: string, 
/**
 * What it rests on.
 */
basis: string, };

/**
 * A number within a sentence.
 */
export type AccountNumber = { 
/**
 * As it stands in the sentence.
 */
words: string, 
/**
 * Its value as the record has it; `None` for times and dates.
 */
value: number | null, 
/**
 * Ends of its likely range (68 %), where the record has one.
 */
range: [number, number] | null, 
/**
 * The unit; empty for plain counts and times.
 */
unit: string, 
/**
 * Who says so.
 */
source: string, 
/**
 * When it was measured, observed or said.
 */
at: string | null, };

/**
 * The account of a night.
 */
export type AccountReport = { 
/**
 * The sentences, in order.
 */
sentences: Array<AccountSentence>, 
/**
 * What an audience may ask and the record does not hold.
 */
not_known: Array<string>, 
/**
 * The running order.
 */
cards: Array<AccountCard>, 
/**
 * Sentences for which there was no time on air, by their names.
 */
left_out: Array<string>, 
/**
 * Length of the running order, s: an estimate by 2.5 spoken words a second.
 */
length_s: number, };

/**
 * A sentence of the account.
 */
export type AccountSentence = { 
/**
 * Its name, the same in every account.
 */
id: string, 
/**
 * What is said.
 */
text: string, 
/**
 * Every number in it, in the order of the text.
 */
numbers: Array<AccountNumber>, };

/**
 * Directions that do not rest on stars.
 */
export type AssumedDirections = { 
/**
 * What they rest on.
 */
words: string, 
/**
 * One standard deviation of altitudes, degrees (judgement).
 */
altitude_sigma_deg: number, 
/**
 * One standard deviation of azimuths, degrees.
 */
azimuth_sigma_deg: number, 
/**
 * Azimuth that the top of an all-sky picture shows, degrees.
 */
top_azimuth_deg: number | null, };

/**
 * Where the camera looked, as somebody says.
 */
export type AssumedView = { "all_sky": { 
/**
 * Azimuth that the top of the picture shows, degrees from true north through east; without it the moon is asked.
 */
top_azimuth_deg: number | null, 
/**
 * East is on the right of north, as on a map.
 */
mirrored: boolean, 
/**
 * The pixel of the zenith; without it the middle of the circle.
 */
zenith_px: [number, number] | null, 
/**
 * Distance of the horizon from it, px; without it the circle's radius.
 */
radius_px: number | null, } } | { "pointed": { 
/**
 * Azimuth of the middle, degrees.
 */
azimuth_deg: number, 
/**
 * Altitude of the middle, degrees.
 */
altitude_deg: number, } };

/**
 * The shape of a form in its layer.
 */
export type FormShape = { 
/**
 * Length, km.
 */
length_km: number, 
/**
 * Width, km.
 */
width_km: number, 
/**
 * Angle of its long axis from magnetic east-west, degrees.
 */
tilt_deg: number, 
/**
 * Mean distance poleward of the camera, km.
 */
poleward_km: number, 
/**
 * Lowest and highest altitude, degrees.
 */
altitude_deg: [number, number], };

/**
 * Where a form lies.
 */
export type FormStand = { 
/**
 * Magnetic latitude at the height assumed, degrees, without its sign.
 */
magnetic_latitude_deg: number, 
/**
 * One standard deviation by direction and height, degrees.
 */
sigma_deg: number, 
/**
 * Magnetic local time of the camera, hours.
 */
magnetic_local_time_h: number, 
/**
 * Kp that the oval is drawn for.
 */
kp: number | null, 
/**
 * How far equatorward of the oval's diffuse border for that Kp, degrees; negative: poleward of the border.
 */
equatorward_of_oval_deg: number | null, };

/**
 * Light at a time.
 */
export type LightPoint = { 
/**
 * Middle of its piece of time.
 */
at: string, 
/**
 * Mean light of its frames.
 */
light: number, };

/**
 * A magnetogram at a time.
 */
export type MagneticPoint = { 
/**
 * Middle of its piece of time.
 */
at: string, 
/**
 * Northward component, nT; `None` in a gap.
 */
north_nt: number | null, };

/**
 * Where one bin of the keogram looks.
 */
export type ReadBeam = { 
/**
 * Its direction.
 */
direction: Horizontal, 
/**
 * The ground under the light if it is one standard deviation lower than assumed, as assumed, and one higher.
 */
ground: [GeoPosition, GeoPosition, GeoPosition] | null, 
/**
 * Distance on the ground to it, km: one standard deviation of the height and of the direction together.
 */
distance_km: Estimate | null, };

/**
 * What stands beside a reading.
 */
export type ReadBeside = { 
/**
 * Where the camera stood; `None` where nobody says it.
 */
place: GeoPosition | null, 
/**
 * Sun and moon over the span of the frames; empty without a place.
 */
sky: Array<ReadSky>, 
/**
 * Where rays along the magnetic field meet, at the time of the first frame.
 */
magnetic_zenith: Horizontal | null, 
/**
 * Where each bin of the keogram looks, in the order of its bins.
 */
beams: Array<ReadBeam>, 
/**
 * What the places of the beams rest on.
 */
beams_basis: string, 
/**
 * One standard deviation of the light of each point of the report, in its unit; `None` where too few neighbours are there.
 */
light_sigma: Array<number | null>, 
/**
 * What that rests on, and what it leaves out.
 */
light_basis: string, };

/**
 * Sun and moon at a time.
 */
export type ReadSky = { 
/**
 * When.
 */
at: string, 
/**
 * How dark the sun leaves it.
 */
darkness: DarknessClass, 
/**
 * Altitude of the sun, degrees, without air.
 */
sun_altitude_deg: number, 
/**
 * The moon, without air; below the horizon too.
 */
moon: Horizontal, };

/**
 * Periods that are not called pulsation.
 */
export type OtherPeriod = { 
/**
 * What they are taken for.
 */
standing: string, 
/**
 * Cells and blocks with it.
 */
count: number, };

/**
 * Whether frames showed aurora.
 */
export type ReadAurora = { 
/**
 * Frames looked at for it.
 */
looked_at: number, 
/**
 * Of them, with aurora.
 */
yes: number, 
/**
 * Without.
 */
no: number, 
/**
 * Not settled.
 */
cannot_tell: number, 
/**
 * The one of those with aurora whose auroral light is greatest over the sky, at the settings of the first frame; `None` where
 * none shows aurora. The brightest frame of all may be one of the moon or of a lamp.
 */
brightest: string | null, 
/**
 * Of which lines its light is made; `None` without aurora that is sure, and for grey pictures.
 */
lines: ReadLineShares | null, };

/**
 * A bay.
 */
export type ReadBay = { 
/**
 * Its begin.
 */
from: string, 
/**
 * Its end.
 */
to: string, 
/**
 * Greatest depth, nT.
 */
depth_nt: number, };

/**
 * A bin of a line.
 */
export type ReadBin = { 
/**
 * Angle from the zenith, degrees, positive toward the azimuth.
 */
zenith_angle_deg: number, 
/**
 * Altitude, degrees.
 */
alt_deg: number, 
/**
 * Latitude at the height assumed, degrees.
 */
latitude_deg: number | null, 
/**
 * Longitude there, degrees.
 */
longitude_deg: number | null, 
/**
 * Magnetic latitude there, as models of the oval use it, degrees.
 */
magnetic_latitude_deg: number | null, };

/**
 * Edges of the lit sky in a column.
 */
export type ReadBorder = { 
/**
 * When.
 */
at: string, 
/**
 * Zenith angle of the edge away from the line's azimuth (equatorward in a keogram), then of the one toward it, degrees.
 */
zenith_angle_deg: [number, number], 
/**
 * Their magnetic latitudes in the same order, degrees.
 */
magnetic_latitude_deg: [number | null, number | null], 
/**
 * Whether each lies beyond what the line shows.
 */
open: [boolean, boolean], };

/**
 * A sudden brightening.
 */
export type ReadBrightening = { 
/**
 * When it began.
 */
at: string, 
/**
 * "substorm candidate", "pseudobreakup", or "brightening".
 */
kind: string, 
/**
 * By how much the brightening part outgrew the rest.
 */
factor: number, 
/**
 * Where, degrees from the zenith along the line.
 */
zenith_angle_deg: number, 
/**
 * Magnetic latitude there, degrees.
 */
magnetic_latitude_deg: number | null, 
/**
 * Speed of the poleward border, km/s.
 */
poleward_km_s: number | null, 
/**
 * Seconds by which the sky came after the magnetic onset; negative: before it.
 */
after_magnetic_onset_s: number | null, };

/**
 * What kilorayleighs rest on.
 */
export type ReadCalibration = { 
/**
 * The frame that was calibrated.
 */
frame: string, 
/**
 * By stars; by settings otherwise.
 */
by_stars: boolean, 
/**
 * Whether they must be called estimates.
 */
is_estimate: boolean, 
/**
 * The true brightness is within this factor either way, one standard deviation of the scale; `None` in reports from before it
 * was kept.
 */
scale_factor: number | null, 
/**
 * What was fitted, assumed or left out.
 */
notes: Array<string>, };

/**
 * The period of a cell of sky that pulsates.
 */
export type ReadCellPeriod = { 
/**
 * First sample of its block.
 */
from: string, 
/**
 * Last sample.
 */
to: string, 
/**
 * Altitude of its middle, degrees.
 */
alt_deg: number, 
/**
 * Azimuth of its middle, degrees.
 */
az_deg: number, 
/**
 * Period, s.
 */
period_s: number, 
/**
 * Half of the width of its peak, s: its error where it is regular, the scatter of its intervals where it is not.
 */
period_sigma_s: number, 
/**
 * Whether it has one frequency, as far as the block can tell.
 */
is_regular: boolean, 
/**
 * Half the swing, as a share of the usual light.
 */
relative_amplitude: number, 
/**
 * Median time on, s.
 */
on_s: number | null, 
/**
 * Median time off, s.
 */
off_s: number | null, };

/**
 * A column of a keogram.
 */
export type ReadColumn = { 
/**
 * Its middle.
 */
at: string, 
/**
 * Frames in it.
 */
frames: number, 
/**
 * Light of each bin; `None` where there is none.
 */
values: Array<number | null>, };

/**
 * Motion along a line.
 */
export type ReadDrift = { 
/**
 * What was found, in words.
 */
words: string, 
/**
 * Speed at the height assumed, km/s, the height's own error counted; positive toward the line's azimuth.
 */
km_per_s: Estimate | null, 
/**
 * Angular speed at the zenith, degrees a second.
 */
deg_per_s: Estimate | null, 
/**
 * It cannot be told from the turning of the sky.
 */
like_the_stars: boolean, };

/**
 * A form over a stretch of time.
 */
export type ReadForm = { 
/**
 * First frame that shows it; `None` for a picture that says no time.
 */
from: string | null, 
/**
 * Last one.
 */
to: string | null, 
/**
 * Frames looked at that tell it by themselves; all of them where it cannot be told.
 */
frames: number, 
/**
 * Frames looked at in this stretch; 0 in reports from before it was kept, and for patches, which rest on all frames.
 */
looked_at: number, 
/**
 * Its name; `None` where the form cannot be told.
 */
name: string | null, 
/**
 * In the code of the International Auroral Atlas.
 */
code: string | null, 
/**
 * Chance that the name is right, 0 to 1 (judgement).
 */
confidence: number, 
/**
 * What was measured that says so, or why it cannot be told.
 */
reasons: Array<string>, 
/**
 * Its shape at the height assumed, where directions are known.
 */
shape: FormShape | null, 
/**
 * Where it lies against the oval, where directions, time and place are known.
 */
place: FormStand | null, 
/**
 * Middle of its light on the sky, where directions are known.
 */
middle: Horizontal | null, };

/**
 * The frames of a sequence.
 */
export type ReadFrames = { 
/**
 * Frames read.
 */
read: number, 
/**
 * Frames left out.
 */
skipped: number, 
/**
 * Those, the first hundred.
 */
skips: Array<SkippedFrame>, 
/**
 * Middle of the first exposure.
 */
first: string | null, 
/**
 * Middle of the last exposure.
 */
last: string | null, 
/**
 * Median time between frames, s.
 */
interval_s: number | null, 
/**
 * From first to last, s.
 */
span_s: number, 
/**
 * Longest time between frames, s.
 */
longest_gap_s: number, 
/**
 * Exposure of the first frame, s.
 */
exposure_s: number | null, 
/**
 * Frames whose light was scaled because exposure, ISO or aperture differed from the first's.
 */
rescaled: number, 
/**
 * Frames whose light was left as it is although it may not compare: they or the first one say an exposure, ISO or aperture
 * that the other does not.
 */
not_comparable: number, };

/**
 * A keogram or ewogram.
 */
export type ReadKeogram = { 
/**
 * Azimuth of the end toward which angles are positive, degrees.
 */
azimuth_deg: number, 
/**
 * Length of a column, s.
 */
column_s: number, 
/**
 * Whether its light is in kR of 557.7 nm.
 */
is_kilorayleighs: boolean, 
/**
 * The bins, from the far side to the azimuth's side.
 */
bins: Array<ReadBin>, 
/**
 * The columns in order of time.
 */
columns: Array<ReadColumn>, 
/**
 * Edges of the lit sky.
 */
borders: Array<ReadBorder>, };

/**
 * The lens of a sequence.
 */
export type ReadLens = { 
/**
 * Whether it is known.
 */
solved: boolean, 
/**
 * Why not.
 */
why_not: string | null, 
/**
 * The frame it was found on.
 */
frame: string | null, 
/**
 * Stars it rests on.
 */
stars: number | null, 
/**
 * How far they lie from their places, root mean square, px.
 */
residual_px: number | null, 
/**
 * Altitude of the middle of the picture, degrees.
 */
alt_deg: number | null, 
/**
 * Azimuth of the middle, degrees.
 */
az_deg: number | null, 
/**
 * Directions as somebody said, where the stars do not tell them.
 */
assumed: AssumedDirections | null, 
/**
 * The edge of the picture on the sky, all around; empty where the lens makes no image at some of it.
 */
outline: Array<Horizontal>, };

/**
 * Shares of the lines in the photons of the aurora, 0 to 1: medians over the frames that tell them, and of the ends of their ranges.
 */
export type ReadLineShares = { 
/**
 * Frames that show aurora and tell its colours.
 */
frames: number, 
/**
 * Blue of nitrogen, 427.8 nm and its like.
 */
blue_4278: Estimate, 
/**
 * Green of oxygen, 557.7 nm.
 */
green_5577: Estimate, 
/**
 * Red of oxygen, 630.0 nm, known to a factor of two; a red lower border, of nitrogen, is not told from it.
 */
red_6300: Estimate, 
/**
 * The frame with the most red, where its range lies above that of the whole.
 */
reddest: ReadReddest | null, };

/**
 * What a magnetogram says.
 */
export type ReadMagnetic = { 
/**
 * The station.
 */
station: string, 
/**
 * The component looked through.
 */
element: string, 
/**
 * Its quiet level, nT.
 */
quiet_nt: number, 
/**
 * What that level is from, in words; empty in reports from before it was kept.
 */
quiet_basis: string, 
/**
 * Depth below the quiet level from which a fall is called a bay, nT; 0 in reports from before it was kept.
 */
least_depth_nt: number, 
/**
 * Bays of that depth or more, half an hour before the frames to half an hour after; all of the record where no frame has a
 * time, and in reports from before the others were counted.
 */
bays: Array<ReadBay>, 
/**
 * Bays at other times of the record.
 */
bays_elsewhere: number, 
/**
 * Onsets of the time that bays are given for.
 */
onsets: Array<ReadOnset>, 
/**
 * Onsets at other times of the record.
 */
onsets_elsewhere: number, 
/**
 * Share of the samples that is there, 0 to 1.
 */
coverage: number, 
/**
 * Share of the frames' own time of which the record has values, 0 to 1; `None` where no frame has a time, and in reports from
 * before it was kept.
 */
frames_covered: number | null, 
/**
 * Lone samples of the record that were taken for spikes; bays and onsets do not count them, the curve below shows them.
 */
spikes: number, 
/**
 * Steps of the base line that were taken out before bays and onsets were looked for, the first hundred.
 */
steps: number, 
/**
 * Minutes that could not be tried for an onset because of gaps; `None` where the record is coarser than a minute.
 */
untried_minutes: number | null, 
/**
 * Rows of the file that were left out because they cannot be true.
 */
rejected_rows: number, 
/**
 * The component around the frames as the file has it, thinned; empty in reports from before it was kept.
 */
trace: Array<MagneticPoint>, };

/**
 * A magnetic onset.
 */
export type ReadOnset = { 
/**
 * The last minute before the fall.
 */
at: string, 
/**
 * Whether it is likely, or only possible.
 */
likely: boolean, 
/**
 * Fall to the deepest minute, nT.
 */
depth_nt: number, };

/**
 * Neighbouring cells that pulsate with one period.
 */
export type ReadPatch = { 
/**
 * First sample of its block.
 */
from: string, 
/**
 * Last sample.
 */
to: string, 
/**
 * Period, s.
 */
period_s: number, 
/**
 * Altitude of its middle, degrees.
 */
alt_deg: number, 
/**
 * Azimuth of its middle, degrees.
 */
az_deg: number, 
/**
 * Half the swing, as a share of the usual light.
 */
relative_amplitude: number, 
/**
 * Cells in it.
 */
cells: number, 
/**
 * Median time on of its cells, s.
 */
on_s: number | null, 
/**
 * Median time off, s.
 */
off_s: number | null, };

/**
 * Pulsation and flicker.
 */
export type ReadPulsation = { 
/**
 * Blocks of time that were judged.
 */
blocks: number, 
/**
 * Cells of sky judged in the fullest of them.
 */
cells_judged: number, 
/**
 * Patches that pulsate, the first hundred.
 */
patches: Array<ReadPatch>, 
/**
 * Periods that are no pulsation of one direction, by standing: how many cells.
 */
other: Array<OtherPeriod>, 
/**
 * Mean spectrum of each block, the first hundred; empty in reports from before it was kept.
 */
spectra: Array<ReadSpectrum>, 
/**
 * Period of each cell that pulsates, block after block, the first two thousand; empty in reports from before it was kept.
 */
period_map: Array<ReadCellPeriod>, };

/**
 * When red was strongest.
 */
export type ReadReddest = { 
/**
 * When.
 */
at: string, 
/**
 * Share of 630.0 nm then.
 */
red_6300: Estimate, };

/**
 * What a sequence says.
 */
export type ReadReport = { 
/**
 * What was asked.
 */
request: ReadRequest, 
/**
 * The frames.
 */
frames: ReadFrames, 
/**
 * The lens, and which way it looked.
 */
lens: ReadLens, 
/**
 * In what light is counted: kilorayleighs of 557.7 nm above the sky's own light where `calibration` is there; else a share of
 * full scale or the file's own numbers, at the settings of the first frame.
 */
unit: string, 
/**
 * What kilorayleighs rest on; `None` where light is relative.
 */
calibration: ReadCalibration | null, 
/**
 * Whether frames showed aurora.
 */
aurora: ReadAurora, 
/**
 * Forms by stretch of time; those that could not be told have no name.
 */
forms: Array<ReadForm>, 
/**
 * Light against time: over all of the sky seen where the lens is known (unit times sr), else the mean of the picture.
 */
light: Array<LightPoint>, 
/**
 * Light along the line asked for.
 */
keogram: ReadKeogram | null, 
/**
 * Light across the magnetic meridian, magnetic east positive.
 */
ewogram: ReadKeogram | null, 
/**
 * Sudden brightenings of the keogram; `None` where they could not be looked for.
 */
brightenings: Array<ReadBrightening> | null, 
/**
 * Motion along the keogram's line.
 */
drift: ReadDrift | null, 
/**
 * Motion across the magnetic meridian, along the ewogram's line; `None` in reports from before it was kept.
 */
drift_across: ReadDrift | null, 
/**
 * Pulsation and flicker; `None` without a lens.
 */
pulsation: ReadPulsation | null, 
/**
 * What the frames could not have shown.
 */
limits: Array<string>, 
/**
 * What the magnetogram says.
 */
magnetic: ReadMagnetic | null, 
/**
 * Kp and solar wind of the frames' time, as stored when they were read; `None` where nobody looked for them.
 */
space: ReadSpace | null, 
/**
 * What happened, in words, each line with what it rests on.
 */
account: Array<AccountLine>, };

/**
 * A sequence to read; its frames come beside it.
 */
export type ReadRequest = { 
/**
 * The folder or file it is from.
 */
name: string, 
/**
 * The folders and files it is made of, where they are known: by them its frames are found again.
 */
inputs: Array<string>, 
/**
 * How far the camera's clock was said to be ahead of UTC, s, for files that do not say.
 */
utc_offset_s: number | null, 
/**
 * Where the camera stood; `None` takes what the frames say.
 */
position: GeoPosition | null, 
/**
 * Height at which the light is taken to be, km, 60 to 1000.
 */
height_km: number, 
/**
 * One standard deviation of that height, km.
 */
height_sigma_km: number, 
/**
 * Azimuth of the keogram's line, degrees from true north through east; `None` is the magnetic meridian, poleward.
 */
azimuth_deg: number | null, 
/**
 * Camera and lens; where its lens was found on another frame, stars are only asked where it points.
 */
kit: Kit | null, 
/**
 * Kp of the time, 0 to 9: forms are then set against the oval.
 */
kp: number | null, 
/**
 * Where the camera looked, for frames whose stars do not tell it.
 */
assumed: AssumedView | null, };

/**
 * Kp and solar wind over the time of the frames, from stored feeds.
 */
export type ReadSpace = { 
/**
 * Intervals of Kp that touch the time of the frames.
 */
kp: Array<KpInterval>, 
/**
 * Who says them; empty without any.
 */
kp_source: string, 
/**
 * When they were issued, where that is known.
 */
kp_issued_at: string | null, 
/**
 * The interval whose Kp was taken for the oval and the magnetogram, because nobody gave one.
 */
kp_taken: KpInterval | null, 
/**
 * The solar wind that arrived in that time, thinned.
 */
wind: Array<ReadWind>, 
/**
 * Who measured it, and how it was moved to Earth; empty without any.
 */
wind_source: string, 
/**
 * When the store was asked.
 */
asked_at: string | null, };

/**
 * The mean spectrum of the cells of sky in a block of time.
 */
export type ReadSpectrum = { 
/**
 * First sample of the block.
 */
from: string, 
/**
 * Last sample.
 */
to: string, 
/**
 * Frames averaged to one sample.
 */
frames_averaged: number, 
/**
 * Cells that it is the mean of.
 */
cells: number, 
/**
 * Frequencies, Hz, thinned.
 */
frequencies_hz: Array<number>, 
/**
 * Power at each: the share of a cell's variance that one sinusoid explains, 0 to 1.
 */
powers: Array<number>, 
/**
 * Lowest and highest frequency that these samples could show, Hz: by length, sample rate and exposure.
 */
shown_hz: [number, number], 
/**
 * Samples a second.
 */
frame_rate_hz: number, 
/**
 * Period that all of the sky shares, s.
 */
common_period_s: number | null, };

/**
 * The solar wind as it reached Earth.
 */
export type ReadWind = { 
/**
 * When it reached Earth.
 */
at: string, 
/**
 * Component of its field along the GSM z axis, nT; negative is southward.
 */
bz_nt: number, 
/**
 * Speed, km/s.
 */
speed_km_s: number, 
/**
 * Protons per cm³, where measured.
 */
density_cm3: number | null, };

/**
 * A frame that was left out.
 */
export type SkippedFrame = { 
/**
 * Its name.
 */
name: string, 
/**
 * Why.
 */
reason: string, };

/**
 * One group of chances and how often they came true.
 */
export type ReliabilityRow = { 
/**
 * Lower end of the group, 0..1, included.
 */
from: number, 
/**
 * Upper end, 0..1, included in the last group only.
 */
to: number, 
/**
 * Outings in it.
 */
count: number, 
/**
 * Of them, those that came true.
 */
came_true: number, 
/**
 * Mean chance given, 0..1.
 */
mean_chance: number, 
/**
 * Share that came true, 0..1.
 */
share: number, 
/**
 * Lower end of the 95 % interval of that share (Wilson 1927, doi 10.1080/01621459.1927.10502953).
 */
share_low: number, 
/**
 * Upper end of that interval.
 */
share_high: number, };

/**
 * What the scores answer.
 */
export type ScoresReport = { 
/**
 * The record in one honest line.
 */
past_skill: string, 
/**
 * Outings that count: those with a prediction before the event and a word on the eye.
 */
kept: number, 
/**
 * Whether these outings are invented; true only where there is none of one's own.
 */
invented: boolean, 
/**
 * Fewest outings from which this report judges.
 */
fewest_to_judge: number, 
/**
 * The chances for an eye.
 */
eye: ChanceScores, 
/**
 * The chances for the kit.
 */
camera: ChanceScores, 
/**
 * The brightness; none where no outing has both.
 */
brightness: BrightnessBias | null, 
/**
 * Outings lost to cloud.
 */
lost_to_cloud: number, 
/**
 * Outings left out because the outlook was asked for after the moment it speaks of.
 */
left_out_hindsight: number, 
/**
 * How to read these numbers, and where they stop being good.
 */
limits: Array<string>, };

/**
 * What the almanac is asked.
 */
export type AlmanacRequest = { 
/**
 * The instant.
 */
at: string, 
/**
 * The place.
 */
position: GeoPosition, };

/**
 * Where a body stands.
 */
export type BodyPosition = { 
/**
 * Altitude of the centre without air, degrees.
 */
altitude_deg: number, 
/**
 * Altitude as seen through standard air, degrees.
 */
apparent_altitude_deg: number, 
/**
 * Azimuth from true north through east, degrees.
 */
azimuth_deg: number, 
/**
 * Distance from the observer, km.
 */
distance_km: number, };

/**
 * The direction in which the aurora stands out most.
 */
export type BrightestPatch = { 
/**
 * Where to look.
 */
direction: Horizontal, 
/**
 * The mean oval there, after extinction, kR.
 */
mean_kr: LineBrightness, 
/**
 * Green light of the brightest arc to be expected, kR.
 */
brightest_arc_kr: Estimate, 
/**
 * Where `brightest_arc_kr` falls on the International Brightness scale, and what that looks like
 * ("IBC I-II, grey glow").
 */
looks_like: string, 
/**
 * Sky without aurora in that direction, mag/arcsec².
 */
background_mag_arcsec2: Estimate, };

/**
 * A camera body, as far as light is concerned.
 */
export type CameraBody = { 
/**
 * What its owner calls it.
 */
name: string, 
/**
 * Distance between pixel centres, micrometres.
 */
pixel_um: number, 
/**
 * Picture width, pixels.
 */
width_px: number, 
/**
 * Picture height, pixels.
 */
height_px: number, 
/**
 * Peak quantum efficiency of the red, green and blue pixels, filter included, 0..1.
 */
peak_quantum_efficiency: [number, number, number], 
/**
 * Read noise at the ISO used at night, electrons.
 */
read_noise_e: number, 
/**
 * Full well at base ISO, electrons.
 */
full_well_e: number, 
/**
 * Base ISO.
 */
base_iso: number, };

/**
 * What an advice is about.
 */
export type AdviceSubject = "file" | "scene" | "focus" | "motion" | "clipping" | "exposure" | "glass";

/**
 * Clipping of one channel.
 */
export type ChannelClipping = { 
/**
 * Which.
 */
channel: CheckedChannel, 
/**
 * Share of its pixels that are full, 0..1.
 */
share: number, 
/**
 * Share of its pixels that are full in patches too large for lamps and stars, 0..1.
 */
sky_share: number, 
/**
 * The others: stars, lamps, the moon.
 */
lights_share: number, 
/**
 * Stops from the brightest thousandth of the sky to full.
 */
spare_stops: Estimate, };

/**
 * One thing to change.
 */
export type CheckAdvice = { 
/**
 * How soon.
 */
urgency: Urgency, 
/**
 * About what.
 */
about: AdviceSubject, 
/**
 * In plain words, a sentence or two.
 */
text: string, };

/**
 * What one frame says: what is wrong first, then the numbers.
 */
export type CheckReport = { 
/**
 * What the file is called.
 */
file: string, 
/**
 * The most urgent advice, in one sentence.
 */
summary: string, 
/**
 * What to change, the most urgent first.
 */
advice: Array<CheckAdvice>, 
/**
 * What to dial in for the next frame, where the settings of this one are known.
 */
next: NextSettings | null, 
/**
 * What the picture shows.
 */
scene: CheckedScene, 
/**
 * Why that is said.
 */
scene_why: string, 
/**
 * Whether the moon lit the sky; `None` where place or time is not known.
 */
moonlit: boolean | null, 
/**
 * What the file is ("JPEG"); `None` where it cannot be read.
 */
kind: string | null, 
/**
 * Width and height as stored, px.
 */
size_px: [number, number] | null, 
/**
 * When it was taken.
 */
taken: CheckedTime | null, 
/**
 * How it was taken.
 */
settings: CheckedSettings, 
/**
 * Stars found.
 */
stars: CheckedStars, 
/**
 * Focus; `None` where it was not judged.
 */
focus: CheckedFocus | null, 
/**
 * Movement; `None` where it was not judged.
 */
motion: CheckedMotion | null, 
/**
 * Lens and direction by the stars, or why not; `None` only in reports of before that was said.
 */
lens: CheckedLens | null, 
/**
 * How bright the sky is in the picture; `None` where that cannot be said.
 */
sky: CheckedSky | null, 
/**
 * The sky's own light between stars and aurora, V magnitudes for each square arcsecond; `None` where nothing gives a
 * scale.
 */
sky_mag_arcsec2: Estimate | null, 
/**
 * Share of the sky in the frame that cloud hides, 0..1; `None` where that cannot be told.
 */
cloud_fraction: Estimate | null, 
/**
 * What cloud was told by; `None` where it cannot be told.
 */
cloud_method: "catalogue_stars" | "star_density" | "colour" | null, 
/**
 * Share of the frame that is no sky (of a fisheye's circle, where it draws one), 0..1; `None` where that cannot be told.
 */
foreground_fraction: Estimate | null, 
/**
 * Sun or moon in the frame; `None` where none is found for sure.
 */
body: CheckedBody | null, 
/**
 * The aurora; `None` for a file that cannot be read.
 */
aurora: CheckedAurora | null, 
/**
 * Clipping, channel by channel.
 */
clipping: Array<ChannelClipping>, 
/**
 * What this report does not hold, in words.
 */
not_measured: Array<string>, 
/**
 * What the file says and is not believed.
 */
doubts: Array<string>, 
/**
 * What was assumed, left out or odd.
 */
notes: Array<string>, };

/**
 * A frame to look at; its bytes come beside it.
 */
export type CheckRequest = { 
/**
 * What the file is called.
 */
name: string, 
/**
 * Camera and lens, where they are known better than the file says.
 */
kit: Kit | null, 
/**
 * Where it was taken; `None` leaves it to the file.
 */
position: GeoPosition | null, 
/**
 * When it was taken; `None` leaves it to the file.
 */
at: string | null, 
/**
 * What time it is now: a clock that is far ahead of it is doubted or not believed; `None` believes every clock.
 */
now: string | null, 
/**
 * Half-flux diameter of the sharpest stars known of this lens on this camera, px.
 */
sharpest_hfd_px: number | null, };

/**
 * A channel of a picture.
 */
export type CheckedChannel = "red" | "green" | "blue" | "grey";

/**
 * Focus of a frame.
 */
export type CheckedFocus = { 
/**
 * The verdict.
 */
state: "sharp" | "soft" | "defocused" | "donut" | "cannot_tell", 
/**
 * Half-flux diameter of the typical star across its long axis, px.
 */
hfd_px: Estimate | null, 
/**
 * That over the sharpest known of the lens.
 */
over_sharpest: Estimate | null, 
/**
 * Whether stars are even discs or rings, without a core.
 */
disc: boolean, 
/**
 * The verdict and its reasons.
 */
words: Array<string>, 
/**
 * Where stars are narrowest and widest; `None` where fewer than two parts of the frame say so.
 */
parts: FocusParts | null, 
/**
 * Width over the frame, px, row by row from the top left; `null` where too few stars say so.
 */
map: WidthMap, };

/**
 * Lens and direction of a frame by its stars.
 */
export type CheckedLens = { 
/**
 * Whether the stars say so: an answer that chance might have made is none.
 */
solved: boolean, 
/**
 * Whether they were asked at all: not where a picture shows no night.
 */
asked: boolean, 
/**
 * Why not, and what may help.
 */
why_not: string | null, 
/**
 * How the lens maps angles.
 */
projection: LensProjection | null, 
/**
 * Right ascension of the picture's middle as stored, J2000, degrees.
 */
ra_deg: number | null, 
/**
 * Its declination, degrees.
 */
dec_deg: number | null, 
/**
 * Position angle of the picture's up there, east of north, degrees.
 */
roll_deg: number | null, 
/**
 * Whether the picture shows the sky as in a mirror.
 */
mirrored: boolean | null, 
/**
 * Field across and down, degrees.
 */
field_deg: [number, number] | null, 
/**
 * Root mean square distance of catalogue and picture, px.
 */
residual_px: number | null, 
/**
 * Stars matched.
 */
matched: number | null, 
/**
 * Altitude of the middle, degrees, where place and time are known and fit.
 */
alt_deg: number | null, 
/**
 * Azimuth of the middle, degrees.
 */
az_deg: number | null, 
/**
 * Whether the time and place named would put these stars below the horizon.
 */
contradicts_time: boolean, 
/**
 * The lens alone, for the kit; `None` where it was not found.
 */
profile: LensProfile | null, };

/**
 * What moved during a frame.
 */
export type CheckedMotion = { 
/**
 * The verdict.
 */
kind: "held" | "trailing" | "shaken" | "turned" | "lens" | "sky_or_camera" | "cannot_tell", 
/**
 * Length of the trails in the middle, px; where stars appear twice, the step from one image to the other.
 */
length_px: Estimate | null, 
/**
 * Whether stars appear twice: the camera was knocked, and stood still before and after.
 */
twice: boolean, 
/**
 * Their direction, from +x towards +y (down), degrees.
 */
angle_deg: number | null, 
/**
 * Longest trail that the turning sky makes in this time, px.
 */
sky_px: number | null, 
/**
 * The verdict and its reasons.
 */
words: Array<string>, };

/**
 * What a picture shows.
 */
export type CheckedScene = "night_sky" | "twilight" | "moonlit" | "day" | "dark" | "not_a_photograph" | "unreadable" | "cannot_tell";

/**
 * How a frame was taken, as its file says.
 */
export type CheckedSettings = { 
/**
 * Shutter time, s.
 */
exposure_s: number | null, 
/**
 * ISO.
 */
iso: number | null, 
/**
 * F-number; that of the kit where the lens tells the camera nothing.
 */
f_number: number | null, 
/**
 * Focal length, mm; that of the kit likewise.
 */
focal_mm: number | null, 
/**
 * Maker and body.
 */
camera: string | null, 
/**
 * The body's serial number, as its file says: it tells two bodies of one model apart.
 */
camera_serial: string | null, 
/**
 * Lens.
 */
lens: string | null, 
/**
 * What one pixel sees in the middle, arcseconds.
 */
pixel_arcsec: Estimate | null, };

/**
 * How bright the sky is in a picture: aurora and all, where the stars are.
 */
export type CheckedSky = { 
/**
 * Median of the green channel, share of full scale, as light.
 */
level: number, 
/**
 * Where that stands from mid-grey by ISO 12232, stops; negative is darker.
 */
mid_grey_stops: Estimate, 
/**
 * Luminance that those settings turn into it, cd/m2, where they are known.
 */
luminance_cd_m2: Estimate | null, 
/**
 * The same in electrons; `None` for developed pictures, whose numbers are no light, and without a kit.
 */
electrons: SkyElectrons | null, 
/**
 * Share of the frame that was taken for sky, 0..1.
 */
area_share: number, };

/**
 * The sky of a raw picture in electrons of the kit's sensor.
 */
export type SkyElectrons = { 
/**
 * Electrons in a green photosite at the median of the sky.
 */
in_green: Estimate, 
/**
 * Shot noise of them over the read noise: from about 3 on the read noise no longer counts (their squares add).
 */
noise_over_read: Estimate, };

/**
 * The aurora in a frame.
 */
export type CheckedAurora = { 
/**
 * Whether there is one.
 */
present: "yes" | "no" | "cannot_tell", 
/**
 * How probable that is, 0..1: a judgement from named pieces of evidence.
 */
probability: number, 
/**
 * Its brightest hundredth, in kR of 557.7 nm that give the green channel as much light.
 */
brightest_kr: Estimate | null, 
/**
 * Median over its cells, kR likewise.
 */
median_kr: Estimate | null, 
/**
 * Whether too little sky is free of aurora to take the sky's own light off: both are then least values.
 */
is_least: boolean, 
/**
 * Share of the sky in the frame that shows it, 0..1.
 */
extent: Estimate | null, 
/**
 * What its light is made of, in shares of its rayleighs; `None` for grey pictures and without aurora.
 */
lines: AuroraLines | null, 
/**
 * What it looks like ("a band with rays"); `None` without aurora.
 */
form: string | null, 
/**
 * Why that is said, the weightiest first.
 */
words: Array<string>, };

/**
 * Shares of the three lines in the rayleighs of an aurora.
 */
export type AuroraLines = { 
/**
 * Blue, 427.8 nm and its like.
 */
blue_4278: Estimate, 
/**
 * Green, 557.7 nm.
 */
green_5577: Estimate, 
/**
 * Red, 630.0 nm.
 */
red_6300: Estimate, };

/**
 * Which of the two a bright disc is.
 */
export type BodyInFrame = "moon" | "sun" | "sun_or_moon";

/**
 * Sun or moon in a frame.
 */
export type CheckedBody = { 
/**
 * Which.
 */
body: BodyInFrame, 
/**
 * Middle of its disc, px of the frame as stored.
 */
position_px: [number, number], 
/**
 * How sure that is, 0..1: a judgement.
 */
confidence: number, };

/**
 * Stars of a frame.
 */
export type CheckedStars = { 
/**
 * How many were found. Lamps as sharp as stars count among them.
 */
count: number, 
/**
 * Stars of the catalogue in the picture; `None` where the lens is not known. From 20 of those found on, the widths here,
 * the focus and the movement are theirs alone.
 */
matched: number | null, 
/**
 * Whether they are alike enough to be stars.
 */
alike: boolean, 
/**
 * Median diameter of the circle with half of a star's light, px.
 */
hfd_px: number | null, 
/**
 * Median full width at half maximum, px.
 */
fwhm_px: number | null, 
/**
 * `1 - b/a` of the typical star.
 */
elongation: number | null, 
/**
 * Its long axis, from +x towards +y (down), degrees.
 */
angle_deg: number | null, };

/**
 * When a frame was taken.
 */
export type CheckedTime = { 
/**
 * What the camera's clock showed; `None` where only the instant was given.
 */
local: string | null, 
/**
 * How far that clock is ahead of UTC, s, where it is known.
 */
utc_offset_s: number | null, 
/**
 * The instant, where it is known.
 */
utc: string | null, 
/**
 * Who says so.
 */
source: TimeSource, };

/**
 * What to dial in for the next frame: an estimate that closes the loop from this one.
 */
export type NextSettings = { 
/**
 * Shutter time, s.
 */
exposure_s: number, 
/**
 * ISO.
 */
iso: number, 
/**
 * F-number, where it is known; as it was.
 */
f_number: number | null, 
/**
 * As a photographer reads it: "8 s, f/1.8, ISO 2000".
 */
dial: string, 
/**
 * Light and ISO together against this frame, stops; 0 keeps them.
 */
change_stops: Estimate, 
/**
 * Why, and how sure.
 */
why: string, };

/**
 * What a camera's clock must be corrected by.
 */
export type ClockCorrection = { 
/**
 * Part of the camera's name; `None` for every camera.
 */
camera: string | null, 
/**
 * To be added to what the camera says, s.
 */
seconds: number, };

/**
 * Who says how a clock is off.
 */
export type ClockSource = "camera" | "given" | "stars";

/**
 * Why a frame is a dud.
 */
export type DudKind = "unreadable" | "cut_short" | "copy" | "dark" | "underexposed" | "burnt_out" | "soft" | "trailed" | "shaken" | "cloud" | "stars_lost" | "lamp_swept" | "moon_flare" | "no_aurora" | "daylight" | "not_a_photograph";

/**
 * A fault of a frame with its measure.
 */
export type DudReason = { 
/**
 * What kind of fault.
 */
kind: DudKind, 
/**
 * What was measured, in the unit that the words name; `None` where nothing is a number.
 */
value: number | null, 
/**
 * From where on that is a fault in this night with this lens.
 */
threshold: number | null, 
/**
 * In words, with the numbers: "stars 3.1 px wide against this night's best 1.7".
 */
words: string, };

/**
 * Frames that belong together.
 */
export type FrameSequence = { 
/**
 * How.
 */
kind: SequenceKind, 
/**
 * Index of the camera.
 */
camera: number | null, 
/**
 * Indices into the report's frames, in order.
 */
frames: Array<number>, 
/**
 * Median time from one start to the next, s.
 */
interval_s: number | null, 
/**
 * In words: "time-lapse of 412 frames every 6 s, 21:40 to 22:21".
 */
words: string, };

/**
 * What is to become of a frame.
 */
export type FrameVerdict = "keep" | "spare" | "dud" | "undecided";

/**
 * What a person says about a frame.
 */
export type PersonVerdict = "keep" | "dud" | "undecided";

/**
 * How many frames have a fault.
 */
export type ReasonCount = { 
/**
 * The fault.
 */
kind: DudKind, 
/**
 * In how many frames.
 */
frames: number, };

/**
 * One place of the sky on two frames.
 */
export type SamePlace = { 
/**
 * Place on the first frame as shown, px from the middle of its first pixel.
 */
first_px: [number, number], 
/**
 * The same on the second.
 */
second_px: [number, number], 
/**
 * Whether both are one star; if not, they are one place of the frame.
 */
on_star: boolean, 
/**
 * How the two are held together, in words.
 */
words: string, };

/**
 * How frames belong together.
 */
export type SequenceKind = "time_lapse" | "burst" | "panorama" | "focus_series" | "loose";

/**
 * A night's frames: which to keep, and why each dud is a dud.
 */
export type SortReport = { 
/**
 * The night in one sentence.
 */
summary: string, 
/**
 * How many frames; a raw file and the JPEG beside it are one.
 */
frames_total: number, 
/**
 * How many to keep.
 */
keepers: number, 
/**
 * How many duds.
 */
duds: number, 
/**
 * Good frames that are not among the keepers.
 */
spare: number, 
/**
 * Frames of which nothing can be said.
 */
undecided: number, 
/**
 * Duds by reason, the most frequent first. A frame with two reasons counts in both.
 */
reasons: Array<ReasonCount>, 
/**
 * Indices into `frames` of the keepers, the best first.
 */
best: Array<number>, 
/**
 * The frames in the order of time; those without one at the end, by name.
 */
frames: Array<SortedFrame>, 
/**
 * What belongs together.
 */
sequences: Array<FrameSequence>, 
/**
 * The cameras with their clocks.
 */
cameras: Array<SortedCamera>, 
/**
 * What was assumed, left out or odd.
 */
notes: Array<string>, };

/**
 * A night's frames to cull; what was measured on each comes beside it as [`MeasuredFrame`]s.
 */
export type SortRequest = { 
/**
 * Corrections of the cameras' clocks that are known.
 */
clock: Array<ClockCorrection>, 
/**
 * Take a correction from the stars where they say one and none is given.
 */
clock_from_stars: boolean, 
/**
 * Where the frames were taken.
 */
position: GeoPosition | null, 
/**
 * How far the cameras' clocks are ahead of UTC, s, for cameras that do not say.
 */
utc_offset_s: number | null, 
/**
 * Keepers wanted at most; `None` lets the night decide.
 */
keep: number | null, };

/**
 * A camera of the night and its clock.
 */
export type SortedCamera = { 
/**
 * Maker and body, as its files say.
 */
name: string, 
/**
 * Frames.
 */
frames: number, 
/**
 * Added to its clock, s.
 */
correction_s: number, 
/**
 * Who says so.
 */
correction_by: ClockSource, 
/**
 * What the stars say the clock must be corrected by, s, where they do.
 */
by_stars_s: Estimate | null, 
/**
 * In words, where there is anything to say.
 */
words: string | null, 
/**
 * Width of the sharpest stars of this night with this camera, px.
 */
best_hfd_px: number | null, };

/**
 * A frame with its place among the others.
 */
export type SortedFrame = { 
/**
 * Path of the measured file below the folder.
 */
name: string, 
/**
 * Other files of the same exposure.
 */
companions: Array<string>, 
/**
 * Hash of its content.
 */
content_hash: string, 
/**
 * Size of the file.
 */
bytes: number, 
/**
 * When it was taken, with the clock's correction: UTC.
 */
utc: string | null, 
/**
 * What the camera's clock showed.
 */
local: string | null, 
/**
 * What it would have shown, had it been right.
 */
local_corrected: string | null, 
/**
 * Index of its camera in the report.
 */
camera: number | null, 
/**
 * Index of its sequence in the report.
 */
sequence: number, 
/**
 * What is to become of it.
 */
verdict: FrameVerdict, 
/**
 * Whether a person said so.
 */
person: PersonVerdict | null, 
/**
 * XMP rating: -1 rejected, 1 to 5; `None` where nothing can be said.
 */
rating: number | null, 
/**
 * Why it is a dud, the plainest first.
 */
reasons: Array<DudReason>, 
/**
 * Why it is kept, or what it stands behind, in a few words.
 */
why: string, 
/**
 * Index of the keeper that shows nearly the same.
 */
like: number | null, 
/**
 * How good it is among this night's, 0..1; `None` for duds and the undecided.
 */
score: number | null, 
/**
 * The numbers it rests on.
 */
measures: SortedMeasures, };

/**
 * The numbers of a frame in one row, for tables.
 */
export type SortedMeasures = { 
/**
 * What the picture shows.
 */
scene: CheckedScene | null, 
/**
 * Shutter time, s.
 */
exposure_s: number | null, 
/**
 * ISO.
 */
iso: number | null, 
/**
 * F-number.
 */
f_number: number | null, 
/**
 * Focal length, mm.
 */
focal_mm: number | null, 
/**
 * Stars found.
 */
stars: number | null, 
/**
 * Median diameter of the circle with half of a star's light, px.
 */
hfd_px: number | null, 
/**
 * `1 - b/a` of the typical star.
 */
elongation: number | null, 
/**
 * Length of the trails, px.
 */
trail_px: number | null, 
/**
 * Level of the sky from mid-grey, stops.
 */
sky_stops: number | null, 
/**
 * Share of pixels that are full in the sky, of the channel with most, 0..1.
 */
clipped_share: number | null, 
/**
 * Share of the sky under cloud, 0..1.
 */
cloud_fraction: number | null, 
/**
 * What cloud was told by.
 */
cloud_method: "catalogue_stars" | "star_density" | "colour" | null, 
/**
 * Chance that there is aurora in it, 0..1.
 */
aurora_probability: number | null, 
/**
 * Its brightest part, kR.
 */
aurora_brightest_kr: number | null, 
/**
 * Share of the sky that it covers, 0..1.
 */
aurora_extent: number | null, 
/**
 * Right ascension of the middle, degrees.
 */
ra_deg: number | null, 
/**
 * Declination of the middle, degrees.
 */
dec_deg: number | null, 
/**
 * Share of the frame that a passing light made brighter, 0..1.
 */
lamp_share: number | null, 
/**
 * Share of the frame within the moon's glare, 0..1.
 */
glare_share: number | null, };

/**
 * A ninth of the picture.
 */
export type EyeRegionSeen = { 
/**
 * Where ("upper left").
 */
place: string, 
/**
 * 557.7 nm of its brightest patch at the ground, kR.
 */
brightest_kr: Estimate, 
/**
 * How that patch looks.
 */
seen: SeenAurora, };

/**
 * Shares of the aurora's area in the picture by how it looks; they add up to 1. A model's numbers: estimates.
 */
export type EyeShares = { 
/**
 * Share of the picture that holds aurora, 0..1.
 */
aurora: number, 
/**
 * Not seen, 0..1.
 */
vanished: number, 
/**
 * Grey.
 */
grey: number, 
/**
 * With a hint of colour.
 */
hint_of_colour: number, 
/**
 * In plain colour.
 */
plain_colour: number, };

/**
 * What a person saw of a frame's sky.
 */
export type TellEyeReport = { 
/**
 * What the file is called.
 */
file: string, 
/**
 * What the eye saw and what the camera shows, in one sentence.
 */
verdict: string, 
/**
 * What must stand under the picture: that it is a simulation, and for whom.
 */
caption: string, 
/**
 * Why there is no eye view; `None` where there is one.
 */
why_not: string | null, 
/**
 * How long without white light, and which field factor.
 */
minutes_since_white_light: number, 
/**
 * See [`crate::TellEyeRequest::field_factor`].
 */
field_factor: number, 
/**
 * The aurora's brightest hundredth above the air, kR of 557.7 nm.
 */
brightest_kr: Estimate | null, 
/**
 * Its median, likewise.
 */
median_kr: Estimate | null, 
/**
 * The class of the brightest on the International Brightness scale ("I-II").
 */
ibc: string | null, 
/**
 * How the brightest looks to this person.
 */
seen: SeenAurora | null, 
/**
 * How it would look at the lower and the upper end of its range.
 */
seen_between: [SeenAurora, SeenAurora] | null, 
/**
 * The sky's own light, V magnitudes for each square arcsecond.
 */
sky_mag_arcsec2: Estimate | null, 
/**
 * Faintest wide glow of 557.7 nm without edges that this person sees on this sky, kR at the ground. The range is that from
 * trained to hurried observers.
 */
faintest_kr: Estimate | null, 
/**
 * 557.7 nm from which the first hint of green comes, kR at the ground: a model.
 */
colour_from_kr: Estimate | null, 
/**
 * Where sight and colour begin for each line of an aurora by itself, the violet, the green and the red.
 */
line_limits: Array<EyeLineLimit>, 
/**
 * What of the aurora vanished, stayed grey, had colour.
 */
shares: EyeShares | null, 
/**
 * The ninths of the picture with aurora, row by row from the top left as shown.
 */
regions: Array<EyeRegionSeen>, 
/**
 * How the numbers were come by, each in one sentence.
 */
basis: Array<string>, 
/**
 * What was assumed or left out.
 */
notes: Array<string>, };

/**
 * A frame to be seen with an eye's limits; its bytes come beside it.
 */
export type TellEyeRequest = { 
/**
 * The frame, as a check takes it.
 */
frame: CheckRequest, 
/**
 * Minutes that the person had been without white light.
 */
minutes_since_white_light: number, 
/**
 * How much more contrast the person needs than one in the laboratory: 2 is typical, 1.4 trained, 2.4 hurried.
 */
field_factor: number, 
/**
 * Longest side of the pictures, px.
 */
longest_px: number, };

/**
 * Who says when a frame was taken.
 */
export type TimeSource = "given" | "camera" | "camera_and_satellites" | "camera_without_zone" | "file_name" | "still_to_come";

/**
 * How soon an advice matters.
 */
export type Urgency = "now" | "soon" | "note" | "good";

/**
 * Width of the stars over a frame.
 */
export type WidthMap = { 
/**
 * Cells across.
 */
columns: number, 
/**
 * Cells down.
 */
rows: number, 
/**
 * Median half-flux diameter of each cell, px.
 */
hfd_px: Array<number | null>, };

/**
 * A part of the frame whose stars were measured.
 */
export type FocusPart = { 
/**
 * Its middle as shares of the width and height as stored, from the top left, 0..1.
 */
middle: [number, number], 
/**
 * Median half-flux diameter of its stars, px.
 */
hfd_px: number, 
/**
 * Where it lies in the picture as stored, in words ("top left").
 */
place: string, };

/**
 * Where stars are narrowest and widest.
 */
export type FocusParts = { 
/**
 * Where they are narrowest.
 */
sharpest: FocusPart, 
/**
 * Where they are widest.
 */
softest: FocusPart, 
/**
 * Whether the two hardly differ.
 */
alike: boolean, 
/**
 * Both in one sentence.
 */
words: string, };

/**
 * A site to compare, with its own weather.
 */
export type Candidate = { 
/**
 * The site.
 */
site: Site, 
/**
 * Its weather.
 */
weather: Weather, };

/**
 * One caution: what to mind, and who has the word on it.
 */
export type Caution = { 
/**
 * What to mind.
 */
text: string, 
/**
 * Whose word counts.
 */
defer_to: string, };

/**
 * The three chances the outlook gives, cloud included.
 */
export type Chances = { 
/**
 * That a dark-adapted eye sees it.
 */
eye_sees: Fraction, 
/**
 * That the eye sees colour in it.
 */
eye_sees_colour: Fraction, 
/**
 * That the kit records it with a signal of more than five times the noise.
 */
camera_records: Fraction, };

/**
 * Cloud cover, all of it and by layer; each is `None` where nobody said, and a layer that was not seen is not
 * a layer that is not there.
 */
export type CloudCover = { 
/**
 * Share of the sky covered by any cloud.
 */
total: Fraction | null, 
/**
 * Below 2 km above ground.
 */
low: Fraction | null, 
/**
 * 2 to 5 km.
 */
medium: Fraction | null, 
/**
 * Above 5 km.
 */
high: Fraction | null, };

/**
 * What the stored feeds say of a night: the inputs of an [`OutlookRequest`](crate::OutlookRequest) that nobody has
 * to type.
 */
export type Conditions = { 
/**
 * What drives the aurora; without intervals where nothing is stored.
 */
activity: Activity, 
/**
 * What other sources say of it.
 */
other_activity: Array<Activity>, 
/**
 * The solar wind upstream, where it is measured now.
 */
upstream: UpstreamWind | null, 
/**
 * What the short-term precipitation grid says on the site's meridian.
 */
precipitation: PrecipitationOpinion | null, 
/**
 * Solar radio flux at 10.7 cm, solar flux units, where the long outlook is stored.
 */
f107: number | null, 
/**
 * The weather at the site; without hours where nothing is stored.
 */
weather: Weather, 
/**
 * The other sites, each with its weather.
 */
elsewhere: Array<Candidate>, 
/**
 * What is missing, too old or out of reach, one sentence each.
 */
notes: Array<string>, };

/**
 * Which night's conditions are wanted, and where.
 */
export type ConditionsRequest = { 
/**
 * The site.
 */
site: Site, 
/**
 * Date of the noon that opens the night.
 */
night: string, 
/**
 * When the question is asked; ages count from here.
 */
asked_at: string, 
/**
 * Other sites of the same night.
 */
elsewhere: Array<Site>, };

/**
 * How magnetic latitude and longitude are found.
 */
export type CoordinateMethod = "fitted" | "traced";

/**
 * How dark it is, by the sun's altitude.
 */
export type DarknessClass = "day" | "civil" | "nautical" | "astronomical" | "dark";

/**
 * Something that stands in front: a hut, a tree line, a boat.
 */
export type ForegroundObject = { 
/**
 * What it is.
 */
name: string, 
/**
 * Azimuth of its middle, degrees.
 */
bearing_deg: number, 
/**
 * How far away, m.
 */
distance_m: number, 
/**
 * How much higher its top is than the camera, m.
 */
height_m: number, 
/**
 * How wide, m.
 */
width_m: number, };

/**
 * One corner of a horizon profile.
 */
export type HorizonPoint = { 
/**
 * Azimuth from true north through east, degrees.
 */
azimuth_deg: number, 
/**
 * Altitude of the skyline there, degrees.
 */
altitude_deg: number, };

/**
 * A camera body and a lens, with the exposure its owner would start with.
 */
export type Kit = { 
/**
 * What its owner calls it.
 */
name: string, 
/**
 * The body.
 */
camera: CameraBody, 
/**
 * The lens.
 */
lens: Lens, 
/**
 * Exposure time counted on for a faint aurora, s.
 */
exposure_s: number, 
/**
 * ISO counted on.
 */
iso: number, 
/**
 * Card, battery and what can be set.
 */
limits: KitLimits, };

/**
 * What limits a long evening: card, battery, and what the camera lets its owner set.
 */
export type KitLimits = { 
/**
 * Free space on the card, GB.
 */
card_gb: number | null, 
/**
 * Size of one stored frame, MB.
 */
frame_mb: number | null, 
/**
 * Frames a full battery is rated for at room temperature.
 */
battery_frames: number | null, 
/**
 * Longest exposure the camera can be set to, s (phones).
 */
longest_exposure_s: number | null, 
/**
 * Highest ISO the camera can be set to.
 */
highest_iso: number | null, 
/**
 * Whether the aperture is fixed (phones).
 */
fixed_aperture: boolean, };

/**
 * One interval of a Kp series.
 */
export type KpInterval = { 
/**
 * Start of the interval, UTC.
 */
from: string, 
/**
 * End of the interval, UTC.
 */
to: string, 
/**
 * Kp, 0 to 9.
 */
kp: number, 
/**
 * What kind of value it is.
 */
kind: ActivityKind, };

/**
 * A lens.
 */
export type Lens = { 
/**
 * What its owner calls it.
 */
name: string, 
/**
 * Focal length, mm.
 */
focal_mm: number, 
/**
 * Widest f-number used at night.
 */
f_number: number, 
/**
 * Share of light that comes through the glass, 0..1.
 */
transmission: number, 
/**
 * How it maps angles to the picture.
 */
projection: LensProjection, 
/**
 * How much darker the far corner is than the middle, wide open, stops.
 */
corner_loss_stops: number, 
/**
 * The lens on this camera as stars showed it.
 */
profile?: LensProfile | null, 
/**
 * The sharpest stars it is known to make on this camera.
 */
sharpest?: SharpestStars | null, };

/**
 * A lens on a camera as the stars of one frame showed it.
 */
export type LensProfile = { 
/**
 * How it maps angles.
 */
projection: LensProjection, 
/**
 * Focal length, pixels of a picture of `width_px` columns.
 */
focal_px: number, 
/**
 * Columns of the picture it was measured on.
 */
width_px: number, 
/**
 * Rows of that picture.
 */
height_px: number, 
/**
 * Where the optical axis meets the picture, right of and below its middle, pixels.
 */
centre_offset_px: [number, number], 
/**
 * Radial distortion `r (1 + k1 r² + k2 r⁴)`, `r` in focal lengths.
 */
k1: number, 
/**
 * Second coefficient of the distortion.
 */
k2: number, 
/**
 * Whether the camera stores pictures as in a mirror.
 */
mirrored: boolean, 
/**
 * Width of a pixel over its height; the focal length counts heights.
 */
pixel_aspect: number, 
/**
 * Stars it rests on.
 */
stars: number, 
/**
 * How far they lie from their places, root mean square, pixels.
 */
residual_px: number, 
/**
 * When that frame was taken, where it is known.
 */
taken_at: string | null, 
/**
 * The frame's file.
 */
frame: string, };

/**
 * The sharpest stars known of a lens on a camera: what later frames are measured against.
 */
export type SharpestStars = { 
/**
 * Their half-flux diameter, px of that frame.
 */
hfd_px: number, 
/**
 * Columns of the frame.
 */
width_px: number, 
/**
 * Its rows.
 */
height_px: number, 
/**
 * The f-number it was taken at, where the file says so: stopped down the same lens is sharper.
 */
f_number: number | null, 
/**
 * When it was taken, where that is known.
 */
taken_at: string | null, 
/**
 * Its file.
 */
frame: string, };

/**
 * How a lens maps the angle off axis to the distance from the middle of the picture.
 */
export type LensProjection = "rectilinear" | "stereographic" | "equidistant" | "equisolid" | "orthographic";

/**
 * A lens by class.
 */
export type LensStarter = { 
/**
 * Short name, for the command line.
 */
id: string, 
/**
 * The class in words.
 */
title: string, 
/**
 * Its numbers.
 */
lens: Lens, 
/**
 * Exposure to begin with for a faint aurora, s: as much light as 5 s at f/1.8, from 2 to 20 s.
 */
exposure_s: number, 
/**
 * ISO to begin with.
 */
iso: number, 
/**
 * Short name of the camera it is built into; none for lenses that are changed.
 */
built_into: string | null, 
/**
 * Where the numbers are from.
 */
numbers: Array<StarterNumbers>, };

/**
 * The main field and the magnetic place of a point.
 */
export type MagneticReport = { 
/**
 * The request it answers.
 */
request: MagneticRequest, 
/**
 * Northward component, nT.
 */
north_nt: number, 
/**
 * Eastward component, nT.
 */
east_nt: number, 
/**
 * Downward component, nT.
 */
down_nt: number, 
/**
 * Declination, degrees, east positive.
 */
declination_deg: number, 
/**
 * Inclination, degrees, down positive.
 */
inclination_deg: number, 
/**
 * Quasi-dipole latitude, degrees.
 */
qd_lat_deg: number, 
/**
 * Quasi-dipole longitude, degrees.
 */
qd_lon_deg: number, 
/**
 * Modified apex latitude for a reference height of 110 km, degrees; none where undefined.
 */
apex_lat_deg: number | null, 
/**
 * Apex longitude, degrees.
 */
apex_lon_deg: number, 
/**
 * Magnetic local time, hours.
 */
mlt_h: number, 
/**
 * Where one looks up along the field: rays converge and a corona stands there.
 */
magnetic_zenith: Horizontal, 
/**
 * The answer in two sentences.
 */
summary: string, };

/**
 * Where and when the field is asked for.
 */
export type MagneticRequest = { 
/**
 * The instant.
 */
at: string, 
/**
 * The place; its own height is not used.
 */
position: GeoPosition, 
/**
 * Height of the point, km above the ellipsoid.
 */
height_km: number, 
/**
 * How the coordinates are found.
 */
method: CoordinateMethod, };

/**
 * Whether the moon rises and sets.
 */
export type MoonState = "normal" | "up_throughout" | "down_throughout";

/**
 * A named star or planet in the sky.
 */
export type NamedPosition = { 
/**
 * Its name.
 */
name: string, 
/**
 * V magnitude (planets: estimate).
 */
magnitude: number, 
/**
 * Altitude as seen, degrees.
 */
apparent_altitude_deg: number, 
/**
 * Azimuth, degrees.
 */
azimuth_deg: number, };

/**
 * The times of one night: from local mean solar noon of its date to the next noon.
 */
export type NightTimes = { 
/**
 * Date of the noon that opens the night.
 */
date: string, 
/**
 * The opening noon, UTC.
 */
from: string, 
/**
 * The closing noon, UTC.
 */
to: string, 
/**
 * Sun's upper limb goes down.
 */
sunset: string | null, 
/**
 * Sun 6 degrees down.
 */
civil_dusk: string | null, 
/**
 * 12 degrees down.
 */
nautical_dusk: string | null, 
/**
 * 18 degrees down.
 */
astronomical_dusk: string | null, 
/**
 * 18 degrees down, rising.
 */
astronomical_dawn: string | null, 
/**
 * 12 degrees down, rising.
 */
nautical_dawn: string | null, 
/**
 * 6 degrees down, rising.
 */
civil_dawn: string | null, 
/**
 * Sun's upper limb comes up.
 */
sunrise: string | null, 
/**
 * Moon's upper limb comes up.
 */
moonrise: string | null, 
/**
 * Moon's upper limb goes down.
 */
moonset: string | null, 
/**
 * Whether the sun rises and sets.
 */
sun_state: SunState, 
/**
 * Whether the moon rises and sets.
 */
moon_state: MoonState, 
/**
 * The darkest it gets.
 */
darkest: DarknessClass, };

/**
 * How well a number of a starter is known.
 */
export type NumberBasis = "published" | "estimate";

/**
 * What the outlook answers.
 */
export type OutlookReport = { 
/**
 * The request it answers.
 */
request: OutlookRequest, 
/**
 * The advice with its reasons.
 */
verdict: Verdict, 
/**
 * The chances of the night: those of its best moment; none without activity or darkness.
 */
chances: Chances | null, 
/**
 * Stretches worth standing outside, best first; empty where there is none.
 */
windows: Array<WatchWindow>, 
/**
 * Sunset, twilights, moon.
 */
night: NightTimes, 
/**
 * Every ten minutes from noon to noon.
 */
steps: Array<OutlookStep>, 
/**
 * This site and those elsewhere, the one most worth going to first; empty where no other was given.
 */
ranking: Array<SiteOutlook>, 
/**
 * Where rays converge.
 */
magnetic_zenith: Horizontal, 
/**
 * Magnetic latitude the models are fed with, degrees.
 */
model_lat_deg: number, 
/**
 * Lowest Kp, in steps of a third, at which an eye would have an even chance here in the darkest hours; none if
 * no Kp up to 9 gives it.
 */
kp_needed_eye: number | null, 
/**
 * What would change the verdict, with thresholds.
 */
would_change: Array<string>, 
/**
 * Every input, its source and age.
 */
inputs: Array<InputNote>, 
/**
 * Where the models stop being good tonight.
 */
limits: Array<string>, 
/**
 * The usual cautions.
 */
cautions: Array<Caution>, 
/**
 * What the outlook's record says of its own skill.
 */
past_skill: string, 
/**
 * The numbers behind that; none where no record was looked at.
 */
past_scores: ScoresReport | null, 
/**
 * The night strip in words.
 */
strip_text: string, };

/**
 * What the outlook is asked: one site, one night, and other sites to compare it with.
 */
export type OutlookRequest = { 
/**
 * The site.
 */
site: Site, 
/**
 * Date of the noon that opens the night.
 */
night: string, 
/**
 * When the question is asked; ages of inputs count from here.
 */
asked_at: string, 
/**
 * The kit.
 */
kit: Kit, 
/**
 * What drives the aurora.
 */
activity: Activity, 
/**
 * What other sources say of the activity; set beside, not averaged in.
 */
other_activity: Array<Activity>, 
/**
 * The solar wind now measured upstream, where there is any.
 */
upstream: UpstreamWind | null, 
/**
 * What the short-term precipitation grid says; set beside, drives nothing.
 */
precipitation: PrecipitationOpinion | null, 
/**
 * Cloud, wind, temperature.
 */
weather: Weather, 
/**
 * Other sites for the same night.
 */
elsewhere: Array<Candidate>, 
/**
 * What whoever gathered these inputs found wrong with them: missing, too old, out of reach. Shown with the limits.
 */
input_notes: Array<string>, 
/**
 * Solar radio flux at 10.7 cm, solar flux units.
 */
f107: number, 
/**
 * Minutes the eyes have been without white light.
 */
adaptation_minutes: number, };

/**
 * One step of ten minutes.
 */
export type OutlookStep = { 
/**
 * The instant.
 */
at: string, 
/**
 * How dark it is.
 */
darkness: DarknessClass, 
/**
 * Airless altitude of the sun, degrees.
 */
sun_altitude_deg: number, 
/**
 * Airless altitude of the moon, degrees.
 */
moon_altitude_deg: number, 
/**
 * Share of the moon that is lit.
 */
moon_lit_fraction: number, 
/**
 * Kp, where the activity covers this step.
 */
kp: Estimate | null, 
/**
 * Magnetic local time at the site, hours.
 */
mlt_h: number, 
/**
 * Zenith sky without aurora, mag/arcsec².
 */
background_zenith_mag_arcsec2: Estimate, 
/**
 * The best direction; none in daylight or without activity.
 */
brightest: BrightestPatch | null, 
/**
 * The weather of this step, where somebody gave it.
 */
weather: WeatherHour | null, 
/**
 * Chance that no cloud stands in that line of sight; none where nobody gave cloud.
 */
clear_sightline: Fraction | null, 
/**
 * The chances, cloud included where it is known; none without activity.
 */
chances: Chances | null, };

/**
 * What an agency's short-term precipitation grid says along the meridian of a site: a second opinion, in the grid's own
 * number, which is no brightness and drives nothing here.
 */
export type PrecipitationOpinion = { 
/**
 * Who publishes it.
 */
source: string, 
/**
 * When the solar wind behind it was measured.
 */
observed_at: string, 
/**
 * When it holds.
 */
valid_at: string, 
/**
 * The number over the site, 0 to 100; none where the grid has none.
 */
overhead: number | null, 
/**
 * The greatest number on the site's meridian, 0 to 100.
 */
peak: number, 
/**
 * Geographic latitude of that greatest number, degrees.
 */
peak_latitude_deg: number, };

/**
 * The advice.
 */
export type Recommendation = "go" | "perhaps" | "stay" | "cannot_tell";

/**
 * A camera by class.
 */
export type SensorStarter = { 
/**
 * Short name, for the command line.
 */
id: string, 
/**
 * The class in words.
 */
title: string, 
/**
 * Its numbers.
 */
camera: CameraBody, 
/**
 * What can be set, and the size of a frame.
 */
limits: KitLimits, 
/**
 * Where the numbers are from.
 */
numbers: Array<StarterNumbers>, };

/**
 * A place to stand.
 */
export type Site = { 
/**
 * What people call it.
 */
name: string, 
/**
 * Where it is.
 */
position: GeoPosition, 
/**
 * IANA zone for every time shown ("Europe/Oslo"); "UTC" where it does not matter.
 */
time_zone: string, 
/**
 * How dark it is.
 */
sky_quality: SkyQuality, 
/**
 * The skyline, in any order; empty means a flat horizon. Straight lines between corners.
 */
horizon: Array<HorizonPoint>, 
/**
 * Whether the ground is snow-covered (it lightens moonlit and town-lit skies).
 */
snow_cover: boolean, 
/**
 * Remarks on roads, ground and owner, as the keeper of the site wrote them.
 */
notes: string, 
/**
 * Where water lies in front.
 */
water: Array<WaterBearing>, 
/**
 * What stands in front.
 */
foreground: Array<ForegroundObject>, 
/**
 * Minutes on the road from where the keeper usually starts; none where not known.
 */
drive_minutes: number | null, };

/**
 * One row of the comparison.
 */
export type SiteOutlook = { 
/**
 * The site.
 */
site: Site, 
/**
 * Sunset, twilights, moon.
 */
night: NightTimes, 
/**
 * The advice for this site alone.
 */
recommendation: Recommendation, 
/**
 * Chances at the best moment that can be reached.
 */
chances: Chances | null, 
/**
 * Windows that can be reached, best first.
 */
windows: Array<WatchWindow>, 
/**
 * What the site is worth, 0 to 1: the best reachable moment's chances, halved for every two hours on the road.
 */
worth: number, 
/**
 * Why it won or lost, in a few words.
 */
reason: string, 
/**
 * Every twenty minutes of the night.
 */
steps: Array<OutlookStep>, };

/**
 * How dark the sky of a site is when neither moon, twilight nor aurora lights it.
 */
export type SkyQuality = { "kind": "measured", 
/**
 * The reading, mag/arcsec².
 */
zenith_mag_arcsec2: number, } | { "kind": "bortle", 
/**
 * The class, 1 to 9.
 */
class: number, } | { "kind": "from_towns" };

/**
 * Brightness over the sky.
 *
 * The grid is `altitudes_deg` x `azimuths_deg`, row by row: value `i * azimuths_deg.len() + j` is at altitude `i`,
 * azimuth `j`.
 */
export type SkymapReport = { 
/**
 * The request it answers.
 */
request: SkymapRequest, 
/**
 * Rows: altitudes, degrees, from the horizon up.
 */
altitudes_deg: Array<number>, 
/**
 * Columns: azimuths, degrees, north through east.
 */
azimuths_deg: Array<number>, 
/**
 * 557.7 nm as it reaches the observer (after extinction), kR, mean oval.
 */
green_5577_kr: Array<number>, 
/**
 * 630.0 nm, kR.
 */
red_6300_kr: Array<number>, 
/**
 * 427.8 nm, kR.
 */
blue_4278_kr: Array<number>, 
/**
 * Brightness of the sky without aurora, mag/arcsec², on the same grid.
 */
background_mag_arcsec2: Array<number>, 
/**
 * The brightest direction.
 */
brightest: Horizontal, 
/**
 * All three lines there, mean oval, kR.
 */
brightest_mean_kr: LineBrightness, 
/**
 * Green light of the brightest arc to be expected there, kR: mean times the spread of bright forms.
 */
brightest_arc_kr: Estimate, 
/**
 * Where rays converge.
 */
magnetic_zenith: Horizontal, 
/**
 * The sun; below the horizon at night.
 */
sun: Horizontal, 
/**
 * The moon, where it stands above the horizon.
 */
moon: Horizontal | null, 
/**
 * Share of the moon that is lit.
 */
moon_lit_fraction: number, 
/**
 * Magnetic latitude the models are fed with, degrees.
 */
model_lat_deg: number, 
/**
 * Magnetic local time of the site, hours.
 */
mlt_h: number, 
/**
 * Equatorward border of diffuse light at this magnetic local time, degrees of magnetic latitude.
 */
equatorward_border_deg: Estimate, 
/**
 * The picture in words, for those who cannot see it.
 */
text: string, 
/**
 * What it rests on.
 */
inputs: Array<InputNote>, 
/**
 * Where the models stop being good.
 */
limits: Array<string>, };

/**
 * Whole sky of a site at one instant for one activity.
 */
export type SkymapRequest = { 
/**
 * The site.
 */
site: Site, 
/**
 * The instant.
 */
at: string, 
/**
 * Kp, 0 to 9.
 */
kp: number, 
/**
 * Solar radio flux at 10.7 cm, solar flux units; it moves the red line most.
 */
f107: number, 
/**
 * Spacing of the grid in altitude and azimuth, degrees, 0.5 to 15.
 */
step_deg: number, };

/**
 * Whether the sun rises and sets.
 */
export type SunState = "normal" | "polar_day" | "polar_night";

/**
 * Dew or frost on the lens.
 */
export type DewReport = { 
/**
 * How likely; none where temperature or dew point is not known.
 */
risk: DewRisk | null, 
/**
 * Whether it would be frost: air below 0 °C.
 */
is_frost: boolean, 
/**
 * Air temperature less dew point, K.
 */
spread_k: number | null, 
/**
 * The same in words, with what to do.
 */
text: string, };

/**
 * How likely water or ice settles on a lens that faces a clear sky.
 */
export type DewRisk = "low" | "moderate" | "high";

/**
 * What the moon does to the picture.
 */
export type FlareRisk = "none" | "possible" | "likely" | "in_frame";

/**
 * What is sharp with the lens focused where it is.
 */
export type FocusReport = { 
/**
 * Distance focused at, m; none is infinity.
 */
focus_m: number | null, 
/**
 * Distance from which all is within one pixel of blur, m.
 */
near_sharp_m: number, 
/**
 * Distance up to which it is, m; none is infinity.
 */
far_sharp_m: number | null, 
/**
 * Distance from which all is sharp in a print, m.
 */
near_print_m: number, 
/**
 * Hyperfocal distance for one pixel of blur, m.
 */
hyperfocal_pixel_m: number, 
/**
 * Hyperfocal distance for the blur a print forgives, m.
 */
hyperfocal_print_m: number, 
/**
 * Blur of the stars, pixels.
 */
star_blur_px: number, };

/**
 * A star or planet in the picture, above the skyline.
 */
export type FrameBody = { 
/**
 * Its name; a star without one by its Hipparcos number.
 */
name: string, 
/**
 * V magnitude (planets: estimate).
 */
magnitude: number, 
/**
 * Where.
 */
place: FramePlace, };

/**
 * Size of the upright picture in pixels and degrees.
 */
export type FrameField = { 
/**
 * Columns.
 */
width_px: number, 
/**
 * Rows.
 */
height_px: number, 
/**
 * From the left to the right edge, degrees.
 */
horizontal_deg: number, 
/**
 * From the top to the bottom edge, degrees.
 */
vertical_deg: number, 
/**
 * From corner to corner, degrees.
 */
diagonal_deg: number, 
/**
 * Size of a pixel in the middle, arcseconds.
 */
pixel_arcsec: number, };

/**
 * Predicted green light over the picture.
 *
 * Nodes stand evenly from the first pixel to the last: node `i * columns + j` is at
 * `x = j (width - 1) / (columns - 1)`, `y = i (height - 1) / (rows - 1)`.
 */
export type FrameGrid = { 
/**
 * Nodes across.
 */
columns: number, 
/**
 * Nodes down.
 */
rows: number, 
/**
 * 557.7 nm of the mean oval as it reaches the observer, kR; none below the horizon and beyond the lens's image.
 */
green_5577_kr: Array<number | null>, 
/**
 * The same mirrored in water and weakened by its reflectance, kR; none where no water of the site lies.
 */
mirrored_5577_kr: Array<number | null>, };

/**
 * The predicted aurora and the picture.
 */
export type FrameLight = { 
/**
 * Kp it was predicted with.
 */
kp: number, 
/**
 * The brightest direction above the skyline, and where it stands in the picture.
 */
brightest: FramePlace, 
/**
 * All three lines there, mean oval, kR.
 */
brightest_mean_kr: LineBrightness, 
/**
 * Green light of the brightest arc to be expected there, kR.
 */
brightest_arc_kr: Estimate, 
/**
 * Share of the visible sky's predicted green light that is in the picture (mean oval).
 */
share_inside: Fraction, 
/**
 * Crest of the arc from left to right, where it is at least half as bright as its peak; empty if the light is overhead.
 */
crest: Array<Horizontal>, 
/**
 * Share of the crest in the picture.
 */
crest_inside: Fraction, 
/**
 * Chance that no cloud stands before the brightest direction; none where cloud is not known.
 */
clear_sightline: Fraction | null, };

/**
 * Something in front, in the picture or beside it.
 */
export type FrameObject = { 
/**
 * What it is.
 */
name: string, 
/**
 * Azimuth of its middle, degrees.
 */
bearing_deg: number, 
/**
 * Distance, m.
 */
distance_m: number, 
/**
 * Altitude of its top, degrees.
 */
top_deg: number, 
/**
 * Altitude of its foot on level ground, degrees.
 */
foot_deg: number, 
/**
 * How wide it looks, degrees.
 */
width_deg: number, 
/**
 * Where its top is.
 */
top: FramePlace, 
/**
 * Height from foot to top, pixels; none where the lens does not image both.
 */
height_px: number | null, 
/**
 * Width at the top, pixels.
 */
width_px: number | null, 
/**
 * Outline, pixels, closed; corners may lie outside the picture. Empty where it is not imaged.
 */
silhouette_px: Array<[number, number]>, 
/**
 * Whether its middle is in the picture: top, foot or halfway.
 */
inside: boolean, 
/**
 * Blur at its distance, pixels.
 */
blur_px: number, 
/**
 * How sharp that is.
 */
sharpness: Sharpness, };

/**
 * Where something stands in the picture.
 *
 * Pixels of the picture turned upright: x to the right, y down, centre of the first pixel (0, 0).
 */
export type FramePlace = { 
/**
 * Its direction as seen (with refraction).
 */
direction: Horizontal, 
/**
 * Its pixel, inside or outside the picture; none where the lens makes no image.
 */
pixel: [number, number] | null, 
/**
 * Whether it is in the picture.
 */
inside: boolean, };

/**
 * The pointing the program would start with.
 */
export type FrameSuggestion = { 
/**
 * Where to point and how to hold the camera.
 */
pointing: FramePointing, 
/**
 * What speaks for it and what it leaves out.
 */
why: Array<string>, };

/**
 * What a turn brings into the picture and takes out of it.
 */
export type FrameTurn = { 
/**
 * Which turn.
 */
turn: TurnKind, 
/**
 * Where it ends.
 */
pointing: FramePointing, 
/**
 * Share of the predicted light in the picture after it, 0..1; none where no light is predicted.
 */
light_share: number | null, 
/**
 * What comes in.
 */
comes_in: Array<string>, 
/**
 * What goes out.
 */
goes_out: Array<string>, 
/**
 * The same as one line.
 */
text: string, };

/**
 * Where rays converge, and the picture.
 */
export type FrameZenith = { 
/**
 * Where.
 */
place: FramePlace, 
/**
 * Mean green light there, kR; none where no light is predicted.
 */
mean_kr: number | null, 
/**
 * Whether the oval lies overhead, so that rays may form a corona there.
 */
corona_likely: boolean, };

/**
 * One stretch of water and what it mirrors.
 */
export type MirrorStretch = { 
/**
 * First azimuth, degrees.
 */
from_deg: number, 
/**
 * Last azimuth, degrees, clockwise from the first.
 */
to_deg: number, 
/**
 * Whether it lies in the lee.
 */
sheltered: boolean, 
/**
 * Whether any of it is in the picture.
 */
inside: boolean, 
/**
 * What the wind allows.
 */
surface: MirrorSurface, 
/**
 * Wind it was judged by, m/s at 10 m; none where not known.
 */
wind_m_s: number | null, 
/**
 * How far waves smear a mirrored point, degrees (one standard deviation); none for a mirror and for unknown wind.
 */
smear_deg: number | null, 
/**
 * Lowest altitude of the sky whose image the picture holds, degrees: the far shore's skyline hides what is below.
 */
sky_from_deg: number | null, 
/**
 * Highest such altitude, degrees.
 */
sky_to_deg: number | null, 
/**
 * The brightest mirrored part, where the aurora's light is known and its image is in the picture.
 */
brightest: MirroredLight | null, };

/**
 * What the surface makes of the sky.
 */
export type MirrorSurface = "mirror" | "soft_pillars" | "glow_only" | "none" | "cannot_tell";

/**
 * The brightest light a stretch of water gives back.
 */
export type MirroredLight = { 
/**
 * Where it stands in the sky.
 */
sky: Horizontal, 
/**
 * Where its image is.
 */
place: FramePlace, 
/**
 * Share of the light given back.
 */
reflectance: number, 
/**
 * How much fainter than the sky itself, stops.
 */
loss_stops: number, 
/**
 * Mirrored green light of the mean oval, kR.
 */
mirrored_kr: number, };

/**
 * The moon and the picture.
 */
export type MoonInFrame = { 
/**
 * Where.
 */
place: FramePlace, 
/**
 * Whether it stands above the skyline.
 */
up: boolean, 
/**
 * Share of the disc that is lit.
 */
lit_fraction: number, 
/**
 * Degrees to the nearest edge of the picture; 0 inside.
 */
outside_by_deg: number, 
/**
 * What it does to the picture.
 */
flare: FlareRisk, };

/**
 * Which way the camera is held.
 */
export type Orientation = "landscape" | "portrait";

/**
 * Town glow near the horizon in one direction.
 */
export type RimGlow = { 
/**
 * Azimuth, degrees.
 */
azimuth_deg: number, 
/**
 * Town light over the light of a natural sky, 5 degrees above the horizon; a factor of 2 either way is usual.
 */
town_over_natural: number, 
/**
 * Whether that direction is in the picture.
 */
inside: boolean, };

/**
 * How sharp something is at its distance.
 */
export type Sharpness = "sharp" | "sharp_in_print" | "soft";

/**
 * Where the camera points and how it is held.
 */
export type FramePointing = { 
/**
 * Azimuth of the middle of the picture, from true north through east, degrees.
 */
azimuth_deg: number, 
/**
 * Altitude of the middle of the picture, degrees.
 */
altitude_deg: number, 
/**
 * Tilt of the picture, degrees; positive raises the right-hand side of the camera. 0 is level.
 */
roll_deg: number, 
/**
 * How the camera is held.
 */
orientation: Orientation, };

/**
 * What will be where in the frame.
 */
export type StandReport = { 
/**
 * The request it answers.
 */
request: StandRequest, 
/**
 * The pointing it is about: the one asked for, else the suggestion.
 */
pointing: FramePointing, 
/**
 * The answer in one or two sentences.
 */
verdict: string, 
/**
 * What stands behind it, one sentence each.
 */
reasons: Array<string>, 
/**
 * The picture in words, for those who cannot see it.
 */
text: string, 
/**
 * The pointing the program would start with.
 */
suggestion: FrameSuggestion, 
/**
 * What is gained and lost by turning.
 */
turns: Array<FrameTurn>, 
/**
 * Size of the picture.
 */
field: FrameField, 
/**
 * Its border on the sky, closed, clockwise from the top left corner.
 */
outline: Array<Horizontal>, 
/**
 * The aurora; none where no Kp is given for the instant.
 */
light: FrameLight | null, 
/**
 * The aurora over the picture; none where no Kp is given.
 */
grid: FrameGrid | null, 
/**
 * Where rays converge.
 */
magnetic_zenith: FrameZenith, 
/**
 * The moon.
 */
moon: MoonInFrame, 
/**
 * The sun.
 */
sun: FramePlace, 
/**
 * Planets in the picture.
 */
planets: Array<FrameBody>, 
/**
 * Stars to magnitude 3 in the picture, brightest first.
 */
stars: Array<FrameBody>, 
/**
 * Town glow along the rim of the sky, north through east.
 */
town_glow: Array<RimGlow>, 
/**
 * The nearest towns whose direction is in the picture.
 */
towns: Array<TownInFrame>, 
/**
 * The skyline in the picture, pixels: one polyline for each unbroken stretch.
 */
skyline_px: Array<Array<[number, number]>>, 
/**
 * What stands in front.
 */
foreground: Array<FrameObject>, 
/**
 * Depth of field.
 */
focus: FocusReport, 
/**
 * Water in front.
 */
mirror: Array<MirrorStretch>, 
/**
 * Dew or frost on the lens.
 */
dew: DewReport, 
/**
 * What it rests on.
 */
inputs: Array<InputNote>, 
/**
 * Where the models stop being good.
 */
limits: Array<string>, 
/**
 * What to mind at a dark place.
 */
cautions: Array<Caution>, };

/**
 * Where some numbers of a starter are from.
 */
export type StarterNumbers = { 
/**
 * The fields, as the kit names them.
 */
fields: Array<string>, 
/**
 * How well they are known.
 */
basis: NumberBasis, 
/**
 * The source in words.
 */
source: string, };

/**
 * All of them.
 */
export type Starters = { 
/**
 * Cameras, the largest sensor first.
 */
sensors: Array<SensorStarter>, 
/**
 * Lenses, the widest first.
 */
lenses: Array<LensStarter>, };

/**
 * What `stand` is asked: one site, one instant, one kit, one pointing (or none: then the suggestion is used).
 */
export type StandRequest = { 
/**
 * The site, with its water and foreground.
 */
site: Site, 
/**
 * The instant.
 */
at: string, 
/**
 * The kit.
 */
kit: Kit, 
/**
 * Where the camera points; none asks for the suggestion.
 */
pointing: FramePointing | null, 
/**
 * What drives the aurora; an instant outside its intervals leaves the light unknown.
 */
activity: Activity, 
/**
 * Cloud, wind, temperature, dew point.
 */
weather: Weather, 
/**
 * Solar radio flux at 10.7 cm, solar flux units.
 */
f107: number, 
/**
 * Distance the lens is focused at, m; none is infinity.
 */
focus_m: number | null, };

/**
 * A town whose direction is in the picture.
 */
export type TownInFrame = { 
/**
 * Its name (GeoNames, CC BY 4.0).
 */
name: string, 
/**
 * Azimuth, degrees.
 */
bearing_deg: number, 
/**
 * Distance, km.
 */
distance_km: number, 
/**
 * People.
 */
population: number, };

/**
 * A turn of the camera.
 */
export type TurnKind = "left" | "right" | "up" | "down" | "other_orientation";

/**
 * A plain-words result with its reasons.
 */
export type Verdict = { 
/**
 * The advice.
 */
recommendation: Recommendation, 
/**
 * Two or three sentences, local time.
 */
text: string, 
/**
 * Why, most weighty first.
 */
reasons: Array<string>, };

/**
 * A stretch of the night worth standing outside.
 */
export type WatchWindow = { 
/**
 * Start.
 */
from: string, 
/**
 * End.
 */
to: string, 
/**
 * Best moment.
 */
best_at: string, 
/**
 * Chances at the best moment.
 */
chances: Chances, 
/**
 * Why this stretch, in a few words.
 */
reason: string, };

/**
 * A stretch of bearings with water in front, in which the sky may be mirrored.
 */
export type WaterBearing = { 
/**
 * First azimuth, degrees; the stretch runs from here through east (clockwise).
 */
from_deg: number, 
/**
 * Last azimuth, degrees.
 */
to_deg: number, 
/**
 * Whether it lies in the lee (a pond, a narrow bay): it stays flat in more wind than open water.
 */
sheltered: boolean, };

/**
 * The wind upstream of Earth as last measured: what would have to change is counted from it.
 */
export type UpstreamWind = { 
/**
 * Who measures it.
 */
source: string, 
/**
 * Time of the newest sample, at the spacecraft.
 */
measured_at: string, 
/**
 * Mean component of the field along the GSM y axis, nT.
 */
by_nt: number, 
/**
 * Mean component of the field along the GSM z axis, nT; negative is southward.
 */
bz_nt: number, 
/**
 * Mean speed, km/s.
 */
speed_km_s: number, 
/**
 * Mean protons per cm³, where measured.
 */
density_cm3: number | null, };

/**
 * The weather at a site against time.
 */
export type Weather = { 
/**
 * Who says so, with the attribution its licence asks for.
 */
source: string, 
/**
 * When it was observed or issued, where known.
 */
issued_at: string | null, 
/**
 * The hours, in order of time, not overlapping; gaps are allowed and said.
 */
hours: Array<WeatherHour>, 
/**
 * The same at places around, in any order; empty where only the site is forecast.
 */
around: Array<WeatherAround>, };

/**
 * The same forecast at another place, so that cloud can be judged where a line of sight crosses it.
 */
export type WeatherAround = { 
/**
 * The place.
 */
position: GeoPosition, 
/**
 * Its hours.
 */
hours: Array<WeatherHour>, };

/**
 * The weather of one stretch of time.
 */
export type WeatherHour = { 
/**
 * Start, UTC.
 */
from: string, 
/**
 * End, UTC.
 */
to: string, 
/**
 * Cloud.
 */
cloud: CloudCover, 
/**
 * Share of the surroundings in fog.
 */
fog: Fraction | null, 
/**
 * Air temperature at 2 m, °C.
 */
temperature_c: number | null, 
/**
 * Dew point at 2 m, °C.
 */
dew_point_c: number | null, 
/**
 * Mean wind at 10 m, m/s.
 */
wind_m_s: number | null, 
/**
 * Where the wind comes from, degrees from true north.
 */
wind_from_deg: number | null, 
/**
 * Gusts, m/s.
 */
gust_m_s: number | null, };

/**
 * How bright, said in one of three ways.
 */
export type AskedBrightness = { "kind": "given", 
/**
 * Best value, kR.
 */
green_5577_kr: number, 
/**
 * Lower end of the 68 % range, kR; none takes half a stop.
 */
low_kr: number | null, 
/**
 * Upper end of the 68 % range, kR; none takes half a stop.
 */
high_kr: number | null, } | { "kind": "ibc", 
/**
 * The class.
 */
class: IbcClass, } | { "kind": "seen", 
/**
 * What it looks like.
 */
what: SeenAurora, };

/**
 * The sky behind the aurora, without it.
 */
export type AskedSky = { "kind": "unknown" } | { "kind": "given", 
/**
 * V magnitudes per square arcsecond.
 */
mag_arcsec2: number, } | { "kind": "at_site", 
/**
 * The site.
 */
site: Site, 
/**
 * The instant.
 */
at: string, };

/**
 * How an aurora moves.
 */
export type AuroraMotion = "quiet_arc" | "folds" | "rays" | "breakup" | "pulsating";

/**
 * Brightness of the other two lines over that of 557.7 nm.
 */
export type ColourShares = { 
/**
 * 630.0 nm over 557.7 nm.
 */
red_6300: number, 
/**
 * 427.8 nm over 557.7 nm.
 */
blue_4278: number, };

/**
 * What the settings are.
 */
export type ExposeReport = { 
/**
 * The request it answers.
 */
request: ExposeRequest, 
/**
 * What to dial in, and what it will look like: two sentences.
 */
summary: string, 
/**
 * The light that was counted with.
 */
light: ExposedLight, 
/**
 * What holds exposure times down.
 */
bounds: ExposureBounds, 
/**
 * Three to five settings, the recommended one first.
 */
settings: Array<ExposeSetting>, 
/**
 * What this kit cannot do tonight, in words; empty where all is well.
 */
warnings: Array<string>, 
/**
 * Every input and where it came from.
 */
inputs: Array<InputNote>, 
/**
 * Where the arithmetic stops being good.
 */
limits: Array<string>, };

/**
 * Which settings, for how bright an aurora, with which kit, under which sky.
 */
export type ExposeRequest = { 
/**
 * How bright the aurora is or is expected to be.
 */
brightness: AskedBrightness, 
/**
 * The other two lines, as shares of the green one.
 */
colours: ColourShares, 
/**
 * The kit.
 */
kit: Kit, 
/**
 * The sky behind the aurora.
 */
sky: AskedSky, 
/**
 * Where the camera points; none counts as 30 degrees up.
 */
pointing: FramePointing | null, 
/**
 * Declination nearest to the equator in the frame, degrees; wins over what site and pointing give.
 */
least_declination_deg: number | null, 
/**
 * How the aurora moves; none takes what is usual at that brightness.
 */
motion: AuroraMotion | null, 
/**
 * Single pictures or a time-lapse.
 */
purpose: ShootingPurpose, 
/**
 * Air temperature, degrees Celsius; the battery feels it.
 */
temperature_c: number | null, 
/**
 * Minutes the eyes have been without white light; it matters to what somebody sees.
 */
adaptation_minutes: number, };

/**
 * One set of settings and what it gives.
 */
export type ExposeSetting = { 
/**
 * What it is for.
 */
goal: SettingGoal, 
/**
 * Aperture.
 */
f_number: number, 
/**
 * Shutter time, s.
 */
exposure_s: number, 
/**
 * ISO.
 */
iso: number, 
/**
 * As a photographer reads it: "8 s, f/1.8, ISO 2000".
 */
dial: string, 
/**
 * Why one would take it, in a sentence.
 */
why: string, 
/**
 * What gives first.
 */
limited_by: LimitedBy, 
/**
 * The same in words with its number.
 */
limit_text: string, 
/**
 * Electrons of aurora in a red, a green and a blue pixel.
 */
aurora_e: [Estimate, Estimate, Estimate], 
/**
 * Electrons of sky in a red, a green and a blue pixel.
 */
sky_e: [Estimate, Estimate, Estimate], 
/**
 * Noise of one green pixel, electrons rms: light, dark current, read noise, steps of the converter.
 */
noise_e: number, 
/**
 * The part of it that comes with reading a pixel, electrons rms.
 */
read_noise_e: number, 
/**
 * Electrons at which a pixel clips at this ISO.
 */
saturation_e: number, 
/**
 * Signal of the aurora over noise in one green pixel.
 */
snr_pixel: Estimate, 
/**
 * The same for a pixel of the picture shown 2000 pixels wide.
 */
snr_screen: Estimate, 
/**
 * Where aurora and sky together stand from mid-grey by the standard's metering, stops; negative is darker.
 */
mid_grey_stops: Estimate, 
/**
 * Where the sky alone stands from mid-grey, stops.
 */
sky_mid_grey_stops: Estimate, 
/**
 * How far the aurora is below clipping in the green pixels, stops.
 */
below_clipping_stops: Estimate, 
/**
 * What is left before green clips when the aurora brightens three to five times, stops; negative clips.
 */
spare_stops: Estimate, 
/**
 * Longest star trail on the axis, pixels.
 */
trail_px: number, 
/**
 * How far the aurora moves during the exposure, pixels near the axis.
 */
blur_px: Estimate, 
/**
 * The same in degrees.
 */
blur_deg: Estimate, 
/**
 * The time-lapse with this setting, where one was asked for.
 */
time_lapse: TimeLapse | null, };

/**
 * The light in the frame.
 */
export type ExposedLight = { 
/**
 * Green light of the aurora, kR.
 */
green_5577_kr: Estimate, 
/**
 * All three lines at the best value, kR.
 */
lines: LineBrightness, 
/**
 * Where that stands on the International Brightness scale and how it looks.
 */
looks_like: string, 
/**
 * Green light of the next brightening, kR: what must not clip.
 */
brightest_green_5577_kr: Estimate, 
/**
 * Sky without aurora in the frame, mag/arcsec².
 */
sky_mag_arcsec2: Estimate, 
/**
 * Green light that would fill a green pixel as the sky does, kR.
 */
sky_as_green_kr: number, };

/**
 * What holds exposure times down whatever the light.
 */
export type ExposureBounds = { 
/**
 * Declination nearest to the equator in the frame, degrees without sign.
 */
least_declination_deg: number, 
/**
 * Longest time with stars as points wide open (NPF rule, strict), s.
 */
stars_strict_s: number, 
/**
 * The same rule at three times the tolerance, s.
 */
stars_lax_s: number, 
/**
 * The old rule of 500, for comparison, s.
 */
rule_of_500_s: number, 
/**
 * How the aurora was taken to move.
 */
motion: AuroraMotion, 
/**
 * Speed across the line of sight, km/s.
 */
speed_km_s: Estimate, 
/**
 * Width of the structure that shall stay sharp, km.
 */
structure_km: number, 
/**
 * The same on the sensor, pixels near the axis.
 */
structure_px: number, 
/**
 * What one pixel sees on the axis, arcseconds.
 */
pixel_arcsec: number, 
/**
 * Distance to the aurora in the middle of the frame, km.
 */
range_km: number, 
/**
 * Time in which the structure moves by its own width, s.
 */
motion_s: Estimate, };

/**
 * Class on the International Brightness scale.
 */
export type IbcClass = "one" | "two" | "three" | "four";

/**
 * What gives first.
 */
export type LimitedBy = "stars" | "motion" | "light" | "clipping";

/**
 * What a dark-adapted person sees.
 */
export type SeenAurora = "nothing" | "grey" | "hint_of_colour" | "plain_colour" | "casts_shadows";

/**
 * What a setting is for.
 */
export type SettingGoal = "balanced" | "sharper" | "cleaner" | "headroom" | "sharp_corners" | "brighter";

/**
 * What the frames are for.
 */
export type ShootingPurpose = { "kind": "still" } | { "kind": "time_lapse", 
/**
 * How long it shall run, hours.
 */
hours: number, 
/**
 * Frames per second of the finished clip.
 */
fps: number, 
/**
 * Pause the camera needs between frames, s.
 */
gap_s: number, };

/**
 * What a time-lapse of one setting takes and gives.
 */
export type TimeLapse = { 
/**
 * Whole seconds from frame to frame.
 */
interval_s: number, 
/**
 * Frames.
 */
frames: number, 
/**
 * Length of the clip, s.
 */
clip_s: number, 
/**
 * How many times faster than life.
 */
speed_up: number, 
/**
 * Space the frames take, GB.
 */
card_gb: Estimate, 
/**
 * Hours until the card is full, where its size is known.
 */
card_lasts_hours: Estimate | null, 
/**
 * Share of its rated charge that a battery gives at this temperature.
 */
cold_factor: Estimate, 
/**
 * Frames one battery gives in this cold, where its rating is known.
 */
battery_frames: Estimate | null, 
/**
 * Batteries it takes, where the rating is known.
 */
batteries: Estimate | null, 
/**
 * All of it in one line.
 */
text: string, };

/**
 * One check with its reason.
 */
export type DeskCheck = { 
/**
 * Which.
 */
kind: DeskCheckKind, 
/**
 * What it says. Copies are "inconsistent" where the picture is one, "consistent" where none is among the known ones;
 * signs of editing are never more than "cannot tell", for they accuse nobody.
 */
verdict: DeskVerdict, 
/**
 * Why, in a plain sentence.
 */
sentence: string, 
/**
 * The numbers behind it.
 */
evidence: Array<DeskEvidence>, 
/**
 * What it rests on and what it supposes, in a sentence.
 */
basis: string, };

/**
 * Which question a check asks.
 */
export type DeskCheckKind = "file_time" | "file_place" | "sun" | "moon" | "stars" | "planets" | "aurora" | "copies" | "editing";

/**
 * When and where a sender says that a picture was taken.
 */
export type DeskClaim = { 
/**
 * When.
 */
at: string | null, 
/**
 * How exactly that is meant, minutes either way.
 */
within_minutes: number, 
/**
 * Where.
 */
position: GeoPosition | null, 
/**
 * How exactly that is meant, km either way.
 */
within_km: number, };

/**
 * A number behind a check.
 */
export type DeskEvidence = { 
/**
 * What it is ("sun's altitude").
 */
name: string, 
/**
 * Its value with its 68 % range, in `unit`; `None` where it is a word.
 */
value: Estimate | null, 
/**
 * Unit of the value ("degrees", "km", "h"); empty for shares and counts.
 */
unit: string, 
/**
 * The same in words, with its unit.
 */
text: string, };

/**
 * What a submission says for and against its claim.
 */
export type DeskReport = { 
/**
 * What the file is called.
 */
file: string, 
/**
 * What speaks for the claim, what against it, and what could not be told, in a sentence or two.
 */
summary: string, 
/**
 * The worst of the checks; copies and signs of editing do not count among them.
 */
verdict: DeskVerdict, 
/**
 * The checks, in a fixed order.
 */
checks: Array<DeskCheck>, 
/**
 * Known pictures that this one looks like, the likest first; those that are different are left out.
 */
likenesses: Array<KnownLikeness>, 
/**
 * Measures of editing; `None` for a file that cannot be read.
 */
editing: EditingMeasures | null, 
/**
 * For finding copies of it later; `None` for a file that cannot be read.
 */
fingerprint: string | null, 
/**
 * What the picture shows by itself: measured without any word on when and where, the file's own word included.
 */
frame: CheckReport, };

/**
 * A picture that somebody sent, and what is known beside it; its bytes come separately.
 */
export type DeskRequest = { 
/**
 * What the file is called.
 */
name: string, 
/**
 * What the sender says of it.
 */
claim: DeskClaim, 
/**
 * Kp around the claimed time, where it is known.
 */
activity: Activity | null, 
/**
 * What own frames and kept outlooks said about the claimed time and place.
 */
own_word: OwnWord, 
/**
 * Two places of the picture as shown that lie on the level horizon, px from the middle of its first pixel; the sky is
 * on the side of the picture's top.
 */
horizon_px: [[number, number], [number, number]] | null, 
/**
 * How far the camera, or the horizon given, may be from level, degrees (one deviation): 5 without a horizon and 1 with
 * one where nothing is given.
 */
level_within_deg: number | null, 
/**
 * Other submissions and frames of earlier outings, to find copies of.
 */
others: Array<KnownPicture>, };

/**
 * What a check says of a claim.
 */
export type DeskVerdict = "consistent" | "inconsistent" | "cannot_tell";

/**
 * Measures of editing; each is `None` where the picture does not allow it.
 */
export type EditingMeasures = { 
/**
 * The program that wrote the file last, in its own words.
 */
program: string | null, 
/**
 * Quality at which the JPEG was packed, 1..100 on the scale of the Independent JPEG Group.
 */
jpeg_quality: number | null, 
/**
 * Whether its tables are those of the standard at that quality: cameras often have their own, most programs do not.
 */
jpeg_standard_tables: boolean | null, 
/**
 * How much oftener steps lie on the edges of its own 8 by 8 blocks than elsewhere, relative; 0 is no trace.
 */
own_grid_excess: number | null, 
/**
 * The same for the strongest other grid, and where that begins, px: a picture that was packed before it was cut.
 */
other_grid_excess: number | null, 
/**
 * First column and row of a block of the other grid.
 */
other_grid_px: [number, number] | null, 
/**
 * Quality whose steps fit best to a picture packed more finely since, 1..100 (Farid 2009): an earlier packing where the
 * remainder is small.
 */
earlier_jpeg_quality: number | null, 
/**
 * What that leaves over, in shares of what chance does: 1 is no fit.
 */
earlier_jpeg_remainder: number | null, 
/**
 * Period of the strongest repetition of smoother and sharper columns, px (Gallagher 2005).
 */
repetition_px: number | null, 
/**
 * Its strength over that of the middle one of all periods: chance alone gives 3 to 4.
 */
repetition_strength: number | null, 
/**
 * Share of the pixels that are black in every channel.
 */
black_share: number, 
/**
 * Share of the sky's brighter pixels in which one channel is at nothing beside a strong one: colour pushed beyond what the
 * file can hold.
 */
emptied_colour_share: number | null, 
/**
 * Light of the sky just above the skyline over that somewhat higher, in shares of the step from ground to sky.
 */
halo_share: number | null, 
/**
 * Noise of the ground over that of a sky of the same brightness.
 */
ground_to_sky_noise: number | null, 
/**
 * Stars with a twin, pixel for pixel.
 */
twin_stars: number | null, 
/**
 * Stars that were compared for it.
 */
compared_stars: number, 
/**
 * Share of the found stars that lie on the ground: lamps, or painted ones.
 */
stars_on_ground_share: number | null, };

/**
 * A known picture that a submission looks like.
 */
export type KnownLikeness = { 
/**
 * The known picture.
 */
id: string, 
/**
 * How they are alike.
 */
likeness: Likeness, };

/**
 * A picture that is known already.
 */
export type KnownPicture = { 
/**
 * What it is called in the answer.
 */
id: string, 
/**
 * What it looks like.
 */
fingerprint: string, };

/**
 * Own frames that were read near a claim.
 */
export type OwnReading = { 
/**
 * The folder or files, as they were given.
 */
name: string, 
/**
 * How far the camera stood from the claimed place, km.
 */
away_km: number, 
/**
 * From the claimed time to the nearest frame, minutes; 0 between the first frame and the last.
 */
apart_minutes: number, 
/**
 * Frames looked at for aurora, with it for sure, and without it for sure.
 */
looked_at: number, 
/**
 * With aurora.
 */
yes: number, 
/**
 * Without.
 */
no: number, 
/**
 * Light of the brightest aurora in them, kR.
 */
brightest_kr: Estimate | null, };

/**
 * An outlook that was kept for a site near a claim.
 */
export type OwnOutlook = { 
/**
 * The outing it was kept with.
 */
outing: string, 
/**
 * The site.
 */
site: string, 
/**
 * How far that is from the claimed place, km.
 */
away_km: number, 
/**
 * When it was asked for.
 */
asked_at: string, 
/**
 * Chance that a camera records aurora at the claimed time, 0 to 1; an estimate.
 */
camera_chance: number | null, 
/**
 * Brightest arc expected then, kR.
 */
brightest_arc_kr: Estimate | null, };

/**
 * All of them.
 */
export type OwnWord = { 
/**
 * Own frames.
 */
readings: Array<OwnReading>, 
/**
 * Kept outlooks.
 */
outlooks: Array<OwnOutlook>, };

/**
 * Likeness of two pictures.
 */
export type Likeness = { 
/**
 * How they are alike.
 */
kind: LikenessKind, 
/**
 * How sure that is, 0..1: a judgement from the fit of the detail.
 */
confidence: number, 
/**
 * Where the one lies in the other, as left, top, width, height in shares of its sides, and `None` where they are
 * different.
 */
region: [number, number, number, number] | null, 
/**
 * Whether the second picture lies in the first; else the first lies in the second.
 */
second_in_first: boolean, 
/**
 * Correlation of what is finer than a fifteenth of the picture, -1..1.
 */
detail_correlation: number, 
/**
 * The same in a sentence, as the first picture would tell it of the second.
 */
sentence: string, 
/**
 * The same as the second would tell it of the first.
 */
other_way: string, };

/**
 * How two pictures are alike.
 */
export type LikenessKind = "same" | "crop" | "mirrored" | "other_frame" | "different" | "cannot_tell";
