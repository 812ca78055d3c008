"""A process that does the office's work and dies at a named step of it, at once and without a word, as in a power cut.

It makes what waits of the reports, with a stand-in for the setting of the PDF, and sends what waits in the outbox.
"""

from __future__ import annotations

import os
import signal
import smtplib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.support.forked import run_forked
from wattwalk.app import create_app
from wattwalk.config import Settings
from wattwalk.office import mail, outbox, report_jobs

#: A PDF to our own eyes; its page tree is all that is looked at.
PDF = b"%PDF-1.7\n1 0 obj\n<</Type /Pages /Count 1>>\nendobj\n"

#: Where a process that makes a report can die: module, function, whether before or after it, and with which argument of which value.
REPORT_STEPS: dict[str, tuple[Any, str, str, tuple[int, Any] | None]] = {
    "taken up": (report_jobs, "_take_up", "after", None),
    "setting": (report_jobs, "render_in_subprocess", "before", None),
    "set": (report_jobs, "render_in_subprocess", "after", None),
    "file whole": (report_jobs, "write_whole", "after", None),
    "row read": (report_jobs, "_mine", "after", None),
    "put down": (report_jobs, "_put_down", "after", None),
}
MAIL_STEPS: dict[str, tuple[Any, str, str, tuple[int, Any] | None]] = {
    "leased": (outbox, "_lease", "after", None),
    "composed": (outbox, "_bytes_of", "after", None),
    "connected": (mail, "_connect", "after", None),
    "before DATA": (smtplib.SMTP, "docmd", "before", (1, "DATA")),
    "after DATA": (smtplib.SMTP, "docmd", "after", (1, "DATA")),
    "before the end": (outbox, "_note_handing_over", "before", None),
    "noted": (outbox, "_note_handing_over", "after", None),
    "end sent": (smtplib.SMTP, "send", "after", (1, b".\r\n")),
    "answered": (outbox, "_put_down", "before", None),
    "put down": (outbox, "_put_down", "after", None),
}


def _die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def _set_trap(place: Any, name: str, when: str, wanted: tuple[int, Any] | None) -> None:
    honest: Callable[..., Any] = getattr(place, name)

    def trapped(*given: Any, **named: Any) -> Any:
        is_meant = wanted is None or (len(given) > wanted[0] and given[wanted[0]] == wanted[1])
        if is_meant and when == "before":
            _die()
        answer = honest(*given, **named)
        # Nobody has been given anything to do yet: it is the first real one that is died at.
        if is_meant and when == "after" and not (answer is None and name in {"_lease", "_take_up"}):
            _die()
        return answer

    setattr(place, name, trapped)


def run_and_die(settings: Settings, port: int, step: str) -> int:
    """Start such a process, with the mail server on a port, and return how it ended: ``-SIGKILL`` when it came to the step."""
    done = run_forked(_work, str(settings.home), settings.database_url, port, step, timeout_s=60)
    if done.returncode not in (0, -signal.SIGKILL):
        raise RuntimeError(done.stderr)
    return done.returncode


def _work(home: str, url: str, port: int, step: str) -> int:
    """Do the work, or die at it."""
    settings = Settings(Path(home), url)
    report_jobs.render_in_subprocess = lambda _request, **_: {
        "quotation": PDF,
        "file": PDF,
        "sheets": PDF,
        "page": b"<p>page</p>",
    }
    trap = {
        **{f"report: {name}": where for name, where in REPORT_STEPS.items()},
        **{f"mail: {name}": where for name, where in MAIL_STEPS.items()},
    }[step]
    _set_trap(*trap)
    with create_app(settings).app_context():
        report_jobs.make_waiting(settings)
        outbox.send_waiting(settings, mail.MailSettings("127.0.0.1", port, "none", "office@firm.example", timeout_s=30))
    return 0
