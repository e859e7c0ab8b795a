/** A new password, typed twice, with the rule said before. */

import { passwordFault } from "../../core/door";
import { PASSWORD_FAULT, SIGN_IN } from "../../core/sign-in-wording";
import { textField, type Field } from "../../ui/field";

const SECRET = { type: "password", autocomplete: "new-password" };

export interface NewPassword {
  fields: readonly [Field<HTMLInputElement>, Field<HTMLInputElement>];
  value(): string;
  /** Say at the fields what is wrong; true when all is well. */
  check(login: string): boolean;
  clear(): void;
}

/** Return the two fields. */
export function newPassword(label: string, again: string): NewPassword {
  const first = textField(label, "", SECRET, SIGN_IN.rule);
  const second = textField(again, "", SECRET);
  return {
    fields: [first, second],
    value: () => first.input.value,
    check(login) {
      const fault = passwordFault(first.input.value, second.input.value, login);
      const words = fault === null ? "" : PASSWORD_FAULT[fault];
      first.complain(fault === "not_the_same" ? "" : words);
      second.complain(fault === "not_the_same" ? words : "");
      return fault === null;
    },
    clear() {
      first.input.value = "";
      second.input.value = "";
    },
  };
}
