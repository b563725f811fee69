import { expect, test } from 'vitest';
import { closeFleet, openFleet } from '../../core/store/open.ts';
import { entities } from '../../core/store/record-columns.ts';
import { readingsOfEvent } from '../../core/store/records.ts';
import { digestOf } from '../../core/tasks/content.ts';
import { idMaker } from '../../core/tasks/new-ids.ts';
import { migrations } from '../../migrations/index.ts';
import { newFleet } from '../intake/folder.ts';

test('every record of the bulk writers carries the digest that its content gives when read back', async () => {
  const { core, file } = await newFleet();
  await core.send('demo.write', { segments: 60 });
  core.close();
  const fleet = await openFleet(file, { migrations, readOnly: true });
  const seen: Record<string, number> = {};
  for (const entity of entities) {
    const rows = fleet.raw.prepare(`select * from ${entity}`).all() as {
      id: string;
      digest: Buffer;
      ledger_seq: number;
    }[];
    for (const row of rows) {
      const parts = entity === 'test_event' ? readingsOfEvent(fleet, row.id) : undefined;
      expect(row.digest.equals(digestOf(entity, row as never, parts as never))).toBe(true);
      expect(row.ledger_seq).toBe(1);
    }
    if (rows.length > 0) seen[entity] = rows.length;
  }
  expect(Object.keys(seen).length).toBe(11);
  closeFleet(fleet);
});

test('new ids are UUIDs of version 7 and variant 10 (RFC 9562, section 5.7), of the moment given, in rising order', () => {
  const newId = idMaker('2026-01-15T08:00:00.000Z');
  const ids = Array.from({ length: 20_000 }, newId);
  for (const id of ids) expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  expect([...ids].sort()).toEqual(ids);
  expect(new Set(ids).size).toBe(ids.length);
  const ms = Number.parseInt(ids[0]!.replaceAll('-', '').slice(0, 12), 16);
  expect(new Date(ms).toISOString()).toBe('2026-01-15T08:00:00.000Z');
});
