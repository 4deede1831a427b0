"""A QR code of an address as an inline SVG: ISO/IEC 18004, error level M, quiet zone of 4 modules.

The drawing has no size and no style: the style sheet sets both, as the content policy asks.
"""

from __future__ import annotations

QUIET_ZONE = 4
"""Modules of white around the code (ISO/IEC 18004)."""


def qr_svg(address: str) -> str:
    """Draw the code of an address; raises segno.DataOverflowError above about 2,300 characters."""
    import segno  # kept codes need none of it

    code = segno.make(address, error="m", boost_error=False, micro=False)
    return str(
        code.svg_inline(
            border=QUIET_ZONE, omitsize=True, svgclass=None, lineclass=None, dark="#000", light="#fff"
        )
    )
