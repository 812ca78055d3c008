"""Which blueprints there are, and the shapes that no view names by itself."""

from __future__ import annotations

from .blueprints import WattwalkApi
from .photos import photos
from .reports import emails, reports
from .results import results
from .schemas import ChangeSchema, PushSchema
from .session import session
from .surveys import office, surveys

BLUEPRINTS = (office, session, surveys, photos, results, reports, emails)


def describe_shapes(api: WattwalkApi) -> None:
    """Describe the shapes that views read by hand, because each change of a batch is answered by itself."""
    api.spec.components.schema("Change", schema=ChangeSchema)
    api.spec.components.schema("Push", schema=PushSchema)
