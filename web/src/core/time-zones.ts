/** Time zones as people type them: their names have underscores that nobody types. */

const tidy = (name: string): string => name.trim().toLowerCase().replaceAll(/[\s_]+/g, "_");

/** Return the zone that is meant: the one of that name, else the only one that holds what was typed; null where none or several do. */
export function zoneMeant(typed: string, zones: readonly string[]): string | null {
  const wanted = tidy(typed);
  if (wanted === "") return null;
  const exact = zones.find((zone) => tidy(zone) === wanted);
  if (exact !== undefined) return exact;
  const [only, ...others] = zones.filter((zone) => tidy(zone).includes(wanted));
  return only !== undefined && others.length === 0 ? only : null;
}
