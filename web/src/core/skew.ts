/** How far this device's clock is off the service's, as it is kept on the device. */

export interface Skew {
  /** This device's clock minus the service's, in seconds. */
  skew_s: number;
  /** When that was heard, by this device's clock. */
  heard_at: string;
}

/** Return the skew of the moments around a question and the service's clock in the answer; null where it told none. */
export function skewOf(askedMs: number, heardMs: number, server_at: string | null | undefined): number | null {
  const serverMs = Date.parse(server_at ?? "");
  // half-way between asking and hearing: what the way took is in neither clock
  return Number.isNaN(serverMs) ? null : ((askedMs + heardMs) / 2 - serverMs) / 1_000;
}

/** Return the service's clock, as far as this device's and what was heard last tell it. */
export function trueMs(deviceMs: number, skew: Skew | null): number {
  return deviceMs - (skew?.skew_s ?? 0) * 1_000;
}

export function skewText(skew: Skew): string {
  return JSON.stringify(skew);
}

/** Return what `skewText` wrote; null for anything else. */
export function skewIn(text: string | null): Skew | null {
  try {
    const { skew_s, heard_at } = (JSON.parse(text ?? "null") ?? {}) as Partial<Record<keyof Skew, unknown>>;
    return Number.isFinite(skew_s) && typeof heard_at === "string" ? { skew_s: skew_s as number, heard_at } : null;
  } catch {
    return null;
  }
}
