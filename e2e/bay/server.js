// The real program, serving real files from a folder of its own.
//
// Knows how it is started and where it says that it listens; knows no page.
import { execFileSync, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";

const ROOT = fileURLToPath(new URL("../../", import.meta.url));
const PATIENCE_MS = 300000;

/** The program that is tested: UNBURY names it, else the debug build. */
export function program() {
  const named = process.env.UNBURY ?? path.join(ROOT, "target/debug/unbury");
  if (!existsSync(named)) throw new Error(`no program at ${named}: build it, or name it in UNBURY`);
  return named;
}

/** Starts `unbury serve` with Dunlin and the van of van.js in a fresh folder. Gives `{port, dunlin, lamp, said, stop}`;
 * two are ids of cases. With `door`, whoever comes has to log in, and the first lead needs the code it said. */
export async function startServer({ door = false } = {}) {
  const folder = await mkdtemp(path.join(tmpdir(), "unbury-e2e-"));
  const data = ["--data", path.join(folder, "data")];
  const add = (record) => {
    const added = execFileSync(program(), ["case", "add", path.join(ROOT, record), ...data], { encoding: "utf8" });
    return /^\S+/.exec(added)[0];
  };
  const dunlin = add("records/dunlin/dunlin.toml");
  const lamp = add("e2e/bay/lamp.toml");
  const listen = door ? "0.0.0.0:0" : "127.0.0.1:0";
  const child = spawn(program(), ["serve", ...data, "--listen", listen], { cwd: folder, stdio: ["ignore", "pipe", "pipe"] });
  const said = [];
  const port = await listening(child, said).catch((error) => {
    child.kill("SIGKILL");
    throw error;
  });
  return {
    port,
    dunlin,
    lamp,
    said: () => said.join(""),
    async stop() {
      child.removeAllListeners("exit");
      const ended = new Promise((resolve) => child.on("exit", resolve));
      child.kill("SIGINT");
      const hard = setTimeout(() => child.kill("SIGKILL"), 8000);
      await ended;
      clearTimeout(hard);
      await rm(folder, { recursive: true, force: true });
    },
  };
}

/** The port, once the program says that it serves. */
function listening(child, lines) {
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error(`the program did not say where it listens:\n${lines.join("")}`)), PATIENCE_MS);
    const read = (text) => {
      lines.push(text.toString());
      const found = /http:\/\/[\d.]+:(\d+)[\s\S]*ends it/.exec(lines.join(""));
      if (!found) return;
      clearTimeout(late);
      resolve(Number(found[1]));
    };
    child.stdout.on("data", read);
    child.stderr.on("data", read);
    child.on("exit", (code) => reject(new Error(`the program ended with ${code}:\n${lines.join("")}`)));
  });
}
