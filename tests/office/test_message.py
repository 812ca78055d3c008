"""What a message is made of: plain words, the same as simple HTML, and the report."""

from __future__ import annotations

import email
import email.policy
from datetime import UTC, datetime

import pytest

from wattwalk.office.mail import compose

GIVEN = {
    "message_id": "<one@wattwalk.example>",
    "made_at": datetime(2026, 4, 2, 9, 30, tzinfo=UTC),
    "sender": "office@firm.example",
    "sender_name": "Invented Heating",
    "reply_to": "ada@firm.example",
    "to": "household@house.example",
    "subject": "Your survey",
    "message": "Dear both,\r\n\r\nhere <it> is & more.\n\n",
    "attached": [("report-2.pdf", "application/pdf", b"%PDF-1.7 bytes")],
}


def test_a_message_has_its_words_twice_and_the_report_once() -> None:
    made = email.message_from_bytes(compose(**GIVEN), policy=email.policy.default)
    assert [part.get_content_type() for part in made.walk() if not part.is_multipart()] == [
        "text/plain",
        "text/html",
        "application/pdf",
    ]
    plain, html = made.get_body(("plain",)).get_content(), made.get_body(("html",)).get_content()
    assert plain.replace("\r\n", "\n") == "Dear both,\n\nhere <it> is & more.\n"
    assert "here &lt;it&gt; is &amp; more." in html
    (report,) = made.iter_attachments()
    assert (report.get_filename(), report.get_content()) == ("report-2.pdf", b"%PDF-1.7 bytes")
    assert (
        made["Message-ID"],
        made["To"],
        made["Subject"],
        made["From"].addresses[0].addr_spec,
        made["From"].addresses[0].display_name,
    ) == (
        "<one@wattwalk.example>",
        "household@house.example",
        "Your survey",
        "office@firm.example",
        "Invented Heating",
    )
    assert made["Date"].datetime == GIVEN["made_at"]


@pytest.mark.parametrize(
    ("sender", "reply_to", "expected"),
    [
        ("office@firm.example", "ada@firm.example", "ada@firm.example"),
        ("office@firm.example", "office@firm.example", None),
        ("office@firm.example", "no address", None),
        ("office@firm.example", "", None),
    ],
)
def test_an_answer_goes_to_the_firm_when_that_is_somewhere_else(
    sender: str, reply_to: str, expected: str | None
) -> None:
    made = email.message_from_bytes(
        compose(**{**GIVEN, "sender": sender, "reply_to": reply_to}), policy=email.policy.default
    )
    assert made["Reply-To"] == expected


def test_without_a_sender_the_message_names_none() -> None:
    assert email.message_from_bytes(compose(**{**GIVEN, "sender": ""}), policy=email.policy.default)["From"] is None
