// Drawing arrows on a photo with a finger, and showing arrows that were drawn.
//
// A picture with `data-arrow="M0.1 0.2L…"` gets its arrows laid over it; the picture itself stays as it came.
// Does not know where photos come from or go.

import { button, make, makeSvg, say } from "./dom.js";
import { arrowHead, fromPath, toPath } from "./mark.js";

const HEAD = 0.05;

/** Which arrows of which picture lie over each. */
const laid = new WeakMap();

/** Lays the arrows of every picture over it; an element that shows another picture now gets those of that one. */
export function showArrows(root = document) {
  for (const picture of root.querySelectorAll("img[data-arrow], .photo img")) {
    const is = `${picture.dataset.arrow ?? ""} ${picture.src}`;
    if (laid.get(picture) === is) continue;
    laid.set(picture, is);
    if (picture.nextElementSibling?.matches("svg.arrows")) picture.nextElementSibling.remove();
    if (!picture.dataset.arrow) continue;
    const draw = () => {
      if (laid.get(picture) !== is) return;
      const strokes = fromPath(picture.dataset.arrow) ?? [];
      const [width, height] = [picture.naturalWidth, picture.naturalHeight];
      const over = makeSvg("svg", { class: "arrows", viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true", "data-added": true });
      over.append(...strokes.flatMap((points) => strokePaths(points, width, height)));
      picture.after(over);
    };
    if (picture.complete && picture.naturalWidth > 0) draw();
    else picture.addEventListener("load", draw, { once: true });
  }
}

function strokePaths(points, width, height) {
  const line = points.map(({ x, y }, place) => `${place ? "L" : "M"}${x * width} ${y * height}`).join("");
  const path = line + arrowHead(points, width, height, HEAD * Math.max(width, height));
  const thick = Math.max(width, height) / 110;
  // A light line under a dark one: seen on any picture.
  return [makeSvg("path", { d: path, class: "arrow-under", "stroke-width": thick * 2.2 }),
    makeSvg("path", { d: path, class: "arrow-over", "stroke-width": thick })];
}

/**
 * Shows a photo large and takes marks and words for it. `keep({arrow, words})` takes them over; only when it has does
 * the photo go away. Resolves when the photo is kept or called off.
 */
export function askForMarks(blob, about, keep) {
  return new Promise((resolve) => {
    const address = URL.createObjectURL(blob);
    const picture = make("img", { src: address, draggable: "false", alt: about ? `The new photo of ${about}` : "The new photo" });
    const over = makeSvg("svg", { class: "arrows", "aria-hidden": "true" });
    const sheet = make("div", { class: "mark-sheet" }, picture, over);
    const words = make("input", { type: "text", name: "words", autocomplete: "off" });
    const strokes = [];
    const redraw = sketch(sheet, picture, over, strokes);
    let isKeeping = false;
    const close = async (answer) => {
      if (isKeeping) return;
      isKeeping = true;
      try {
        if (answer) await keep(answer);
      } catch (error) {
        isKeeping = false;
        say(`This device could not keep the photo (${error.name}). Nothing was sent.`);
        return;
      }
      URL.revokeObjectURL(address);
      dialog.close();
      dialog.remove();
      resolve();
    };
    const dialog = make(
      "dialog",
      { class: "mark-up", "aria-label": about ? `Photo of ${about}` : "Photo" },
      make("p", {}, about ? `Photo of ${about}. ` : "", "Draw an arrow with a finger, or leave it as it is."),
      sheet,
      make("label", {}, "Words beside it (may stay empty)", words),
      make("div", { class: "row" },
        button("Keep photo", () => close({ arrow: strokes.map(toPath).join(""), words: words.value.trim() }), { class: "main", autofocus: true }),
        button("Take arrow away", () => {
          strokes.pop();
          redraw();
          say("Arrow taken away");
        }),
        button("Throw photo away", () => close(undefined))),
    );
    dialog.addEventListener("cancel", (event) => {
      event.preventDefault();
      close(undefined);
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}

function sketch(sheet, picture, over, strokes) {
  const redraw = () => {
    const [width, height] = [picture.naturalWidth || 1, picture.naturalHeight || 1];
    over.setAttribute("viewBox", `0 0 ${width} ${height}`);
    over.replaceChildren(...strokes.filter((points) => points.length > 1).flatMap((points) => strokePaths(points, width, height)));
  };
  const place = (event) => {
    const box = picture.getBoundingClientRect();
    return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
  };
  let current;
  sheet.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    sheet.setPointerCapture(event.pointerId);
    current = [place(event)];
    strokes.push(current);
  });
  sheet.addEventListener("pointermove", (event) => {
    if (!current) return;
    current.push(place(event));
    requestAnimationFrame(redraw);
  });
  const end = () => {
    if (current && toPath(current) === "") strokes.splice(strokes.indexOf(current), 1);
    current = undefined;
    redraw();
  };
  sheet.addEventListener("pointerup", end);
  sheet.addEventListener("pointercancel", end);
  picture.addEventListener("load", redraw);
  return redraw;
}
