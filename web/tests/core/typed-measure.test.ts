import { afterEach, expect, it } from "vitest";
import { speak } from "../../src/core/language";
import { measureText, typedMeasure } from "../../src/core/typed-measure";

afterEach(() => speak("en", {}));

it("a thousand with its sign is no measure, for read as a decimal it would be one", () => {
  expect(["1,000", " 12,500 ", "-1,000"].map(typedMeasure)).toEqual([null, null, null]);
  expect(["1.000", "4.572", "4,5", "1000", "0,125", "1,0005"].map(typedMeasure)).toEqual([1, 4.572, 4.5, 1000, 0.125, 1.0005]);
  speak("es", {});
  expect(["1.000", "12.500"].map(typedMeasure)).toEqual([null, null]);
  expect(["4,572", "4.5", "0.125"].map(typedMeasure)).toEqual([4.572, 4.5, 0.125]);
});

it("a measure in its field has the decimal sign that is read here, and reads back as it is", () => {
  for (const code of ["en", "es"]) {
    speak(code, {});
    for (const value of [0, 2.5, -17.78, 3.05, 1000, 12.5]) expect(typedMeasure(measureText(value))).toBe(value);
  }
  expect(measureText(-17.78)).toBe("-17,78");
});
