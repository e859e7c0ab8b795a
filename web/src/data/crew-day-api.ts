/** What the service knows of a crew's day, and what the crew pruned on it. */

import type { KeptCrewDay } from "../core/knock-off";
import type { Request } from "./request";

/** Return the crew's entries of a day, those that do not stand among them. */
export async function crewDays(request: Request, farmId: string, day: string, crewId: string): Promise<KeptCrewDay[]> {
  const one = encodeURIComponent;
  const path = `/farms/${one(farmId)}/crew-days?day=${one(day)}&crew=${one(crewId)}`;
  const { crew_days } = await request<{ crew_days: (KeptCrewDay & { set_aside: string | null })[] }>(path);
  return crew_days.filter(({ set_aside }) => set_aside === null);
}
