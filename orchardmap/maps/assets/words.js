// The page's own sentences, in the reader's language: the service puts them into the page as data.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  let told = null;

  const known = () => {
    if (!told) told = JSON.parse(document.getElementById("orchard-words").textContent);
    return told;
  };

  /** The language of the page, as a tag for numbers and dates. */
  OM.language = () => known().language;

  /** The same with its region, by which days are written. */
  OM.locale = () => (OM.language() === "en" ? "en-GB" : OM.language());

  /** Words of the legend, which stand in its data in English, in the reader's language. */
  OM.legendWords = (words) => known().legend[words] || words;
  OM.signWords = (sign) => OM.legendWords(sign.words);

  /** A sentence by its key, its names in braces filled in. */
  OM.words = (key, values = {}) => {
    const sentence = known().sentences[key];
    if (sentence === undefined) throw new Error(`The page has no words for ${key}.`);
    return sentence.replace(/\{(\w+)\}/g, (_, name) => String(values[name]));
  };

  /** A sentence about a number of things: one key for one of them, one for any other number. */
  OM.counted = (key, n, values = {}) => OM.words(`${key}_${n === 1 ? "one" : "many"}`, { n: OM.count(n), ...values });
})();
