import { describe, expect, test } from 'vitest';
import { canonicalJson, type Json, recordDigest } from '../../core/evidence/canonical.ts';
import { digestOfText, valuesText } from '../../core/evidence/content-text.ts';

// Source of every expectation here: RFC 8785, JSON Canonicalization Scheme, June 2020.
const sample = JSON.parse(`{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\\u20ac$\\u000F\\u000aA'\\u0042\\u0022\\u005c\\\\\\"\\/",
  "literals": [null, true, false]
}`) as Json;

describe('canonical JSON', () => {
  test('writes the sample of section 3.2.2 as the RFC prints it', () => {
    expect(canonicalJson(sample)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  test('gives the UTF-8 bytes that section 3.2.4 prints', () => {
    const bytes = Buffer.from(canonicalJson(sample), 'utf8');
    expect(bytes.toString('hex')).toBe(
      '7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a5b3333333333333333332e33333333333333' +
        '2c31652b33302c342e352c302e3030322c31652d32375d2c22737472696e67223a22e282ac245c75303030665c6e4127425c225c5c5c5c5c222f227d',
    );
  });

  test('sorts the members of section 3.2.3 by their UTF-16 code units', () => {
    const sample = {
      '\u20ac': 'Euro Sign',
      '\r': 'Carriage Return',
      '\ufb33': 'Hebrew Letter Dalet With Dagesh',
      '1': 'One',
      '\ud83d\ude00': 'Emoji: Grinning Face',
      '\u0080': 'Control',
      '\u00f6': 'Latin Small Letter O With Diaeresis',
    };
    const order = [...canonicalJson(sample).matchAll(/:"([^"]+)"/g)].map((match) => match[1]);
    expect(order).toEqual([
      'Carriage Return',
      'One',
      'Control',
      'Latin Small Letter O With Diaeresis',
      'Euro Sign',
      'Emoji: Grinning Face',
      'Hebrew Letter Dalet With Dagesh',
    ]);
  });

  // Appendix B: the double's bits, and how it is written.
  test.each([
    ['0000000000000000', '0'],
    ['8000000000000000', '0'],
    ['0000000000000001', '5e-324'],
    ['8000000000000001', '-5e-324'],
    ['7fefffffffffffff', '1.7976931348623157e+308'],
    ['ffefffffffffffff', '-1.7976931348623157e+308'],
    ['4340000000000000', '9007199254740992'],
    ['c340000000000000', '-9007199254740992'],
    ['4430000000000000', '295147905179352830000'],
    ['44b52d02c7e14af5', '9.999999999999997e+22'],
    ['44b52d02c7e14af6', '1e+23'],
    ['44b52d02c7e14af7', '1.0000000000000001e+23'],
    ['444b1ae4d6e2ef4e', '999999999999999700000'],
    ['444b1ae4d6e2ef4f', '999999999999999900000'],
    ['444b1ae4d6e2ef50', '1e+21'],
    ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
    ['3eb0c6f7a0b5ed8d', '0.000001'],
    ['41b3de4355555553', '333333333.3333332'],
    ['41b3de4355555554', '333333333.33333325'],
    ['41b3de4355555555', '333333333.3333333'],
    ['41b3de4355555556', '333333333.3333334'],
    ['41b3de4355555557', '333333333.33333343'],
    ['becbf647612f3696', '-0.0000033333333333333333'],
    ['43143ff3c1cb0959', '1424953923781206.2'],
  ])('writes the double %s as %s', (bits, text) => {
    expect(canonicalJson(Buffer.from(bits, 'hex').readDoubleBE())).toBe(text);
  });

  test.each(['7fffffffffffffff', '7ff0000000000000', 'fff0000000000000'])('refuses the double %s', (bits) => {
    expect(() => canonicalJson(Buffer.from(bits, 'hex').readDoubleBE())).toThrow(TypeError);
  });

  test('refuses a lone surrogate, section 3.2.2.2, in a value and in a name', () => {
    expect(() => canonicalJson('\udead')).toThrow(TypeError);
    expect(() => canonicalJson({ '\udead': 1 })).toThrow(TypeError);
  });
});

describe('the text of a record', () => {
  // Two writings of the same digest: one for speed while verifying, one for clarity while writing.
  test.each([
    [[1.5, -0, 0, 1e21, 1e-7, null]],
    [['plain', '', 'µ "quoted" \\ back', 'line\nend\ttab', '\u0000\u001f\u007f', '😀', '\ud800', 'x'.repeat(300)]],
  ])('is written the same in both ways: %j', (values) => {
    expect(digestOfText('segment', valuesText(values, 0, values.length))).toEqual(recordDigest('segment', values));
  });
});
