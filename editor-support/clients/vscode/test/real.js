// Does in a real VS Code, in a browser without a screen, what a keeper of rulebooks does, and writes down what came of it,
// as JSON, into the file that the variable PURFLE_RESULT names. Started by the test
// editor-support/tests/clients/vscode.rs.
//
//   node real.js FOLDER_WITH_VSCODE EXTENSION.vsix PROJECT PICTURES

'use strict';

const { execFileSync, spawn } = require('child_process');
const fs = require('fs');
const net = require('net');
const os = require('os');
const path = require('path');

const [vscode, extension, project, pictures] = process.argv.slice(2).map(part => path.resolve(part));
const { chromium } = require(path.join(vscode, 'node_modules', 'playwright-core'));
const program = path.join(vscode, 'node_modules', 'code-server', 'out', 'node', 'entry.js');

const result = { missed: [] };
const pause = milliseconds => new Promise(done => setTimeout(done, milliseconds));

/// Waits until something is true; notes what never is.
async function await_(what, holds, longest = 20000) {
  const end = Date.now() + longest;
  for (;;) {
    const held = await holds();
    if (held) return held;
    if (Date.now() > end) {
      result.missed.push(what);
      return undefined;
    }
    await pause(100);
  }
}

async function freePort() {
  return new Promise(done => {
    const server = net.createServer();
    server.listen(0, '127.0.0.1', () => {
      const { port } = server.address();
      server.close(() => done(port));
    });
  });
}

const SETTINGS = {
  // Where the language server is; the editor does not keep the folders that programs are looked for in.
  'purfle.server.path': process.env.PURFLE_SERVER,
  'workbench.startupEditor': 'none',
  'security.workspace.trust.enabled': false,
  'telemetry.telemetryLevel': 'off',
  'extensions.autoUpdate': false,
  'editor.fontSize': 14,
  'editor.minimap.enabled': false,
  'editor.hover.delay': 100,
  'workbench.colorTheme': 'Default Light Modern',
  'window.menuBarVisibility': 'compact',
  'editor.lightbulb.enabled': 'on',
  'editor.renderWhitespace': 'none',
  'files.autoSave': 'off',
};

async function main() {
  const kept = fs.mkdtempSync(path.join(os.tmpdir(), 'purfle-vscode-'));
  const data = path.join(kept, 'data');
  const extensions = path.join(kept, 'extensions');
  fs.mkdirSync(path.join(data, 'User'), { recursive: true });
  fs.writeFileSync(path.join(data, 'User', 'settings.json'), JSON.stringify(SETTINGS));
  const common = ['--user-data-dir', data, '--extensions-dir', extensions];
  execFileSync('node', [program, ...common, '--install-extension', extension], { stdio: 'inherit' });
  const port = await freePort();
  const server = spawn(
    'node',
    [program, ...common, '--auth', 'none', '--bind-addr', `127.0.0.1:${port}`, '--disable-telemetry', '--disable-update-check',
      '--disable-workspace-trust', project],
    // Without a gallery it looks for no extensions elsewhere.
    { stdio: ['ignore', 'inherit', 'inherit'], detached: true, env: { ...process.env, EXTENSIONS_GALLERY: '{}' } },
  );
  let browser;
  try {
    await await_('the editor serves', () => fetch(`http://127.0.0.1:${port}/healthz`).then(() => true, () => false), 60000);
    browser = await chromium.launch({
      executablePath: process.env.PURFLE_CHROMIUM ?? '/usr/bin/chromium',
      args: [
        '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
        '--disable-component-update', '--disable-sync',
      ],
    });
    const page = await browser.newPage({ viewport: { width: 1240, height: 800 } });
    await work(page, port);
  } catch (error) {
    result.failed = String(error.stack ?? error);
    const page = browser?.contexts()[0]?.pages()[0];
    if (page) await page.screenshot({ path: path.join(pictures, 'failed.png') }).catch(() => undefined);
  } finally {
    await browser?.close().catch(() => undefined);
    process.kill(-server.pid);
    await pause(500);
    fs.rmSync(kept, { recursive: true, force: true, maxRetries: 5 });
    fs.writeFileSync(process.env.PURFLE_RESULT, JSON.stringify(result));
  }
}

async function work(page, port) {
  const picture = (name, more) => page.screenshot({ path: path.join(pictures, `${name}.png`), ...more });
  const press = async (...keys) => {
    for (const key of keys) await page.keyboard.press(key);
  };
  const command = async title => {
    await press('F1');
    await page.locator('.quick-input-widget input').first().waitFor();
    await page.keyboard.type(title);
    await pause(700);
    await press('Enter');
  };
  const open = async name => {
    await page.locator('.explorer-folders-view .monaco-list-row', { hasText: name }).first().dblclick();
    await await_(`${name} opens`, () => page.locator(`.tab.active[data-resource-name="${name}"]`).count());
    await page.locator('.editor-instance .view-line').first().waitFor();
  };
  const saved = name => fs.readFileSync(path.join(project, name), 'utf8');
  // The line and column, from 1, of some words as they are saved.
  const place = async (name, words, behind) => {
    const text = saved(name);
    const at = text.indexOf(words) + (behind ? words.length : 0);
    const before = text.slice(0, at).split('\n');
    await press('Control+G');
    await page.locator('.quick-input-widget input').first().waitFor();
    await page.keyboard.type(`${before.length}:${before[before.length - 1].length + 1}`);
    await pause(300);
    await press('Enter');
    await pause(300);
  };
  const save = async (name, until) => {
    await press('Control+S');
    await await_(`${name} is saved`, () => until(saved(name)));
  };
  // The widget that a list of completions or of changes is drawn in.
  const rows = async selector =>
    (await page.locator(selector).allInnerTexts()).map(row => row.split('\n')[0].trim()).filter(Boolean);

  await page.goto(`http://127.0.0.1:${port}/?folder=${project}`);
  await page.locator('.monaco-workbench').waitFor({ timeout: 60000 });
  await pause(3000);
  await open('broken.purfle');

  // Mistakes are underlined.
  await await_('a mistake is underlined', () => page.locator('.squiggly-error').count(), 40000);
  result.squiggles = await page.locator('.squiggly-error').count();
  const colour = words =>
    page.evaluate(words => {
      const spans = [...document.querySelectorAll('.view-line span span')];
      const span = spans.find(span => span.textContent.trim() === words);
      return span ? getComputedStyle(span).color : '';
    }, words);
  result.keyword_colour = await colour('finding');
  result.plain_colour = await colour('slipps');
  await picture('squiggles');

  // What is wrong is told where the pointer is.
  await page.locator('.squiggly-error').first().hover({ force: true });
  await await_('a hover', () => page.locator('.monaco-hover:visible').count());
  const hovered = async () => (await page.locator('.monaco-hover:visible').allInnerTexts()).join('\n');
  await await_('the hover offers the change', async () => (await hovered()).includes('Quick Fix...'));
  result.hover = await hovered();
  await picture('hover');

  // The mistakes, as the list below shows them.
  await command('View: Focus Problems');
  await pause(1000);
  const listed = await page.locator('.markers-panel .monaco-list-row').allInnerTexts();
  result.diagnostics = listed
    .map(row => row.replaceAll(/\s+/g, ' '))
    .filter(row => row.includes('[Ln'))
    .map(row => `${row.match(/\[Ln (\d+)/)[1]}: ${row}`);
  await picture('problems');
  await command('View: Toggle Panel Visibility');
  await command('View: Focus Active Editor Group');

  // Completion behind `turns is`.
  await place('broken.purfle', 'turns is ', true);
  await press('Control+Space');
  await await_('a list of completions', () => page.locator('.suggest-widget.visible .monaco-list-row').count());
  await pause(700);
  result.completion = await rows('.suggest-widget.visible .monaco-list-row .label-name');
  await picture('completion');
  await press('Escape');

  // The change that mends it.
  await place('broken.purfle', 'slipps');
  await pause(500);
  await press('Control+.');
  await await_('a list of changes', () => page.locator('.action-widget .monaco-list-row').count());
  await pause(700);
  result.offered = await rows('.action-widget .monaco-list-row.action');
  await picture('changes', { clip: { x: 0, y: 0, width: 1010, height: 340 } });
  // The first of them is chosen.
  for (let down = result.offered.findIndex(title => title.includes('Write `slips`')); down > 0; down--) await press('ArrowDown');
  await press('Enter');
  await await_('the mistake is gone', async () => (await page.locator('.squiggly-error').count()) === 0);
  await save('broken.purfle', text => !text.includes('slipps'));
  result.fixed = saved('broken.purfle');
  result.after = await rows('.squiggly-error');

  // The layout.
  await command('Format Document');
  await pause(1000);
  await save('broken.purfle', text => text.includes('hands    player'));
  result.formatted = saved('broken.purfle');
  await picture('formatted');

  // A name changed in both rulebooks.
  await open('shop.purfle');
  await pause(1000);
  await place('shop.purfle', 'peg-slips');
  await press('F2');
  await await_('the field for the new name', () => page.locator('.rename-box input:visible').count());
  await page.locator('.rename-box input').fill('peg-lets-go');
  await pause(300);
  await picture('rename');
  await page.locator('.rename-box input').press('Enter');
  await pause(2000);
  await command('File: Save All');
  for (const name of ['shop.purfle', 'house.purfle']) {
    await await_(`the new name in ${name}`, () => saved(name).includes('peg-lets-go'));
  }
  result.renamed = { shop: saved('shop.purfle'), house: saved('house.purfle') };

  // What came of an example, by the line above it.
  await open('shop.purfle');
  await place('shop.purfle', 'example "one slipping peg"');
  const line = page.locator('.codelens-decoration a', { hasText: 'comes out as agreed' }).first();
  await await_('the line above an example', () => line.count());
  await line.click();
  const messages = async () => (await page.locator('.notification-list-item-message').allInnerTexts()).join('\n');
  await await_('what came of the example', async () => (await messages()).includes('comes out as agreed'));
  result.example = await messages();
  result.beside = await page.locator('.tab', { hasText: 'Example' }).count();

  // A report.
  await command('Purfle: Run Triage on a Records File');
  await await_('the files of records', () => page.locator('.quick-input-list .monaco-list-row', { hasText: 'records.csv' }).count());
  await page.keyboard.type('records.csv');
  await pause(500);
  await press('Enter');
  const shown = async () =>
    (await page.locator('.editor-instance .view-lines').allInnerTexts()).map(text => text.replaceAll('\u00a0', ' '));
  await await_('the report', async () => (await shown()).some(text => text.includes('3 judged')));
  result.report = (await shown()).find(text => text.includes('3 judged')) ?? '';
  await picture('triage');
}

main().catch(error => {
  console.error(error);
  process.exit(1);
});
