/** Photos of a tree: taken with the tablet's camera, shrunk here, and stripped of everything but the picture. */

import { WALK } from "../../core/check-walk-wording";
import { bareJpeg, shrunk } from "../../core/walk-jpeg";
import { fieldId } from "../../ui/field";
import { fill, h } from "../../ui/dom";
import { freshId, type Context } from "../context";

const LONG_SIDE_PX = 1280;
const MOST_BYTES = 300_000;
/** Tried one after the other until the picture is small enough. */
const QUALITIES = [0.85, 0.75, 0.6, 0.45, 0.3, 0.15];

/** Return a picture as a JPEG of 1280 pixels and 300 kB at most with nothing beside it; null when the file holds no picture. */
export async function smallPhoto(file: Blob): Promise<ArrayBuffer | null> {
  const picture = await createImageBitmap(file).catch(() => null); // turned upright, as its camera says
  if (picture === null) return null;
  const { width, height } = shrunk(picture.width, picture.height, LONG_SIDE_PX);
  const canvas = h("canvas", { width, height });
  canvas.getContext("2d")?.drawImage(picture, 0, 0, width, height);
  picture.close();
  for (const quality of QUALITIES) {
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", quality));
    // some browsers write EXIF into what a canvas gives
    const bare = blob === null ? null : bareJpeg(new Uint8Array(await blob.arrayBuffer()));
    if (bare !== null && bare.length <= MOST_BYTES) return bare.buffer;
  }
  return null;
}

export interface WalkPhotos {
  box: HTMLElement;
  draw(photos: readonly string[]): void;
}
export interface PhotoHears {
  /** The id of the check that a photo taken now belongs to. */
  checkId(): string;
  taken(checkId: string, id: string): void;
  dropped(id: string): void;
  say(text: string): void;
}

/** Return the button that takes photos, and those that were taken of the tree. */
export function walkPhotos(context: Pick<Context, "photos" | "farm">, hears: PhotoHears): WalkPhotos {
  const id = fieldId();
  const label = h("span", {});
  const input = h("input", { id, type: "file", accept: "image/*", capture: "environment", class: "walk-camera" });
  const list = h("div", { class: "walk-taken" });
  let shown = "";
  const keep = async (file: File): Promise<void> => {
    const checkId = hears.checkId();
    const jpeg = await smallPhoto(file);
    if (jpeg === null) return hears.say(WALK.photoFailed);
    const photo = { id: freshId(), farmId: context.farm.id, checkId, jpeg };
    const kept = await context.photos().then((photos) => photos.keep(photo)).catch(() => false);
    if (!kept) return hears.say(WALK.photoNotKept);
    hears.taken(checkId, photo.id); // of a tree that was saved meanwhile it goes with its check all the same
  };
  input.addEventListener("change", () => {
    const file = input.files?.[0];
    input.value = "";
    if (file !== undefined) void keep(file);
  });
  const look = async (ids: readonly string[]): Promise<void> => {
    const found = await context.photos().then((photos) => photos.read(ids)).catch(() => []);
    if (shown !== ids.join()) return;
    const drop = (photo: string): void => {
      void context.photos().then((photos) => photos.remove(photo)).catch(() => undefined);
      hears.dropped(photo);
    };
    const pictures = found.map((photo) =>
      h(
        "button",
        { type: "button", "aria-label": WALK.dropPhoto, title: WALK.dropPhoto, on: { click: () => drop(photo.id) } },
        h("img", { src: dataUrl(photo.jpeg), alt: WALK.photoTaken }),
        h("span", { "aria-hidden": "true" }, "×"),
      ),
    );
    fill(list, ...pictures);
  };
  return {
    box: h("div", { class: "walk-photos" }, input, h("label", { for: id, class: "button" }, label), list),
    draw(photos) {
      label.textContent = photos.length === 0 ? WALK.photo : WALK.anotherPhoto(photos.length);
      if (shown === photos.join()) return;
      shown = photos.join();
      void look(photos);
    },
  };
}

/** Pages may show data addresses and no others. */
function dataUrl(jpeg: ArrayBuffer): string {
  let text = "";
  for (const byte of new Uint8Array(jpeg)) text += String.fromCharCode(byte);
  return `data:image/jpeg;base64,${btoa(text)}`;
}
