/** Words for the ids that matters name: block codes, crews, people, tablets; moments in the farm's zone. */

import type { BlockSummary, Farm } from "../../core/contracts";
import { momentText } from "../../core/numbers";
import type { PairedTablet } from "../../data/who-api";

export interface Knowing {
  code(block: string | null): string;
  crew(id: string | null): string;
  person(id: string | null): string;
  tablet(id: string | null): string;
  moment(iso: string): string;
}

function among(named: readonly { id: string; name: string }[]): (id: string | null) => string {
  const names = new Map(named.map(({ id, name }) => [id, name]));
  return (id) => (id === null ? "" : (names.get(id) ?? ""));
}

/** Return the words; what is not known here is the empty word. */
export function knowingOf(farm: Farm, blocks: readonly BlockSummary[], tablets: readonly PairedTablet[]): Knowing {
  return {
    code: among(blocks.map(({ id, code }) => ({ id, name: code }))),
    crew: among(farm.crews),
    person: among(farm.people),
    tablet: among(tablets),
    moment: (iso) => momentText(iso, farm.time_zone),
  };
}
