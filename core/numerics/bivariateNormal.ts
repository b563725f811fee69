import { normalCdf } from './normal.ts';

// Abscissas and weights of Gauss–Legendre rules of 6, 12 and 20 points, half of each (the rest by symmetry).
const rules = [
  {
    x: [0.9324695142031522, 0.6612093864662647, 0.238619186083197],
    w: [0.1713244923791705, 0.3607615730481384, 0.4679139345726904],
  },
  {
    x: [
      0.9815606342467191, 0.904117256370475, 0.769902674194305, 0.5873179542866171, 0.3678314989981802,
      0.1252334085114692,
    ],
    w: [
      0.04717533638651177, 0.1069393259953183, 0.1600783285433464, 0.2031674267230659, 0.2334925365383547,
      0.2491470458134029,
    ],
  },
  {
    x: [
      0.9931285991850949, 0.9639719272779138, 0.912234428251326, 0.8391169718222188, 0.7463319064601508,
      0.636053680726515, 0.5108670019508271, 0.3737060887154196, 0.2277858511416451, 0.07652652113349732,
    ],
    w: [
      0.01761400713915212, 0.04060142980038694, 0.06267204833410905, 0.08327674157670475, 0.1019301198172404,
      0.1181945319615184, 0.1316886384491766, 0.1420961093183821, 0.1491729864726037, 0.1527533871307259,
    ],
  },
] as const;

/**
 * P(X ≤ h, Y ≤ k) of two standard normals with correlation r, to about 1e-15.
 * Source: A. Genz, Statistics and Computing 14 (2004) 251–260, after Z. Drezner and G. O. Wesolowsky, Journal of
 * Statistical Computation and Simulation 35 (1990) 101–107.
 */
export function bivariateNormalCdf(h: number, k: number, r: number): number {
  if (h === Number.NEGATIVE_INFINITY || k === Number.NEGATIVE_INFINITY) return 0;
  if (h === Number.POSITIVE_INFINITY) return normalCdf(k);
  if (k === Number.POSITIVE_INFINITY) return normalCdf(h);
  return upperTail(-h, -k, r);
}

/** P(X > h, Y > k). */
function upperTail(h: number, k: number, r: number): number {
  const size = Math.abs(r);
  const rule = rules[size < 0.3 ? 0 : size < 0.75 ? 1 : 2]!;
  if (size < 0.925) {
    const hs = 0.5 * (h * h + k * k);
    const hk = h * k;
    const asin = 0.5 * Math.asin(r);
    let sum = 0;
    for (let i = 0; i < rule.x.length; i++) {
      for (let sign = -1; sign <= 1; sign += 2) {
        const sine = Math.sin(asin * (1 + sign * rule.x[i]!));
        sum += rule.w[i]! * Math.exp((sine * hk - hs) / (1 - sine * sine));
      }
    }
    return (sum * asin) / (2 * Math.PI) + normalCdf(-h) * normalCdf(-k);
  }
  return steep(h, r < 0 ? -k : k, r, rule);
}

/** Strong correlation: expanded around |r| = 1. `k` has been turned where r is negative. */
function steep(h: number, k: number, r: number, rule: (typeof rules)[number]): number {
  const hk = h * k;
  let value = 0;
  if (Math.abs(r) < 1) {
    const as = (1 - r) * (1 + r);
    let a = Math.sqrt(as);
    const bs = (h - k) * (h - k);
    const c = (4 - hk) / 8;
    const d = (12 - hk) / 16;
    const near = -0.5 * (bs / as + hk);
    if (near > -100) {
      value = a * Math.exp(near) * (1 - (c * (bs - as) * (1 - (d * bs) / 5)) / 3 + (c * d * as * as) / 5);
    }
    if (-hk < 100) {
      const b = Math.sqrt(bs);
      value -=
        Math.exp(-0.5 * hk) * Math.sqrt(2 * Math.PI) * normalCdf(-b / a) * b * (1 - (c * bs * (1 - (d * bs) / 5)) / 3);
    }
    a *= 0.5;
    for (let i = 0; i < rule.x.length; i++) {
      for (let sign = -1; sign <= 1; sign += 2) {
        const xs = (a * (1 + sign * rule.x[i]!)) ** 2;
        const rs = Math.sqrt(1 - xs);
        const exponent = -0.5 * (bs / xs + hk);
        if (exponent <= -100) continue;
        value +=
          a *
          rule.w[i]! *
          Math.exp(exponent) *
          (Math.exp((-hk * (1 - rs)) / (2 * (1 + rs))) / rs - (1 + c * xs * (1 + d * xs)));
      }
    }
    value = -value / (2 * Math.PI);
  }
  if (r > 0) return value + normalCdf(-Math.max(h, k));
  value = -value;
  if (k > h) value += h < 0 ? normalCdf(k) - normalCdf(h) : normalCdf(-h) - normalCdf(-k);
  return value;
}
