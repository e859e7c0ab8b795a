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

export const FORGOTTEN_PASSWORD = {
  title: "A new password?",
  lead: "You came by a one-time link. For ten minutes you can set a new password without the old one, once. Wherever else you are signed in, you are signed out then.",
  set: "Set a new password",
  keep: "Keep the one I have",
  tooLate: "The ten minutes are over, or a new password was set already. Type the password you have, or ask the manager for a new link.",
} as const;
