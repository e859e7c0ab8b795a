/** Which blocks this device itself tells of. */

import type { Context } from "../context";

/** Return the blocks of which this device has records of the crew's day; those may not have come to the service yet. */
export function ownBlocks({ sending }: Pick<Context, "sending">, { crewId, day }: { crewId: string; day: string }): Set<string> {
  const isOfDay = (mark: { crew_id: string; day: string }): boolean => mark.crew_id === crewId && mark.day === day;
  return new Set(
    sending.entries().flatMap(({ record }) => ("block_id" in record && "crew_id" in record && isOfDay(record) ? [record.block_id] : [])),
  );
}
