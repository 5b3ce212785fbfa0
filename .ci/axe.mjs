// Prints every violation that axe-core finds on the pages named; exits 1 if there is one.
import { createRequire } from "node:module";
import { basename, resolve } from "node:path";
import { chromium } from "playwright-core";

const axe = createRequire(import.meta.url).resolve("axe-core/axe.min.js");
const [browserPath, ...pages] = process.argv.slice(2);
const looks = [
  { name: "light", colorScheme: "light", media: "screen" },
  { name: "dark", colorScheme: "dark", media: "screen" },
  { name: "print", colorScheme: "light", media: "print" },
];
const browser = await chromium.launch({
  executablePath: browserPath,
  args: process.getuid?.() === 0 ? ["--no-sandbox"] : [],
});
let failures = 0, looked = 0;
for (const look of looks) {
  const context = await browser.newContext({
    viewport: { width: 360, height: 800 }, colorScheme: look.colorScheme, bypassCSP: true,
  });
  for (const path of pages) {
    const page = await context.newPage();
    await page.emulateMedia({ media: look.media, colorScheme: look.colorScheme });
    await page.goto("file://" + resolve(path));
    await page.addScriptTag({ path: axe });
    const found = await page.evaluate(() => globalThis.axe.run(document));
    looked += 1;
    for (const violation of found.violations) {
      failures += violation.nodes.length;
      console.log(`${basename(path)}, ${look.name}: ${violation.id}: ${violation.help}`);
      for (const node of violation.nodes.slice(0, 3)) console.log("   ", node.html.slice(0, 160));
    }
    await page.close();
  }
  await context.close();
}
await browser.close();
console.log(`${looked} looks at ${pages.length} pages: ${failures} failing places`);
process.exit(failures ? 1 : 0);
