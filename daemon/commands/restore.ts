// `emberwire restore`: its code stands with `backup`, whose other half it is.

export { registerRestore as register } from "./backup.ts";
