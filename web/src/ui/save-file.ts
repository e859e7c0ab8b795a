/** A file handed to the browser, which keeps it where it keeps what is fetched. */

import { h } from "./dom";

const KEPT_MS = 60_000;

/** Save a file under a name. */
export function saveFile(file: Blob, name: string): void {
  const address = URL.createObjectURL(file);
  const link = h("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), KEPT_MS);
}
