import { beforeAll, describe, expect, test } from "vitest";
import { entries, form } from "../../locale/es.po";
import { speak } from "../../src/core/language";

// the sentences are read with their modules: they are imported once Spanish is spoken, as the pages do
beforeAll(() => speak("es", entries, form));

describe("in Spanish", () => {
  test("numbers, shares, lists, days and hours are written as Spanish does", async () => {
    const { count, dayText, hourText, measure, momentText, orList, typeable, typedNumber } = await import("../../src/core/numbers");
    expect([count(1_234), count(64_212), measure(2.5), orList([3, 4, 5])]).toEqual(["1.234", "64.212", "2,5", "3, 4 o 5"]);
    expect(dayText("2026-01-12")).toBe("12 ene 2026");
    expect(hourText("2026-01-12T16:30:00Z", "Europe/Madrid")).toBe("17:30");
    expect(momentText("2026-01-12T16:30:00Z", "Europe/Madrid")).toMatch(/^lun, 12 ene, 17:30$/);
    expect([2.5, 1_234].map((value) => typedNumber(typeable(value)))).toEqual([2.5, 1_234]); // what a field shows is read back
  });

  test("the form goes with the number", async () => {
    const { trees, stretch } = await import("../../src/core/counted");
    expect([0, 1, 2, 1_000_000].map(trees)).toEqual(["0 árboles", "1 árbol", "2 árboles", "1.000.000 árboles"]);
    expect([stretch(4, 4), stretch(4, 9)]).toEqual(["posición 4", "posiciones 4 a 9"]);
  });

  test("sentences put together of parts are Spanish throughout", async () => {
    const { numbersText } = await import("../../src/core/several-rows");
    const { BY_NUMBER, ROWS } = await import("../../src/core/rows-wording");
    const { offWords, QUEUE, queueWords } = await import("../../src/core/queue-wording");
    const { lotWords } = await import("../../src/core/wording");
    expect(ROWS.markedRows(numbersText([3, 5, 6, 7]), 1_200)).toBe("Marcado: filas 3, 5 a 7: 1.200 árboles.");
    expect(BY_NUMBER.near(4, [3, 4])).toBe("A unos 4 m a la redonda: fila 3 o 4.");
    expect(QUEUE.clock(offWords(7_200), true)).toMatch(/^El reloj de esta tableta está adelantado 2 horas\./);
    expect(queueWords({ waiting: 1, setAside: 2, refused: 0, refusedSeen: 0, oldestWaiting: null }, true, 0)).toBe(
      "1 registro espera en esta tableta, a salvo. Enviando… 2 registros apartados: guardados, no cuentan.",
    );
    const lot = { checked: 181, drawn: 148, drawn_faulty: 7, must_check: 200, may_fail: 10 };
    expect(lotWords(lot)).toBe("sorteados 148 de 200, defectuosos 7 (máximo 10); 33 vistos al pasar");
  });

  test("the words on large buttons are short enough for a tablet", async () => {
    const { BY_NUMBER, ROWS, TOOLS } = await import("../../src/core/rows-wording");
    const { TREE_VERDICT } = await import("../../src/core/wording");
    const buttons = [ROWS.markIt, ROWS.leaveIt, ROWS.undo(120), ROWS.undoRows(12), ROWS.takeBack, BY_NUMBER.mark(120), ...Object.values(TOOLS), ...Object.values(TREE_VERDICT)];
    expect(buttons.filter((words) => words.length > 18)).toEqual([]);
  });
});
