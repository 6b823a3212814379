// A kit as the form holds it: everything as typed.

import type { ApiError } from "../../api";
import type {
  CameraBody,
  Kit,
  KitLimits,
  Lens,
  LensProjection,
  LensStarter,
  SensorStarter,
  StarterNumbers,
  Starters,
} from "../../generated/job";
import { firstMissing, numberOf, textOf, type Wanted } from "../../ui/typed";

/** Numbers of the form by the kit's own names of their fields. */
export type Numbers = Record<(typeof NUMBER_FIELDS)[number], string>;

const CAMERA_FIELDS = ["pixel_um", "width_px", "height_px", "read_noise_e", "full_well_e", "base_iso"] as const;
const EFFICIENCY_FIELDS = ["red", "green", "blue"] as const;
const LENS_FIELDS = ["focal_mm", "f_number", "transmission", "corner_loss_stops"] as const;
const START_FIELDS = ["exposure_s", "iso"] as const;
const LIMIT_FIELDS = ["card_gb", "frame_mb", "battery_frames", "longest_exposure_s", "highest_iso"] as const;
const NUMBER_FIELDS = [
  ...CAMERA_FIELDS,
  ...EFFICIENCY_FIELDS,
  ...LENS_FIELDS,
  ...START_FIELDS,
  ...LIMIT_FIELDS,
] as const;

/** Fields that may be empty. */
const OPTIONAL: readonly string[] = LIMIT_FIELDS;

export type KitDraft = {
  name: string;
  /** Short names of the classes begun with; empty for numbers of one's own. */
  sensor: string;
  lens: string;
  cameraName: string;
  lensName: string;
  projection: LensProjection;
  fixedAperture: boolean;
  numbers: Numbers;
};

export type NumberField = keyof Numbers;

/** What the number is called on the page, and its unit. */
export const LABELS: Record<NumberField, [string, string]> = {
  pixel_um: ["Pixel pitch", "µm"],
  width_px: ["Picture width", "pixels"],
  height_px: ["Picture height", "pixels"],
  read_noise_e: ["Read noise at night's ISO", "electrons"],
  full_well_e: ["Full well at base ISO", "electrons"],
  base_iso: ["Base ISO", ""],
  red: ["Efficiency, red", "0 to 1"],
  green: ["Efficiency, green", "0 to 1"],
  blue: ["Efficiency, blue", "0 to 1"],
  focal_mm: ["Focal length", "mm"],
  f_number: ["Widest f-number", ""],
  transmission: ["Light that comes through", "0 to 1"],
  corner_loss_stops: ["Corners darker by", "stops"],
  exposure_s: ["Exposure to begin with", "s"],
  iso: ["ISO to begin with", ""],
  card_gb: ["Free on the card", "GB"],
  frame_mb: ["Size of a frame", "MB"],
  battery_frames: ["Frames of a battery", ""],
  longest_exposure_s: ["Longest exposure", "s"],
  highest_iso: ["Highest ISO", ""],
};

export const GROUPS: { title: string; fields: NumberField[] }[] = [
  { title: "Camera", fields: [...CAMERA_FIELDS, ...EFFICIENCY_FIELDS] },
  { title: "Lens", fields: [...LENS_FIELDS] },
  { title: "To begin with", fields: [...START_FIELDS] },
  { title: "Limits, where known", fields: [...LIMIT_FIELDS] },
];

/** The name a field has in the kit's own record, for errors. */
export function fieldPath(field: NumberField): string {
  if ((EFFICIENCY_FIELDS as readonly string[]).includes(field)) return "kit.camera.peak_quantum_efficiency";
  if ((CAMERA_FIELDS as readonly string[]).includes(field)) return `kit.camera.${field}`;
  if ((LENS_FIELDS as readonly string[]).includes(field)) return `kit.lens.${field}`;
  if ((LIMIT_FIELDS as readonly string[]).includes(field)) return `kit.limits.${field}`;
  return `kit.${field}`;
}

/** The form of a kit that is kept. */
export function draftOf(kit: Kit): KitDraft {
  const { camera, lens, limits } = kit;
  return {
    name: kit.name,
    sensor: "",
    lens: "",
    cameraName: camera.name,
    lensName: lens.name,
    projection: lens.projection,
    fixedAperture: limits.fixed_aperture,
    numbers: {
      ...cameraNumbers(camera),
      ...lensNumbers(lens),
      ...limitNumbers(limits),
      exposure_s: textOf(kit.exposure_s),
      iso: textOf(kit.iso),
    },
  };
}

/** The form of a new kit: the first camera and, of the lenses that are changed, a fast wide one. */
export function freshDraft(starters: Starters, lens = "20-1.8"): KitDraft {
  const first = starters.sensors[0];
  const glass = starters.lenses.find((starter) => starter.id === lens) ?? starters.lenses[0];
  const empty = Object.fromEntries(NUMBER_FIELDS.map((field) => [field, ""])) as Numbers;
  const draft: KitDraft = {
    name: "",
    sensor: "",
    lens: "",
    cameraName: "",
    lensName: "",
    projection: "rectilinear",
    fixedAperture: false,
    numbers: empty,
  };
  if (first) Object.assign(draft, withSensor(draft, first, starters));
  return glass ? withLens(draft, glass) : draft;
}

/** The form with a camera's numbers in it; a phone brings its own lens. */
export function withSensor(draft: KitDraft, sensor: SensorStarter, starters: Starters): KitDraft {
  const changed: KitDraft = {
    ...draft,
    sensor: sensor.id,
    cameraName: sensor.camera.name,
    fixedAperture: sensor.limits.fixed_aperture,
    numbers: {
      ...draft.numbers,
      ...cameraNumbers(sensor.camera),
      ...limitNumbers(sensor.limits),
      // a card and a battery stay its owner's
      card_gb: draft.numbers.card_gb,
      battery_frames: draft.numbers.battery_frames,
    },
  };
  const builtIn = starters.lenses.find((lens) => lens.built_into === sensor.id);
  if (builtIn) return withLens(changed, builtIn);
  const before = starters.lenses.find((lens) => lens.id === draft.lens);
  const other = starters.lenses.find((lens) => lens.id === "20-1.8");
  return before?.built_into && other ? withLens(changed, other) : changed;
}

/** The form with a lens's numbers in it, and the exposure to begin with behind it. */
export function withLens(draft: KitDraft, starter: LensStarter): KitDraft {
  return {
    ...draft,
    lens: starter.id,
    lensName: starter.lens.name,
    projection: starter.lens.projection,
    numbers: {
      ...draft.numbers,
      ...lensNumbers(starter.lens),
      exposure_s: textOf(starter.exposure_s),
      iso: textOf(starter.iso),
    },
  };
}

/** The kit a form stands for, or the first field that holds no number. */
export function kitOf(draft: KitDraft): Kit | ApiError {
  const { numbers } = draft;
  const wanted: Wanted[] = NUMBER_FIELDS.filter(
    (field) => !OPTIONAL.includes(field) || numbers[field].trim() !== "",
  ).map((field) => ({ label: LABELS[field][0], field: fieldPath(field), text: numbers[field] }));
  const missing = firstMissing(wanted);
  if (missing) return missing;
  const value = (field: NumberField) => numberOf(numbers[field]) ?? 0;
  const optional = (field: NumberField) => numberOf(numbers[field]);
  return {
    name: draft.name,
    camera: {
      name: draft.cameraName.trim() || "camera",
      pixel_um: value("pixel_um"),
      width_px: Math.round(value("width_px")),
      height_px: Math.round(value("height_px")),
      peak_quantum_efficiency: [value("red"), value("green"), value("blue")],
      read_noise_e: value("read_noise_e"),
      full_well_e: value("full_well_e"),
      base_iso: value("base_iso"),
    },
    lens: {
      name: draft.lensName.trim() || "lens",
      focal_mm: value("focal_mm"),
      f_number: value("f_number"),
      transmission: value("transmission"),
      projection: draft.projection,
      corner_loss_stops: value("corner_loss_stops"),
    },
    exposure_s: value("exposure_s"),
    iso: value("iso"),
    limits: {
      card_gb: optional("card_gb"),
      frame_mb: optional("frame_mb"),
      battery_frames: optional("battery_frames"),
      longest_exposure_s: optional("longest_exposure_s"),
      highest_iso: optional("highest_iso"),
      fixed_aperture: draft.fixedAperture,
    },
  };
}

/** "published", "estimate", or "yours" where the number is no longer the class's. */
export function basisOf(field: NumberField, draft: KitDraft, starters: Starters): string {
  const sensor = starters.sensors.find((starter) => starter.id === draft.sensor);
  const lens = starters.lenses.find((starter) => starter.id === draft.lens);
  const own: Partial<Numbers> = {
    ...(sensor ? { ...cameraNumbers(sensor.camera), ...limitNumbers(sensor.limits) } : {}),
    ...(lens ? lensNumbers(lens.lens) : {}),
  };
  const stated = own[field];
  if (!stated) return "";
  if (stated !== draft.numbers[field].trim()) return "yours";
  const name = (EFFICIENCY_FIELDS as readonly string[]).includes(field) ? "peak_quantum_efficiency" : field;
  const groups: StarterNumbers[] = [...(sensor?.numbers ?? []), ...(lens?.numbers ?? [])];
  return groups.find((group) => group.fields.includes(name))?.basis ?? "";
}

/** Sources of the classes in use, in words. */
export function sourcesOf(draft: KitDraft, starters: Starters): string[] {
  const sensor = starters.sensors.find((starter) => starter.id === draft.sensor);
  const lens = starters.lenses.find((starter) => starter.id === draft.lens);
  return [...(sensor?.numbers ?? []), ...(lens?.numbers ?? [])].map(
    (group) =>
      `${group.fields.map((field) => field.replaceAll("_", " ")).join(", ")} (${group.basis}): ${group.source}`,
  );
}

/** One line about a kit. */
export function kitWords(kit: Kit): string {
  const { camera, lens } = kit;
  const megapixels = (camera.width_px * camera.height_px) / 1e6;
  const width_mm = (camera.width_px * camera.pixel_um) / 1000;
  const height_mm = (camera.height_px * camera.pixel_um) / 1000;
  return [
    `${megapixels.toFixed(0)} MP, ${camera.pixel_um.toFixed(2)} µm`,
    `${width_mm.toFixed(1)} × ${height_mm.toFixed(1)} mm`,
    `${textOf(lens.focal_mm)} mm f/${textOf(lens.f_number)}${lens.projection === "rectilinear" ? "" : ` ${lens.projection} fisheye`}`,
    `begins with ${textOf(kit.exposure_s)} s at ISO ${textOf(kit.iso)}`,
  ].join(" · ");
}

function cameraNumbers(camera: CameraBody) {
  const [red, green, blue] = camera.peak_quantum_efficiency;
  return {
    pixel_um: textOf(camera.pixel_um),
    width_px: textOf(camera.width_px),
    height_px: textOf(camera.height_px),
    read_noise_e: textOf(camera.read_noise_e),
    full_well_e: textOf(camera.full_well_e),
    base_iso: textOf(camera.base_iso),
    red: textOf(red),
    green: textOf(green),
    blue: textOf(blue),
  };
}

function lensNumbers(lens: Lens) {
  return {
    focal_mm: textOf(lens.focal_mm),
    f_number: textOf(lens.f_number),
    transmission: textOf(lens.transmission),
    corner_loss_stops: textOf(lens.corner_loss_stops),
  };
}

function limitNumbers(limits: KitLimits) {
  return {
    card_gb: textOf(limits.card_gb),
    frame_mb: textOf(limits.frame_mb),
    battery_frames: textOf(limits.battery_frames),
    longest_exposure_s: textOf(limits.longest_exposure_s),
    highest_iso: textOf(limits.highest_iso),
  };
}
