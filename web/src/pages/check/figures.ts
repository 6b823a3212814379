import type {
  BodyInFrame,
  ChannelClipping,
  CheckedAurora,
  CheckedLens,
  CheckReport,
  Estimate,
} from "../../generated/job";

/** One row of the numbers: what, and how much. */
export type Row = { what: string; value: string };

function range(estimate: Estimate, digits: number): string {
  const [value, low, high] = [estimate.value, estimate.low, estimate.high].map((number) => number.toFixed(digits));
  return `${value} (${low} to ${high})`;
}

const SCENES: Record<CheckReport["scene"], string> = {
  night_sky: "night sky",
  twilight: "twilight",
  moonlit: "moonlit night",
  day: "day",
  dark: "dark",
  not_a_photograph: "not a photograph",
  unreadable: "unreadable",
  cannot_tell: "cannot be told",
};

const CLOUD_BY: Record<NonNullable<CheckReport["cloud_method"]>, string> = {
  catalogue_stars: "by the catalogue's stars",
  star_density: "by where stars are missing",
  colour: "by its colour",
};

const BODIES: Record<BodyInFrame, string> = { moon: "the moon", sun: "the sun", sun_or_moon: "sun or moon" };

function settings(report: CheckReport): string {
  const { exposure_s, f_number, iso, focal_mm, camera } = report.settings;
  const parts = [
    exposure_s === null ? null : exposure_s < 0.28 ? `1/${(1 / exposure_s).toFixed(0)} s` : `${exposure_s} s`,
    f_number === null ? null : `f/${f_number}`,
    iso === null ? null : `ISO ${iso}`,
    focal_mm === null ? null : `${focal_mm} mm`,
    camera,
  ];
  return parts.filter((part) => part !== null).join(", ");
}

function clipping(channel: ChannelClipping): Row {
  const percent = (share: number) => `${(100 * share).toFixed(2)} %`;
  return {
    what: `Full in ${channel.channel}`,
    value: `${percent(channel.sky_share)} in the sky, ${percent(channel.lights_share)} in lights; ${range(channel.spare_stops, 1)} stops to spare`,
  };
}

function lens(found: CheckedLens): string {
  if (!found.solved || !found.field_deg) return `not found: ${found.why_not ?? "no reason given"}`;
  const [across, down] = found.field_deg.map((side) => side.toFixed(1));
  const ground =
    found.alt_deg === null || found.az_deg === null
      ? ""
      : `, the middle ${found.alt_deg.toFixed(1)}° up, bearing ${found.az_deg.toFixed(1)}°`;
  const contradiction = found.contradicts_time ? "; the place and time named cannot be" : "";
  return `${across}° × ${down}°${ground}; ${found.matched ?? 0} stars fit${contradiction}`;
}

function scaled(estimate: Estimate, factor: number): Estimate {
  const { value, low, high } = estimate;
  return { ...estimate, value: factor * value, low: factor * low, high: factor * high };
}

const PRESENT: Record<CheckedAurora["present"], string> = { yes: "yes", no: "none", cannot_tell: "cannot be told" };

function aurora(found: CheckedAurora): Row[] {
  const { present, probability, brightest_kr, median_kr, is_least, extent } = found;
  const list: Row[] = [{ what: "Aurora", value: `${PRESENT[present]} (probability ${probability.toFixed(2)})` }];
  if (brightest_kr) {
    const middle = median_kr ? `, middling ${range(median_kr, 1)}` : "";
    list.push({
      what: "Brightness",
      value: `brightest ${is_least ? "at least " : ""}${range(brightest_kr, 1)} kR${middle}`,
    });
  }
  if (extent) list.push({ what: "Extent", value: `${range(scaled(extent, 100), 0)} % of the sky` });
  if (found.form !== null) list.push({ what: "Form", value: found.form });
  if (found.lines) {
    const { green_5577, red_6300, blue_4278 } = found.lines;
    const share = (line: Estimate) => `${range(scaled(line, 100), 0)} %`;
    list.push({
      what: "Its light",
      value: `green 557.7 nm ${share(green_5577)}, red 630.0 nm ${share(red_6300)}, blue 427.8 nm ${share(blue_4278)} of its rayleighs (estimates)`,
    });
  }
  return list;
}

/** The numbers of a report in the order in which they are asked for. */
export function rows(report: CheckReport): Row[] {
  const { stars, sky, taken } = report;
  const found: Row[] = [{ what: "Scene", value: `${SCENES[report.scene]}: ${report.scene_why}` }];
  if (report.size_px) {
    found.push({ what: "Picture", value: `${report.kind ?? "file"}, ${report.size_px[0]} × ${report.size_px[1]} px` });
  }
  if (taken) {
    const zone = taken.utc === null ? ", no time zone named" : ` (${taken.utc})`;
    const at = `${taken.local ?? "as given"}${zone}`;
    found.push({
      what: "Taken",
      value: taken.source === "still_to_come" ? `not known: ${taken.local ?? "its time"} is still to come` : at,
    });
  }
  const said = settings(report);
  if (said !== "") found.push({ what: "Settings", value: said });
  const width = stars.hfd_px === null ? "" : `, ${stars.hfd_px.toFixed(2)} px wide (half of their light)`;
  found.push({ what: "Stars", value: `${stars.count}${stars.alike ? width : ", not alike enough to be stars"}` });
  if (report.focus?.hfd_px) found.push({ what: "Width across trails", value: `${range(report.focus.hfd_px, 2)} px` });
  if (report.motion?.length_px) found.push({ what: "Trails", value: `${range(report.motion.length_px, 1)} px` });
  if (report.lens?.asked) found.push({ what: "Lens by the stars", value: lens(report.lens) });
  if (sky) {
    found.push({ what: "Sky", value: `${range(sky.mid_grey_stops, 1)} stops from mid-grey` });
    if (sky.electrons) {
      const { in_green, noise_over_read } = sky.electrons;
      found.push({
        what: "Electrons of the sky",
        value: `${range(in_green, 0)} a photosite; their noise ${range(noise_over_read, 1)} times the read noise (estimates by the kit)`,
      });
    }
  }
  if (report.sky_mag_arcsec2) {
    found.push({ what: "Light of the sky", value: `${range(report.sky_mag_arcsec2, 1)} mag/arcsec²` });
  }
  if (report.cloud_fraction) {
    const by = report.cloud_method === null ? "" : `, ${CLOUD_BY[report.cloud_method]}`;
    found.push({ what: "Cloud", value: `${range(scaled(report.cloud_fraction, 100), 0)} % of the sky${by}` });
  }
  if (report.foreground_fraction) {
    found.push({ what: "Ground", value: `${range(scaled(report.foreground_fraction, 100), 0)} % of the frame` });
  }
  if (report.body) {
    const { body, position_px, confidence } = report.body;
    const [x, y] = position_px.map((px) => px.toFixed(0));
    found.push({ what: "Disc", value: `${BODIES[body]} at pixel (${x}, ${y}), confidence ${confidence.toFixed(2)}` });
  }
  if (report.aurora) found.push(...aurora(report.aurora));
  return [...found, ...report.clipping.map(clipping)];
}
