"""The files that may be wanted beside an answer: a picture, a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Collection
    from pathlib import Path

    from scheduler.sheets.canvas import Picture


def check_asked(picture: Path | None, page: Path | None = None) -> None:
    """See that a picture and a page can be written where they are wanted, before any work is done.

    Raises
    ------
    BadInput
        When one can't.
    """
    from scheduler.sheets.one_file import check_name

    if picture is not None:
        from scheduler.sheets.canvas import check_kind

        check_kind(picture)
    if page is not None:
        from scheduler.sheets.answer_page import KINDS

        check_name(page, KINDS, "a page")


def put_files(
    *files: tuple[Path | None, Callable[[Path], bytes | Picture]], known: Collection[str] = ()
) -> list[str]:
    """Write the files that are wanted, once all of them are made; says which, and what is missing in them.

    Parameters
    ----------
    files
        Name and maker of each; one without a name is not wanted.
    known
        Scripts without a font of which the same command says so anyway.

    Raises
    ------
    BadInput
        When one can't be written.
    """
    from scheduler.sheets.fonts import no_font
    from scheduler.sheets.one_file import write_one

    made = [(path, make(path)) for path, make in files if path is not None]
    said: list[str] = []
    for path, one in made:
        write_one(path, one if isinstance(one, bytes) else one.content)
        lacking = () if isinstance(one, bytes) else one.no_font
        said += [*no_font(name for name in lacking if name not in known), f"Written: {path}"]
    return said
