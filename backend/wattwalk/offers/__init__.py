"""What a survey itself asks for: works for a trade, lines for the price, and what they come to.  Standard library only: the phone has it too."""

from .lines import look_at_lines
from .shapes import ChangedLine, SuggestedLine
from .suggestions import Suggestions, suggestions
from .works import Asked, SuggestedWork, suggest_works

__all__ = [
    "Asked",
    "ChangedLine",
    "SuggestedLine",
    "SuggestedWork",
    "Suggestions",
    "look_at_lines",
    "suggest_works",
    "suggestions",
]
