/** A catalogue as `build/po.ts` makes it a module. */
declare module "*.po" {
  export const entries: import("../core/language").Catalogue;
  export const form: (n: number) => number;
}
