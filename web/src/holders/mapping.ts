/** Which column of somebody's table is which field of the list, as the page asks and the server wants it. */
import type { Entry, HolderField } from "../types";

/** A text of an entry, or a dash where there is none. */
export const dash = (text: string | null): string => (text === null || text === "" ? "–" : text);

/** What an entry is looked up by: its number, else that of its certificate, else its models. */
export const lookedUpBy = (entry: Entry): string[] => {
  const number = entry.approval_number || entry.certificate_number;
  return number ? [number] : entry.models;
};

/** Fields that may be the same for every row, said once by a person. */
export const sayable: readonly HolderField[] = ["scheme", "status", "source", "checked_on", "checked_by"];

/** A person's choice for a field: a column by its letters, or one value for all rows. */
type Choice = { column: string } | { value: string };
export type Choices = Partial<Record<HolderField, Choice>>;

/** "A" for 0, "Z" for 25, "AA" for 26, as spreadsheets letter their columns. */
export function letters(index: number): string {
  let rest = index + 1;
  let out = "";
  while (rest > 0) {
    out = String.fromCharCode(65 + ((rest - 1) % 26)) + out;
    rest = Math.floor((rest - 1) / 26);
  }
  return out;
}

/** The letters of a column that the server names as "'header' (C)"; empty where it names none. */
export function lettersIn(name: string): string {
  return /\(([A-Z]+)\)$/.exec(name)?.[1] ?? "";
}

/**
 * The `mapping` of the API. Columns go by letters, which are never ambiguous; the row of the header
 * goes with them, or the server would take a table without one for granted.
 */
export function mapping(choices: Choices, header_row: number): string {
  const columns: Record<string, string> = {};
  const fixed: Record<string, string> = {};
  for (const [field, choice] of Object.entries(choices)) {
    if ("column" in choice) columns[field] = `#${choice.column}`;
    else fixed[field] = choice.value;
  }
  return JSON.stringify({ columns, fixed, ...(header_row > 0 ? { header_row } : {}) });
}
