// Complex numbers as plain pairs, just enough for impedances. It never allocates more than the answer.

/** A complex number; the unit is in the name of whatever holds it. */
export type Complex = { readonly real: number; readonly imaginary: number };

/** |z|², in the square of z's unit. */
export function squaredMagnitude(z: Complex): number {
  return z.real * z.real + z.imaginary * z.imaginary;
}

/** 1/z: an admittance in siemens from an impedance in ohms. Not a number for z = 0. */
export function reciprocal(z: Complex): Complex {
  const square = squaredMagnitude(z);
  return { real: z.real / square, imaginary: -z.imaginary / square };
}
