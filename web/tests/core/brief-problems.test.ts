import { afterEach, expect, it } from "vitest";
import { speak } from "../../src/core/language";
import { placedProblems } from "../../src/core/brief-problems";
import { content, LIMBS, THIN } from "./brief-kit";

afterEach(() => speak("en", {}));

it("a problem goes with its point, by key, so that it stays there when the point is moved", () => {
  const told = [
    { where: "point 2, high", what: "A limit is missing." },
    { where: "point 1, point_class", what: "Odd." },
    { where: "cautions", what: "Twice." },
    { where: "point 9, low", what: "Of a point that is not there." },
  ];
  expect(placedProblems(told, content([LIMBS, THIN])).map(({ key, part }) => [key, part])).toEqual([
    ["limb-over-half", "high"],
    ["limb-count", "point_class"],
    [null, "cautions"],
    [null, "point 9, low"],
  ]);
});

it("a problem is said in the language of the screen where the service tells it", () => {
  const told = [{ where: "notes", what: "Write it.", texts: { en: "Write it.", es: "Escríbala." } }, { where: "notes", what: "Clear it." }];
  speak("es", {});
  expect(placedProblems(told, content([])).map(({ what }) => what)).toEqual(["Escríbala.", "Clear it."]);
});
