import { expect, test } from 'vitest';
import { verifyFleet } from '../../core/tasks/evidence-verify.ts';
import { aFleet } from './a-fleet.ts';

test('fifty fleets with seeded edits verify without one false alarm', async () => {
  for (let seed = 1; seed <= 50; seed++) {
    const { fleet, desk } = await aFleet(seed);
    const { faults, checked, signatures } = await verifyFleet(desk, fleet, undefined);
    expect(faults.list, `seed ${seed}`).toEqual([]);
    expect(checked.readings).toBeGreaterThan(140);
    expect(checked.ledgerLines).toBeGreaterThan(8);
    expect(signatures.map((signature) => signature.holds)).toEqual([true]);
    fleet.raw.close();
  }
});
