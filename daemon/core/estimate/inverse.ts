// Inverse of a symmetric positive definite matrix by Cholesky's factorisation: for normal equations of a few dozen unknowns.
// It never solves an indefinite matrix: that is an error.

/**
 * A⁻¹ for symmetric positive definite A given by rows; only the lower triangle is read.
 * @throws RangeError when A is not positive definite.
 */
export function inverseOfPositive(a: readonly Float64Array[]): readonly Float64Array[] {
  const n = a.length;
  const l = a.map(() => new Float64Array(n));
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = a[i]![j]!;
      for (let k = 0; k < j; k++) sum -= l[i]![k]! * l[j]![k]!;
      if (i === j) {
        if (!(sum > 0)) throw new RangeError("normal matrix: expected positive definite, got a pivot of zero or less");
        l[i]![i] = Math.sqrt(sum);
      } else {
        l[i]![j] = sum / l[j]![j]!;
      }
    }
  }
  // Columns of L⁻¹, then A⁻¹ = L⁻ᵀ·L⁻¹.
  const inverse = a.map(() => new Float64Array(n));
  for (let column = 0; column < n; column++) {
    for (let i = column; i < n; i++) {
      let sum = i === column ? 1 : 0;
      for (let k = column; k < i; k++) sum -= l[i]![k]! * inverse[k]![column]!;
      inverse[i]![column] = sum / l[i]![i]!;
    }
  }
  const result = a.map(() => new Float64Array(n));
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = 0;
      for (let k = i; k < n; k++) sum += inverse[k]![i]! * inverse[k]![j]!;
      result[i]![j] = sum;
      result[j]![i] = sum;
    }
  }
  return result;
}
