"""Texts of a workbook of which some letters are struck through: "12 20", the 12 with a line over it."""

from __future__ import annotations

from scheduler.intake.files.zip_parts import Plain


def struck_texts(file: str, content: bytes) -> frozenset[str]:
    """Which of a workbook's shared texts are struck through, whole or in part.

    Parameters
    ----------
    content
        The part that holds the shared texts.

    Returns
    -------
    frozenset[str]
        Their numbers, as cells write them.
    """
    # few workbooks hold one, and most have tens of thousands of texts
    if b"strike" not in content:
        return frozenset()
    looked = _Texts(file)
    looked.parser.Parse(content, True)
    return frozenset(looked.struck)


class _Texts(Plain):
    """Counts the texts of the part."""

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.parser.StartElementHandler = self._start
        self.at = -1
        self.struck: set[str] = set()

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2]
        if local == "si":
            self.at += 1
        elif local == "strike" and attributes.get("val", "1") not in ("0", "false"):
            self.struck.add(str(self.at))
