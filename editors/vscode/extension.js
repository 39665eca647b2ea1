// Starts the language server for the languages the user wants proofed, and hands everything to it.
"use strict";

const vscode = require("vscode");
const { LanguageClient, TransportKind } = require("vscode-languageclient/node");

const OWN = "crochet-pattern";
const LET_STAND = "tenterhook.letStand";

/** @type {LanguageClient | undefined} */
let client;

function settings(scope) {
  return vscode.workspace.getConfiguration("tenterhook", scope);
}

function wanted(document) {
  return settings(document.uri).get("languages", [OWN]).includes(document.languageId);
}

/** The languages asked for anywhere: in the user's settings, the workspace's or a folder's. */
function languages() {
  const scopes = [undefined, ...(vscode.workspace.workspaceFolders ?? []).map((folder) => folder.uri)];
  return [...new Set([OWN, ...scopes.flatMap((scope) => settings(scope).get("languages", [OWN]))])];
}

/** Before a finding is let stand, the user is asked why. */
async function executeCommand(command, args, next) {
  if (command !== LET_STAND) {
    return next(command, args);
  }
  const [uri, handle, reason] = args;
  const because = await vscode.window.showInputBox({ title: `Let it stand: ${handle}`, prompt: "Why does it stand?", value: reason });
  return because ? next(command, [uri, handle, because]) : undefined;
}

async function start() {
  const [command, ...args] = settings().get("command", ["tenterhook", "serve"]);
  const { calm, rest, hints, folder } = settings();
  client = new LanguageClient(
    "tenterhook",
    "Tenterhook",
    { command, args, transport: TransportKind.stdio },
    {
      documentSelector: languages().map((language) => ({ language })),
      initializationOptions: { calm, rest, hints, folder },
      middleware: {
        executeCommand,
        // A folder may want other languages proofed than its neighbour.
        didOpen: (document, next) => (wanted(document) ? next(document) : Promise.resolve()),
        didChange: (event, next) => (wanted(event.document) ? next(event) : Promise.resolve()),
        didSave: (document, next) => (wanted(document) ? next(document) : Promise.resolve()),
        didClose: (document, next) => (wanted(document) ? next(document) : Promise.resolve()),
      },
    },
  );
  try {
    await client.start();
  } catch (error) {
    client = undefined;
    const open = "Open settings";
    const chosen = await vscode.window.showErrorMessage(
      `Tenterhook could not be started with “${[command, ...args].join(" ")}”. Is it installed, and is its path in tenterhook.command? (${error})`,
      open,
    );
    if (chosen === open) {
      vscode.commands.executeCommand("workbench.action.openSettings", "tenterhook.command");
    }
  }
}

async function stop() {
  const running = client;
  client = undefined;
  await running?.stop();
}

async function restart() {
  await stop();
  await start();
}

/** Starts the server once there is something to proof; until then the extension does nothing. */
async function begin() {
  if (client === undefined && vscode.workspace.textDocuments.some(wanted)) {
    await start();
  }
}

async function proofThisFile() {
  const document = vscode.window.activeTextEditor?.document;
  if (document !== undefined) {
    await vscode.languages.setTextDocumentLanguage(document, OWN);
  }
}

exports.activate = async (context) => {
  context.subscriptions.push(
    vscode.commands.registerCommand("tenterhook.proofThisFile", proofThisFile),
    vscode.commands.registerCommand("tenterhook.restart", restart),
    vscode.workspace.onDidOpenTextDocument(begin),
    vscode.workspace.onDidChangeConfiguration(async (change) => {
      if (change.affectsConfiguration("tenterhook.languages") || change.affectsConfiguration("tenterhook.command")) {
        await stop();
        await begin();
      } else if (change.affectsConfiguration("tenterhook")) {
        await client?.sendNotification("workspace/didChangeConfiguration", { settings: null });
      }
    }),
  );
  await begin();
};

exports.deactivate = stop;
