/** Rows that were made of a list, so that a list that is looked at again, or was read ahead, is there at once. */
export class RowsMade<List extends object, Row> {
  readonly #lists = new WeakMap<List, Map<string, Row>>();

  /** The row of a segment in this list; made where nobody asked for it yet. The list itself is another after a change. */
  of(list: List, segmentId: string, make: () => Row): Row {
    const before = this.#lists.get(list);
    const rows = before === undefined || before.size >= most ? new Map<string, Row>() : before;
    if (rows !== before) this.#lists.set(list, rows);
    const row = rows.get(segmentId) ?? make();
    rows.set(segmentId, row);
    return row;
  }
}

/** Rows held at once; whoever turns on through a whole list must not fill the memory with it. */
const most = 2000;
