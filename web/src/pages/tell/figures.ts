import type { SeenAurora, TellEyeReport } from "../../generated/job";
import { kilorayleighRange, withRange } from "../../words";

export type Row = { what: string; value: string };

const SEEN: Record<SeenAurora, string> = {
  nothing: "not seen",
  grey: "grey",
  hint_of_colour: "a hint of colour",
  plain_colour: "plain colour",
  casts_shadows: "casts shadows",
};

/** The numbers of an eye view, each with its range. */
export function rows(report: TellEyeReport): Row[] {
  const found: Row[] = [];
  const add = (what: string, value: string | null): void => {
    if (value !== null) found.push({ what, value });
  };
  const { brightest_kr, median_kr, sky_mag_arcsec2, faintest_kr, colour_from_kr, shares } = report;
  add("Brightest", brightest_kr && `${kilorayleighRange(brightest_kr)} · IBC ${report.ibc ?? "not known"}`);
  add("Median", median_kr && kilorayleighRange(median_kr));
  add("Sky without aurora", sky_mag_arcsec2 && `${withRange(sky_mag_arcsec2, 1)} mag/arcsec²`);
  add("This eye begins at", faintest_kr && `${kilorayleighRange(faintest_kr)}, a wide glow (model)`);
  add("Green begins at", colour_from_kr && `${kilorayleighRange(colour_from_kr)} (model)`);
  for (const limit of report.line_limits) {
    if (limit.colour === "green") continue;
    const name = limit.colour.charAt(0).toUpperCase() + limit.colour.slice(1);
    const by = limit.by_rods ? "by rods, grey" : "by cones alone";
    add(
      `${name} (${limit.wavelength_nm.toFixed(0)} nm) begins at`,
      `${kilorayleighRange(limit.seen_from_kr)} ${by}; in colour from ${kilorayleighRange(limit.colour_from_kr)} (model)`,
    );
  }
  if (shares && shares.aurora > 0) {
    const percent = (share: number): string => `${Math.round(100 * share)} %`;
    add(
      "Of the aurora's area",
      `${percent(shares.vanished)} not seen, ${percent(shares.grey)} grey, ${percent(shares.hint_of_colour)} with a hint of colour, ${percent(shares.plain_colour)} in plain colour (estimate)`,
    );
  }
  for (const region of report.regions) {
    const place = region.place.charAt(0).toUpperCase() + region.place.slice(1);
    add(place, `${kilorayleighRange(region.brightest_kr)} at the ground: ${SEEN[region.seen]}`);
  }
  return found;
}
