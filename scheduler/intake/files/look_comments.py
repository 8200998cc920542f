"""Comments on the cells of a workbook of the xlsx kind; they are not read, but said."""

from __future__ import annotations

import posixpath
from xml.parsers import expat

from scheduler.intake.files.grid import position
from scheduler.intake.files.guard import Sheet
from scheduler.intake.files.zip_parts import Collector, Parts, Plain

OWN_AUTHOR = "Pressday"
"""Author of the notes in a marked copy, which say what was found and are no words of the owner."""
_MOST = 1000
_ENDING = "/comments"


class _Comments(Plain):
    """Streams a part with comments."""

    def __init__(self, file: str, sheet: Sheet) -> None:
        super().__init__(file)
        self.sheet = sheet
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.authors: list[str] = []
        self.about: dict[str, str] = {}
        self.words: list[str] = []

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2]
        if local in ("author", "comment"):
            self.words = []
        if local == "comment":
            self.about = attributes

    def _text(self, data: str) -> None:
        self.words.append(data)

    def _end(self, name: str) -> None:
        local = name.rpartition(":")[2]
        said = " ".join("".join(self.words).split())
        if local == "author":
            self.authors.append(said)
        elif local == "comment" and said and len(self.sheet.comments) < _MOST:
            number = self.about.get("authorId", "")
            author = self.authors[int(number)] if number.isdigit() and int(number) < len(self.authors) else ""
            if author != OWN_AUTHOR:
                row, column = position(self.about.get("ref", "").upper())
                self.sheet.comments.append((row, column, said))


def note_comments(sheet: Sheet, parts: Parts, part: str) -> None:
    """Note the comments on a sheet's cells; those of a damaged list are passed over.

    Parameters
    ----------
    part
        The name of the sheet's own part.
    """
    folder, name = posixpath.split(part)
    listed = f"{folder}/_rels/{name}.rels"
    if listed not in parts:
        return
    relations = Collector(parts.file, "Relationship")
    try:
        relations.stream(parts, listed)
        for one in relations.found:
            if one.get("Type", "").endswith(_ENDING):
                target = posixpath.normpath(posixpath.join("/", folder, one.get("Target", ""))).lstrip("/")
                if target in parts:
                    _Comments(parts.file, sheet).stream(parts, target)
    except (expat.ExpatError, ValueError):
        # the sheet's values are sound, whatever its comments are
        return
