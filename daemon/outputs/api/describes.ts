// Holds a zod schema against a type of the wire in both directions, at compile time: neither may say more than the other.

import type * as z from "zod";

type Frozen<T> = T extends readonly (infer Item)[]
  ? readonly Frozen<Item>[]
  : T extends object
    ? { readonly [key in keyof T]: Frozen<T[key]> }
    : T;

/** `describes<Frame>()(schema)` is `schema`; the compiler refuses one that is not exactly that type. */
export function describes<T>(): <S extends z.ZodType<T>>(
  schema: Frozen<T> extends Frozen<z.output<S>> ? S : never,
) => S {
  return (schema) => schema;
}
