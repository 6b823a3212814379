import { describe, expect, it } from "vitest";

import { ApiError } from "../../api";
import type { Site } from "../../generated/job";
import { draftOf, pairOf, placeWords, siteOf, sketchOf, skyWords } from "./draft";

const bay: Site = {
  name: "Skerrow Bay",
  position: { latitude_deg: 69.15, longitude_deg: -15.65, height_m: 3 },
  time_zone: "Europe/Oslo",
  sky_quality: { kind: "measured", zenith_mag_arcsec2: 21.6 },
  horizon: [{ azimuth_deg: 150, altitude_deg: 9 }],
  snow_cover: true,
  notes: "gravel",
  water: [{ from_deg: 300, to_deg: 30, sheltered: true }],
  foreground: [{ name: "boathouse", bearing_deg: 345, distance_m: 60, height_m: 5.5, width_m: 9 }],
  drive_minutes: 20,
};

describe("the form of a site", () => {
  it("gives back the site it was made of", () => {
    expect(siteOf(draftOf(bay, "UTC"))).toEqual(bay);
    const plain: Site = { ...bay, sky_quality: { kind: "bortle", class: 3 }, drive_minutes: null, horizon: [] };
    expect(siteOf(draftOf(plain, "UTC"))).toEqual(plain);
  });

  it("takes decimals with a comma and knows an empty height", () => {
    const draft = { ...draftOf(null, "Europe/Oslo"), name: "x", latitude: " 69,15", longitude: "15.65" };
    const site = siteOf(draft) as Site;
    expect(site.position).toEqual({ latitude_deg: 69.15, longitude_deg: 15.65, height_m: 0 });
    expect(site.time_zone).toBe("Europe/Oslo");
  });

  it("names the first field without a number", () => {
    const refusal = (change: object) => siteOf({ ...draftOf(bay, "UTC"), ...change }) as ApiError;
    expect(refusal({ latitude: "" }).message).toBe("Latitude is missing");
    expect(refusal({ longitude: "east" }).message).toBe('Longitude "east" is not a number');
    const row = refusal({ horizon: [{ azimuth: "10", altitude: "" }] });
    expect(row.field).toBe("site.horizon[0].altitude_deg");
    expect(row.message).toBe("Skyline, row 1: altitude is missing");
  });

  it("draws what is filled in so far", () => {
    const draft = {
      ...draftOf(null, "UTC"),
      horizon: [
        { azimuth: "10", altitude: "" },
        { azimuth: "20", altitude: "4" },
      ],
    };
    const sketch = sketchOf(draft);
    expect(sketch.horizon).toEqual([{ azimuth_deg: 20, altitude_deg: 4 }]);
    expect(sketchOf({ ...draft, latitude: "-46" }).position.latitude_deg).toBe(-46);
    expect(sketchOf({ ...draft, latitude: "950" }).position.latitude_deg).toBe(90);
  });
});

describe("a place", () => {
  it("is read as maps give it to be copied", () => {
    expect(pairOf("69.15, 15.65")).toEqual(["69.15", "15.65"]);
    expect(pairOf("(-46.55 169.45)")).toEqual(["-46.55", "169.45"]);
    expect(pairOf("69.15")).toBeNull();
    expect(pairOf("north of the bay")).toBeNull();
  });

  it("is said with its sides of the equator and of Greenwich", () => {
    expect(placeWords(bay.position)).toBe("69.1500° N, 15.6500° W");
    expect(skyWords({ kind: "from_towns" })).toContain("estimate");
    expect(skyWords(bay.sky_quality)).toContain("measured");
  });
});
