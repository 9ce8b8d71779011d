// The Purfle extension: finds and starts the language server, hands it the settings, and shows reports as documents.

'use strict';

const vscode = require('vscode');
const { LanguageClient } = require('vscode-languageclient/node');
const { find } = require('./find');
const reports = require('./reports');

/// The settings that the language server itself hears of.
const HEARD = ['inlayHints', 'codeLens', 'proof', 'diagnostics'];

/** @type {LanguageClient | undefined} */
let client;
/** @type {vscode.OutputChannel} */
let output;

function settings() {
  const all = vscode.workspace.getConfiguration('purfle');
  return Object.fromEntries(HEARD.map(name => [name, all.get(name)]));
}

/// Says that the language server is not found, and does what is picked of what there is to do.
async function missing(says, context) {
  const picked = await vscode.window.showErrorMessage(says, 'Say Where It Is', 'How to Install It');
  if (picked === 'Say Where It Is') vscode.commands.executeCommand('workbench.action.openSettings', 'purfle.server.path');
  if (picked === 'How to Install It') {
    vscode.commands.executeCommand('markdown.showPreview', vscode.Uri.joinPath(context.extensionUri, 'dist', 'README.md'));
  }
}

/// Says that the language server does not start, and shows what it says where that is picked.
async function failing(says) {
  if (await vscode.window.showErrorMessage(says, 'Show What It Says')) output.show();
}

/// Starts the language server, or says what to do where it is not found. No message is waited for: until this has come to
/// its end, no command of the extension is carried out.
async function start(context) {
  const asked = vscode.workspace.getConfiguration('purfle.server').get('path', '').trim();
  const found = find(asked);
  if (!found) {
    const says = asked
      ? `Purfle: there is no program at "${asked}", where the setting "Purfle: Server Path" says that the language server is.`
      : 'Purfle: the language server "purfle-editor" was not found. Until it is there, rulebooks are coloured and not checked.';
    output.appendLine(says);
    missing(says, context);
    return;
  }
  const log = vscode.workspace.getConfiguration('purfle.server').get('log', '').trim();
  client = new LanguageClient(
    'purfle',
    'Purfle',
    { command: found, args: log ? ['--log', log] : [] },
    {
      documentSelector: [{ scheme: 'file', language: 'purfle' }, { scheme: 'untitled', language: 'purfle' }],
      outputChannel: output,
      initializationOptions: { ...settings(), showsReports: true },
      synchronize: { fileEvents: vscode.workspace.createFileSystemWatcher('**/*.purfle') },
      middleware: {
        // What a command of the server answers is text for a reader, wherever the command was given.
        executeCommand: async (command, given, next) => {
          const answer = await next(command, given);
          if (command.startsWith('purfle.')) await reports.show(command, given, answer);
          return answer;
        },
      },
    },
  );
  try {
    await client.start();
  } catch (error) {
    client = undefined;
    output.appendLine(String(error));
    failing(`Purfle: ${found} does not start.`);
  }
}

async function stop() {
  const running = client;
  client = undefined;
  if (running) await running.stop().catch(error => output.appendLine(String(error)));
}

async function activate(context) {
  output = vscode.window.createOutputChannel('Purfle');
  const ask = (title, command) => () => reports.ask(title, command, client);
  context.subscriptions.push(
    output,
    reports.provider(),
    vscode.commands.registerCommand('purfle.triageRecords', ask('Triage', 'purfle.triage')),
    vscode.commands.registerCommand('purfle.slipOfRecord', ask('Slip', 'purfle.slip')),
    vscode.commands.registerCommand('purfle.showOutput', () => output.show()),
    vscode.commands.registerCommand('purfle.restartServer', async () => {
      await stop();
      await start(context);
    }),
    vscode.workspace.onDidChangeConfiguration(async change => {
      if (change.affectsConfiguration('purfle.server')) {
        await stop();
        await start(context);
      } else if (client && HEARD.some(name => change.affectsConfiguration(`purfle.${name}`))) {
        await client.sendNotification('workspace/didChangeConfiguration', { settings: { purfle: settings() } });
      }
    }),
  );
  await start(context);
}

module.exports = { activate, deactivate: stop };
