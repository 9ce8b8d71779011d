// Opens pages in Chromium as their readers do, and says as JSON what was met: `node check.mjs CHROMIUM FOLDER PAGE...`
// For each page: what the accessibility checker holds against it, what it tried to fetch or run, whether it scrolls
// sideways on a narrow screen, colours that are no greys, how far the keyboard gets, and prints of it on A4 and Letter.

import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const [executablePath, folder, ...names] = process.argv.slice(2);
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu"] });
const met = {};
for (const name of names) {
  const context = await browser.newContext({ viewport: { width: 1000, height: 900 }, javaScriptEnabled: true });
  const page = await context.newPage();
  // A busy machine takes its time.
  page.setDefaultTimeout(240_000);
  const address = pathToFileURL(join(folder, name)).href;
  const stirred = [];
  page.on("request", (request) => {
    const to = request.url();
    if (to !== address && !to.startsWith("data:image/jpeg;base64,")) stirred.push(`fetched ${to}`);
  });
  page.on("dialog", (dialog) => {
    stirred.push(`opened a dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  page.on("console", (message) => stirred.push(`wrote to the console: ${message.text()}`));
  page.on("pageerror", (error) => stirred.push(`failed: ${error.message}`));
  await page.goto(address);

  await page.evaluate(axe);
  const held = await page.evaluate(async () => {
    const rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
    const result = await globalThis.axe.run(document, { runOnly: { type: "tag", values: rules } });
    const told = (rule) => `${rule.id}: ${rule.help}: ${rule.nodes.slice(0, 3).map((node) => node.html).join(" | ")}`;
    return { violations: result.violations.map(told), passes: result.passes.length };
  });

  const colours = await page.evaluate(() => {
    const odd = new Set();
    for (const element of document.querySelectorAll("body, body *")) {
      const style = getComputedStyle(element);
      for (const of of ["color", "backgroundColor", "borderTopColor", "borderLeftColor", "fill", "stroke"]) {
        const parts = /^rgba?\((\d+), (\d+), (\d+)/.exec(style[of]);
        if (parts && !(parts[1] === parts[2] && parts[2] === parts[3])) odd.add(`${element.tagName} ${of} ${style[of]}`);
      }
    }
    return [...odd];
  });

  const links = await page.locator("a").count();
  const reached = new Set();
  for (let step = 0; step < links + 2; step += 1) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const link = document.activeElement;
      if (!link || link.tagName !== "A") return null;
      const style = getComputedStyle(link);
      return { at: [...document.querySelectorAll("a")].indexOf(link), seen: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2 };
    });
    if (at) {
      reached.add(at.at);
      if (!at.seen) stirred.push(`link ${at.at} does not show that it has the focus`);
    }
  }

  await page.setViewportSize({ width: 320, height: 640 });
  const narrow = await page.evaluate(() => document.documentElement.scrollWidth);
  await page.screenshot({ path: join(folder, `${name}.narrow.png`) });
  await page.setViewportSize({ width: 1000, height: 900 });
  await page.screenshot({ path: join(folder, `${name}.png`) });
  for (const format of ["A4", "Letter"]) {
    await page.pdf({ path: join(folder, `${name}.${format}.pdf`), format, printBackground: false, preferCSSPageSize: false });
  }
  const pictures = await page.evaluate(() => [...document.images].map((image) => image.naturalWidth));
  met[name] = { ...held, stirred, colours, links, reached: reached.size, narrow, pictures };
  await context.close();
}
await browser.close();
writeFileSync(join(folder, "met.json"), JSON.stringify(met));
console.log(JSON.stringify(met, null, 1));
