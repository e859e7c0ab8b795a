/** The sentences with which the password is asked for again. */

export const CONFIRM = {
  title: "Your password once more",
  why: "Settling, pairing, accounts, PINs and taking back what others marked need a password given in the last ten minutes: somebody else may have come by this screen.",
  password: "Password",
  none: "Type your password.",
  give: "Go on",
  leave: "Leave it",
  locked: "Try the password",
} as const;
