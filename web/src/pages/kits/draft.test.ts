import { describe, expect, it } from "vitest";

import type { ApiError } from "../../api";
import type { Kit, Starters } from "../../generated/job";
import { basisOf, draftOf, freshDraft, kitOf, kitWords, withLens, withSensor } from "./draft";

const limits = {
  card_gb: null,
  frame_mb: 34,
  battery_frames: null,
  longest_exposure_s: null,
  highest_iso: null,
  fixed_aperture: false,
};
const camera: Kit["camera"] = {
  name: "full frame, 24 MP",
  pixel_um: 5.95,
  width_px: 6048,
  height_px: 4024,
  peak_quantum_efficiency: [0.4, 0.5, 0.43],
  read_noise_e: 1.8,
  full_well_e: 60000,
  base_iso: 100,
};
const lens: Kit["lens"] = {
  name: "20 mm f/1.8",
  focal_mm: 20,
  f_number: 1.8,
  transmission: 0.88,
  projection: "rectilinear",
  corner_loss_stops: 1,
};
const numbers = [{ fields: ["pixel_um", "focal_mm"], basis: "published" as const, source: "sheets" }];
const starters: Starters = {
  sensors: [
    { id: "full-frame-24", title: "full frame, 24 MP", camera, limits, numbers },
    {
      id: "phone",
      title: "phone",
      camera: { ...camera, name: "phone", pixel_um: 2.4 },
      limits: { ...limits, longest_exposure_s: 30, fixed_aperture: true },
      numbers,
    },
  ],
  lenses: [
    { id: "20-1.8", title: "20 mm f/1.8", lens, exposure_s: 5, iso: 3200, built_into: null, numbers },
    {
      id: "kit-18-3.5",
      title: "18",
      lens: { ...lens, f_number: 3.5 },
      exposure_s: 19,
      iso: 3200,
      built_into: null,
      numbers,
    },
    {
      id: "phone-lens",
      title: "phone",
      lens: { ...lens, focal_mm: 6.8 },
      exposure_s: 5,
      iso: 3200,
      built_into: "phone",
      numbers,
    },
  ],
};

describe("the form of a kit", () => {
  it("gives back the kit it was made of", () => {
    const kit: Kit = { name: "Wide", camera, lens, exposure_s: 5, iso: 3200, limits: { ...limits, card_gb: 64 } };
    expect(kitOf(draftOf(kit))).toEqual(kit);
    expect(kitWords(kit)).toContain("36.0 × 23.9 mm");
  });

  it("begins with a class and says which numbers are whose", () => {
    const draft = freshDraft(starters);
    const kit = kitOf(draft) as Kit;
    expect([kit.camera, kit.lens, kit.exposure_s]).toEqual([camera, lens, 5]);
    expect(basisOf("pixel_um", draft, starters)).toBe("published");
    const changed = { ...draft, numbers: { ...draft.numbers, pixel_um: "6.1" } };
    expect(basisOf("pixel_um", changed, starters)).toBe("yours");
  });

  it("gives a phone its own lens and takes it away again", () => {
    const [wide, phone] = starters.sensors;
    const built = withSensor(freshDraft(starters), phone as (typeof starters.sensors)[0], starters);
    expect([built.lens, built.fixedAperture, built.numbers.longest_exposure_s]).toEqual(["phone-lens", true, "30"]);
    const back = withSensor(built, wide as (typeof starters.sensors)[0], starters);
    expect([back.lens, back.fixedAperture]).toEqual(["20-1.8", false]);
  });

  it("begins with a longer exposure behind a slower lens", () => {
    const slow = withLens(freshDraft(starters), starters.lenses[1] as (typeof starters.lenses)[0]);
    expect(slow.numbers.exposure_s).toBe("19");
  });

  it("names the first field without a number", () => {
    const draft = freshDraft(starters);
    const refused = kitOf({ ...draft, numbers: { ...draft.numbers, full_well_e: "" } }) as ApiError;
    expect([refused.message, refused.field]).toEqual(["Full well at base ISO is missing", "kit.camera.full_well_e"]);
  });
});
