"""How a weekly report looks."""

from orchardmap.maps import signs
from orchardmap.paper.pdf import FONT

__all__ = ["weekly_style"]


def weekly_style(title: str, made: str) -> str:
    """Return the style sheet; the title stands on every page, and when it was made."""
    foot = title.replace("\\", "").replace('"', "”")
    return f"""
@page {{ size: A4; margin: 14mm 12mm 18mm;
  @bottom-left {{ content: "{foot}\\A {made}"; white-space: pre-wrap; width: 160mm; font: 8pt/1.2 "{FONT}"; vertical-align: top; padding-top: 1.5mm; }}
  @bottom-right {{ content: counter(page) " / " counter(pages); font: 8pt/1.2 "{FONT}"; vertical-align: top; padding-top: 1.5mm; }} }}
html, body {{ margin: 0; color: {signs.INK}; background: #fff; font: 9.5pt/1.35 "{FONT}"; overflow-wrap: break-word; }}
h1 {{ font-size: 22pt; line-height: 1.1; margin: 0; }}
.lead {{ font-size: 12pt; font-weight: 700; margin: 0 0 2mm; }}
h2 {{ font-size: 12pt; margin: 5mm 0 1mm; border-bottom: .4mm solid {signs.INK}; break-after: avoid; }}
p {{ margin: 0 0 .8mm; }}
.part {{ break-inside: avoid; }}
.part svg {{ display: block; }}
.note {{ font-size: 8pt; }}
.burn-up {{ margin-top: 2mm; }}
.legend {{ display: flex; gap: 6mm; font-size: 8pt; margin-top: 1mm; }}
.legend > div:first-child {{ width: 46mm; }}
.legend > div:last-child {{ flex: 1; columns: 3; column-gap: 4mm; }}
.legend h2 {{ display: none; }}
.legend h3 {{ font-size: 8pt; margin: 0 0 .5mm; break-after: avoid; }}
.legend ul {{ list-style: none; margin: 0 0 1mm; padding: 0; }}
.legend li {{ display: flex; align-items: center; gap: 1.5mm; break-inside: avoid; line-height: 1.15; }}
.legend li svg {{ flex: none; }}
table {{ width: 100%; border-collapse: collapse; font-size: 9pt; }}
th, td {{ text-align: left; padding: .7mm 2mm .7mm 0; vertical-align: top; border-bottom: .1mm solid {signs.INK}; }}
thead th {{ border-bottom: .5mm solid {signs.INK}; }}
tbody th {{ border-top: .4mm solid {signs.INK}; }}
tr {{ break-inside: avoid; }}
.number {{ text-align: right; white-space: nowrap; }}
td svg {{ vertical-align: -0.8mm; }}
"""
