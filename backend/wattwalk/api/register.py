"""Which blueprints there are, and the shapes that no view names by itself."""

from __future__ import annotations

from .blueprints import WattwalkApi
from .schemas import ChangeSchema, PushSchema
from .session import session
from .surveys import office, surveys

BLUEPRINTS = (office, session, surveys)


def describe_shapes(api: WattwalkApi) -> None:
    """Describe the shapes that views read by hand, because each change of a batch is answered by itself."""
    api.spec.components.schema("Change", schema=ChangeSchema)
    api.spec.components.schema("Push", schema=PushSchema)
