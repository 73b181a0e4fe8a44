"""Makes the starter trip: a commented trip file that is valid as it stands."""

from __future__ import annotations

import json
from pathlib import Path

_TEXT = Path(__file__).with_name("starter.toml")
_MARK = "@NAME@"


def make_starter(name: str) -> str:
    """Return the text of a starter trip of this name, which has no control characters."""
    # JSON's escapes are among those of TOML; letters of all scripts stay as they are.
    quoted = json.dumps(name, ensure_ascii=False)
    return _TEXT.read_text(encoding="utf-8").replace(_MARK, quoted, 1)
