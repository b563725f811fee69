import type { Page } from 'playwright-core';

/** What stands under a head, row by row, as the rows stand one below the other. */
export const cellsOf = (page: Page, name: string): Promise<string[]> =>
  page.evaluate((head) => {
    const heads = [...document.querySelectorAll('.grid-head [role=columnheader]')].map((el) => el.textContent ?? '');
    const at = heads.findIndex((text) => text.startsWith(head));
    const rows = [...document.querySelectorAll<HTMLElement>('.grid-room .grid-row')];
    rows.sort((a, b) => Number(a.getAttribute('aria-rowindex')) - Number(b.getAttribute('aria-rowindex')));
    return rows.map((row) => row.children[at]?.textContent ?? '');
  }, name);

/** Whether names stand as people count, 2 before 10. */
export const inOrder = (names: readonly string[]) =>
  names.every((name, at) => at === 0 || name.localeCompare(names[at - 1]!, 'en', { numeric: true }) >= 0);
