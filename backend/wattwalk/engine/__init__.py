"""What a survey means: pure functions of plain values.  Standard library only, no I/O, no clock."""

from .assess import assess
from .plain import to_plain
from .version import ENGINE_VERSION

__all__ = ["ENGINE_VERSION", "assess", "to_plain"]
