import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

// axe-core: the public rule set for WCAG 2.0 to 2.2, levels A and AA, and its best practices.
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface AxeRun {
  readonly axe: {
    run(root: Document): Promise<{ violations: { id: string; nodes: { html: string; failureSummary: string }[] }[] }>;
  };
}

/** What axe-core finds wrong in the page as it stands: the rule, the element and why, one a line. */
export async function violations(page: Page): Promise<string[]> {
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const { violations: found } = await (globalThis as unknown as AxeRun).axe.run(document);
    return found.flatMap((rule) =>
      rule.nodes.map((node) => `${rule.id}: ${node.html.slice(0, 160)} · ${node.failureSummary.slice(0, 200)}`),
    );
  });
}
