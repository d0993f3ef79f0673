"""The patterns and plans that the program is asked about."""

import json
import sys
from pathlib import Path

from evenround.models import GradingRequest

_SHELF = Path(sys.argv[2])


def pattern(name: str) -> str:
    """The text of a pattern."""
    return (_SHELF / name).read_text(encoding="utf-8")


def plan(name: str) -> GradingRequest:
    """A plan."""
    return GradingRequest.from_dict(json.loads((_SHELF / "plans" / name).read_text(encoding="utf-8")))
