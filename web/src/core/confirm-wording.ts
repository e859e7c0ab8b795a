/** The sentences with which the password is asked for again, and with which a first one is. */

import { t } from "./language";

export const CONFIRM = {
  title: t("Your password once more"),
  why: t(
    "Settling, pairing, accounts, PINs, the file of a whole farm and taking back what others marked need a password given in the last ten minutes: somebody else may have come by this screen.",
  ),
  password: t("Password"),
  none: t("Type your password."),
  give: t("Go on"),
  leave: t("Leave it"),
  locked: t("Try the password"),
} as const;

export const FIRST_PASSWORD = {
  none: t(
    "You have none yet. Set one now, while the link is fresh: it is asked for when you come again, and once in ten minutes when you settle, pair tablets or change accounts.",
  ),
  set: t("Set the password"),
  isSet: t("Your password is set."),
} as const;

export const FORGOTTEN_PASSWORD = {
  title: t("A new password?"),
  lead: t(
    "You came by a one-time link. For ten minutes you can set a new password without the old one, once. Wherever else you are signed in, you are signed out then.",
  ),
  set: t("Set a new password"),
  keep: t("Keep the one I have"),
  tooLate: t(
    "The ten minutes are over, or a new password was set already. Type the password you have, or ask the manager for a new link.",
  ),
} as const;
