/** Where the service makes paper: addresses of PDFs, opened as they are. */

import { language } from "../core/language";

const at = (farm: string, name: string, asked: Record<string, string>): string => {
  const query = new URLSearchParams({ ...asked, language: language() });
  return `/api/farms/${encodeURIComponent(farm)}/${name}.pdf?${query.toString()}`;
};

/** Return where the wall map of a farm is, or that of one block. */
export function wallMapAddress(farm: string, day: string, size: string, block = ""): string {
  return at(farm, "wall-map", { day, size, ...(block === "" ? {} : { block }) });
}

/** Return where the crew sheet of a block is. */
export function crewSheetAddress(farm: string, day: string, block: string, onlyLeft: boolean): string {
  return at(farm, "crew-sheets", { day, block, ...(onlyLeft ? { only_left: "true" } : {}) });
}

/** Return where the report of the week is that a day lies in. */
export function weeklyAddress(farm: string, day: string): string {
  return at(farm, "weekly-report", { day });
}
