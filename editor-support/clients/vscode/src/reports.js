// Reports in the editor: asks for what a report is about, and shows the answer as a document that is only read.

'use strict';

const path = require('path');
const vscode = require('vscode');

const SCHEME = 'purfle-report';

/// The text of each report by the path it is shown under.
const texts = new Map();
const changed = new vscode.EventEmitter();

function provider() {
  return vscode.workspace.registerTextDocumentContentProvider(SCHEME, {
    onDidChange: changed.event,
    provideTextDocumentContent: uri => texts.get(uri.path) ?? 'This report is over. Ask for it again.',
  });
}

/// The text in what a command of the server answers.
function textOf(answer) {
  if (typeof answer === 'string') return answer;
  return answer?.report ?? answer?.text;
}

/// The name of a file without its folder and its ending.
function nameOf(file) {
  return path.posix.parse(String(file).replaceAll('\\', '/')).name;
}

/// What a report is called, by the command and what it was given.
function titleOf(command, [rulebook, about, record]) {
  if (command === 'purfle.triage') return `Triage of ${nameOf(about)} (${nameOf(rulebook)})`;
  if (command === 'purfle.slip') return `Slip of ${record} (${nameOf(about)})`;
  return `Example (${about})`;
}

/// Shows what a command of the server answered to what it was given: one line as a message, more as a document.
async function show(command, given, answer) {
  const text = textOf(answer);
  if (typeof text !== 'string') return;
  if (!text.trimEnd().includes('\n')) {
    vscode.window.showInformationMessage(`Purfle: ${text.trimEnd()}`);
    return;
  }
  const title = titleOf(command, given ?? []).replaceAll(/[\\/]/g, '-');
  const uri = vscode.Uri.from({ scheme: SCHEME, path: `/${title}.txt` });
  texts.set(uri.path, text);
  changed.fire(uri);
  const document = await vscode.workspace.openTextDocument(uri);
  await vscode.window.showTextDocument(document, { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true, preview: true });
}

/// The rulebook in hand, or one that is picked.
async function rulebook() {
  const here = vscode.window.activeTextEditor?.document;
  if (here?.languageId === 'purfle') return here.uri;
  const all = await vscode.workspace.findFiles('**/*.purfle', '**/{node_modules,target}/**');
  if (all.length === 0) {
    vscode.window.showInformationMessage('Purfle: open a rulebook first, a file that ends in .purfle.');
    return undefined;
  }
  const items = all.map(uri => ({ label: vscode.workspace.asRelativePath(uri), uri }));
  items.sort((one, other) => one.label.localeCompare(other.label));
  return (await vscode.window.showQuickPick(items, { title: 'By which rulebook?' }))?.uri;
}

/// What the name of a file of records ends in.
const RECORDS = ['csv', 'json', 'jsonl', 'xlsx', 'ods'];

/// The files of records in a folder and, as far as `depth` says, in those below.
async function recordsIn(folder, depth) {
  const found = [];
  const entries = await vscode.workspace.fs.readDirectory(folder).then(list => list, () => []);
  for (const [name, type] of entries) {
    const uri = vscode.Uri.joinPath(folder, name);
    if (type & vscode.FileType.Directory) {
      if (depth > 0 && !name.startsWith('.')) found.push(...(await recordsIn(uri, depth - 1)));
    } else if (RECORDS.some(end => name.toLowerCase().endsWith(`.${end}`))) {
      found.push(uri);
    }
  }
  return found;
}

/// The file of records, picked among those near the rulebook or from the disk.
async function records(near) {
  const all = await recordsIn(vscode.Uri.joinPath(near, '..'), 1);
  const items = all.map(uri => ({ label: vscode.workspace.asRelativePath(uri), uri }));
  items.sort((one, other) => one.label.localeCompare(other.label));
  const other = { label: 'Another file…' };
  const picked = await vscode.window.showQuickPick([...items, other], { title: 'Which file of records?' });
  if (picked !== other) return picked?.uri;
  const [file] =
    (await vscode.window.showOpenDialog({
      title: 'Records',
      defaultUri: vscode.Uri.joinPath(near, '..'),
      filters: { Records: RECORDS },
    })) ?? [];
  return file;
}

/// Asks for what a command needs, and gives it to the server. `client` may be missing.
async function ask(title, command, client) {
  if (!client) {
    vscode.window.showErrorMessage(
      `Purfle: ${title.toLowerCase()} needs the language server, which does not run. See "Purfle: Show What the Language Server Says".`,
    );
    return;
  }
  const rules = await rulebook();
  if (!rules) return;
  const file = await records(rules);
  if (!file) return;
  const given = [rules.toString(), file.fsPath];
  if (command === 'purfle.slip') {
    const record = await vscode.window.showInputBox({
      title: 'Slip',
      prompt: 'Whose slip? Write the mark of its record, as it stands in the column "record".',
      validateInput: text => (text.trim() ? undefined : 'Every record has a mark.'),
    });
    if (!record) return;
    given.push(record.trim());
  }
  try {
    await show(command, given, await client.sendRequest('workspace/executeCommand', { command, arguments: given }));
  } catch (error) {
    vscode.window.showErrorMessage(`Purfle: ${error.message ?? error}`);
  }
}

module.exports = { provider, show, ask };
