// Photos from the device's camera, in one tap, onto anything.
//
// A `label` or `form` around `input[type=file][data-photo-on="NAME"]` takes them: each picture is made smaller if it
// is large (which also leaves out where and when it was taken), may get arrows, and goes into the queue. What this
// device cannot show as a picture is said at once. Does not know what is on it.

import { make } from "./dom.js";
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
      complain(field, []);
      const refused = [];
      for (const file of files) {
        const picture = await pictureOf(file);
        if (picture) await take(picture, field.dataset.photoOn, keep);
        else refused.push(file.name || "This file");
      }
      complain(field, refused);
    });
  }
}

async function take({ blob, name }, on, keep) {
  const bytes = await blob.arrayBuffer();
  await askForMarks(blob, on, (marks) => keep({ on, ...marks, name, type: blob.type }, bytes));
}

/** Says which files are no pictures, beside the field; none take the words away. */
function complain(field, names) {
  const place = field.closest("form, label") ?? field;
  const isOld = (node) => node?.hasAttribute("data-complaint");
  if (isOld(place.nextElementSibling)) place.nextElementSibling.remove();
  if (names.length === 0) return;
  const which = names.map((name) => `\u201c${name}\u201d`).join(", ");
  const words = names.length === 1
    ? `${which} is no picture that this device can show, so it was not taken.`
    : `${which} are no pictures that this device can show, so they were not taken.`;
  place.after(make("p", { role: "alert", "data-complaint": true, "data-added": true },
    `${words} Take the photo with the camera, or choose one saved as JPEG, PNG or WebP.`));
}

/** The picture in a file as `{blob, name}`, upright, no longer than [`LONGEST_PX`], as JPEG; as it is where that is not needed. Nothing if there is none in it. */
async function pictureOf(file) {
  const asItIs = { blob: file, name: file.name || "photo.jpg" };
  const picture = await opened(file);
  if (!picture) return undefined;
  const [width, height] = [picture.naturalWidth ?? picture.width, picture.naturalHeight ?? picture.height];
  const scale = Math.min(LONGEST_PX / Math.max(width, height), 1);
  const isTaken = /^image\/(jpeg|png|webp)$/.test(file.type);
  try {
    if (scale === 1 && file.size <= SMALL_BYTES && isTaken) return asItIs;
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(width * scale));
    canvas.height = Math.max(1, Math.round(height * scale));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    return blob ? { blob, name: asItIs.name.replace(/\.\w+$/, "") + ".jpg" } : asItIs;
  } catch {
    return asItIs;
  } finally {
    picture.close?.();
  }
}

/** What the browser makes of a file: a picture, or nothing. */
async function opened(file) {
  try {
    return await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    // Too large for the one way, or drawn in lines, it may open the other way.
  }
  const address = URL.createObjectURL(file);
  try {
    const picture = new Image();
    picture.src = address;
    await picture.decode();
    return picture.naturalWidth > 0 && picture.naturalHeight > 0 ? picture : undefined;
  } catch {
    return undefined;
  } finally {
    URL.revokeObjectURL(address);
  }
}
