"""How a crew sheet looks: large figures, boxes that a gloved hand can tick, lines to write on."""

from orchardmap.paper.pdf import FONT

__all__ = ["crew_sheet_style"]

_STYLE = """
@page { size: A4; margin: 17mm 12mm 18mm;
  @top-left { content: string(block); font: 700 11pt "%(font)s"; }
  @top-right { content: counter(page) " / " counter(pages); font: 700 11pt "%(font)s"; }
  @bottom-left { content: "%(foot)s\\A %(made)s"; width: 186mm; white-space: pre; font: 9.5pt/1.3 "%(font)s"; padding-top: 3mm; vertical-align: top; } }
html, body { margin: 0; color: #000; background: #fff; font: 10.5pt/1.3 "%(font)s"; }
section { break-before: page; string-set: block attr(data-block); }
section:first-of-type { break-before: auto; }
p { margin: 0 0 1mm; }
.head { display: flex; gap: 5mm; align-items: flex-start; margin-bottom: 2mm; }
h1 { font-size: 44pt; line-height: 1; margin: 0; max-width: 62mm; overflow-wrap: anywhere; }
.facts { flex: 1; }
.start { font-weight: 700; font-size: 13pt; }
.closed { font-weight: 700; font-size: 13pt; background: #000; color: #fff; padding: 1mm 2mm; }
.code { width: 30mm; text-align: center; font-size: 8pt; }
.box { border: .5mm solid #000; padding: 1.5mm 3mm; margin: 2mm 0; }
.box h2 { font-size: 11pt; margin: 0 0 .5mm; }
.box ul { margin: 0; padding-left: 5mm; }
.dangers { border-width: 1.2mm; font-weight: 700; }
.brief, .safe { border: 0; border-top: .3mm solid #000; padding: 1mm 0; }
.brief ul, .safe ul { columns: 2; column-gap: 7mm; font-size: 10pt; line-height: 1.2; }
.brief li, .safe li { break-inside: avoid; }
.how { font-weight: 700; margin: 2mm 0; }
table { width: 100%%; border-collapse: collapse; table-layout: fixed; }
col.row { width: 19mm; } col.way { width: 21mm; } col.trees { width: 19mm; } col.done { width: 16mm; }
col.up_to { width: 48mm; } col.date { width: 24mm; }
thead th { font-size: 10pt; text-align: left; border-bottom: .7mm solid #000; padding: 1mm; }
tbody td, tbody th { height: 11mm; padding: 0 1mm; border-bottom: .2mm solid #000; vertical-align: middle; text-align: left; }
tr { break-inside: avoid; }
th.row { font-size: 20pt; line-height: 1; }
thead th.row { font-size: 10pt; line-height: 1.3; }
td.way { font-size: 12pt; font-weight: 700; white-space: nowrap; }
td.trees { font-size: 13pt; }
td.trees small { display: block; font-size: 8.5pt; }
td.up_to, td.who, td.date { border-left: .2mm solid #000; }
.note { font-size: 9pt; display: block; line-height: 1.15; }
.box-open, .box-done { display: inline-block; box-sizing: border-box; width: 8.5mm; height: 8.5mm; border: .7mm solid #000; vertical-align: middle; }
.box-done { font-size: 18pt; line-height: 7mm; text-align: center; border-width: .2mm; }
tr.over th, tr.over td { color: #555; }
tr.over th.row { font-size: 13pt; font-weight: 400; }
tr.over td, tr.over th { height: 8.8mm; }
"""


def crew_sheet_style(*, foot: str, made: str) -> str:
    """Return the style sheet; the foot stands on every page, and when the sheets were made."""
    return _STYLE % {"font": FONT, "foot": foot.replace("\\", "").replace('"', "”"), "made": made}
