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
const PATIENCE_MS = 120000;

/** The program that is tested: UNBURY names it, else the debug build. */
export function program() {
  const named = process.env.UNBURY ?? path.join(ROOT, "target/debug/unbury");
  if (!existsSync(named)) throw new Error(`no program at ${named}: build it, or name it in UNBURY`);
  return named;
}

/** Starts `unbury serve` with Dunlin in a fresh folder. Gives `{port, dunlin, stop}`; `dunlin` is its id. */
export async function startServer() {
  const folder = await mkdtemp(path.join(tmpdir(), "unbury-e2e-"));
  const data = ["--data", path.join(folder, "data")];
  const record = path.join(ROOT, "records/dunlin/dunlin.toml");
  const added = execFileSync(program(), ["case", "add", record, ...data], { encoding: "utf8" });
  const [dunlin] = /^\S+/.exec(added);
  const child = spawn(program(), ["serve", ...data, "--listen", "127.0.0.1:0"], { cwd: folder, stdio: ["ignore", "pipe", "pipe"] });
  const port = await listening(child).catch((error) => {
    child.kill("SIGKILL");
    throw error;
  });
  return {
    port,
    dunlin,
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
function listening(child) {
  const lines = [];
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error(`the program did not say where it listens:\n${lines.join("")}`)), PATIENCE_MS);
    const read = (text) => {
      lines.push(text.toString());
      const found = /http:\/\/127\.0\.0\.1:(\d+)/.exec(lines.join(""));
      if (!found) return;
      clearTimeout(late);
      resolve(Number(found[1]));
    };
    child.stdout.on("data", read);
    child.stderr.on("data", read);
    child.on("exit", (code) => reject(new Error(`the program ended with ${code}:\n${lines.join("")}`)));
  });
}
