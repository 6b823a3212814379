// Numbers as people type them. Whether a number makes sense is judged by the program alone.

import { ApiError } from "../api";

/** A number field that must not be empty: what it is called, where it belongs, what stands in it. */
export type Wanted = { label: string; field: string; text: string };

/** "69,15" and " 69.15" as a number; null where there is none. */
export function numberOf(text: string): number | null {
  const plain = text.trim().replace(",", ".");
  if (plain === "") return null;
  const value = Number(plain);
  return Number.isFinite(value) ? value : null;
}

/** The first field without a number, as the refusal the program would give. */
export function firstMissing(wanted: Wanted[]): ApiError | null {
  const missing = wanted.find(({ text }) => numberOf(text) === null);
  if (!missing) return null;
  const said = missing.text.trim() === "" ? "is missing" : `"${missing.text.trim()}" is not a number`;
  return new ApiError(`${missing.label} ${said}`, "give a plain decimal number", missing.field);
}

/** A number for a field of text: as short as it can be without loss that matters. */
export function textOf(value: number | null | undefined): string {
  return value === null || value === undefined ? "" : String(Number(value.toFixed(6)));
}
