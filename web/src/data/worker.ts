/** The service worker from the page's side: it is registered, and a newer one is taken only when somebody says so. */

export interface WorkerHears {
  /** A newer version of the pages waits; `take` puts it in place and loads the page again. Null: none waits any more. */
  waiting(take: (() => void) | null): void;
}
/** What a page tells a worker that waits. */
export type ToWorker = { say: "take over" } | { say: "running"; script: string };

/**
 * Register the worker and watch for newer ones.
 *
 * The page may already be newer than the worker that answers for it, as pages come from the network where there is one:
 * then the waiting worker belongs to this very page and takes over without a word.
 */
export async function watchWorker(container: ServiceWorkerContainer, hears: WorkerHears, reload: () => void): Promise<void> {
  const registration = await container.register("/sw.js", { scope: "/", updateViaCache: "none" });
  let asked = false;
  const found = (worker: ServiceWorker | null): void => {
    if (worker === null || registration.active === null) return; // the first one replaces nothing
    worker.postMessage({ say: "running", script: new URL(import.meta.url).pathname } satisfies ToWorker);
    hears.waiting(() => {
      asked = true;
      worker.addEventListener("statechange", () => {
        if (worker.state === "activated" && asked) reload();
      });
      worker.postMessage({ say: "take over" } satisfies ToWorker);
    });
  };
  const watch = (worker: ServiceWorker | null): void => {
    worker?.addEventListener("statechange", () => {
      if (worker.state === "installed") found(registration.waiting);
      // it took over by itself, or another tab asked it to: nothing waits any more
      if (worker.state === "activated" && !asked) hears.waiting(null);
    });
  };
  registration.addEventListener("updatefound", () => watch(registration.installing));
  watch(registration.waiting);
  found(registration.waiting);
}
