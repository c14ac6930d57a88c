#!/usr/bin/env python3
"""Make the Knockon Condensed fonts from the npm package @fontsource/ibm-plex-sans-condensed.

Usage: make.py PACKAGE_FOLDER    (the folder that holds LICENSE and files/)
Needs: fonttools and brotli from PyPI.

Writes beside this script, for weights 400 and 600: a .woff2 to embed in pages and a .ttf, the same
glyphs, to measure text with at run time. The original's licence reserves its name, so the result is
renamed; its copyright notice stays.
"""

import math
import sys
from pathlib import Path

from fontTools.merge import Merger
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FAMILY = "Knockon Condensed"
WEIGHTS = {400: "Regular", 600: "SemiBold"}
PIECES = ["latin", "latin-ext"]

# What the sheet can print: Basic Latin, Latin-1, Latin Extended-A and the marks of its own words.
WANTED = (
    [*range(0x20, 0x7F), *range(0xA0, 0x180)]
    + [ord(c) for c in "−–—‘’‚“”„…·•×±°½→←↑↓≤≥≈ΔØ"]
)
COPYRIGHT, LICENCE, LICENCE_URL = 0, 13, 14


def replayed(font: TTFont, parts: list) -> object:
    """A glyph put together from (character, affine matrix) pairs of the font's own glyphs."""
    glyphs, cmap = font.getGlyphSet(), font.getBestCmap()
    pen = TTGlyphPen(None)
    for character, matrix in parts:
        recording = DecomposingRecordingPen(glyphs)
        glyphs[cmap[ord(character)]].draw(recording)
        recording.replay(TransformPen(pen, matrix))
    return pen.glyph()


def box(font: TTFont, character: str) -> tuple:
    """Left, bottom, right and top of a glyph's ink."""
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(character)]].draw(pen)
    return pen.bounds


def delta(font: TTFont, width: float, cap: float) -> object:
    """An open triangle, as heavy as the font's own minus."""
    left, low, right, high = box(font, "−")
    stroke = high - low
    pen = TTGlyphPen(None)
    mid, side = width / 2, 30
    half = mid - side
    slope = math.hypot(half, cap) / cap * stroke
    inner_half = half - slope - stroke * half / cap
    inner_top = cap - slope * cap / half
    pen.moveTo((side, 0)), pen.lineTo((mid, cap)), pen.lineTo((width - side, 0)), pen.closePath()
    pen.moveTo((mid - inner_half, stroke)), pen.lineTo((mid + inner_half, stroke))
    pen.lineTo((mid, inner_top)), pen.closePath()
    return pen.glyph()


def add_marks(font: TTFont) -> None:
    """Adds the marks that the pieces lack: → ← from ↑, ≤ ≥ from < > and −, ≈ from ~, and Δ."""
    figure = font["hmtx"][font.getBestCmap()[ord("0")]][0]
    cap = font["OS/2"].sCapHeight
    left, low, right, high = box(font, "↑")
    mx, my, length = (left + right) / 2, (low + high) / 2, high - low
    wide, side = length + 60, cap / 2

    def turned(turn: int) -> tuple:
        return (0, turn, -turn, 0, wide / 2 + turn * my, side - turn * mx)

    lift, drop = (1, 0, 0, 1, 0, 60), (1, 0, 0, 1, 0, 40 - box(font, "−")[1])
    marks = {
        "arrowright": (0x2192, wide, replayed(font, [("↑", turned(-1))])),
        "arrowleft": (0x2190, wide, replayed(font, [("↑", turned(1))])),
        "lessequal": (0x2264, figure, replayed(font, [("<", lift), ("−", drop)])),
        "greaterequal": (0x2265, figure, replayed(font, [(">", lift), ("−", drop)])),
        "approxequal": (
            0x2248, figure,
            replayed(font, [("~", (1, 0, 0, 1, 0, 95)), ("~", (1, 0, 0, 1, 0, -95))]),
        ),
        "Delta": (0x394, 600, delta(font, 600, cap)),
    }
    for name, (code, advance, glyph) in marks.items():
        font.setGlyphOrder([*font.getGlyphOrder(), name])
        font["glyf"][name] = glyph
        font["hmtx"][name] = (round(advance), 0)
        glyph.recalcBounds(font["glyf"])
        font["hmtx"][name] = (round(advance), glyph.xMin)
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap[code] = name


def rename(font: TTFont, style: str) -> None:
    """Puts our family name in every naming record and keeps copyright and licence."""
    names = font["name"]
    kept = {n: names.getDebugName(n) for n in (COPYRIGHT, LICENCE, LICENCE_URL)}
    names.names = []
    full = f"{FAMILY} {style}"
    records = {
        **kept,
        1: FAMILY if style == "Regular" else full,
        2: "Regular",
        3: f"1.0;{full.replace(' ', '-')}",
        4: full,
        5: "Version 1.0",
        6: full.replace(FAMILY, FAMILY.replace(" ", "")).replace(" ", "-"),
        16: FAMILY,
        17: style,
    }
    for number, text in records.items():
        if text:
            names.setName(text, number, 3, 1, 0x409)


def drop_layout(font: TTFont) -> None:
    """Removes substitution and positioning tables."""
    for tag in ("GSUB", "GPOS", "GDEF", "kern"):
        if tag in font:
            del font[tag]


def build(package: Path, weight: int, style: str, out: Path) -> None:
    """Merges the pieces of one weight, cuts them to what is wanted and writes both files."""
    parts = []
    for piece in PIECES:
        source = package / "files" / f"ibm-plex-sans-condensed-{piece}-{weight}-normal.woff2"
        font = TTFont(source)
        # Layout tables of the pieces cannot be merged reliably; the default figures are tabular already.
        # Kerning goes too: the browser's widths are then exactly the sums of advances that we reserve.
        drop_layout(font)
        font.flavor = None
        plain = out / f".{piece}-{weight}.ttf"
        font.save(plain)
        parts.append(plain)
    font = Merger().merge([str(p) for p in parts])
    for part in parts:
        part.unlink()
    add_marks(font)

    options = Options()
    options.hinting = False
    options.layout_features = []
    options.name_IDs = ["*"]
    options.notdef_outline = True
    options.glyph_names = False
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=WANTED)
    subsetter.subset(font)
    rename(font, style)
    absent = [chr(c) for c in WANTED if c not in font.getBestCmap()]
    print(weight, "not in the font:", " ".join(absent) or "nothing")

    stem = f"knockon-condensed-{weight}"
    font.flavor = None
    font.save(out / f"{stem}.ttf")
    font.flavor = "woff2"
    font.save(out / f"{stem}.woff2")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    here = Path(__file__).resolve().parent
    for weight, style in WEIGHTS.items():
        build(Path(sys.argv[1]), weight, style, here)
