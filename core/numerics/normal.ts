/** 1 / √(2π). */
const density0 = 0.3989422804014327;
/** Within this distance of 0 lies half of the probability. */
const quartile = 0.67448975;
/** Under this argument Φ(x) is smaller than the smallest double. */
const underflow = -38.5;

// Coefficients of rational functions, highest power first, as doubles hold them.
const middleAbove = [
  0.06568233791820745, 2.2352520354606837, 161.02823106855587, 1067.6894854603709, 18154.98125334356,
];
const middleBelow = [1.0, 47.202581904688245, 976.0985517377767, 10260.932208618979, 45507.78933502673];
const tailAbove = [
  1.0765576773720192e-8, 0.39894151208813466, 8.883149794388377, 93.50665613217785, 597.2702763948002,
  2494.5375852903726, 6848.190450536283, 11602.65143764735, 9842.714838383978,
];
const tailBelow = [
  1.0, 22.266688044328117, 235.387901782625, 1519.3775994075547, 6485.558298266761, 18615.571640885097,
  34900.95272114598, 38912.00328609327, 19685.429676859992,
];
const farTailAbove = [
  0.023073441764940174, 0.215898534057957, 0.12740116116024736, 0.022235277870649807, 0.0014216191932278934,
  2.9112874951168793e-5,
];
const farTailBelow = [
  1.0, 1.284260096144911, 0.4682382124808651, 0.06598813786892856, 0.0037823963320275824, 7.297515550839662e-5,
];
const quantileMiddleAbove = [
  2509.0809287301227, 33430.57558358813, 67265.7709270087, 45921.95393154987, 13731.69376550946, 1971.5909503065513,
  133.14166789178438, 3.3871328727963665,
];
const quantileMiddleBelow = [
  5226.495278852854, 28729.085735721943, 39307.89580009271, 21213.794301586597, 5394.196021424751, 687.1870074920579,
  42.31333070160091, 1.0,
];
const quantileTailAbove = [
  0.0007745450142783414, 0.022723844989269184, 0.2417807251774506, 1.2704582524523684, 3.6478483247632045,
  5.769497221460691, 4.630337846156546, 1.4234371107496835,
];
const quantileTailBelow = [
  1.0507500716444169e-9, 0.0005475938084995345, 0.015198666563616457, 0.14810397642748008, 0.6897673349851,
  1.6763848301838038, 2.053191626637759, 1.0,
];
const quantileFarAbove = [
  2.0103343992922881e-7, 2.7115555687434876e-5, 0.0012426609473880784, 0.026532189526576124, 0.29656057182850487,
  1.7848265399172913, 5.463784911164114, 6.657904643501103,
];
const quantileFarBelow = [
  2.0442631033899397e-15, 1.421511758316446e-7, 1.8463183175100548e-5, 0.0007868691311456133, 0.014875361290850615,
  0.1369298809227358, 0.599832206555888, 1.0,
];

function ratio(above: readonly number[], below: readonly number[], x: number): number {
  let a = above[0]!;
  for (let i = 1; i < above.length; i++) a = a * x + above[i]!;
  let b = below[0]!;
  for (let i = 1; i < below.length; i++) b = b * x + below[i]!;
  return a / b;
}

/** Density of the standard normal distribution at x. */
export function normalPdf(x: number): number {
  const size = Math.abs(x);
  return density0 * gauss(size);
}

/** exp(−size² / 2). The square of a large argument loses digits; the square of its short head is exact. */
function gauss(size: number): number {
  if (size > 40) return 0;
  const head = Math.trunc(size * 16) / 16;
  return Math.exp(-0.5 * head * head) * Math.exp(-0.5 * (size - head) * (size + head));
}

/** Φ(−size) ÷ exp(−size² / 2), for a size over the quartile. */
function tailRatio(size: number): number {
  if (size <= 5.65685424949238) return ratio(tailAbove, tailBelow, size);
  const s = 1 / (size * size);
  return (density0 - s * ratio(farTailAbove, farTailBelow, s)) / size;
}

/**
 * Φ(x), the standard normal distribution function, to full double accuracy in both tails.
 * Source of the rational approximations: W. J. Cody, Rational Chebyshev approximations for the error function,
 * Math. Comp. 23 (1969) 631–637, in the form of ACM TOMS algorithm 715. NaN in, NaN out.
 */
export function normalCdf(x: number): number {
  const size = Math.abs(x);
  if (size <= quartile) return 0.5 + x * ratio(middleAbove, middleBelow, x * x);
  if (x < underflow) return 0;
  const tail = gauss(size) * tailRatio(size);
  return x < 0 ? tail : 1 - tail;
}

/** ln Φ(x); stays exact far below where Φ(x) itself vanishes. Source: as `normalCdf`. */
export function normalLogCdf(x: number): number {
  if (x > quartile) return Math.log1p(-normalCdf(-x));
  if (x >= -quartile) return Math.log(normalCdf(x));
  return -0.5 * x * x + Math.log(tailRatio(-x));
}

/** φ(x) ÷ Φ(x): the mean of a standard normal known to lie under x, sign turned. Finite however far below 0 x lies. */
export function normalInverseMills(x: number): number {
  return x < -quartile ? density0 / tailRatio(-x) : normalPdf(x) / normalCdf(x);
}

/**
 * The x with Φ(x) = p, to about 1 part in 10¹⁵.
 * p = 0 gives −∞ and p = 1 gives +∞; outside 0 … 1 gives NaN.
 * Source: M. J. Wichura, Algorithm AS 241, Applied Statistics 37 (1988) 477–484 (its 16-figure version).
 */
export function normalQuantile(p: number): number {
  const centred = p - 0.5;
  if (Math.abs(centred) <= 0.425) {
    return centred * ratio(quantileMiddleAbove, quantileMiddleBelow, 0.180625 - centred * centred);
  }
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0) return Number.NEGATIVE_INFINITY;
  if (p === 1) return Number.POSITIVE_INFINITY;
  const depth = Math.sqrt(-Math.log(centred < 0 ? p : 1 - p));
  const size =
    depth <= 5
      ? ratio(quantileTailAbove, quantileTailBelow, depth - 1.6)
      : ratio(quantileFarAbove, quantileFarBelow, depth - 5);
  return centred < 0 ? -size : size;
}
