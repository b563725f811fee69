import { describe, expect, test } from 'vitest';
import { chance, fixed, grouped, measured } from '../../renderer/words/numbers.ts';
import { conductorArea, lengthWords, routeLength, temperature, thickness } from '../../renderer/words/units.ts';

const flat = (text: string): string => text.replaceAll('\u00a0', ' ');

describe('US customary units', () => {
  // ASTM B258 and the common conversion tables: 4/0 AWG is 107.2 mm², 1/0 53.49, 2 AWG 33.62, 500 kcmil 253.4 mm².
  test.each([
    [107, '4/0 AWG'],
    [107.2, '4/0 AWG'],
    [53.49, '1/0 AWG'],
    [33.62, '2 AWG'],
    [42.41, '1 AWG'],
    [253.4, '500 kcmil'],
    [177.3, '350 kcmil'],
    [506.7, '1000 kcmil'],
  ])('name a conductor of %d mm² by its size', (mm2, name) => {
    expect(flat(conductorArea(mm2, 'us'))).toBe(name);
  });

  test('do not pass a metric size off as an American one', () => {
    expect(flat(conductorArea(240, 'us'))).toBe('474 kcmil');
  });

  test('convert length, temperature and thickness', () => {
    // 1 ft = 0.3048 m exactly (NIST SP 811); 15.6 °C = 60 °F; 220 mil = 5.588 mm, the 15 kV wall of ICEA S-97-682.
    expect(flat(lengthWords(412, 'us'))).toBe('1,352 ft');
    expect(flat(lengthWords(5280, 'us'))).toBe('17.3 kft');
    expect(flat(routeLength(418, 'us'))).toBe('1,371 kft');
    expect(temperature(15.6, 'us')).toBe('60');
    expect(temperature(-40, 'us')).toBe('−40');
    expect(flat(thickness(5.588, 'us'))).toBe('220 mil');
  });
});

describe('numbers as they are written', () => {
  test('carry three figures, as field readings do, and two below one', () => {
    expect([4.312, 19.42, 212.4, 0.0418, 0.5804, 9.996, 0].map(measured)).toEqual([
      '4.31',
      '19.4',
      '212',
      '0.042',
      '0.58',
      '10.0',
      '0',
    ]);
  });

  test('use a true minus, and no minus on nothing', () => {
    expect(fixed(-1.25, 1)).toBe('−1.3');
    expect(fixed(-0.04, 1)).toBe('0.0');
  });

  test('say a chance no finer than it is known', () => {
    expect([0, 0.004, 0.62, 0.996, 1].map((p) => flat(chance(p)))).toEqual([
      'under 1 %',
      'under 1 %',
      '62 %',
      'over 99 %',
      'over 99 %',
    ]);
  });

  test('large whole numbers of a sentence are grouped; ids, days, years and decimals stay', () => {
    expect(grouped('leakage (297800, 3860, 1234567 µA) of T0000317 on 2020-10-12')).toBe(
      'leakage (297,800, 3860, 1,234,567 µA) of T0000317 on 2020-10-12',
    );
    expect(grouped('0.12345 and 12345.6 in 2024')).toBe('0.12345 and 12345.6 in 2024');
  });
});
