/** What weighs most is done only with a password given lately: where the service asks for it, it is asked for here, and the call goes again. */

import { Problem, type Request } from "./request";

export interface Confirming {
  request: Request;
  /** Somebody wants to send what waits: whoever declined before is asked again. */
  askAgain(): void;
}
export interface ConfirmingTools {
  /** Ask for the password; tells whether it was given. */
  ask(): Promise<boolean>;
  /** Told that it was given for something that waits on this device. */
  given(): void;
}

/** Return a request that goes again, once, after the password was given. Calls that come meanwhile share one question. */
export function confirmingOf(request: Request, { ask, given }: ConfirmingTools): Confirming {
  let asking: Promise<boolean> | null = null;
  let declined = false;
  const askOnce = (): Promise<boolean> => {
    asking ??= ask()
      .catch(() => false) // the question itself did not come over a bad connection
      .then((isGiven) => {
        asking = null;
        declined = !isGiven;
        return isGiven;
      });
    return asking;
  };
  return {
    async request(path, options = {}) {
      try {
        return await request(path, options);
      } catch (error) {
        if (!(error instanceof Problem) || error.kind !== "unconfirmed") throw error;
        if (options.waits === true) {
          // the sender goes on meanwhile and tries again by itself: it asks once and not each time
          if (!declined && asking === null) void askOnce().then((isGiven) => isGiven && given());
          throw error;
        }
        if (!(await askOnce())) throw error;
        return request(path, options);
      }
    },
    askAgain() {
      declined = false;
    },
  };
}
