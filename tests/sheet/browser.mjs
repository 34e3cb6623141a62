// A handout in a browser: no message on the console, no request but for the file itself, nothing that axe-core holds
// serious; wide and narrow. Arguments: the browser, FILE.html ...; prints what is wrong.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
const require = createRequire(process.cwd() + "/");
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const [browserPath, ...files] = process.argv.slice(2);
const browser = await puppeteer.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });
let wrong = 0;
const fail = (file, what) => { wrong++; console.log(`FAILED sheet/browser: ${file}: ${what}`); };
for (const file of files) {
  const page = await browser.newPage();
  const own = pathToFileURL(file).href;
  page.on("console", (message) => fail(file, `console: ${message.text()}`));
  page.on("pageerror", (error) => fail(file, `error: ${error}`));
  page.on("dialog", async (dialog) => { fail(file, `dialog: ${dialog.message()}`); await dialog.dismiss(); });
  page.on("request", (request) => { if (request.url() !== own) fail(file, `request: ${request.url()}`); });
  for (const width of [1280, 375]) {
    await page.setViewport({ width, height: 900 });
    await page.goto(own);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    if (over > 0) fail(file, `${over} px too wide at ${width}`);
    const below = await page.evaluate(() => [...document.querySelectorAll("td .beside")].filter((words) => {
      const drawing = words.parentElement.querySelector("figure").getBoundingClientRect(), range = document.createRange();
      range.selectNodeContents(words);
      const lines = [...range.getClientRects()];
      return lines.some((line) => line.left < drawing.right - 1) && lines.some((line) => line.top < drawing.bottom - 1);
    }).length);
    if (below) fail(file, `words on both sides of ${below} drawings at ${width}`);
    await page.screenshot({ path: `${file}.${width}.png` });
  }
  // axe is put in past the page's own policy, which lets no script run.
  page.removeAllListeners("console");
  const client = await page.createCDPSession();
  await client.send("Runtime.evaluate", { expression: axe });
  const { result } = await client.send("Runtime.evaluate", {
    expression: "axe.run().then((r) => JSON.stringify(r.violations.map((v) => [v.impact, v.id, v.nodes.length, v.nodes[0].html.slice(0, 160)])))",
    awaitPromise: true });
  for (const [impact, id, count, html] of JSON.parse(result.value))
    if (impact === "serious" || impact === "critical") fail(file, `${impact}: ${id} (${count}): ${html}`);
    else console.log(`${file}: ${impact}: ${id} (${count})`);
  await page.pdf({ path: `${file}.pdf`, format: "A4", preferCSSPageSize: true, printBackground: true });
  await page.close();
}
await browser.close();
process.exit(wrong ? 1 : 0);
