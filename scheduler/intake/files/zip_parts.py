"""The parts of a zip file, unpacked one by one and counted.

A zip's directory can lie about sizes, name a part twice or point two names at one place, and two readers can
then see two different files. So a workbook is never handed on as it came: its parts are unpacked here, within
the limits, and a new zip of those that matter is made for the reader.
"""

from __future__ import annotations

import io
import lzma
import re
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from xml.parsers import expat

from scheduler.intake.files import guard
from scheduler.intake.files.guard import damaged, locked, refuse

_CHUNK = 2**16
_PATH_TRICK = re.compile(r"(?:\A|/)\.\.(?:/|\Z)|\A/|\A[A-Za-z]:|[\x00-\x1f]")
_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    struct.error,
    EOFError,
    NotImplementedError,
    OSError,
    ValueError,
    KeyError,
    IndexError,
    RuntimeError,
)
"""What unpacking a damaged file may raise."""
_AGAIN = "Save it again in the spreadsheet program."


class Parts:
    """The parts of a zip file by name; capitals don't count, and slashes are plain, whoever wrote them.

    Parameters
    ----------
    file
        What the file is called in faults.
    """

    def __init__(self, file: str, archive: zipfile.ZipFile) -> None:
        self.file = file
        self.left = guard.MOST_UNPACKED
        self._archive = archive
        self._infos = {info.filename.replace("\\", "/").casefold(): info for info in archive.infolist()}
        self._check(archive.infolist())

    def __contains__(self, name: str) -> bool:
        return name.casefold() in self._infos

    @property
    def names(self) -> list[str]:
        """All names in small letters, sorted."""
        return sorted(self._infos)

    def chunks(self, name: str) -> Iterator[bytes]:
        """A part's content, counted against the limit while it is unpacked."""
        with self._archive.open(self._infos[name.casefold()]) as stream:
            while chunk := stream.read(_CHUNK):
                self.left -= len(chunk)
                if self.left < 0:
                    found = f"the workbook unpacks to more than {guard.MOST_UNPACKED // 2**20} MB"
                    raise refuse(self.file, "file-too-large", found, "less", _AGAIN)
                yield chunk

    def content(self, name: str) -> bytes:
        """A part's whole content."""
        return b"".join(self.chunks(name))

    def _check(self, infos: list[zipfile.ZipInfo]) -> None:
        """What the directory alone tells."""
        if len(infos) > guard.MOST_PARTS:
            found = f"the workbook holds {len(infos)} parts"
            raise refuse(self.file, "file-too-large", found, f"at most {guard.MOST_PARTS}", _AGAIN)
        unpacked = sum(info.file_size for info in infos)
        if unpacked > guard.MOST_UNPACKED:
            found = f"the workbook unpacks to {unpacked / 2**20:.0f} MB"
            mend = "Save it again in the spreadsheet program, without pictures and unused sheets."
            expected = f"at most {guard.MOST_UNPACKED // 2**20} MB"
            raise refuse(self.file, "file-too-large", found, expected, mend)
        if any(info.flag_bits & 1 for info in infos):
            raise locked(self.file)
        if any(_PATH_TRICK.search(name) for name in self._infos):
            found = "a part whose name leads out of the workbook"
            raise refuse(self.file, "file-with-tricks", found, "plain parts", _AGAIN)
        if len(self._infos) < len(infos):
            found = "two parts of one name"
            raise refuse(self.file, "file-with-tricks", found, "each part once", _AGAIN)


@contextmanager
def parts_of(file: str, data: bytes) -> Iterator[Parts]:
    """Open a zip file; whatever is wrong with it becomes one fault.

    Raises
    ------
    scheduler.intake.files.guard.Refused
        When it is cut off, damaged, locked, unpacks to too much or holds tricks.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            yield Parts(file, archive)
    except _DAMAGE as error:
        if isinstance(error, RuntimeError) and "password" in str(error):
            raise locked(file) from None
        raise damaged(file) from None
    except expat.ExpatError:
        raise damaged(file, "the workbook's inside is damaged") from None


def packed(contents: Iterable[tuple[str, bytes]]) -> bytes:
    """A new zip file of the given parts, not compressed: it is read once and thrown away."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name, content in contents:
            archive.writestr(zipfile.ZipInfo(name), content)
    return out.getvalue()


class Plain:
    """Streams one XML part and refuses a document type, which is where entities are made."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self._doctype

    def _doctype(self, *_: object) -> None:
        found = "the workbook holds a document type"
        raise refuse(self.file, "file-with-tricks", found, "plain sheets", _AGAIN)

    def stream(self, parts: Parts, name: str) -> bytes:
        """Go through a part; its content."""
        kept = []
        for chunk in parts.chunks(name):
            kept.append(chunk)
            self.parser.Parse(chunk, False)
        self.parser.Parse(b"", True)
        return b"".join(kept)


class Collector(Plain):
    """Collects the attributes of all elements of one local name; their own names without prefixes."""

    def __init__(self, file: str, local: str) -> None:
        super().__init__(file)
        self.local = local
        self.found: list[dict[str, str]] = []
        self.parser.StartElementHandler = self._start

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if name.rpartition(":")[2] == self.local:
            self.found.append({key.rpartition(":")[2]: value for key, value in attributes.items()})
