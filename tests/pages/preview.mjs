// The preview in headless Chromium: what it shows, that it follows a save, that it asks nothing of the network, that a
// keyboard and a screen reader can use it, that no other page may ask it, and that it ends.
//
// node tests/pages/preview.mjs MODULES BOURN   (MODULES: the folder with node_modules; BOURN: the program)
import { spawn } from "node:child_process";
import { createRequire } from "node:module";
import { copyFileSync, mkdtempSync, readFileSync, rmSync, unlinkSync, writeFileSync } from "node:fs";
import http from "node:http";
import net from "node:net";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const [modules, bourn] = process.argv.slice(2).map((path) => resolve(path));
const require = createRequire(join(modules, "package.json"));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const top = join(dirname(fileURLToPath(import.meta.url)), "../..");
const folder = mkdtempSync(join(tmpdir(), "preview-"));
const plan = join(folder, "plan.haccp");
copyFileSync(join(top, "plans/smoked-goose-breast.haccp"), plan);

const faults = [];
const want = (truth, words) => {
  if (!truth) faults.push(words);
};

const server = spawn(bourn, ["preview", plan, "--on", "2026-09-14"], { stdio: ["ignore", "ignore", "pipe"] });
const ended = new Promise((done) => server.on("exit", (code) => done(code)));
const address = await new Promise((done, fail) => {
  let said = "";
  server.stderr.on("data", (piece) => {
    said += piece;
    const found = /http:\/\/127\.0\.0\.1:(\d+)\//.exec(said);
    if (found) done(found[0]);
  });
  server.on("exit", () => fail(new Error(said)));
});
const port = Number(new URL(address).port);

/** A request that a browser would not send by itself: the status. */
const bare = (path, { method = "GET", headers = {}, host = "127.0.0.1" } = {}) =>
  new Promise((done, fail) => {
    const request = http.request({ host, port, path, method, headers }, (answer) => {
      answer.resume();
      done(answer.statusCode);
    });
    request.on("error", fail);
    request.end();
  });

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });
try {
  const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
  page.on("request", (request) => want(request.url().startsWith(address) || request.url().startsWith("data:"), `asks for ${request.url()}`));
  page.on("console", (message) => want(message.type() !== "error", `the page complains: ${message.text()}`));
  page.on("pageerror", (error) => faults.push(`a script failed: ${error.message}`));
  await page.goto(address);
  const document = page.frameLocator("#document");
  await document.locator("h1").first().waitFor();
  want((await document.locator("body").innerText()).includes("Harrowmere Smokehouse"), "the document is not shown");
  const before = await page.locator("#state").innerText();

  // A save that breaks a line is shown without a hand on the page; the next one that mends it, too.
  const text = readFileSync(plan, "utf8");
  writeFileSync(plan, text.replace("core >= 70 °C held for 2 min", "core >= 70 °C for 2 min <script>alert(1)</script>"));
  await page.locator("#findings li.error").first().waitFor();
  want((await page.locator("#findings").innerText()).includes("plan.haccp:"), "a finding has no place");
  want((await page.locator("#state").innerText()) !== before, "the count does not change");
  writeFileSync(plan, text.replaceAll("Harrowmere Smokehouse", "Another Smokehouse"));
  await document.getByText("Another Smokehouse").first().waitFor();
  await page.locator("#findings li.error").first().waitFor({ state: "detached" });
  // A file that goes away is told, and one that comes back is shown.
  unlinkSync(plan);
  await page.getByText("no such file").first().waitFor();
  writeFileSync(plan, text);
  await document.getByText("Harrowmere Smokehouse").first().waitFor();

  // Accessibility, on a desk and on a telephone.
  for (const width of [360, 1280]) {
    await page.setViewportSize({ width, height: 800 });
    await page.evaluate(axe);
    const found = await page.evaluate(() =>
      axe.run(document, { iframes: false, runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
    for (const one of found.violations) faults.push(`${width}: ${one.id}: ${one.nodes[0].html}`);
    want(found.passes.length > 15, `${width}: the accessibility engine looked at ${found.passes.length} things`);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth);
    want(!wide, `${width}: wider than the window`);
  }
  // By the keyboard alone: to the findings, and to the end of the preview.
  await page.reload();
  await page.keyboard.press("Tab");
  want((await page.evaluate(() => document.activeElement.className)) === "skip", "the first stop is not the way to the findings");
  await page.keyboard.press("Enter");
  want((await page.evaluate(() => document.activeElement.id)) === "findings", "the way to the findings leads elsewhere");

  // Somebody who comes and says nothing keeps nobody waiting.
  const idle = net.connect(port, "127.0.0.1");
  await new Promise((done) => idle.on("connect", done));
  const since = Date.now();
  want((await bare("/version")) === 200 && Date.now() - since < 2000, "a silent connection keeps others waiting");
  idle.destroy();

  // Whom it does not answer.
  want((await bare("/")) === 200, "this machine is not answered");
  for (const [path, options, status] of [
    ["/", { headers: { host: `elsewhere.example:${port}` } }, 403],
    ["/document", { headers: { origin: "http://elsewhere.example" } }, 403],
    ["/stop", { method: "POST" }, 403],
    ["/stop", { method: "POST", headers: { origin: "http://elsewhere.example" } }, 403],
    ["/", { method: "DELETE" }, 405],
    ["/plan.haccp", {}, 404],
    ["/", { headers: { large: "x".repeat(20000) } }, 431],
  ]) {
    const got = await bare(path, options).catch(() => 431);
    want(got === status, `${JSON.stringify([path, options]).slice(0, 80)} is answered by ${got}, not ${status}`);
  }
  // A page from elsewhere may not read it, show it in a frame, or end it.
  const other = http.createServer((_, answer) => {
    answer.setHeader("content-type", "text/html");
    answer.end(`<iframe src="${address}"></iframe><iframe src="${address}document"></iframe>`);
  }).listen(0, "127.0.0.1");
  const foreign = await browser.newPage();
  await foreign.goto(`http://localhost:${other.address().port}/`);
  const read = await foreign.evaluate((address) => fetch(address + "version").then(() => "read", () => "refused"), address);
  want(read === "refused", "a page from elsewhere may read it");
  const stopped = await foreign.evaluate((address) => fetch(address + "stop", { method: "POST", mode: "no-cors" }).then(() => "sent", () => "refused"), address);
  want(server.exitCode === null, `a page from elsewhere may end it (${stopped})`);
  for (const frame of foreign.frames().slice(1)) {
    want(!(await frame.content()).includes("Harrowmere"), "a page from elsewhere may frame it");
  }
  other.close();

  // It ends when it is asked to, and says so, though a connection stands on which nobody says anything.
  const silent = net.connect(Number(new URL(address).port), "127.0.0.1");
  silent.on("error", () => {});
  await new Promise((done) => silent.on("connect", done));
  await page.getByRole("button", { name: "End the preview" }).focus();
  await page.keyboard.press("Enter");
  await page.getByText("The preview has ended").waitFor();
  const code = await Promise.race([ended, new Promise((done) => setTimeout(() => done("running"), 5000))]);
  want(code === 0, `the preview ends with ${code}`);
} finally {
  await browser.close();
  server.kill();
  rmSync(folder, { recursive: true });
}
if (faults.length) {
  console.error(faults.join("\n"));
  process.exit(1);
}
console.log("preview: shown, renewed on saves, accessible, closed to other pages, ended");
