"""What the owner has said about a kind of orders file, kept in a plain file beside the shop workbook.

A kind of file is known by its row of headings: the same export has the same headings tomorrow.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from scheduler.aside import written_aside
from scheduler.domain.faults import Fault, Source
from scheduler.intake.cells.date_readings import DAY_FIRST, MONTH_FIRST
from scheduler.intake.cells.dates import NEXT
from scheduler.intake.cells.findings import near, shown
from scheduler.intake.cells.rows import LOOK_IN_ROWS, How
from scheduler.intake.cells.sizes import Sizes, looks_like_a_size
from scheduler.intake.cells.values import text
from scheduler.intake.files.grid import Grid, Unread, Value
from scheduler.intake.orders.headings.columns import column_labels
from scheduler.intake.orders.headings.words import HeadingWords, Meaning
from scheduler.intake.words import clean, name_key

KEPT_NAME = "columns.toml"
_HEAD = """\
# What you have told Pressday about your orders files, one [[file]] for each kind, known by its headings.
# To undo something, delete its line; to forget a kind of file, delete all from its [[file]] to the next one.
"""
_CHOICES = {"dates": (DAY_FIRST, MONTH_FIRST), "weekdays": (NEXT,)}
_FIELDS = ("headings", "columns", "dates", "weekdays", "encoding")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What is known of one kind of orders file.

    Attributes
    ----------
    headings
        As they stand in its row of headings, or in both of them; the order doesn't count.
    columns
        Heading to what it means, both as the owner wrote them.
    dates, weekdays
        How its dates and day names are read; empty: asked.
    encoding
        Of the letters of a text table; empty: judged.
    """

    headings: tuple[str, ...] = ()
    columns: Mapping[str, str] = field(default_factory=dict)
    dates: str = ""
    weekdays: str = ""
    encoding: str = ""

    def with_more(self, said: Kind) -> Kind:
        """The same kind with what was said just now, which counts before what was kept."""
        keys = {name_key(heading) for heading in said.columns}
        kept = {heading: means for heading, means in self.columns.items() if name_key(heading) not in keys}
        return replace(
            self,
            columns={**kept, **said.columns},
            dates=said.dates or self.dates,
            weekdays=said.weekdays or self.weekdays,
            encoding=said.encoding or self.encoding,
        )

    def meanings(self, sizes: Sizes) -> dict[str, Meaning]:
        """By name key of a heading, the column that it was confirmed as."""
        plain = HeadingWords(sizes)
        found = {}
        for heading, means in self.columns.items():
            meaning = plain.meaning(means)
            if meaning is not None:
                how = How.CONFIRMED if meaning.key else How.NOT_NEEDED
                found[name_key(heading)] = replace(meaning, how=how)
        return found

    def under(self, headings: tuple[str, ...], labels: Iterable[str]) -> Kind:
        """The same for a sheet of these headings, without what was said of other headings.

        Parameters
        ----------
        labels
            The headings as they were read: those in two rows as one.
        """
        here = {name_key(heading) for heading in (*headings, *labels)}
        columns = {heading: means for heading, means in self.columns.items() if name_key(heading) in here}
        return replace(self, headings=headings, columns=columns)

    @property
    def is_empty(self) -> bool:
        """Whether nothing is known of it."""
        return not (self.columns or self.dates or self.weekdays or self.encoding)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """All kinds that are kept, and what was said just now, which holds for every file that is read."""

    kinds: tuple[Kind, ...] = ()
    said: Kind = field(default_factory=Kind)

    def of(self, grid: Grid) -> Kind:
        """The kind of a sheet, with what was said just now."""
        known = {_fingerprint(kind.headings): kind for kind in self.kinds}
        above: tuple[str, ...] = ()
        for row in grid.rows[:LOOK_IN_ROWS] if known else ():
            here = headings_in(row)
            kind = known.get(_fingerprint(here)) or known.get(_fingerprint((*above, *here)))
            if kind is not None:
                return kind.with_more(self.said)
            above = here
        return self.said

    def remembering(self, kinds: Iterable[Kind]) -> Kept:
        """The same with these kinds in place of those of the same headings."""
        found = {_fingerprint(kind.headings): kind for kind in self.kinds}
        for kind in kinds:
            found[_fingerprint(kind.headings)] = kind
        return replace(self, kinds=tuple(kind for kind in found.values() if not kind.is_empty))


def headings_in(row: Iterable[Value]) -> tuple[str, ...]:
    """The texts of a row of headings."""
    return tuple(text(value) for value in row if value is not None and not isinstance(value, Unread))


def _fingerprint(headings: Iterable[str]) -> tuple[str, ...]:
    """What files of one kind share: the same headings, each as often, in whatever order."""
    return tuple(sorted(name_key(heading) for heading in headings))


def unfit_meaning(heading: str, means: str, sizes: Sizes) -> tuple[str, str, str] | None:
    """What is wrong with a confirmed column, as found, expected and mend; None when nothing is."""
    if HeadingWords(sizes).meaning(means) is not None or looks_like_a_size(means):
        return None
    labels = [*column_labels(), *sizes.labels]
    match = near(means, labels)
    mend = f'Did you mean "{match}"?' if match else f"Take one of: {', '.join(column_labels())}."
    return f"{shown(heading)} as {shown(means)}", "a column of Pressday, a size, or not needed", mend


def read_kept(path: Path, sizes: Sizes) -> tuple[Kept, tuple[Fault, ...]]:
    """Read the kept kinds; none when there is no such file. Each fault has its line."""
    try:
        content = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return Kept(), ()
    except (OSError, UnicodeDecodeError):
        return Kept(), (_fault(path, 0, "a file that can't be read", "a plain text in UTF-8"),)
    try:
        document = tomllib.loads(content)
    except tomllib.TOMLDecodeError as error:
        line = next((int(word) for word in str(error).replace(",", " ").split() if word.isdigit()), 0)
        return Kept(), (_fault(path, line, str(error), 'lines such as dates = "day-first"'),)
    faults = list(_faults(path, content, document, sizes))
    if faults:
        return Kept(), tuple(faults)
    return Kept(kinds=tuple(_kind(one) for one in document.get("file", []))), ()


def _kind(section: dict[str, Any]) -> Kind:
    return Kind(
        headings=tuple(section["headings"]),
        columns={heading: str(means) for heading, means in section.get("columns", {}).items()},
        dates=section.get("dates", ""),
        weekdays=section.get("weekdays", ""),
        encoding=section.get("encoding", ""),
    )


def _faults(path: Path, content: str, document: dict[str, Any], sizes: Sizes) -> Iterator[Fault]:
    """What is wrong with a file of kinds, by line."""
    lines = content.splitlines()

    def line_of(*parts: str) -> int:
        return next((n for n, line in enumerate(lines, start=1) if all(part in line for part in parts)), 0)

    for name in document:
        if name != "file":
            yield _fault(path, line_of(name), shown(name), "[[file]] sections only")
    kinds = document.get("file", [])
    if not isinstance(kinds, list) or not all(isinstance(kind, dict) for kind in kinds):
        yield _fault(path, line_of("file"), "file as something else", "[[file]] before each kind")
        return
    for kind in kinds:
        for name in kind:
            if name not in _FIELDS:
                yield _fault(path, line_of(name), shown(name), f"one of: {', '.join(_FIELDS)}")
        headings = kind.get("headings")
        texts = isinstance(headings, list) and all(isinstance(one, str) for one in headings)
        if not headings or not texts:
            line = line_of("headings") or line_of("[[file]]")
            yield _fault(path, line, "a kind of file without its headings", 'headings = ["...", ...]')
        for name, known in _CHOICES.items():
            said = kind.get(name, known[0])
            if said not in known:
                found = f"{name} = {shown(str(said))}"
                yield _fault(path, line_of(name, str(said)), found, f"one of: {', '.join(known)}")
        encoding = kind.get("encoding", "utf-8")
        if not isinstance(encoding, str) or not is_encoding(encoding):
            found = f"encoding = {shown(str(encoding))}"
            yield _fault(path, line_of("encoding"), found, "an encoding such as cp1252")
        columns = kind.get("columns", {})
        if not isinstance(columns, dict):
            yield _fault(path, line_of("columns"), "columns as something else", "[file.columns]")
            continue
        for heading, means in columns.items():
            wrong = unfit_meaning(heading, str(means), sizes)
            if wrong is not None:
                found, expected, mend = wrong
                line = line_of(json.dumps(heading, ensure_ascii=False)) or line_of(heading)
                yield _fault(path, line, found, expected, mend)


def is_encoding(name: str) -> bool:
    """Whether it names an encoding of letters."""
    try:
        b"a b ".decode(name)
    except UnicodeDecodeError:
        return True
    except (LookupError, ValueError):
        return False
    return True


def _fault(path: Path, line: int, found: str, expected: str, mend: str = "") -> Fault:
    return Fault(
        code="columns-file",
        source=Source(file=path.name, cell=f"line {line}" if line else ""),
        found=found,
        expected=expected,
        mend=mend or "Correct the line, or delete it.",
    )


def write_kept(path: Path, kept: Kept) -> None:
    """Write the kept kinds; the file that was there is replaced whole or not at all.

    Raises
    ------
    scheduler.exceptions.BadInput
        When it can't be written.
    """
    content = _HEAD + "".join(_lines(kind) for kind in kept.kinds)
    with written_aside(path, overwrite=True) as part:
        part.write_text(content, encoding="utf-8", newline="\n")


def _lines(kind: Kind) -> str:
    lines = ["", "[[file]]", f"headings = [{', '.join(_quoted(heading) for heading in kind.headings)}]"]
    lines += [
        f"{name} = {_quoted(value)}"
        for name in ("dates", "weekdays", "encoding")
        if (value := str(getattr(kind, name)))
    ]
    if kind.columns:
        lines += ["", "[file.columns]"]
        lines += [f"{_quoted(heading)} = {_quoted(means)}" for heading, means in kind.columns.items()]
    return "\n".join(lines) + "\n"


def _quoted(value: str) -> str:
    return json.dumps(clean(value), ensure_ascii=False).replace("\x7f", "\\u007f")
