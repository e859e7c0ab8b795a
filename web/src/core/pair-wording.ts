/** The sentences of pairing, and of whose hand a tablet is in. */

import { t } from "./language";

export const PAIR = {
  title: t("Pair this tablet"),
  lead: t("The manager makes a code under People. It works once, for ten minutes."),
  code: t("Code, 8 letters and digits"),
  toSignIn: t("Sign in with login and password instead"),
  notWhole: t("A code has 8 letters and digits."),
  pair: t("Pair"),
  locked: t("Pair"),
  codeOver: t("This code was used already, has run out, or is none. Ask the manager for a new one."),
  homeTitle: t("First put this page on the home screen"),
  homeWhy:
    t("This tablet empties what a page keeps when it was not opened for seven days, marks not yet sent among it. A page on the home screen is spared, and keeps its own pairing."),
  homeSteps: [
    t("Touch the share button of the browser."),
    t("Choose “Add to Home Screen”."),
    t("Open orchardmap from the home screen."),
    t("Type the code there."),
  ],
  homeCode: (code: string) => t("Your code: {code}. It is not used up yet.", { code }),
  homeAnyway: t("Pair here all the same"),
  kept: t("This tablet promised to keep what waits on it."),
  notKept:
    t("The browser did not promise to keep what waits on this tablet when it runs short of room. Put the page on the home screen, do not clear the browser's data, and let the tablet send every day."),
  cannotKeep:
    t("On this address the browser keeps nothing for certain: it is not https. Marks can be made only while there is a connection."),
  paired: (farm: string, isOfCrew: boolean) =>
    isOfCrew ? t("This tablet is paired with {farm}, for the foreman of a crew.", { farm }) : t("This tablet is paired with {farm}, for the auditors.", { farm }),
  again: t("Pair it anew"),
  againLead: t("This tablet is no longer paired: its pairing ended, or the manager took it back. What waits on it is kept, and is sent once it is paired again."),
} as const;

export const HOLDER = {
  title: t("Who holds this tablet?"),
  lead: t("Touch your name and type your PIN. Records then say who made them."),
  none: t("Nobody can be chosen yet. The manager adds people of this crew in Set-up, and gives each a PIN under People."),
  noPin: t("no PIN yet"),
  pinOf: (name: string) => t("PIN of {name}", { name }),
  entered: (n: number) => t("{n} of 6 digits", { n }),
  back: t("Take back the last digit"),
  backSign: "⌫",
  otherName: t("Another name"),
  wrong: t("That PIN is not right."),
  locked: t("Try the PIN"),
  again: t("The PIN can be tried again."),
  without: t("Go on without a name"),
  holds: (name: string) => (name === "" ? t("Somebody holds this tablet.") : t("{name} holds this tablet.", { name })),
  change: t("Somebody else takes the tablet"),
  given: t("Nobody holds the tablet now."),
  noNames: t("Nobody holds the tablet now. Names and PINs need a connection: choose yours when there is a signal; until then records say which tablet, not who."),
  goOn: t("To the work"),
} as const;
