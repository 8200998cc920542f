"""How the rows of a sheet look: filled with a colour, or struck through. Owners mark rows like that."""

from __future__ import annotations

import colorsys
from collections import Counter
from functools import lru_cache

from scheduler.intake.files.guard import Sheet
from scheduler.intake.files.zip_parts import Parts, Plain

STRUCK = "struck through"
_HUES = ((15, "red"), (45, "orange"), (70, "yellow"), (165, "green"), (200, "turquoise"), (260, "blue"),
         (320, "purple"), (345, "pink"), (360, "red"))  # fmt: skip


class Styles(Plain):
    """The style sheet of a workbook: what a cell of each style looks like."""

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self._path: list[str] = []
        self._fills: list[str] = []
        self._struck: list[bool] = []
        self._looks: list[tuple[int, int]] = []
        self._formats: dict[str, int] = {}
        self._padded: list[int] = []

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2]
        above = self._path[-1] if self._path else ""
        self._path.append(local)
        if local == "fill" and above == "fills":
            self._fills.append("")
        elif local == "patternFill" and above == "fill" and self._fills:
            if attributes.get("patternType") == "solid":
                self._fills[-1] = "filled"
        elif local == "fgColor" and above == "patternFill" and self._fills and self._fills[-1]:
            self._fills[-1] = _colour(attributes)
        elif local == "font" and above == "fonts":
            self._struck.append(False)
        elif local == "strike" and above == "font" and self._struck:
            self._struck[-1] = attributes.get("val", "1") not in ("0", "false")
        elif local == "numFmt" and above == "numFmts":
            code = attributes.get("formatCode", "")
            if len(code) > 1 and not code.strip("0"):
                self._formats[attributes.get("numFmtId", "")] = len(code)
        elif local == "xf" and above == "cellXfs":
            self._padded.append(self._formats.get(attributes.get("numFmtId", "0"), 0))
            fill, font = attributes.get("fillId", "0"), attributes.get("fontId", "0")
            self._looks.append((int(fill) if fill.isdigit() else 0, int(font) if font.isdigit() else 0))

    def _end(self, name: str) -> None:
        self._path.pop()

    def marks(self, style: str) -> tuple[str, ...]:
        """What a cell of a style is marked with; nothing for a plain one."""
        number = int(style) if style.isdigit() else 0
        if number >= len(self._looks):
            return ()
        fill, font = self._looks[number]
        filled = self._fills[fill] if fill < len(self._fills) else ""
        struck = font < len(self._struck) and self._struck[font]
        return tuple(mark for mark in (STRUCK if struck else "", filled) if mark)

    def digits(self, style: str) -> int:
        """How many digits a format such as 000 shows at least; 0 for all other formats."""
        number = int(style) if style.isdigit() else 0
        return self._padded[number] if number < len(self._padded) else 0


def _colour(attributes: dict[str, str]) -> str:
    """A fill in words; empty for white."""
    code = attributes.get("rgb", "")[-6:].upper()
    if len(code) == 6 and all(letter in "0123456789ABCDEF" for letter in code):
        return _named(code)
    return "" if attributes.get("theme") == "0" and "tint" not in attributes else "a colour of the theme"


@lru_cache(maxsize=1000)
def _named(code: str) -> str:
    red, green, blue = (int(code[at : at + 2], 16) / 255 for at in (0, 2, 4))
    hue, lightness, saturation = colorsys.rgb_to_hls(red, green, blue)
    if lightness > 0.97:
        return ""
    if saturation < 0.12:
        return "grey" if lightness > 0.1 else "black"
    return next(name for most, name in _HUES if hue * 360 <= most)


def note_marks(sheets: list[Sheet], parts: Parts, part: str) -> bytes:
    """Note how the rows of sheets look; the content of the part with the styles."""
    styles = Styles(parts.file)
    content = styles.stream(parts, part)
    known: dict[tuple[str, ...], str] = {}
    struck: dict[tuple[str, ...], list[int]] = {}
    digits: dict[tuple[str, ...], list[tuple[int, int]]] = {}
    for sheet in sheets:
        for row, (cells, columns) in sheet.row_styles.items():
            if cells not in known:
                counts = Counter(mark for style in cells for mark in styles.marks(style))
                most = counts.most_common(1)
                # half of the cells that hold something make a marked row
                known[cells] = most[0][0] if most and most[0][1] * 2 >= len(cells) else ""
                digits[cells] = [
                    (at, shown) for at, style in enumerate(cells) if (shown := styles.digits(style))
                ]
                struck[cells] = [at for at, style in enumerate(cells) if STRUCK in styles.marks(style)]
            if known[cells]:
                sheet.row_marks[row] = known[cells]
            if digits[cells]:
                sheet.digits.update(((row, columns[at]), shown) for at, shown in digits[cells])
            if struck[cells] and known[cells] != STRUCK:
                sheet.struck.extend((row, columns[at]) for at in struck[cells])
        sheet.row_styles.clear()
    return content
