/** What the forecast says of the plan as it stands here: asked anew after a change, once the hand rests. */

import type { PlanBoard, PlanForecast, Queues } from "../../core/plan-queues";
import { PLAN } from "../../core/plan-wording";
import type { PlanApi } from "../../data/plan-api";
import { h } from "../../ui/dom";
import type { Context } from "../context";
import { placeLink } from "../place-link";

const RESTS_MS = 400;

export interface Ahead {
  box: HTMLElement;
  /** Return what was told last of exactly this plan, or null; what is newer is asked for, and `told` of the part is called once it is there. */
  of(board: PlanBoard, plan: Queues, isSaved: boolean): PlanForecast | null;
  leave(): void;
}

/** Return the part. */
export function aheadPart(api: PlanApi, { farm, go }: Pick<Context, "farm" | "go">, told: () => void): Ahead {
  const words = h("span", { role: "status" });
  const box = h("p", { class: "plan-ahead" }, words, " ", placeLink({ screen: "forecast", block: null }, PLAN.toForecast, go));
  let asked = "";
  let answer: { key: string; plan: string; found: PlanForecast } | null = null;
  let saved: PlanForecast | null = null;
  let due: ReturnType<typeof setTimeout> | undefined;
  let left = false;

  /** What is said already is not read out again. */
  const put = (text: string): void => {
    if (words.textContent !== text) words.textContent = text;
  };
  const say = (found: PlanForecast, isSaved: boolean): void => {
    const { finish, chance } = found;
    if (finish === null || chance === null) return put(PLAN.firstGuess);
    const before = isSaved || saved?.finish == null || saved.chance === null ? "" : PLAN.asSaved(saved.finish.p50, saved.chance);
    put([PLAN.ahead(finish.p50, finish.p90, chance), before].filter((one) => one !== "").join(" "));
  };
  const planKey = ({ queues, open }: Queues): string => JSON.stringify([queues, open]);
  const ask = async (key: string, plan: Queues, isSaved: boolean): Promise<void> => {
    try {
      const found = await api.forecast(farm.id, plan);
      if (left || key !== asked) return;
      answer = { key, plan: planKey(plan), found };
      if (isSaved) saved = found;
      say(found, isSaved);
      told();
    } catch {
      if (!left && key === asked) {
        asked = "";
        put(PLAN.noForecast);
      }
    }
  };
  return {
    box,
    of(board, plan, isSaved) {
      const key = `${board.cursor} ${planKey(plan)}`;
      if (answer?.key === key) {
        if (isSaved) saved = answer.found;
        say(answer.found, isSaved);
        return answer.found;
      }
      if (key !== asked) {
        clearTimeout(due);
        due = setTimeout(() => void ask(key, plan, isSaved), asked === "" ? 0 : RESTS_MS);
        asked = key;
      }
      // a mark moves it by little: what was told of the same plan stands until the new answer is there
      if (answer?.plan === planKey(plan)) return answer.found;
      put(PLAN.reckoning);
      return null;
    },
    leave() {
      left = true;
      clearTimeout(due);
    },
  };
}
