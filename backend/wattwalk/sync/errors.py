"""One error class per reason why sync cannot do what it was asked."""

from __future__ import annotations

from ..survey.errors import WattwalkError


class NoSuchSurveyError(WattwalkError, LookupError):
    """The survey does not exist, or belongs to another firm, which must look the same from outside."""

    def __init__(self, survey_id: str) -> None:
        super().__init__("There is no such survey.")
        self.survey_id = survey_id
