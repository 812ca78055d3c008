"""Which blueprints there are, and the shapes that no view names by itself."""

from __future__ import annotations

from .blueprints import WattwalkApi
from .book import book
from .history import history
from .photos import photos
from .reports import emails, reports
from .results import results
from .schemas import ChangeSchema
from .session import session
from .states import states
from .surveys import office, surveys

BLUEPRINTS = (office, session, surveys, photos, results, reports, emails, states, book, history)


def describe_shapes(api: WattwalkApi) -> None:
    """Describe a change: the view takes each one as it is, because each is answered by itself."""
    api.spec.components.schema("Change", schema=ChangeSchema)
