/** The sentences of files for other programs. */

import { t } from "./language";

export const FILES = {
  title: t("Files for other programs"),
  lead: (day: string) => t("As of {day}. Units stand in the headings.", { day }),
  geopackage: t("Blocks, rows, marks and checks for a GIS (GeoPackage)"),
  withPositions: t("The same with every tree as a point (GeoPackage, large)"),
  workbook: t("Tables for a spreadsheet (xlsx)"),
  layer: t("One layer"),
  layers: {
    blocks: t("Blocks"),
    rows: t("Rows"),
    positions: t("Positions"),
    marks: t("Marks"),
    checks: t("Checks"),
    weak_areas: t("Weak areas"),
    progress: t("Progress"),
    farm_points: t("Gates and other points"),
    farm_lines: t("Tracks and other lines"),
    farm_areas: t("Water, sheds and other areas"),
    power_lines: t("Power lines"),
  },
  geojson: t("For a map (GeoJSON)"),
  csv: t("For a spreadsheet (CSV)"),
  csvWhat: t("CSV has commas between columns and decimal points. If your spreadsheet writes numbers with a decimal comma, take the xlsx."),
  straight: (address: string) => t("Or straight into a GIS, as it stands at any time, by OGC API - Features: {address} with a reading key, which a manager makes.", { address }),
  toKeys: t("Make a reading key"),
  whole: t("The whole farm, for another server (zip)"),
  wholeWhat: t("With people's names, pay and photos; without accounts and PINs. Keep it as you keep pay."),
  making: t("The file is asked for; it is saved here once it is made."),
  saved: (name: string) => t("Saved as {name}.", { name }),
  notMade: t("The file was not made. Nothing is lost: try again."),
} as const;

export type LayerName = keyof typeof FILES.layers;
