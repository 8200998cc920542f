"""Any of the domain's data classes to plain JSON values and back, without loss.

Data classes become objects, tuples lists, dates and times ISO 8601 texts, enumerations their
values. A dictionary whose keys are texts becomes an object, any other a list of [key, value].
"""

from __future__ import annotations

import types
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from enum import Enum
from functools import cache
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

T = TypeVar("T")


def to_json(value: object) -> Any:
    """The value as dictionaries, lists, texts, numbers, booleans and None.

    Raises
    ------
    TypeError
        When something of a kind that can't be stored is inside.
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: to_json(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    if isinstance(value, (date, time)):
        return value.isoformat()
    if isinstance(value, (tuple, list)):
        return [to_json(item) for item in value]
    if isinstance(value, dict):
        if all(type(key) is str for key in value):
            return {key: to_json(item) for key, item in value.items()}
        return [[to_json(key), to_json(item)] for key, item in value.items()]
    raise TypeError(f"{type(value).__name__} can't be stored as JSON")


def from_json(kind: type[T], data: object) -> T:
    """The object of a data class that `to_json` made `data` of.

    Parameters
    ----------
    kind
        The data class.
    data
        As read by `json.loads`. Fields with a default may be missing.

    Raises
    ------
    ValueError
        When something is missing, unknown or of the wrong kind; names the place ("runs[3].start").
    """
    try:
        return cast(T, _reader(cast(Any, kind))(data))
    except _WrongError as wrong:
        place = kind.__name__ + "".join(reversed(wrong.place))
        raise ValueError(f"{place}: {wrong.message}") from None


Reader = Callable[[Any], Any]
"""Turns JSON values into what they stand for; made once for each type, since plans are large."""


class _WrongError(Exception):
    """Raised where data are wrong; on its way out every reader adds where it was."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message
        self.place: list[str] = []

    def at(self, part: str) -> _WrongError:
        """The same, seen from one level further out."""
        self.place.append(part)
        return self


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


@cache
def _reader(kind: Any) -> Reader:
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _optional_reader(get_args(kind))
    if origin is Literal:
        return _literal_reader(get_args(kind))
    if origin is tuple:
        return _tuple_reader(get_args(kind))
    if origin is dict:
        return _dict_reader(get_args(kind))
    if is_dataclass(kind):
        return _object_reader(cast(type, kind))
    return _plain_reader(kind)


def _optional_reader(parts: tuple[Any, ...]) -> Reader:
    readers = [_reader(part) for part in parts if part is not type(None)]
    may_be_none = len(readers) < len(parts)
    *others, last = readers

    def read(data: Any) -> Any:
        if data is None and may_be_none:
            return None
        for reader in others:
            try:
                return reader(data)
            except _WrongError:
                continue
        return last(data)

    return read


def _literal_reader(values: tuple[Any, ...]) -> Reader:
    def read(data: Any) -> Any:
        if data not in values:
            raise _WrongError(f"{data!r} is none of {values}")
        return data

    return read


def _tuple_reader(parts: tuple[Any, ...]) -> Reader:
    if len(parts) == 2 and parts[1] is Ellipsis:
        one = _reader(parts[0])
        return lambda data: _items(data, [one] * len(_list(data)))
    readers = [_reader(part) for part in parts]

    def read(data: Any) -> Any:
        if len(_list(data)) != len(readers):
            raise _WrongError(f"{len(data)} entries, expected {len(readers)}")
        return _items(data, readers)

    return read


def _list(data: Any) -> list[Any]:
    if not isinstance(data, list):
        raise _WrongError(f"{_short(data)} is not a list")
    return data


def _items(data: list[Any], readers: list[Reader]) -> tuple[Any, ...]:
    found = []
    try:
        for reader, item in zip(readers, data, strict=True):
            found.append(reader(item))
    except _WrongError as wrong:
        raise wrong.at(f"[{len(found)}]") from None
    return tuple(found)


def _dict_reader(parts: tuple[Any, ...]) -> Reader:
    key_reader, value_reader = (_reader(part) for part in parts)

    def read(data: Any) -> Any:
        if isinstance(data, dict):
            pairs: list[Any] = [list(pair) for pair in data.items()]
        elif isinstance(data, list) and all(isinstance(pair, list) and len(pair) == 2 for pair in data):
            pairs = data
        else:
            raise _WrongError(f"{_short(data)} is neither an object nor a list of pairs")
        found = {}
        for key, item in pairs:
            try:
                known = key_reader(key)
            except _WrongError as wrong:
                raise wrong.at(" key") from None
            try:
                found[known] = value_reader(item)
            except _WrongError as wrong:
                raise wrong.at(f"[{key!r}]") from None
        return found

    return read


def _object_reader(kind: type) -> Reader:
    readers: dict[str, Reader] = {}

    def read(data: Any) -> Any:
        if not isinstance(data, dict):
            raise _WrongError(f"{_short(data)} is not an object")
        if not readers:
            # only now: a class may hold others of its own kind
            readers.update((name, _reader(hint)) for name, hint in _hints(kind).items())
        values = {}
        for name, item in data.items():
            reader = readers.get(name)
            if reader is None:
                raise _WrongError(f"{name!r} is not known here")
            try:
                values[name] = reader(item)
            except _WrongError as wrong:
                raise wrong.at(f".{name}") from None
        try:
            return kind(**values)
        except (TypeError, ValueError) as error:
            raise _WrongError(str(error)) from None

    return read


def _plain_reader(kind: Any) -> Reader:
    name = getattr(kind, "__name__", kind)
    if kind in (date, datetime, time):

        def read_time(data: Any) -> Any:
            try:
                if isinstance(data, str):
                    return kind.fromisoformat(data)
            except ValueError:
                pass
            raise _WrongError(f"{_short(data)} is not a {name}")

        return read_time
    if isinstance(kind, type) and issubclass(kind, Enum):

        def read_enum(data: Any) -> Any:
            try:
                return kind(data)
            except ValueError as error:
                raise _WrongError(str(error)) from None

        return read_enum

    def read(data: Any) -> Any:
        if type(data) is kind and kind in (bool, int, float, str):
            return data
        if kind is float and type(data) is int:
            return data
        raise _WrongError(f"{_short(data)} is not {name}")

    return read


def _short(data: object) -> str:
    text = repr(data)
    return text if len(text) <= 40 else text[:37] + "..."
