import type { ReadForm, ReadReport } from "../../generated/job";

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

/** Three figures, without an exponent where there is no need. */
export function figures(value: number): string {
  if (value === 0) return "0";
  return Math.abs(value) >= 1e-3 && Math.abs(value) < 1e5 ? value.toPrecision(3) : value.toExponential(2);
}
