"""What a survey means: pure functions of plain values.  Standard library only, no I/O, no clock."""

from .answers.plain import as_object, to_plain
from .assess import assess
from .plans import draw_up
from .version import ENGINE_VERSION

__all__ = ["ENGINE_VERSION", "as_object", "assess", "draw_up", "to_plain"]
