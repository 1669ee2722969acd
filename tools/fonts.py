"""Build the fonts of `documents/`: cut open-licensed sources down to what names and papers need, and write what they cover.

    python tools/fonts.py FOLDER

FOLDER holds the sources, each in a folder named after the Python package it comes from (see `SOURCES`). All are under the
SIL Open Font License 1.1 and reserve no font name, so the cuts keep their names. Run it only to change the fonts: what it
makes is in the repository.
"""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Iterable, Iterator
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

ROOT = Path(__file__).resolve().parent.parent
INTO = ROOT / "src" / "pinseal" / "documents" / "fonts"

# name of the cut: (package, end of the file's name, weight of a variable font)
SOURCES: dict[str, tuple[str, str, int | None]] = {
    "Barlow-Regular.ttf": ("fontpkg-barlow", "/Barlow-Regular.ttf", None),
    "Barlow-SemiBold.ttf": ("fontpkg-barlow", "/Barlow-SemiBold.ttf", None),
    "BarlowCondensed-Medium.ttf": ("fontpkg-barlow-condensed", "/BarlowCondensed-Medium.ttf", None),
    "BarlowCondensed-SemiBold.ttf": ("fontpkg-barlow-condensed", "/BarlowCondensed-SemiBold.ttf", None),
    "NotoSans-Regular.ttf": ("fontpkg-noto-sans", "/NotoSans[wdth,wght].ttf", 400),
    "NotoSans-SemiBold.ttf": ("fontpkg-noto-sans", "/NotoSans[wdth,wght].ttf", 600),
    "NotoSansHebrew-Regular.ttf": ("justmytype-intl-rtl", "/NotoSansHebrew[wdth,wght].ttf", 400),
    "NotoSansArabic-Regular.ttf": ("justmytype-intl-rtl", "/NotoSansArabic[wdth,wght].ttf", 400),
    "NotoSansDevanagari-Regular.ttf": ("fontpkg-noto-sans-devanagari", "/NotoSansDevanagari[wdth,wght].ttf", 400),
    "NotoSansThai-Regular.ttf": ("fontpkg-noto-sans-thai", "/NotoSansThai[wdth,wght].ttf", 400),
    "NotoSansCJK-Regular.otf": ("cvttf-notosanscjk-regular", "/NotoSansCJKtc-Regular.otf", None),
}

# What joins and places letters in the scripts held, and figures of one width and height.
FEATURES = (
    "kern mark mkmk liga rlig rclt init medi fina isol ccmp locl calt tnum lnum "
    "akhn rphf blwf half pstf vatu cjct pres abvs blws psts haln nukt"
)
# Held by a font and yet not to be printed: controls, private use, a byte order mark, and the two signs that turn a line around.
NO_TEXT = {"Cc", "Co", "Cs", "Cn", "Zl", "Zp"}
TURNING = {0xFEFF, 0x202D, 0x202E}


def _held_by(codec: str, first_bytes: Iterable[int]) -> Iterator[int]:
    """The characters of two bytes that a national character set holds."""
    for first in first_bytes:
        for second in range(0x40, 0xFF):
            try:
                yield ord(bytes((first, second)).decode(codec))
            except (UnicodeDecodeError, TypeError):
                continue


def _east_asian() -> set[int]:
    """Written Chinese (both forms), Japanese and Korean as their national sets hold them: GB 2312, Big5 level 1, JIS X 0208, KS X 1001."""
    found = set(_held_by("gb2312", range(0xA1, 0xFF))) | set(_held_by("big5", range(0xA1, 0xC7)))
    found |= set(_held_by("euc_jp", range(0xA1, 0xFF))) | set(_held_by("euc_kr", range(0xA1, 0xFF)))
    return {code for code in found if code >= 0x2E80 or code == 0x30FB} | set(range(0x3000, 0x3100)) | set(range(0xFF01, 0xFFE7))


def _cut(source: Path, weight: int | None, only: set[int] | None) -> TTFont:
    font = TTFont(source)
    if weight is not None:
        font = instancer.instantiateVariableFont(font, {"wght": weight, "wdth": 100}, updateFontNames=True)
    options = subset.Options()
    options.layout_features = FEATURES.split()
    options.hinting = False
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14, 16, 17]
    options.name_languages = [0x409]
    options.notdef_outline = True
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=set(font.getBestCmap()) & only if only else set(font.getBestCmap()))
    cutter.subset(font)
    return font


def _ranges(codes: Iterable[int]) -> Iterator[tuple[int, int]]:
    first = last = None
    for code in sorted(codes):
        if last is not None and code == last + 1:
            last = code
            continue
        if first is not None and last is not None:
            yield first, last
        first = last = code
    if first is not None and last is not None:
        yield first, last


def main() -> int:
    folder = Path(sys.argv[1])
    held: set[int] = set()
    for name, (package, ending, weight) in SOURCES.items():
        source = next(file for file in sorted((folder / package).rglob("*.?tf")) if str(file).endswith(ending))
        font = _cut(source, weight, _east_asian() if "CJK" in name else None)
        font["head"].modified = font["head"].created  # the same cut twice is the same file
        font.recalcTimestamp = False
        font.save(INTO / name)
        held |= set(font.getBestCmap())
        print(f"{name:34} {(INTO / name).stat().st_size / 1024:8.0f} KiB {len(font.getBestCmap()):6} characters")
    covered = {code for code in held if unicodedata.category(chr(code)) not in NO_TEXT} - TURNING
    lines = (f"{first:04X}" if first == last else f"{first:04X}-{last:04X}" for first, last in _ranges(covered))
    (INTO / "covered.txt").write_text("\n".join(lines) + "\n", encoding="ascii")
    return 0


if __name__ == "__main__":
    sys.exit(main())
