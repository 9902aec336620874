// The part of odex that the reference tests use. The package ships TypeScript that our compiler settings refuse,
// so tests/tsconfig.json leads its name here.

export declare class Solver {
  constructor(dimensions: number);
  absoluteTolerance: number;
  relativeTolerance: number;
  solve(
    derivative: (x: number, y: number[]) => number[],
    x0: number,
    y0: number[],
    x1: number,
  ): { readonly y: number[]; readonly outcome: number };
}
