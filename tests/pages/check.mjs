// Opens pages in headless Chromium and asks of each, on a telephone and on a desk, light and dark: WCAG 2.2 AA by an
// accessibility engine, nothing wider than the window, nothing asked of the network, nothing executed. Then the HTML
// itself is read by a validator. Controls with planted faults must be found, or the check counts for nothing.
//
// node tests/pages/check.mjs MODULES PAGE.html …   (MODULES: the folder with node_modules)
import { execFileSync } from "node:child_process";
import { createRequire } from "node:module";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, ...pages] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "package.json"));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const validator = join(require.resolve("vnu-jar/package.json"), "..", "build", "dist", "vnu.jar");

const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const WINDOWS = [[360, "light"], [360, "dark"], [768, "light"], [1440, "light"], [1440, "dark"]];
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });

/** What is wrong with one page in one window. */
async function look(file, width, scheme) {
  const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme: scheme, bypassCSP: false });
  const page = await context.newPage();
  const faults = [];
  page.on("request", (request) => {
    if (!request.url().startsWith("file:")) faults.push(`asks for ${request.url()}`);
  });
  page.on("dialog", (dialog) => {
    faults.push(`a script ran: ${dialog.message()}`);
    dialog.dismiss();
  });
  page.on("pageerror", (error) => faults.push(`a script failed: ${error.message}`));
  await page.goto(pathToFileURL(resolve(file)).href);
  const wide = await page.evaluate(() => {
    const room = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= room) return [];
    return [...document.querySelectorAll("body *")]
      .filter((element) => element.getBoundingClientRect().right > room + 1 && !element.closest("figure"))
      .slice(0, 3)
      .map((element) => `${element.tagName.toLowerCase()}: ${element.textContent.slice(0, 60)}`);
  });
  faults.push(...wide.map((text) => `wider than the window: ${text}`));
  if (await page.evaluate(() => window.executed === true)) faults.push("text of the plan was executed");
  // The engine runs as the debugger does, past the page's own policy.
  await page.evaluate(axe);
  const result = await page.evaluate((tags) => window.axe.run(document, { runOnly: { type: "tag", values: tags } }), RULES);
  for (const violation of result.violations) {
    faults.push(`${violation.id}: ${violation.help} (${violation.nodes.length} times, first ${violation.nodes[0].target})`);
  }
  await context.close();
  return { faults, passes: result.passes.length };
}

let [passed, failed] = [0, 0];
for (const file of pages) {
  const found = new Map();
  let rules = 0;
  for (const [width, scheme] of WINDOWS) {
    const { faults, passes } = await look(file, width, scheme);
    rules = Math.max(rules, passes);
    for (const fault of faults) found.set(fault, [...(found.get(fault) ?? []), `${width} px ${scheme}`]);
  }
  console.log(`pages: ${basename(file)}: ${rules} rules of accessibility, ${WINDOWS.length} windows: ${found.size} faults`);
  for (const [fault, where] of found) console.log(`  ${fault} [${where.join(", ")}]`);
  found.size === 0 && rules > 20 ? passed++ : failed++;
}

// Controls.
const folder = mkdtempSync(join(tmpdir(), "pages-"));
const control = join(folder, "control.html");
writeFileSync(
  control,
  `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Control</title></head><body><main><h1>C</h1>
<p style="color:#999;background:#fff">faint</p><img src="http://127.0.0.1:9/x.png"><p style="width:3000px">wide</p>
<script>window.executed = true</script><p id="a"></p><p id="a"></p></main></body></html>`,
);
const planted = (await look(control, 360, "light")).faults.join("\n");
for (const wanted of ["color-contrast", "image-alt", "asks for", "wider than", "was executed"]) {
  if (planted.includes(wanted)) passed++;
  else {
    failed++;
    console.log(`pages: the control's ${wanted} was not found in:\n${planted}`);
  }
}
await browser.close();

/** The validator's errors in some files. Its reader of style sheets does not know container queries (CSS Conditional
 * Rules 5, in every browser since 2023). */
function errors(files) {
  try {
    execFileSync("java", ["-jar", validator, "--errors-only", "--format", "gnu", "--filterpattern", ".*container.*", ...files], { stdio: ["ignore", "ignore", "pipe"] });
    return [];
  } catch (fault) {
    return String(fault.stderr).trim().split("\n").filter((line) => line !== "");
  }
}
const invalid = errors(pages);
console.log(`pages: HTML of ${pages.length} pages read by the validator: ${invalid.length} errors`);
for (const line of invalid.slice(0, 20)) console.log(`  ${line.replace(/^"?file:[^"]*\//, "")}`);
invalid.length === 0 ? passed++ : failed++;
errors([control]).some((line) => line.includes("Duplicate ID")) ? passed++ : failed++;
rmSync(folder, { recursive: true });

console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
