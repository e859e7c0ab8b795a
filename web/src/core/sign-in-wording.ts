/** The sentences of sign-in and first start. */

import { minutes } from "./counted";
import { t } from "./language";
import { PASSWORD_LEAST, type PasswordFault } from "./door";

export const PASSWORD_FAULT: Record<PasswordFault, string> = {
  short: t("Use at least {least} characters.", { least: PASSWORD_LEAST }),
  login: t("The password must not be the login."),
  one_character: t("The password is one character over and over."),
  digits: t("Digits alone are too easy to guess: add words."),
  not_the_same: t("The two are not the same."),
};

/** Say until when nobody is let in after too many wrong tries; `hour` is the hour here. */
export const lockedUntil = (what: string, seconds: number, hour: string): string =>
  t("Too many wrong tries. {what} again after {hour}, in {minutes}.", {
    what,
    hour,
    minutes: minutes(Math.max(1, Math.ceil(seconds / 60))),
  });

export const SIGN_IN = {
  title: t("Sign in"),
  login: t("Login"),
  password: t("Password"),
  enter: t("Sign in"),
  noLogin: t("Type your login."),
  noPassword: t("Type your password."),
  locked: t("Sign in"),
  forgotten: t("No password yet, or forgotten? The manager of your farm makes a link for you under People; it signs you in once, and lets you set a new password."),
  tablet: t("Is this a tablet of a crew? Pair it"),
  byLink: t("Signing in by your link…"),
  linkOver: t("This link was used already or has run out. Ask the manager for a new one, or sign in with login and password."),
  linkAgain: t("Try the link again"),
  signedIn: (name: string, login: string | null) => t("You are signed in as {who}.", { who: login === null || login === name ? name : `${name} (${login})` }),
  roles: t("You may work on"),
  roleLine: (farm: string, access: string) => `${farm}: ${access}`,
  goOn: t("Go on"),
  signOut: t("Sign out"),
  ownPassword: t("Your password"),
  oldPassword: t("Password now"),
  newPassword: t("New password"),
  again: t("New password once more"),
  rule: t("At least {least} characters: several words do well. Not your login, not one character over and over, not digits alone.", {
    least: PASSWORD_LEAST,
  }),
  change: t("Change the password"),
  changed: t("The password is changed."),
} as const;

export const FIRST_START = {
  title: t("First start"),
  lead: t("Nobody has an account here yet. The service wrote a set-up token where it was started; it proves that you run it."),
  token: t("Set-up token"),
  noToken: t("Type the set-up token."),
  tokenTaken: t("The token was in the address and is filled in."),
  name: t("Your name"),
  noName: t("Type your name."),
  login: t("Login"),
  loginHint: t("A short word to sign in with; capitals do not matter."),
  noLogin: t("Choose a login."),
  password: t("Password"),
  again: t("Password once more"),
  make: t("Make the first account"),
  over: t("An account was made here already. Sign in."),
  toSignIn: t("To sign-in"),
} as const;
