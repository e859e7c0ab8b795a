/** The sentences with which the password is asked for again, and with which a first one is. */

export const CONFIRM = {
  title: "Your password once more",
  why: "Settling, pairing, accounts, PINs and taking back what others marked need a password given in the last ten minutes: somebody else may have come by this screen.",
  password: "Password",
  none: "Type your password.",
  give: "Go on",
  leave: "Leave it",
  locked: "Try the password",
} as const;

export const FIRST_PASSWORD = {
  none: "You have none yet. Set one now, while the link is fresh: it is asked for when you come again, and once in ten minutes when you settle, pair tablets or change accounts.",
  set: "Set the password",
  isSet: "Your password is set.",
} as const;
