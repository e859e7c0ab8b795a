/** Packs as they lie on this device: blocks in one store, the drawings that their briefs share in another. */

import { stateToKeep } from "../core/ahead";
import type { BlockPack } from "../core/contracts";
import type { Base, HeldBlock } from "./database";

/** Return a pack as it is kept. */
export function heldBlock(pack: BlockPack, farmId: string, madeAt: string): HeldBlock {
  const briefs = [pack.brief, ...(pack.lots ?? []).map(({ brief }) => brief)];
  const named = briefs.flatMap((brief) => Object.values(brief?.texts ?? {}).flatMap(({ pictures }) => pictures));
  const pictures = [...new Set(named)].filter((digest) => digest !== "");
  return { ...pack, state: stateToKeep(pack.state), id: pack.summary.id, farmId, madeAt, pictures };
}

/**
 * Keep packs and the drawings of their briefs, all or none; drawings that no pack names any more go with the same step.
 *
 * Returns false where an older tab holds the database as it was before there were drawings: then the packs alone are kept.
 */
export async function keepPacks(base: Base, packs: readonly HeldBlock[], drawings: Readonly<Record<string, string>>): Promise<boolean> {
  if (!base.objectStoreNames.contains("pictures")) {
    const step = base.transaction("packs", "readwrite");
    await Promise.all([...packs.map((pack) => step.store.put(pack)), step.done]);
    return false;
  }
  const step = base.transaction(["packs", "pictures"], "readwrite");
  const [blocks, pictures] = [step.objectStore("packs"), step.objectStore("pictures")];
  const sweep = async (): Promise<void> => {
    const unnamed = async (digest: string): Promise<boolean> => (await blocks.index("pictures").getKey(digest)) === undefined;
    const kept = await pictures.getAllKeys();
    await Promise.all(kept.map(async (digest) => ((await unnamed(digest)) ? pictures.delete(digest) : undefined)));
  };
  await Promise.all([
    // drawings first: what cannot be kept of them keeps the blocks out too
    ...Object.entries(drawings).map(([digest, svg]) => pictures.put(svg, digest)),
    ...packs.map((pack) => blocks.put(pack)),
    sweep(),
    step.done,
  ]);
  return true;
}

/** Return the drawings of these digests that are here, as SVG. */
export async function drawingsIn(base: Base, digests: readonly string[]): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  if (!base.objectStoreNames.contains("pictures")) return found;
  const { store } = base.transaction("pictures");
  const read = async (digest: string): Promise<void> => {
    const svg = await store.get(digest);
    if (svg !== undefined) found.set(digest, svg);
  };
  await Promise.all(digests.map(read));
  return found;
}
