// The real program, serving real files from a folder of its own.
//
// Knows how it is started and where it says that it listens; knows no page.
import { spawn } from "node:child_process";
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

/** Starts `unbury demo` with Dunlin in a fresh folder. Gives `{port, stop, lines}`. */
export async function startServer(words = ["demo", "--listen", "127.0.0.1:0"]) {
  const folder = await mkdtemp(path.join(tmpdir(), "unbury-e2e-"));
  const child = spawn(program(), words, { cwd: folder, stdio: ["ignore", "pipe", "pipe"] });
  const lines = [];
  const port = await new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error(`the program did not say where it listens:\n${lines.join("")}`)), PATIENCE_MS);
    const read = (text) => {
      lines.push(text.toString());
      const found = /http:\/\/127\.0\.0\.1:(\d+)/.exec(lines.join(""));
      if (found) {
        clearTimeout(late);
        resolve(Number(found[1]));
      }
    };
    child.stdout.on("data", read);
    child.stderr.on("data", read);
    child.on("exit", (code) => reject(new Error(`the program ended with ${code}:\n${lines.join("")}`)));
  });
  return {
    port,
    lines,
    address: `http://127.0.0.1:${port}`,
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
