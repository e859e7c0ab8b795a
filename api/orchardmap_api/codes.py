"""A QR code as inline SVG that the page's content policy takes: attributes only, no style."""

import io

import segno

__all__ = ["qr_svg"]


def qr_svg(text: str) -> str:
    """Return a QR code (ISO/IEC 18004, level M) as an SVG element without a size of its own."""
    out = io.BytesIO()
    # without a size of its own the page decides; the quiet zone of four modules belongs to the code
    segno.make(text, micro=False, error="m", boost_error=False).save(
        out,
        kind="svg",
        xmldecl=False,
        svgclass="qr",
        lineclass="qr-modules",
        omitsize=True,
        border=4,
        nl=False,
    )
    return out.getvalue().decode()
