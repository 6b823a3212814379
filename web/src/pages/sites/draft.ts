// A site as the form holds it: everything as typed.

import type { ApiError } from "../../api";
import type { ForegroundObject, HorizonPoint, Site, SkyQuality, WaterBearing } from "../../generated/job";
import { firstMissing, numberOf, textOf, type Wanted } from "../../ui/typed";

export type CornerDraft = { azimuth: string; altitude: string };
export type WaterDraft = { from: string; to: string; sheltered: boolean };
export type ObjectDraft = { name: string; bearing: string; distance: string; height: string; width: string };

export type SiteDraft = {
  name: string;
  latitude: string;
  longitude: string;
  elevation: string;
  timeZone: string;
  sky: SkyQuality["kind"];
  skyMag: string;
  bortle: string;
  snow: boolean;
  notes: string;
  drive: string;
  horizon: CornerDraft[];
  water: WaterDraft[];
  foreground: ObjectDraft[];
};

const USUAL_SKY_MAG = "21.5";
const USUAL_BORTLE = "4";

/** The form of a site; an empty one where there is none yet. */
export function draftOf(site: Site | null, timeZone: string): SiteDraft {
  const sky = site?.sky_quality;
  return {
    name: site?.name ?? "",
    latitude: textOf(site?.position.latitude_deg),
    longitude: textOf(site?.position.longitude_deg),
    elevation: textOf(site?.position.height_m),
    timeZone: site?.time_zone ?? timeZone,
    sky: sky?.kind ?? "from_towns",
    skyMag: sky?.kind === "measured" ? textOf(sky.zenith_mag_arcsec2) : USUAL_SKY_MAG,
    bortle: sky?.kind === "bortle" ? textOf(sky.class) : USUAL_BORTLE,
    snow: site?.snow_cover ?? false,
    notes: site?.notes ?? "",
    drive: textOf(site?.drive_minutes),
    horizon: (site?.horizon ?? []).map((corner) => ({
      azimuth: textOf(corner.azimuth_deg),
      altitude: textOf(corner.altitude_deg),
    })),
    water: (site?.water ?? []).map((water) => ({
      from: textOf(water.from_deg),
      to: textOf(water.to_deg),
      sheltered: water.sheltered,
    })),
    foreground: (site?.foreground ?? []).map((object) => ({
      name: object.name,
      bearing: textOf(object.bearing_deg),
      distance: textOf(object.distance_m),
      height: textOf(object.height_m),
      width: textOf(object.width_m),
    })),
  };
}

/** The site a form stands for, or the first field that holds no number. */
export function siteOf(draft: SiteDraft): Site | ApiError {
  return firstMissing(wantedOf(draft)) ?? built(draft);
}

/** The site as far as it can be drawn: rows that are not filled in yet are left out. */
export function sketchOf(draft: SiteDraft): Site {
  const filled = (texts: string[]) => texts.every((text) => numberOf(text) !== null);
  return built({
    ...draft,
    name: draft.name.trim() || "this site",
    latitude: String(Math.max(-90, Math.min(90, numberOf(draft.latitude) ?? 69))),
    longitude: "0",
    elevation: "0",
    timeZone: "UTC",
    sky: "from_towns",
    notes: "",
    drive: "",
    horizon: draft.horizon.filter((corner) => filled([corner.azimuth, corner.altitude])),
    water: draft.water.filter((water) => filled([water.from, water.to])),
    foreground: draft.foreground.filter((object) =>
      filled([object.bearing, object.distance, object.height, object.width]),
    ),
  });
}

function wantedOf(draft: SiteDraft): Wanted[] {
  const wanted: Wanted[] = [
    { label: "Latitude", field: "site.position.latitude_deg", text: draft.latitude },
    { label: "Longitude", field: "site.position.longitude_deg", text: draft.longitude },
  ];
  if (draft.elevation.trim() !== "") {
    wanted.push({ label: "Height above the sea", field: "site.position.height_m", text: draft.elevation });
  }
  if (draft.drive.trim() !== "") wanted.push({ label: "Drive", field: "site.drive_minutes", text: draft.drive });
  if (draft.sky === "measured") {
    wanted.push({ label: "Sky brightness", field: "site.sky_quality.zenith_mag_arcsec2", text: draft.skyMag });
  }
  const rows = (name: string, field: string, keys: [string, string][]) => {
    for (const [key, text] of keys)
      wanted.push({ label: `${name}: ${key.replace(/_.*/, "")}`, field: `${field}.${key}`, text });
  };
  for (const [index, corner] of draft.horizon.entries()) {
    rows(`Skyline, row ${index + 1}`, `site.horizon[${index}]`, [
      ["azimuth_deg", corner.azimuth],
      ["altitude_deg", corner.altitude],
    ]);
  }
  for (const [index, water] of draft.water.entries()) {
    rows(`Water, row ${index + 1}`, `site.water[${index}]`, [
      ["from_deg", water.from],
      ["to_deg", water.to],
    ]);
  }
  for (const [index, object] of draft.foreground.entries()) {
    rows(`In front, row ${index + 1}`, `site.foreground[${index}]`, [
      ["bearing_deg", object.bearing],
      ["distance_m", object.distance],
      ["height_m", object.height],
      ["width_m", object.width],
    ]);
  }
  return wanted;
}

function built(draft: SiteDraft): Site {
  const value = (text: string) => numberOf(text) ?? 0;
  return {
    name: draft.name,
    position: {
      latitude_deg: value(draft.latitude),
      longitude_deg: value(draft.longitude),
      height_m: value(draft.elevation),
    },
    time_zone: draft.timeZone.trim(),
    sky_quality: skyOf(draft),
    horizon: draft.horizon.map((corner): HorizonPoint => ({
      azimuth_deg: value(corner.azimuth),
      altitude_deg: value(corner.altitude),
    })),
    snow_cover: draft.snow,
    notes: draft.notes.trim(),
    water: draft.water.map((water): WaterBearing => ({
      from_deg: value(water.from),
      to_deg: value(water.to),
      sheltered: water.sheltered,
    })),
    foreground: draft.foreground.map((object, index): ForegroundObject => ({
      name: object.name.trim() || `object ${index + 1}`,
      bearing_deg: value(object.bearing),
      distance_m: value(object.distance),
      height_m: value(object.height),
      width_m: value(object.width),
    })),
    drive_minutes: numberOf(draft.drive),
  };
}

function skyOf(draft: SiteDraft): SkyQuality {
  if (draft.sky === "measured") return { kind: "measured", zenith_mag_arcsec2: numberOf(draft.skyMag) ?? 0 };
  if (draft.sky === "bortle") return { kind: "bortle", class: numberOf(draft.bortle) ?? 0 };
  return { kind: "from_towns" };
}

/** "69.15, 15.65" as it is copied from a map: latitude and longitude. */
export function pairOf(text: string): [string, string] | null {
  const match = /^\s*\(?\s*([-+]?\d+(?:\.\d+)?)\s*[,;\s]\s*([-+]?\d+(?:\.\d+)?)\s*\)?\s*$/.exec(text);
  return match?.[1] && match[2] ? [match[1], match[2]] : null;
}

/** How dark it is and how that is known, in words. */
export function skyWords(quality: SkyQuality): string {
  if (quality.kind === "measured") return `measured, ${quality.zenith_mag_arcsec2.toFixed(2)} mag/arcsec²`;
  if (quality.kind === "bortle") return `estimate by eye, Bortle ${quality.class}`;
  return "estimate from the towns around";
}

/** "69.1500° N, 15.6500° E". */
export function placeWords({ latitude_deg, longitude_deg }: Site["position"]): string {
  const part = (value: number, plus: string, minus: string) =>
    `${Math.abs(value).toFixed(4)}° ${value < 0 ? minus : plus}`;
  return `${part(latitude_deg, "N", "S")}, ${part(longitude_deg, "E", "W")}`;
}
