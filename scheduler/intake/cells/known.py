"""Names that one sheet lays down and others use."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from scheduler.intake.cells.findings import propose, shown
from scheduler.intake.cells.rows import Row
from scheduler.intake.cells.values import Unfit, names, text
from scheduler.intake.files.grid import Value
from scheduler.intake.words import clean, heading_key, name_key, words

_JOINS = re.compile(r"\s*[+/,;\n]\s*")


class Known:
    """The names of one kind of thing, matched without regard to capitals and spaces.

    Parameters
    ----------
    what
        What is named, in the singular ("platen").
    sheet
        Where the names stand, for the mend; empty when they are the trade's usual ones.
    names
        The names as laid down, in order.
    unread
        The sheet that lays them down is a fault already: any name is taken as known then, so that one
        cause doesn't make a fault of every name.
    """

    def __init__(self, what: str, sheet: str, names: Iterable[str] = (), *, unread: bool = False) -> None:
        self.what = what
        self.sheet = sheet
        self.unread = unread
        self._by_key: dict[str, str] = {}
        for name in names:
            self._by_key.setdefault(name_key(name), name)

    @property
    def names(self) -> tuple[str, ...]:
        """All names, in order."""
        return tuple(self._by_key.values())

    def find(self, name: str) -> str | None:
        """The name as laid down, also for another usual way to write it; None when it is not known."""
        key = name_key(name)
        if key in self._by_key:
            return self._by_key[key]
        usual = words().names.get(self.what, {}).get(heading_key(name))
        if usual in self._by_key:
            return self._by_key[usual]
        return clean(name) if self.unread else None

    def take(self, row: Row, key: str, *, needed: bool = False) -> str | None:
        """The known name in a cell; a fault with the near match when it is not known."""
        written = (row.need if needed else row.take)(key, text)
        if written is None:
            return None
        return self.match(row, key, written)

    def match(self, row: Row, key: str, written: str) -> str | None:
        """The known name for what was written in a cell; notes a fault when there is none."""
        found = self.find(written)
        if found is None:
            also = "" if self.sheet else " If the shop calls it so, name its workbook with --shop."
            row.fault(
                f"unknown-{self.what.replace(' ', '-')}",
                key,
                f"{self.what} {shown(written)}",
                f"a {self.what} from sheet {self.sheet}" if self.sheet else f"a usual {self.what}",
                self._mend(written) + also,
            )
        return found

    def _mend(self, written: str) -> str:
        mend = propose(written, self.names, self.sheet)
        if self._by_key or not self.sheet:
            return mend
        # A sheet that the shop can do without need not be there.
        return (
            f"Add {shown(written)} to sheet {self.sheet}; if the shop workbook has none, add that sheet: "
            "a new shop folder shows how it looks."
        )

    def take_all(self, row: Row, key: str, *, needed: bool = False) -> tuple[str, ...]:
        """The known names in a cell with commas between; each only once."""
        written = (row.need if needed else row.take)(key, names) or ()
        found = (self.match(row, key, name) for name in written)
        return tuple(dict.fromkeys(name for name in found if name is not None))

    def split(self, written: str) -> list[str]:
        """Names joined by + / or a comma; a name that is itself known is not taken apart."""
        if self.find(written) is not None and not self.unread:
            return [written]
        parts = _parts(written)
        if "\n" in written and not all(self.find(part) for part in parts):
            # a cell may be wrapped by hand within a name
            parts = _parts(clean(written))
        return parts


def one_of(names: Iterable[str], what: str) -> Callable[[Value], str]:
    """Parser of one of some names, whatever their capitals."""
    known = {name_key(name): name for name in names}

    def parse(value: Value) -> str:
        written = text(value)
        if name_key(written) in known:
            return known[name_key(written)]
        raise Unfit(f"unknown-{what}", f"a {what} of the shop", propose(written, known.values()))

    return parse


def _parts(written: str) -> list[str]:
    return [part for part in (clean(part) for part in _JOINS.split(written)) if part]
