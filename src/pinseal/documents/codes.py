"""Codes that machines read, as SVG: the square one for cameras (QR) and the bars for hand scanners (Code 128)."""

from __future__ import annotations

from collections.abc import Iterable

import zint

_QR_QUIET, _BARS_QUIET = 4, 10  # modules of white that each needs around it: ISO/IEC 18004 and 15417, from memory
_ECC_M = 2  # zint's number for error correction M
_UNIT = 2.0  # zint draws a module two units wide


def qr_svg(text: str) -> str:
    """A QR code with error correction M as SVG, its quiet zone included."""
    symbol = _encoded(zint.Symbology.QRCODE, text, option_1=_ECC_M)
    side = symbol.width + 2 * _QR_QUIET
    found = ((r.x / _UNIT + _QR_QUIET, r.y / _UNIT + _QR_QUIET, r.width / _UNIT, r.height / _UNIT) for r in symbol.vector.rectangles)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}">{_path(found)}</svg>'


def code128_svg(text: str) -> tuple[str, int]:
    """Code 128 as SVG to be stretched to any size, with its width in modules, quiet zones included. `text` is printable ASCII.

    >>> code128_svg("PC-9")[1]  # start, four characters, check character: 11 modules each; stop: 13; twice 10 of white
    99
    """
    symbol = _encoded(zint.Symbology.CODE128, text)
    count = symbol.width + 2 * _BARS_QUIET
    found = ((r.x / _UNIT + _BARS_QUIET, 0.0, r.width / _UNIT, 1.0) for r in symbol.vector.rectangles)
    frame = f'width="{count}" height="1" viewBox="0 0 {count} 1" preserveAspectRatio="none"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {frame}>{_path(found)}</svg>', count


def _encoded(symbology: zint.Symbology, text: str, *, option_1: int = -1) -> zint.Symbol:
    symbol = zint.Symbol()
    symbol.symbology = symbology
    symbol.option_1 = option_1
    symbol.show_text = False
    symbol.encode(text)
    symbol.buffer_vector()
    return symbol


def _path(rectangles: Iterable[tuple[float, float, float, float]]) -> str:
    drawn = "".join(f"M{x:g} {y:g}h{w:g}v{h:g}h-{w:g}z" for x, y, w, h in rectangles)
    return f'<path fill="#000" d="{drawn}"/>'
