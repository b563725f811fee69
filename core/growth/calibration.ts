/** P(exceed) corrected by what happened: logit(p') = shift + stretch · logit(p), stretch > 0, so order never changes. */
export type Calibration =
  | { readonly known: true; readonly shift: number; readonly stretch: number; readonly exceedances: number }
  | { readonly known: false; readonly because: string };

/** Fewer exceedances than this and the correction would be noise. */
const enough = 20;
/** Before any data: no correction, give or take. */
const shiftSd = 0.5;
const stretchSd = 0.25;
const leastStretch = 0.4;
const edge = 1e-6;

function logit(p: number): number {
  const inside = Math.min(1 - edge, Math.max(edge, p));
  return Math.log(inside / (1 - inside));
}

/** Logistic recalibration (D. R. Cox, Biometrika 45 (1958) 562) with a weak prior at no correction, by Newton's method. */
export function fitCalibration(predicted: Float64Array, happened: Uint8Array): Calibration {
  let exceedances = 0;
  for (const h of happened) exceedances += h;
  if (exceedances < enough || happened.length - exceedances < enough) {
    return { known: false, because: `only ${exceedances} of ${happened.length} last tests passed their limit` };
  }
  let shift = 0;
  let stretch = 1;
  for (let step = 0; step < 50; step++) {
    let g0 = -shift / shiftSd ** 2;
    let g1 = -(stretch - 1) / stretchSd ** 2;
    let h00 = 1 / shiftSd ** 2;
    let h01 = 0;
    let h11 = 1 / stretchSd ** 2;
    for (let i = 0; i < predicted.length; i++) {
      const x = logit(predicted[i]!);
      const p = 1 / (1 + Math.exp(-(shift + stretch * x)));
      const residual = happened[i]! - p;
      const w = p * (1 - p);
      g0 += residual;
      g1 += residual * x;
      h00 += w;
      h01 += w * x;
      h11 += w * x * x;
    }
    const determinant = h00 * h11 - h01 * h01;
    const d0 = (h11 * g0 - h01 * g1) / determinant;
    const d1 = (h00 * g1 - h01 * g0) / determinant;
    shift += d0;
    stretch = Math.max(leastStretch, stretch + d1);
    if (Math.abs(d0) + Math.abs(d1) < 1e-10) break;
  }
  return { known: true, shift, stretch, exceedances };
}

/** The corrected probability; the same one where there is no correction. */
export function calibrated(calibration: Calibration, p: number): number {
  if (!calibration.known || Number.isNaN(p)) return p;
  return 1 / (1 + Math.exp(-(calibration.shift + calibration.stretch * logit(p))));
}
