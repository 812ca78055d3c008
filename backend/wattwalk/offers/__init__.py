"""What a survey itself asks for: works for a trade and lines for the price.  Standard library only: the phone offers them too."""

from .lines import SuggestedLine, suggest_lines
from .suggestions import Suggestions, suggestions
from .works import Asked, SuggestedWork, suggest_works

__all__ = ["Asked", "SuggestedLine", "SuggestedWork", "Suggestions", "suggest_lines", "suggest_works", "suggestions"]
