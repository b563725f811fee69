import { log, strict } from './state.ts';

export interface MenuItem {
  label?: string;
  role?: string;
  type?: string;
  accelerator?: string;
  submenu?: MenuItem[];
  click?: () => void;
}

export const menu: { template: MenuItem[] } = { template: [] };

export class Menu {
  readonly template: MenuItem[];
  constructor(template: MenuItem[]) {
    this.template = template;
  }
  static buildFromTemplate(template: MenuItem[]): Menu {
    for (const item of flat(template))
      if (item.label === undefined && item.role === undefined && item.type !== 'separator')
        throw new Error('Invalid template for MenuItem: must have at least one of label, role or type');
    return new Menu(template);
  }
  static setApplicationMenu(made: Menu): void {
    menu.template = made.template;
  }
}

const flat = (items: MenuItem[]): MenuItem[] => items.flatMap((item) => [item, ...flat(item.submenu ?? [])]);

/** Does what a person does by choosing an item of the menu, or of the submenu that is named. */
export function chooseMenu(label: string, under?: string): void {
  const items = under === undefined ? menu.template : flat(menu.template).find((each) => each.label === under)?.submenu;
  const item = flat(items ?? []).find((each) => each.label === label);
  if (!item?.click) throw new Error(`no menu item '${label}'`);
  item.click();
}

/** Answers that a test has laid ready for the next dialogs; null closes one. */
export const dialogAnswers: (string[] | null)[] = [];

const nextAnswer = (kind: string, options: unknown): string[] => {
  log.push({ kind, detail: options });
  if (dialogAnswers.length === 0) throw new Error(`stand-in: nobody answers the dialog ${kind}`);
  return dialogAnswers.shift() ?? [];
};

export const dialog = strict('dialog', {
  async showOpenDialog(_window: unknown, options: unknown) {
    const filePaths = nextAnswer('open-dialog', options);
    return { canceled: filePaths.length === 0, filePaths };
  },
  async showSaveDialog(_window: unknown, options: unknown) {
    const [filePath = ''] = nextAnswer('save-dialog', options);
    return { canceled: filePath === '', filePath };
  },
});

export const screen = strict('screen', {
  getAllDisplays: () => [{ workArea: { x: 0, y: 0, width: 1920, height: 1080 } }],
});

export const shell = strict('shell', {
  async openExternal(url: string): Promise<void> {
    log.push({ kind: 'openExternal', detail: url });
  },
});
