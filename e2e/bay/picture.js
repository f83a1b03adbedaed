// Pictures made in the browser: of noise, so that they weigh something, each different.

/** A PNG of `words` on noise, as a buffer. */
export async function picture(page, words, width = 1600, height = 1200) {
  const bytes = await page.evaluate(async ([text, w, h]) => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [w, h];
    const pen = canvas.getContext("2d");
    const noise = pen.createImageData(w, h);
    let state = text.length * 7919 + text.charCodeAt(0);
    for (let place = 0; place < noise.data.length; place += 1) {
      state = (state * 48271) % 2147483647;
      noise.data[place] = place % 4 === 3 ? 255 : 180 + (state % 16);
    }
    pen.putImageData(noise, 0, 0);
    pen.font = "200px sans-serif";
    pen.fillText(text, 100, 600);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
    const all = new Uint8Array(await blob.arrayBuffer());
    let out = "";
    for (let place = 0; place < all.length; place += 8192) out += String.fromCharCode(...all.subarray(place, place + 8192));
    return btoa(out);
  }, [words, width, height]);
  return Buffer.from(bytes, "base64");
}
