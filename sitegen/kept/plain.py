"""Frozen values as JSON has them, and back: dataclasses and named tuples as lists of fields."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from functools import cache, lru_cache
from types import NoneType, UnionType
from typing import TYPE_CHECKING, Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")


class NotPlain(Exception):  # noqa: N818 - it is the value that is not
    """A value from JSON that is none of the type asked for."""


def as_json(value: object) -> str:
    """A value of texts, numbers, tuples, named tuples and dataclasses as JSON."""
    # the encoder knows named tuples by itself, in a tenth of the time
    return json.dumps(value, separators=(",", ":"), default=_plain)


def _plain(value: object) -> list[object]:
    kind: Any = type(value)
    return [getattr(value, name) for name in _names(kind)]


@cache
def _names(kind: Any) -> tuple[str, ...]:  # noqa: ANN401 - types are values of many types
    return tuple(one.name for one in fields(kind)) if is_dataclass(kind) else kind._fields


def read(kind: type[T], value: object) -> T:
    """A value of a type from what JSON holds that `as_json` made of one.

    Raises:
        NotPlain: it cannot have been made from one.
    """
    found: T = _reader(cast("Any", kind))(value)
    return found


@cache
def _reader(kind: Any) -> Callable[[object], Any]:  # noqa: ANN401 - types are values of many types
    inner, origin = get_args(kind), get_origin(kind)
    if origin in (Union, UnionType):
        (some,) = (one for one in inner if one is not NoneType)
        reader = _reader(some)
        return lambda value: None if value is None else reader(value)
    if origin is tuple and inner[1:] == (...,):
        return _many(_reader(inner[0]))
    if origin is tuple:
        return _fixed(tuple, tuple(map(_reader, inner)))
    if is_dataclass(kind) or hasattr(kind, "_fields"):
        hints = get_type_hints(kind)
        types = tuple(hints[name] for name in _names(kind))
        if all(one in (str, bool, int) for one in types):
            return _flat(kind, types)
        return _fixed(lambda values: kind(*values), tuple(map(_reader, types)))
    return lambda value: _of_type(value, kind)


def _of_type(value: object, kind: type) -> object:
    if type(value) is not kind:
        raise NotPlain
    return value


def _flat(kind: Callable[..., Any], types: tuple[type, ...]) -> Callable[[object], Any]:
    shared = lru_cache(maxsize=4096)(kind)  # the same few turns are written everywhere

    def read_flat(value: object) -> Any:  # noqa: ANN401 - as above
        if not isinstance(value, list) or tuple(map(type, value)) != types:
            raise NotPlain
        return shared(*value)

    return read_flat


def _many(reader: Callable[[object], Any]) -> Callable[[object], Any]:
    def read_many(value: object) -> Any:  # noqa: ANN401 - as above
        if not isinstance(value, list):
            raise NotPlain
        return tuple([reader(one) for one in value])

    return read_many


def _fixed(
    make: Callable[[list[Any]], Any], readers: tuple[Callable[[object], Any], ...]
) -> Callable[[object], Any]:
    def read_fixed(value: object) -> Any:  # noqa: ANN401 - as above
        if not isinstance(value, list) or len(value) != len(readers):
            raise NotPlain
        return make([reader(one) for reader, one in zip(readers, value, strict=True)])

    return read_fixed
