"""Compound files, the container of old workbooks: the streams in them.

Source: [MS-CFB] Compound File Binary File Format, published by its maker as an open specification.
"""

from __future__ import annotations

import struct

_FREE_FROM = 0xFFFFFFFA
"""Sector numbers from here on are marks, not places."""

_HEADER = 512
_ENTRY = 128


class CompoundFile:
    """The streams of a compound file by name.

    Raises
    ------
    ValueError
        When it is cut off or its chains of sectors lead nowhere.
    """

    def __init__(self, data: bytes) -> None:
        self._data = data
        if len(data) < _HEADER:
            raise ValueError("the header is cut off")
        shift, mini_shift = struct.unpack_from("<HH", data, 30)
        if shift not in (9, 12) or mini_shift != 6:
            raise ValueError("no usual size of sectors")
        self._size = 1 << shift
        self._mini_size = 1 << mini_shift
        first_directory, _, cutoff, first_mini, _, first_more, _ = struct.unpack_from("<7I", data, 48)
        self._cutoff = cutoff
        self._table = self._allocation(first_more)
        self._entries = self._directory(b"".join(self._sectors(first_directory)))
        mini = b"".join(self._sectors(first_mini)) if first_mini < _FREE_FROM else b""
        self._mini_table = struct.unpack(f"<{len(mini) // 4}I", mini[: len(mini) // 4 * 4])
        self._mini: bytes | None = None

    @property
    def names(self) -> list[str]:
        """Names of all storages and streams."""
        return [name for name, *_ in self._entries]

    def stream(self, name: str) -> bytes:
        """The content of a stream, found without regard to capitals.

        Raises
        ------
        KeyError
            When there is none of that name.
        """
        for found, kind, start, size in self._entries:
            if kind == 2 and found.casefold() == name.casefold():
                if size >= self._cutoff:
                    return b"".join(self._sectors(start))[:size]
                return self._small(start, size)
        raise KeyError(name)

    def _allocation(self, first_more: int) -> tuple[int, ...]:
        """The table that says which sector follows which."""
        places = list(struct.unpack_from("<109I", self._data, 76))
        more, seen = first_more, 0
        while more < _FREE_FROM:
            block = self._sector(more)
            numbers = struct.unpack(f"<{self._size // 4}I", block)
            places.extend(numbers[:-1])
            more = numbers[-1]
            seen += 1
            if seen * self._size > len(self._data):
                raise ValueError("the table of sectors runs in a circle")
        table: list[int] = []
        for place in places:
            if place < _FREE_FROM:
                table.extend(struct.unpack(f"<{self._size // 4}I", self._sector(place)))
                if len(table) * 4 > len(self._data) + self._size:
                    raise ValueError("the table of sectors is larger than the file")
        return tuple(table)

    def _sector(self, number: int) -> bytes:
        start = (number + 1) * self._size
        block = self._data[start : start + self._size]
        if len(block) < self._size:
            if not block:
                raise ValueError("a sector lies behind the end of the file")
            block = block.ljust(self._size, b"\0")
        return block

    def _sectors(self, first: int) -> list[bytes]:
        blocks: list[bytes] = []
        number = first
        while number < _FREE_FROM:
            blocks.append(self._sector(number))
            if number >= len(self._table) or len(blocks) > len(self._table):
                raise ValueError("a chain of sectors leads nowhere")
            number = self._table[number]
        return blocks

    def _directory(self, data: bytes) -> list[tuple[str, int, int, int]]:
        entries = []
        for start in range(0, len(data) - _ENTRY + 1, _ENTRY):
            length, kind = struct.unpack_from("<HB", data, start + 64)
            if kind in (1, 2, 5):
                name = data[start : start + max(0, min(length, 64) - 2)].decode("utf-16-le", "replace")
                first, size = struct.unpack_from("<II", data, start + 116)
                entries.append((name, kind, first, size))
        return entries

    def _small(self, start: int, size: int) -> bytes:
        """A stream below the cut-off: it lies in small sectors inside the root's stream."""
        if self._mini is None:
            root = next((entry for entry in self._entries if entry[1] == 5), None)
            self._mini = b"".join(self._sectors(root[2])) if root else b""
        blocks: list[bytes] = []
        number = start
        while number < _FREE_FROM and len(blocks) * self._mini_size < size:
            blocks.append(self._mini[number * self._mini_size : (number + 1) * self._mini_size])
            if number >= len(self._mini_table):
                raise ValueError("a chain of small sectors leads nowhere")
            number = self._mini_table[number]
        return b"".join(blocks)[:size]
