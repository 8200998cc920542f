"""Any of the domain's data classes to plain JSON values and back, without loss.

Data classes become objects, tuples lists, dates and times ISO 8601 texts, enumerations their
values. A dictionary whose keys are texts becomes an object, any other a list of [key, value].
"""

from __future__ import annotations

import types
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
    return cast(T, _read(kind, data, kind.__name__))


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _read(kind: Any, data: Any, at: str) -> Any:
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _read_optional(kind, data, at)
    if origin is Literal:
        if data not in get_args(kind):
            raise ValueError(f"{at}: {data!r} is none of {get_args(kind)}")
        return data
    if origin is tuple:
        return _read_tuple(get_args(kind), data, at)
    if origin is dict:
        return _read_dict(get_args(kind), data, at)
    if is_dataclass(kind):
        return _read_object(cast(type, kind), data, at)
    return _read_plain(kind, data, at)


def _read_optional(kind: Any, data: Any, at: str) -> Any:
    others = [part for part in get_args(kind) if part is not type(None)]
    if data is None and len(others) < len(get_args(kind)):
        return None
    for part in others[:-1]:
        try:
            return _read(part, data, at)
        except ValueError:
            continue
    return _read(others[-1], data, at)


def _read_tuple(parts: tuple[Any, ...], data: Any, at: str) -> tuple[Any, ...]:
    if not isinstance(data, list):
        raise ValueError(f"{at}: {_short(data)} is not a list")
    if len(parts) == 2 and parts[1] is Ellipsis:
        return tuple(_read(parts[0], item, f"{at}[{n}]") for n, item in enumerate(data))
    if len(parts) != len(data):
        raise ValueError(f"{at}: {len(data)} entries, expected {len(parts)}")
    return tuple(
        _read(part, item, f"{at}[{n}]") for n, (part, item) in enumerate(zip(parts, data, strict=True))
    )


def _read_dict(parts: tuple[Any, ...], data: Any, at: str) -> dict[Any, Any]:
    key_kind, value_kind = parts
    if isinstance(data, dict):
        pairs: list[Any] = [list(pair) for pair in data.items()]
    elif isinstance(data, list) and all(isinstance(pair, list) and len(pair) == 2 for pair in data):
        pairs = data
    else:
        raise ValueError(f"{at}: {_short(data)} is neither an object nor a list of pairs")
    return {
        _read(key_kind, key, f"{at} key"): _read(value_kind, item, f"{at}[{key!r}]") for key, item in pairs
    }


def _read_object(kind: type, data: Any, at: str) -> Any:
    if not isinstance(data, dict):
        raise ValueError(f"{at}: {_short(data)} is not an object")
    hints = _hints(kind)
    unknown = [name for name in data if name not in hints]
    if unknown:
        raise ValueError(f"{at}: {unknown[0]!r} is not known here")
    values = {name: _read(hints[name], item, f"{at}.{name}") for name, item in data.items()}
    try:
        return kind(**values)
    except TypeError as error:
        raise ValueError(f"{at}: {error}") from None
    except ValueError as error:
        raise ValueError(f"{at}: {error}") from None


def _read_plain(kind: Any, data: Any, at: str) -> Any:
    if kind in (date, datetime, time):
        if not isinstance(data, str):
            raise ValueError(f"{at}: {_short(data)} is not a {kind.__name__}")
        try:
            return kind.fromisoformat(data)
        except ValueError:
            raise ValueError(f"{at}: {_short(data)} is not a {kind.__name__}") from None
    if isinstance(kind, type) and issubclass(kind, Enum):
        try:
            return kind(data)
        except ValueError as error:
            raise ValueError(f"{at}: {error}") from None
    if kind is float and isinstance(data, int) and not isinstance(data, bool):
        return data
    if kind in (bool, int, float, str) and type(data) is kind:
        return data
    raise ValueError(f"{at}: {_short(data)} is not {getattr(kind, '__name__', kind)}")


def _short(data: object) -> str:
    text = repr(data)
    return text if len(text) <= 40 else text[:37] + "..."
