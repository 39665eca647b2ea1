// A client that shares nothing with the server's own library: opens a file, types in it, and prints what it was told.
//   node probe.mjs FILE LINE KEYS COMMAND [ARGUMENT…]
// KEYS single characters are typed and taken back at the start of LINE (from 0), one after the other, each waited for.

import { spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { performance } from "node:perf_hooks";
import { pathToFileURL } from "node:url";
import { StreamMessageReader, StreamMessageWriter, createMessageConnection } from "vscode-languageserver-protocol/node";

const [file, lineGiven, keysGiven, command, ...args] = process.argv.slice(2);
const uri = pathToFileURL(file).href;
const text = readFileSync(file, "utf8");
const line = Number(lineGiven);
const keys = Number(keysGiven);

const began = performance.now();
const server = spawn(command, args, { stdio: ["pipe", "pipe", "inherit"] });
const connection = createMessageConnection(new StreamMessageReader(server.stdout), new StreamMessageWriter(server.stdin));

const waiting = new Map();
let last;
connection.onNotification("textDocument/publishDiagnostics", (params) => {
  last = params;
  waiting.get(params.version)?.(params);
  waiting.delete(params.version);
});
connection.onRequest("workspace/configuration", (params) => params.items.map(() => ({ calm: false })));
connection.onRequest("client/registerCapability", () => null);
connection.listen();

const published = (version) => new Promise((resolve) => waiting.set(version, resolve));

const { capabilities } = await connection.sendRequest("initialize", {
  processId: process.pid,
  rootUri: null,
  capabilities: {
    general: { positionEncodings: ["utf-16"] },
    textDocument: { publishDiagnostics: { relatedInformation: true, versionSupport: true, codeDescriptionSupport: true } },
  },
  initializationOptions: { calm: false },
});
const ready = performance.now() - began;
await connection.sendNotification("initialized", {});

let from = performance.now();
const first = published(1);
await connection.sendNotification("textDocument/didOpen", {
  textDocument: { uri, languageId: "plaintext", version: 1, text },
});
const opened = await first;
const openedIn = performance.now() - from;

const lines = text.split(/\r\n|\r|\n/);
const underlined = opened.diagnostics.map((found) => {
  const { start, end } = found.range;
  return start.line === end.line ? lines[start.line].slice(start.character, end.character) : lines[start.line].slice(start.character);
});

const took = { keystroke: [], hover: [], completion: [] };
for (let key = 0; key < keys; key += 1) {
  const typed = key % 2 === 0;
  const version = key + 2;
  from = performance.now();
  const answer = published(version);
  connection.sendNotification("textDocument/didChange", {
    textDocument: { uri, version },
    contentChanges: [
      {
        range: { start: { line, character: 0 }, end: { line, character: typed ? 0 : 1 } },
        text: typed ? " " : "",
      },
    ],
  });
  await answer;
  took.keystroke.push(performance.now() - from);
  for (const what of ["hover", "completion"]) {
    from = performance.now();
    await connection.sendRequest(`textDocument/${what}`, { textDocument: { uri }, position: { line, character: 12 } });
    took[what].push(performance.now() - from);
  }
}

await connection.sendRequest("shutdown");
await connection.sendNotification("exit");
const code = await new Promise((resolve) => server.on("exit", resolve));
connection.dispose();

const share = (sorted, part) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * part))];
const told = (times) => {
  const sorted = [...times].sort((a, b) => a - b);
  return sorted.length ? { half: share(sorted, 0.5), most: share(sorted, 0.99) } : null;
};
console.log(
  JSON.stringify({
    code,
    encoding: capabilities.positionEncoding,
    codes: opened.diagnostics.map((found) => found.code),
    underlined,
    left: last.diagnostics.length,
    ready,
    opened: openedIn,
    keystroke: told(took.keystroke),
    hover: told(took.hover),
    completion: told(took.completion),
  }),
);
