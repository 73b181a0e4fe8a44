"""A dict that works out what it lacks: what is asked for again costs a look-up and no call."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

Key = TypeVar("Key")
Value = TypeVar("Value")


class Lookup(dict[Key, Value]):
    """Values by key, each made by `make` when it is first asked for."""

    def __init__(self, make: Callable[[Key], Value]) -> None:
        """Start empty."""
        super().__init__()
        self._make = make

    def __missing__(self, key: Key) -> Value:
        """Make the value of a key."""
        value = self[key] = self._make(key)
        return value
