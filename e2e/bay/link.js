// The link of the bay: a relay between browser and server that can be cut and mended, connection by connection.
//
// While cut, connections that stand are torn down and new ones are refused, as when a phone leaves the reach of the
// workshop's Wi-Fi. Knows bytes only.
import net from "node:net";

/** Starts a relay to `port` on this machine. Gives `{port, cut, mend, stop}`. */
export async function startLink(port) {
  const open = new Set();
  let there = true;
  const relay = net.createServer((near) => {
    if (!there) {
      near.resetAndDestroy();
      return;
    }
    const far = net.connect(port, "127.0.0.1");
    for (const side of [near, far]) {
      open.add(side);
      side.on("error", () => undefined);
      side.on("close", () => {
        open.delete(side);
        (side === near ? far : near).destroy();
      });
    }
    near.pipe(far);
    far.pipe(near);
  });
  await new Promise((resolve) => relay.listen(0, "127.0.0.1", resolve));
  return {
    port: relay.address().port,
    cut() {
      there = false;
      for (const side of open) side.resetAndDestroy();
    },
    mend() {
      there = true;
    },
    stop() {
      for (const side of open) side.destroy();
      return new Promise((resolve) => relay.close(resolve));
    },
  };
}
