"""Leases: a row that one process has in hand, for as long as the process shows that it lives.

A lease is short and renewed while the work goes on, so the end of a process is noticed after ten seconds at most.  Whether a lease
still holds is asked again, by its owner's name, in each transaction that the work ends with: a process that was only slow finds that
its work has gone to another one and puts nothing down.  So clocks that differ cost work, and do nothing twice.
"""

from __future__ import annotations

import logging
import secrets
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any, cast

from flask import current_app
from sqlalchemy import CursorResult, update

from wattwalk.database import now as clock
from wattwalk.database import writing
from wattwalk.models import Email, ReportJob

log = logging.getLogger(__name__)

LEASE = timedelta(seconds=10)
_BEAT_S = 2.5
#: The state that a row has while somebody has it in hand.
IN_HAND = {Email: "sending", ReportJob: "rendering"}


class LeaseLostError(RuntimeError):
    """The work in hand has become somebody else's."""


def new_owner() -> str:
    """Return a name for one lease that nobody else has."""
    return secrets.token_hex(16)


@contextmanager
def held(row: Email | ReportJob, *, at: Callable[[], datetime] = clock) -> Iterator[threading.Event]:
    """Renew the lease of a row while the block runs; the event that is given is set once the lease is lost.

    Needs the application's context.
    """
    app = current_app._get_current_object()  # type: ignore[attr-defined]  # the proxy's own, and it is typed as what it stands for
    model, row_id, owner = type(row), row.id, row.owner
    is_over, is_lost = threading.Event(), threading.Event()

    def renew() -> bool:
        mine = (model.id == row_id, model.owner == owner, model.state == IN_HAND[model])
        with app.app_context(), writing() as session:
            done = session.execute(
                update(model)
                .where(*mine)
                .values(leased_until=at() + LEASE)
                .execution_options(synchronize_session=False)
            )
            return cast("CursorResult[Any]", done).rowcount == 1

    def beat() -> None:
        while not is_over.wait(_BEAT_S):
            try:
                if not renew():
                    is_lost.set()
                    return
            except Exception:
                # What cannot be renewed runs out by itself, and the last transaction finds out.
                log.exception("The lease of %s could not be renewed.", row_id)

    thread = threading.Thread(target=beat, name=f"lease of {row_id}", daemon=True)
    thread.start()
    try:
        yield is_lost
    finally:
        is_over.set()
        thread.join()
