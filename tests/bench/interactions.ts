import type { Page } from 'playwright-core';
import { themeNames, unitNames } from '../../renderer/words/frame.ts';
import { type Drawn, drawn, type Input, type Sign } from './drawn-frame.ts';
import { keyS } from './person.ts';

export interface Interaction {
  readonly name: string;
  readonly rounds: number;
  /** Brings the window to where the interaction begins; not timed. */
  readonly ready?: () => Promise<unknown>;
  readonly once: (round: number) => Promise<Drawn>;
}

export interface Named {
  readonly id: string;
  readonly name: string;
}

/**
 * Everything a person does in the window, each time a person's key after the last, so that what follows on one page is
 * not counted against the next; letters, walking keys and the wheel come as fast as they can. The first is the empty
 * frame that the others are told against.
 */
export function interactionsOf(page: Page, segments: readonly Named[]): Interaction[] {
  const rested = async (on: Input, sign: Sign, act: () => Promise<unknown>): Promise<Drawn> => {
    await page.waitForTimeout(keyS * 1000);
    return drawn(page, on, sign, act);
  };
  const press = (key: string, sign: Sign) => rested('keydown', sign, () => page.keyboard.press(key));
  const hold = (key: string, sign: Sign) => drawn(page, 'keydown', sign, () => page.keyboard.press(key));
  const click = (selector: string, sign: Sign) => rested('pointerdown', sign, () => page.click(selector));
  const toHash = (hash: string, sign: Sign) => rested('script', sign, () => setHash(page, hash));
  const visit = async (hash: string, selector: string): Promise<void> => {
    await setHash(page, hash);
    await page.locator(selector).first().waitFor();
  };
  const segment = (i: number): Named => segments[i % segments.length]!;
  return [
    {
      name: 'a key that does nothing: one empty frame',
      rounds: 40,
      ready: () => visit('#/fleet', firstLook),
      once: () => press('Shift', { selector: 'body' }),
    },
    ...finder(page, segments, press, hold),
    {
      name: 'open a segment, its chart drawn',
      rounds: 40,
      ready: () => visit('#/fleet', firstLook),
      once: (i) => {
        const { id, name } = segment(i + 100);
        return toHash(`#/fleet/${id}`, { selector: withChart, begins: name, changed: true });
      },
    },
    {
      name: 'back to the segment before',
      rounds: 30,
      once: () =>
        rested('script', { selector: withChart, changed: true }, () =>
          page.evaluate(() => {
            dispatchEvent(new Event('script'));
            history.back();
          }),
        ),
    },
    ...tree(page, hold, click, visit),
    ...ranking(page, rested, visit, { press, hold, click }),
    ...places(page, press, visit),
    ...view(page, click, () => visit(`#/fleet/${segment(0).id}`, '.tests-table')),
  ];
}

type Press = (key: string, sign: Sign) => Promise<Drawn>;
type Click = (selector: string, sign: Sign) => Promise<Drawn>;
type Rested = (on: Input, sign: Sign, act: () => Promise<unknown>) => Promise<Drawn>;
interface Acts {
  readonly press: Press;
  readonly hold: Press;
  readonly click: Click;
}
type Visit = (hash: string, selector: string) => Promise<void>;

const firstLook = '.first-look tbody tr';
/** The name on a page whose own chart holds lines and signs; the chart of the page before is no sign of this one. */
const withChart = '.sheet:has(.figure-place svg path) h1';

const setHash = (page: Page, hash: string): Promise<void> =>
  page.evaluate((to) => {
    dispatchEvent(new Event('script'));
    location.hash = to;
  }, hash);

/** Four letters of a cable's name, one after another, then Enter. */
function finder(page: Page, segments: readonly Named[], press: Press, hold: Press): Interaction[] {
  const letters = 4;
  const answered = { selector: '.find-list[role=listbox]:not([aria-busy=true])' };
  const keystroke = async (i: number): Promise<Drawn> => {
    const { name } = segments[Math.floor(i / letters) % segments.length]!;
    const at = i % letters;
    if (at === 0) {
      await page.keyboard.press('Control+k');
      await page.keyboard.press('Control+a');
      await page.keyboard.press('Backspace');
    }
    return hold(name[at]!, answered);
  };
  return [
    { name: 'a letter in the finder', rounds: 40 * letters, once: keystroke },
    {
      name: 'open the segment that was found',
      rounds: 40,
      once: async (i) => {
        const { name } = segments[i % segments.length]!;
        await page.keyboard.press('Control+k');
        await page.keyboard.type(name);
        await page.locator('.find-hit[aria-selected=true]', { hasText: name }).waitFor();
        return press('Enter', { selector: '.sheet:has(.tests-table) h1', begins: name });
      },
    },
  ];
}

function tree(page: Page, hold: Press, click: Click, visit: Visit): Interaction[] {
  /** The next closed branch of a level below the one that was opened last. */
  const closed = async (level: number, nth: number): Promise<string> => {
    const branch = page.locator(`[role=treeitem][aria-level="${level}"][aria-expanded=false]`).nth(nth);
    return `#${await branch.getAttribute('id')}`;
  };
  const open = async (level: number, nth: number): Promise<Drawn> => {
    const id = await closed(level, nth);
    const sign = { selector: `.tree:has(${id}[aria-expanded=true]) [aria-level="${level + 1}"]` };
    const took = await click(id, sign);
    await page.click(id);
    return took;
  };
  return [
    {
      name: 'open a substation in the tree',
      rounds: 20,
      ready: async () => {
        // A window that has opened nothing yet: no other branch stands open.
        await page.reload();
        await visit('#/fleet', firstLook);
      },
      once: (i) => open(1, i % 20),
    },
    {
      name: 'open a feeder in the tree',
      rounds: 20,
      ready: async () => page.click(await closed(1, 0)),
      once: (i) => open(2, i % 10),
    },
    {
      name: 'next row of the tree',
      rounds: 40,
      ready: () => page.focus('[role=tree]'),
      once: async () => {
        const selector = '[role=tree] [data-active]';
        return hold('ArrowDown', { selector, changed: true });
      },
    },
  ];
}

function ranking(page: Page, rested: Rested, visit: Visit, { press, hold, click }: Acts): Interaction[] {
  const read = '.ranking-table #row-0:not([data-unread])';
  const grid = '.ranking-table [role=grid]';
  const heads = ['Level', 'Growth', 'Crosses', 'Segment', 'Length'];
  const sortable = async (i: number): Promise<string> => {
    const buttons = page.locator('.ranking-table .grid-sort');
    const names = await buttons.allInnerTexts();
    const at = names.findIndex((name) => name.startsWith(heads[i % heads.length]!));
    return `.ranking-table .grid-sort >> nth=${at < 0 ? i % names.length : at}`;
  };
  const activeRow = { selector: `${grid} [data-active]:not([data-unread])`, changed: true };
  return [
    {
      name: 'open the ranking',
      rounds: 40,
      once: async () => {
        await visit('#/fleet', firstLook);
        return press('Alt+2', { selector: read });
      },
    },
    {
      name: 'sort the ranking by another column',
      rounds: 40,
      once: async (i) => click(await sortable(i), { selector: read, changed: true }),
    },
    {
      name: 'next row of the ranking',
      rounds: 40,
      ready: async () => {
        await page.focus(grid);
        await page.keyboard.press('Home');
      },
      once: () => hold('ArrowDown', activeRow),
    },
    { name: 'next page of the ranking', rounds: 40, once: () => hold('PageDown', activeRow) },
    {
      name: 'last and first row of the ranking',
      rounds: 40,
      once: (i) => hold(i % 2 === 0 ? 'End' : 'Home', activeRow),
    },
    {
      name: 'jump along the ranking by its scroll bar',
      rounds: 40,
      ready: () => visit('#/ranking', read),
      once: (i) => {
        const share = (((i + 1) * 7919) % 997) / 997;
        const sign = { selector: `${grid} .grid-room:not(:has([data-unread]))`, changed: true };
        return rested('script', sign, () =>
          page.evaluate(
            ([selector, to]) => {
              const pane = document.querySelector(selector)!;
              dispatchEvent(new Event('script'));
              pane.scrollTop = to * (pane.scrollHeight - pane.clientHeight);
            },
            [grid, share] as const,
          ),
        );
      },
    },
    {
      name: 'turn the wheel over the ranking',
      rounds: 40,
      ready: () => page.hover(`${grid} .grid-room`, { position: { x: 300, y: 200 }, force: true }).catch(() => {}),
      once: async () => {
        // Rows beyond the edges that follow the turn before are no sign of this one.
        await page.locator(`${grid} .grid-room:not(:has([data-ahead]))`).waitFor();
        return drawn(page, 'wheel', { selector: `${grid} .grid-room:not(:has([data-unread]))`, changed: true }, () =>
          page.mouse.wheel(0, 360),
        );
      },
    },
    {
      name: 'filter the ranking by insulation',
      rounds: 40,
      ready: async () => {
        await visit('#/ranking', grid);
        await page.focus(grid);
      },
      once: async (i) => {
        await page.click('.ranking-head [aria-label^="Insulation"]');
        const item = `.filter-item >> nth=${(i % 3) + 1}`;
        await page.locator(item).waitFor();
        const took = await click(item, { selector: '.ranking-head .second', changed: true });
        await page.keyboard.press('Escape');
        await page.locator('.filter-sheet').waitFor({ state: 'detached' });
        return took;
      },
    },
  ];
}

const shown = {
  Plan: { key: 'Alt+3', selector: '.plan-terms input' },
  Retests: { key: 'Alt+4', selector: '.due-table #row-0:not([data-unread])' },
  Evidence: { key: 'Alt+5', selector: '.register-table #row-0:not([data-unread])' },
  Import: { key: 'Alt+6', selector: '.import-teach' },
} as const;

/** Each place opened for the first time in a window, and again. */
function places(page: Page, press: Press, visit: Visit): Interaction[] {
  const rows = Object.entries(shown).map(([name, { key, selector }]) => ({
    name,
    open: () => press(key, { selector }),
  }));
  return [
    ...rows.map(({ name, open }) => ({
      name: `open ${name}, the first time`,
      rounds: 20,
      once: async () => {
        await page.reload();
        await visit('#/fleet', firstLook);
        await page.waitForTimeout(500);
        return open();
      },
    })),
    ...rows.map(({ name, open }) => ({
      name: `open ${name} again`,
      rounds: 40,
      // Once before it is timed: else the first of the rounds is no second time.
      ready: async () => {
        await visit('#/fleet', firstLook);
        await open();
      },
      once: async () => {
        await visit('#/fleet', firstLook);
        return open();
      },
    })),
  ];
}

/** What the menu at the right switches, on the page of a segment. */
function view(page: Page, click: Click, ready: () => Promise<unknown>): Interaction[] {
  const choose = async (words: string, sign: Sign): Promise<Drawn> => {
    await page.click('.menu-button');
    await page.locator('.menu-item').first().waitFor();
    const took = await click(`.menu-item:has-text("${words}")`, sign);
    await page.locator('.menu-sheet').waitFor({ state: 'detached' });
    return took;
  };
  return [
    {
      name: 'open the menu of the view',
      rounds: 40,
      ready,
      once: async () => {
        const took = await click('.menu-button', { selector: '.menu-sheet .menu-item' });
        await page.keyboard.press('Escape');
        await page.locator('.menu-sheet').waitFor({ state: 'detached' });
        return took;
      },
    },
    {
      name: 'switch the theme',
      rounds: 40,
      once: (i) =>
        choose(i % 2 === 0 ? themeNames.dark : themeNames.light, {
          selector: `[data-theme=${i % 2 === 0 ? 'dark' : 'light'}]`,
        }),
    },
    {
      name: 'switch the units',
      rounds: 40,
      once: (i) => choose(i % 2 === 0 ? unitNames.us : unitNames.metric, { selector: '.tests-table', changed: true }),
    },
  ];
}
