// Photos from the device's camera, in one tap, onto anything.
//
// A `label` or `form` around `input[type=file][data-photo-on="NAME"]` takes them: each picture is made smaller if it
// is large (which also leaves out where and when it was taken), may get arrows, and goes into the queue. Does not
// know what is on it.

import { askForMarks } from "./mark-up.js";

/** Longest side that is sent; enough to read the print on a wire from a close photo. */
export const LONGEST_PX = 2560;
const QUALITY = 0.86;
const SMALL_BYTES = 900 * 1024;

const started = new WeakSet();

/** Starts every such field. `keep({on, arrow, words, name, type}, bytes)` takes the photo over. */
export function startPhotos(keep, root = document) {
  for (const field of root.querySelectorAll("input[type=file][data-photo-on]")) {
    if (started.has(field)) continue;
    started.add(field);
    field.addEventListener("change", async () => {
      const files = Array.from(field.files);
      field.value = "";
      for (const file of files) await take(file, field.dataset.photoOn, keep);
    });
  }
}

async function take(file, on, keep) {
  const { blob, name } = await smaller(file);
  const bytes = await blob.arrayBuffer();
  await askForMarks(blob, on, (marks) => keep({ on, ...marks, name, type: blob.type }, bytes));
}

/** The picture, upright, no longer than [`LONGEST_PX`], as JPEG; as it is where that is not needed or not possible. */
async function smaller(file) {
  const asItIs = { blob: file, name: file.name || "photo.jpg" };
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = LONGEST_PX / Math.max(picture.width, picture.height);
    if (scale >= 1 && file.size <= SMALL_BYTES && /^image\/(jpeg|png|webp)$/.test(file.type)) return asItIs;
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * Math.min(scale, 1));
    canvas.height = Math.round(picture.height * Math.min(scale, 1));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    return blob ? { blob, name: asItIs.name.replace(/\.\w+$/, "") + ".jpg" } : asItIs;
  } catch {
    return asItIs;
  }
}
