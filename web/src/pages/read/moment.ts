import type { ReadForm, ReadReport } from "../../generated/job";
import { bearing, height } from "../../words";

/** What a reading says of one moment. */
export type Moment = {
  at: string;
  /** Brightest bin of the keogram's column, degrees from the zenith along its line. */
  brightest: { angle_deg: number; value: number } | null;
  /** Edges of the lit sky, equatorward first. */
  borders: { angle_deg: number; latitude_deg: number | null; open: boolean }[];
  forms: ReadForm[];
};

/** The column of the keogram by its place. */
export function momentOf(report: ReadReport, index: number): Moment | null {
  const keogram = report.keogram;
  const column = keogram?.columns[index];
  if (!keogram || !column) return null;
  let brightest: Moment["brightest"] = null;
  column.values.forEach((value, bin) => {
    const angle_deg = keogram.bins[bin]?.zenith_angle_deg;
    if (value !== null && angle_deg !== undefined && (brightest === null || value > brightest.value)) {
      brightest = { angle_deg, value };
    }
  });
  const border = keogram.borders.find((candidate) => candidate.at === column.at);
  const borders = border
    ? [0, 1].map((side) => ({
        angle_deg: border.zenith_angle_deg[side] ?? 0,
        latitude_deg: border.magnetic_latitude_deg[side] ?? null,
        open: border.open[side] ?? true,
      }))
    : [];
  return { at: column.at, brightest, borders, forms: formsAt(report.forms, Date.parse(column.at), keogram.column_s) };
}

/** Forms whose stretch holds an instant, half a column to each side. */
export function formsAt(forms: ReadForm[], instant: number, column_s: number): ReadForm[] {
  const half = 500 * column_s;
  return forms.filter(
    (form) =>
      form.from !== null &&
      form.to !== null &&
      Date.parse(form.from) - half <= instant &&
      instant <= Date.parse(form.to) + half,
  );
}

/** A form by its name, as one says it. */
export function formName(form: ReadForm): string {
  return form.name === null ? "cannot tell" : form.name.replaceAll("_", " ");
}

/** Where the cursor starts: at the brightest aurora; without any where a form is told, or else where the light is greatest. The
 * greatest light of a night may be that of the moon or a lamp. */
export function startOf(report: Pick<ReadReport, "aurora" | "forms" | "light" | "keogram">): number | null {
  if (report.aurora.brightest) return Date.parse(report.aurora.brightest);
  const isTold = (instant: number) => {
    const forms = formsAt(report.forms, instant, report.keogram?.column_s ?? 1);
    return forms.some((form) => form.name !== null);
  };
  const told = report.light.filter(({ at }) => isTold(Date.parse(at)));
  let best: { at: string; light: number } | null = null;
  for (const point of told.length > 0 ? told : report.light)
    if (best === null || point.light > best.light) best = point;
  return best === null ? null : Date.parse(best.at);
}

/** A form with where it stands in the stretch that is shown, 0 to 1, and in which row of buttons. */
export type Span = { form: ReadForm; left: number; right: number; row: number };

/** Rows of buttons: what finds no place stands in the account. */
const MOST_ROWS = 4;

/** Forms laid out in rows so that no button lies on another. `least`: width that a button takes at least, as a share. */
export function laidOut(forms: readonly ReadForm[], shown: { from: number; to: number }, least: number): Span[] {
  const wide = shown.to - shown.from;
  if (wide <= 0) return [];
  const ends: number[] = [];
  return forms
    .flatMap((form) => {
      if (form.from === null || form.to === null) return [];
      const [left, right] = [form.from, form.to].map((at) => (Date.parse(at) - shown.from) / wide);
      if (left === undefined || right === undefined || right < 0 || left > 1) return [];
      const from = Math.min(Math.max(0, left), Math.max(0, 1 - least));
      return [{ form, left: from, right: Math.max(Math.min(1, right), from + least) }];
    })
    .sort((a, b) => a.left - b.left)
    .flatMap((span) => {
      const free = ends.findIndex((end) => end <= span.left);
      const row = free >= 0 ? free : ends.length;
      if (row >= MOST_ROWS) return [];
      ends[row] = span.right;
      return [{ ...span, row }];
    });
}

/** Where a form stands on the sky, in words; empty where directions are not known. */
export function whereWords(form: ReadForm): string {
  return form.middle ? `, around ${bearing(form.middle.azimuth_deg)}, ${height(form.middle.altitude_deg)}` : "";
}

/** Three figures, without an exponent. */
export function figures(value: number): string {
  if (value === 0) return "0";
  const size = Math.abs(value);
  return size >= 1e-3 && size < 1000 ? value.toPrecision(3) : String(Number(value.toPrecision(3)));
}
