// Ids made on the device, so that the same entry sent twice is taken once.
//
// UUID version 7 (RFC 9562, 5.7): 48 bits of milliseconds, then chance; later ids sort after earlier
// ones. `crypto.randomUUID` is not used: browsers keep it from pages that come over plain http.
// Does not know what an id stands for.

/** A new id. `milliseconds` since 1970 and 16 random `bytes` may be given. */
export function newId(
  milliseconds = Date.now(),
  bytes = crypto.getRandomValues(new Uint8Array(16)),
) {
  const octets = Uint8Array.from(bytes);
  for (let place = 5, rest = milliseconds; place >= 0; place -= 1) {
    octets[place] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  octets[6] = 0x70 | (octets[6] & 0x0f);
  octets[8] = 0x80 | (octets[8] & 0x3f);
  const hex = Array.from(octets, (octet) => octet.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)]
    .join("-");
}

const NAME = "unbury-device";

/** What this device calls itself: the same words each time, made up the first time. */
export function deviceName(storage = globalThis.localStorage) {
  const known = storage?.getItem(NAME);
  if (known) return known;
  const made = `${kindOfDevice(globalThis.navigator?.userAgent ?? "")} ${newId().slice(-4)}`;
  storage?.setItem(NAME, made);
  return made;
}

/** "phone", "tablet" or "computer", by what the browser says of itself. */
export function kindOfDevice(agent) {
  if (/iPad|Tablet|Android(?!.*Mobile)/.test(agent)) return "tablet";
  return /Mobile|iPhone|Android/.test(agent) ? "phone" : "computer";
}
